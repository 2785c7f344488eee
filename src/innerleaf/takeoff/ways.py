"""What other ways of buying would cost: fewer lengths of bars and boards, smaller deliveries."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import get_args

from innerleaf.cutting.boards import BoardStock
from innerleaf.layout.pieces import WallPlan
from innerleaf.practice.model import Practice
from innerleaf.takeoff.buy import bar_problem, bars_by_item, buy_bars, stock_lengths
from innerleaf.takeoff.buy_boards import board_problem, boards_by_item, buy_boards, limits_for
from innerleaf.takeoff.rates import COMMON_RATES, Rates
from innerleaf.takeoff.rules import COMMON_RULES, BatchWord, BuyingRules, batches_by


@dataclass(frozen=True, slots=True, kw_only=True)
class LengthsAdvice:
    """The best choice of so many lengths of an article, and what must then be bought at least.

    ``needed`` is in mm of bar or mm2 of board, of the best mixture found with bars in fractions: whole bars
    take a little more. ``more``: beyond what all lengths offered would need, as a share.
    """

    item: str
    unit: str
    lengths_mm: tuple[int, ...]
    needed: float
    more: float


@dataclass(frozen=True, slots=True, kw_only=True)
class BatchPrice:
    """What is bought of an article if it is cut in so many deliveries; ``more`` than for one delivery."""

    way: BatchWord
    batches: int
    item: str
    unit: str
    bought: float
    more: float


def lengths_advice(
    plans: Sequence[WallPlan], practice: Practice, rates: Rates = COMMON_RATES, *, most: int = 3
) -> tuple[LengthsAdvice, ...]:
    """For each profile and board: the best one, two, ... lengths to order, up to ``most``, and all."""
    from innerleaf.cutting.assortment import choose_lengths
    from innerleaf.cutting.boards_choice import choose_boards

    found: list[LengthsAdvice] = []
    for item, bars in bars_by_item(plans).items():
        stocks = stock_lengths(practice, item)
        if len(stocks) > 1:
            problem, _ = bar_problem(item, bars, stocks, rates, COMMON_RULES)
            chosen = choose_lengths(problem, min(most, len(stocks) - 1))
            sets = [tuple(s.length_mm for s in choice) for choice in chosen.choices]
            found += _advice(item, "mm", sets, chosen.costs, chosen.bound, stocks)
    for item, pieces in boards_by_item(plans).items():
        sort = practice.boards[item]
        if len(sort.lengths_mm) > 1:
            asked, _ = board_problem(pieces, sort, rates)
            best = choose_boards(asked, min(most, len(sort.lengths_mm) - 1), limits_for(asked))
            sets = [tuple(_lengths(choice)) for choice in best.choices]
            found += _advice(item, "mm2", sets, best.costs, best.bound, sort.lengths_mm)
    return tuple(found)


def _lengths(choice: Sequence[BoardStock]) -> list[int]:
    return sorted(stock.length_mm for stock in choice)


def _advice(
    item: str,
    unit: str,
    sets: Sequence[tuple[int, ...]],
    costs: Sequence[float],
    bound: float,
    offered: Sequence[int],
) -> list[LengthsAdvice]:
    """One line a number of lengths that holds every piece, then one for all that are offered."""
    rows = [(lengths, cost) for lengths, cost in zip(sets, costs, strict=True) if cost < float("inf")]
    if bound:
        rows.append((tuple(sorted(offered)), bound))
    return [
        LengthsAdvice(
            item=item, unit=unit, lengths_mm=lengths, needed=cost, more=cost / bound - 1 if bound else 0.0
        )
        for lengths, cost in rows
    ]


def price_of_batches(
    plans: Sequence[WallPlan],
    practice: Practice,
    rates: Rates = COMMON_RATES,
    rules: BuyingRules = COMMON_RULES,
    *,
    storeys: Sequence[str] = (),
) -> tuple[BatchPrice, ...]:
    """What profiles and boards are bought for the building at once, by storey and by room."""
    found: list[BatchPrice] = []
    at_once: dict[str, float] = {}
    for way in get_args(BatchWord):
        batch_of = batches_by(way, plans, storeys)
        mine = replace(rules, batch_of=batch_of)
        bought = [*buy_bars(plans, practice, rates, mine)[0], *buy_boards(plans, practice, rates, mine)[0]]
        for purchase in bought:
            once = at_once.setdefault(purchase.item, purchase.bought)
            found.append(
                BatchPrice(
                    way=way,
                    batches=len(set(batch_of.values())) or 1,
                    item=purchase.item,
                    unit=purchase.unit,
                    bought=purchase.bought,
                    more=purchase.bought / once - 1 if once else 0.0,
                )
            )
    return tuple(found)
