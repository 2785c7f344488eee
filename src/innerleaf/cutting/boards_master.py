"""The linear program of boards: the cheapest mixture of the patterns known, and what pieces are worth."""

from __future__ import annotations

from itertools import chain
from typing import NamedTuple

import numpy as np

from innerleaf.cutting.boards_job import Ints, Job
from innerleaf.cutting.boards_pool import BoardPool
from innerleaf.cutting.boards_serving import sizes_of, trades
from innerleaf.cutting.program import Columns, Floats, Program

_NOT_CUT = 10  # leaving a piece costs as much as so many of the dearest boards
_TOLERANCE = 1e-9  # of the dearest board
_USED = 1e-6  # of a board: less is not in the mixture


class Groups(NamedTuple):
    """Types whose prices rise and fall together: the group of each, and its price beside the others'."""

    of: Ints
    weight: Floats


class Master:
    """The program over the pool, kept warm between rounds.

    Rows: a piece of each type is cut at least so often, then each limited board is used at most so often.
    A piece too many may serve as a smaller one. ``wanted``: only patterns that hold no more than is wanted.
    ``groups``: one row for each, which asks for as much as all its types together; then the mixture need not
    hold every piece, and its cost is no more than that of one that does.
    """

    def __init__(
        self,
        job: Job,
        demand: Ints,
        limit: Ints,
        pool: BoardPool,
        *,
        wanted: bool = False,
        groups: Groups | None = None,
    ) -> None:
        self._job, self._pool, self._demand, self._wanted = job, pool, demand, wanted
        kept = np.flatnonzero(demand)
        self._row = np.full(len(demand), -1)
        self._weight = np.ones(len(demand))
        trade = (np.empty(0, np.int64), np.empty(0, np.int64))
        if groups is None:
            self._row[kept] = np.arange(len(kept))
            trade = trades(kept, sizes_of(job))
        else:
            self._row[kept] = np.unique(groups.of[kept], return_inverse=True)[1]
            self._weight = groups.weight
        self.rows = int(self._row.max(initial=-1)) + 1
        self._limited = np.flatnonzero(limit >= 0)
        self._limit_row = np.full(len(limit), -1)
        self._limit_row[self._limited] = self.rows + np.arange(len(self._limited))
        self._most = float(job.sheets.price.max() + 1)
        self._known, self._chosen = 0, list[int]()
        self._columns = self._own(*trade)
        self._fixed = len(self._columns.cost)
        asked = np.bincount(self._row[kept], self._weight[kept] * demand[kept], self.rows)
        self.right = np.concatenate([asked, limit[self._limited]]).astype(float)
        rows = np.arange(len(self.right))
        self.sense = np.where(rows < self.rows, -1.0, 1.0)
        basis = np.where(rows < self.rows, rows, -1 - rows)
        self._program = Program(self.right, self.sense, basis, self._columns, tolerance=_TOLERANCE)

    def _own(self, out: Ints, into: Ints) -> Columns:
        """What a row asks for not cut, and a type that serves as another."""
        rows, many = self.rows, len(out)
        start = np.concatenate([np.arange(rows), rows + 2 * np.arange(many + 1)])
        row = np.concatenate([np.arange(rows), np.stack([self._row[out], self._row[into]], 1).ravel()])
        count = np.concatenate([np.ones(rows), np.tile([-1.0, 1.0], many)])
        cost = np.concatenate([np.full(rows, float(_NOT_CUT)), np.zeros(many)])
        return Columns(start, row, count, cost)

    def solve(self) -> int:
        """Bring the program to its end over the pool as it is now; returns the pivots it took."""
        self._take_new()
        return self._program.solve(self._columns)

    def _take_new(self) -> None:
        patterns, known = self._pool.patterns, range(self._known, len(self._pool.patterns))
        new = [c for c in known if not self._wanted or patterns[c].within(self._demand)]
        self._known = len(patterns)
        self._chosen += new
        types = np.fromiter(chain.from_iterable(patterns[c].types for c in new), np.int64)
        counts = np.fromiter(chain.from_iterable(patterns[c].counts for c in new), np.float64)
        sheets = np.array([patterns[c].sheet for c in new], np.int64)
        owner = np.repeat(np.arange(len(new)), [len(patterns[c].types) for c in new])
        asked = self._row[types] >= 0
        limited = np.flatnonzero(self._limit_row[sheets] >= 0)
        row = np.concatenate([self._row[types[asked]], self._limit_row[sheets[limited]]])
        count = np.concatenate([counts[asked] * self._weight[types[asked]], np.ones(len(limited))])
        owner = np.concatenate([owner[asked], limited])
        order = np.argsort(owner, kind="stable")
        before = self._columns
        self._columns = Columns(
            np.concatenate(
                [before.start, before.start[-1] + np.cumsum(np.bincount(owner, minlength=len(new)))]
            ),
            np.concatenate([before.row, row[order]]),
            np.concatenate([before.entry, count[order]]),
            np.concatenate([before.cost, self._job.sheets.price[sheets] / self._most]),
        )

    @property
    def settled(self) -> bool:
        """The end was reached within the pivots of one round."""
        return self._program.settled

    @property
    def value(self) -> float:
        """Cost of the mixture."""
        return self._program.value * self._most

    @property
    def prices(self) -> Floats:
        """What a piece of each type is worth."""
        kept = self._row >= 0
        prices = np.zeros(len(self._demand))
        by_row = np.maximum(0.0, self._program.prices[: self.rows]) * self._most
        prices[kept] = by_row[self._row[kept]] * self._weight[kept]
        return prices

    @property
    def premium(self) -> Floats:
        """What a board costs beyond its price because there are not enough of it."""
        premium = np.zeros(len(self._limit_row))
        premium[self._limited] = np.maximum(0.0, -self._program.prices[self.rows :]) * self._most
        return premium

    def amounts(self) -> dict[int, float]:
        """How many of each pattern of the pool are in the mixture."""
        x = self._program.amounts(len(self._columns.cost))[self._fixed :]
        return {c: float(each) for c, each in zip(self._chosen, x, strict=True) if each > _USED}
