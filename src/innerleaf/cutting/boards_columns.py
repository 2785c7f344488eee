"""Column generation over boards: how cheaply, if boards came in fractions, and a proof of it.

As ``columns`` does for bars, with the table of ``boards_table`` for pricing. Patterns may hold more of a type
than is wanted, so the bound holds for every plan by score and snap, notches used as offcuts. Every pricing
gives a bound, finished or not (Farley, Operations Research 38, 1990, 922-923; from memory).
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field
from math import ceil, inf

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import linprog
from scipy.sparse import csc_array

from innerleaf.cutting.boards_job import Ints, Job, Leaves
from innerleaf.cutting.boards_leaves import wanted_only
from innerleaf.cutting.boards_limits import BoardLimits
from innerleaf.cutting.boards_table import MOST_VALUE, fill, points_of
from innerleaf.cutting.boards_trace import best_of, fullest

Floats = NDArray[np.float64]

_UNIT = 1 << 22  # the dearest board costs about this much where prices are whole numbers
_NOT_CUT = 10  # leaving a piece costs as much as so many of the dearest boards
_SMOOTH, _LESS_SMOOTH = 0.6, 0.2
_ENOUGH = 1e-6  # of the dearest board: patterns that gain less are not worth having
_DONE = 1e-5  # a mixture is known to about this share
_MOST_COLUMNS = 6  # times the types: kept in the program
_ROUNDING = 1e-13


@dataclass(frozen=True, slots=True)
class Pattern:
    """A board and what is cut from it: counts of types, and the leaves."""

    sheet: int
    types: tuple[int, ...]
    counts: tuple[int, ...]
    leaves: Leaves


@dataclass(slots=True)
class BoardPool:
    """The patterns met so far; of equal ones the first."""

    job: Job
    patterns: list[Pattern] = field(default_factory=list)
    _seen: set[tuple[object, ...]] = field(default_factory=set)

    def add(self, sheet: int, leaves: Leaves) -> bool:
        """Take a board in; False if one like it is known, or nothing is cut from it."""
        made = sorted(Counter(self.job.shapes.type[leaves.shape].tolist()).items())
        key = sheet, *made
        if not made or key in self._seen:
            return False
        self._seen.add(key)
        types, counts = zip(*made, strict=True)
        self.patterns.append(Pattern(sheet, types, counts, leaves))
        return True

    def matrix(self, chosen: list[int]) -> tuple[csc_array, Ints, Ints]:
        """Counts (types, patterns), prices and sheets of the patterns chosen."""
        patterns = [self.patterns[c] for c in chosen]
        start = np.concatenate([[0], np.cumsum([len(p.types) for p in patterns], dtype=np.int64)])
        rows = np.fromiter((t for p in patterns for t in p.types), np.int64)
        counts = np.fromiter((n for p in patterns for n in p.counts), np.float64)
        sheets = np.fromiter((p.sheet for p in patterns), np.int64)
        shape = len(self.job.demand), len(patterns)
        return csc_array((counts, rows, start), shape), self.job.sheets.price[sheets], sheets


@dataclass(frozen=True, slots=True)
class Mixture:
    """Boards in fractions: ``x`` by number of the pattern in the pool, prices of the types, and a bound.

    ``finished``: the mixture is the cheapest there is, and the bound is its cost.
    """

    x: dict[int, float]
    prices: Floats
    value: float
    bound: int
    rounds: int
    finished: bool


def mix(
    job: Job,
    demand: Ints,
    limit: Ints,
    pool: BoardPool,
    limits: BoardLimits,
    *,
    rounds: int,
    enough: float = inf,
    wanted: bool = False,
) -> Mixture:
    """The cheapest mixture of patterns for a demand; what is missing in the pool is added to it.

    The pool must hold a pattern for each type, or the type counts as not cut. Stops when the bound reaches
    ``enough``. ``wanted``: only of patterns
    that hold no more than is wanted, which are dearer but round better; the bound holds all the same.
    """
    points = points_of(job.shapes, int(job.sheets.length.max()))
    cells = len(points) * int(job.sheets.width.max() + 1)
    master = _Master(job, demand, limit, pool, wanted)
    scale = max(1.0, _UNIT / max(1, int(job.sheets.price.max())))
    centre = job.net * float((job.sheets.price / job.areas).min())
    proved: float = 0
    smooth, done, finished = 0.0, 0, False
    stuck = False
    while True:
        master.solve()
        finished = stuck or proved >= master.value * (1 - _DONE)
        if finished or proved >= enough or done >= rounds or cells > limits.cells or not limits.go_on():
            break
        done += 1
        inner = smooth * centre + (1 - smooth) * master.prices
        value = _whole_values(job, np.where(demand > 0, inner, 0.0) * scale)
        table = fill(job.shapes, value, job.sheets, points)
        bound, shrink = _bound(job, demand, limit, value, best_of(table, job.sheets), scale)
        if bound > proved:
            proved, centre = bound, inner * shrink
        dearer = (job.sheets.price + master.premium) * scale
        least = np.ceil(dearer + _ENOUGH * _UNIT).astype(np.int64)
        added = 0
        for k, leaves in fullest(table, job.shapes, value, job.sheets, least):
            for sheet, useful in wanted_only(job, [(k, leaves)], demand) if wanted else [(k, leaves)]:
                added += pool.add(sheet, useful)
        stuck = added == 0 and smooth == 0.0
        smooth = _SMOOTH if added else max(0.0, smooth - _LESS_SMOOTH)
    return Mixture(
        x=master.amounts(),
        prices=master.prices,
        value=master.value,
        bound=_up(proved, job.step),
        rounds=done,
        finished=finished,
    )


def _up(value: float, step: int) -> int:
    """The least multiple of ``step`` that is no less, for a value known to about 1e-15 of itself."""
    return ceil(value / step - _ROUNDING * max(1.0, abs(value / step))) * step


def _whole_values(job: Job, prices: Floats) -> Ints:
    """Prices of the types as whole values of the shapes, small enough for the table."""
    net = np.maximum(1, job.net)
    most = float((prices / net).max()) * float(job.areas.max())
    shrink = min(1.0, MOST_VALUE / most) if most > 0 else 1.0
    by_type = np.floor(prices * shrink).astype(np.int64)
    return np.ascontiguousarray(by_type[job.shapes.type])


def _bound(job: Job, demand: Ints, limit: Ints, value: Ints, best: Ints, scale: float) -> tuple[float, float]:
    """What no plan can go below, by these values shrunk until no board is worth more than it costs.

    What a board with a limit gains is taken off once for each of them. Also by how much they were shrunk.
    """
    price = job.sheets.price * scale
    endless = (limit < 0) & (best > 0)
    shrink = float((price[endless] / best[endless]).min()) if endless.any() else 1.0
    by_type = np.zeros(len(demand))
    by_type[job.shapes.type] = value
    gains = np.maximum(0.0, shrink * best - price)[limit >= 0] * limit[limit >= 0]
    return (shrink * float(by_type @ demand) - float(gains.sum())) / scale, shrink


class _Master:
    """The linear program over the pool, solved afresh each time.

    Rows: a piece of each type is cut at least so often, then each limited board is used at most so often.
    """

    def __init__(self, job: Job, demand: Ints, limit: Ints, pool: BoardPool, wanted: bool) -> None:
        self._job, self._pool, self._wanted = job, pool, wanted
        self._rows = np.flatnonzero(demand)
        self._demand = demand
        self._limited, self._limit = np.flatnonzero(limit >= 0), limit
        self._chosen: list[int] = []
        self._known = 0
        self._x = np.empty(0)
        self.prices = np.zeros(len(demand))
        self.premium = np.zeros(len(limit))
        self.value = 0.0

    def solve(self) -> None:
        """Bring the program to its end over the pool as it is now."""
        new = range(self._known, len(self._pool.patterns))
        self._chosen += filter(self._fits, new) if self._wanted else new
        self._known = len(self._pool.patterns)
        self._thin()
        counts, price, sheets = self._pool.matrix(self._chosen)
        columns, rows = len(self._chosen), len(self._rows)
        not_cut = _NOT_CUT * float(self._job.sheets.price.max() + 1)
        upper = [csc_array(-counts.tocsr()[self._rows])]
        right = [-self._demand[self._rows].astype(float)]
        if len(self._limited):
            used = (sheets[None, :] == self._limited[:, None]).astype(float)
            upper.append(csc_array(used))
            right.append(self._limit[self._limited].astype(float))
        matrix = _stacked(upper, rows)
        costs = np.concatenate([price.astype(float), np.full(rows, not_cut)])
        most = float(self._job.sheets.price.max() + 1)
        answer = linprog(costs / most, A_ub=matrix, b_ub=np.concatenate(right), method="highs-ds")
        marginals = -np.asarray(answer.ineqlin.marginals) * most
        self.prices = np.zeros(len(self._demand))
        self.prices[self._rows] = np.maximum(0.0, marginals[:rows])
        self.premium = np.zeros(len(self._limit))
        self.premium[self._limited] = np.maximum(0.0, marginals[rows:])
        self.value = float(answer.fun) * most
        self._x = np.asarray(answer.x)[:columns]

    def _fits(self, c: int) -> bool:
        pattern = self._pool.patterns[c]
        return all(n <= self._demand[t] for t, n in zip(pattern.types, pattern.counts, strict=True))

    def _thin(self) -> None:
        """Let go of patterns far from being used, when there are many."""
        most = _MOST_COLUMNS * len(self._rows) + 200
        if len(self._chosen) <= 2 * most or not self.value:
            return
        counts, price, sheets = self._pool.matrix(self._chosen)
        reduced = price + self.premium[sheets] - counts.T @ self.prices
        order = np.argsort(reduced, kind="stable")[:most]
        self._chosen = [self._chosen[c] for c in sorted(order.tolist())]

    def amounts(self) -> dict[int, float]:
        """How many of each pattern are in the mixture."""
        return {c: float(x) for c, x in zip(self._chosen, self._x, strict=True) if x > _ENOUGH}


def _stacked(blocks: list[csc_array], rows: int) -> csc_array:
    """The blocks one under the other, and a column for each of the first rows: a piece not cut."""
    from scipy.sparse import block_array, eye_array

    spare = -eye_array(rows, format="csc")
    grid = [[blocks[0], spare]] + [[block, None] for block in blocks[1:]]
    return csc_array(block_array(grid, format="csc"))
