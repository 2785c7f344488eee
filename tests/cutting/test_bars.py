"""Bars: lawful always, best on small known cases, never below the bound."""

from __future__ import annotations

from dataclasses import replace
from itertools import count

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from innerleaf.cutting.bars import BarPiece, pack_bars
from innerleaf.cutting.check import check_bars
from innerleaf.errors import InputError

STOCKS = (2600, 3000, 4000)


def pieces_of(lengths: list[int]) -> list[BarPiece]:
    return [BarPiece(f"p{number}", length) for number, length in zip(count(1), lengths, strict=False)]


def least_bought(lengths: list[int], stocks: tuple[int, ...], kerf: int) -> int:
    """Brute force: every way to put the pieces into bars (set partitions)."""
    best = [max(stocks) * len(lengths)]

    def cost(bar: list[int]) -> int:
        needed = sum(bar) + kerf * (len(bar) - 1)
        return min((s for s in stocks if s >= needed), default=10**9)

    def go(rest: list[int], bars: list[list[int]]) -> None:
        if not rest:
            best[0] = min(best[0], sum(map(cost, bars)))
            return
        for bar in bars:
            bar.append(rest[0])
            if cost(bar) < 10**9:
                go(rest[1:], bars)
            bar.pop()
        go(rest[1:], [*bars, [rest[0]]])

    go(lengths, [])
    return best[0]


@given(st.lists(st.integers(1, 4000), max_size=60), st.integers(0, 5))
def test_every_plan_is_lawful(lengths: list[int], kerf: int) -> None:
    """A plan that loses a piece or overfills a bar sends the crew back to the merchant."""
    pieces = pieces_of(lengths)

    assert check_bars(pack_bars(pieces, STOCKS, kerf_mm=kerf), pieces, STOCKS) == []


@settings(max_examples=60)
@given(st.lists(st.integers(200, 4000), min_size=1, max_size=6), st.integers(0, 5))
def test_bound_is_below_the_best_and_the_plan_near_it(lengths: list[int], kerf: int) -> None:
    """The bound must hold for the best plan there is; ours stays within half as much again."""
    plan = pack_bars(pieces_of(lengths), STOCKS, kerf_mm=kerf)

    best = least_bought(lengths, STOCKS, kerf)

    assert plan.lower_bound_mm <= best <= plan.bought_mm <= 1.5 * best


@pytest.mark.parametrize(
    ("lengths", "bought"),
    [
        ([2590] * 10, 26000),  # each in the shortest bar that holds it
        ([1299, 1299, 1499, 1499], 5600),  # two bars, of two lengths
        ([2000, 1998], 4000),  # both, with the cut of 2 mm, from the longest
        ([2000, 1999], 5200),  # the cut takes the millimetre that is missing: two short bars
    ],
)
def test_small_cases_by_hand(lengths: list[int], bought: int) -> None:
    """Worked by hand with a cut of 2 mm."""
    assert pack_bars(pieces_of(lengths), STOCKS, kerf_mm=2).bought_mm == bought


def test_same_pieces_in_another_order_give_the_same_plan() -> None:
    """Order of asking must not move the cut list."""
    pieces = pieces_of([2590, 700, 1310, 2590, 420, 1310])

    assert pack_bars(pieces, STOCKS, kerf_mm=2) == pack_bars(pieces[::-1], STOCKS, kerf_mm=2)


def test_a_piece_longer_than_every_bar_is_refused() -> None:
    """Splicing is the layout's business; cutting must not hide it."""
    with pytest.raises(InputError, match="length of piece p1: given 4001, accepted: above 0, at most 4000"):
        pack_bars(pieces_of([4001]), STOCKS, kerf_mm=2)


def test_no_pieces_need_no_bars() -> None:
    """An empty order buys nothing."""
    plan = pack_bars([], STOCKS, kerf_mm=2)

    assert (plan.patterns, plan.bought_mm, plan.lower_bound_mm) == ((), 0, 0)


def test_the_checker_finds_faults() -> None:
    """A checker that cannot fail proves nothing."""
    pieces = pieces_of([2000, 1998, 2600])
    plan = pack_bars(pieces, STOCKS, kerf_mm=2)
    first, second = plan.patterns

    lost = replace(plan, patterns=plan.patterns[1:])
    overfull = replace(plan, patterns=(first, replace(second, stock_mm=2600)))
    unknown = replace(plan, patterns=(first, replace(second, stock_mm=4500)))

    assert "pieces cut are not the pieces asked for" in check_bars(lost, pieces, STOCKS)
    assert "bar 2: 4000 mm needed, 2600 mm there" in check_bars(overfull, pieces, STOCKS)
    assert "bar 2: 4500 mm cannot be bought" in check_bars(unknown, pieces, STOCKS)
