"""What was answered once is not worked out, nor sent, again; and never after it changed."""

from __future__ import annotations

import threading
from typing import TYPE_CHECKING

import pytest

from innerleaf.web.kept import Kept
from innerleaf.web.static_files import static_digest

if TYPE_CHECKING:
    from fastapi.testclient import TestClient

PAGES = ["", "/walls/W1", "/findings", "/history", "/file", "/numbers/material"]


@pytest.mark.parametrize("part", PAGES)
def test_a_page_that_is_known_is_not_sent_again_until_it_changes(
    client: TestClient, small: str, part: str
) -> None:
    first = client.get(f"/jobs/{small}{part}")
    known = {"If-None-Match": first.headers["etag"]}
    again = client.get(f"/jobs/{small}{part}", headers=known)
    assert (again.status_code, again.content) == (304, b"")
    client.put(f"/api/jobs/{small}/walls/W1/name", json={"base": 1, "value": "changed"})
    after = client.get(f"/jobs/{small}{part}", headers=known)
    assert after.status_code == 200
    assert after.text != first.text
    assert first.headers["cache-control"] == "private, no-cache"


def test_a_page_is_the_same_packed_and_not(client: TestClient, small: str) -> None:
    packed = client.get(f"/jobs/{small}")
    plain = client.get(f"/jobs/{small}", headers={"Accept-Encoding": "identity"})
    assert packed.headers["content-encoding"] == "gzip"
    assert "content-encoding" not in plain.headers
    assert packed.text == plain.text


def test_units_have_pages_of_their_own(client: TestClient, small: str) -> None:
    metric = client.get(f"/jobs/{small}/walls/W1").headers["etag"]
    imperial = client.get(f"/jobs/{small}/walls/W1", headers={"Cookie": "innerleaf-units=in"})
    assert imperial.headers["etag"] != metric


def test_the_list_of_jobs_tells_of_a_save(client: TestClient, small: str) -> None:
    first = client.get("/")
    assert client.get("/", headers={"If-None-Match": first.headers["etag"]}).status_code == 304
    client.put(f"/api/jobs/{small}/walls/W1/name", json={"base": 1, "value": "changed"})
    assert "Revision 2" in client.get("/", headers={"If-None-Match": first.headers["etag"]}).text


def test_static_files_are_kept_for_good_by_an_address_that_changes_with_them(client: TestClient) -> None:
    page = client.get("/").text
    assert f'href="/static/{static_digest()}/style.css"' in page
    kept = client.get(f"/static/{static_digest()}/style.css")
    plain = client.get("/static/style.css")
    old = client.get("/static/0123456789ab/style.css")
    assert kept.text == plain.text == old.text
    assert "immutable" in kept.headers["cache-control"]
    assert plain.headers["cache-control"] == old.headers["cache-control"] == "no-cache"
    assert client.get(f"/static/{static_digest()}/../app.py").status_code == 404
    assert client.get(f"/static/{static_digest()}/none.js").status_code == 404


def test_what_several_ask_for_together_is_worked_out_once() -> None:
    kept: Kept[int] = Kept(4)
    begun, go_on, made = threading.Event(), threading.Event(), list[int]()

    def make() -> int:
        begun.set()
        go_on.wait(5)
        made.append(1)
        return 7

    found: list[int] = []
    threads = [threading.Thread(target=lambda: found.append(kept.get("key", make))) for _ in range(4)]
    threads[0].start()
    begun.wait(5)
    for thread in threads[1:]:
        thread.start()
    go_on.set()
    for thread in threads:
        thread.join(5)
    assert (found, made) == ([7] * 4, [1])


def test_what_failed_is_tried_again_and_the_oldest_goes() -> None:
    kept: Kept[str] = Kept(2)
    with pytest.raises(ZeroDivisionError):
        kept.get("a", lambda: str(1 // 0))
    assert [kept.get(key, lambda key=key: key) for key in "abca"] == [*"abca"]  # type: ignore[misc]
    assert kept.get("b", lambda: "made again") == "made again"
