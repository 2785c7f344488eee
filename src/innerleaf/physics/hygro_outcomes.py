"""What a run of years tells: does water gather, does the face freeze, does mould grow."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from innerleaf.errors import InputError
from innerleaf.physics.hygro import look_up
from innerleaf.physics.transient import HOURS_OF_YEAR, TransientRun

Values = NDArray[np.float64]

PERIODIC: Final = 0.01  # change from year to year below which a wall has come to its balance
FREEZES: Final = 0.0  # °C; water in fine pores freezes lower, so hours are counted on the safe side


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class YearByYear:
    """Water in each layer at the end of each year, and through it. [kg/m²]"""

    at_end: Values  # (years, layers)
    mean: Values  # (years, layers)
    most: Values  # (years, layers)
    periodic_from: int | None  # first year (1 is the first) that ends within 1 % as it began; None: not yet

    @property
    def yearly_change(self) -> Values:
        """Of the last year, by layer; above zero it still gathers. [kg/m²]"""
        return np.asarray(self.at_end[-1] - (self.at_end[-2] if len(self.at_end) > 1 else self.mean[0]))


def year_by_year(run: TransientRun) -> YearByYear:
    """Water by layer and year; raises `InputError` if the run is shorter than a year."""
    per_year = HOURS_OF_YEAR // run.every
    water = run.layer_water()
    years = (len(water) - 1) // per_year
    if years < 1 or HOURS_OF_YEAR % run.every:
        raise InputError(
            "run",
            given=f"{(len(water) - 1) * run.every} hours, a profile each {run.every}",
            accepted="a year or more, with a whole number of profiles in it",
        )
    blocks = water[1 : 1 + years * per_year].reshape(years, per_year, -1)
    ends = water[::per_year][: years + 1]
    change = np.abs(np.diff(ends.sum(axis=1))) / ends[1:].sum(axis=1)
    settled = np.flatnonzero(change < PERIODIC)
    return YearByYear(
        at_end=ends[1:],
        mean=blocks.mean(axis=1),
        most=blocks.max(axis=1),
        periodic_from=int(settled[0]) + 1 if settled.size else None,
    )


def frost_hours(run: TransientRun, node: int = 0, *, water_from: float = 0.0) -> int:
    """Hours in which a watched node is below freezing and holds at least some water.

    Parameters
    ----------
    node : int
        One of ``run.watched``; 0 is the outer face.
    water_from : float
        Water content from which frost is counted. [kg/m³]
    """
    t, phi = seen_at(run, node)
    layer = int(run.grid.layer[min(node, len(run.grid.layer) - 1)])
    return int(np.count_nonzero((t < FREEZES) & (run.grid.materials[layer].water(phi) >= water_from)))


def freezing_turns(run: TransientRun, node: int = 0) -> int:
    """How often a watched node goes from above to below freezing."""
    t, _ = seen_at(run, node)
    return int(np.count_nonzero((t[1:] < FREEZES) & (t[:-1] >= FREEZES)))


def seen_at(run: TransientRun, node: int) -> tuple[Values, Values]:
    """Temperature [°C] and relative humidity of a watched node, hour by hour."""
    if node not in run.watched:
        raise InputError("watched node", given=node, accepted=f"one of {list(run.watched)}")
    own = run.seen[:, run.watched.index(node)]
    return own[:, 0], own[:, 1]


def worst_in_layer(run: TransientRun, layer: int) -> Values:
    """Highest water content anywhere in a layer, per profile (wood: over 20 % by mass it decays). [kg/m³]"""
    low, high = run.grid.first[layer], run.grid.first[layer + 1]
    return np.asarray(look_up(run.grid.materials[layer].table, run.y[:, low : high + 1])[..., 0].max(axis=1))
