"""Rooms on plan: outlines close, nothing overlaps, what the job says is kept."""

from __future__ import annotations

from math import isclose
from pathlib import Path
from typing import Any

import pytest
import yaml
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import Polygon

from innerleaf.errors import FileFaults
from innerleaf.job.model import Job
from innerleaf.job.outline import Point
from innerleaf.job.read import read_job_text
from innerleaf.survey.polygons import contains, overlap
from innerleaf.survey.room_outline import Basis, RoomOutline
from innerleaf.survey.storey_plan import PlacedRoom, plan_storeys

BASE: dict[str, Any] = {
    "format": 1,
    "site": {"name": "Lock House (invented)"},
    "constructions": {"brick": [{"material": "brick-1800", "thickness": 240}]},
    "linings": {"warm": {"way": "stud and track", "profile": "CW-75", "boards": ["board-A-12.5"]}},
    "defaults": {"construction": "brick", "lining": "warm", "height": 2600},
}


def _job(rooms: list[dict[str, Any]], walls: list[dict[str, Any]], **more: Any) -> Job:
    text = yaml.safe_dump({**BASE, "rooms": rooms, "walls": walls, **more}, sort_keys=False)
    return read_job_text(text, Path("job.yaml"))


def _walls(room: str, *lengths: int, **more: Any) -> list[dict[str, Any]]:
    return [
        {"id": f"{room}-{n}", "room": room, "length": length, **more} for n, length in enumerate(lengths, 1)
    ]


def _one(job: Job) -> PlacedRoom:
    (storey,) = plan_storeys(job)
    (room,) = storey.rooms
    return room


def _sound(outline: RoomOutline) -> None:
    """Closed, without crossings, its area as another library has it."""
    polygon = Polygon(outline.ring)
    assert polygon.is_valid
    assert not polygon.exterior.is_ccw
    assert outline.area_m2 == pytest.approx(polygon.area / 1e6)
    for side, after in zip(outline.sides, (*outline.sides[1:], outline.sides[0]), strict=True):
        assert side.b == after.a


def test_measured_sides_are_the_outline_whatever_the_walls() -> None:
    """By hand: an L of 5 x 4.5 m less 2 x 1.5 m is 19.5 m2."""
    sides = [
        {"wall": "living-1"},
        {"length": 3000},
        {"length": 2000, "turn": -90},
        {"length": 1500},
        {"length": 3000, "wall": "living-2"},
        {"length": 4500},
    ]
    room = _one(_job([{"id": "living", "sides": sides}], _walls("living", 5000, 2900)))
    assert room.outline.basis is Basis.MEASURED
    assert room.outline.area_m2 == pytest.approx(19.5)
    on = [[(lined.wall, lined.end_mm) for lined in side.walls] for side in room.outline.sides]
    assert on == [[("living-1", 5000)], [], [], [], [("living-2", 2900)], []]
    _sound(room.outline)


def test_four_walls_that_close_are_a_room_and_three_are_a_sketch() -> None:
    closed = _one(_job([{"id": "a"}], _walls("a", 4200, 3100, 4210, 3100)))
    assert closed.outline.basis is Basis.WALLS
    assert closed.outline.miss_mm == 10
    assert closed.outline.area_m2 == pytest.approx(4.205 * 3.1, rel=1e-3)
    three = _one(_job([{"id": "a"}], _walls("a", 4200, 3100, 4200)))
    assert three.outline.basis is Basis.SKETCH
    assert three.outline.basis.value == "sketch: not measured"
    assert three.outline.area_m2 == pytest.approx(4.2 * 3.1)
    assert three.outline.sides[3].walls == ()


def test_a_bay_turns_left_at_external_corners() -> None:
    """By hand: 6.6 x 5.4 m and a bay of 2.3 x 1.25 m before it."""
    walls = _walls("b", 1700, 1250, 2300, 1250, 2600, 5400)
    walls[0]["meets"] = {"right": "external corner"}
    walls[3]["meets"] = {"right": "external corner"}
    outline = _one(_job([{"id": "b"}], walls)).outline
    assert outline.area_m2 == pytest.approx(6.6 * 5.4 + 2.3 * 1.25)
    _sound(outline)


def test_a_room_stands_where_the_job_says_and_turns_clockwise() -> None:
    place = {"x": 1000, "y": 2000, "turn": 90}
    room = _one(_job([{"id": "a", "place": place}], _walls("a", 4000, 3000, 4000, 3000)))
    assert room.given
    assert room.ring == ((1000, 2000), (1000, -2000), (-2000, -2000), (-2000, 2000))


def test_outer_walls_look_away_from_other_rooms_and_the_way_they_face() -> None:
    rooms = [{"id": "street"}, {"id": "yard"}]
    walls = [
        *_walls("street", 4000, orientation="south"),
        *_walls("yard", 3800, orientation="north"),
    ]
    (storey,) = plan_storeys(_job(rooms, walls))
    street, yard = storey.rooms
    assert storey.north_deg == 0
    assert street.turn_deg == 180
    assert yard.turn_deg == 0
    assert street.box[3] < yard.box[1]  # the street is down the plan


