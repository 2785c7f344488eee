"""A plane out of a section solved in three dimensions, as a solution in two, for drawing."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, TypeVar

import numpy as np

from innerleaf.errors import InputError
from innerleaf.physics.conduction_answer import Solution
from innerleaf.physics.grid import Grid

if TYPE_CHECKING:
    from numpy.typing import NDArray

_Number = TypeVar("_Number", np.float64, np.int64)


def foot_cut(solution: Solution) -> Solution:
    """The lowest level of a solution (least z) and its mirror image across the plane of least x.

    For a part of something symmetrical about both planes: the level cut through its middle, whole.
    Temperatures are exact; flows are those of the lowest layer of cells, by metre of height.

    Raises
    ------
    InputError
        The solution has two dimensions.
    """
    grid = solution.grid
    if grid.dimensions != 3:
        raise InputError("solution", given=f"{grid.dimensions} dimensions", accepted="3 dimensions")
    x, y, z = grid.lines
    height = float(z[1] - z[0])
    line = np.concatenate([2 * x[0] - x[:0:-1], x])
    wide, deep = np.diff(line)[:, None], np.diff(y)[None, :]
    return replace(
        solution,
        grid=Grid(
            lines=(line, y),
            conductivity=_mirrored(grid.conductivity[..., 0]),
            touching=(_nodes_mirrored(grid.touching[0][..., 0]), _mirrored(grid.touching[1][..., 0])),
            outward=(
                _nodes_mirrored(grid.outward[0][..., 0], turned=True),
                _mirrored(grid.outward[1][..., 0]),
            ),
            widths=(wide, deep),
            areas=(deep, wide),
        ),
        temperature=_nodes_mirrored(solution.temperature[..., 0]),
        across=(
            _nodes_mirrored(solution.across[0][..., 0] / height, turned=True),
            _mirrored(solution.across[1][..., 0] / height),
        ),
    )


def _mirrored(values: NDArray[_Number]) -> NDArray[_Number]:
    """Values of cells along x, with their mirror image before them."""
    return np.concatenate([values[::-1], values])


def _nodes_mirrored(values: NDArray[_Number], *, turned: bool = False) -> NDArray[_Number]:
    """Values at nodes or faces along x; those of the first belong to both halves."""
    before = values[:0:-1]
    return np.concatenate([-before if turned else before, values])
