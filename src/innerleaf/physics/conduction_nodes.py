"""Bilinear and trilinear elements: temperatures without jumps, hence an upper bound.

By Dirichlet's principle any such temperature field gives more than the true conductance; its energy is
integrated exactly.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from itertools import product
from types import EllipsisType
from typing import Any

import numpy as np

from innerleaf.physics.conduction_linear import banded, lattice, solve_direct, solve_in_space
from innerleaf.physics.grid import Floats, Grid, Ints

_TOLERANCE = 1e-7  # of the solve; the bound holds for any field
_STIFF = np.array([[1.0, -1.0], [-1.0, 1.0]])
_MASS = np.array([[2.0, 1.0], [1.0, 2.0]]) / 6


@dataclass(frozen=True, slots=True)
class Nodes:
    """One field per surrounding but the last: that one at 1 K, all others at 0 K.

    ``values`` has shape (*nodes, fields), NaN where there is nothing. [K]
    ``bound`` is the quadratic form of the upper bound, shape (fields, fields). [W/K]
    ``bounded`` is False where two surfaces held at different temperatures meet: heat without limit.
    """

    values: Floats
    bound: Floats
    bounded: bool


@dataclass(frozen=True, slots=True)
class Patch:
    """Faces across one axis that touch one surrounding: their nodes, areas and mass matrix."""

    number: int
    axis: int
    faces: tuple[Ints, ...]
    nodes: Ints  # shape (faces, nodes of a face)
    area: Floats
    mass: Floats


def nodes(grid: Grid, resistances: Sequence[float]) -> Nodes:
    """Solve the elements. ``resistances`` are the surface resistances by surrounding. [m²·K/W]"""
    count = len(resistances)
    shape = tuple(len(line) for line in grid.lines)
    size = int(np.prod(shape))
    corners, solid = cell_nodes(grid)
    touched = list(patches(grid))
    held = np.zeros((size, count))
    for patch in touched:
        if resistances[patch.number] == 0:
            held[patch.nodes.ravel(), patch.number] = 1.0
    times = held.sum(axis=1)
    pinned = times > 0
    held[pinned] /= times[pinned, None]

    matrix, rights = _system(grid, shape, touched, resistances)
    free = np.zeros(size, dtype=bool)
    free[corners.ravel()] = True
    free &= ~pinned
    chosen = np.flatnonzero(free)
    whole = len(chosen) == size
    values = np.zeros((size, count - 1))
    values[pinned] = held[pinned, :-1]
    right = (rights[:, :-1] - matrix @ values)[chosen] if pinned.any() else rights[chosen, :-1]
    own = matrix if whole else matrix[chosen][:, chosen]
    if grid.dimensions == 3:
        twin = lattice(_lumped_edges(grid, shape), rights.sum(axis=1).reshape(shape))
        values[chosen] = solve_in_space(own, right, twin if whole else twin[chosen][:, chosen], _TOLERANCE)
    else:
        values[chosen] = solve_direct(own, right)
    bound = _energy(grid, values, corners, solid, touched, resistances)
    values[~(free | pinned)] = np.nan
    return Nodes(values.reshape(*shape, count - 1), bound, bool(np.all(times <= 1)))


def cell_nodes(grid: Grid) -> tuple[Ints, tuple[Ints, ...]]:
    """The nodes of each solid cell, shape (cells, 2**dimensions), and where those cells are."""
    shape = tuple(len(line) for line in grid.lines)
    solid = np.nonzero(grid.conductivity > 0)
    corners = [
        np.ravel_multi_index(tuple(i + s for i, s in zip(solid, step, strict=True)), shape)
        for step in product((0, 1), repeat=grid.dimensions)
    ]
    return np.stack(corners, axis=1), solid


def patches(grid: Grid) -> Iterator[Patch]:
    """The parts of the surface that touch something, by axis and surrounding."""
    shape = tuple(len(line) for line in grid.lines)
    mass = _face_mass(grid.dimensions)
    for axis in range(grid.dimensions):
        touching = grid.touching[axis]
        area = grid.area(axis)
        for number in np.unique(touching[touching >= 0]):
            faces = np.nonzero(touching == number)
            steps = [(0,) if other == axis else (0, 1) for other in range(grid.dimensions)]
            corners = [
                np.ravel_multi_index(tuple(i + s for i, s in zip(faces, step, strict=True)), shape)
                for step in product(*steps)
            ]
            yield Patch(int(number), axis, faces, np.stack(corners, axis=1), area[faces], mass)


def _system(
    grid: Grid, shape: tuple[int, ...], touched: Sequence[Patch], resistances: Sequence[float]
) -> tuple[Any, Floats]:
    """Matrix and right sides over all nodes of the lattice, by diagonals."""
    size, count = int(np.prod(shape)), len(resistances)
    steps = list(product((0, 1), repeat=grid.dimensions))
    strides = [int(np.prod(shape[axis + 1 :])) for axis in range(grid.dimensions)]
    number = [sum(s * stride for s, stride in zip(step, strides, strict=True)) for step in steps]
    offsets = sorted({q - p for p in number for q in number})
    row = {offset: k for k, offset in enumerate(offsets)}
    data = np.zeros((len(offsets), *shape))
    weights = list(_elements(grid, ...))
    for p, q in product(range(len(steps)), repeat=2):
        cells = tuple(slice(s, s + n - 1) for s, n in zip(steps[q], shape, strict=True))
        band = data[row[number[q] - number[p]]]
        for weight, element in weights:
            band[cells] += weight * element[p, q]
    bands = data.reshape(len(offsets), size)
    rights = np.zeros((size, count))
    for patch in touched:
        if resistances[patch.number] > 0:
            share = patch.area / resistances[patch.number]
            np.add.at(rights[:, patch.number], patch.nodes, (share / patch.nodes.shape[1])[:, None])
            for p, q in product(range(patch.nodes.shape[1]), repeat=2):
                offset = int(patch.nodes[0, q] - patch.nodes[0, p])
                np.add.at(bands[row[offset]], patch.nodes[:, q], share * patch.mass[p, q])
    return banded(bands, offsets), rights


def _elements(grid: Grid, solid: tuple[Ints, ...] | EllipsisType) -> Iterator[tuple[Floats, Floats]]:
    """Per axis: weight of each cell asked, λ·volume/width² [W/K], and the element matrix it multiplies."""
    volume = grid.areas[0] * grid.widths[0]
    for axis in range(grid.dimensions):
        weight = (grid.conductivity * volume / grid.widths[axis] ** 2)[solid]
        yield weight, element(axis, grid.dimensions)


def _lumped_edges(grid: Grid, shape: tuple[int, ...]) -> list[Floats]:
    """Conductances between neighbouring nodes if the mass of the elements is lumped at them."""
    edges = []
    for axis in range(grid.dimensions):
        share = grid.conductivity * grid.areas[axis] / grid.widths[axis] / 2 ** (grid.dimensions - 1)
        edge = np.zeros([n - 1 if other == axis else n for other, n in enumerate(shape)])
        others = [(0,) if other == axis else (0, 1) for other in range(grid.dimensions)]
        for step in product(*others):
            edge[tuple(slice(s, s + n) for s, n in zip(step, share.shape, strict=True))] += share
        edges.append(edge)
    return edges


def _energy(
    grid: Grid,
    values: Floats,
    corners: Ints,
    solid: tuple[Ints, ...],
    touched: Sequence[Patch],
    resistances: Sequence[float],
) -> Floats:
    """The exact energy of the fields, as a quadratic form."""
    count = values.shape[1]
    form = np.zeros((count, count))
    local = np.moveaxis(values[corners], -1, 0)
    for weight, element in _elements(grid, solid):
        form += _form(local, weight, element)
    for patch in touched:
        if resistances[patch.number] > 0:
            jump = np.moveaxis(values[patch.nodes], -1, 0) - (np.arange(count) == patch.number)[:, None, None]
            form += _form(jump, patch.area / resistances[patch.number], patch.mass)
    return form


def _form(local: Floats, weight: Floats, element: Floats) -> Floats:
    count = len(local)
    right = (local @ element) * weight[:, None]
    form: Floats = local.reshape(count, -1) @ right.reshape(count, -1).T
    return form


@cache
def element(axis: int, dimensions: int) -> Floats:
    """∫ (∂u/∂axis)² over a unit cell, as a matrix over its corners."""
    return _kron([_STIFF if other == axis else _MASS for other in range(dimensions)])


@cache
def _face_mass(dimensions: int) -> Floats:
    """∫ u² over a unit face, as a matrix over its corners."""
    return _kron([_MASS] * (dimensions - 1))


def _kron(factors: Sequence[Floats]) -> Floats:
    whole: Floats = np.ones((1, 1))
    for factor in factors:
        whole = np.asarray(np.kron(whole, factor), float)
    return whole


def gap_by_interval(
    grid: Grid,
    temperature: Floats,
    across: Sequence[Floats],
    resistances: Sequence[float],
    temperatures: Sequence[float],
) -> list[Floats]:
    """Where the two bounds of one field part: ∫(λ∂T + q)²/λ, for each interval of each axis. [W·K]

    ``temperature`` is over the nodes, ``across`` the flows of the finite volumes. On faces behind a
    surface resistance the same is done for the step of temperature. What is found in a cell or face
    counts for the axes along which the two fields vary differently: the flow changes along its own axis
    where the slope does not, the slope changes across where the flow does not. The sum of everything is
    the distance between the bounds.
    """
    shape, axes = temperature.shape, range(grid.dimensions)
    corners, solid = cell_nodes(grid)
    local = temperature.ravel()[corners]
    found = [np.zeros(n - 1) for n in shape]
    for axis, (weight, element) in enumerate(_elements(grid, solid)):
        low = tuple(slice(None, -1) if a == axis else slice(None) for a in axes)
        high = tuple(slice(1, None) if a == axis else slice(None) for a in axes)
        first, last = across[axis][low][solid], across[axis][high][solid]
        rises = np.diff(local.reshape(-1, *([2] * grid.dimensions)), axis=1 + axis)
        rise = rises.reshape(len(rises), -1).mean(axis=1)
        stored = weight * np.einsum("ci,ij,cj->c", local, element, local)
        carried = ((first + last) ** 2 + (last - first) ** 2 / 3) / (4 * weight)
        parts = [(last - first) ** 2 / weight if a == axis else weight * _varying(rises, a) for a in axes]
        _share(found, list(axes), solid, stored + rise * (first + last) + carried, parts)
    for patch in patches(grid):
        resistance = resistances[patch.number]
        if resistance == 0:
            continue
        gained = -across[patch.axis][patch.faces] * grid.outward[patch.axis][patch.faces]
        step = temperatures[patch.number] - temperature.ravel()[patch.nodes]
        step = step - (resistance * gained / patch.area)[:, None]
        parting = patch.area / resistance * np.einsum("ci,ij,cj->c", step, patch.mass, step)
        tangents = [axis for axis in axes if axis != patch.axis]
        block = step.reshape(-1, *([2] * len(tangents)))
        _share(found, tangents, patch.faces, parting, [_varying(block, k) for k in range(len(tangents))])
    return found


def _varying(block: Floats, axis: int) -> Floats:
    """Mean square of the differences along one axis of values at the corners of each cell."""
    squares = np.diff(block, axis=1 + axis) ** 2
    mean: Floats = squares.reshape(len(block), -1).mean(axis=1)
    return mean


def _share(
    found: list[Floats],
    axes: Sequence[int],
    at: tuple[Ints, ...],
    whole: Floats,
    parts: Sequence[Floats],
) -> None:
    """Add ``whole`` to the intervals of the axes, in proportion to ``parts``."""
    total = sum(parts) + len(parts) * np.finfo(float).tiny
    for axis, part in zip(axes, parts, strict=True):
        share = np.maximum(whole, 0.0) * (part + np.finfo(float).tiny) / total
        found[axis] += np.bincount(at[axis], share, minlength=len(found[axis]))
