"""Boards: lawful always, known small cases, factory edges kept, never below the bound it proves."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from innerleaf.cutting.boards import (
    Board,
    BoardDemand,
    BoardPlan,
    BoardProblem,
    BoardStock,
    Notch,
    Place,
)
from innerleaf.cutting.boards_cut import cut_boards
from innerleaf.cutting.boards_limits import BoardLimits
from innerleaf.cutting.boards_order import sequence_of
from innerleaf.cutting.check_boards import check_boards
from innerleaf.errors import InputError

WIDTH, LENGTHS = 1250, (2000, 2600, 3000)
STOCKS = tuple(BoardStock(width_mm=WIDTH, length_mm=length, price=WIDTH * length) for length in LENGTHS)
QUICK = BoardLimits(starts=4, repairs=200, rounds=10, dives=1, again=0)


def problem(*demands: BoardDemand) -> BoardProblem:
    return BoardProblem(demands=demands, stocks=STOCKS, least_strip_mm=50)


def piece(mark: str, width: int, length: int, edges: int = 0, count: int = 1, **more: object) -> BoardDemand:
    """A piece whose ``edges`` left, then right long edges must be factory edges."""
    made = BoardDemand(
        mark=mark, width_mm=width, length_mm=length, left=edges > 0, right=edges > 1, count=count
    )
    return replace(made, **more)  # type: ignore[arg-type]


@st.composite
def pieces(draw: st.DrawFn) -> list[BoardDemand]:
    found = []
    for number in range(draw(st.integers(0, 12))):
        width = draw(st.one_of(st.just(WIDTH), st.integers(60, WIDTH)))
        length = draw(st.integers(60, 3000))
        edges = draw(st.integers(0, 2 if width == WIDTH else 1))
        notches: tuple[Notch, ...] = ()
        if width > 400 and length > 400 and draw(st.booleans()):
            notches = (Notch(x_mm=0, y_mm=0, width_mm=draw(st.integers(60, 300)), length_mm=300),)
        found.append(piece(f"b{number}", width, length, edges, draw(st.integers(1, 3)), notches=notches))
    return found


@given(pieces())
@settings(max_examples=25, deadline=None)
def test_every_plan_is_lawful(some: list[BoardDemand]) -> None:
    """Inside, disjoint, snappable, at the factory edge where asked, nothing lost, not below the bound."""
    asked = problem(*some)
    plan = cut_boards(asked, QUICK)

    assert check_boards(plan, asked) == []
    assert plan.bound <= plan.cost


@given(pieces())
@settings(max_examples=10, deadline=None)
def test_the_cuts_of_a_board_go_right_across_and_leave_its_pieces(some: list[BoardDemand]) -> None:
    """Score and snap: every cut that is not sawn is straight, along an edge or across."""
    plan = cut_boards(problem(*some), QUICK)
    demands = {demand.mark: demand for demand in some}
    for board in plan.boards:
        order = sequence_of(board, demands, 50)
        assert all(cut.x1_mm == cut.x2_mm or cut.y1_mm == cut.y2_mm for cut in order.cuts)
        kept = sum(demands[p.mark].net_mm2 for p in board.places)
        left = sum(offcut.width_mm * offcut.length_mm for offcut in order.offcuts)
        assert kept + left <= board.width_mm * board.length_mm


@pytest.mark.parametrize(
    ("sizes", "bought"),
    [
        ([(1250, 2590, 2)] * 3, (((1250, 2600), 3),)),
        ([(600, 2590, 1), (650, 2590, 1)], (((1250, 2600), 1),)),  # both halves of one board
        ([(400, 2590, 0)] * 3, (((1250, 2600), 1),)),  # three strips of one board
        ([(400, 2590, 1)] * 3, (((1250, 2600), 2),)),  # a board has two factory edges only
        ([(1250, 900, 2)] * 2, (((1250, 2000), 1),)),  # one above the other
        ([(800, 2000, 1), (450, 1000, 0), (450, 1000, 0)], (((1250, 2000), 1),)),
    ],
)
def test_small_cases_by_hand(sizes: list[tuple[int, int, int]], bought: object) -> None:
    """Cases a foreman solves at a glance; none can be bought for less."""
    asked = problem(*(piece(f"b{number}", *size) for number, size in enumerate(sizes)))
    plan = cut_boards(asked)

    assert plan.bought == bought
    assert check_boards(plan, asked) == []


def test_what_is_sawn_out_of_a_notch_serves_another_piece() -> None:
    """The cut-out of the window is the infill of the next wall."""
    window = piece("window", 1250, 2600, 2, notches=(Notch(x_mm=0, y_mm=900, width_mm=600, length_mm=1200),))
    asked = problem(window, piece("infill", 500, 1000))
    plan = cut_boards(asked)

    assert plan.bought == (((1250, 2600), 1),)
    assert check_boards(plan, asked) == []


def test_a_piece_larger_than_every_board_is_refused() -> None:
    """No silent loss of a piece that cannot be bought."""
    with pytest.raises(InputError, match="size of piece b"):
        problem(piece("b", 1251, 2000))
    with pytest.raises(InputError, match="size of piece b"):
        problem(piece("b", 600, 3001))


def test_the_same_pieces_give_the_same_plan_in_any_order() -> None:
    some = [piece(f"b{n}", 200 + 70 * n, 900 + 130 * n, n % 2) for n in range(10)]

    assert cut_boards(problem(*some), QUICK) == cut_boards(problem(*some), QUICK)
    assert cut_boards(problem(*some)).cost == cut_boards(problem(*reversed(some))).cost


def plan_of(*places: tuple[str, int, int, int, int]) -> BoardPlan:
    laid = tuple(
        Place(mark=mark, x_mm=x, y_mm=y, width_mm=width, length_mm=length)
        for mark, x, y, width, length in places
    )
    cost = WIDTH * 2000
    board = Board(number=1, width_mm=WIDTH, length_mm=2000, price=cost, source="bought", places=laid)
    return BoardPlan(boards=(board,), cost=cost, bound=0, stopped_by="", seed=0)


def test_the_checker_finds_faults() -> None:
    """A checker that cannot fail proves nothing."""
    asked = problem(piece("a", 600, 2000, 1), piece("b", 600, 2000))
    good = plan_of(("a", 0, 0, 600, 2000), ("b", 600, 0, 600, 2000))
    assert check_boards(good, asked) == []
    for bad in (
        plan_of(("a", 0, 0, 600, 2000), ("b", 599, 0, 600, 2000)),  # one over the other
        plan_of(("a", 0, 0, 600, 2000), ("b", 651, 0, 600, 2000)),  # beyond the board
        plan_of(("b", 0, 0, 600, 2000), ("a", 601, 0, 600, 2000)),  # not at a factory edge
        plan_of(("a", 0, 0, 600, 2000)),  # one lost
        replace(good, cost=good.cost - 1),  # a price that is not that of its boards
    ):
        assert check_boards(bad, asked)


def test_a_pinwheel_cannot_be_snapped() -> None:
    """Four pieces round a middle fit, yet no cut goes across."""
    sizes = [
        (800, 400, 0, 0),
        (400, 800, 800, 0),
        (800, 400, 400, 800),
        (400, 800, 0, 400),
        (400, 400, 400, 400),
    ]
    asked = problem(*(piece(f"b{i}", width, length) for i, (width, length, _, _) in enumerate(sizes)))
    plan = plan_of(*((f"b{i}", x, y, width, length) for i, (width, length, x, y) in enumerate(sizes)))

    assert check_boards(plan, asked)


def test_more_boards_to_choose_from_never_cost_more() -> None:
    some = [piece(f"b{n}", 300 + 90 * n, 1200 + 200 * n, 1) for n in range(8)]
    costs = [
        cut_boards(BoardProblem(demands=tuple(some), stocks=STOCKS[-kinds:])).cost for kinds in (1, 2, 3)
    ]

    assert all(fewer >= more for fewer, more in pairwise(costs))
