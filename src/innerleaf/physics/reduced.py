"""Many designs of one family at once, with bounds on both sides, from a few stored fields.

The designs of a family have the same parts in the same order; lengths, conductivities and surface
resistances vary. Their grids are one grid, stretched part by part, so temperatures of one design are
admissible in every other, and so are flows (W through each face balance whatever the cells measure). The
best mix of stored temperatures therefore bounds the conductance from above and the best mix of stored flows
from below, as the full solves do. Each energy is an exact sum of a few matrices, one per way in which a part
depends on the parameters, times numbers that are quick to compute.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace

import numpy as np

from innerleaf.errors import InputError
from innerleaf.physics.grid import Floats, Lines, feature_lines
from innerleaf.physics.section import Section, Surrounding

_CHUNK = 512  # designs at a time: their weights stay in the cache
_THREADS = 4
_TOGETHER = 4  # terms, as in `reduced_kernel`


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
    """A family made quick. `reduced_build.build` makes it; its arrays can be stored and read back.

    Of r stored temperature fields and s flow fields, each symmetric matrix as its lower triangle.
    """

    family: Family
    features: Lines
    terms: Terms
    nodes_forms: Floats  # (r·(r + 1)/2, terms)
    flows_forms: Floats  # (s·(s + 1)/2, terms)
    load: Floats  # (terms, r): the warm film on the stored temperatures
    area: Floats  # (terms,): of the warm film
    inflow: Floats  # (s,): heat that stored flows take from the warm side
    warm_surface: Floats  # (places, r)

    @property
    def size(self) -> int:
        """Bytes of all stored numbers."""
        stored = (self.nodes_forms, self.flows_forms, self.load, self.area, self.inflow, self.warm_surface)
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
        high, factor = self.upper(parameters)
        return Bounds(low=self.lower(parameters), high=high, factor=factor)

    def lower(self, parameters: Floats) -> Floats:
        """Lower bounds alone."""
        fill = _filling(len(self.area))
        loads = np.zeros((len(self.inflow), len(self.area) + fill))
        loads[:, len(self.area)] = self.inflow
        forms, nowhere = np.pad(self.flows_forms, ((0, 0), (0, fill))), np.zeros((0, len(self.inflow)))
        low = np.empty(len(parameters))

        def some(rows: slice, weight: Floats) -> None:
            from innerleaf.physics.reduced_kernel import solve_many

            solve_many(forms, loads, 1 / weight, nowhere, low[rows], low[rows])

        self._each(parameters, some)
        return low

    def upper(self, parameters: Floats) -> tuple[Floats, Floats]:
        """Upper bounds, and fRsi from the same temperatures."""
        fill = ((0, 0), (0, _filling(len(self.area))))
        forms, loads = np.pad(self.nodes_forms, fill), np.pad(self.load.T, fill)
        high, factor = np.empty(len(parameters)), np.empty(len(parameters))

        def some(rows: slice, weight: Floats) -> None:
            from innerleaf.physics.reduced_kernel import solve_many

            solve_many(forms, loads, weight, self.warm_surface, high[rows], factor[rows])
            high[rows] = (self.area[:, None] * weight[: len(self.area)]).sum(axis=0) - high[rows]

        self._each(parameters, some)
        return high, factor

    def _each(self, parameters: Floats, task: Callable[[slice, Floats], None]) -> None:
        """Do a task for some designs at a time, with their weights; ones fill up (the first bears inflow)."""
        given = np.asarray(parameters, float)
        inside = np.all((given >= self.family.low - 1e-12) & (given <= self.family.high + 1e-12), axis=1)
        if not inside.all():
            accepted = f"between {self.family.low.tolist()} and {self.family.high.tolist()}"
            raise InputError("parameters", given=given[~inside][0].tolist(), accepted=accepted)

        def chunk(begin: int) -> None:
            rows = slice(begin, min(begin + _CHUNK, len(given)))
            weight = weights(self.terms, self.family.shapes(given[rows]), self.features)
            task(rows, np.pad(weight, ((0, _filling(len(weight))), (0, 0)), constant_values=1.0))

        with ThreadPoolExecutor(max_workers=min(_THREADS, os.cpu_count() or 1)) as pool:
            for _ in pool.map(chunk, range(0, len(given), _CHUNK)):
                pass


def _filling(terms: int) -> int:
    """How many more terms make their number a multiple of what the compiled loop takes; at least one."""
    return _TOGETHER - terms % _TOGETHER


def weights(terms: Terms, shapes: Shapes, features: Lines) -> Floats:
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
