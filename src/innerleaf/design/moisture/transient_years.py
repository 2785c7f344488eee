"""What the years tell of a wall: water by layer, mould, wooden ends, frost, and how they came about."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import hypot
from typing import Final

from innerleaf.design.moisture.transient_case import Case

MOULD_YEARS: Final = 10  # for which the mould index is followed, the last year over and over
WEEKS: Final = 52


@dataclass(frozen=True, slots=True)
class LayerYears:
    """Water of a layer in kg/m², year by year."""

    name: str
    thickness: float  # m
    at_end: tuple[float, ...]
    mean: tuple[float, ...]
    most: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Frost:
    """The outer face in a year: hours below freezing, how many of them wet, and turns to freezing."""

    hours: int
    wet_hours: int
    turns: int


@dataclass(frozen=True, slots=True)
class Variant:
    """The same wall from where it has settled, with one thing as bad as it may be (the first: with none)."""

    what: str
    gain_percent: float
    mould_index: float
    wood_percent: float


@dataclass(frozen=True, slots=True)
class Course:
    """Week by week from the first day of a year.

    Water by layer [kg/m²]; at the critical place humidity [0 to 1], temperature [°C] and mould index.
    """

    water: tuple[tuple[float, ...], ...]
    humidity: tuple[float, ...]
    temperature: tuple[float, ...]
    mould: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class ProfileDay:
    """Across the wall on one day of the last year.

    By layer, outside first: depth from the outer face [m], temperature [°C], humidity [0 to 1], water
    [kg/m³].
    """

    title: str
    day: int  # of the year as it is followed, 1 is its first
    depth: tuple[tuple[float, ...], ...]
    temperature: tuple[tuple[float, ...], ...]
    humidity: tuple[tuple[float, ...], ...]
    water: tuple[tuple[float, ...], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Settled:
    """What decides about a wall through the years, as in `MoistureYears`."""

    gain_percent: float
    mould_index: float
    wood_percent: float


@dataclass(frozen=True, slots=True)
class MoistureYears:
    """What the years tell of one case; the old wall alone beside it (``_before``)."""

    case: Case
    source: str  # of the weather
    estimate: bool  # weather made from monthly means
    begins: int  # month (1 is January) on whose first day each year begins
    years: int
    settled: bool
    layers: tuple[LayerYears, ...]
    gain_percent: float  # of all water, through the last year
    mould_index: float  # greatest in ten years
    mould_place: str
    humidity_most: float  # behind the insulation, mean of 30 days in the last year [0 to 1]
    wood_percent: float  # of wooden ends, if there are any, mean of 30 days in the last year [% of dry mass]
    wood_before: float
    frost: Frost
    frost_before: Frost
    old_water: float  # mean in the old wall, last year [kg/m²]
    old_water_before: float
    rain: float  # taken in through the last year [kg/m²]
    water_error: float  # not accounted for, of all that passed
    heat_error: float
    variants: tuple[Variant, ...]
    course: Course
    profiles: tuple[ProfileDay, ...]

    def spread(self, outcome: Callable[[Variant], float]) -> float:
        """Standard uncertainty of an outcome: the root of the squares of what each variant shifts it by.

        Shifts count from the wall unchanged, which has gone on likewise.
        """
        unchanged, *others = self.variants
        return hypot(*(outcome(variant) - outcome(unchanged) for variant in others))
