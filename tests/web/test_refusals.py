"""When something is wrong a person reads what, and finds the way on; a program gets the same as JSON."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pytest
from fastapi.testclient import TestClient
from tests.web.conftest import SMALL

from innerleaf.store.history import save
from innerleaf.web.app import make_app
from innerleaf.web.desk import JOB_FILE, Desk
from innerleaf.web.guard import LARGEST_BODY

if TYPE_CHECKING:
    from collections.abc import Iterator


@pytest.fixture
def broken(desk: Desk, monkeypatch: pytest.MonkeyPatch) -> Iterator[TestClient]:
    """A server whose list of jobs fails."""

    def fail(_desk: Desk) -> Any:
        raise ZeroDivisionError("secret")

    monkeypatch.setattr(Desk, "jobs", fail)
    app = make_app(desk, user="Ada")
    with TestClient(app, base_url="http://127.0.0.1:8420", raise_server_exceptions=False) as asking:
        yield asking


@pytest.mark.parametrize(
    ("method", "path", "headers", "status", "said"),
    [
        ("GET", "/none", {}, 404, "Nothing is here"),
        ("GET", "/jobs/0123456789abcdef0123456789abcdef", {}, 404, "Nothing is here"),
        ("GET", "/jobs/JOB/walls/none", {}, 404, 'href="/jobs/JOB"'),
        ("POST", "/jobs/new/demo", {"Origin": "http://elsewhere.example"}, 403, "This is not open to you"),
        ("POST", "/jobs/new/demo", {"Content-Length": str(LARGEST_BODY + 1)}, 413, "too much at once"),
        ("GET", "/", {"Host": "elsewhere.example"}, 421, "This address is not ours"),
        ("GET", "/jobs/JOB/compare?before=1&after=x", {}, 422, "This did not work"),
    ],
)
def test_a_person_reads_what_is_wrong_and_finds_the_way_on(
    client: TestClient, small: str, method: str, path: str, headers: dict[str, str], status: int, said: str
) -> None:
    answer = client.request(method, path.replace("JOB", small), headers=headers)
    assert answer.status_code == status
    assert answer.headers["content-type"].startswith("text/html")
    assert said.replace("JOB", small) in answer.text
    assert 'href="/"' in answer.text
    assert "default-src 'none'" in answer.headers["content-security-policy"]


def test_a_program_gets_json_also_from_the_door(client: TestClient) -> None:
    answer = client.post("/api/jobs/blank", headers={"Content-Length": str(LARGEST_BODY + 1)})
    assert answer.status_code == 413
    assert "MiB" in answer.json()["error"]


def test_a_failure_is_told_without_its_insides(broken: TestClient) -> None:
    page, data = broken.get("/"), broken.get("/api/jobs")
    assert page.status_code == data.status_code == 500
    assert "What was saved is safe" in page.text
    assert "secret" not in page.text + data.text
    assert "error" in data.json()


def test_a_job_that_cannot_be_read_can_be_mended(client: TestClient, desk: Desk, small: str) -> None:
    save(desk.engine, small, 1, "format: 99\n", who="Ada", at=desk.clock())
    page = client.get(f"/jobs/{small}")
    assert page.status_code == 422
    assert "This job cannot be read" in page.text
    assert "format: 99" in client.get(f"/jobs/{small}/file").text
    assert "Bring back" in client.get(f"/jobs/{small}/history").text
    mended = client.put(f"/api/jobs/{small}/text", json={"base": 2, "text": SMALL})
    assert mended.status_code == 200
    assert client.get(f"/jobs/{small}").status_code == 200
    assert desk.files(small)[JOB_FILE] == SMALL
