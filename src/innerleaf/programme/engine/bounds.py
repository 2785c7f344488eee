"""What no schedule can beat: lags and calendars, crews in their windows, prices of crews."""

# numba ships no types, and its decorator hides those below it
# mypy: disable-error-code="untyped-decorator, no-any-return, import-untyped"

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from heapq import heappop, heappush
from typing import Any

import numpy as np
from numba import njit

from innerleaf.programme.engine.forest import Forest, forest_of, overbooked, table_for
from innerleaf.programme.engine.grid import FAR, Grid, Ints
from innerleaf.programme.engine.serial import finish_of
from innerleaf.programme.engine.windows import earliest, latest

_TRIED = 6  # attempts at one more slot before it is left at that


def by_arcs(grid: Grid) -> Ints:
    """The order in which lags are followed."""
    return grid.free if len(grid.free) else np.flatnonzero(grid.fixed < 0)


def windows(grid: Grid, end: int, first: Ints | None = None) -> tuple[Ints, Ints] | None:
    """First and last starts if everything ends by the moment ``end``; None if that cannot be.

    ``first``: first starts, where they are known already.
    """
    order = by_arcs(grid)
    low = grid.fixed.copy() if first is None else first
    if first is None and not earliest(grid, order, low):
        return None
    high = np.where(grid.fixed < 0, FAR, grid.fixed)
    if not latest(grid, order, end, high) or bool((high < low).any()):
        return None
    return low, high


def past_finish(grid: Grid) -> int:
    """Moment before which nothing finishes because of what is fixed."""
    return max(
        (int(finish_of(grid, int(i), int(grid.fixed[i]))) for i in np.flatnonzero(grid.fixed >= 0)), default=0
    )


def critical_path(grid: Grid, low: Ints) -> int:
    """Finish if crews had no limit; ``low`` are the first starts."""
    free = np.flatnonzero(grid.fixed < 0)
    return max((int(finish_of(grid, int(i), int(low[i]))) for i in free), default=0)


def crews_fit(grid: Grid, low: Ints, high: Ints) -> bool:
    """No crew has more work that must be done within some span of slots than it has units there."""
    lines = np.zeros(grid.done.shape, np.int64)
    for i in by_arcs(grid):
        if grid.duration[i]:
            line = grid.nth[grid.calendar[i], : grid.before[grid.calendar[i], grid.slots]]
            for resource, _ in grid.need[grid.need_from[i] : grid.need_from[i + 1]]:
                lines[resource, line] = 1
    there = np.maximum(0, grid.most - grid.done) * lines
    return bool(_crews_fit(grid, low, high, there))


@njit(cache=True, nogil=True)
def _crews_fit(g: Any, low: Ints, high: Ints, there: Ints) -> bool:
    count = len(low)
    ends = np.zeros(count, np.int64)
    for i in range(count):
        ends[i] = finish_of(g, i, high[i])
    needed = np.zeros(count, np.int64)
    for r in range(len(there)):
        needed[:] = 0
        for i in range(count):
            for n in range(g.need_from[i], g.need_from[i + 1]):
                if g.need[n, 0] == r and g.fixed[i] < 0:
                    needed[i] = g.need[n, 1] * g.duration[i]
        if not _spans_fit(needed, low, ends, there[r]):
            return False
    return True


@njit(cache=True, nogil=True)
def _spans_fit(needed: Ints, low: Ints, ends: Ints, there: Ints) -> bool:
    """In every span the work that must lie within it, against the units there."""
    slots = len(there)
    before, work = np.zeros(slots + 1, np.int64), np.zeros(slots + 2, np.int64)
    begins = np.zeros(slots + 1, np.bool_)
    for t in range(slots):
        before[t + 1] = before[t] + there[t]
    for i in range(len(low)):
        if needed[i] > 0:
            begins[low[i]] = True
    for begin in range(slots):
        if not begins[begin]:
            continue
        work[:] = 0
        for i in range(len(low)):
            if low[i] >= begin:
                work[ends[i]] += needed[i]
        total = 0
        for end in range(begin, slots + 1):
            total += work[end]
            if total > before[end] - before[begin]:
                return False
    return True


