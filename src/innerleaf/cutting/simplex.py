"""Primal simplex over a growing pool of columns, with the inverse of the basis at hand.

Small, dense and warm: column generation asks for the next prices a hundred times, each a few pivots away
from the last, where a general solver begins anew each time.
"""

from __future__ import annotations

import numpy as np
from numba import njit
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

_PIVOT = 1e-8  # an entry smaller than this is no pivot
_TIE = 1e-9  # ratios closer than this are equal: the larger pivot is taken


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
    """
    n = len(x)
    alpha, entries = np.empty(n), np.empty(n, np.int64)
    for done in range(most):
        enter, gain = 0, -tolerance
        for c in range(len(cost)):
            reduced = cost[c]
            for e in range(start[c], start[c + 1]):
                reduced -= y[row[e]] * count[e]
            if reduced < gain:
                enter, gain = c, reduced
        for i in range(n):
            if -y[i] * sense[i] < gain:
                enter, gain = -1 - i, -y[i] * sense[i]
        for i in range(n - 1):
            if sense[i + 1] < 0 and y[i] - y[i + 1] < gain:
                enter, gain = -1 - n - i, y[i] - y[i + 1]
        if gain >= -tolerance:
            return done
        _column(inverse, sense, start, row, count, enter, alpha)
        leave = _leaving(x, alpha)
        if leave < 0:
            return done  # cannot be with prices of 0 or more
        step = x[leave] / alpha[leave]
        for i in range(n):
            x[i] = max(0.0, x[i] - step * alpha[i])
        x[leave] = step
        basis[leave] = enter
        turning = inverse[leave]
        found = 0
        for j in range(n):
            if turning[j] != 0.0:
                turning[j] /= alpha[leave]
                if abs(turning[j]) < 1e-14:
                    turning[j] = 0.0
                else:
                    entries[found] = j
                    found += 1
        for i in range(n):
            if i != leave and abs(alpha[i]) > 1e-13:
                line, by = inverse[i], alpha[i]
                if 3 * found < n:
                    for at in range(found):
                        line[entries[at]] -= by * turning[entries[at]]
                else:
                    for j in range(n):
                        line[j] -= by * turning[j]
        for at in range(found):
            y[entries[at]] += gain * turning[entries[at]]
    return most


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
    """The basic column that reaches 0 first; of several, the one of the largest pivot."""
    leave, least = -1, np.inf
    for i in range(len(x)):
        if alpha[i] > _PIVOT:
            ratio = x[i] / alpha[i]
            if ratio < least - _TIE or (ratio < least + _TIE and alpha[i] > alpha[leave]):
                leave, least = i, min(ratio, least)
    return leave
