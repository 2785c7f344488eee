"""Moist air: saturation, dew point, humidity. Temperatures in °C, pressures in Pa."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from innerleaf.errors import InputError

Values = NDArray[np.float64]

SATURATION_AT_ZERO: Final = 610.5  # Pa
ABOVE_ZERO: Final = (17.269, 237.3)  # ISO 13788:2012, over water
BELOW_ZERO: Final = (21.875, 265.5)  # ISO 13788:2012, over ice
COLDEST: Final = -100.0  # °C; the formula's own pole lies at -265.5
HOTTEST: Final = 120.0
WATER_TO_AIR: Final = 0.621945  # ratio of molar masses, from memory (ASHRAE Handbook of Fundamentals)


def saturation_pressure(temperature: ArrayLike) -> Values:
    """Vapour pressure of saturated air.

    Parameters
    ----------
    temperature : array_like
        Between -100 and 120. [°C]

    Returns
    -------
    ndarray
        Over water from 0 °C on, over ice below. [Pa]

    Raises
    ------
    InputError
        A temperature outside that range, or not a number.

    Notes
    -----
    ISO 13788:2012: p = 610.5 exp(17.269 θ/(237.3+θ)), below zero 610.5 exp(21.875 θ/(265.5+θ)).
    Within 0.6 % of the ASHRAE table between -20 and 30 °C.

    Examples
    --------
    >>> saturation_pressure([20.0, -5.0]).round(1).tolist()
    [2337.0, 401.2]
    """
    t = _temperature(temperature)
    a = np.where(t >= 0, ABOVE_ZERO[0], BELOW_ZERO[0])
    b = np.where(t >= 0, ABOVE_ZERO[1], BELOW_ZERO[1])
    return np.asarray(SATURATION_AT_ZERO * np.exp(a * t / (b + t)))


def saturation_slope(temperature: ArrayLike) -> Values:
    """Slope of `saturation_pressure` with temperature; at 0 °C that of the upper branch. [Pa/K]

    >>> float(saturation_slope(20.0).round(2))
    144.66
    """
    t = _temperature(temperature)
    a = np.where(t >= 0, ABOVE_ZERO[0], BELOW_ZERO[0])
    b = np.where(t >= 0, ABOVE_ZERO[1], BELOW_ZERO[1])
    return np.asarray(saturation_pressure(t) * a * b / (b + t) ** 2)


def dew_point(vapour_pressure: ArrayLike) -> Values:
    """Temperature at which air of a vapour pressure is saturated: `saturation_pressure` turned round.

    Parameters
    ----------
    vapour_pressure : array_like
        Above 0. [Pa]

    Returns
    -------
    ndarray
        Below 0 °C the frost point. [°C]

    Raises
    ------
    InputError
        A pressure is not above 0.

    Examples
    --------
    20 °C and 50 %; and the surface temperature at which the same air stands at 80 % (DIN 4108-2 says 12.6):

    >>> p = 0.5 * saturation_pressure(20.0)
    >>> dew_point([p, p / 0.8]).round(2).tolist()
    [9.27, 12.62]
    """
    p = np.asarray(vapour_pressure, float)
    if not np.all(np.isfinite(p) & (p > 0)):
        raise InputError("vapour pressure", given=_worst(p, p > 0), accepted="above 0 Pa, finite")
    logarithm = np.log(p / SATURATION_AT_ZERO)
    a = np.where(logarithm >= 0, ABOVE_ZERO[0], BELOW_ZERO[0])
    b = np.where(logarithm >= 0, ABOVE_ZERO[1], BELOW_ZERO[1])
    return np.asarray(b * logarithm / (a - logarithm))


def vapour_pressure(temperature: ArrayLike, humidity: ArrayLike) -> Values:
    """Vapour pressure of air from its relative humidity (0 to 1). [Pa]

    Raises `InputError` if the humidity is outside 0 to 1.

    >>> float(vapour_pressure(20.0, 0.5).round(1))
    1168.5
    """
    phi = np.asarray(humidity, float)
    inside = np.isfinite(phi) & (phi >= 0) & (phi <= 1)
    if not np.all(inside):
        raise InputError("relative humidity", given=_worst(phi, inside), accepted="0 to 1 (1 is 100 %)")
    return np.asarray(phi * saturation_pressure(temperature))


def relative_humidity(temperature: ArrayLike, vapour_pressure: ArrayLike) -> Values:
    """Relative humidity of air from its vapour pressure; above 1 where it cannot hold that much. [-]

    >>> float(relative_humidity(12.6, 1168.5).round(2))
    0.8
    """
    return np.asarray(np.asarray(vapour_pressure, float) / saturation_pressure(temperature))


def mixing_ratio(vapour_pressure: ArrayLike, pressure: ArrayLike = 101_325.0) -> Values:
    """Mass of vapour in a kilogram of dry air. [kg/kg]

    >>> float(mixing_ratio(1169.4).round(6))
    0.007262
    """
    p_v, p = np.asarray(vapour_pressure, float), np.asarray(pressure, float)
    return np.asarray(WATER_TO_AIR * p_v / (p - p_v))


def _temperature(temperature: ArrayLike) -> Values:
    t = np.asarray(temperature, float)
    inside = (t >= COLDEST) & (t <= HOTTEST)
    if not np.all(inside):
        raise InputError(
            "temperature", given=_worst(t, inside), accepted=f"{COLDEST:.0f} to {HOTTEST:.0f} °C"
        )
    return t


def _worst(values: Values, good: NDArray[np.bool_]) -> float:
    """The first value that is not good."""
    return float(values[~(good & np.isfinite(values))].flat[0])
