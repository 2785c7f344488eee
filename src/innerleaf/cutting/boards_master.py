"""The linear program of boards: which mixture of the patterns known is cheapest, and what pieces are worth."""

from __future__ import annotations

from itertools import chain

import numpy as np

from innerleaf.cutting.boards_job import Ints, Job
from innerleaf.cutting.boards_pool import BoardPool
from innerleaf.cutting.boards_serving import sizes_of, trades
from innerleaf.cutting.program import Columns, Floats, Program

_NOT_CUT = 10  # leaving a piece costs as much as so many of the dearest boards
_TOLERANCE = 1e-9  # of the dearest board
_USED = 1e-6  # of a board: less is not in the mixture


class Master:
    """The program over the pool, kept warm between rounds.

    Rows: a piece of each type is cut at least so often, then each limited board is used at most so often.
    A piece too many may serve as a smaller one. ``wanted``: only patterns that hold no more than is wanted.
    """

    def __init__(self, job: Job, demand: Ints, limit: Ints, pool: BoardPool, *, wanted: bool) -> None:
        self._job, self._pool, self._demand, self._wanted = job, pool, demand, wanted
        self._kept = np.flatnonzero(demand)
        self._row = np.full(len(demand), -1)
        self._row[self._kept] = np.arange(len(self._kept))
        self._limited = np.flatnonzero(limit >= 0)
        self._limit_row = np.full(len(limit), -1)
        self._limit_row[self._limited] = len(self._kept) + np.arange(len(self._limited))
        self._most = float(job.sheets.price.max() + 1)
        self._known, self._chosen = 0, list[int]()
        self._columns = self._own()
        self._fixed = len(self._columns.cost)
        kinds = len(self._kept)
        right = np.concatenate([demand[self._kept], limit[self._limited]]).astype(float)
        rows = np.arange(len(right))
        sense = np.where(rows < kinds, -1.0, 1.0)
        basis = np.where(rows < kinds, rows, -1 - rows)
        self._program = Program(right, sense, basis, self._columns, tolerance=_TOLERANCE)

    def _own(self) -> Columns:
        """A piece of each type that is not cut, and one that serves as another."""
        kinds = len(self._kept)
        out, into = trades(self._kept, sizes_of(self._job))
        many = len(out)
        start = np.concatenate([np.arange(kinds), kinds + 2 * np.arange(many + 1)])
        row = np.concatenate([np.arange(kinds), np.stack([self._row[out], self._row[into]], 1).ravel()])
        count = np.concatenate([np.ones(kinds), np.tile([-1.0, 1.0], many)])
        cost = np.concatenate([np.full(kinds, float(_NOT_CUT)), np.zeros(many)])
        return Columns(start, row, count, cost)

    def solve(self) -> int:
        """Bring the program to its end over the pool as it is now; returns the pivots it took."""
        self._take_new()
        return self._program.solve(self._columns)

    def _take_new(self) -> None:
        new = []
        for c in range(self._known, len(self._pool.patterns)):
            if not self._wanted or self._pool.patterns[c].within(self._demand):
                new.append(c)
        self._known = len(self._pool.patterns)
        self._chosen += new
        patterns = [self._pool.patterns[c] for c in new]
        types = np.fromiter(chain.from_iterable(p.types for p in patterns), np.int64)
        counts = np.fromiter(chain.from_iterable(p.counts for p in patterns), np.float64)
        lengths = np.array([len(p.types) for p in patterns], np.int64)
        sheets = np.array([p.sheet for p in patterns], np.int64)
        owner = np.repeat(np.arange(len(patterns)), lengths)
        row = self._row[types]
        limit = self._limit_row[sheets]
        row = np.concatenate([row[row >= 0], limit[limit >= 0]])
        counts = np.concatenate([counts[self._row[types] >= 0], np.ones(int((limit >= 0).sum()))])
        owner = np.concatenate([owner[self._row[types] >= 0], np.flatnonzero(limit >= 0)])
        order = np.argsort(owner, kind="stable")
        ends = self._columns.start[-1] + np.cumsum(np.bincount(owner, minlength=len(patterns)))
        self._columns = Columns(
            np.concatenate([self._columns.start, ends]),
            np.concatenate([self._columns.row, row[order]]),
            np.concatenate([self._columns.count, counts[order]]),
            np.concatenate([self._columns.cost, self._job.sheets.price[sheets] / self._most]),
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
        prices = np.zeros(len(self._demand))
        prices[self._kept] = np.maximum(0.0, self._program.prices[: len(self._kept)]) * self._most
        return prices

    @property
    def premium(self) -> Floats:
        """What a board costs beyond its price because there are not enough of it."""
        premium = np.zeros(len(self._limit_row))
        premium[self._limited] = np.maximum(0.0, -self._program.prices[len(self._kept) :]) * self._most
        return premium

    def amounts(self) -> dict[int, float]:
        """How many of each pattern of the pool are in the mixture."""
        x = self._program.amounts(len(self._columns.cost))[self._fixed :]
        return {c: float(each) for c, each in zip(self._chosen, x, strict=True) if each > _USED}
