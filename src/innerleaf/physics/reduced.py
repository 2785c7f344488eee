"""Many designs of one family at once, with bounds on both sides, from a few stored fields.

The designs of a family have the same parts in the same order; lengths, conductivities and surface
resistances vary. Their grids are one grid, stretched part by part, so temperatures of one design are
admissible in every other, and so are flows (W through each face balance whatever the cells measure). The
best mix of stored temperatures therefore bounds the conductance from above and the best mix of stored flows
from below, as the full solves do. Each energy is an exact sum of a few matrices, one per way in which a part
depends on the parameters, times numbers that are quick to compute.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import product

import numpy as np

from innerleaf.errors import InputError
from innerleaf.physics.conduction import solve
from innerleaf.physics.conduction_flux import fluxes
from innerleaf.physics.conduction_nodes import cell_nodes, element, nodes, patches
from innerleaf.physics.grid import Floats, Grid, Ints, Lines, feature_lines, paint
from innerleaf.physics.section import Section, Surrounding

_CHUNK = 512  # designs at a time: their matrices stay in the cache


@dataclass(frozen=True, slots=True, kw_only=True)
class Shapes:
    """What the parameters of some designs mean, one row or entry per design. SI.

    ``lines[axis]`` has shape (designs, feature lines), in the order of the template's ``feature_lines``;
    ``conductivities`` and ``resistances`` (by surrounding) have shape (designs,) each.
    """

    lines: tuple[Floats, ...]
    conductivities: Mapping[str, Floats]
    resistances: Mapping[str, Floats]


@dataclass(frozen=True, slots=True, kw_only=True)
class Family:
    """Sections that differ in numbers only.

    ``template`` has two surroundings; no two of its materials that meet may have the same conductivity.
    ``low`` and ``high`` bound the parameters; ``shapes`` says what they mean.
    """

    template: Section
    low: Floats
    high: Floats
    shapes: Callable[[Floats], Shapes]

    def section(self, parameters: Sequence[float]) -> Section:
        """One design, to be solved in full."""
        shapes = self.shapes(np.asarray([parameters], float))
        features = feature_lines(self.template)

        def moved(place: tuple[float, ...]) -> tuple[float, ...]:
            return tuple(
                float(np.interp(at, old, new[0])) if np.isfinite(at) else at
                for at, old, new in zip(place, features, shapes.lines, strict=True)
            )

        def surrounding(each: Surrounding) -> Surrounding:
            regions = tuple(replace(r, low=moved(r.low), high=moved(r.high)) for r in each.regions)
            resistance = float(shapes.resistances[each.name][0])
            return replace(each, regions=regions, surface_resistance=resistance)

        return Section(
            conductivities={name: float(value[0]) for name, value in shapes.conductivities.items()},
            boxes=tuple(
                replace(box, low=moved(box.low), high=moved(box.high)) for box in self.template.boxes
            ),
            surroundings=tuple(surrounding(each) for each in self.template.surroundings),
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Bounds:
    """Guaranteed bounds on the thermal coupling of designs, and an estimate of the coldest warm surface.

    ``low`` and ``high`` [W/K; W/(m·K) in 2D] and ``factor`` (fRsi, from the stored temperatures; an
    estimate) have one entry per design.
    """

    low: Floats
    high: Floats
    factor: Floats

    @property
    def middle(self) -> Floats:
        """The best estimate."""
        return (self.low + self.high) / 2


@dataclass(frozen=True, slots=True, kw_only=True)
class Terms:
    """Ways in which parts depend on the parameters: material and stretch of a block, or a film."""

    material: tuple[str, ...]  # or the name of a surrounding, for a film
    film: tuple[bool, ...]
    axis: tuple[int, ...]
    block: tuple[tuple[int, ...], ...]  # interval of features along each axis; -1 across a film


@dataclass(frozen=True, slots=True, kw_only=True)
class Reduced:
    """A family made quick. ``build`` makes it; its arrays can be stored and read back."""

    family: Family
    features: Lines
    terms: Terms
    nodes_matrix: Floats  # (terms, r, r)
    flows_matrix: Floats  # (terms, s, s)
    load: Floats  # (terms, r): the warm film on the stored temperatures
    area: Floats  # (terms,): of the warm film
    inflow: Floats  # (s,): heat that stored flows take from the warm side
    warm_surface: Floats  # (places, r)

    @property
    def size(self) -> int:
        """Bytes of all stored numbers."""
        stored = (self.nodes_matrix, self.flows_matrix, self.load, self.area, self.inflow, self.warm_surface)
        return sum(array.nbytes for array in stored)

    def bounds(self, parameters: Floats) -> Bounds:
        """Bounds for many designs.

        Parameters
        ----------
        parameters : ndarray, shape (designs, parameters)

        Raises
        ------
        InputError
            A parameter lies outside the family.
        """
        parts = [self._bounds(chunk) for chunk in self._chunks(parameters)]
        low, high, factor = (np.concatenate(each) for each in zip(*parts, strict=True))
        return Bounds(low=low, high=high, factor=factor)

    def factors(self, parameters: Floats) -> Floats:
        """fRsi of many designs alone, an estimate; cheaper than `bounds`."""
        return np.concatenate([self._warm(chunk)[1] for chunk in self._chunks(parameters)])

    def _chunks(self, parameters: Floats) -> list[Floats]:
        given = np.atleast_2d(np.asarray(parameters, float))
        inside = np.all((given >= self.family.low - 1e-12) & (given <= self.family.high + 1e-12), axis=1)
        if not inside.all():
            accepted = f"between {self.family.low.tolist()} and {self.family.high.tolist()}"
            raise InputError("parameters", given=given[~inside][0].tolist(), accepted=accepted)
        return [given[k : k + _CHUNK] for k in range(0, max(1, len(given)), _CHUNK)]

    def _bounds(self, parameters: Floats) -> tuple[Floats, Floats, Floats]:
        from innerleaf.physics.reduced_kernel import solve_packed

        weight = _weights(self.terms, self.family.shapes(parameters), self.features)
        high, factor = self._warm_of(weight)
        inflow = np.repeat(self.inflow[:, None], weight.shape[1], axis=1)
        low = solve_packed(_packed(self.flows_matrix) @ (1 / weight), inflow, back=False)
        return low, high, factor

    def _warm(self, parameters: Floats) -> tuple[Floats, Floats]:
        return self._warm_of(_weights(self.terms, self.family.shapes(parameters), self.features))

    def _warm_of(self, weight: Floats) -> tuple[Floats, Floats]:
        """Upper bounds and fRsi from the stored temperatures."""
        from innerleaf.physics.reduced_kernel import solve_packed

        mix = self.load.T @ weight
        stored = solve_packed(_packed(self.nodes_matrix) @ weight, mix, back=True)
        return self.area @ weight - stored, (self.warm_surface @ mix).min(axis=0)


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
    sizes = [touch.shape for touch in grid.touching]
    whole = _projected(
        family,
        features,
        grid,
        np.stack([each.ravel() for each in temperatures]),
        [np.stack([each[axis] for each in flows]).reshape(-1, *size) for axis, size in enumerate(sizes)],
        shapes,
    )
    return _main_fields(whole, shapes, fields)


def _main_fields(whole: Reduced, shapes: Shapes, count: int) -> Reduced:
    """Keep the mixes of the fields that matter most to the energies of the designs solved.

    Energy is what the bounds are made of, so it is the measure: the mean of the designs, each over its own
    conductance.
    """
    weight = _weights(whole.terms, shapes, whole.features)
    share = 1 / np.einsum("kii,ki->i", whole.flows_matrix, 1 / weight)  # a flow of 1 K loses what passes
    mixes = [
        _directions(np.einsum("k,kij->ij", mean, forms, optimize=True), count)
        for mean, forms in (
            (weight @ share / len(share), whole.nodes_matrix),
            ((1 / weight) @ share / len(share), whole.flows_matrix),
        )
    ]
    nodes_mix, flows_mix = mixes
    return replace(
        whole,
        nodes_matrix=nodes_mix @ whole.nodes_matrix @ nodes_mix.T,
        flows_matrix=flows_mix @ whole.flows_matrix @ flows_mix.T,
        load=whole.load @ nodes_mix.T,
        inflow=flows_mix @ whole.inflow,
        warm_surface=np.ascontiguousarray(whole.warm_surface @ nodes_mix.T),
    )


def _directions(gram: Floats, count: int) -> Floats:
    """Mixes, one a row, of unit measure: the main ones of all fields whose products ``gram`` holds."""
    values, vectors = np.linalg.eigh(gram)
    main: Floats = (vectors[:, ::-1] / np.sqrt(np.abs(values[::-1]))).T[:count]
    return main


@dataclass(frozen=True, slots=True)
class _Piece:
    """Energies of one block along one axis, or of one film on one block."""

    material: str
    film: bool
    axis: int
    block: tuple[int, ...]
    nodes_form: Floats
    flows_form: Floats
    load: Floats
    area: float


def _projected(
    family: Family, features: Lines, grid: Grid, temperatures: Floats, flows: list[Floats], shapes: Shapes
) -> Reduced:
    """Sum the pieces that depend on the parameters in the same way."""
    warm = 0 if family.template.temperatures[0] > family.template.temperatures[1] else 1
    names = [each.name for each in family.template.surroundings]
    if warm == 1:  # the stored fields are those of the first surrounding at 1 K
        raise InputError("family, surroundings", given=names, accepted="the warm one first")
    pieces = [*_block_pieces(family, features, grid, temperatures, flows)]
    pieces += _film_pieces(names, features, grid, temperatures, flows)
    every = Terms(
        material=tuple(piece.material for piece in pieces),
        film=tuple(piece.film for piece in pieces),
        axis=tuple(piece.axis for piece in pieces),
        block=tuple(piece.block for piece in pieces),
    )
    weight = _weights(every, shapes, features).T
    relative = np.round(weight / weight[0], 9)
    _, first, group = np.unique(relative, axis=1, return_index=True, return_inverse=True)
    count, r, s = len(first), len(temperatures), len(flows[0])
    nodes_matrix, flows_matrix = np.zeros((count, r, r)), np.zeros((count, s, s))
    load, area = np.zeros((count, r)), np.zeros(count)
    for index, piece in enumerate(pieces):
        k = group.ravel()[index]
        ratio = float(weight[0, index] / weight[0, first[k]])
        nodes_matrix[k] += ratio * piece.nodes_form
        flows_matrix[k] += piece.flows_form / ratio
        load[k] += ratio * piece.load
        area[k] += ratio * piece.area
    faces = grid.touching
    inflow = sum(
        -(flow * grid.outward[axis] * (faces[axis] == warm)).reshape(s, -1).sum(axis=1)
        for axis, flow in enumerate(flows)
    )
    places = np.unique(np.concatenate([p.nodes.ravel() for p in patches(grid) if p.number == warm]))
    return Reduced(
        family=family,
        features=features,
        terms=Terms(
            material=tuple(every.material[k] for k in first),
            film=tuple(every.film[k] for k in first),
            axis=tuple(every.axis[k] for k in first),
            block=tuple(every.block[k] for k in first),
        ),
        nodes_matrix=nodes_matrix,
        flows_matrix=flows_matrix,
        load=load,
        area=area,
        inflow=np.asarray(inflow, float),
        warm_surface=np.ascontiguousarray(temperatures[:, places].T),
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
    for k, where in enumerate(blocks.tolist()):
        mine = number.ravel() == k
        cells = tuple(index[mine] for index in solid)
        local = temperatures[:, corners[mine]]
        for axis in range(grid.dimensions):
            width = np.diff(grid.lines[axis])[cells[axis]]
            weight = volume[mine] / width**2
            up = tuple(index + (a == axis) for a, index in enumerate(cells))
            first, last = flows[axis][(slice(None), *cells)], flows[axis][(slice(None), *up)]
            mean, half = (first + last) / 2, (last - first) / 2
            yield _Piece(
                material=materials[tuple(where)],
                film=False,
                axis=axis,
                block=tuple(where),
                nodes_form=_form(local @ element(axis, grid.dimensions), local, weight),
                flows_form=_form(mean[..., None], mean[..., None], 1 / weight)
                + _form(half[..., None], half[..., None], 1 / weight) / 3,
                load=np.zeros(len(temperatures)),
                area=0.0,
            )


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
            mine = number.ravel() == k
            local, area = temperatures[:, patch.nodes[mine]], patch.area[mine]
            gained = flows[patch.axis][(slice(None), *(index[mine] for index in patch.faces))]
            warm = float(patch.number == 0)
            yield _Piece(
                material=names[patch.number],
                film=True,
                axis=patch.axis,
                block=tuple(where),
                nodes_form=_form(local @ patch.mass, local, area),
                flows_form=(gained / area) @ gained.T,
                load=warm * (local.mean(axis=2) @ area),
                area=warm * float(area.sum()),
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


def _weights(terms: Terms, shapes: Shapes, features: Lines) -> Floats:
    """What each piece is multiplied by, shape (terms, designs): λ·stretch, or stretch/Rs of a film."""
    stretch = [
        np.ascontiguousarray((np.diff(new, axis=1) / np.diff(old)).T)
        for new, old in zip(shapes.lines, features, strict=True)
    ]
    columns = []
    for material, film, axis, block in zip(terms.material, terms.film, terms.axis, terms.block, strict=True):
        column = 1 / shapes.resistances[material] if film else shapes.conductivities[material]
        for other, k in enumerate(block):
            if other != axis:
                column = column * stretch[other][k]
            elif not film:
                column = column / stretch[other][k]
        columns.append(column)
    return np.stack(columns)


def _packed(matrices: Floats) -> Floats:
    """The lower triangles of some symmetric matrices, one column per matrix."""
    row, column = np.tril_indices(matrices.shape[1])
    return np.ascontiguousarray(matrices[:, row, column].T)