def test_a_room_named_beyond_a_side_lies_there() -> None:
    sides = [{"length": 4000}, {"length": 3000, "beyond": "hall"}, {"length": 4000}, {"length": 3000}]
    rooms: list[dict[str, Any]] = [{"id": "bed", "sides": sides}, {"id": "cellar"}, {"id": "hall"}]
    walls = [*_walls("cellar", 9000, 4000), *_walls("hall", 2000, 3000)]
    (storey,) = plan_storeys(_job(rooms, walls))
    bed, _, hall = storey.rooms
    assert 0 < hall.box[0] - bed.box[2] < 500
    assert hall.box[1] < bed.box[3]
    assert hall.box[3] > bed.box[1]


def test_flats_are_set_side_by_side_with_their_rooms_in_the_same_places() -> None:
    kind = {
        "rooms": [{"id": "a", "place": {"x": 0, "y": 0}}, {"id": "b", "place": {"x": 5000, "y": 0}}],
        "walls": [*_walls("a", 4000, 3000), *_walls("b", 3000, 3000)],
    }
    more = {"flat_types": {"small": kind}, "flats": [{"type": "small", "ids": ["F1", "F2"]}]}
    (storey,) = plan_storeys(_job([], [], **more))
    first, second, third, fourth = storey.rooms
    assert (second.x_mm - first.x_mm, fourth.x_mm - third.x_mm) == (5000, 5000)
    assert third.box[0] > second.box[2]


def test_places_over_one_another_are_told() -> None:
    rooms: list[dict[str, Any]] = [
        {"id": name, "place": {"x": x, "y": 0}} for name, x in (("a", 0), ("b", 3000), ("c", 9000))
    ]
    walls = [wall for name in "abc" for wall in _walls(name, 4000, 3000)]
    (storey,) = plan_storeys(_job(rooms, walls))
    assert storey.clashes == (("a", "b"),)


@pytest.mark.parametrize(
    ("side", "accepted"),
    [
        ({"wall": "b-1"}, "walls of room a"),
        ({"wall": "a-1"}, "each wall on one side"),
        ({"turn": 90}, "the length of the side in mm, or its wall"),
        ({"length": 3000, "beyond": "a"}, "ids of other rooms"),
        ({"length": 3000, "turn": 400}, "360 degrees or less"),
    ],
)
def test_sides_that_do_not_go_together_are_said(side: dict[str, Any], accepted: str) -> None:
    rooms: list[dict[str, Any]] = [
        {"id": "a", "sides": [{"wall": "a-1"}, {"length": 3000}, side]},
        {"id": "b"},
    ]
    with pytest.raises(FileFaults) as caught:
        _job(rooms, [*_walls("a", 4000), *_walls("b", 3000)])
    assert accepted in str(caught.value)
    assert "room a" in str(caught.value)


LENGTHS = st.lists(st.integers(300, 9000), min_size=1, max_size=7)
ROOMS = st.lists(
    st.tuples(LENGTHS, st.sampled_from([None, "north", "south-west"]), st.booleans()), min_size=1, max_size=6
)


@settings(max_examples=20, deadline=None)
@given(ROOMS)
def test_outlines_close_and_rooms_put_there_overlap_nothing(
    rooms: list[tuple[list[int], str | None, bool]],
) -> None:
    said = [
        {"id": f"r{n}"} | ({"place": {"x": 30_000 * n, "y": 0, "turn": 30.0}} if placed else {})
        for n, (_, _, placed) in enumerate(rooms)
    ]
    walls = [
        wall
        for n, (lengths, faces, _) in enumerate(rooms)
        for wall in _walls(f"r{n}", *lengths, **({"orientation": faces} if faces else {}))
    ]
    (storey,) = plan_storeys(_job(said, walls))
    assert [one.room.id for one in storey.rooms] == [one["id"] for one in said]
    shapes = []
    for one, (lengths, _, placed) in zip(storey.rooms, rooms, strict=True):
        _sound(one.outline)
        lined = [lined for side in one.outline.sides for lined in side.walls]
        assert [round(part.end_mm - part.start_mm) for part in lined if lined] == _as_sided(one, lengths)
        assert one.given == placed
        shapes.append((one, Polygon(one.ring)))
    for n, (one, shape) in enumerate(shapes):
        for other, another in shapes[n + 1 :]:
            if not (one.given and other.given):
                assert shape.intersection(another).area == 0


def _as_sided(one: PlacedRoom, lengths: list[int]) -> list[int]:
    """Lengths of the walls in the order of the sides; the plain rectangle deals them out by fours."""
    names = [part.wall for side in one.outline.sides for part in side.walls]
    assert sorted(names) == sorted(f"{one.room.id}-{n}" for n in range(1, len(lengths) + 1))
    return [lengths[int(name.rpartition("-")[2]) - 1] for name in names]


CORNERS = st.tuples(st.integers(-40, 40), st.integers(-40, 40))
STARS = st.lists(CORNERS, min_size=3, max_size=7, unique=True)


@settings(max_examples=100, deadline=None)
@given(STARS, STARS)
def test_overlap_is_what_another_library_finds(one: list[Point], other: list[Point]) -> None:
    a, b = Polygon(one), Polygon(other)
    if not (a.is_valid and b.is_valid and a.area and b.area):
        return
    shared = a.intersection(b).area
    if isclose(shared, 0, abs_tol=1e-6):
        assert shared > 0 or not overlap(one, other)
    else:
        assert overlap(one, other)


def test_a_point_on_a_side_is_not_inside() -> None:
    ring = ((0, 0), (10, 0), (10, 10), (0, 10))
    assert contains(ring, (5, 5))
    assert not contains(ring, (5, 0))
    assert not contains(ring, (15, 5))
