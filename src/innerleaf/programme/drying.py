"""How long a coat dries in the air there is, and what is to be said of that air.

    h = hours × psat(at_c) / psat(T) / (1 - RH) × thickness / at_mm

is what a coat takes in air of one temperature T and humidity RH. Where the air changes, shares add up: a coat
is dry when the sum of time / h over the periods is 1.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from innerleaf.errors import InputError
from innerleaf.practice.drying import Coat, Drying

_DAMPEST: Final = 99.0  # %: above it nothing dries in any time that can be planned


@dataclass(frozen=True, slots=True, kw_only=True)
class Air:
    """The air inside from a time on. [min from the first day of the programme; °C; %]"""

    since: int
    temperature: float
    humidity: float
    basis: str


def hours_to_dry(drying: Drying, coat: Coat, temperature: float, humidity: float) -> float:
    """How long a coat waits in air of one temperature and humidity. [h]

    Parameters
    ----------
    temperature : float
        -20 to 45. [°C]
    humidity : float
        Relative, 0 to 100; counted as 99 at most. [%]

    Raises
    ------
    InputError
        A value outside its range.

    References
    ----------
    ``practice/drying.yaml``, section ``law``.

    Examples
    --------
    >>> from innerleaf.practice.drying import load_drying
    >>> known = load_drying()
    >>> round(hours_to_dry(known, known.coats["tape"], 21.1, 50), 1)
    18.0
    """
    from innerleaf.physics.moist_air import saturation_pressure

    if not -20 <= temperature <= 45:
        raise InputError("temperature", given=temperature, accepted="-20 to 45 °C")
    if not 0 <= humidity <= 100:
        raise InputError("humidity", given=humidity, accepted="0 to 100 %")
    law = drying.compound
    ratio = float(saturation_pressure(law.at_c)) / float(saturation_pressure(temperature))
    dry = law.hours * ratio / (1 - min(humidity, _DAMPEST) / 100)
    return max(coat.least_h, dry * coat.thickness_mm / law.at_mm)


@dataclass(frozen=True, slots=True)
class Waiting:
    """Waits of one coat through the air of one place: periods in order, each with its hours."""

    since: tuple[int, ...]  # [min]
    hours: tuple[float, ...]

    def ready(self, done: int) -> int:
        """When a coat finished at a time is dry; both in minutes, rounded up."""
        at, left = float(done), 1.0
        ends = (*self.since[1:], None)
        for end, hours in zip(ends, self.hours, strict=True):
            if end is not None and end <= at:
                continue
            if hours == 0:
                return _up(at)
            needed = left * hours * 60
            if end is None or at + needed <= end:
                return _up(at + needed)
            left -= (end - at) / (hours * 60)
            at = float(end)
        raise AssertionError("the last period has no end")


def _up(minutes: float) -> int:
    whole = round(minutes, 6)
    return int(whole) if whole == int(whole) else int(whole) + 1


def waiting(drying: Drying, coat: str, airs: Sequence[Air]) -> Waiting:
    """The waits of a coat through periods of air, the first of which holds from the beginning."""
    kind = drying.coats[coat]
    hours = tuple(hours_to_dry(drying, kind, air.temperature, air.humidity) for air in airs)
    return Waiting(tuple(air.since for air in airs), hours)


def faults_of_air(drying: Drying, air: Air) -> tuple[str, ...]:
    """What is wrong with the air for work with compound, in words."""
    limits, found = drying.air, []
    if air.temperature < limits.least_c:
        found.append(f"{air.temperature:g} °C, at least {limits.least_c:g} °C is needed")
    if air.humidity > limits.most_rh:
        found.append(f"{air.humidity:g} % relative humidity, at most {limits.most_rh:g} % is good")
    return tuple(found)
