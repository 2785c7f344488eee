"""Making a family of designs quick: some full solves, and what their fields give to each energy."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import partial
from itertools import product
from typing import Any

import numpy as np

from innerleaf.errors import InputError
from innerleaf.physics.conduction import solve
from innerleaf.physics.conduction_flux import fluxes
from innerleaf.physics.conduction_nodes import Patch, cell_nodes, element, nodes, patches
from innerleaf.physics.grid import Floats, Grid, Ints, Lines, feature_lines, paint
from innerleaf.physics.reduced import Family, Reduced, Shapes, Terms, weights
from innerleaf.physics.section import Section

_NOTHING = 1e-12  # of the greatest: mixes of less energy are rounding


def build(family: Family, *, designs: int = 120, fields: int = 16, accuracy: float, seed: int = 0) -> Reduced:
    """Solve some designs in full and keep what all designs are made of.

    Parameters
    ----------
    family : Family
    designs : int
        How many are solved, spread over the parameters by a Latin hypercube.
    fields : int
        How many temperature fields, and as many flow fields, are kept.
    accuracy : float
        Width of the interval of the template on the grid all designs share, as a fraction.
    seed : int
        Of the spread.
    """
    from scipy.stats import qmc

    template = family.template
    if len(template.surroundings) != 2 or any(each.surface_resistance <= 0 for each in template.surroundings):
        given = [(each.name, each.surface_resistance) for each in template.surroundings]
        raise InputError("family, surroundings", given=given, accepted="two, with resistances above 0 m²·K/W")
    features = feature_lines(template)
    lines = solve(template, accuracy=accuracy).grid.lines
    grid = paint(template, lines)
    spread = qmc.LatinHypercube(len(family.low), seed=seed).random(designs)
    spread = (1 - np.cos(np.pi * spread)) / 2  # closer together towards the limits, as for polynomials
    chosen = family.low + spread * (family.high - family.low)
    shapes = family.shapes(chosen)
    temperatures, flows = [], []
    for index in range(designs):
        stretched = tuple(
            np.interp(line, feature, new[index])
            for line, feature, new in zip(lines, features, shapes.lines, strict=True)
        )
        one = paint(family.section(chosen[index].tolist()), stretched)
        resistances = [float(shapes.resistances[each.name][index]) for each in template.surroundings]
        temperatures.append(np.nan_to_num(nodes(one, resistances).values[..., 0]))
        flows.append([flow[..., 0] for flow in fluxes(one, resistances).across])
    return from_fields(
        family,
        features,
        lines,
        np.stack([each.ravel() for each in temperatures]),
        [np.stack([each[axis] for each in flows]) for axis in range(grid.dimensions)],
        solved=shapes,
        every=shapes,
        count=fields,
    )


def from_fields(
    family: Family,
    features: Lines,
    lines: Lines,
    temperatures: Floats,
    flows: Sequence[Floats],
    *,
    solved: Shapes,
    every: Shapes,
    count: int,
) -> Reduced:
    """A quick family from the fields of some designs, solved on one grid that is stretched to each.

    Parameters
    ----------
    family : Family
    features, lines : tuple of ndarray
        Of the template: where something changes, and the grid.
    temperatures : ndarray, shape (designs, nodes)
    flows : sequence of ndarray
        Along each axis, shape (designs, faces of the grid).
    solved, every : Shapes
        The designs that the fields are of; and such that show how parts depend on the parameters: what is
        in proportion in all of these counts as one part.
    count : int
        How many fields are kept at most; those that matter not at all fall away.
    """
    grid = paint(family.template, lines)
    shaped = [flow.reshape(-1, *touch.shape) for flow, touch in zip(flows, grid.touching, strict=True)]
    whole = _projected(family, features, grid, temperatures, shaped, every)
    return _reduced(family, features, whole, solved, count)


def _reduced(family: Family, features: Lines, whole: _Whole, shapes: Shapes, count: int) -> Reduced:
    """Keep the mixes of the fields that matter most to the energies of the designs solved.

    Energy is what the bounds are made of, so it is the measure: the mean of the designs, each over its own
    conductance.
    """
    weight = weights(whole.terms, shapes, features)
    share = 1 / np.einsum("kii,ki->i", whole.flows, 1 / weight)  # a flow of 1 K loses what passes
    nodes_mix, flows_mix = (
        _directions(np.tensordot(mean @ share, forms, 1), count)
        for mean, forms in ((weight, whole.nodes), (1 / weight, whole.flows))
    )
    return Reduced(
        family=family,
        features=features,
        terms=whole.terms,
        nodes_forms=_packed(nodes_mix @ whole.nodes @ nodes_mix.T),
        flows_forms=_packed(flows_mix @ whole.flows @ flows_mix.T),
        load=whole.load @ nodes_mix.T,
        area=whole.area,
        inflow=flows_mix @ whole.inflow,
        warm_surface=np.ascontiguousarray(whole.warm_surface @ nodes_mix.T),
    )


def _packed(matrices: Floats) -> Floats:
    """The lower triangles of some symmetric matrices, one column per matrix."""
    row, column = np.tril_indices(matrices.shape[1])
    return np.ascontiguousarray(matrices[:, row, column].T)


def _directions(gram: Floats, count: int) -> Floats:
    """Mixes, one a row, of unit measure: the main ones of all fields whose products ``gram`` holds."""
    values, vectors = np.linalg.eigh(gram)
    there = min(count, int(np.count_nonzero(values > _NOTHING * values[-1])))
    main: Floats = (vectors[:, ::-1][:, :there] / np.sqrt(values[::-1][:there])).T
    return main


@dataclass(frozen=True, slots=True)
class _Whole:
    """Energies of all fields solved, by term; as in `Reduced`, but whole matrices."""

    terms: Terms
    nodes: Floats
    flows: Floats
    load: Floats
    area: Floats
    inflow: Floats
    warm_surface: Floats


@dataclass(frozen=True, slots=True)
class _Piece:
    """One block along one axis, or one film on one block.

    ``energies`` gives its forms of the temperatures and of the flows, and of the warm film load and area.
    """

    material: str
    film: bool
    axis: int
    block: tuple[int, ...]
    energies: Callable[[], tuple[Floats, Floats, Floats | float, float]]


def _terms(pieces: Sequence[_Piece]) -> Terms:
    return Terms(
        material=tuple(piece.material for piece in pieces),
        film=tuple(piece.film for piece in pieces),
        axis=tuple(piece.axis for piece in pieces),
        block=tuple(piece.block for piece in pieces),
    )


def _projected(
    family: Family, features: Lines, grid: Grid, temperatures: Floats, flows: list[Floats], shapes: Shapes
) -> _Whole:
    """Sum the pieces that depend on the parameters in the same way."""
    names = [each.name for each in family.template.surroundings]
    if family.template.temperatures[0] < family.template.temperatures[1]:
        # the stored fields are those of the first surrounding at 1 K
        raise InputError("family, surroundings", given=names, accepted="the warm one first")
    pieces = [*_block_pieces(family, features, grid, temperatures, flows)]
    pieces += _film_pieces(names, features, grid, temperatures, flows)
    weight = weights(_terms(pieces), shapes, features).T
    relative = np.round(weight / weight[0], 9)
    _, first, group = np.unique(relative, axis=1, return_index=True, return_inverse=True)
    count, r = len(first), len(temperatures)
    nodes_forms, flows_forms = np.zeros((count, r, r)), np.zeros((count, r, r))
    load, area = np.zeros((count, r)), np.zeros(count)
    for index, piece in enumerate(pieces):
        k = group.ravel()[index]
        ratio = float(weight[0, index] / weight[0, first[k]])
        of_nodes, of_flows, of_load, of_area = piece.energies()
        nodes_forms[k] += ratio * of_nodes
        flows_forms[k] += of_flows / ratio
        load[k] += ratio * of_load
        area[k] += ratio * of_area
    inflow = sum(
        -(flow * grid.outward[axis] * (grid.touching[axis] == 0)).reshape(r, -1).sum(axis=1)
        for axis, flow in enumerate(flows)
    )
    places = np.unique(np.concatenate([p.nodes.ravel() for p in patches(grid) if p.number == 0]))
    return _Whole(
        terms=_terms([pieces[k] for k in first]),
        nodes=nodes_forms,
        flows=flows_forms,
        load=load,
        area=area,
        inflow=np.asarray(inflow, float),
        warm_surface=temperatures[:, places].T,
    )


def _block_pieces(
    family: Family, features: Lines, grid: Grid, temperatures: Floats, flows: list[Floats]
) -> Iterator[_Piece]:
    corners, solid = cell_nodes(grid)
    materials = _materials(family.template, features)
    interval = _intervals(grid, features)
    block = np.stack([of[index] for of, index in zip(interval, solid, strict=True)], axis=1)
    volume = (grid.areas[0] * grid.widths[0] * np.ones(grid.conductivity.shape))[solid]
    blocks, number = np.unique(block, axis=0, return_inverse=True)

    def energies(mine: Ints, axis: int) -> tuple[Floats, Floats, float, float]:
        cells: tuple[Any, ...] = tuple(index[mine] for index in solid)
        local = temperatures[:, corners[mine]]
        weight = volume[mine] / np.diff(grid.lines[axis])[cells[axis]] ** 2
        up: tuple[Any, ...] = tuple(index + (a == axis) for a, index in enumerate(cells))
        first, last = flows[axis][:, *cells], flows[axis][:, *up]
        mean, half = (first + last)[..., None] / 2, (last - first)[..., None] / 2
        return (
            _form(local @ element(axis, grid.dimensions), local, weight),
            _form(mean, mean, 1 / weight) + _form(half, half, 1 / weight) / 3,
            0.0,
            0.0,
        )

    for k, where in enumerate(blocks.tolist()):
        mine = np.flatnonzero(number.ravel() == k)
        for axis in range(grid.dimensions):
            yield _Piece(materials[tuple(where)], False, axis, tuple(where), partial(energies, mine, axis))


def _film_pieces(
    names: Sequence[str], features: Lines, grid: Grid, temperatures: Floats, flows: list[Floats]
) -> Iterator[_Piece]:
    interval = _intervals(grid, features)
    for patch in patches(grid):
        block = np.stack(
            [
                np.full(len(index), -1) if axis == patch.axis else interval[axis][index]
                for axis, index in enumerate(patch.faces)
            ],
            axis=1,
        )
        blocks, number = np.unique(block, axis=0, return_inverse=True)
        for k, where in enumerate(blocks.tolist()):
            mine = np.flatnonzero(number.ravel() == k)
            energies = partial(_film_energies, patch, mine, temperatures, flows[patch.axis])
            yield _Piece(names[patch.number], True, patch.axis, tuple(where), energies)


def _film_energies(
    patch: Patch, mine: Ints, temperatures: Floats, flow: Floats
) -> tuple[Floats, Floats, Floats, float]:
    local, area = temperatures[:, patch.nodes[mine]], patch.area[mine]
    faces: tuple[Any, ...] = tuple(index[mine] for index in patch.faces)
    gained = flow[:, *faces]
    warm = float(patch.number == 0)
    return (
        _form(local @ patch.mass, local, area),
        (gained / area) @ gained.T,
        warm * (local.mean(axis=2) @ area),
        warm * float(area.sum()),
    )


def _form(one: Floats, other: Floats, weight: Floats) -> Floats:
    count = len(one)
    form: Floats = (one * weight[:, None]).reshape(count, -1) @ other.reshape(count, -1).T
    return form


def _intervals(grid: Grid, features: Lines) -> list[Ints]:
    """The interval of features that each cell lies in, along each axis."""
    return [
        np.searchsorted(feature, (line[1:] + line[:-1]) / 2) - 1
        for line, feature in zip(grid.lines, features, strict=True)
    ]


def _materials(section: Section, features: Lines) -> dict[tuple[int, ...], str]:
    """The material of each block."""
    found: dict[tuple[int, ...], str] = {}
    middles = [(line[1:] + line[:-1]) / 2 for line in features]
    for where in product(*(range(len(middle)) for middle in middles)):
        place = [middle[k] for middle, k in zip(middles, where, strict=True)]
        for box in section.boxes:
            if all(low < at < high for low, at, high in zip(box.low, place, box.high, strict=True)):
                found[where] = box.material or ""
    return found
