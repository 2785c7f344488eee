"""A room to look at: its pieces as numbers, and a page that says the same without them."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from tests.documents.small_house import TEXT, house

from innerleaf.web.desk import JOB_FILE, Desk

if TYPE_CHECKING:
    from fastapi.testclient import TestClient


@pytest.fixture
def net(desk: Desk) -> str:
    """Two rooms that are measured and placed."""
    return desk.take_in({JOB_FILE: TEXT}, who="Ada").line.document


def test_pieces_come_as_whole_numbers_by_wall_and_layer(client: TestClient, net: str) -> None:
    answer = client.get(f"/api/jobs/{net}/rooms/net/look")
    look = answer.json()
    assert (look["before_m2"], look["height"]) == (15.12, 2600)
    assert look["after_m2"] < look["before_m2"]
    assert [wall["id"] for wall in look["walls"]] == ["N-1", "N-2", "N-3", ""]
    first = {layer["name"]: layer for layer in look["walls"][0]["layers"]}
    assert set(first) == {"old", "windows", "insulation", "frame", "boards-1", "boards-2", "screws"}
    screws = sum(len(line.places_mm) for line in house().plans["N-1"].screws)
    assert len(first["screws"]["points"]) == 3 * screws
    for layer in first.values():
        assert len(layer["solids"]) % 8 == 0
        for at in range(0, len(layer["solids"]), 8):
            x0, x1, low0, low1, high0, high1, near, far = layer["solids"][at : at + 8]
            assert x0 < x1
            assert low0 <= high0
            assert low1 <= high1
            assert near < far
    assert len(answer.content) < 100_000


def test_the_page_says_what_floor_is_lost_and_has_a_picture_without_a_script(
    client: TestClient, net: str
) -> None:
    page = client.get(f"/jobs/{net}/rooms/net/look").text
    assert "net room, lined" in page
    assert 'class="still"' in page
    assert "15.12 m²" in page
    assert "Boards, layer 2" in page
    assert " style=" not in page


def test_a_room_that_is_not_there_is_not_found(client: TestClient, net: str) -> None:
    refused = client.get(f"/api/jobs/{net}/rooms/tower/look")
    assert refused.status_code in (404, 422)
    assert "a room of this job that has walls" in refused.json()["error"]


def test_walls_to_be_chosen_are_shown_as_found(client: TestClient, small: str) -> None:
    look = client.get(f"/api/jobs/{small}/rooms/kitchen/look").json()
    layers = {wall["id"]: {layer["name"] for layer in wall["layers"]} for wall in look["walls"]}
    assert "frame" in layers["W2"]
    assert layers["W3"] == {"old"}
