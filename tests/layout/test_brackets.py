"""Brackets: their heights up a channel and how far they stand off the old wall."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.layout.plain import BRACKETED, FREE, PRACTICE, RULES, lining, plan, wall, window

from innerleaf.layout.brackets import bracket_heights
from innerleaf.layout.pieces import Role
from innerleaf.survey.wall import OffsetGrid

SPACING = 1500  # common practice, no source: greatest distance up a channel
END_MIN, END_MAX = 150, 300  # from memory: trade practice for CD 60/27


def heights(length: float) -> list[int]:
    return bracket_heights(length, spacing_mm=SPACING, end_min_mm=END_MIN, end_max_mm=END_MAX)


def bow(offset: int, at: int = 3000, length: int = 6000) -> OffsetGrid:
    """A wall flat at 0 but for one place half way up."""
    xs = (0, at, length)
    return OffsetGrid(xs_mm=xs, ys_mm=(0, 1300, 2600), offsets_mm=((0, 0, 0), (0, offset, 0), (0, 0, 0)))


def test_every_channel_from_1_mm_to_12_m_is_held_lawfully() -> None:
    """None farther apart than the spacing, the ends held, rising, inside the channel: all lengths tried."""
    for length in range(1, 12_001):
        places = heights(length)

        assert places, length
        assert places == sorted(set(places))
        assert 0 <= places[0] <= END_MAX
        assert 0 <= length - places[-1] <= END_MAX
        assert all(b - a <= SPACING for a, b in pairwise(places)), length
        if length > 2 * END_MAX:
            assert places[0] >= END_MIN
            assert length - places[-1] >= END_MIN


def test_no_bracket_more_than_needed() -> None:
    """Each bracket is a thermal bridge: with one fewer, some distance would be too great."""
    for length in range(2 * END_MAX + 1, 12_001):
        held_with_one_fewer = 2 * END_MAX + (len(heights(length)) - 2) * SPACING

        assert length > held_with_one_fewer


@settings(max_examples=100, deadline=None, derandomize=True, database=None)
@given(st.floats(1, 12_000, allow_nan=False))
def test_raked_channels_are_held_like_whole_millimetres(length: float) -> None:
    """Under a slope lengths are no whole numbers; half a millimetre of rounding is all that may be lost."""
    places = heights(length)

    assert places[0] <= END_MAX + 0.5
    assert length - places[-1] <= END_MAX + 0.5
    assert all(b - a <= SPACING for a, b in pairwise(places))


def test_every_channel_has_brackets_and_side_channels_have_none() -> None:
    """The perimeter channel up the end of the wall is fixed to structure itself."""
    some = plan(wall(way=BRACKETED, openings=(window(1500),)))

    held = {bracket.member for bracket in some.brackets}
    assert held == {member.mark for member in some.members if member.role != Role.SIDE_TRACK}


def test_a_free_standing_lining_has_no_brackets() -> None:
    """Nothing touches the old wall."""
    assert not plan(wall(way=FREE)).brackets


def test_on_a_flat_wall_all_brackets_project_alike() -> None:
    """Without a survey the face is flat at 0: the projection is the depth of the cavity."""
    some = plan(wall(way=BRACKETED))

    assert {bracket.projection_mm for bracket in some.brackets} == {some.build_up.frame_back_mm}


@pytest.mark.parametrize("offset", [-25, 12, 30])
def test_projections_follow_the_bow_of_the_wall(offset: int) -> None:
    """Behind a hollow a bracket projects more, over a bump less, so that the channels stand in one plane."""
    some = plan(wall(way=BRACKETED, offsets=bow(offset)))

    for bracket in some.brackets:
        along = 1 - abs(bracket.x_mm - 3000) / 3000
        up = 1 - abs(bracket.y_mm - 1300) / 1300
        off_the_wall = some.build_up.frame_back_mm - offset * along * up
        assert bracket.projection_mm == pytest.approx(off_the_wall, abs=0.5)
    assert len({bracket.projection_mm for bracket in some.brackets}) > 1


def test_the_frame_clears_every_bump() -> None:
    """The cavity is measured from the highest bump, not from the mean plane."""
    some = plan(wall(way=BRACKETED, offsets=bow(30), lining=lining(BRACKETED, gap_mm=0)))

    assert some.build_up.frame_back_mm - 30 >= RULES.cavity_clear_min_mm


def test_each_bracket_is_the_shortest_that_reaches() -> None:
    """Where a deep hollow needs a longer bracket only those there are longer ones."""
    some = plan(wall(way=BRACKETED, offsets=bow(-60)))

    assert len({bracket.item for bracket in some.brackets}) == 2
    for bracket in some.brackets:
        kinds = sorted(PRACTICE.brackets.values(), key=lambda b: b.reach_max_mm)
        first = next(b for b in kinds if b.reach_min_mm <= bracket.projection_mm <= b.reach_max_mm)
        assert bracket.item == first.id


def test_a_bracket_that_cannot_reach_is_listed_with_what_is_missing() -> None:
    """A hollow deeper than the bracket that was asked for: where, and by how many millimetres."""
    wanted = lining(BRACKETED, bracket="bracket-20-75")
    some = plan(wall(way=BRACKETED, offsets=bow(-120), lining=wanted))

    short = [b for b in some.brackets if b.projection_mm > 75]
    found = [f for f in some.findings if f.code == "L301"]
    assert short
    assert [(f.x_mm, f.y_mm, f.by_mm) for f in found] == [
        (b.x_mm, b.y_mm, b.projection_mm - 75) for b in short
    ]
