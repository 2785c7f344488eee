"""What a solved section answers: flows with their intervals, couplings, temperatures, surfaces."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from innerleaf.errors import InputError
from innerleaf.physics.grid import Floats, Grid, Lines
from innerleaf.physics.section import Section, Vector


@dataclass(frozen=True, slots=True)
class Interval:
    """Two bounds that hold the true value of the section as modelled."""

    low: float
    high: float

    @property
    def middle(self) -> float:
        """The best estimate."""
        return (self.low + self.high) / 2

    @property
    def half(self) -> float:
        """Half the width."""
        return (self.high - self.low) / 2

    @property
    def gap(self) -> float:
        """The width as a fraction of the middle."""
        return (self.high - self.low) / abs(self.middle) if self.middle else math.inf

    def __mul__(self, factor: float) -> Interval:
        low, high = sorted((self.low * factor, self.high * factor))
        return Interval(low, high)


@dataclass(frozen=True, slots=True, kw_only=True)
class Surface:
    """What a surrounding touches. [m² in 3D, m in 2D; degC; m]

    The means and extremes are those of the surface itself, from the nodes of the elements.
    """

    name: str
    area: float
    mean: float
    least: float
    least_at: Vector
    greatest: float
    greatest_at: Vector


@dataclass(frozen=True, slots=True, kw_only=True)
class Solution:
    """A solved section.

    Parameters
    ----------
    section, grid
        What was solved, and on what.
    flux_form, node_form
        Lower and upper bound as quadratic forms in the temperatures of the surroundings, less that of the
        last one. [W/K; W/(m·K) in 2D]
    temperature
        At the nodes of the grid, NaN where there is nothing. [degC]
    across
        Per axis, the flow up the axis through each face, from the finite volumes. [W; W/m in 2D]
    surfaces
        One per surrounding.
    bounded
        False where surfaces held at different temperatures meet: no finite flow, no interval.
    balance
        Sum of all heat that comes in, as a fraction of what passes through.
    change
        How far the middle moved from the grid before to the last one, as a fraction.
    temperature_change
        The greatest such change of the temperatures at the points asked and of the surfaces' extremes. [K]
    grids
        How many grids were solved.
    edges
        Where good conductors touch along an edge alone: there no grid is fine enough, the interval stays
        wide, and the middle may be off by a good part of it. [m]
    """

    section: Section
    grid: Grid
    flux_form: Floats
    node_form: Floats
    temperature: Floats
    across: tuple[Floats, ...]
    surfaces: tuple[Surface, ...]
    bounded: bool
    balance: float
    change: float
    temperature_change: float
    grids: int
    edges: tuple[Vector, ...] = ()

    @property
    def gap(self) -> float:
        """Width of the interval on the heat that passes, as a fraction."""
        return gap_between(self.flux_form, self.node_form, relative_to_last(self.section.temperatures))

    def flow(self, name: str) -> Interval:
        """Heat that the section takes from a surrounding. [W; W/m in 2D]"""
        weights = [float(index == self.section.number(name)) for index in range(len(self.surfaces))]
        return self._between(weights, self.section.temperatures)

    def coupling(self, warm: Iterable[str], cold: Iterable[str]) -> Interval:
        """Thermal coupling coefficient between two groups of surroundings. [W/K; W/(m·K) in 2D]

        What flows per kelvin between the groups if each of them has one temperature.

        Raises
        ------
        InputError
            A surrounding is in neither group or in both.
        """
        warm, cold = set(warm), set(cold)
        for surrounding in self.section.surroundings:
            if (surrounding.name in warm) == (surrounding.name in cold):
                raise InputError("coupling", given=surrounding.name, accepted="each surrounding in one group")
        for name in warm | cold:
            self.section.number(name)
        weights = [float(each.name in warm) for each in self.section.surroundings]
        return self._between(weights, weights)

    def mutual_coupling(self, one: str, other: str) -> Interval:
        """Thermal coupling coefficient between two of several surroundings. [W/K; W/(m·K) in 2D]

        Heat from ``one`` to ``other`` per kelvin between them, when all others are as warm as either.
        """
        places = [self.section.number(name) for name in (one, other)]
        if places[0] == places[1]:
            raise InputError("mutual coupling", given=(one, other), accepted="two different surroundings")
        unit = np.eye(len(self.surfaces))
        return self._between(unit[places[0]], unit[places[1]]) * -1

    def surface(self, name: str) -> Surface:
        """The surface that a surrounding touches."""
        return self.surfaces[self.section.number(name)]

    def temperature_at(self, point: Vector) -> float:
        """Temperature inside the section or on its surface. [degC]

        Raises
        ------
        InputError
            There is no material at the point.
        """
        found = interpolate(self.grid.lines, self.temperature, point)
        if math.isnan(found):
            raise InputError("point", given=point, accepted="a place inside the section or on its surface")
        return found

    def _between(self, weights: Sequence[float] | Floats, temperatures: Sequence[float] | Floats) -> Interval:
        """The form between two vectors; the error is bounded by the gaps of both (Cauchy-Schwarz)."""
        e, t = relative_to_last(weights), relative_to_last(temperatures)
        middle = float(e @ (self.flux_form + self.node_form) @ t) / 2
        if not self.bounded:
            return Interval(-math.inf, math.inf)
        difference = self.node_form - self.flux_form
        half = math.sqrt(max(float(e @ difference @ e), 0.0) * max(float(t @ difference @ t), 0.0)) / 2
        return Interval(middle - half, middle + half)


def interpolate(lines: Lines, values: Floats, point: Vector) -> float:
    """A value between nodes; NaN where there is nothing."""
    below = []
    for line, at in zip(lines, point, strict=True):
        if not line[0] - 1e-9 <= at <= line[-1] + 1e-9:
            return math.nan
        below.append(int(np.clip(np.searchsorted(line, at - 1e-9) - 1, 0, len(line) - 2)))
    block = values[tuple(slice(k, k + 2) for k in below)]
    for line, at, k in zip(lines, point, below, strict=True):
        share = min(max((at - line[k]) / (line[k + 1] - line[k]), 0.0), 1.0)
        if 1e-9 < share < 1 - 1e-9:
            block = (1 - share) * block[0] + share * block[1]
        else:  # on a line: what lies on the other side may be nothing
            block = block[round(share)]
    return float(block)


def relative_to_last(values: Sequence[float] | Floats) -> Floats:
    """All but the last, less the last."""
    return np.asarray(values[:-1], float) - values[-1]


def gap_between(lower: Floats, upper: Floats, relative: Floats) -> float:
    """Width between two quadratic forms at one vector, as a fraction of their mean."""
    low, high = float(relative @ lower @ relative), float(relative @ upper @ relative)
    return 2 * max(high - low, 0.0) / (high + low)
