"""Plain rectangles cut by trees that are taken apart and filled anew."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from innerleaf.cutting.boards import BoardDemand, BoardProblem, BoardStock
from innerleaf.cutting.boards_cut import cut_boards
from innerleaf.cutting.boards_job import job_of
from innerleaf.cutting.boards_limits import BoardLimits
from innerleaf.cutting.boards_sums import next_sum
from innerleaf.cutting.boards_trees import MOST_PIECES, cut_by_goal, plain
from innerleaf.cutting.check_boards import check_boards

SHEETS = (BoardStock(width_mm=100, length_mm=100, price=10), BoardStock(width_mm=50, length_mm=100, price=6))
LIMITS = BoardLimits(starts=4, repairs=2_000, rounds=40, dives=1)


def problem(*sizes: tuple[int, int], turns: bool = False) -> BoardProblem:
    demands = tuple(
        BoardDemand(mark=f"P{n}", width_mm=w, length_mm=h, turns=turns) for n, (w, h) in enumerate(sizes)
    )
    return BoardProblem(demands=demands, stocks=SHEETS)


@settings(max_examples=40, deadline=None)
@given(
    st.lists(st.tuples(st.integers(5, 100), st.integers(5, 100)), min_size=1, max_size=14),
    st.booleans(),
    st.integers(0, 3),
)
def test_every_plan_can_be_cut_holds_every_piece_and_is_no_cheaper_than_its_bound(
    sizes: list[tuple[int, int]], turns: bool, seed: int
) -> None:
    asked = problem(*sizes, turns=turns)
    plan = cut_boards(asked, LIMITS, seed=seed)
    assert check_boards(plan, asked) == []
    assert plan.bound <= plan.cost


@settings(max_examples=30, deadline=None)
@given(st.integers(0, 2**31), st.integers(2, 4), st.integers(2, 5))
def test_a_board_taken_apart_at_random_is_put_together_again(seed: int, rows: int, columns: int) -> None:
    """Strips of a whole board, each parted at its own places: the best plan is that one board."""
    heights = _parts(seed, 100, rows)
    sizes = [(w, h) for i, h in enumerate(heights) for w in _parts(seed + i + 1, 100, columns)]
    plan = cut_boards(problem(*sizes), BoardLimits(starts=4, repairs=40_000, rounds=40, dives=1))
    assert plan.cost == plan.bound == 10


def _parts(seed: int, whole: int, count: int) -> list[int]:
    """A length in so many parts of whole tenths."""
    marks = sorted({1 + (seed // 9**i) % 9 for i in range(count - 1)})
    ends = [0, *(mark * whole // 10 for mark in marks), whole]
    return [b - a for a, b in zip(ends, ends[1:], strict=False)]


def test_a_goal_that_cannot_be_met_gives_no_plan() -> None:
    job = job_of(problem((100, 60), (100, 60)))
    assert cut_by_goal(job, 20, steps=200, bound=0, seed=0) is None
    assert cut_by_goal(job, 22, steps=200, bound=0, seed=0) is not None


@pytest.mark.parametrize(
    "other",
    [
        BoardDemand(mark="edge", width_mm=50, length_mm=90, left=True),
        BoardDemand(mark="many", width_mm=50, length_mm=90, count=MOST_PIECES + 1),
    ],
    ids=lambda demand: demand.mark,
)
def test_what_is_not_plain_is_left_to_the_other_ways(other: BoardDemand) -> None:
    asked = BoardProblem(demands=(other,), stocks=SHEETS)
    assert plain(job_of(problem((50, 90))))
    assert not plain(job_of(asked))


@given(st.integers(0, 400), st.sets(st.integers(1, 90), min_size=1, max_size=4))
def test_a_bound_rises_to_the_next_sum_of_prices(bound: int, prices: set[int]) -> None:
    sums = {0}
    for total in range(1, 600):
        if any(total - price in sums for price in prices):
            sums.add(total)
    assert next_sum(bound, prices) == min(s for s in sums if s >= bound)
