"""Two revisions held against each other: what changed, and both drawings datum on datum."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from tests.web.conftest import SMALL

from innerleaf.web.compare import overlay, piece_changes, wall_changes
from innerleaf.web.desk import Desk

if TYPE_CHECKING:
    from fastapi.testclient import TestClient


def test_walls_that_came_went_and_changed(desk: Desk, small: str) -> None:
    text = (
        SMALL.replace("id: W2", "id: W4").replace("x: 800", "x: 1400").replace("length: 2400", "length: 2500")
    )
    desk.write(small, 1, text, who="Ben", what="measured again")
    changes = wall_changes(desk.open(small, 1), desk.open(small, 2))
    assert [(one.wall, one.how, one.fields) for one in changes] == [
        ("W1", "changed", ("openings",)),
        ("W4", "new", ()),
        ("W3", "changed", ("outline",)),
        ("W2", "gone", ()),
    ]
    assert wall_changes(desk.open(small, 1), desk.open(small, 1)) == []


def test_both_drawings_lie_datum_on_datum(desk: Desk, small: str) -> None:
    first = desk.plan(desk.open(small), "W1")
    edited = desk.set_field(small, 1, "W1", "height", 3100, who="Ben")
    assert edited.plan is not None
    drawn = overlay(first, edited.plan)
    moved = re.search(r'class="before" transform="translate\(([-\d.]+) ([-\d.]+)\)"', drawn)
    assert moved is not None
    assert (float(moved[1]), float(moved[2])) == (0.0, 20.0)  # 500 mm lower, at 1:25
    assert drawn.count("<svg") == drawn.count("</svg>") == 1
    assert "<style" not in drawn
    assert piece_changes(first, first) == []


def test_the_page_shows_them(client: TestClient, small: str) -> None:
    client.put(f"/api/jobs/{small}/walls/W2/length", json={"base": 1, "value": 3900})
    page = client.get(f"/jobs/{small}/compare", params={"before": 1, "after": 2})
    assert page.status_code == 200
    assert "Wall W2: changed" in page.text
    assert "Different: outline." in page.text
    assert client.get(f"/jobs/{small}/compare", params={"before": 1, "after": 9}).status_code == 404
    assert client.get(f"/jobs/{small}/compare", params={"before": 0, "after": 1}).status_code == 422
