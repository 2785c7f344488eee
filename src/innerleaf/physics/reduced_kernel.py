"""Many small symmetric systems at once, compiled: the inner loop of `reduced.py`.

A system is stored as the lower triangle of its matrix, row by row; the last axis runs over the systems, so
that each step is done for several of them in one instruction.
"""

# numba ships no types, and its decorator hides those below it
# mypy: disable-error-code="untyped-decorator, no-any-return, import-untyped"

from __future__ import annotations

from math import sqrt
from typing import Any, Final

import numpy as np
from numba import njit

LANES: Final = 16


@njit(cache=True, error_model="numpy", fastmath=True, nogil=True)
def solve_packed(matrices: Any, rights: Any, back: bool) -> Any:
    """Cholesky's method for every system.

    Parameters
    ----------
    matrices : ndarray, shape (size·(size + 1)/2, systems)
        Positive definite; overwritten with their factors.
    rights : ndarray, shape (size, systems)
        Right sides b; overwritten with the solutions x, or without ``back`` with L⁻¹b.
    back : bool
        Whether the solutions are wanted.

    Returns
    -------
    ndarray, shape (systems,)
        b·x.
    """
    size, systems = rights.shape
    product = np.zeros(systems)
    factor = np.empty((matrices.shape[0], LANES))
    column = np.empty((size, LANES))
    lane = np.empty(LANES)
    for begin in range(0, systems, LANES):
        lanes = min(LANES, systems - begin)
        for k in range(matrices.shape[0]):
            for s in range(LANES):
                factor[k, s] = matrices[k, begin + min(s, lanes - 1)]
        for i in range(size):
            for s in range(LANES):
                column[i, s] = rights[i, begin + min(s, lanes - 1)]
        for i in range(size):
            row = i * (i + 1) // 2
            for j in range(i):
                other = j * (j + 1) // 2
                for s in range(LANES):
                    lane[s] = factor[row + j, s]
                for k in range(j):
                    for s in range(LANES):
                        lane[s] -= factor[row + k, s] * factor[other + k, s]
                for s in range(LANES):
                    factor[row + j, s] = lane[s] * factor[other + j, s]
            for s in range(LANES):
                lane[s] = factor[row + i, s]
            for k in range(i):
                for s in range(LANES):
                    lane[s] -= factor[row + k, s] * factor[row + k, s]
            for s in range(LANES):
                factor[row + i, s] = 1.0 / sqrt(lane[s])  # the diagonal is kept as its reciprocal
            for s in range(LANES):
                lane[s] = column[i, s]
            for k in range(i):
                for s in range(LANES):
                    lane[s] -= factor[row + k, s] * column[k, s]
            for s in range(LANES):
                column[i, s] = lane[s] * factor[row + i, s]
        for i in range(size):
            for s in range(lanes):
                product[begin + s] += column[i, s] * column[i, s]
        if back:
            for i in range(size - 1, -1, -1):
                for k in range(i + 1, size):
                    for s in range(LANES):
                        column[i, s] -= factor[k * (k + 1) // 2 + i, s] * column[k, s]
                for s in range(LANES):
                    column[i, s] *= factor[i * (i + 1) // 2 + i, s]
        for i in range(size):
            for s in range(lanes):
                rights[i, begin + s] = column[i, s]
    return product