def least_end(lower: int, upper: int, possible: Callable[[int], bool]) -> int:
    """The least moment from ``lower`` on that is possible, where all after one that is are; or ``upper``."""
    while lower < upper:
        middle = (lower + upper) // 2
        if possible(middle):
            upper = middle
        else:
            lower = middle + 1
    return lower


def crew_bound(grid: Grid, lower: int, upper: int) -> int:
    """Least finish, from ``lower`` on, at which crews fit into the windows; ``upper`` is known to fit."""

    def possible(end: int) -> bool:
        found = windows(grid, end)
        return found is not None and crews_fit(grid, *found)

    return least_end(lower, upper, possible)


class Prices:
    """The bound from prices of crews, raised a little at each call (see `forest`)."""

    def __init__(self, grid: Grid, low: Ints, lower: int) -> None:
        self.grid, self.low = grid, low
        self.lower = lower
        self.means: Ints | None = None  # average starts for the last end that could not be excluded
        self._forest: Forest = forest_of(grid)
        self._prices = np.where(grid.most > 0, 0.5, 0.0)
        self._step, self._fails = 0, 0

    def improve(self, upper: int, steps: int) -> bool:
        """Try to exclude a finish below ``upper``; False when nothing more is to be had that way."""
        if self.lower >= upper or not len(self._forest.order):
            return False
        if not self._step:
            self._step = max(1, (upper - self.lower) // 4)
        end = min(upper - 1, self.lower + self._step - 1)
        if self._excluded(end, steps):
            self.lower, self._fails = end + 1, 0
            self._step = min(self._step, max(1, upper - self.lower))
            return self.lower < upper
        if self._step > 1:
            self._step //= 2
            return True
        self._fails += 1  # the prices go on from where they are
        return self._fails < _TRIED

    def _excluded(self, end: int, steps: int) -> bool:
        found = windows(self.grid, end, self.low)
        if found is None:
            return True
        prices, means = self._prices.copy(), np.zeros(len(self.low))
        table = table_for(self.grid, self._forest, *found)
        value, _ = overbooked(self.grid, self._forest, table, end, prices, means, steps)
        self.means = np.rint(means).astype(np.int64)
        self._prices = prices
        return value > 0


def least_returns(grid: Grid, places: Sequence[str]) -> int:
    """Returns that lags force: where a crew's work in a room is all in a row, with a wait in between."""
    if not grid.weights[1]:
        return 0
    wait = [int((np.minimum(row, grid.slots) - np.arange(grid.slots + 1)).min()) for row in grid.ready]
    rank = {i: n for n, i in enumerate(grid.free.tolist())}
    total = 0
    for begin, end in zip(grid.group_from[:-1].tolist(), grid.group_from[1:].tolist(), strict=True):
        members = grid.group[begin:end].tolist()
        if any(i not in rank for i in members):
            continue
        members.sort(key=rank.__getitem__)
        gaps = [
            _least_gap(grid, i, j, wait, rank, places) for i, j in zip(members, members[1:], strict=False)
        ]
        if None not in gaps:
            total += sum(gap > grid.patience for gap in gaps if gap is not None)
    return total


def _least_gap(
    grid: Grid, i: int, j: int, wait: list[int], rank: Mapping[int, int], places: Sequence[str]
) -> int | None:
    """Least slots from the end of i to the start of j by paths within their room; None without a path."""
    least = {i: -int(grid.duration[i])}  # from the end of i to the start of each
    front = [(rank[i], i)]
    while front:
        _, k = heappop(front)
        if k == j:
            return least[j]
        for other, lag, drying in grid.out[grid.out_from[k] : grid.out_from[k + 1]].tolist():
            if other not in rank or places[other] != places[j] or rank[other] > rank[j]:
                continue
            gap = least[k] + lag + (int(grid.duration[k]) + wait[drying] if drying >= 0 else 0)
            if other not in least:
                heappush(front, (rank[other], other))
            least[other] = max(gap, least.get(other, gap))
    return None
