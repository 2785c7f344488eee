"""Many small symmetric systems at once, compiled: the inner loop of `reduced.py`.

The systems go through in groups, one beside the other, so that each step is done for several of them in one
instruction and a group never leaves the nearest cache.
"""

# numba ships no types, and its decorator hides those below it
# mypy: disable-error-code="untyped-decorator, no-any-return, import-untyped"

from __future__ import annotations

from math import sqrt
from typing import Any, Final

import numpy as np
from numba import njit

LANES: Final = 16
TERMS: Final = 4  # added in one go


@njit(cache=True, error_model="numpy", fastmath=True, nogil=True)
def _mixed(forms: Any, weight: Any, out: Any) -> None:
    """``forms @ weight`` for one group; the number of terms is a multiple of four."""
    for p in range(forms.shape[0]):
        for s in range(LANES):
            out[p, s] = 0.0
        for k in range(0, forms.shape[1], TERMS):
            f0, f1, f2, f3 = forms[p, k], forms[p, k + 1], forms[p, k + 2], forms[p, k + 3]
            for s in range(LANES):
                out[p, s] += (f0 * weight[k, s] + f1 * weight[k + 1, s]) + (
                    f2 * weight[k + 2, s] + f3 * weight[k + 3, s]
                )


@njit(cache=True, error_model="numpy", fastmath=True, nogil=True)
def _forward(factor: Any, column: Any, lane: Any) -> None:
    """Cholesky's factors of the group and L⁻¹b, in place; diagonals are kept as their reciprocals."""
    for i in range(column.shape[0]):
        row = i * (i + 1) // 2
        for j in range(i + 1):
            other = j * (j + 1) // 2
            for s in range(LANES):
                lane[s] = factor[row + j, s]
            for k in range(j):
                for s in range(LANES):
                    lane[s] -= factor[row + k, s] * factor[other + k, s]
            if j < i:
                for s in range(LANES):
                    factor[row + j, s] = lane[s] * factor[other + j, s]
        for s in range(LANES):
            factor[row + i, s] = 1.0 / sqrt(lane[s])
            lane[s] = column[i, s]
        for k in range(i):
            for s in range(LANES):
                lane[s] -= factor[row + k, s] * column[k, s]
        for s in range(LANES):
            column[i, s] = lane[s] * factor[row + i, s]


@njit(cache=True, error_model="numpy", fastmath=True, nogil=True)
def _backward(factor: Any, column: Any) -> None:
    """x from L⁻¹b, in place."""
    size = column.shape[0]
    for i in range(size - 1, -1, -1):
        for k in range(i + 1, size):
            below = k * (k + 1) // 2 + i
            for s in range(LANES):
                column[i, s] -= factor[below, s] * column[k, s]
        diagonal = i * (i + 1) // 2 + i
        for s in range(LANES):
            column[i, s] *= factor[diagonal, s]


@njit(cache=True, error_model="numpy", fastmath=True, nogil=True)
def _least(places: Any, column: Any, lane: Any, least: Any) -> None:
    """The least of ``places @ column`` for each system of the group."""
    for p in range(places.shape[0]):
        for s in range(LANES):
            lane[s] = places[p, 0] * column[0, s]
        for i in range(1, column.shape[0]):
            for s in range(LANES):
                lane[s] += places[p, i] * column[i, s]
        for s in range(LANES):
            least[s] = lane[s] if p == 0 else min(least[s], lane[s])


@njit(cache=True, error_model="numpy", fastmath=True, nogil=True)
def solve_many(forms: Any, loads: Any, weight: Any, places: Any, product: Any, least: Any) -> None:
    """Solve A x = b for every system, where A and b are sums of terms.

    Parameters
    ----------
    forms : ndarray, shape (size·(size + 1)/2, terms)
        Lower triangle of each term of A, row by row.
    loads : ndarray, shape (size, terms)
        Each term of b.
    weight : ndarray, shape (terms, systems)
        What the terms are multiplied by; their number is a multiple of four.
    places : ndarray, shape (places, size)
        Where to look at the solution; none asked if empty.
    product, least : ndarray, shape (systems,)
        Get b·x, and the least of ``places @ x``.
    """
    terms, systems = weight.shape
    size = loads.shape[0]
    factor, column = np.empty((forms.shape[0], LANES)), np.empty((size, LANES))
    mine, lane, smallest = np.empty((terms, LANES)), np.empty(LANES), np.empty(LANES)
    for begin in range(0, systems, LANES):
        lanes = min(LANES, systems - begin)
        for k in range(terms):
            for s in range(LANES):
                mine[k, s] = weight[k, begin + min(s, lanes - 1)]
        _mixed(forms, mine, factor)
        _mixed(loads, mine, column)
        _forward(factor, column, lane)
        for s in range(lanes):
            product[begin + s] = 0.0
        for i in range(size):
            for s in range(lanes):
                product[begin + s] += column[i, s] * column[i, s]
        if places.shape[0] == 0:
            continue
        _backward(factor, column)
        _least(places, column, lane, smallest)
        for s in range(lanes):
            least[begin + s] = smallest[s]
