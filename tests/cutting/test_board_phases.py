"""Boards in phases: every phase from what is there by then, offcuts carried on, never below the bound."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import given, settings
from hypothesis import strategies as st

from innerleaf.cutting.boards import BoardDemand, BoardProblem, BoardStock, Notch
from innerleaf.cutting.boards_cut import cut_boards
from innerleaf.cutting.boards_limits import BoardLimits
from innerleaf.cutting.boards_phases import cut_boards_in_phases
from innerleaf.cutting.check_boards import check_boards

WIDTH = 1250
STOCKS = tuple(BoardStock(width_mm=WIDTH, length_mm=n, price=n * WIDTH) for n in (2000, 2600, 3000))
SHORT = BoardLimits(starts=6, repairs=200, rounds=8, dives=1, again=1)


@st.composite
def problems(draw: st.DrawFn) -> tuple[BoardProblem, dict[str, int]]:
    demands, phase_of = [], {}
    for number in range(draw(st.integers(0, 12))):
        width = draw(st.one_of(st.just(WIDTH), st.integers(60, WIDTH)))
        length = draw(st.integers(60, 3000))
        notches: tuple[Notch, ...] = ()
        if min(width, length) > 700 and draw(st.booleans()):
            notches = (Notch(x_mm=0, y_mm=draw(st.integers(0, 200)), width_mm=400, length_mm=450),)
        left = draw(st.booleans())
        mark = f"b{number}"
        demands.append(
            BoardDemand(
                mark=mark,
                width_mm=width,
                length_mm=length,
                count=draw(st.integers(1, 2)),
                left=left,
                notches=notches,
                turns=not left and length <= WIDTH and draw(st.booleans()),
            )
        )
        phase_of[mark] = draw(st.integers(0, 2))
    hand = BoardStock(width_mm=900, length_mm=1500, price=0, limit=2, left=False, mark="K-1")
    return BoardProblem(demands=tuple(demands), stocks=(*STOCKS, hand), least_strip_mm=50), phase_of


@settings(max_examples=40, deadline=None)
@given(problems())
def test_every_plan_in_phases_is_lawful(given_: tuple[BoardProblem, dict[str, int]]) -> None:
    """The checker puts each board together again from all that is cut from it, whenever that is."""
    problem, phase_of = given_
    plan = cut_boards_in_phases(problem, phase_of, 300, SHORT)

    assert check_boards(plan, problem) == []
    assert all(phase_of[place.mark] == board.phase for board in plan.boards for place in board.places)


def test_what_is_left_on_monday_is_cut_on_tuesday() -> None:
    """A board of 2600 gives 1500 on the first day and 1000 on the second; nothing more is bought."""
    demands = tuple(
        BoardDemand(mark=mark, width_mm=WIDTH, length_mm=length, left=True, right=True)
        for mark, length in (("mo", 1500), ("tu", 500))
    )
    problem = BoardProblem(demands=demands, stocks=STOCKS)
    plan = cut_boards_in_phases(problem, {"mo": 0, "tu": 1}, 300, SHORT)

    assert plan.bought == (((WIDTH, 2000), 1),)
    assert [(b.phase, b.source, b.rest_of) for b in plan.boards] == [
        (0, "bought", 0),
        (1, "rest of board 1", 1),
    ]
    assert plan.cost == cut_boards(problem, SHORT).cost


def test_the_checker_sees_a_rest_used_twice_or_too_early() -> None:
    """A checker that cannot fail proves nothing."""
    demands = tuple(
        BoardDemand(mark=mark, width_mm=WIDTH, length_mm=500, left=True, right=True)
        for mark in ("a", "b", "c")
    )
    problem = BoardProblem(demands=demands, stocks=STOCKS)
    plan = cut_boards_in_phases(problem, {"a": 0, "b": 1, "c": 2}, 300, SHORT)
    first, second, third = plan.boards

    assert check_boards(plan, problem) == []
    for bad in (
        (first, replace(second, phase=-1), third),
        (first, second, replace(third, rest_x_mm=second.rest_x_mm, rest_y_mm=second.rest_y_mm, rest_of=1)),
        (first, second, replace(third, rest_of=9)),
    ):
        assert check_boards(replace(plan, boards=bad), problem)
