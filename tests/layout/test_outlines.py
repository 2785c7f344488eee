"""Walls that are no rectangles: gables, stair rakes, steps, pockets, dadoes."""

from __future__ import annotations

from itertools import pairwise
from math import atan2, degrees

import pytest
import shapely
from tests.layout.plain import BRACKETED, FREE, bars_of, codes, plan, ring_area, runs_of, standing_at, wall

from innerleaf.layout.pieces import Role, RunKind, WallPlan
from innerleaf.survey.wall import Meets, Point, Wall, Way

SLAB, MASONRY, ROOF = Meets.SLAB, Meets.MASONRY, Meets.ROOF

both = pytest.mark.parametrize("way", [BRACKETED, FREE])

SHAPES: dict[str, tuple[tuple[Point, ...], tuple[Meets, ...]]] = {
    "gable": (
        ((0, 0), (6000, 0), (6000, 1000), (3000, 2800), (0, 1000)),
        (SLAB, MASONRY, ROOF, ROOF, MASONRY),
    ),
    "lean-to": (((0, 0), (5000, 0), (5000, 1200), (0, 2700)), (SLAB, MASONRY, ROOF, MASONRY)),
    "stair rake": (((0, 0), (4000, 2400), (4000, 5000), (0, 2600)), (SLAB, MASONRY, SLAB, MASONRY)),
    "stepped head": (
        ((0, 0), (6000, 0), (6000, 2100), (3500, 2100), (3500, 2700), (0, 2700)),
        (SLAB, MASONRY, SLAB, MASONRY, SLAB, MASONRY),
    ),
    "stepped floor": (
        ((0, 0), (2500, 0), (2500, 450), (6000, 450), (6000, 2700), (0, 2700)),
        (SLAB, MASONRY, SLAB, MASONRY, SLAB, MASONRY),
    ),
    "pocket": (
        ((0, 0), (4000, 0), (4000, 500), (3300, 500), (3300, 2000), (4000, 2000), (4000, 2600), (0, 2600)),
        (SLAB, MASONRY, SLAB, MASONRY, SLAB, MASONRY, SLAB, MASONRY),
    ),
}

shapes = pytest.mark.parametrize("shape", list(SHAPES))


def shaped(shape: str, way: Way = FREE) -> Wall:
    outline, meets = SHAPES[shape]
    return wall(way=way, outline=outline, meets=meets)


@both
@shapes
def test_boards_tile_the_shape_without_overlap(shape: str, way: Way) -> None:
    """The pieces of a layer, laid side by side, are the shape less its gaps."""
    some = plan(shaped(shape, way))
    wanted = shapely.union_all([shapely.Polygon(*part) for part in some.board_area])

    for layer in (1, 2):
        pieces = [shapely.Polygon(p.ring, p.holes) for p in some.boards if p.layer == layer]
        assert shapely.union_all(pieces).symmetric_difference(wanted).area < 1
        assert sum(piece.area for piece in pieces) == pytest.approx(wanted.area, abs=1)
    lost = ring_area(some.wall.outline) - wanted.area
    edges = zip(some.wall.outline, some.wall.outline[1:] + some.wall.outline[:1], strict=True)
    assert 0 < lost < 10 * sum(abs(a[0] - b[0]) + abs(a[1] - b[1]) for a, b in edges)


@both
@shapes
def test_members_stand_inside_the_shape(shape: str, way: Way) -> None:
    """A stud that pokes through the roof cannot be put up."""
    some = plan(shaped(shape, way))
    outline = shapely.Polygon(some.wall.outline).buffer(1e-6)

    for m in some.members:
        raked = any(b.skew_a_deg or b.skew_b_deg for b in some.bars if b.member == m.mark)
        if not raked:
            half = m.face_mm / 2
            assert outline.covers(shapely.box(m.x_mm - half, m.bottom_mm, m.x_mm + half, m.top_mm))
        assert outline.covers(shapely.LineString([(m.x_mm, m.bottom_mm), (m.x_mm, m.top_mm)]))


@both
@shapes
def test_nothing_else_is_wrong_with_the_shape(shape: str, way: Way) -> None:
    """These shapes can be lined by every rule; only a free-standing stair wall may be too high."""
    assert codes(plan(shaped(shape, way))) <= {"L102"}


