"""Rectilinear grids: a section painted on lines, lines to begin with, better lines after a solve."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from innerleaf.errors import InputError
from innerleaf.physics.section import AXES, Section, Surrounding, Vector

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Lines = tuple[Floats, ...]

_Any = TypeVar("_Any", bound=np.generic)

_SAME = 1e-9  # coordinates nearer than this are one line [m]
_GROWTHS = {2: (1.75, 3.0, 6.0), 3: (6.0, 20.0)}  # of the first cells away from a line, by dimensions
_FIRST_CELLS = 20_000
_FIRST = 1.5  # of the shorter of two intervals that meet at a line: width over that of its first cell
_BETWEEN = (0.4, 6.0)  # a new grid has so many cells for one of the old one


@dataclass(frozen=True, slots=True)
class Grid:
    """A section on grid lines.

    ``conductivity`` has one entry per cell, 0 where there is nothing. ``touching[axis]`` has one entry
    per face across that axis: the number of the surrounding it touches, or -1. ``outward[axis]`` is +1 or
    -1 where a face is on the surface and looks up or down the axis, else 0.

    ``widths[axis]`` are those of the cells [m], ``areas[axis]`` those of the faces across the axis
    [m²; m in 2D]; both are shaped to be broadcast over cells and faces.
    """

    lines: Lines
    conductivity: Floats
    touching: tuple[Ints, ...]
    outward: tuple[Ints, ...]
    widths: tuple[Floats, ...]
    areas: tuple[Floats, ...]

    @property
    def dimensions(self) -> int:
        """Of space."""
        return len(self.lines)

    @property
    def cells(self) -> int:
        """Number of cells that hold material."""
        return int(np.count_nonzero(self.conductivity))

    def area(self, axis: int) -> Floats:
        """Area of every face across an axis. [m²; m in 2D]"""
        return np.broadcast_to(self.areas[axis], self.touching[axis].shape)


def _along(values: NDArray[_Any], axis: int, dimensions: int) -> NDArray[_Any]:
    return values.reshape(tuple(-1 if other == axis else 1 for other in range(dimensions)))


def paint(section: Section, lines: Lines) -> Grid:
    """The section on lines that hold every face of its boxes.

    Raises
    ------
    InputError
        A surrounding touches nothing.
    """
    conductivity = np.zeros([len(line) - 1 for line in lines])
    for box in section.boxes:
        inside = tuple(
            slice(*np.searchsorted(line, (low - _SAME, high - _SAME)))
            for line, low, high in zip(lines, box.low, box.high, strict=True)
        )
        conductivity[inside] = 0.0 if box.material is None else section.conductivities[box.material]
    touching, outward = [], []
    for axis in range(section.dimensions):
        inner = tuple(slice(1, -1) if a == axis else slice(None) for a in range(section.dimensions))
        solid = np.zeros([n + 2 * (a == axis) for a, n in enumerate(conductivity.shape)], np.int64)
        solid[inner] = conductivity > 0
        outside = -np.diff(solid, axis=axis)
        touch = np.full(outside.shape, -1, dtype=np.int64)
        for number, surrounding in enumerate(section.surroundings):
            touch[_touched(surrounding, lines, axis, outside)] = number
        touching.append(touch)
        outward.append(outside)
    for number, surrounding in enumerate(section.surroundings):
        if not any(np.any(touch == number) for touch in touching):
            raise InputError(
                f"surrounding {surrounding.name}, regions",
                given=[(region.low, region.high) for region in surrounding.regions],
                accepted="at least one that holds a part of the surface (and no later surrounding takes it)",
            )
    widths = tuple(_along(np.diff(line), axis, len(lines)) for axis, line in enumerate(lines))
    areas = tuple(
        math.prod(widths[:axis] + widths[axis + 1 :], start=np.ones((1,) * len(lines)))
        for axis in range(len(lines))
    )
    return Grid(lines, conductivity, tuple(touching), tuple(outward), widths, areas)


def _touched(surrounding: Surrounding, lines: Lines, axis: int, outward: Ints) -> NDArray[np.bool_]:
    """Which faces across an axis a surrounding touches."""
    found = np.zeros(outward.shape, dtype=bool)
    for region in surrounding.regions:
        inside = outward != 0
        for other, line in enumerate(lines):
            middle = line if other == axis else (line[1:] + line[:-1]) / 2
            within = (middle >= region.low[other] - _SAME) & (middle <= region.high[other] + _SAME)
            inside = inside & _along(within, other, len(lines))
        if region.facing:
            looks = [1 if facing[0] == "+" else -1 for facing in region.facing if facing[1] == AXES[axis]]
            inside = inside & np.isin(outward, looks)
        found |= inside
    return found


def feature_lines(section: Section, points: Iterable[Vector] = ()) -> Lines:
    """The lines that any grid of the section must hold: where something changes, and through points.

    A box cut into slices of the same material asks for no more lines than the whole one.
    """
    lines: list[Floats] = []
    for axis in range(section.dimensions):
        ends = [end[axis] for box in section.boxes if box.material for end in (box.low, box.high)]
        wanted = [end[axis] for box in section.boxes for end in (box.low, box.high)]
        for surrounding in section.surroundings:
            wanted += [end[axis] for region in surrounding.regions for end in (region.low, region.high)]
        lines.append(_sorted([each for each in wanted if min(ends) <= each <= max(ends)]))
    grid = paint(section, tuple(lines))
    needed = []
    for axis, line in enumerate(lines):
        changes = _changes(grid.conductivity, axis)
        for other in range(section.dimensions):
            if other != axis:
                changes |= _changes(grid.touching[other], axis)
        through = [point[axis] for point in points if line[0] < point[axis] < line[-1]]
        needed.append(_sorted([line[0], *line[1:-1][changes], line[-1], *through]))
    return tuple(needed)


def _changes(values: NDArray[np.float64] | Ints, axis: int) -> NDArray[np.bool_]:
    """At which inner lines of an axis any value differs from its neighbour."""
    others = tuple(other for other in range(values.ndim) if other != axis)
    found: NDArray[np.bool_] = np.any(np.diff(values, axis=axis) != 0, axis=others)
    return found


def _sorted(values: Sequence[float]) -> Floats:
    ordered = np.unique(np.asarray(values, float))
    keep = np.concatenate(([True], np.diff(ordered) > _SAME))
    return ordered[keep]


def first_lines(features: Lines) -> Lines:
    """Lines to begin with: cells grow from each feature line, at first as fine as what lies beyond it.

    They grow faster where many features would make a first grid that is dearer than it is worth.
    """
    for growth in _GROWTHS[len(features)]:
        lines = tuple(_first_on_axis(line, growth) for line in features)
        if math.prod(len(line) for line in lines) <= _FIRST_CELLS:
            break
    return lines


def _first_on_axis(features: Floats, growth: float) -> Floats:
    lengths = np.diff(features)
    made = [features[:1]]
    for k, length in enumerate(lengths):
        before = min(length, lengths[k - 1]) / _FIRST if k else length / 2
        after = min(length, lengths[k + 1]) / _FIRST if k + 1 < len(lengths) else length / 2
        made.append(features[k] + _steps(length, before, after, growth))
    return np.concatenate(made)


def _steps(length: float, before: float, after: float, growth: float) -> Floats:
    """Ends of cells that grow from both ends of a length; the last is the length itself."""
    left, right = [before], [after]
    while sum(left) + sum(right) < length * (1 - 1e-12):
        side = left if left[-1] <= right[-1] else right
        side.append(side[-1] * growth)
    sizes = np.array([*left, *reversed(right)])
    ends: Floats = np.cumsum(sizes) * (length / sizes.sum())
    ends[-1] = length
    return ends


def better_lines(
    lines: Lines, features: Lines, errors: Sequence[Floats], wanted: float, halved: Iterable[Vector] = ()
) -> Lines:
    """Lines on which the errors would sum to ``wanted``, with the fewest cells.

    ``errors[axis]`` holds the part of the error that comes from the width of each cell along that axis.
    It falls with the square of the width, so the product of cell counts is least when each interval gets
    cells in proportion to the cube root of its error, and each axis is left with the same error.
    Around the places ``halved`` the intervals are at least halved.
    """
    varying = [float(np.sum(np.cbrt(error))) for error in errors]
    active = sum(sum_ > 0 for sum_ in varying) or 1
    made = []
    places = list(halved)
    for axis, (line, feature, error, total) in enumerate(zip(lines, features, errors, varying, strict=True)):
        factor = math.sqrt(active * total / wanted) if total > 0 else 0.0
        parts = np.clip(factor * np.cbrt(error), *_BETWEEN)
        for place in places:
            begin, end = np.searchsorted(line[1:-1], (place[axis] - _SAME, place[axis] + _SAME))
            parts[begin : end + 1] = np.maximum(parts[begin : end + 1], 2.0)
        made.append(_spread(line, feature, parts))
    return tuple(made)


def _spread(line: Floats, features: Floats, parts: Floats) -> Floats:
    """New lines: each interval of the old ones gets ``parts`` cells, rounded per feature interval."""
    counted = np.concatenate(([0.0], np.cumsum(parts)))
    stops = np.searchsorted(line, features - _SAME)
    made = [features[:1]]
    for start, stop in zip(stops[:-1], stops[1:], strict=True):
        count = max(1, round(float(counted[stop] - counted[start])))
        at = np.linspace(counted[start], counted[stop], count + 1)[1:]
        ends = np.interp(at, counted[start : stop + 1], line[start : stop + 1])
        ends[-1] = line[stop]
        made.append(ends)
    return np.concatenate(made)
