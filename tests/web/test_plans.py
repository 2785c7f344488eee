"""Rooms on plan through the JSON side: what is shown, and places saved as little of the text as possible."""

from __future__ import annotations

from difflib import unified_diff
from typing import TYPE_CHECKING
from xml.etree import ElementTree

import pytest
from tests.documents.small_house import TEXT

from innerleaf.web.desk import JOB_FILE, Desk

if TYPE_CHECKING:
    from fastapi.testclient import TestClient

FLATS = """\
format: 1
site: {name: Rope Walk (invented)}
constructions:
  brick: [{material: brick-1800, thickness: 240}]
linings:
  warm: {way: stud and track, profile: CW-75, boards: [board-A-12.5]}
defaults: {construction: brick, lining: warm, height: 2500}
flat_types:
  small:
    rooms: [{id: bed}, {id: bath}]
    walls:
      - {id: N, room: bed, length: 4000}
      - {id: S, room: bath, length: 2000}
flats:
  - {type: small, ids: [F1, F2], storey: first floor}
"""


@pytest.fixture
def net(desk: Desk) -> str:
    """Two rooms that are measured and placed."""
    return desk.take_in({JOB_FILE: TEXT}, who="Ada").line.document


def _text(client: TestClient, job: str) -> str:
    return str(client.get(f"/api/jobs/{job}").json()["text"])


def _changed(before: str, after: str) -> list[str]:
    lines = unified_diff(before.splitlines(), after.splitlines(), lineterm="", n=0)
    return [line for line in lines if line[0] in "+-" and line[:3] not in ("+++", "---")]


def test_a_storey_is_drawn_with_its_rooms_and_the_way_to_each_wall(client: TestClient, net: str) -> None:
    plan = client.get(f"/api/jobs/{net}/plan").json()
    (storey,) = plan["storeys"]
    assert [(room["id"], room["x"], room["y"], room["given"]) for room in storey["rooms"]] == [
        ("net", 0, 0, True),
        ("cord", 4400, 0, True),
    ]
    assert [room["area_m2"] for room in storey["rooms"]] == [15.12, 10.8]
    drawing = ElementTree.fromstring(storey["drawing"])
    links = [one.get("href") for one in drawing.iter("{http://www.w3.org/2000/svg}a")]
    assert links == [f"/jobs/{net}/walls/{wall}" for wall in ("N-1", "N-2", "N-3", "C-2")]
    assert " style=" not in storey["drawing"]
    assert "<style" not in storey["drawing"]


def test_a_place_is_one_value_of_the_text_and_can_be_taken_back(client: TestClient, net: str) -> None:
    before = _text(client, net)
    asked = {"base": 1, "places": {"cord": {"x": 4315, "y": 250}}}
    assert client.put(f"/api/jobs/{net}/places", json=asked).json()["revision"] == 2
    moved = _text(client, net)
    assert _changed(before, moved) == ["-    place: {x: 4400, y: 0}", "+    place: {x: 4315, y: 250}"]
    turned = {"base": 2, "places": {"cord": {"x": 4315, "y": 250, "turn": 90}}}
    assert client.put(f"/api/jobs/{net}/places", json=turned).json()["revision"] == 3
    assert "place: {x: 4315, y: 250, turn: 90}" in _text(client, net)
    client.post(f"/api/jobs/{net}/restore", json={"number": 1})
    assert _text(client, net) == before


def test_without_a_place_a_room_is_put_beside_the_others(client: TestClient, net: str) -> None:
    client.put(f"/api/jobs/{net}/places", json={"base": 1, "places": {"cord": None}})
    (storey,) = client.get(f"/api/jobs/{net}/plan").json()["storeys"]
    cord = storey["rooms"][1]
    assert not cord["given"]
    assert cord["box"][0] > storey["rooms"][0]["box"][2]  # beyond the side that names it
    assert "place" not in _text(client, net).split("id: cord")[1].split("sides")[0]


def test_the_place_of_a_flat_s_room_is_said_once_for_all_flats(client: TestClient, desk: Desk) -> None:
    job = desk.take_in({JOB_FILE: FLATS}, who="Ada").line.document
    asked = {"base": 1, "places": {"F2-bath": {"x": 100, "y": -3000}}}
    assert client.put(f"/api/jobs/{job}/places", json=asked).status_code == 200
    assert "rooms: [{id: bed}, {id: bath, place: {x: 100, y: -3000}}]" in _text(client, job)
    (storey,) = client.get(f"/api/jobs/{job}/plan").json()["storeys"]
    baths = [room for room in storey["rooms"] if room["id"].endswith("bath")]
    assert [(room["x"], room["y"], room["flat"]) for room in baths] == [
        (100, -3000, "F1"),
        (100, -3000, "F2"),
    ]
    assert baths[0]["box"] != baths[1]["box"]


def test_what_cannot_be_is_refused_and_nothing_saved(client: TestClient, net: str) -> None:
    nobody = client.put(f"/api/jobs/{net}/places", json={"base": 1, "places": {"attic": {"x": 0, "y": 0}}})
    assert nobody.status_code == 422
    assert "a room of this job" in nobody.json()["error"]
    far = client.put(f"/api/jobs/{net}/places", json={"base": 1, "places": {"net": {"x": 10**9, "y": 0}}})
    assert far.status_code == 422
    client.put(f"/api/jobs/{net}/places", json={"base": 1, "places": {"net": {"x": 10, "y": 0}}})
    late = client.put(f"/api/jobs/{net}/places", json={"base": 1, "places": {"net": {"x": 20, "y": 0}}})
    assert late.status_code == 409
    assert "place: {x: 10, y: 0}" in late.json()["newest"]["text"]


def test_rooms_over_one_another_are_told(client: TestClient, net: str) -> None:
    client.put(f"/api/jobs/{net}/places", json={"base": 1, "places": {"cord": {"x": 2000, "y": 0}}})
    (storey,) = client.get(f"/api/jobs/{net}/plan").json()["storeys"]
    assert storey["clashes"] == [["net", "cord"]]


def test_a_room_measured_keeps_its_sides(client: TestClient, net: str) -> None:
    sides = [
        {"length_mm": 5000},
        {"length_mm": 3000},
        {"length_mm": 2000, "turn_deg": -90},
        {"length_mm": 1500},
        {"length_mm": 3000},
        {"length_mm": 4500},
    ]
    asked = {"base": 1, "id": "hook", "height_mm": 2600, "construction": "brick", "lining": "held"}
    lined = [True, False, False, True, True, True]
    made = client.post(f"/api/jobs/{net}/rooms", json=asked | {"sides": sides, "lined": lined})
    assert made.json() == {"revision": 2}
    rooms = [room for one in client.get(f"/api/jobs/{net}/plan").json()["storeys"] for room in one["rooms"]]
    hook = next(room for room in rooms if room["id"] == "hook")
    assert hook["basis"] == "measured"
    assert hook["area_m2"] == 19.5


def test_the_page_of_the_building_has_plan_and_list(client: TestClient, net: str) -> None:
    page = client.get(f"/jobs/{net}").text
    assert 'class="storey-plan"' in page
    assert page.count('data-wall="N-1"') == page.count(' data-of="N-1"') == 1
    assert f"/jobs/{net}/rooms/net/look" in page
