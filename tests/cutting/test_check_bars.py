"""A checker that cannot fail proves nothing: every promise of a plan is broken once."""

from __future__ import annotations

from dataclasses import replace

import pytest
from tests.cutting.problems import bars, pieces

from innerleaf.cutting.bars import BarDemand, BarPlan, BarProblem, BarStock, Keeping, Piece, Splice
from innerleaf.cutting.check_bars import check_bars
from innerleaf.cutting.phases import cut_bars

PROBLEM = BarProblem(
    demands=(
        *pieces(2000, 1998, 2600),
        BarDemand(mark="long", length_mm=5000, splice=Splice(overlap_mm=100, least_mm=400)),
        BarDemand(mark="later", length_mm=900, phase=1),
    ),
    stocks=(*bars(2600, 4000), BarStock(length_mm=1000, price=10, limit=1, mark="K-1", phase=1)),
    kerf_mm=2,
    keeping=Keeping(least_mm=600, worth_per_m=10),
)
PLAN = cut_bars(PROBLEM)


def spoiled(number: int, **change: object) -> BarPlan:
    """The plan with one bar changed."""
    changed = [replace(b, **change) if b.number == number else b for b in PLAN.bars]  # type: ignore[arg-type]
    return replace(PLAN, bars=tuple(changed))


def holding(mark: str) -> int:
    return next(bar.number for bar in PLAN.bars for piece in bar.pieces if piece.mark == mark)


def without(number: int, mark: str, *more: Piece) -> BarPlan:
    bar = PLAN.bars[number - 1]
    return spoiled(number, pieces=(*(p for p in bar.pieces if p.mark != mark), *more))


def test_the_plan_itself_is_right() -> None:
    assert check_bars(PLAN, PROBLEM) == []


@pytest.mark.parametrize(
    ("plan", "said"),
    [
        (
            replace(PLAN, bars=tuple(b for b in PLAN.bars if b.number != holding("p3"))),
            "piece p3: 1 of 2600 mm",
        ),
        (spoiled(holding("p3"), pieces=()), "nothing is cut from it"),
        (without(holding("p1"), "p1"), "piece p1: 1 of 2000 mm not cut in phase 0"),
        (without(holding("p1"), "p1", Piece("p1", 2001)), "piece p1: 1 of 2001 mm cut in phase 0, not asked"),
        (without(holding("p1"), "p1", Piece("p1", 3000)), "mm needed, 4000 mm there"),
        (without(holding("long"), "long"), "piece long: "),
        (without(holding("long"), "long", Piece("long", 399, 1)), "piece long: its parts make"),
        (
            without(holding("long"), "long", Piece("long", 300, 1)),
            "piece long: a part is shorter than 400 mm",
        ),
        (spoiled(holding("p1"), length_mm=4500), "4500 mm (bought) is not there in phase 0"),
        (spoiled(holding("p1"), remainder_mm=77), "remainder said 77 mm"),
        (spoiled(holding("p1"), price=1), "is not there in phase 0"),
        (spoiled(holding("p1"), kept=True), "said to be kept"),
        (spoiled(holding("later"), phase=0), "piece later: 1 of 900 mm"),
        (spoiled(holding("later"), source="rest of bar 1"), "rest of bar 1 is not what it says"),
        (spoiled(holding("p1"), phase=2), "bars are not in the order of the phases"),
        (replace(PLAN, cost=PLAN.cost - 1), f"cost said {PLAN.cost - 1}"),
        (replace(PLAN, bound=PLAN.cost + 1), "less than the bound"),
    ],
)
def test_every_fault_is_said(plan: BarPlan, said: str) -> None:
    assert any(said in fault for fault in check_bars(plan, PROBLEM)), check_bars(plan, PROBLEM)


def test_a_limited_bar_is_not_used_twice() -> None:
    """There is one offcut K-1."""
    later = PLAN.bars[holding("later") - 1]
    assert later.source == "K-1"
    twice = replace(PLAN, bars=(*PLAN.bars, replace(later, number=len(PLAN.bars) + 1)))

    assert any("only 1 of 1000 mm (K-1) are there" in fault for fault in check_bars(twice, PROBLEM))
