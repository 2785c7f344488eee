"""Rooms and walls as a list on a page and by program; lengths on pages in feet and inches."""

from __future__ import annotations

import re
from html import unescape
from typing import TYPE_CHECKING, Any

import pytest
from tests.web.conftest import SMALL

from innerleaf.units import to_mm

if TYPE_CHECKING:
    from fastapi.testclient import TestClient

    from innerleaf.web.desk import Desk


def _send(client: TestClient, key: str, **fields: Any) -> tuple[int, str]:
    answer = client.post(f"/jobs/{key}/parts", data=fields, follow_redirects=False)
    return answer.status_code, answer.headers.get("location", answer.text)


def test_a_wall_is_added_copied_renamed_and_taken_away_and_all_is_brought_back(
    client: TestClient, desk: Desk, small: str
) -> None:
    def walls() -> list[str]:
        return list(desk.open(small).walls)

    added = {"of": "wall", "do": "add", "to": "W4", "room": "kitchen", "length_mm": "8' 2\""}
    assert _send(client, small, base=1, **added) == (303, f"/jobs/{small}/parts?undo=1")
    assert desk.open(small).walls["W4"].length_mm == to_mm("8' 2\"")
    _send(client, small, base=2, of="wall", do="copy", id="W1", to="W1b", room="kitchen")
    assert walls() == ["W1", "W1b", "W2", "W3", "W4"]
    _send(client, small, base=3, of="room", do="rename", id="kitchen", to="galley")
    assert {wall.room for wall in desk.open(small).walls.values()} == {"living", "galley"}
    _send(client, small, base=4, of="room", do="remove", id="galley")
    assert walls() == ["W1"]
    page = client.get(f"/jobs/{small}/parts?undo=4").text
    assert 'name="number" value="4"' in page
    client.post(f"/jobs/{small}/bring-back", data={"number": "1"})
    assert desk.open(small).revision.text == SMALL


@pytest.mark.parametrize(
    ("fields", "told"),
    [
        ({"base": 1, "of": "wall", "do": "copy", "id": "W1", "to": "W2"}, "an id that no other has"),
        ({"base": 1, "of": "wall", "do": "rename", "id": "W1", "to": "W 1"}, "letters a-z and digits"),
        ({"base": 1, "of": "wall", "do": "remove", "id": "W9"}, "one of W1"),
        ({"base": 1, "of": "wall", "do": "add", "to": "W4", "room": "living"}, "length_mm"),
        ({"base": 1, "of": "roof", "do": "add"}, "of"),
        ({"base": "x", "of": "wall", "do": "remove", "id": "W1"}, "base"),
    ],
)
def test_what_cannot_be_is_said_and_nothing_is_saved(
    client: TestClient, desk: Desk, small: str, fields: dict[str, Any], told: str
) -> None:
    status, page = _send(client, small, **fields)
    assert status == 422
    assert told in page.split('class="faults"')[1].split("</ul>")[0]
    assert desk.open(small).number == 1


def test_the_second_on_one_job_is_told(client: TestClient, small: str) -> None:
    change = {"base": 1, "of": "wall", "do": "rename", "id": "W1", "to": "W8"}
    assert client.post(f"/api/jobs/{small}/parts", json=change).json() == {"revision": 2}
    late = {"base": 1, "of": "wall", "do": "remove", "id": "W2"}
    assert client.post(f"/api/jobs/{small}/parts", json=late).status_code == 409
    assert "Somebody saved this job meanwhile" in _send(client, small, **late)[1]


def test_pages_and_drawings_speak_feet_and_inches_and_the_job_stays_as_it_is(
    client: TestClient, desk: Desk, small: str
) -> None:
    metric = client.get(f"/api/jobs/{small}/walls/W1").json()
    chosen = client.post("/manner", data={"units": "in", "on": f"/jobs/{small}"}, follow_redirects=False)
    assert chosen.headers["location"] == f"/jobs/{small}"
    feet = client.get(f"/api/jobs/{small}/walls/W1").json()
    assert feet["fields"] == metric["fields"]
    assert metric["lengths"] == {}
    assert feet["lengths"]["4200"] == "13' 9 3/8\""
    words = [unescape(one) for one in re.findall(r"<text[^>]*>([^<]*)<", feet["drawings"]["frame"])]
    assert "2' 7 1/2\"" in words  # the window, 800 mm from the left
    assert "800" not in words
    assert "800" in re.findall(r"<text[^>]*>([^<]*)<", metric["drawings"]["frame"])
    assert "13&#39; 9 3/8&#34; × 8&#39; 6 3/8&#34;" in client.get(f"/jobs/{small}").text
    assert desk.open(small).revision.text == SMALL
    bare = client.post("/api/rooms/close", json={"sides": [{"length_mm": "120"}] * 4})
    assert bare.status_code == 422
    both = client.post(
        "/api/rooms/close", json={"sides": [{"length_mm": "10'"}, {"length_mm": "2500 mm"}] * 2}
    )
    assert both.json()["miss"] == '0"'
