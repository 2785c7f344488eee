"""Cell-centred finite volumes: heat flows that balance in every cell, hence a lower bound.

By Thomson's principle any flow field without sources gives less than the true conductance. The flow
through each cell is linear between its faces, and its energy is integrated exactly.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from innerleaf.physics.conduction_linear import lattice, solve_direct, solve_in_space
from innerleaf.physics.grid import Floats, Grid

if TYPE_CHECKING:
    from numpy.typing import NDArray

_TOLERANCE = 1e-9  # the bound holds only as far as the heat balances


@dataclass(frozen=True, slots=True)
class Fluxes:
    """One field per surrounding but the last: that one at 1 K, all others at 0 K.

    ``across[axis]`` holds the flow up the axis through each face, shape (*faces, fields). [W]
    ``inflow`` is the heat each surrounding gives, shape (surroundings, fields). [W]
    ``bound`` is the quadratic form of the lower bound, shape (fields, fields). [W/K]
    """

    across: tuple[Floats, ...]
    inflow: Floats
    bound: Floats


def fluxes(grid: Grid, resistances: Sequence[float]) -> Fluxes:
    """Solve the finite volumes. ``resistances`` are the surface resistances by surrounding. [m²·K/W]"""
    count, dimensions = len(resistances), grid.dimensions
    solid = grid.conductivity > 0
    surface = np.asarray(resistances, float)
    # Resistance of half a cell along each axis times area [m²·K/W]; none is felt where there is nothing.
    half = [width / (2 * np.where(solid, grid.conductivity, np.inf)) for width in grid.widths]
    ground = np.zeros(solid.shape)
    rights = np.zeros((*solid.shape, count - 1))
    edges, rims = [], []
    for axis in range(dimensions):
        low, high = _sides(axis, dimensions)
        area = grid.area(axis)
        both = solid[low] & solid[high]
        inner = np.zeros(both.shape)
        np.divide(area[_inner(axis, dimensions)], half[axis][low] + half[axis][high], out=inner, where=both)
        edges.append(inner)
        rim = _Rim.of(grid, axis)
        conductance = area[rim.faces] / (surface[rim.number] + half[axis][rim.cells])
        rims.append((rim, conductance))
        np.add.at(ground, rim.cells, conductance)
        for field in range(count - 1):
            mine = rim.number == field
            np.add.at(rights[..., field], tuple(index[mine] for index in rim.cells), conductance[mine])
    keep = np.flatnonzero(solid.ravel())
    matrix = lattice(edges, ground)
    matrix = matrix if len(keep) == solid.size else matrix[keep][:, keep]
    right = rights.reshape(-1, count - 1)[keep]
    values = np.zeros((solid.size, count - 1))
    if dimensions == 3:
        values[keep] = solve_in_space(matrix, right, matrix, _TOLERANCE)
    else:
        values[keep] = solve_direct(matrix, right)
    temperature = values.reshape(rights.shape)

    across, inflow = [], np.zeros((count, count - 1))
    dissipated = np.zeros((count - 1, count - 1))
    for axis, (edge, (rim, conductance)) in enumerate(zip(edges, rims, strict=True)):
        low, high = _sides(axis, dimensions)
        flow = np.zeros((*grid.touching[axis].shape, count - 1))
        flow[_inner(axis, dimensions)] = edge[..., None] * (temperature[low] - temperature[high])
        outside = (rim.number[:, None] == np.arange(count - 1)).astype(float)
        gained = conductance[:, None] * (outside - temperature[rim.cells])
        flow[rim.faces] = -rim.outward[:, None] * gained
        np.add.at(inflow, rim.number, gained)
        resistance = surface[rim.number] / grid.area(axis)[rim.faces]
        dissipated += gained.T @ (gained * resistance[:, None])
        dissipated += _dissipated(flow[low], flow[high], 2 * half[axis] / grid.areas[axis])
        across.append(flow)
    given = inflow[:-1]
    return Fluxes(tuple(across), inflow, given + given.T - dissipated)


def _dissipated(first: Floats, last: Floats, resistance: Floats) -> Floats:
    """The exact integral of q²/λ for flows that are linear between the faces of each cell."""
    fields = first.shape[-1]
    weight = resistance.reshape(-1, 1)
    mean = ((first + last) / 2).reshape(-1, fields)
    half_difference = ((last - first) / 2).reshape(-1, fields)
    whole: Floats = mean.T @ (mean * weight) + half_difference.T @ (half_difference * weight) / 3
    return whole


@dataclass(frozen=True, slots=True)
class _Rim:
    """Faces across one axis that touch a surrounding."""

    faces: tuple[NDArray[np.int64], ...]
    cells: tuple[NDArray[np.int64], ...]
    number: NDArray[np.int64]
    outward: NDArray[np.int64]

    @classmethod
    def of(cls, grid: Grid, axis: int) -> _Rim:
        faces = np.nonzero(grid.touching[axis] >= 0)
        outward = grid.outward[axis][faces]
        cells = tuple(index - (outward > 0) if other == axis else index for other, index in enumerate(faces))
        return cls(faces, cells, grid.touching[axis][faces], outward)


def _sides(axis: int, dimensions: int) -> tuple[tuple[slice, ...], tuple[slice, ...]]:
    """Slices to the lower and the upper of two neighbours along an axis."""
    low = tuple(slice(None, -1) if a == axis else slice(None) for a in range(dimensions))
    high = tuple(slice(1, None) if a == axis else slice(None) for a in range(dimensions))
    return low, high


def _inner(axis: int, dimensions: int) -> tuple[slice, ...]:
    """Slices to the faces that lie between two cells."""
    return tuple(slice(1, -1) if a == axis else slice(None) for a in range(dimensions))
