"""The JSON side: what a page can do, a program can; what is wrong is said, with the right status."""

from __future__ import annotations

import io
import zipfile
from typing import TYPE_CHECKING, Any

import pytest
from tests.web.conftest import SMALL

from innerleaf.web.demo import demo_files

if TYPE_CHECKING:
    from fastapi.testclient import TestClient


def test_from_nothing_to_a_wall_moved(client: TestClient) -> None:
    assert client.get("/api/jobs").json() == []
    made = client.post("/api/jobs", files={"files": ("job.yaml", SMALL)})
    assert made.status_code == 201
    job = made.json()["id"]
    assert [one["name"] for one in client.get("/api/jobs").json()] == ["Three rooms (invented)"]
    detail = client.get(f"/api/jobs/{job}").json()
    assert [(wall["id"], wall["to_choose"]) for wall in detail["walls"]] == [
        ("W1", False),
        ("W2", False),
        ("W3", True),
    ]
    wall = client.get(f"/api/jobs/{job}/walls/W1").json()
    assert wall["fields"]["openings"] == [{"type": "sash", "x": 800}]
    moved = client.put(
        f"/api/jobs/{job}/walls/W1/openings", json={"base": 1, "value": [{"type": "sash", "x": 1210}]}
    ).json()
    assert moved["revision"] == 2
    assert moved["drawings"]["frame"] != wall["drawings"]["frame"]
    (window,) = [piece for piece in moved["pieces"] if piece["kind"] == "opening"]
    assert (window["x_mm"], window["y_mm"]) == (1210, 900)
    assert client.get(f"/api/jobs/{job}/walls/W1").json() == moved


def test_a_job_goes_out_to_the_byte(client: TestClient) -> None:
    sent = [("files", (name, text)) for name, text in demo_files().items()]
    job = client.post("/api/jobs", files=sent).json()["id"]
    archive = zipfile.ZipFile(io.BytesIO(client.get(f"/api/jobs/{job}/files.zip").content))
    assert "our-practice.yaml" in archive.namelist()
    for name in archive.namelist():
        assert archive.read(name).decode() == demo_files()[name]


def test_states_tell_what_waits_and_what_was_found(client: TestClient, small: str) -> None:
    states = {one["wall"]: one["state"] for one in client.get(f"/api/jobs/{small}/states").json()}
    assert states["W3"] == "choose"
    assert set(states) == {"W1", "W2", "W3"}


def test_who_saves_second_gets_both_versions(client: TestClient, small: str) -> None:
    put = f"/api/jobs/{small}/walls/W1/length"
    assert client.put(put, json={"base": 1, "value": 4300}).status_code == 200
    second = client.put(put, json={"base": 1, "value": 4400})
    assert second.status_code == 409
    told = second.json()
    assert "length: 4300" in told["newest"]["text"]
    assert "length: 4400" in told["yours"]["text"]
    assert (told["newest"]["revision"], told["yours"]["revision"]) == (2, 1)


def test_an_earlier_revision_comes_back(client: TestClient, small: str) -> None:
    client.put(f"/api/jobs/{small}/walls/W2/length", json={"base": 1, "value": 3500})
    assert client.post(f"/api/jobs/{small}/restore", json={"number": 1}).json() == {"revision": 3}
    assert client.get(f"/api/jobs/{small}").json()["text"] == SMALL
    assert client.get(f"/api/jobs/{small}", params={"number": 2}).json()["text"] != SMALL
    assert [line["back_to"] for line in client.get(f"/api/jobs/{small}/revisions").json()] == [1, 0, 0]


