"""Which lengths to order: it moves more material than any search over how to cut them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from itertools import combinations
from math import comb, inf

from innerleaf.cutting.bars import BarProblem, BarStock, pieces_of
from innerleaf.cutting.batches import batch_of
from innerleaf.cutting.columns import Pool, relax
from innerleaf.cutting.cuts import Limits
from innerleaf.cutting.phases import sources_of
from innerleaf.cutting.splices import parted

_ALL_TRIED = 120  # as many choices are tried one and all; of more, the best is approached by exchanges
_CLOSE = 1e-3  # a choice is judged by the fractional plan, this near

Choice = tuple[BarStock, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Assortment:
    """The lengths to order.

    ``stocks``: those chosen, and what is limited or in hand. ``costs``: for one length, two, and so on,
    the cost of the best fractional plan found, charges included, with those ``choices``. ``bound``: what
    no choice can go below, the cheapest charge included.
    """

    stocks: tuple[BarStock, ...]
    costs: tuple[float, ...]
    bound: float
    choices: tuple[Choice, ...] = ()


def choose_lengths(
    problem: BarProblem, most: int, *, charge: int = 0, limits: Limits | None = None
) -> Assortment:
    """Choose at most so many of the lengths that can be bought, each at a charge for having it at all.

    Up to 120 choices of one size are all tried. Beyond that a choice grows from the best smaller one, and
    one length is exchanged for another as long as that helps, which need not end in the best of all.
    Phases are left out of account here: every piece may come from every bar.
    """
    limits = replace(limits or Limits(), close=_CLOSE)
    offered = tuple(
        sorted((s for s in problem.stocks if s.limit is None), key=lambda s: (s.length_mm, s.price))
    )
    others = tuple(s for s in problem.stocks if s.limit is not None)
    demands = [d for d in pieces_of(problem) if d.count]
    last = max(s.phase for s in problem.stocks)

    def cost(choice: Choice) -> float:
        longest = max(s.usable_mm for s in (*choice, *others))
        if any(d.length_mm > longest and not d.splice for d in demands):
            return inf
        sources = sources_of(replace(problem, stocks=(*choice, *others), demands=()), last)
        pieces = parted(demands, sources, problem.kerf_mm, limits)
        batch = batch_of((p.length_mm for p in pieces), sources, problem.kerf_mm, problem.keeping)
        return relax(batch, Pool(len(batch.demand)), limits).value

    if not demands or most >= len(offered):
        return Assortment(stocks=problem.stocks, costs=(), bound=0)
    found: list[tuple[float, Choice]] = []
    for size in range(1, most + 1):
        value, choice = _best(offered, size, found[-1][1] if found else (), cost)
        found.append((value + charge * size, choice))
    cheapest = min(found, key=lambda f: f[0])
    if cheapest[0] == inf:
        return Assortment(stocks=problem.stocks, costs=(), bound=0)
    return Assortment(
        stocks=(*cheapest[1], *others),
        costs=tuple(value for value, _ in found),
        choices=tuple(choice for _, choice in found),
        bound=cost(offered) * (1 - _CLOSE / 10) + charge,
    )


def _best(
    offered: Choice, size: int, smaller: Choice, cost: Callable[[Choice], float]
) -> tuple[float, Choice]:
    if comb(len(offered), size) <= _ALL_TRIED:
        return min(((cost(c), c) for c in combinations(offered, size)), key=lambda f: f[0])
    value, choice = min(((cost(c), c) for c in _grown(offered, smaller)), key=lambda f: f[0])
    while True:
        better, other = min(((cost(c), c) for c in _exchanged(offered, choice)), key=lambda f: f[0])
        if better >= value:
            return value, choice
        value, choice = better, other


def _grown(offered: Choice, choice: Choice) -> list[Choice]:
    return [_in_order(offered, {*choice, stock}) for stock in offered if stock not in choice]


def _exchanged(offered: Choice, choice: Choice) -> list[Choice]:
    return [
        _in_order(offered, {*choice, stock} - {out})
        for out in choice
        for stock in offered
        if stock not in choice
    ]


def _in_order(offered: Choice, chosen: set[BarStock]) -> Choice:
    return tuple(stock for stock in offered if stock in chosen)
