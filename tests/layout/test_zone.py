"""What is free of a wall, held against an independent geometry library."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.layout.plain import PRACTICE, WALLS, door, obstacle, ring_area, wall, window

from innerleaf.layout.boards import board_area
from innerleaf.layout.grid import set_out_panels
from innerleaf.layout.pieces import Ring
from innerleaf.layout.setting import setting_for
from innerleaf.layout.shapes import Area, area_mm2, touches_disc
from innerleaf.layout.zone import Level, Zone, board_ring, intersect, nearest, spans_over, subtract, whole
from innerleaf.survey.wall import Meets, ObstacleKind, Wall

quick = settings(max_examples=150, deadline=None, derandomize=True, database=None)
spans = st.lists(st.tuples(st.integers(0, 99), st.integers(0, 99)), max_size=5).map(
    lambda ends: [(min(e), max(e)) for e in ends if e[0] != e[1]]
)

GABLE: Ring = ((0, 0), (6000, 0), (6000, 1000), (3000, 3000), (0, 1000))
POCKET: Ring = (
    (0, 0),
    (4000, 0),
    (4000, 500),
    (3000, 500),
    (3000, 2000),
    (4000, 2000),
    (4000, 2600),
    (0, 2600),
)


def free_region(some: Wall) -> shapely.Geometry:
    """Outline less openings, columns and beams, by the geometry library alone."""
    blocked = [(o.x_mm, o.sill_mm, o.right_mm, o.head_mm) for o in some.openings]
    blocked += [
        (o.x_mm, o.y_mm, o.x_mm + o.width_mm, o.y_mm + o.height_mm)
        for o in some.obstacles
        if o.kind in (ObstacleKind.COLUMN, ObstacleKind.BEAM)
    ]
    return shapely.Polygon(some.outline) - shapely.union_all([shapely.box(*b) for b in blocked])


def points(some: list[tuple[float, float]]) -> set[int]:
    """Unit cells that spans with whole ends cover."""
    return {k for a, b in some for k in range(int(a), int(b))}


@quick
@given(WALLS, st.floats(0, 1), st.integers(10, 400))
def test_clear_is_what_every_plumb_line_of_the_strip_has_free(some: Wall, along: float, wide: int) -> None:
    """A member put where the strip is not clear would stand in an opening or out of the wall.

    Each span, as a rectangle, lies in the free region; and nothing taller would: a millimetre more at
    either end leaves it.
    """
    zone, region = Zone(some), free_region(some).buffer(1e-6)
    left = round(zone.x0 + along * max(0, zone.x1 - zone.x0 - wide))

    clear = zone.clear(left, left + wide)

    for low, high in clear:
        assert region.covers(shapely.box(left, low, left + wide, high))
        assert not region.covers(shapely.box(left, low - 1, left + wide, high))
        assert not region.covers(shapely.box(left, low, left + wide, high + 1))
    for middle in range(int(zone.y0) + 5, int(zone.y1), 53):
        slice_free = region.covers(shapely.LineString([(left, middle), (left + wide, middle)]))
        assert slice_free == any(low - 1e-6 <= middle <= high + 1e-6 for low, high in clear)


@quick
@given(spans, st.tuples(st.integers(0, 99), st.integers(0, 99)).filter(lambda e: e[0] < e[1]))
def test_subtract_takes_away_exactly_the_stretch(
    some: list[tuple[float, float]], cut: tuple[int, int]
) -> None:
    assert points(subtract(some, *cut)) == points(some) - set(range(*cut))


@quick
@given(spans, spans)
def test_intersect_keeps_what_both_have(
    one: list[tuple[float, float]], two: list[tuple[float, float]]
) -> None:
    assert points(intersect(one, two)) == points(one) & points(two)


@pytest.mark.parametrize(
    ("ring", "xa", "xb", "expected"),
    [
        (GABLE, 0, 1500, [(0, 1000)]),
        (GABLE, 1500, 1500, [(0, 2000 - 1 / 3)]),  # half a millimetre to either side, on a slope of 2 in 3
        (GABLE, 2000, 4000, [(0, 1000 + 4000 / 3)]),
        (POCKET, 3200, 3300, [(0, 500), (2000, 2600)]),
        (POCKET, 2900, 3100, [(0, 500), (2000, 2600)]),
        (POCKET, 100, 2900, [(0, 2600)]),
        (POCKET, 3900, 4100, []),
    ],
)
def test_spans_of_known_outlines(
    ring: Ring, xa: float, xb: float, expected: list[tuple[float, float]]
) -> None:
    """A strip counts as free only where all of it is."""
    found = spans_over([ring], xa, xb)

    assert [pytest.approx(span) for span in expected] == found


@quick
@given(WALLS)
def test_levels_run_along_everything_that_is_not_plumb(some: Wall) -> None:
    """Tracks and head members: together as long as the edges of the free region that are not plumb."""
    zone = Zone(some)

    levels = zone.levels(zone.x0, zone.x1)

    region = free_region(some)
    level_length = 0.0
    for part in shapely.get_parts(region):
        for ring in (part.exterior, *part.interiors):
            level_length += sum(abs(b[0] - a[0]) for a, b in pairwise(ring.coords))
    assert sum(level.bx - level.ax for level in levels) == pytest.approx(level_length, abs=1e-3)


def test_levels_are_merged_into_one_stretch_past_an_opening() -> None:
    """A window does not cut the floor track in three; a door does cut it in two."""
    past_window = Zone(wall(openings=(window(2000),))).levels(0, 6000)
    past_door = Zone(wall(openings=(door(2000),))).levels(0, 6000)

    def floors(levels: list[Level]) -> list[tuple[float, float]]:
        return [(level.ax, level.bx) for level in levels if level.kind == "floor"]

    assert floors(past_window) == [(0, 6000)]
    assert floors(past_door) == [(0, 2000), (3000, 6000)]


def test_levels_of_a_window_are_its_sill_and_head() -> None:
    """A track under and over it, each as long as the window is wide."""
    levels = Zone(wall(openings=(window(2000, width=1200, sill=900, height=1100),))).levels(0, 6000)

    assert {(level.kind, level.of, level.ax, level.bx, level.ay) for level in levels if level.of} == {
        ("under", "N1", 2000, 3200, 900),
        ("over", "N1", 2000, 3200, 2000),
    }


def test_boards_keep_their_gaps_to_what_they_meet() -> None:
    """From memory: DIN 18181, 10 mm above the floor; 5 mm at head and ends, common practice, no source."""
    ring = board_ring(setting_for(wall(6000, 2600), PRACTICE))

    assert ring == ((5, 10), (5995, 10), (5995, 2595), (5, 2595))


def test_no_gap_where_the_lining_goes_on_or_stops_freely() -> None:
    """At an outer corner the boards of both walls meet; at an open end nothing is there to keep clear of."""
    free = wall(6000, 2600, meets=(Meets.SLAB, Meets.OUTER_CORNER, Meets.OPEN, Meets.INNER_CORNER))

    assert board_ring(setting_for(free, PRACTICE)) == ((0, 10), (6000, 10), (6000, 2600), (0, 2600))


@quick
@given(WALLS)
def test_boards_stay_inside_the_outline_by_the_gap(some: Wall) -> None:
    """Level and plumb edges moved in by their gap, area as the geometry library has it.

    Independent: the outline less a band along every edge (a parallelogram of the gap's height or width).
    """
    setting = setting_for(some, PRACTICE)
    region = shapely.Polygon(some.outline)
    for (ax, ay), (bx, by), meets in zip(
        some.outline, some.outline[1:] + some.outline[:1], some.meets, strict=True
    ):
        gap = 0
        if meets not in (Meets.OPEN, Meets.OUTER_CORNER, Meets.INNER_CORNER):
            if ax == bx:
                gap = setting.gaps.side_mm
            else:
                gap = setting.gaps.floor_mm if bx > ax else setting.gaps.head_mm
        if gap:
            dx, dy = (gap, 0) if ax == bx else (0, gap)
            band = [(ax - dx, ay - dy), (bx - dx, by - dy), (bx + dx, by + dy), (ax + dx, ay + dy)]
            region = region - shapely.Polygon(band)

    ours = shapely.Polygon(board_ring(setting))

    assert ours.is_valid
    # What a shifted corner takes or leaves at a reflex corner is at most one gap by another.
    assert ours.symmetric_difference(region).area <= 20 * 20 * len(some.outline)
    assert shapely.Polygon(some.outline).buffer(1e-6).covers(ours)


@quick
@given(WALLS)
def test_the_area_for_boards_leaves_out_what_is_in_the_way(some: Wall) -> None:
    """Openings flush, columns and beams with a gap all round, movement joints with theirs."""
    setting, zone = setting_for(some, PRACTICE), Zone(some)
    joints, grids = set_out_panels(setting, zone)
    boxes = [(o.x_mm, o.sill_mm, o.right_mm, o.head_mm) for o in some.openings]
    boxes += [
        (o.x_mm - 5, o.y_mm - setting.gaps.head_mm, o.x_mm + o.width_mm + 5, 99_999)
        for o in some.obstacles
        if o.kind in (ObstacleKind.COLUMN, ObstacleKind.BEAM)
    ]
    boxes += [(x - 10, -99_999, x + 10, 99_999) for x in joints]
    expected = shapely.Polygon(board_ring(setting)) - shapely.union_all([shapely.box(*b) for b in boxes])

    ours = sum(area_mm2(part) for part in board_area(setting, zone, grids).parts())

    assert ours == pytest.approx(expected.area, abs=len(boxes) + 1)


@quick
@given(WALLS, st.lists(st.tuples(*[st.integers(0, 9000)] * 4), min_size=1, max_size=4))
def test_cells_cut_out_of_an_area_are_those_of_the_geometry_library(
    some: Wall, corners: list[tuple[int, int, int, int]]
) -> None:
    """Plain cells are cut without the library; the shortcut may not change a square millimetre."""
    boxes = [(min(a, c), min(b, d), max(a, c) + 1, max(b, d) + 1) for a, b, c, d in corners]
    region = free_region(some)
    blocked = [(b.x0, b.y0, b.x1, b.y1) for b in Zone(some).blockers]

    cells = Area(some.outline, blocked).cells(boxes)

    for box, parts in zip(boxes, cells, strict=True):
        ours = shapely.union_all([shapely.Polygon(*part) for part in parts])
        assert ours.symmetric_difference(region & shapely.box(*box)).area < 2


def test_rings_run_counter_clockwise_from_their_lower_left() -> None:
    """What reads the plan may rely on the direction and the first vertex."""
    (ring, holes), *_ = Area(GABLE, [(2500, 500, 3500, 1500)]).parts()

    assert ring_area(ring) == 6000 * 1000 + 6000 * 2000 / 2
    assert ring[0] == GABLE[0]
    assert [ring_area(hole) for hole in holes] == [1000 * 1000]


@pytest.mark.parametrize(
    ("x", "y", "touches"), [(50, 50, True), (-5, 50, True), (-15, 50, False), (150, 150, False)]
)
def test_a_disc_touches_a_part_that_it_overlaps(x: float, y: float, touches: bool) -> None:
    """A socket at the edge of a board cuts into it; one beside it does not."""
    hole: Ring = ((130, 130), (170, 130), (170, 170), (130, 170))

    assert touches_disc((((0, 0), (200, 0), (200, 200), (0, 200)), (hole,)), x, y, 10) is touches


@given(st.integers(-9999, 9999), st.integers(-9999, 9999))
@quick
def test_rounding_does_not_depend_on_where_the_wall_lies(value: int, moved: int) -> None:
    """Halves go up everywhere, so that moving the datum moves every piece by just as much."""
    assert nearest(value / 2 + moved) == nearest(value / 2) + moved


def test_whole_keeps_what_is_no_rounding_noise() -> None:
    """A raked vertex is not a whole millimetre and must not become one."""
    assert whole(1200.0000000001) == 1200
    assert whole(1200.25) == 1200.25


def test_columns_stand_in_the_way_and_pipes_do_not() -> None:
    """A pipe passes through the lining, a radiator hangs on it: neither stops a member."""
    for kind in ObstacleKind:
        some = Zone(wall(obstacles=(obstacle(kind, 2000, 0, 300, 2600),)))
        stops = kind in (ObstacleKind.COLUMN, ObstacleKind.BEAM)

        assert (some.clear(2100, 2200) == []) is stops


def test_a_rectangle_is_known_as_one_wherever_it_lies() -> None:
    """Only rectangles take the short way."""
    here = wall()
    assert Zone(here).rectangle
    assert Zone(replace(here, outline=tuple((x - 70, y + 30) for x, y in here.outline))).rectangle
    assert not Zone(replace(here, outline=((0, 0), (6000, 0), (6000, 2600), (0, 2500)))).rectangle
