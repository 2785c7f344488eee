"""Column generation: how cheaply could the pieces be cut if bars came in fractions, and a proof of it.

The pattern model of Gilmore and Gomory (Operations Research 9, 1961, 849-859; 11, 1963, 863-888): a
variable for every way to cut one bar, of which only the useful ones are ever written down. Prices are
smoothed (Wentges 1997; Pessoa, Sadykov, Uchoa and Vanderbeck 2018), and every pricing gives a bound that
holds whatever the prices are (Farley, Operations Research 38, 1990), in whole numbers. Sources from memory.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import ceil, gcd, inf

import numpy as np
from numpy.typing import NDArray

from innerleaf.cutting import knapsack
from innerleaf.cutting.cuts import Limits
from innerleaf.cutting.program import Columns, Program

Ints = NDArray[np.int64]
Floats = NDArray[np.float64]

_UNIT = 1 << 40  # the dearest bar costs about this much where prices are whole numbers
_TOLERANCE = 1e-9  # of the dearest bar
_NOT_CUT = 10  # leaving a piece costs as much as so many of the dearest bars
_MANY, _FEW = 600, 250  # more types than the first: prices of every few together are found before
_COARSE = 1e-3  # how near these are enough
_SMOOTH, _LESS_SMOOTH = 0.6, 0.2
_CLOSE = 1e-9  # a mixture is known to about this share
_ROUNDING = 1e-13


@dataclass(frozen=True, slots=True, kw_only=True)
class Batch:
    """Pieces to cut together: every number whole.

    A bar of capacity c holds pieces whose weights add up to at most c: weight is length and cut, capacity
    is usable length and one cut. ``limit`` is -1 where there are bars without end. ``worth[s]`` is what
    a rest of weight s brings; empty if rests are worth nothing.
    """

    weight: Ints
    demand: Ints
    capacity: Ints
    price: Ints
    limit: Ints
    worth: Ints

    @property
    def step(self) -> int:
        """The greatest number that every cost is a multiple of."""
        return gcd(*self.price.tolist(), *np.unique(self.worth).tolist()) or 1

    @property
    def not_cut(self) -> int:
        """What leaving one piece costs."""
        return _NOT_CUT * int(self.price.max(initial=0) + 1)


class Pool:
    """Patterns met so far: source (a bar length; -1: a piece not cut), and how many of which type."""

    def __init__(self, types: int, keys: Ints | None = None) -> None:
        self.types = types
        self.source = np.empty(0, np.int64)
        self.start = np.zeros(1, np.int64)
        self.row = np.empty(0, np.int64)
        self.count = np.empty(0, np.int64)
        # a pattern is known by a sum of random numbers, one for each type: equal patterns, equal sums
        self._keys = np.random.default_rng(1).integers(-(2**62), 2**62, types + 1) if keys is None else keys
        self._seen: set[int] = set()

    def __len__(self) -> int:
        return len(self.source)

    def add(self, source: Ints, start: Ints, row: Ints, count: Ints) -> int:
        """Take in the patterns not known yet; returns how many."""
        if not len(source):
            return 0
        sums = np.add.reduceat(count * self._keys[row], start[:-1]) + (source + 2) * self._keys[-1]
        new = np.zeros(len(source), bool)
        for c, known in enumerate(sums.tolist()):
            new[c] = known not in self._seen
            self._seen.add(known)
        lengths = np.diff(start)
        entries = np.repeat(new, lengths)
        self.source = np.concatenate([self.source, source[new]])
        self.start = np.concatenate([self.start, self.start[-1] + np.cumsum(lengths[new])])
        self.row = np.concatenate([self.row, row[entries]])
        self.count = np.concatenate([self.count, count[entries]])
        return int(new.sum())

    def cost(self, batch: Batch) -> Ints:
        """What each pattern costs, the worth of its rest taken off."""
        cost = np.where(self.source < 0, batch.not_cut, batch.price[self.source])
        if len(batch.worth):
            filled = np.zeros(len(self) + 1, np.int64)
            filled[1:] = np.cumsum(self.count * batch.weight[self.row])[self.start[1:] - 1]
            rest = batch.capacity[self.source] - np.diff(filled)
            cost -= np.where(self.source < 0, 0, batch.worth[np.maximum(rest, 0)])
        return cost

    def pattern(self, c: int) -> tuple[Ints, Ints]:
        """Types of a pattern, and how many of each."""
        a, b = self.start[c], self.start[c + 1]
        return self.row[a:b], self.count[a:b]

    def fitting(self, kept: Ints, left: Ints) -> Pool:
        """The patterns that hold no more than what is left, in terms of the types kept."""
        owner = np.repeat(np.arange(len(self)), np.diff(self.start))
        good = np.bincount(owner, self.count > left[self.row], len(self)) == 0
        number = np.full(self.types, -1)
        number[kept] = np.arange(len(kept))
        pool = Pool(len(kept), np.append(self._keys[kept], self._keys[-1]))
        entries = good[owner]
        start = np.concatenate([[0], np.cumsum(np.diff(self.start)[good])])
        pool.add(self.source[good], start, number[self.row[entries]], self.count[entries])
        return pool


@dataclass(frozen=True, slots=True, kw_only=True)
class Relaxed:
    """Bars in fractions: how many of each pattern of the pool, the cost, and what no plan can go below.

    ``bound`` holds whether or not the rounds came to an end; it is a multiple of the step of the batch.
    """

    x: Floats
    value: float
    bound: int
    prices: Floats
    rounds: int
    finished: bool


def relax(batch: Batch, pool: Pool, limits: Limits, *, enough: float = inf) -> Relaxed:
    """Find the cheapest mixture of patterns, adding to the pool what is missing in it.

    Stops when the bound is as near as a quarter of what is close enough, when the bound reaches ``enough``,
    or at the limits.
    """
    scale = max(1, _UNIT // int(batch.price.max(initial=1)))
    fine = Batch(
        weight=batch.weight,
        demand=batch.demand,
        capacity=batch.capacity,
        price=batch.price * scale,
        limit=batch.limit,
        worth=batch.worth * scale,
    )
    step = batch.step
    _add_singles(batch, pool)
    master = _Master(fine, pool)
    types = len(batch.demand)
    proved, smooth, close = 0, 0.0, max(_CLOSE, limits.close / 4)
    centre = _first_prices(batch, pool, limits) * scale
    finished = False
    for done in range(1, limits.rounds + 1):  # noqa: B007 - read after the loop
        moved = master.solve()
        outer = np.maximum(master.prices[:types], 0.0)
        finished = _up(proved / scale, step) >= _up(master.value * (1 - close) / scale, step)
        if finished or _up(proved / scale, step) >= enough or not limits.go_on():
            break
        smooth = _SMOOTH if moved else max(0.0, smooth - _LESS_SMOOTH)
        inner = smooth * centre + (1 - smooth) * outer
        values = np.floor(inner).astype(np.int64)
        table = knapsack.fill(fine.weight, values, fine.demand, int(fine.capacity.max()))
        bound, shrink = _bound(fine, values, table)
        if bound > proved:
            proved, centre = bound, inner * shrink
        price = fine.price + master.premium()
        found = knapsack.patterns(
            table, fine.weight, values, fine.demand, fine.capacity, price, fine.worth, _UNIT >> 30
        )
        if pool.add(*found) == 0 and smooth == 0.0 and master.settled:
            finished = True
            break
    return Relaxed(
        x=master.amounts(),
        value=master.value / scale,
        bound=_up(proved / scale, step),
        prices=np.maximum(master.prices[:types], 0.0) / scale,
        rounds=done,
        finished=finished,
    )


def _first_prices(batch: Batch, pool: Pool, limits: Limits) -> Floats:
    """Prices to begin with: by weight, or, of many types, as those of every few taken together.

    Types next to each other then count as the longest of them; what is cut for these is a start for all.
    """
    if len(batch.demand) <= _MANY:
        return batch.weight.astype(np.float64) * float((batch.price / batch.capacity).min())
    first = np.arange(0, len(batch.demand), -(-len(batch.demand) // _FEW))
    coarse = replace(batch, weight=batch.weight[first], demand=np.add.reduceat(batch.demand, first))
    known = Pool(len(first))
    mixed = relax(coarse, known, replace(limits, close=max(_COARSE, limits.close)))
    used = np.flatnonzero((mixed.x > 0) & (known.source >= 0))
    for c in used.tolist():
        row, count = known.pattern(c)
        fewer = np.minimum(count, batch.demand[first[row]])
        pool.add(known.source[c : c + 1], np.array([0, len(row)]), first[row], fewer)
    return np.interp(-batch.weight, -coarse.weight, mixed.prices)


def _up(value: float, step: int) -> int:
    """The least multiple of ``step`` that is no less, for a bound known to about 1e-15 of itself."""
    return ceil(value / step - _ROUNDING * max(1.0, abs(value / step))) * step


def _add_singles(batch: Batch, pool: Pool) -> None:
    """So that there is always an answer: each piece not cut, and as many of a type as a bar holds."""
    types = np.arange(len(batch.demand))
    one = np.ones(len(types), np.int64)
    pool.add(-one, np.arange(len(types) + 1), types, one)
    for k in range(len(batch.capacity)):
        times = np.minimum(batch.capacity[k] // batch.weight, batch.demand)
        fits = np.flatnonzero(times)
        pool.add(np.full(len(fits), k), np.arange(len(fits) + 1), fits, times[fits])


def _bound(batch: Batch, values: Ints, table: knapsack.Table) -> tuple[int, float]:
    """What no plan can go below, by these prices shrunk until no bar is worth more than it costs.

    Bars without end: prices are shrunk so that it holds. Bars with a limit: what such a bar would gain
    is taken off once for each of them.
    """
    best = table[0]
    num, den = 1, 1
    endless = np.flatnonzero(batch.limit < 0)
    for k in endless:
        a, b = knapsack.tightest(best, int(batch.capacity[k]), batch.worth, int(batch.price[k]))
        if b and (den == 0 or a * den < num * b or k == endless[0]):
            num, den = int(a), int(b)
    limited = np.flatnonzero(batch.limit >= 0)
    if not len(limited):
        total = sum(v * d for v, d in zip(values.tolist(), batch.demand.tolist(), strict=True))
        return total * num // den, num / den
    ceiling = batch.not_cut
    shrunk = np.array([min(v * num // den, ceiling) for v in values.tolist()], np.int64)
    again = knapsack.fill(batch.weight, shrunk, batch.demand, int(batch.capacity.max()))[0]
    gain = knapsack.fullest(again, batch.capacity[limited], batch.worth) - batch.price[limited]
    taken = sum(max(0, g) * n for g, n in zip(gain.tolist(), batch.limit[limited].tolist(), strict=True))
    total = sum(v * d for v, d in zip(shrunk.tolist(), batch.demand.tolist(), strict=True))
    return total - taken, num / den


class _Master:
    """The linear program over the pool, kept warm between rounds.

    Rows: a piece of each type is cut at least so often, then each limited bar is used at most so often.
    """

    def __init__(self, batch: Batch, pool: Pool) -> None:
        self._batch, self._pool = batch, pool
        types = len(batch.demand)
        self._limited = np.flatnonzero(batch.limit >= 0)
        self._limit_row = np.full(len(batch.capacity) + 1, -1)  # the last is for pieces not cut
        self._limit_row[self._limited] = types + np.arange(len(self._limited))
        right = np.concatenate([batch.demand, batch.limit[self._limited]]).astype(float)
        rows = len(right)
        columns = self._with_limits()
        # begin with each type cut alone, as cheaply as that can be, and all limited bars unused
        source, (start, row, count, cost) = pool.source, columns
        alone = np.diff(pool.start) == 1
        alone &= np.append(batch.limit < 0, True)[source]
        chosen = np.full(types, -1)
        for c in np.flatnonzero(alone).tolist():
            r, now = row[start[c]], chosen[row[start[c]]]
            if now < 0 or cost[c] * count[start[now]] < cost[now] * count[start[c]]:
                chosen[r] = c
        self._program = Program(
            right,
            np.where(np.arange(rows) < types, -1.0, 1.0),
            np.concatenate([chosen, -1 - np.arange(types, rows)]),
            columns,
            tolerance=_TOLERANCE * _UNIT,
            chained=True,
        )

    def _with_limits(self) -> Columns:
        """The pool with an entry more for each pattern of a limited bar."""
        pool = self._pool
        cost = pool.cost(self._batch).astype(float)
        if not len(self._limited):
            return Columns(pool.start, pool.row, pool.count.astype(float), cost)
        limit = self._limit_row[pool.source]
        ends = pool.start[1:][limit >= 0]
        row = np.insert(pool.row, ends, limit[limit >= 0])
        count = np.insert(pool.count.astype(float), ends, 1.0)
        start = pool.start + np.concatenate([[0], np.cumsum(limit >= 0)])
        return Columns(start, row, count, cost)

    def solve(self) -> int:
        """Bring the program to its end over the pool as it is now; returns the pivots it took."""
        return self._program.solve(self._with_limits())

    @property
    def settled(self) -> bool:
        """The end was reached within the pivots of one round."""
        return self._program.settled

    @property
    def prices(self) -> Floats:
        """Prices of the types, then of the limited bars."""
        return self._program.prices

    @property
    def value(self) -> float:
        """Cost of the mixture."""
        return self._program.value

    def premium(self) -> Ints:
        """What a bar costs beyond its price because there are not enough of it."""
        more = np.zeros(len(self._batch.capacity), np.int64)
        types = len(self._batch.demand)
        more[self._limited] = np.floor(np.maximum(-self.prices[types:], 0)).astype(np.int64)
        return more

    def amounts(self) -> Floats:
        """How many of each pattern of the pool, as the demands are without the shaking."""
        return self._program.amounts(len(self._pool))
