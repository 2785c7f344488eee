"""Given sections many at a time: few of them are solved, and their fields bound the heat through all.

Sections of one make (the same materials in the same order along every line) are one grid, stretched. Those
furthest from all solved before are solved first, then wherever the bounds still lie furthest apart, so the
bounds themselves say when enough have been solved. Nothing is made beforehand: for a few dozen sections and
more this is sooner than solving each, and it needs no limits to what they may be.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from math import inf

import numpy as np

from innerleaf.physics.conduction import solve
from innerleaf.physics.conduction_flux import fluxes
from innerleaf.physics.conduction_nodes import nodes
from innerleaf.physics.grid import Floats, Ints, Lines, feature_lines, paint
from innerleaf.physics.reduced import Bounds, Family, Reduced, Shapes
from innerleaf.physics.reduced_build import from_fields
from innerleaf.physics.section import Box, Region, Section

_APART = 1e-3  # by how much materials of a template conduct differently at least, so that none are one
_FIRST = 3  # sections solved, besides one in the middle, before the first look at the bounds
_MORE = 3  # and after each look
_DIGITS = 9  # planes nearer than that are one [m]
_NO_BETTER = 1.15  # of the gap that the grid itself has


def bounds_of_given(
    sections: Sequence[Section], *, cautious: float, accuracy: float, spread: float, kelvin: float
) -> Bounds:
    """Bounds on the thermal coupling of every section, and its surface temperature factor.

    Parameters
    ----------
    sections : sequence of Section
        Each with two surroundings, the warm one first.
    cautious : float
        Surface resistance of the warm side for the factor. [m²·K/W]
    accuracy : float
        Width of the interval of each make's template on the grid that all share, as a fraction.
    spread : float
        Sections are solved until no interval is wider, as a fraction, or none wider than of those solved.
    kelvin : float
        And until three more move no factor by more than this. [of one kelvin between the sides]

    Returns
    -------
    Bounds
        They hold what a solve on an ever finer grid would find; the factor is an estimate.
    """
    low, high, factor = (np.zeros(len(sections)) for _ in range(3))
    for rows in makes_of(sections):
        found = _Make([sections[k] for k in rows], cautious).bounds(accuracy, spread, kelvin)
        low[rows], high[rows], factor[rows] = found.low, found.high, found.factor
    return Bounds(low=low, high=high, factor=factor)


def makes_of(sections: Sequence[Section]) -> list[Ints]:
    """Which sections are of one make; each make's bounds can be asked for apart from the others."""
    found: dict[object, list[int]] = {}
    for number, section in enumerate(sections):
        found.setdefault(_make_of(section), []).append(number)
    return [np.array(rows) for rows in found.values()]


def _make_of(section: Section) -> object:
    """Which of its planes each box and region ends at: all that a make is, but for where the planes lie."""
    order = [
        {at: number for number, at in enumerate(planes.tolist())} | {-inf: -1, inf: -1}
        for planes in _planes(section)
    ]

    def place(each: Box | Region) -> tuple[int, ...]:
        return tuple(
            index[round(at, _DIGITS)]
            for end in (each.low, each.high)
            for index, at in zip(order, end, strict=True)
        )

    boxes = tuple((box.material, place(box)) for box in section.boxes)
    around = tuple((s.name, tuple((place(r), r.facing) for r in s.regions)) for s in section.surroundings)
    return boxes, around, tuple(sorted(section.conductivities))


def _planes(section: Section) -> Lines:
    """Where boxes and regions end along each axis, rising."""
    things: list[Box | Region] = [
        *section.boxes,
        *(region for each in section.surroundings for region in each.regions),
    ]
    found = []
    for axis in range(section.dimensions):
        ends = {round(end[axis], _DIGITS) for each in things for end in (each.low, each.high)}
        found.append(np.array(sorted(ends - {inf, -inf})))
    return tuple(found)


def _changes(section: Section) -> list[Ints]:
    """Which planes something changes at, whatever conducts alike; the same for all of a make."""
    names = sorted(section.conductivities)
    told = replace(section, conductivities={name: 1.0 + k for k, name in enumerate(names)})
    return [
        np.abs(planes[:, None] - lines[None]).argmin(axis=0)
        for planes, lines in zip(_planes(section), feature_lines(told), strict=True)
    ]


@dataclass(frozen=True, slots=True)
class _Fields:
    """Temperatures and flows of a section solved on the stretched grid."""

    temperatures: Floats
    flows: tuple[Floats, ...]


