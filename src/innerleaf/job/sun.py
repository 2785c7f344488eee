"""Whether months of sun are clearly possible: a quick look that loads no library of weight."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import accumulate
from math import acos, cos, pi, radians, sin, tan
from typing import Final

_DAYS: Final = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)
_SOLAR_CONSTANT: Final = 1367.0  # W/m², as in physics.weather
_SURE: Final = 0.75  # of the sun above the air; physics.weather refuses more than 0.8
_SLACK: Final = 1.0  # W/m²: hours, which that counts by, tell short winter days less exactly


def surely_possible(means: Sequence[float], latitude: float) -> bool:
    """Whether every month asks for clearly less sun than reaches the place.

    If not, `physics.weather` has to tell: it counts hour by hour.

    Parameters
    ----------
    means : sequence of 12 floats
        Mean irradiance on level ground, night included, January first. [W/m²]
    latitude : float
        North positive. [degrees]

    References
    ----------
    Daily sum above the air and declination by Cooper, both as in Duffie and Beckman, Solar engineering of
    thermal processes (from memory).

    >>> surely_possible([28, 52, 98, 155, 200, 215, 205, 175, 122, 72, 36, 22], 51)
    True
    >>> surely_possible([150] * 12, 51)
    False
    """
    ends = list(accumulate(_DAYS))
    for asked, end, days in zip(means, ends, _DAYS, strict=True):
        above = sum(_above_air(day, radians(latitude)) for day in range(end - days + 1, end + 1)) / days
        if asked + _SLACK > _SURE * above:
            return False
    return True


def _above_air(day: int, north: float) -> float:
    """Mean irradiance of a day on a level plane above the air. [W/m²]"""
    tilt = radians(23.45) * sin(2 * pi * (284 + day) / 365)
    half_day = acos(min(max(-tan(north) * tan(tilt), -1.0), 1.0))
    distance = 1 + 0.033 * cos(2 * pi * day / 365)
    risen = half_day * sin(north) * sin(tilt) + cos(north) * cos(tilt) * sin(half_day)
    return _SOLAR_CONSTANT * distance / pi * risen
