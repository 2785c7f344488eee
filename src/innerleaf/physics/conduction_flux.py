"""Cell-centred finite volumes: heat flows that balance in every cell, hence a lower bound.

By Thomson's principle any flow field without sources gives less than the true conductance. The flow
through each cell is linear between its faces, and its energy is integrated exactly.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from innerleaf.physics.conduction_linear import lattice, solve
from innerleaf.physics.grid import Floats, Grid


@dataclass(frozen=True, slots=True)
class Fluxes:
    """One field per surrounding but the last: that one at 1 K, all others at 0 K.

    ``across[axis]`` holds the flow up the axis through each face, shape (fields, *faces). [W]
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
    surface = np.append(np.asarray(resistances, float), 0.0)  # the last entry: faces that touch nothing
    half = [grid.widths[a] / (2 * np.where(solid, grid.conductivity, np.inf)) for a in range(dimensions)]
    ground = np.zeros(grid.conductivity.shape)
    rights = np.zeros((*grid.conductivity.shape, count - 1))
    edges, rims = [], []
    for axis in range(dimensions):
        low, high = _sides(axis, dimensions)
        area = grid.area(axis)
        with np.errstate(divide="ignore"):
            inner = area[_inner(axis, dimensions)] / (half[axis][low] + half[axis][high])
        edges.append(np.where(solid[low] & solid[high], inner, 0.0))
        rim = _Rim.of(grid, axis)
        conductance = area[rim.faces] / (surface[rim.number] + half[axis][rim.cells])
        rims.append((rim, conductance))
        np.add.at(ground, rim.cells, conductance)
        for field in range(count - 1):
            mine = rim.number == field
            np.add.at(rights, (*(index[mine] for index in rim.cells), field), conductance[mine])
    keep = np.flatnonzero(solid.ravel())
    matrix = lattice(edges, ground)
    whole = len(keep) == solid.size
    matrix = matrix if whole else matrix[keep][:, keep]
    values = np.zeros((solid.size, count - 1))
    values[keep] = solve(matrix, rights.reshape(-1, count - 1)[keep], dimensions=dimensions)
    temperature = np.moveaxis(values.reshape(rights.shape), -1, 0)

    across, inflow = [], np.zeros((count, count - 1))
    dissipated = np.zeros((count - 1, count - 1))
    for axis, (edge, (rim, conductance)) in enumerate(zip(edges, rims, strict=True)):
        low, high = _sides(axis, dimensions)
        flow = np.zeros((count - 1, *grid.touching[axis].shape))
        flow[(slice(None), *_inner(axis, dimensions))] = edge * (
            temperature[(slice(None), *low)] - temperature[(slice(None), *high)]
        )
        outside = (rim.number[None, :] == np.arange(count - 1)[:, None]).astype(float)
        gained = conductance * (outside - temperature[(slice(None), *rim.cells)])
        flow[(slice(None), *rim.faces)] = -rim.outward * gained
        for number in range(count):
            inflow[number] += gained[:, rim.number == number].sum(axis=1)
        area = grid.area(axis)
        resistance = surface[rim.number] / area[rim.faces]
        dissipated += (gained * resistance) @ gained.T
        dissipated += _dissipated(flow, 2 * half[axis] / grid.areas[axis], axis)
        across.append(flow)
    given = inflow[:-1]
    return Fluxes(tuple(across), inflow, given + given.T - dissipated)


def _dissipated(flow: Floats, resistance: Floats, axis: int) -> Floats:
    """The exact integral of q²/λ for flows that are linear between the faces of each cell."""
    low, high = _sides(axis, flow.ndim - 1)
    fields = flow.shape[0]
    first = flow[(slice(None), *low)].reshape(fields, -1)
    last = flow[(slice(None), *high)].reshape(fields, -1)
    weight = np.broadcast_to(resistance, flow[(0, *low)].shape).ravel()
    mean, half_difference = (first + last) / 2, (last - first) / 2
    whole: Floats = (mean * weight) @ mean.T + (half_difference * weight) @ half_difference.T / 3
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
        cells = tuple(
            index - (outward > 0) if other == axis else index for other, index in enumerate(faces)
        )
        return cls(faces, cells, grid.touching[axis][faces], outward)


def _sides(axis: int, dimensions: int) -> tuple[tuple[slice, ...], tuple[slice, ...]]:
    """Slices to the lower and the upper of two neighbours along an axis."""
    low = tuple(slice(None, -1) if a == axis else slice(None) for a in range(dimensions))
    high = tuple(slice(1, None) if a == axis else slice(None) for a in range(dimensions))
    return low, high


def _inner(axis: int, dimensions: int) -> tuple[slice, ...]:
    """Slices to the faces that lie between two cells."""
    return tuple(slice(1, -1) if a == axis else slice(None) for a in range(dimensions))
