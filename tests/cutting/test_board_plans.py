"""Plans of boards: cheapest where all plans can be tried, notches, offcuts in hand, limits, the checker."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from random import Random
from typing import Any

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
from innerleaf.cutting.boards_choice import choose_boards
from innerleaf.cutting.boards_coarse import coarse_bound
from innerleaf.cutting.boards_cut import cut_boards
from innerleaf.cutting.boards_limits import BoardLimits
from innerleaf.cutting.check_boards import check_boards
from innerleaf.errors import InputError

WIDTH = 1250
LENGTHS = (2000, 2600, 3000)
SHORT = BoardLimits(starts=8, repairs=400, rounds=12, dives=1)
STOCKS = tuple(BoardStock(width_mm=WIDTH, length_mm=n, price=n * WIDTH) for n in LENGTHS)


@st.composite
def demands(draw: st.DrawFn, most: int = 14) -> tuple[BoardDemand, ...]:
    found = []
    for number in range(draw(st.integers(0, most))):
        width = draw(st.one_of(st.just(WIDTH), st.integers(20, WIDTH)))
        length = draw(st.one_of(st.sampled_from(LENGTHS), st.integers(20, 3000)))
        left, right = draw(st.booleans()), draw(st.booleans())
        notches: tuple[Notch, ...] = ()
        if draw(st.booleans()) and width > 40 and length > 40:
            inner = draw(st.integers(20, width - 20)), draw(st.integers(20, length - 20))
            x = draw(st.sampled_from([0, width - inner[0], (width - inner[0]) // 2]))
            y = draw(st.sampled_from([0, length - inner[1]]))
            notches = (Notch(x_mm=x, y_mm=y, width_mm=inner[0], length_mm=inner[1]),)
        both = left and right and width < WIDTH
        found.append(
            BoardDemand(
                mark=f"b{number}",
                width_mm=width,
                length_mm=length,
                count=draw(st.integers(1, 3)),
                left=left,
                right=right and not both,
                turns=not left and not right and length <= WIDTH and draw(st.booleans()),
                notches=notches,
            )
        )
    return tuple(found)


@settings(max_examples=60, deadline=None)
@given(demands(), st.sampled_from([0, 150]), st.randoms(use_true_random=False))
def test_every_plan_is_lawful_and_does_not_depend_on_the_order(
    pieces: tuple[BoardDemand, ...], least: int, random: Random
) -> None:
    """Inside, apart, snappable, at the factory edge where asked, nothing lost, not below the bound."""
    problem = BoardProblem(demands=pieces, stocks=STOCKS, least_strip_mm=least)
    plan = cut_boards(problem, SHORT)
    shuffled = list(pieces)
    random.shuffle(shuffled)

    assert check_boards(plan, problem) == []
    assert cut_boards(replace(problem, demands=tuple(shuffled), stocks=STOCKS[::-1]), SHORT) == plan


@settings(max_examples=25, deadline=None)
@given(demands())
def test_the_bound_of_smaller_pieces_is_a_bound(pieces: tuple[BoardDemand, ...]) -> None:
    """Rounding sizes down until few kinds are left gives no more than what the pieces themselves cost."""
    problem = BoardProblem(demands=pieces, stocks=STOCKS)

    assert coarse_bound(problem, replace(SHORT, types=3)) <= cut_boards(problem, SHORT).cost


def test_what_comes_out_of_a_notch_is_cut_from_again() -> None:
    """The board beside a window gives the two strips of its reveal."""
    notch = Notch(x_mm=450, y_mm=800, width_mm=800, length_mm=1200)
    pieces = (
        BoardDemand(mark="wall", width_mm=1250, length_mm=2600, left=True, right=True, notches=(notch,)),
        BoardDemand(mark="reveal", width_mm=400, length_mm=1200, count=2),
    )
    problem = BoardProblem(demands=pieces, stocks=STOCKS)

    plan = cut_boards(problem, SHORT)

    assert check_boards(plan, problem) == []
    assert [b.length_mm for b in plan.boards] == [2600]
    assert [p.within for p in plan.boards[0].places] == [0, 1, 1]
    strict = cut_boards(replace(problem, least_strip_mm=900), SHORT)
    assert [b.length_mm for b in strict.boards] == [2600, 2000]


def test_a_narrower_board_in_hand_is_used_first() -> None:
    """An offcut costs nothing, and there is one of it."""
    hand = BoardStock(width_mm=500, length_mm=1200, price=0, limit=1, left=True, right=False, mark="yard 3")
    pieces = (BoardDemand(mark="b", width_mm=450, length_mm=1100, count=2, left=True),)
    problem = BoardProblem(demands=pieces, stocks=(*STOCKS, hand))

    plan = cut_boards(problem, SHORT)

    assert check_boards(plan, problem) == []
    assert sorted(board.source for board in plan.boards) == ["bought", "yard 3"]


def test_boards_that_do_not_suffice_are_told() -> None:
    """No silent loss of pieces where boards are limited."""
    one = BoardStock(width_mm=1250, length_mm=2600, price=1, limit=1)
    pieces = (BoardDemand(mark="b", width_mm=1250, length_mm=2000, count=2),)

    with pytest.raises(InputError, match="limits of the boards: given 'boards for 1 of 2 pieces'"):
        cut_boards(BoardProblem(demands=pieces, stocks=(one,)), SHORT)


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"width_mm": 1251}, "size of piece b"),
        ({"length_mm": 3001}, "size of piece b"),
        ({"left": True, "right": True}, "with its factory edges"),
        ({"left": True, "turns": True}, "turning of piece b"),
        ({"count": -1}, "count of piece b"),
        ({"notches": (Notch(x_mm=0, y_mm=0, width_mm=600, length_mm=9),) * 2}, "notches of piece b"),
        ({"notches": (Notch(x_mm=9, y_mm=0, width_mm=600, length_mm=9),)}, "notch of piece b"),
    ],
)
def test_what_cannot_be_is_refused(changes: dict[str, Any], words: str) -> None:
    """A sentence that names the piece, not a plan that loses it."""
    piece = replace(BoardDemand(mark="b", width_mm=600, length_mm=2000), **changes)

    with pytest.raises(InputError, match=words):
        BoardProblem(demands=(piece,), stocks=STOCKS)


def test_the_best_lengths_to_order() -> None:
    """Of many lengths the two that the pieces are cut from with least waste; limited boards stay offered."""
    hand = BoardStock(width_mm=1250, length_mm=1000, price=0, limit=1, mark="yard 3")
    lengths = (2000, 2400, 2500, 2600, 2750, 3000)
    problem = BoardProblem(
        demands=(
            BoardDemand(mark="low", width_mm=1250, length_mm=2390, count=10),
            BoardDemand(mark="high", width_mm=1250, length_mm=2745, count=10),
        ),
        stocks=(*(BoardStock(width_mm=1250, length_mm=n, price=n) for n in lengths), hand),
    )

    chosen = choose_boards(problem, 2, SHORT)

    assert [s.length_mm for s in chosen.stocks] == [2400, 2750, 1000]
    assert chosen.costs == pytest.approx((20 * 2750, 10 * 2400 + 10 * 2750), rel=1e-3)
    assert chosen.costs[1] == pytest.approx(chosen.bound, rel=1e-3)


# --- against all plans there are -------------------------------------------------------------------


def fits_one(sizes: tuple[tuple[int, int], ...], width: int, length: int) -> bool:
    """Whether rectangles can be cut from one by cuts right across: every split in two, at every place."""

    @cache
    def fits(group: tuple[tuple[int, int], ...], w: int, h: int) -> bool:
        if len(group) == 1:
            return group[0][0] <= w and group[0][1] <= h
        if sum(a * b for a, b in group) > w * h:
            return False
        for chosen in range(1, 2 ** (len(group) - 1)):
            one = tuple(g for k, g in enumerate(group) if chosen >> k & 1)
            two = tuple(g for k, g in enumerate(group) if not chosen >> k & 1)
            for at in range(1, w):
                if fits(one, at, h) and fits(two, w - at, h):
                    return True
            for at in range(1, h):
                if fits(one, w, at) and fits(two, w, h - at):
                    return True
        return False

    return fits(tuple(sorted(sizes)), width, length)


def least_cost(sizes: list[tuple[int, int]], stocks: list[tuple[int, int, int]]) -> int:
    """The cheapest way to share pieces among boards: every way is tried."""
    everything = 2 ** len(sizes) - 1

    @cache
    def board(group: int) -> float:
        chosen = tuple(size for k, size in enumerate(sizes) if group >> k & 1)
        return min((p for w, h, p in stocks if fits_one(chosen, w, h)), default=float("inf"))

    @cache
    def cost(left: int) -> float:
        if not left:
            return 0
        first = left & -left
        rest, best, sub = left ^ first, float("inf"), left ^ first
        while True:
            best = min(best, board(first | sub) + cost(rest ^ sub))
            if not sub:
                return best
            sub = (sub - 1) & rest

    return int(cost(everything))


@settings(max_examples=40, deadline=None)
@given(st.lists(st.tuples(st.integers(1, 6), st.integers(1, 8)), min_size=1, max_size=5))
def test_tiny_cases_against_all_plans(sizes: list[tuple[int, int]]) -> None:
    """Bound and cost enclose the true optimum, and nearly always the plan is optimal."""
    stocks = [(6, 8, 48), (6, 5, 30)]
    problem = BoardProblem(
        demands=tuple(BoardDemand(mark=f"b{n}", width_mm=w, length_mm=h) for n, (w, h) in enumerate(sizes)),
        stocks=tuple(BoardStock(width_mm=w, length_mm=h, price=p) for w, h, p in stocks),
    )

    plan = cut_boards(problem, replace(SHORT, repairs=4000, rounds=40))

    best = least_cost(sizes, stocks)
    assert plan.bound <= best
    assert plan.cost == best


# --- the checker -----------------------------------------------------------------------------------


def board(*places: Place) -> BoardPlan:
    one = Board(number=1, width_mm=1250, length_mm=2000, price=2_500_000, source="bought", places=places)
    return BoardPlan(boards=(one,), cost=2_500_000, bound=1, stopped_by="", seed=0)


def at(mark: str, x: int, y: int, width: int = 600, length: int = 2000, **more: int) -> Place:
    return Place(mark=mark, x_mm=x, y_mm=y, width_mm=width, length_mm=length, **more)


PAIR = BoardProblem(
    demands=(
        BoardDemand(mark="a", width_mm=600, length_mm=2000, left=True),
        BoardDemand(mark="b", width_mm=600, length_mm=2000),
    ),
    stocks=STOCKS,
)


@pytest.mark.parametrize(
    ("places", "faults"),
    [
        ((at("a", 0, 0), at("b", 600, 0)), []),
        ((at("a", 650, 0, turned_deg=180), at("b", 0, 0)), []),
        ((at("a", 0, 0), at("b", 599, 0)), ["board 1: cannot be cut by cuts from side to side"]),
        (
            (at("a", 0, 0), at("b", 651, 0)),
            ["board 1: piece b reaches beyond it", "board 1: piece b is in no notch that is large enough"],
        ),
        ((at("b", 0, 0), at("a", 650, 0)), ["board 1: piece a is not at its factory edge"]),
        ((at("a", 0, 0),), ["piece b: 0 cut, 1 asked for"]),
        ((at("a", 0, 0), at("b", 0, 0, within=1)), ["board 1: piece b is in no notch that is large enough"]),
    ],
)
def test_the_checker_finds_faults(places: tuple[Place, ...], faults: list[str]) -> None:
    """A checker that cannot fail proves nothing."""
    assert check_boards(board(*places), PAIR) == faults


def test_the_checker_counts_money_and_boards() -> None:
    """Cost, bound and limits are recomputed."""
    good = board(at("a", 0, 0), at("b", 600, 0))
    limited = replace(PAIR, stocks=(replace(STOCKS[0], limit=0), *STOCKS[1:]))

    assert check_boards(replace(good, cost=1), PAIR) == ["cost said 1, the boards cost 2500000"]
    assert "less than the bound" in check_boards(replace(good, bound=2_500_001), PAIR)[0]
    assert "more than can be had" in check_boards(good, limited)[0]
