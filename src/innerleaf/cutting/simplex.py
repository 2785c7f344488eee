"""Primal simplex over a growing pool of columns, with the inverse of the basis at hand.

Small, dense and warm: column generation asks for the next prices a hundred times, each a few pivots away
from the last, where a general solver begins anew each time.
"""

# numba ships no types, and its decorator hides those below it
# mypy: disable-error-code="untyped-decorator, no-any-return, import-untyped"

from __future__ import annotations

import numpy as np
from numba import njit
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

_PIVOT = 1e-7  # an entry smaller than this is no pivot
_NOTHING = 1e-13  # an entry smaller than this is 0
_TIE = 1e-9  # a basic column may fall this far below 0, for the sake of a larger pivot


@njit(cache=True, fastmath=True)
def pivot(
    inverse: Floats,
    x: Floats,
    y: Floats,
    basis: Ints,
    sense: Floats,
    start: Ints,
    row: Ints,
    count: Floats,
    cost: Floats,
    tolerance: float,
    most: int,
    chained: bool,
) -> int:
    """Pivot until no column of the pool betters the cost; returns the pivots made.

    Parameters
    ----------
    inverse, x, y, basis :
        Inverse of the basis (n, n), values of the basic columns, prices of the rows, and the basic columns:
        an index into the pool, ``-1 - i`` for the slack of row i, or ``-1 - n - i`` for a trade of row i.
        Changed in place.
    sense : -1 where the row asks for at least, +1 where it allows at most
    start, row, count, cost : the pool; column c has entries ``start[c]`` to ``start[c + 1]``
    tolerance : a reduced cost above minus this is none
    most : greatest number of pivots
    chained : trades there are: what row i has too much of serves row i + 1, where that asks for at least
    """
    alpha = np.empty(len(x))
    for done in range(most):
        enter, gain = _entering(y, sense, start, row, count, cost, tolerance, chained)
        if gain == 0.0:
            return done
        _column(inverse, sense, start, row, count, enter, alpha)
        leave = _leaving(x, alpha)
        if leave < 0:
            return done  # cannot be with prices of 0 or more
        step = x[leave] / alpha[leave]
        for i in range(len(x)):
            x[i] = max(0.0, x[i] - step * alpha[i])
        x[leave] = step
        basis[leave] = enter
        _turn(inverse, y, alpha, leave, gain)
    return most


@njit(cache=True, fastmath=True)
def _entering(
    y: Floats,
    sense: Floats,
    start: Ints,
    row: Ints,
    count: Floats,
    cost: Floats,
    tolerance: float,
    chained: bool,
) -> tuple[int, float]:
    """The column that gains most for its length, and its reduced cost; 0.0 if none gains."""
    n = len(y)
    enter, gain, steepest = 0, 0.0, 0.0
    for c in range(len(cost)):
        reduced, length = cost[c], 1.0
        for e in range(start[c], start[c + 1]):
            reduced -= y[row[e]] * count[e]
            length += count[e] * count[e]
        if reduced < -tolerance and reduced * reduced > steepest * length:
            enter, gain, steepest = c, reduced, reduced * reduced / length
    for i in range(n):
        reduced = -y[i] * sense[i]
        if reduced < -tolerance and reduced * reduced > steepest * 2:
            enter, gain, steepest = -1 - i, reduced, reduced * reduced / 2
    for i in range(n - 1 if chained else 0):
        reduced = y[i] - y[i + 1]
        if sense[i + 1] < 0 and reduced < -tolerance and reduced * reduced > steepest * 3:
            enter, gain, steepest = -1 - n - i, reduced, reduced * reduced / 3
    return enter, gain


@njit(cache=True, fastmath=True)
def _turn(inverse: Floats, y: Floats, alpha: Floats, leave: int, gain: float) -> None:
    """The inverse and the prices after a pivot; zeros are passed over."""
    n = len(y)
    entries, found = np.empty(n, np.int64), 0
    turning = inverse[leave]
    for j in range(n):
        if turning[j] != 0.0:
            turning[j] /= alpha[leave]
            if abs(turning[j]) < _NOTHING:
                turning[j] = 0.0
            else:
                entries[found] = j
                found += 1
    for i in range(n):
        if i == leave or abs(alpha[i]) < _NOTHING:
            continue
        line, by = inverse[i], alpha[i]
        if 3 * found < n:
            for at in range(found):
                line[entries[at]] -= by * turning[entries[at]]
        else:
            for j in range(n):
                line[j] -= by * turning[j]
    for at in range(found):
        y[entries[at]] += gain * turning[entries[at]]


@njit(cache=True)
def _column(
    inverse: Floats, sense: Floats, start: Ints, row: Ints, count: Floats, enter: int, alpha: Floats
) -> None:
    """The entering column in terms of the basis."""
    n = len(alpha)
    if enter < -n:
        for i in range(n):
            alpha[i] = inverse[i, -n - enter] - inverse[i, -1 - n - enter]
        return
    if enter < 0:
        for i in range(n):
            alpha[i] = sense[-1 - enter] * inverse[i, -1 - enter]
        return
    for i in range(n):
        total = 0.0
        for e in range(start[enter], start[enter + 1]):
            total += inverse[i, row[e]] * count[e]
        alpha[i] = total


@njit(cache=True)
def _leaving(x: Floats, alpha: Floats) -> int:
    """The basic column that reaches 0 first; of those nearly as early, the one of the largest pivot.

    After Harris, Mathematical Programming 5, 1973, 1-28 (from memory).
    """
    least = np.inf
    for i in range(len(x)):
        if alpha[i] > _PIVOT:
            least = min(least, (x[i] + _TIE) / alpha[i])
    leave = -1
    for i in range(len(x)):
        if alpha[i] > _PIVOT and x[i] <= least * alpha[i] and (leave < 0 or alpha[i] > alpha[leave]):
            leave = i
    return leave