class _Make:
    """Sections of one make; designs are these as they are, then with the cautious surface resistance."""

    def __init__(self, sections: Sequence[Section], cautious: float) -> None:
        self.sections = sections
        changes = _changes(sections[0])
        lines = [
            [planes[some] for planes, some in zip(_planes(each), changes, strict=True)] for each in sections
        ]
        warm, cold = sections[0].surroundings
        axes = [np.stack([each[axis] for each in lines]) for axis in range(len(lines[0]))]
        names = sorted(sections[0].conductivities)
        through = {name: np.array([each.conductivities[name] for each in sections]) for name in names}
        films = np.array([[s.surface_resistance for s in each.surroundings] for each in sections])
        self.shapes = Shapes(
            lines=tuple(np.concatenate([axis, axis]) for axis in axes),
            conductivities={name: np.concatenate([each, each]) for name, each in through.items()},
            resistances={
                warm.name: np.concatenate([films[:, 0], np.full(len(films), cautious)]),
                cold.name: np.concatenate([films[:, 1], films[:, 1]]),
            },
        )
        columns = [np.diff(axis, axis=1) for axis in self.shapes.lines]
        columns += [each[:, None] for each in self.shapes.conductivities.values()]
        columns += [each[:, None] for each in self.shapes.resistances.values()]
        self.places = np.log(np.concatenate(columns, axis=1))
        wide = np.ptp(self.places, axis=0)
        self.places = self.places / np.where(wide > 0, wide, 1.0)
        middle = int(np.argmin(self._far([], self.places.mean(axis=0))[: len(sections)]))
        template = sections[middle]
        apart = {name: template.conductivities[name] * (1 + _APART * k) for k, name in enumerate(names)}
        self.first = middle
        self.family = Family(
            template=replace(template, conductivities=apart),
            low=np.zeros(1),
            high=np.array([2.0 * len(sections) - 1]),
            shapes=lambda at: self._shapes(np.rint(at[:, 0]).astype(np.int64)),
        )

    def _far(self, others: Sequence[int], place: Floats | None = None) -> Floats:
        """How far each design is from the nearest of some others, or from one place."""
        to = self.places[list(others)] if place is None else place[None]
        return np.asarray(np.abs(self.places[:, None] - to[None]).sum(axis=2).min(axis=1))

    def _shapes(self, rows: Ints) -> Shapes:
        whole = self.shapes
        return Shapes(
            lines=tuple(axis[rows] for axis in whole.lines),
            conductivities={name: each[rows] for name, each in whole.conductivities.items()},
            resistances={name: each[rows] for name, each in whole.resistances.items()},
        )

    def bounds(self, accuracy: float, spread: float, kelvin: float) -> Bounds:
        """Solve so many that the bounds lie near enough together and the factors settle."""
        features = feature_lines(self.family.template)
        lines = solve(self.family.template, accuracy=accuracy, kelvin=kelvin).grid.lines
        count = len(self.sections)
        every = np.arange(2 * count, dtype=float)[:, None]
        solved: dict[int, _Fields] = {}
        coming, factor = [self.first, *self._furthest([self.first], _FIRST)], np.full(2 * count, np.inf)
        while coming:
            for design in coming:
                solved[design] = self._solved(design, lines, features)
            found = self._reduced(solved, lines, features).bounds(every)
            moving, factor = np.abs(found.factor - factor).max() > kelvin, found.factor
            coming = self._widest(found, solved, spread)
            if not coming and moving:
                coming = self._furthest(list(solved), _MORE)
        return Bounds(low=found.low[:count], high=found.high[:count], factor=factor[count:])

    def _furthest(self, known: Sequence[int], more: int) -> list[int]:
        """The designs furthest from those known and from each other."""
        chosen = list(known)
        while len(chosen) < min(len(known) + more, len(self.places)):
            chosen.append(int(np.argmax(self._far(chosen))))
        return chosen[len(known) :]

    def _widest(self, found: Bounds, solved: Mapping[int, _Fields], spread: float) -> list[int]:
        """Designs not solved yet whose bounds lie too far apart, none near another of them."""
        gap = (found.high - found.low) / found.middle
        done = np.array(sorted(solved))
        enough = max(spread, _NO_BETTER * float(gap[done].max()))
        gap[done] = 0.0
        chosen: list[int] = []
        while len(chosen) < _MORE:
            apart = np.minimum(self._far(chosen), 1.0) if chosen else 1.0
            worst = int(np.argmax(gap * apart))
            if gap[worst] <= enough or worst in chosen:
                break
            chosen.append(worst)
        return chosen

    def _solved(self, design: int, lines: Lines, features: Lines) -> _Fields:
        shapes = self._shapes(np.array([design]))
        stretched = tuple(
            np.interp(line, feature, new[0])
            for line, feature, new in zip(lines, features, shapes.lines, strict=True)
        )
        section = self.sections[design % len(self.sections)]
        films = [float(each[0]) for each in shapes.resistances.values()]
        grid = paint(section, stretched)
        across = fluxes(grid, films).across
        return _Fields(
            np.nan_to_num(nodes(grid, films).values[..., 0]), tuple(flow[..., 0] for flow in across)
        )

    def _reduced(self, solved: dict[int, _Fields], lines: Lines, features: Lines) -> Reduced:
        order = sorted(solved)
        flows = [np.stack([solved[k].flows[axis] for k in order]) for axis in range(len(lines))]
        return from_fields(
            self.family,
            features,
            lines,
            np.stack([solved[k].temperatures.ravel() for k in order]),
            flows,
            solved=self._shapes(np.array(order)),
            every=self.shapes,
            count=len(order),
        )
