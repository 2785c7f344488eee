"""Who may ask: our own pages and programs on this machine, no page of somebody else's."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from innerleaf.web.guard import LARGEST_BODY

if TYPE_CHECKING:
    from fastapi.testclient import TestClient


@pytest.mark.parametrize(
    ("headers", "status"),
    [
        ({}, 201),
        ({"Origin": "http://127.0.0.1:8420"}, 201),
        ({"Sec-Fetch-Site": "same-origin", "Origin": "http://127.0.0.1:8420"}, 201),
        ({"Origin": "http://elsewhere.example"}, 403),
        ({"Origin": "http://127.0.0.1:9999"}, 403),
        ({"Origin": "null"}, 403),
        ({"Sec-Fetch-Site": "cross-site"}, 403),
        ({"Sec-Fetch-Site": "same-site"}, 403),
        ({"Host": "elsewhere.example"}, 421),
        ({"Host": "127.0.0.1.elsewhere.example:8420"}, 421),
        ({"Content-Length": str(LARGEST_BODY + 1)}, 413),
    ],
)
def test_a_change_is_taken_from_our_own_pages_only(
    client: TestClient, headers: dict[str, str], status: int
) -> None:
    assert client.post("/api/jobs/blank", headers=headers).status_code == status


@pytest.mark.parametrize("address", ["/", "/api/jobs", "/static/style.css", "/none", "/openapi.json"])
def test_every_answer_forbids_what_our_pages_do_not_need(client: TestClient, address: str) -> None:
    headers = client.get(address).headers
    policy = headers["content-security-policy"]
    assert "default-src 'none'" in policy
    assert "unsafe" not in policy
    assert "http" not in policy
    assert headers["x-content-type-options"] == "nosniff"


def test_nothing_outside_the_folder_of_static_files_is_given(client: TestClient) -> None:
    for address in ("/static/../app.py", "/static/%2e%2e/app.py", "/static/..%2fapp.py", "/font/../../x"):
        assert client.get(address).status_code == 404
