"""A room in space: solids are the pieces and stand in their walls and their room; the floor lost is right."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import Point, Polygon
from shapely.ops import unary_union
from tests.documents.small_house import house

from innerleaf.documents.look import FRAME, SCREWS, Solid, layers_of_wall, trapezoids
from innerleaf.documents.look_picture import lost_picture, room_picture
from innerleaf.documents.look_room import RoomLook, area_m2, lined_outline, look_of_room
from innerleaf.layout.pieces import FACE
from innerleaf.survey.room_outline import Basis, Lined, PlanSide, RoomOutline


def _area(solid: Solid) -> float:
    return (solid.x1 - solid.x0) * (solid.high0 - solid.low0 + solid.high1 - solid.low1) / 2


def _ring(solid: Solid) -> Polygon:
    return Polygon(
        [(solid.x0, solid.low0), (solid.x1, solid.low1), (solid.x1, solid.high1), (solid.x0, solid.high0)]
    )


def _look(room: int = 0) -> RoomLook:
    placed = house().storey.rooms[room]
    return look_of_room(placed.outline, house().walls, house().plans, house().practice)


CORNERS = st.lists(st.tuples(st.integers(0, 40), st.integers(0, 40)), min_size=3, max_size=8, unique=True)


@settings(max_examples=80, deadline=None)
@given(CORNERS)
def test_trapezoids_cover_an_outline_once(corners: list[tuple[int, int]]) -> None:
    outline = Polygon(corners)
    if not outline.is_valid or not outline.area:
        return
    parts = [_ring(Solid(*part, 0, 1)) for part in trapezoids([corners])]
    assert sum(part.area for part in parts) == pytest.approx(outline.area)
    assert unary_union([part.buffer(1e-9) for part in parts]).symmetric_difference(outline).area < 1e-5


@pytest.mark.parametrize("wall", ["N-1", "N-2", "N-3", "C-2"])
def test_boards_have_the_area_of_the_layout_and_stand_within_their_wall(wall: str) -> None:
    plan = house().plans[wall]
    outline = Polygon(plan.wall.outline).buffer(0.5)
    layers = {layer.name: layer for layer in layers_of_wall(plan, house().practice)}
    for number in range(1, len(plan.wall.lining.boards) + 1):
        solids = layers[f"boards-{number}"].solids
        depth = {(solid.near, solid.far) for solid in solids if solid.near > 0}
        face = [solid for solid in solids if (solid.near, solid.far) in depth]
        boards = [board for board in plan.boards if board.plane == FACE and board.layer == number]
        wanted = sum(Polygon(board.ring, board.holes).area for board in boards)
        assert sum(_area(solid) for solid in face) == pytest.approx(wanted)
        assert all(outline.contains(_ring(solid)) for solid in solids)
    ends = [solid.far for layer in layers.values() for solid in layer.solids]
    assert max(ends) == pytest.approx(plan.build_up.total_mm)


def test_the_frame_lies_between_old_wall_and_boards_and_every_bar_is_there() -> None:
    for plan in house().plans.values():
        layers = {layer.name: layer for layer in layers_of_wall(plan, house().practice)}
        front = plan.build_up.frame_back_mm + plan.build_up.frame_depth_mm
        assert len(layers[FRAME].edges) == len(plan.bars)
        for solid in layers[FRAME].solids:
            assert plan.build_up.frame_back_mm <= solid.near < solid.far <= front
        assert len(layers[SCREWS].points) == sum(len(line.places_mm) for line in plan.screws)


def test_linings_face_into_the_room_and_pierce_nothing() -> None:
    """Every corner of every piece of a lining lies in the room; reveals alone reach out of it."""
    look = _look()
    room = Polygon(look.before).buffer(1)
    for wall in look.walls:
        for layer in wall.layers:
            if layer.step == 0:
                continue
            for solid in layer.solids:
                if solid.near < 0:
                    continue
                for x in (solid.x0, solid.x1):
                    for depth in (solid.near, solid.far):
                        assert room.contains(Point(wall.in_room(x, depth)))


def test_the_old_wall_stands_outside_the_room_and_is_open_where_windows_are() -> None:
    look = _look()
    window = look.walls[0]
    old = next(layer for layer in window.layers if layer.name == "old")
    assert {solid.far for solid in old.solids} == {0.0}
    within = [solid for solid in old.solids if solid.x1 <= 4200]
    assert sum(map(_area, within)) == pytest.approx(4200 * 2600 - 1100 * 1300)
    assert window.in_room(0, -100) == (0, 100)


def test_the_floor_that_linings_take() -> None:
    """By hand: 4.2 x 3.6 m; 20 + 75 + 25 = 120 mm off two sides, 60 + 27 + 12.5 = 99.5 mm off the third."""
    look = _look()
    assert look.before_m2 == pytest.approx(15.12)
    assert look.after_m2 == pytest.approx((4.2 - 0.12) * (3.6 - 0.12 - 0.0995))


def test_a_lining_on_part_of_a_side_takes_its_own_strip() -> None:
    sides = (
        PlanSide((0, 0), (4000, 0), (Lined("a", 1000, 3000),)),
        PlanSide((4000, 0), (4000, -3000)),
        PlanSide((4000, -3000), (0, -3000)),
        PlanSide((0, -3000), (0, 0)),
    )
    after = lined_outline(RoomOutline(sides=sides, basis=Basis.MEASURED), {"a": 100.0})
    assert area_m2(after) == pytest.approx(12 - 2 * 0.1)
    assert Polygon(after).is_valid


def test_at_a_skew_corner_linings_meet_on_its_bisector() -> None:
    """By hand: the sides are 5, 4 and 3 m; within strips of one depth a triangle of the same shape is left.

    Its inscribed circle had a radius of 1 m, and has 0.9 m within strips of 100 mm.
    """
    ring = [(0, 0), (5000, 0), (1800, -2400)]
    sides = tuple(
        PlanSide(a, b, (Lined(str(n), 0, round(((b[0] - a[0]) ** 2 + (b[1] - a[1]) ** 2) ** 0.5)),))
        for n, (a, b) in enumerate(zip(ring, [*ring[1:], ring[0]], strict=True))
    )
    after = lined_outline(RoomOutline(sides=sides, basis=Basis.MEASURED), {"0": 100, "1": 100, "2": 100})
    assert area_m2(after) == pytest.approx(6 * 0.9**2)


@settings(max_examples=60, deadline=None)
@given(st.lists(st.integers(0, 400), min_size=6, max_size=6))
def test_what_is_lost_is_what_another_library_cuts_off(depths: list[int]) -> None:
    """A room round a corner, its linings of any depth: the old outline less every strip."""
    corners = [(0, 0), (5000, 0), (5000, -3000), (3000, -3000), (3000, -4500), (0, -4500)]
    ends = list(zip(corners, [*corners[1:], corners[0]], strict=True))
    sides = tuple(
        PlanSide(a, b, (Lined(str(n), 0, abs(b[0] - a[0]) + abs(b[1] - a[1])),))
        for n, (a, b) in enumerate(ends)
    )
    after = lined_outline(
        RoomOutline(sides=sides, basis=Basis.MEASURED), {str(n): float(d) for n, d in enumerate(depths)}
    )
    left = 5000 - depths[1], 4500 - depths[0] - depths[4]
    wanted = Polygon(
        [
            (depths[5], -depths[0]),
            (left[0], -depths[0]),
            (left[0], -3000 + depths[2]),
            (3000 - depths[3], -3000 + depths[2]),
            (3000 - depths[3], -4500 + depths[4]),
            (depths[5], -4500 + depths[4]),
        ]
    )
    assert area_m2(after) == pytest.approx(wanted.area / 1e6)


def test_the_still_picture_shows_far_walls_and_the_floor() -> None:
    picture = room_picture(_look())
    for name in ("floor", "lost", "old", "frame", "board", "windows"):
        assert f'class="{name}"' in picture
    assert "nan" not in picture
    assert lost_picture(_look()).count("<path") == 2


def test_a_wall_without_a_plan_is_shown_as_found() -> None:
    placed = house().storey.rooms[0]
    look = look_of_room(placed.outline, house().walls, {}, house().practice)
    assert look.before_m2 == look.after_m2
    assert {layer.step for wall in look.walls for layer in wall.layers} == {0}
