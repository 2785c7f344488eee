"""Mould growth index by the hour: the VTT model, 0 (none) to 6 (dense cover).

A. Hukka, H. Viitanen, Wood Science and Technology 33 (1999) 475-485, with the four sensitivity classes of
T. Ojanen et al., ASHRAE Buildings XI (2010). All constants from memory: none of the papers was at hand.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import exp
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from innerleaf.errors import InputError

Values = NDArray[np.float64]

FOUND_BY_MICROSCOPE: Final = 1.0
SEEN_BY_EYE: Final = 3.0
WARMEST: Final = 50.0  # °C; beyond, as at or below 0 °C, nothing grows


@dataclass(frozen=True, slots=True, kw_only=True)
class Sensitivity:
    """How readily mould grows on a kind of surface."""

    name: str
    below_one: float  # growth rate over that of pine sapwood, up to index 1
    from_one: float  # likewise beyond
    most: tuple[float, float, float]  # A, B, C of the index that a humidity can bring at most
    humidity: float  # least that lets it grow above 20 °C [%]
    planed: float  # W of the growth formula
    decline: float  # how quickly it goes back when dry, over that of pine


VERY_SENSITIVE: Final = Sensitivity(
    name="very sensitive: untreated wood, wallpaper paste",
    below_one=1.0,
    from_one=2.0,
    most=(1.0, 7.0, 2.0),
    humidity=80.0,
    planed=0.0,
    decline=1.0,
)
SENSITIVE: Final = Sensitivity(
    name="sensitive: planed wood, paper-faced boards",
    below_one=0.578,
    from_one=0.386,
    most=(0.3, 6.0, 1.0),
    humidity=80.0,
    planed=1.0,
    decline=0.5,
)
MEDIUM: Final = Sensitivity(
    name="medium resistant: plaster, mineral wool, masonry",
    below_one=0.072,
    from_one=0.097,
    most=(0.0, 5.0, 1.5),
    humidity=85.0,
    planed=1.0,
    decline=0.25,
)
RESISTANT: Final = Sensitivity(
    name="resistant: glass, metal, boards with biocide",
    below_one=0.033,
    from_one=0.014,
    most=(0.0, 3.0, 1.0),
    humidity=85.0,
    planed=1.0,
    decline=0.1,
)
CLASSES: Final = (VERY_SENSITIVE, SENSITIVE, MEDIUM, RESISTANT)


def critical_humidity(temperature: ArrayLike, kind: Sensitivity) -> Values:
    """Relative humidity above which mould grows. [%]

    >>> critical_humidity([5.0, 20.0, 25.0], SENSITIVE).round(1).tolist()
    [88.0, 80.0, 80.0]
    """
    t = np.asarray(temperature, float)
    cubic = -0.00267 * t**3 + 0.160 * t**2 - 3.13 * t + 100.0
    return np.asarray(np.where(t > 20, kind.humidity, np.maximum(np.minimum(cubic, 100.0), kind.humidity)))


def mould_index(temperature: ArrayLike, humidity: ArrayLike, kind: Sensitivity, start: float = 0.0) -> Values:
    """Mould index through the hours.

    Parameters
    ----------
    temperature, humidity : array_like, shape (hours, …)
        At the surface, hour by hour. [°C], [0 to 1]
    kind : Sensitivity
        Of the surface; one of `CLASSES`.
    start : float
        Index at the start, 0 to 6.

    Returns
    -------
    ndarray, shape (hours, …)
        Index at the end of each hour: below 1 nothing is found, from 1 a microscope finds it, from 3 it
        is seen.

    Raises
    ------
    InputError
        Shapes differ, a humidity is no number from 0 up, the start is not 0 to 6.

    Notes
    -----
    Growth a day: k₁k₂/(7 exp(-0.68 ln θ - 13.9 ln φ + 0.14 W + 66.02)), φ in %,
    k₂ = 1 - exp(2.3 (M - M_max)), M_max = A + B x - C x², x = (φ_crit - φ)/(φ_crit - 100).
    Dry or cold: -0.00133 an hour in the first six hours, nothing up to a day, then -0.000667 an hour,
    times the decline of the class.
    """
    t, phi = np.asarray(temperature, float), 100 * np.asarray(humidity, float)
    if t.shape != phi.shape or t.ndim == 0:
        raise InputError(
            "hours of temperature and humidity", given=(t.shape, phi.shape), accepted="equal shapes"
        )
    if not (np.all(np.isfinite(t)) and np.all(phi >= 0) and np.all(np.isfinite(phi))):
        raise InputError(
            "temperature and humidity", given="a value that is none", accepted="numbers, 0 or more"
        )
    if not 0 <= start <= 6:
        raise InputError("mould index at the start", given=start, accepted="0 to 6")
    phi = np.minimum(phi, 100.0)
    critical = critical_humidity(t, kind)
    grows = (phi > critical) & (t > 0) & (t < WARMEST)
    share = np.where(grows, (phi - critical) / np.maximum(100.0 - critical, 1e-9), 0.0)
    most = kind.most[0] + kind.most[1] * share - kind.most[2] * share**2
    rate = np.where(
        grows,
        1
        / (
            7
            * 24
            * np.exp(
                -0.68 * np.log(np.where(grows, t, 1.0))
                - 13.9 * np.log(np.where(grows, phi, 80.0))
                + 0.14 * kind.planed
                + 66.02
            )
        ),
        0.0,
    )
    index = np.empty((len(t), t[0].size))
    columns = (part.reshape(len(t), -1).T for part in (grows, rate, most))
    for place, (growing, per_hour, highest) in enumerate(zip(*columns, strict=True)):
        index[:, place] = _grow(growing.tolist(), per_hour.tolist(), highest.tolist(), kind, start)
    return index.reshape(t.shape)


def _grow(
    grows: list[bool], rate: list[float], most: list[float], kind: Sensitivity, start: float
) -> list[float]:
    """The index of one place: each hour needs the one before, so plain numbers are quicker than arrays."""
    index, now, dry = [], start, 0
    for growing, per_hour, highest in zip(grows, rate, most, strict=True):
        if growing:
            dry = 0
            slower = kind.below_one if now < 1 else kind.from_one
            now += per_hour * slower * max(1 - exp(min(2.3 * (now - highest), 1.0)), 0.0)
        else:
            dry += 1
            back = 0.00133 if dry <= 6 else 0.0 if dry <= 24 else 0.000667
            now = max(now - back * kind.decline, 0.0)
        index.append(now)
    return index
