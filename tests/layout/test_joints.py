"""Vertical joints of one board layer, held against every choice that could have been made."""

from __future__ import annotations

from itertools import combinations, pairwise

from hypothesis import assume, given, settings
from hypothesis import strategies as st

from innerleaf.layout.joints import JointPath, boards_for_widths, lay_joints

BOARD, STRIP = 1200, 300

quick = settings(max_examples=120, deadline=None, derandomize=True, database=None)


@st.composite
def stretches(draw: st.DrawFn) -> tuple[int, list[int], list[int], frozenset[int]]:
    """A stretch up to four boards long with few places for joints: (end, places, missed, extra)."""
    end = draw(st.integers(200, 4200))
    places = sorted(draw(st.sets(st.integers(1, end - 1), min_size=0, max_size=7)))
    assume(all(b - a <= BOARD for a, b in pairwise((0, *places, end))))
    missed = [draw(st.sampled_from([0, 0, 0, 40, 150])) for _ in places]
    extra = frozenset(x for x in places if draw(st.booleans()))
    return end, places, missed, extra


def laid(end: int, places: list[int], missed: list[int], extra: frozenset[int]) -> JointPath:
    return lay_joints(0, end, places, missed, extra, board_mm=BOARD, strip_min_mm=STRIP)


@quick
@given(stretches())
def test_no_choice_of_joints_is_better(stretch: tuple[int, list[int], list[int], frozenset[int]]) -> None:
    """Rules first, then slivers, widths with the members they need, cuts: all subsets of places tried.

    If it fails, the shortest path overlooks a cheaper row of boards. The order of importance is written
    here again as a tuple, so a weight too small for its place would show too.
    """
    end, places, missed, extra = stretch
    of = dict(zip(places, missed, strict=True))

    def worth(joints: tuple[int, ...]) -> tuple[int, int, int, int]:
        widths = [b - a for a, b in pairwise((0, *joints, end))]
        return (
            sum(of[x] for x in joints),
            sum(STRIP - w for w in widths if w < STRIP),
            1000 * len(widths) + 400 * sum(x in extra for x in joints),
            sum(w != BOARD for w in widths),
        )

    every = [
        joints
        for count in range(len(places) + 1)
        for joints in combinations(places, count)
        if all(b - a <= BOARD for a, b in pairwise((0, *joints, end)))
    ]

    assert worth(laid(end, places, missed, extra).joints) == min(map(worth, every))


@quick
@given(stretches())
def test_no_width_exceeds_the_board(stretch: tuple[int, list[int], list[int], frozenset[int]]) -> None:
    """A width that no board has cannot be bought."""
    end, places, missed, extra = stretch

    joints = laid(end, places, missed, extra).joints

    assert max(b - a for a, b in pairwise((0, *joints, end))) <= BOARD


@quick
@given(stretches())
def test_the_path_counts_what_it_says(stretch: tuple[int, list[int], list[int], frozenset[int]]) -> None:
    """What is reported as missed is what the chosen joints miss."""
    end, places, missed, extra = stretch

    path = laid(end, places, missed, extra)

    widths = [b - a for a, b in pairwise((0, *path.joints, end))]
    assert path.missed_mm == sum(m for x, m in zip(places, missed, strict=True) if x in path.joints)
    assert path.sliver_mm == sum(max(0, STRIP - w) for w in widths)
    assert path.extra == tuple(x for x in path.joints if x in extra)


@quick
@given(stretches())
def test_seen_from_the_right_it_costs_the_same(
    stretch: tuple[int, list[int], list[int], frozenset[int]],
) -> None:
    """A mirrored wall has mirrored boards; only where the path says it is ambiguous may it differ."""
    end, places, missed, extra = stretch

    there = laid(end, places, missed, extra)
    back = laid(end, [end - x for x in places[::-1]], missed[::-1], frozenset(end - x for x in extra))

    assert there.price == back.price
    assert there.ambiguous or there.joints == tuple(end - x for x in back.joints[::-1])


def test_a_short_pier_takes_one_piece() -> None:
    """Where one board is wide enough there is no joint at all."""
    assert laid(1200, [600], [0], frozenset()).joints == ()


def test_a_joint_avoids_the_jamb_at_the_price_of_a_cut() -> None:
    """Whole boards would meet 40 mm inside the clear zone of a jamb: the boards are cut instead."""
    assert laid(2400, [600, 1200, 1800], [0, 40, 0], frozenset()).joints == (600, 1800)


def test_a_narrow_strip_is_avoided_by_cutting_the_first_board() -> None:
    """2500 mm is not 1200 + 1200 + 100."""
    joints = laid(2500, [600, 1200, 1800, 2400], [0] * 4, frozenset()).joints

    assert min(b - a for a, b in pairwise((0, *joints, 2500))) >= STRIP


def test_one_more_member_is_cheaper_than_one_more_width() -> None:
    """A joint costs taping and painting over its whole height, a stud once."""
    assert laid(2400, [800, 1200, 1600], [0, 0, 0], frozenset({1200})).joints == (1200,)


@settings(max_examples=60, deadline=None, derandomize=True, database=None)
@given(st.lists(st.integers(50, BOARD), max_size=6))
def test_boards_for_widths_are_enough_and_never_more_than_one_too_many(widths: list[int]) -> None:
    """First fit decreasing against the true least number of boards, found by trying every grouping.

    Bound of first fit decreasing for bin packing: 11/9 of the optimum plus 6/9 (Dosa 2007; from memory);
    for six pieces and fewer that is at most one board more.
    """
    ours, best = boards_for_widths(widths, BOARD), _fewest_boards(tuple(widths))

    assert best <= ours <= (11 * best + 6) // 9


def _fewest_boards(widths: tuple[int, ...]) -> int:
    """The least number of boards by brute force: the first width with every subset of the others."""
    if not widths:
        return 0
    first, others = widths[0], widths[1:]
    return 1 + min(
        _fewest_boards(tuple(w for k, w in enumerate(others) if k not in with_it))
        for count in range(len(others) + 1)
        for with_it in combinations(range(len(others)), count)
        if first + sum(others[k] for k in with_it) <= BOARD
    )


def test_widths_that_fill_a_board_are_one_board() -> None:
    """Nothing is lost where the cuts add up to a board; the width of a saw cut is left to cutting."""
    assert boards_for_widths([700, 500, 1200], BOARD) == 2
