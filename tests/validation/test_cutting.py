"""Cutting stock problems whose optimum is in the literature."""

from __future__ import annotations

import pytest

from innerleaf.cutting.bars import BarDemand, BarPlan, BarProblem, BarStock
from innerleaf.cutting.check_bars import check_bars
from innerleaf.cutting.phases import PROVED, cut_bars

# V. Chvátal, Linear Programming, 1983, chapter 13: raws of 100 inches. Optimum of the relaxation 452.25, so
# 453 raws. From memory; the relaxation is worked out again here.
CHVATAL = {45: 97, 36: 610, 31: 395, 14: 211}

# The paper roll example of the encyclopaedia article "Cutting stock problem": parent rolls of 5600 mm. It
# says: 73 rolls, 0.401 % of waste, 10 patterns are the least. From memory; the waste is worked out again.
PAPER = {
    1380: 22, 1520: 25, 1560: 12, 1710: 14, 1820: 18, 1880: 18, 1930: 20,
    2000: 10, 2050: 12, 2100: 14, 2140: 16, 2150: 18, 2200: 20,
}  # fmt: skip


def cut(lengths: dict[int, int], bar: int) -> BarPlan:
    """Cut from bars of one length and price 1; the plan is checked."""
    demands = tuple(BarDemand(mark=f"{n}", length_mm=n, count=count) for n, count in lengths.items())
    problem = BarProblem(demands=demands, stocks=(BarStock(length_mm=bar, price=1),))
    plan = cut_bars(problem)
    assert check_bars(plan, problem) == []
    return plan


def test_raws_of_chvatal() -> None:
    """453 raws, proved."""
    plan = cut(CHVATAL, 100)

    assert (plan.cost, plan.bound, plan.stopped_by) == (453, 453, PROVED)


def test_paper_rolls() -> None:
    """73 rolls, proved, with the waste that is stated; 10 patterns are the least, ours are few more."""
    plan = cut(PAPER, 5600)
    net = sum(length * count for length, count in PAPER.items())

    assert (plan.cost, plan.bound) == (73, 73)
    assert plan.bought_mm / net - 1 == pytest.approx(0.00401, abs=2e-5)
    assert 10 <= plan.patterns <= 14


def test_triplets_without_any_waste() -> None:
    """Bars of 1000 that three pieces each fill exactly: no rule of thumb finds them, the search must.

    The way such sets are made: E. Falkenauer, Journal of Heuristics 2, 1996 (from memory); numbers our own.
    """
    lengths: dict[int, int] = {}
    for n in range(40):
        first, second = 380 + (n * 37) % 110, 255 + (n * 23) % 45
        for length in (first, second, 1000 - first - second):
            lengths[length] = lengths.get(length, 0) + 1

    plan = cut(lengths, 1000)

    assert (plan.cost, plan.bound) == (40, 40)
    assert all(bar.remainder_mm == 0 for bar in plan.bars)
