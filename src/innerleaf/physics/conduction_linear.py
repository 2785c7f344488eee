"""Sparse symmetric systems of the conduction solvers. The only module that knows their libraries."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy import sparse
from scipy.sparse.linalg import splu

Floats = NDArray[np.float64]

_DIRECT_UP_TO = 2500  # unknowns in three dimensions; beyond, multigrid is quicker
_TOLERANCE = 1e-9


def solve(matrix: Any, rights: Floats, *, dimensions: int) -> Floats:
    """Solve for every column of ``rights``; the matrix is sparse, symmetric and positive definite.

    In three dimensions the matrix has to be an M-matrix (seven-point), which multigrid needs.

    Raises
    ------
    ArithmeticError
        The residual stays above the tolerance.
    """
    if dimensions < 3 or matrix.shape[0] <= _DIRECT_UP_TO:
        factor = splu(
            matrix.tocsc(),
            permc_spec="MMD_AT_PLUS_A",
            diag_pivot_thresh=0.0,
            options={"SymmetricMode": True},
        )
        return np.asarray(factor.solve(rights))
    import pyamg

    levels = pyamg.ruge_stuben_solver(matrix.tocsr(), max_coarse=200)
    solved = np.column_stack([_cg(levels, matrix, right) for right in rights.T])
    worst = np.linalg.norm(matrix @ solved - rights, axis=0) / np.linalg.norm(rights, axis=0)
    if not worst.max() <= 100 * _TOLERANCE:
        raise ArithmeticError(f"the section was not solved: residual {worst.max():.1e}")
    return solved


def _cg(levels: Any, matrix: Any, right: Floats) -> Floats:
    return np.asarray(levels.solve(right, tol=_TOLERANCE, accel="cg", maxiter=200))


def lattice(edges: Sequence[Floats], ground: Floats) -> Any:
    """The matrix of a network of conductances on a lattice.

    Parameters
    ----------
    edges : sequence of ndarray
        Per axis, conductances between neighbours along it (one shorter than ``ground`` there). [W/K]
    ground : ndarray
        Conductance of each knot to what has a given temperature. [W/K]

    Returns
    -------
    sparse matrix, csr
        Over all knots of the lattice, in C order.
    """
    number = np.arange(ground.size, dtype=np.int32).reshape(ground.shape)
    total = ground.copy()
    rows, columns, values = [], [], []
    for axis, edge in enumerate(edges):
        low = tuple(slice(None, -1) if a == axis else slice(None) for a in range(ground.ndim))
        high = tuple(slice(1, None) if a == axis else slice(None) for a in range(ground.ndim))
        total[low] += edge
        total[high] += edge
        there = edge > 0
        i, j, value = number[low][there], number[high][there], -edge[there]
        rows += [i, j]
        columns += [j, i]
        values += [value, value]
    rows.append(number.ravel())
    columns.append(number.ravel())
    values.append(total.ravel())
    shape = (ground.size, ground.size)
    made = (np.concatenate(values), (np.concatenate(rows), np.concatenate(columns)))
    return sparse.coo_matrix(made, shape=shape).tocsr()


def assembled(values: Floats, rows: NDArray[np.int64], columns: NDArray[np.int64], size: int) -> Any:
    """A sparse matrix of contributions that are summed where they meet."""
    return sparse.coo_matrix((values.ravel(), (rows.ravel(), columns.ravel())), shape=(size, size)).tocsr()


def pieces(solid: NDArray[np.bool_]) -> NDArray[np.int64]:
    """Number of the connected piece each cell belongs to (through faces), -1 where there is nothing."""
    from scipy.ndimage import label

    found, _ = label(solid)
    return np.asarray(found, dtype=np.int64) - 1
