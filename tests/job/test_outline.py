"""Plain geometry of outlines."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st
from tests.job.two_rooms import one_wall, wall

from innerleaf.job.outline import (
    area_twice,
    cut_at_height,
    first_clash,
    from_bottom_left,
    greatest_chord,
    holds,
    inside,
    sides,
)

GABLE = ((0, 0), (4000, 0), (4000, 1000), (2000, 3000), (0, 1000))
STAIR = ((0, 0), (3000, 1800), (3000, 4200), (0, 2400))
STEPPED = ((0, 0), (2000, 0), (2000, 400), (3000, 400), (3000, 2500), (0, 2500))


def test_each_side_is_named_by_where_the_wall_lies() -> None:
    assert sides(GABLE) == ["floor", "right", "slope", "slope", "left"]
    assert sides(STAIR) == ["floor", "right", "slope", "left"]
    assert sides(STEPPED) == ["floor", "right", "floor", "right", "ceiling", "left"]
    assert sides(GABLE[::-1]) == ["slope", "slope", "right", "floor", "left"]


def test_an_outline_may_be_typed_clockwise_and_from_any_corner() -> None:
    """The words for its sides go along with them."""
    fields = "type: outer\noutline: {0}\nedges: [masonry, roof slope, partition, screed]"
    clockwise = fields.format("[[0, 0], [0, 2000], [3000, 3000], [3000, 0]]")

    found = wall(one_wall(clockwise))

    assert found.outline == ((0, 0), (3000, 0), (3000, 3000), (0, 2000))
    assert found.meets == ("screed", "partition", "roof slope", "masonry")


def test_the_datum_stays_where_it_was_put() -> None:
    found = wall(one_wall("type: outer\noutline: [[-500, 0], [2500, 0], [2500, 2600], [-500, 2600]]"))

    assert found.outline[0] == (-500, 0)


def test_a_dado_ends_the_lining_and_its_top_is_an_open_end() -> None:
    found = wall(one_wall("type: outer\nlength: 3000\ndado: 1200"))

    assert found.outline == ((0, 0), (3000, 0), (3000, 1200), (0, 1200))
    assert found.meets == ("screed", "masonry", "open end", "masonry")


def test_openings_reach_into_a_dado_as_far_as_it_goes() -> None:
    fields = (
        "type: outer\nlength: 5000\ndado: 1000\n"
        "openings: [{kind: door, x: 500, width: 900, height: 2000}, {type: casement, x: 2000},"
        " {type: casement, x: 3500, sill: 1000}]"
    )

    found = wall(one_wall(fields)).openings

    assert [(o.sill_mm, o.height_mm) for o in found] == [(0, 1000), (850, 150)]


def test_a_gable_cut_above_its_eaves_keeps_a_slope_on_each_side() -> None:
    cut = cut_at_height(GABLE, ("a", "b", "c", "d", "e"), 2000, "top")

    assert cut is not None
    ring, edges = from_bottom_left(*cut)
    assert ring == ((0, 0), (4000, 0), (4000, 1000), (3000, 2000), (1000, 2000), (0, 1000))
    assert edges == ("a", "b", "c", "top", "d", "e")


def test_the_tallest_stud_stands_where_the_wall_is_highest() -> None:
    assert greatest_chord(GABLE) == 3000
    assert greatest_chord(STAIR) == 2400
    assert greatest_chord(STEPPED) == 2500


def test_outlines_that_touch_or_cross_themselves_are_found() -> None:
    assert first_clash(GABLE) is None
    assert first_clash(((0, 0), (2, 2), (2, 0), (0, 2))) == (0, 2)
    assert first_clash(((0, 0), (4, 0), (2, 0), (2, 3))) == (0, 1)
    assert first_clash(((0, 0), (4, 0), (4, 4), (2, 0), (0, 4))) == (0, 2)


outlines = st.sampled_from([GABLE, STAIR, STEPPED, ((0, 0), (3000, 0), (3000, 2500), (0, 2500))])


@given(outlines, st.integers(0, 5), st.booleans(), st.integers(-900, 900))
def test_order_start_and_place_of_the_corners_do_not_matter(
    outline: tuple[tuple[int, int], ...], start: int, backwards: bool, shift: int
) -> None:
    start %= len(outline)
    moved = [(x + shift, y) for x, y in outline[start:] + outline[:start]]
    if backwards:
        moved.reverse()

    ring, _ = from_bottom_left(moved, [str(n) for n in range(len(moved))])

    assert ring == tuple((x + shift, y) for x, y in from_bottom_left(outline, [""] * len(outline))[0])
    assert area_twice(ring) == area_twice(outline)


@given(
    outlines,
    st.integers(-100, 4100),
    st.integers(-100, 4300),
    st.integers(1, 2000),
    st.integers(1, 2000),
    st.floats(0.01, 0.99),
    st.floats(0.01, 0.99),
)
def test_a_rectangle_held_by_an_outline_has_all_its_points_inside(
    outline: tuple[tuple[int, int], ...], x: int, y: int, width: int, height: int, u: float, v: float
) -> None:
    rect = (x, y, x + width, y + height)
    points = [(x, y), (x + width, y), (x + width, y + height), (x, y + height)]
    points.append((x + round(u * width), y + round(v * height)))

    if holds(outline, rect):
        assert all(inside(outline, point) for point in points)
    elif all(len(outline) == 4 and inside(outline, point) for point in points[:4]):
        raise AssertionError("these outlines are convex: corners inside means all of it is")