@pytest.mark.parametrize(
    ("method", "address", "body", "status", "says"),
    [
        ("GET", "/api/jobs/none", None, 404, "document: given 'none'"),
        ("GET", "/api/jobs/{job}/walls/W9", None, 404, "wall: given 'W9'"),
        ("GET", "/api/jobs/{job}?number=7", None, 404, "revision: given 7"),
        ("PUT", "/api/jobs/{job}/walls/W1/colour", {"base": 1, "value": 1}, 422, "not as it should be"),
        ("PUT", "/api/jobs/{job}/walls/W1/length", {"base": 1, "value": -5}, 422, "length: given -5"),
        ("PUT", "/api/jobs/{job}/walls/W1/length", {"value": 4000}, 422, "not as it should be"),
        ("PUT", "/api/jobs/{job}/walls/W1/length", {"base": 9, "value": 4000}, 404, "revision: given 9"),
        ("PUT", "/api/jobs/{job}/text", {"base": 1, "text": "format: [", "note": ""}, 422, "cannot be read"),
        ("POST", "/api/jobs/{job}/restore", {"number": 5}, 404, "revision: given 5"),
        ("GET", "/api/nothing", None, 404, "There is nothing at this address"),
    ],
)
def test_what_is_wrong_is_said(
    client: TestClient, small: str, method: str, address: str, body: Any, status: int, says: str
) -> None:
    answer = client.request(method, address.format(job=small), json=body)
    assert answer.status_code == status
    assert says in answer.json()["error"]
    assert "/tmp" not in answer.text  # no path of the server


def test_a_body_that_is_no_json_is_told_apart(client: TestClient, small: str) -> None:
    put = client.put(f"/api/jobs/{small}/text", content=b"{", headers={"content-type": "application/json"})
    assert put.status_code == 400


def test_a_file_that_is_no_text_is_refused(client: TestClient) -> None:
    answer = client.post("/api/jobs", files={"files": ("job.yaml", b"\xff\xfe\x00")})
    assert answer.status_code == 422
    assert "UTF-8" in answer.json()["error"]


HOSTILE = ("<script>alert(1)</script>", "'; DROP TABLE revision; --", "{{7*7}}", '"onload="x', "\u202e&amp;")


@pytest.mark.parametrize("text", HOSTILE)
def test_signs_in_names_stay_signs(client: TestClient, small: str, text: str) -> None:
    saved = client.put(f"/api/jobs/{small}/walls/W1/name", json={"base": 1, "value": text})
    if saved.status_code == 422:
        assert "name" in saved.json()["faults"][0]
        return
    assert saved.json()["fields"]["name"] == text
    for address in ("", "/walls/W1", "/history", "/file", "/findings"):
        page = client.get(f"/jobs/{small}{address}")
        assert page.status_code == 200
        assert "<script>alert" not in page.text
        assert '"onload="' not in page.text
    assert ("{{7*7}}" in text) == ("{{7*7}}" in client.get(f"/jobs/{small}/walls/W1").text)


def test_a_room_measured_side_by_side_gets_its_walls(client: TestClient, small: str) -> None:
    sides = [{"length_mm": length} for length in (4200, 3100, 4212, 3100)]
    closing = client.post("/api/rooms/close", json={"sides": sides}).json()
    assert (round(closing["miss_mm"]), round(closing["one_in"])) == (12, 1218)
    asked = {
        "base": 1,
        "id": "study",
        "height_mm": 2550,
        "construction": "brick",
        "lining": "warm",
        "sides": sides,
        "lined": [True, False, True, True],
    }
    assert client.post(f"/api/jobs/{small}/rooms", json=asked).json() == {"revision": 2}
    job = client.get(f"/api/jobs/{small}").json()
    new = [(wall["id"], wall["length_mm"], wall["height_mm"]) for wall in job["walls"][3:]]
    assert new == [("study-1", 4200, 2550), ("study-3", 4212, 2550), ("study-4", 3100, 2550)]
    assert job["text"].startswith(SMALL.split("walls:")[0].rstrip()[:200])
    short = client.post(f"/api/jobs/{small}/rooms", json=asked | {"base": 2, "lined": [True]})
    assert "one for each of 4 sides" in short.json()["error"]
    again = client.post(f"/api/jobs/{small}/rooms", json=asked | {"base": 2})
    assert again.status_code == 422
    assert "used once" in again.text
