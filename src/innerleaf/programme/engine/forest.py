"""A bound from prices of crews: compiled.

If everything is to end by a moment T, let each crew's slot have a price. A programme that fits pays no more
than the crews' units at these prices. Without crews, but with the lags of a forest (each activity tied to
one other at most once, rooms as a rule are chains), the cheapest starts follow from a table over slots. If
even these cost more than all units there are, nothing ends by T. Prices are found by steps along what is
overbooked (Möhring, Schulz, Stork, Uetz, Management Science 49, 2003; the volume form after Barahona,
Anbil, Mathematical Programming 87, 2000; both from memory). The average of the cheapest starts also says
in which order a good schedule works.
"""

# numba ships no types, and its decorator hides those below it
# mypy: disable-error-code="untyped-decorator, no-any-return, import-untyped"

from __future__ import annotations

from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np
from numba import njit

from innerleaf.programme.engine.grid import Grid, Ints
from innerleaf.programme.engine.serial import finish_of

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]


class Forest(NamedTuple):
    """Free activities, each before those that hang on it.

    ``tie`` rows: parent or -1, whether the arc leads down (1) or up (0), its lag and drying class.
    """

    order: Ints
    tie: Ints


def forest_of(grid: Grid) -> Forest:
    """Ties that hold most: arcs from and to real work first, long ones before short ones."""
    free = set(grid.free.tolist())
    arcs = []
    for i in grid.free.tolist():
        for j, lag, drying in grid.out[grid.out_from[i] : grid.out_from[i + 1]].tolist():
            if j in free:
                real = grid.duration[i] > 0 and grid.duration[j] > 0
                arcs.append((not real, -(int(grid.duration[i]) + lag), i, j, lag, drying))
    root = list(range(len(grid.duration)))

    def top(i: int) -> int:
        while root[i] != i:
            root[i] = root[root[i]]
            i = root[i]
        return i

    near: list[list[tuple[int, int, int, int]]] = [[] for _ in root]
    for _, _, i, j, lag, drying in sorted(arcs):
        if top(i) != top(j):
            root[top(i)] = top(j)
            near[i].append((j, 1, lag, drying))
            near[j].append((i, 0, lag, drying))
    return _hung(near, grid.free.tolist())


def _hung(near: list[list[tuple[int, int, int, int]]], free: list[int]) -> Forest:
    """Trees hung up at their first activity."""
    tie = np.full((len(near), 4), -1, np.int64)
    order: list[int] = []
    seen: set[int] = set()
    for first in free:
        at = len(order)
        if first not in seen:
            seen.add(first)
            order.append(first)
        while at < len(order):
            i = order[at]
            at += 1
            for j, down, lag, drying in near[i]:
                if j not in seen:
                    seen.add(j)
                    tie[j] = i, down, lag, drying
                    order.append(j)
    return Forest(np.array(order, np.int64), tie)


class Table(NamedTuple):
    """Room to work in: starts of activity i from ``low[i]`` to ``high[i]``, entries from ``at[i]`` on.

    ``cost`` of each start with all that hangs on it, ``best`` the entry of the cheapest start that a tie
    leaves. ``reach``: for each start of the parent the entry of the child's start that bounds
    it, from ``reach_at`` of the child on.
    """

    low: Ints
    high: Ints
    at: Ints
    reach_at: Ints
    reach: Ints
    cost: Floats
    best: Ints
    sums: Floats
    starts: Ints
    used: Ints


def table_for(grid: Grid, forest: Forest, low: Ints, high: Ints) -> Table:
    """Empty, for these first and last starts."""
    wide = np.maximum(0, high - low + 1)
    at = np.zeros(len(low) + 1, np.int64)
    np.cumsum(wide, out=at[1:])
    reach_at = np.zeros(len(low) + 1, np.int64)
    np.cumsum(np.where(forest.tie[:, 0] >= 0, wide[forest.tie[:, 0]], 0), out=reach_at[1:])
    table = Table(
        low=low,
        high=high,
        at=at,
        reach_at=reach_at,
        reach=np.zeros(int(reach_at[-1]), np.int64),
        cost=np.zeros(int(at[-1])),
        best=np.zeros(int(at[-1]), np.int64),
        sums=np.zeros((len(grid.price), len(grid.before), grid.slots + 1)),
        starts=grid.fixed.copy(),
        used=np.zeros_like(grid.done),
    )
    _reaches(grid, forest, table)
    return table


@njit(cache=True, nogil=True)
def _moment(g: Any, i: int, start: int, lag: int, drying: int) -> int:
    """Slot from which on the other end of an arc out of i may start."""
    if drying < 0:
        return start + lag
    return g.ready[drying, min(finish_of(g, i, start), g.slots)] + lag


@njit(cache=True, nogil=True)
def _reaches(g: Any, f: Any, w: Any) -> None:
    """For each start of a parent the entry of the first (tie down) or last (up) start its child may have."""
    for j in f.order:
        i, down, lag, drying = f.tie[j, 0], f.tie[j, 1], f.tie[j, 2], f.tie[j, 3]
        if i < 0:
            continue
        low, high = w.low[j], w.high[j]
        last = low - 1
        for start in range(w.low[i], w.high[i] + 1):
            entry = w.reach_at[j] + start - w.low[i]
            if down == 1:
                moment = max(low, _moment(g, i, start, lag, drying))
                w.reach[entry] = w.at[j] + moment - low if moment <= high else -1
            else:
                while last < high and _moment(g, j, last + 1, lag, drying) <= start:
                    last += 1
                w.reach[entry] = w.at[j] + last - low if last >= low else -1


