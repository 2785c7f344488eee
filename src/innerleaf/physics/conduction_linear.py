"""Sparse symmetric systems of the conduction solvers. The only module that knows their libraries."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy import sparse
from scipy.linalg.lapack import dpbsv
from scipy.sparse.linalg import cg, splu

Floats = NDArray[np.float64]

_DIRECT_UP_TO = 2500  # unknowns in three dimensions; beyond, multigrid is quicker
_NARROW = 48  # width of the band below which it is quicker than sparse factors
_STEPS = 1000
_STRONG = 0.03  # classical strength of connection; the usual 0.25 takes many more steps on thin cells


def solve_direct(matrix: Any, rights: Floats) -> Floats:
    """Solve for every column of ``rights`` by factors; the matrix is symmetric and positive definite.

    Small grids are narrow bands: these are factored as such, in a third of the time.
    """
    entries = matrix.tocoo()
    off = entries.row - entries.col
    width = int(off.max(initial=0))
    if width <= _NARROW:
        lower = off >= 0
        band = np.zeros((width + 1, matrix.shape[0]), order="F")
        band[off[lower], entries.col[lower]] = entries.data[lower]
        _, solved, failed = dpbsv(band, rights, lower=1, overwrite_ab=1)
        if failed:
            raise ArithmeticError("the matrix of a section is not positive definite")
        return np.asarray(solved)
    factor = splu(
        matrix.tocsc(),
        permc_spec="MMD_AT_PLUS_A",
        diag_pivot_thresh=0.0,
        options={"SymmetricMode": True},
    )
    return np.asarray(factor.solve(rights))


def solve_in_space(matrix: Any, rights: Floats, twin: Any, tolerance: float) -> Floats:
    """Solve for every column of ``rights`` by conjugate gradients on a three-dimensional grid.

    ``twin`` is a seven-point matrix over the same unknowns (it may be the matrix itself): an M-matrix,
    which classical multigrid takes well where it fails on the trilinear one. Its cycle is the
    preconditioner; some 15 to 40 steps do, a hundred where metal sheets lie in
    metres of ground. ``tolerance`` is
    that of the residual over the right side.

    Raises
    ------
    ArithmeticError
        The residual stays above the tolerance.
    """
    if matrix.shape[0] <= _DIRECT_UP_TO:
        return solve_direct(matrix, rights)
    import pyamg

    cycle = pyamg.ruge_stuben_solver(
        twin.tocsr(),
        strength=("classical", {"theta": _STRONG}),
        presmoother=("gauss_seidel", {"sweep": "forward"}),  # one way down and the other way up:
        postsmoother=("gauss_seidel", {"sweep": "backward"}),  # symmetric together, at half the work
        max_coarse=200,
    ).aspreconditioner()
    solved = np.empty_like(rights)
    for field, right in enumerate(rights.T):
        solved[:, field], stopped = cg(matrix, right, rtol=tolerance, maxiter=_STEPS, M=cycle)
        if stopped:
            raise ArithmeticError(f"the section was not solved within {_STEPS} steps")
    return solved


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


def banded(data: Floats, offsets: Sequence[int]) -> Any:
    """A square matrix given by its diagonals; column j of ``data`` belongs to column j of the matrix."""
    size = data.shape[1]
    return sparse.dia_matrix((data, offsets), shape=(size, size)).tocsr()


def pieces(solid: NDArray[np.bool_]) -> NDArray[np.int64]:
    """Number of the connected piece each cell belongs to (through faces), -1 where there is nothing."""
    from scipy.ndimage import label

    found, _ = label(solid)
    return np.asarray(found, dtype=np.int64) - 1