@both
@shapes
def test_wool_fills_the_shape(shape: str, way: Way) -> None:
    """No hollow left under the rake."""
    some = plan(shaped(shape, way))

    filled = sum(ring_area(slab.ring) for slab in some.slabs)

    assert filled == pytest.approx(ring_area(some.wall.outline), abs=2)


@pytest.mark.parametrize(("shape", "rise", "run"), [("lean-to", -1500, 5000), ("gable", 1800, 3000)])
def test_studs_under_a_slope_are_cut_skew_to_their_longer_side(shape: str, rise: int, run: int) -> None:
    """The angle of the cut is the slope, and the length to cut is that of the longer flange.

    Half of the flange's width on the slope is added to the height at the centre line, less 10 mm.
    """
    some = plan(shaped(shape))
    outline = some.wall.outline

    seen = 0
    for bar in bars_of(some, Role.GRID, Role.JOINT, Role.END):
        if not (rise > 0 and bar.ax_mm > 2950):  # of the gable its left slope
            top = outline[-1][1] + rise * bar.ax_mm / run
            longer = top + abs(rise) / run * 50 / 2 - 10
            assert bar.length_mm == pytest.approx(longer, abs=1)
            assert bar.length_mm >= longer - 1e-6
            assert bar.skew_b_deg == pytest.approx(degrees(atan2(rise, run)), abs=0.06)
            assert bar.skew_a_deg == 0
            seen += 1
    assert seen >= 4


def test_along_a_stair_both_ends_are_cut_to_the_same_angle() -> None:
    """Floor and head rise alike: a parallelogram of a stud, longer by the rise over its flange."""
    some = plan(shaped("stair rake"))

    for bar in bars_of(some, Role.GRID, Role.JOINT):
        assert bar.skew_a_deg == bar.skew_b_deg == pytest.approx(degrees(atan2(2400, 4000)), abs=0.06)
        assert bar.length_mm == pytest.approx(2600 - 10 + 50 * 2400 / 4000, abs=1)


def test_tracks_follow_the_stair() -> None:
    """Floor and head tracks are as long as the slope, not as its plan."""
    some = plan(shaped("stair rake"))

    for role in (Role.FLOOR_TRACK, Role.HEAD_TRACK):
        assert sum(b.length_mm for b in bars_of(some, role)) == pytest.approx(
            (4000**2 + 2400**2) ** 0.5, abs=1
        )


@both
def test_a_step_of_the_head_has_its_track_and_a_member_beside_it(way: Way) -> None:
    """Head tracks at both heights, and steel along the downstand."""
    some = plan(shaped("stepped head", way))

    heads = {(b.ax_mm, b.bx_mm, b.ay_mm + b.face_mm / 2) for b in bars_of(some, Role.HEAD_TRACK)}
    assert min(a for a, _, y in heads if y == 2100) == 3500
    assert max(b for _, b, y in heads if y == 2700) == 3500
    assert [m.x_mm + m.face_mm / 2 for m in some.members if m.role == Role.EDGE] == [3500]


@both
def test_members_over_and_under_a_pocket_are_cut_to_it(way: Way) -> None:
    """The lining goes on below and above what stands in the wall's way."""
    some = plan(shaped("pocket", way))

    beyond = {(m.bottom_mm, m.top_mm) for m in some.members if m.x_mm > 3300}

    assert beyond == {(0, 490), (2000, 2590)}


@both
def test_a_dado_stops_freely_at_its_top(way: Way) -> None:
    """1.2 m high, open above: no gap, an edge bead along the top, nothing fixed or sealed there."""
    some = plan(wall(4000, 1200, way, meets=(SLAB, MASONRY, Meets.OPEN, MASONRY)))

    assert max(y for p in some.boards for _, y in p.ring) == 1200
    assert [(r.ay_mm, r.by_mm, r.length_mm) for r in runs_of(some, RunKind.EDGE_BEAD)] == [(1200, 1200, 3990)]
    heads = {bar.mark for bar in bars_of(some, Role.HEAD_TRACK)}
    assert heads
    assert not heads & {line.bar for line in some.fixings}
    assert not heads & {run.note for run in runs_of(some, RunKind.SEALING_STRIP)}
    assert not codes(some)


@both
def test_studs_under_the_ridge_stand_as_close_as_elsewhere(way: Way) -> None:
    """The ridge is no reason to skip a stud."""
    some: WallPlan = plan(shaped("gable", way))

    for y in (500, 1500, 2000):
        assert all(b.x_mm - a.x_mm <= 600 for a, b in pairwise(standing_at(some, y)))
