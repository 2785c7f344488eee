"""Bilinear and trilinear elements: temperatures without jumps, hence an upper bound.

By Dirichlet's principle any such temperature field gives more than the true conductance; its energy is
integrated exactly. In two dimensions the elements are solved as they are. In three, the nodes are solved
with the mass of the elements lumped (a seven-point network, which multigrid takes well) and only the
energy is that of the full elements.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from itertools import product
from typing import Any

import numpy as np

from innerleaf.physics.conduction_linear import assembled, lattice, solve
from innerleaf.physics.grid import Floats, Grid, Ints

_STIFF = np.array([[1.0, -1.0], [-1.0, 1.0]])
_MASS = np.array([[2.0, 1.0], [1.0, 2.0]]) / 6


@dataclass(frozen=True, slots=True)
class Nodes:
    """One field per surrounding but the last: that one at 1 K, all others at 0 K.

    ``values`` has shape (fields, *nodes), NaN where there is nothing. [K]
    ``bound`` is the quadratic form of the upper bound, shape (fields, fields). [W/K]
    ``bounded`` is False where two surfaces held at different temperatures meet: heat without limit.
    """

    values: Floats
    bound: Floats
    bounded: bool


@dataclass(frozen=True, slots=True)
class _Patch:
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
    corners, solid = _cell_nodes(grid, shape)
    patches = list(_patches(grid, shape))
    held = np.zeros((size, count))
    for patch in patches:
        if resistances[patch.number] == 0:
            held[patch.nodes.ravel(), patch.number] = 1.0
    times = held.sum(axis=1)
    pinned = times > 0
    held[pinned] /= times[pinned, None]

    matrix, rights = _system(grid, shape, corners, solid, patches, resistances)
    free = np.zeros(size, dtype=bool)
    free[corners.ravel()] = True
    free &= ~pinned
    values = np.zeros((size, count - 1))
    values[pinned] = held[pinned, :-1]
    if pinned.any():
        rights = rights - matrix @ values
    chosen = np.flatnonzero(free)
    matrix = matrix if len(chosen) == size else matrix[chosen][:, chosen]
    values[chosen] = solve(matrix, rights[chosen], dimensions=grid.dimensions)
    bound = _energy(grid, values, corners, solid, patches, resistances)
    full = np.full((size, count - 1), np.nan)
    used = np.unique(corners)
    full[used] = values[used]
    fields = np.moveaxis(full.reshape(*shape, count - 1), -1, 0)
    return Nodes(fields, bound, bool(np.all(times <= 1) or np.all(held.max(axis=1)[pinned] == 1)))


def _cell_nodes(grid: Grid, shape: tuple[int, ...]) -> tuple[Ints, tuple[Ints, ...]]:
    """The nodes of each solid cell, shape (cells, 2**dimensions), and where those cells are."""
    solid = np.nonzero(grid.conductivity > 0)
    corners = [
        np.ravel_multi_index(tuple(i + s for i, s in zip(solid, step, strict=True)), shape)
        for step in product((0, 1), repeat=grid.dimensions)
    ]
    return np.stack(corners, axis=1), solid


def _patches(grid: Grid, shape: tuple[int, ...]) -> Iterator[_Patch]:
    mass = _kron([_MASS] * (grid.dimensions - 1))
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
            yield _Patch(int(number), axis, faces, np.stack(corners, axis=1), area[faces], mass)


def _system(
    grid: Grid,
    shape: tuple[int, ...],
    corners: Ints,
    solid: tuple[Ints, ...],
    patches: Sequence[_Patch],
    resistances: Sequence[float],
) -> tuple[Any, Floats]:
    """Matrix and right sides over all nodes: full elements in 2D, lumped ones in 3D."""
    size, count = int(np.prod(shape)), len(resistances)
    rights = np.zeros((size, count))
    ground = np.zeros(size)
    rim = [patch for patch in patches if resistances[patch.number] > 0]
    for patch in rim:
        share = patch.area / (resistances[patch.number] * patch.nodes.shape[1])
        np.add.at(rights[:, patch.number], patch.nodes, share[:, None])
    if grid.dimensions == 3:
        ground = rights.sum(axis=1)
        return lattice(_lumped_edges(grid, shape), ground.reshape(shape)), rights[:, :-1]
    local = sum(
        weight[:, None, None] * element for weight, element in _elements(grid, solid)
    )
    values, rows, columns = [local], [_repeat(corners, 1)], [_repeat(corners, 0)]
    for patch in rim:
        values.append((patch.area / resistances[patch.number])[:, None, None] * patch.mass)
        rows.append(_repeat(patch.nodes, 1))
        columns.append(_repeat(patch.nodes, 0))
    flat = [np.concatenate([each.ravel() for each in parts]) for parts in (values, rows, columns)]
    return assembled(flat[0], flat[1], flat[2], size), rights[:, :-1]


def _repeat(numbers: Ints, axis: int) -> Ints:
    """Row (1) or column (0) numbers of each entry of the local matrices."""
    count = numbers.shape[1]
    spread = numbers[:, :, None] if axis else numbers[:, None, :]
    return np.broadcast_to(spread, (len(numbers), count, count))


def _elements(grid: Grid, solid: tuple[Ints, ...]) -> Iterator[tuple[Floats, Floats]]:
    """Per axis: weight of each cell, λ·volume/width² [W/K], and the element matrix it multiplies."""
    volume = grid.areas[0] * grid.widths[0]
    for axis in range(grid.dimensions):
        weight = (grid.conductivity * volume / grid.widths[axis] ** 2)[solid]
        yield weight, _element(axis, grid.dimensions)


def _lumped_edges(grid: Grid, shape: tuple[int, ...]) -> list[Floats]:
    """Conductances between neighbouring nodes: a quarter (half in 2D) of each cell round the edge."""
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
    patches: Sequence[_Patch],
    resistances: Sequence[float],
) -> Floats:
    """The exact energy of the fields, as a quadratic form."""
    count = values.shape[1]
    form = np.zeros((count, count))
    local = np.moveaxis(values[corners], -1, 0)
    for weight, element in _elements(grid, solid):
        form += _form(local, weight, element)
    for patch in patches:
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
def _element(axis: int, dimensions: int) -> Floats:
    """∫ (∂u/∂axis)² over a unit cell, as a matrix over its corners."""
    return _kron([_STIFF if other == axis else _MASS for other in range(dimensions)])


def _kron(factors: Sequence[Floats]) -> Floats:
    whole = np.ones((1, 1))
    for factor in factors:
        whole = np.kron(whole, factor)
    return whole


def gap_by_interval(
    grid: Grid,
    temperature: Floats,
    across: Sequence[Floats],
    resistances: Sequence[float],
    temperatures: Sequence[float],
) -> list[Floats]:
    """Where the two bounds of one field part: ∫(λ∂T + q)²/λ, by axis, for each interval of it. [W·K]

    ``temperature`` is over the nodes, ``across`` the flows of the finite volumes. On faces behind a
    surface resistance the same is done for the step of temperature, which varies along the face but not
    in the finite volumes; it counts for the axes along which it varies. The sum of everything is the
    distance between the bounds.
    """
    shape = temperature.shape
    corners, solid = _cell_nodes(grid, shape)
    local = temperature.ravel()[corners]
    steps = list(product((0, 1), repeat=grid.dimensions))
    found = []
    for axis, (weight, element) in enumerate(_elements(grid, solid)):
        stored = weight * np.einsum("ci,ij,cj->c", local, element, local)
        rise = local @ np.array([2 * step[axis] - 1 for step in steps]) / (len(steps) / 2)
        low = tuple(slice(None, -1) if a == axis else slice(None) for a in range(grid.dimensions))
        high = tuple(slice(1, None) if a == axis else slice(None) for a in range(grid.dimensions))
        first, last = across[axis][low][solid], across[axis][high][solid]
        carried = ((first + last) ** 2 + (last - first) ** 2 / 3) / (4 * weight)
        parting = np.maximum(stored + rise * (first + last) + carried, 0.0)
        found.append(np.bincount(solid[axis], parting, minlength=shape[axis] - 1))
    for patch in _patches(grid, shape):
        resistance = resistances[patch.number]
        if resistance == 0:
            continue
        gained = -across[patch.axis][patch.faces] * grid.outward[patch.axis][patch.faces]
        step = temperatures[patch.number] - temperature.ravel()[patch.nodes]
        step = step - (resistance * gained / patch.area)[:, None]
        parting = patch.area / resistance * np.einsum("ci,ij,cj->c", step, patch.mass, step)
        tangents = [axis for axis in range(grid.dimensions) if axis != patch.axis]
        block = step.reshape(-1, *([2] * len(tangents)))
        varies = [np.sum(np.diff(block, axis=1 + k) ** 2, axis=tuple(range(1, block.ndim))) for k in range(len(tangents))]
        total = np.maximum(sum(varies), np.finfo(float).tiny)
        for axis, vary in zip(tangents, varies, strict=True):
            found[axis] += np.bincount(patch.faces[axis], parting * vary / total, minlength=shape[axis] - 1)
    return found