@njit(cache=True, nogil=True)
def _own(g: Any, w: Any, prices: Floats) -> None:
    """Cost of each start by itself."""
    sums, cost, low, high, at = w.sums, w.cost, w.low, w.high, w.at
    need_from, need, before, nth = g.need_from, g.need, g.before, g.nth
    for r in range(prices.shape[0]):
        for c in range(len(before)):
            total = 0.0
            for k in range(before[c, g.slots]):
                sums[r, c, k] = total
                total += prices[r, nth[c, k]]
            sums[r, c, before[c, g.slots]] = total
    cost[:] = 0.0
    for i in g.free:
        c, d = g.calendar[i], g.duration[i]
        shift = at[i] - low[i]
        for n in range(need_from[i], need_from[i + 1]):
            r, units = need[n, 0], need[n, 1]
            for start in range(low[i], high[i] + 1):
                k = before[c, start]
                cost[shift + start] += units * (sums[r, c, min(k + d, g.slots)] - sums[r, c, k])
        if c > 0 and d > 0:
            for start in range(low[i], high[i] + 1):
                if nth[c, before[c, start]] != start:
                    cost[shift + start] = np.inf


@njit(cache=True, nogil=True)
def _hand_up(
    cost: Floats, best: Ints, first: int, last: int, down: int, reach: Ints, to: int, at: int, many: int
) -> None:
    """Note the cheapest of each child's starts that a tie leaves, and add it to the parent's starts."""
    step = -1 if down == 1 else 1
    entry = last if down == 1 else first
    lead = entry
    for _ in range(last - first + 1):
        if cost[entry] <= cost[lead]:
            lead = entry
        best[entry] = lead
        entry += step
    for n in range(many):
        child = reach[at + n]
        cost[to + n] += cost[best[child]] if child >= 0 else np.inf


@njit(cache=True, nogil=True)
def cheapest(g: Any, f: Any, w: Any, prices: Floats) -> float:
    """Cost of the cheapest starts at these prices; the starts and what they use stand in ``w``."""
    _own(g, w, prices)
    at, low, starts, cost, best = w.at, w.low, w.starts, w.cost, w.best
    order, tie, reach, reach_at = f.order, f.tie, w.reach, w.reach_at
    for n in range(len(order) - 1, -1, -1):
        j = order[n]
        i = tie[j, 0]
        if i >= 0:
            many = at[i + 1] - at[i]
            _hand_up(cost, best, at[j], at[j + 1] - 1, tie[j, 1], reach, at[i], reach_at[j], many)
    total = 0.0
    for j in order:
        i = tie[j, 0]
        if i >= 0:
            entry = best[reach[reach_at[j] + starts[i] - low[i]]]
        else:
            entry = at[j]
            for other in range(at[j], at[j + 1]):
                if cost[other] < cost[entry]:
                    entry = other
            total += cost[entry]
        starts[j] = low[j] + entry - at[j]
    _use(g, starts, w.used)
    return total


@njit(cache=True, nogil=True)
def _use(g: Any, starts: Ints, used: Ints) -> None:
    """Units in use by free activities."""
    duration, calendar, before, nth = g.duration, g.calendar, g.before, g.nth
    need_from, need = g.need_from, g.need
    used[:] = 0
    for j in g.free:
        first = before[calendar[j], min(starts[j], g.slots)]
        for n in range(need_from[j], need_from[j + 1]):
            for k in range(first, first + duration[j]):
                used[need[n, 0], nth[calendar[j], k]] += need[n, 1]


@njit(cache=True, nogil=True)
def overbooked(
    g: Any, f: Any, w: Any, end: int, prices: Floats, mean: Floats, steps: int
) -> tuple[float, int]:
    """Most by which the cheapest starts cost more than all units there are, as a share; found in some steps.

    Above 0: nothing that keeps the windows of ``w`` ends by the moment ``end``. ``prices`` (0 or more) go
    on from where they are; ``mean`` becomes the average start.
    """
    there = np.zeros(prices.shape)
    there[:, :end] = np.maximum(0, g.most - g.done)[:, :end]
    centre, best = prices.copy(), -np.inf
    flow = np.zeros(prices.shape)
    length, fails = 1.0, 0
    for step in range(steps):
        whole = (prices * there).sum()
        value = cheapest(g, f, w, prices) / whole - 1.0
        share = max(0.03, 1.0 / (1.0 + step))
        flow[:] = share * w.used + (1 - share) * flow
        mean[:] = share * w.starts + (1 - share) * mean
        if value > best:
            if value > best + 0.0005:
                length = min(2.0, length * 1.1)
            best = value
            centre[:] = prices / whole
            fails = 0
        else:
            fails += 1
            if fails >= 8:
                length = max(0.01, length * 0.7)
                fails = 0
        if best > 1e-9:
            break
        over = flow - (1.0 + best) * there
        for r in range(over.shape[0]):
            for t in range(over.shape[1]):
                if t >= end or (centre[r, t] <= 0 and over[r, t] < 0):
                    over[r, t] = 0.0
        square = (over * over).sum()
        if square < 1e-9:
            break
        prices[:] = np.maximum(0.0, centre + length * max(0.002, -0.5 * best) / square * over)
    prices[:] = centre
    return best, step + 1
