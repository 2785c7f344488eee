"""A linear program over columns that grow in number, kept warm between rounds.

Small and dense, for column generation: prices are asked for a hundred times, each a few pivots away from
the last.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from innerleaf.cutting.simplex import pivot

Ints = NDArray[np.int64]
Floats = NDArray[np.float64]

_SHAKE = 1e-7  # what is asked for is shifted by up to this, so that few ratios tie
_PIVOTS = 2  # times the rows: pivots in one round, then prices are asked for again
_DRIFT = 1e-6  # of what is asked for: rounding after which the inverse is made afresh


class Columns(NamedTuple):
    """Column c has the entries ``start[c]`` to ``start[c + 1]`` of ``row`` and ``entry``, and its cost."""

    start: Ints
    row: Ints
    entry: Floats
    cost: Floats


class Program:
    """Least cost at which columns meet the rows.

    Row i asks for at least ``right[i]`` where ``sense[i]`` is -1, and allows at most that where it is 1.
    ``basis``: for each row a column with one entry, in that row, or ``-1 - i`` for its slack. ``chained``:
    what row i has too much of serves row i + 1. ``tolerance``: a reduced cost above minus this is none.
    """

    def __init__(
        self,
        right: Floats,
        sense: Floats,
        basis: Ints,
        columns: Columns,
        *,
        tolerance: float,
        chained: bool = False,
    ) -> None:
        rows = len(right)
        self._right, self._sense, self._tolerance, self._chained = right, sense, tolerance, chained
        self._shaken = right + _SHAKE * (np.arange(1, rows + 1) * 0.6180339887498949 % 1)
        self._columns = columns
        self._basis = basis.copy()
        real = basis >= 0
        diagonal, costs = np.ones(rows), np.zeros(rows)
        diagonal[real] = columns.entry[columns.start[basis[real]]]
        costs[real] = columns.cost[basis[real]]
        self._inverse = np.diag(1 / diagonal)
        self._x = self._shaken / diagonal
        self.settled = False
        self.prices: Floats = costs / diagonal

    def solve(self, columns: Columns) -> int:
        """Bring the program to its end over the columns as they are now; returns the pivots it took.

        ``settled`` tells whether it got there within the pivots of one round.
        """
        self._columns = columns
        if self._drift() > _DRIFT:
            self._invert()
        self._price()
        most = int(_PIVOTS * len(self._x))
        moved = pivot(
            self._inverse, self._x, self.prices, self._basis, self._sense, *columns, self._tolerance, most,
            self._chained,
        )  # fmt: skip
        self.settled = moved < most
        return int(moved)

    @property
    def value(self) -> float:
        """Cost of the mixture."""
        return float(self.prices @ self._right)

    def amounts(self, columns: int) -> Floats:
        """How much of each of so many columns, as the rows ask without the shaking."""
        x = np.zeros(columns)
        exact: Floats = self._inverse @ self._right
        real = self._basis >= 0
        x[self._basis[real]] = np.maximum(exact[real], 0.0)
        return x

    def _basic(self) -> tuple[Ints, Ints, Floats]:
        """Rows, places in the basis and entries of the basic columns."""
        rows = len(self._x)
        start, row, made, _ = self._columns
        places = np.arange(rows)
        real = self._basis >= 0
        lengths = np.diff(start)[self._basis[real]]
        first = start[self._basis[real]]
        inside = np.arange(int(lengths.sum())) - np.repeat(np.cumsum(lengths) - lengths, lengths)
        at = np.repeat(first, lengths) + inside
        slack = (self._basis < 0) & (self._basis >= -rows)
        trade = self._basis < -rows
        slack_row, trade_row = -1 - self._basis[slack], -1 - rows - self._basis[trade]
        one = np.ones(len(trade_row))
        return (
            np.concatenate([row[at], slack_row, trade_row, trade_row + 1]),
            np.concatenate([np.repeat(places[real], lengths), places[slack], places[trade], places[trade]]),
            np.concatenate([made[at], self._sense[slack_row], -one, one]),
        )

    def _drift(self) -> float:
        """How far the basic columns are from making up what is asked for, as a share of the largest."""
        row, place, entry = self._basic()
        made = np.bincount(row, entry * self._x[place], len(self._x))
        return float(np.abs(made - self._shaken).max() / self._shaken.max())

    def _invert(self) -> None:
        """The inverse afresh: each pivot adds a little rounding."""
        row, place, entry = self._basic()
        matrix = np.zeros((len(self._x), len(self._x)))
        np.add.at(matrix, (row, place), entry)
        self._inverse = np.asarray(np.linalg.inv(matrix), np.float64)
        self._x = np.maximum(self._inverse @ self._shaken, 0.0)

    def _price(self) -> None:
        """The prices of the rows, afresh from the basis."""
        real = self._basis >= 0
        cost = np.zeros(len(self._x))
        cost[real] = self._columns.cost[self._basis[real]]
        self.prices[:] = cost @ self._inverse
