"""Which boards to order: it moves more material than any search over how to cut them."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from itertools import combinations
from math import comb, inf

from innerleaf.cutting.boards import BoardProblem, BoardStock, holds
from innerleaf.cutting.boards_coarse import coarse_bound
from innerleaf.cutting.boards_columns import mix
from innerleaf.cutting.boards_job import job_of
from innerleaf.cutting.boards_leaves import leaves_of
from innerleaf.cutting.boards_limits import BoardLimits
from innerleaf.cutting.boards_mend import pieces_of, start
from innerleaf.cutting.boards_pool import BoardPool

_ALL_TRIED = 60  # as many choices are tried one and all; of more, the best is approached by exchanges
_STARTS = 4

Choice = tuple[BoardStock, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class BoardChoice:
    """The boards to order.

    ``stocks``: those chosen, then what is limited or in hand. ``costs``: for one kind, two, and so on, the
    cost of the best mixture found, with those ``choices``. ``bound``: what no choice can go below.
    """

    stocks: tuple[BoardStock, ...]
    costs: tuple[float, ...]
    bound: float
    choices: tuple[Choice, ...] = ()


def choose_boards(problem: BoardProblem, most: int, limits: BoardLimits | None = None) -> BoardChoice:
    """Choose at most so many of the boards that can be bought.

    Up to 60 choices of one size are all tried. Beyond that a choice grows from the best smaller one, and one
    board is exchanged for another as long as that helps, which need not end in the best of all.
    """
    limits = limits or BoardLimits()
    offered = tuple(
        sorted(
            (s for s in problem.stocks if s.limit is None), key=lambda s: (s.length_mm, s.width_mm, s.price)
        )
    )
    others = tuple(s for s in problem.stocks if s.limit is not None)
    if most >= len(offered) or not any(d.count for d in problem.demands):
        return BoardChoice(stocks=problem.stocks, costs=(), bound=0)

    def cost(choice: Choice) -> float:
        stocks = (*choice, *others)
        if not all(any(holds(s, d) for s in stocks) for d in problem.demands if d.count):
            return inf
        return _mixed(replace(problem, stocks=stocks), limits)[0]

    found: list[tuple[float, Choice]] = []
    for size in range(1, most + 1):
        found.append(_best(offered, size, found[-1][1] if found else (), cost))
    value, chosen = min(found, key=lambda f: f[0])
    if value == inf:
        return BoardChoice(stocks=problem.stocks, costs=(), bound=0)
    return BoardChoice(
        stocks=(*chosen, *others),
        costs=tuple(cost for cost, _ in found),
        choices=tuple(choice for _, choice in found),
        bound=_mixed(problem, limits)[1],
    )


def _mixed(problem: BoardProblem, limits: BoardLimits) -> tuple[float, float]:
    """Cost of the cheapest mixture of patterns found, and the bound; of very many kinds of nearly that."""
    job = job_of(problem)
    if len(job.demand) > limits.types:
        bound = coarse_bound(problem, limits)
        return bound, bound
    pool, pieces = BoardPool(job), pieces_of(job, job.demand)
    for number in range(_STARTS):
        for sheet, leaves in leaves_of(*start(job, pieces, job.sheets.limit, number, 0)):
            pool.add(sheet, leaves)
    mixture = mix(job, job.demand, job.sheets.limit, pool, limits, rounds=limits.rounds)
    return mixture.value, mixture.bound


def _best(
    offered: Choice, size: int, smaller: Choice, cost: Callable[[Choice], float]
) -> tuple[float, Choice]:
    if comb(len(offered), size) <= _ALL_TRIED:
        return _least(combinations(offered, size), cost)
    value, choice = _least((_ordered({*smaller, s}, offered) for s in offered if s not in smaller), cost)
    while True:
        near = [
            _ordered({*choice, new} - {old}, offered)
            for old in choice
            for new in offered
            if new not in choice
        ]
        better, other = _least(near, cost)
        if better >= value:
            return value, choice
        value, choice = better, other


def _least(choices: Iterable[Choice], cost: Callable[[Choice], float]) -> tuple[float, Choice]:
    return min(((cost(choice), choice) for choice in choices), key=lambda f: f[0])


def _ordered(chosen: set[BoardStock], offered: Choice) -> Choice:
    return tuple(stock for stock in offered if stock in chosen)
