"""Surface humidity by the month, ISO 13788: how warm the inner surface must be, and in which month.

Interstitial condensation lies in `monthly_condensate.py`. Temperatures in °C, pressures in Pa.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from innerleaf.errors import InputError
from innerleaf.physics.moist_air import dew_point, relative_humidity, saturation_pressure

Values = NDArray[np.float64]

MONTHS: Final = (
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
)
DAYS: Final = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)
# Upper limit of each class at 0 °C outside and below, falling to nothing at 20 °C; ISO 13788:2012
# Annex A, from memory. Class 5 has no upper limit in the standard: give its excess as measured.
CLASS_EXCESS: Final[dict[int, float]] = {1: 270.0, 2: 540.0, 3: 810.0, 4: 1080.0}
MOULD_LIMIT: Final = 0.8  # relative humidity at the surface, monthly mean; ISO 13788
SURFACE_RESISTANCE: Final = 0.25  # m²·K/W at the room side, behind furniture; ISO 13788
SMALLEST_SPAN: Final = 0.1  # K between inside and outside below which no factor is told


def vapour_excess(humidity_class: int, outside: ArrayLike) -> Values:
    """How much more vapour pressure a room has than the air outside.

    Parameters
    ----------
    humidity_class : int
        1 (stores) to 4 (sports halls, kitchens); dwellings 2 or 3.
    outside : array_like
        Monthly mean temperature. [°C]

    Returns
    -------
    ndarray
        Upper limit of the class. [Pa]

    Raises
    ------
    InputError
        The class is not 1 to 4.

    Examples
    --------
    >>> vapour_excess(3, [-5.0, 1.0, 25.0]).tolist()
    [810.0, 769.5, 0.0]
    """
    if humidity_class not in CLASS_EXCESS:
        raise InputError("humidity class", given=humidity_class, accepted="1, 2, 3 or 4")
    return np.asarray(CLASS_EXCESS[humidity_class] * np.clip(1 - np.asarray(outside, float) / 20, 0.0, 1.0))


def room_by_outside(outside: ArrayLike, *, high_load: bool = False) -> tuple[Values, Values]:
    """Room temperature [°C] and relative humidity [-] that go with a mean temperature outside.

    EN 15026 Annex C: 20 °C up to 10 °C outside, 25 °C from 20 °C; 30 % at -10 °C to 60 % at 20 °C, with
    high load 40 to 70 % (the high load from memory).

    >>> [round(float(value), 3) for value in room_by_outside(5.0)]
    [20.0, 0.45]
    """
    t = np.asarray(outside, float)
    low = 0.4 if high_load else 0.3
    return np.asarray(np.interp(t, [10.0, 20.0], [20.0, 25.0])), np.asarray(
        np.interp(t, [-10.0, 20.0], [low, low + 0.3])
    )


def monthly_values(name: str, values: ArrayLike) -> Values:
    """Twelve numbers, January first, along the last axis; `InputError` names a month that is missing."""
    v = np.asarray(values, float)
    if v.ndim == 0 or v.shape[-1] != len(MONTHS):
        given = f"{0 if v.ndim == 0 else v.shape[-1]} values"
        raise InputError(name, given=given, accepted="twelve monthly values, January first")
    missing = np.flatnonzero(~np.isfinite(v).reshape(-1, 12).all(axis=0))
    if missing.size:
        raise InputError(f"{name}, {MONTHS[missing[0]]}", given=None, accepted="a number for every month")
    return v


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class SurfaceYear:
    """The inner surface through the year; arrays over months, January first."""

    surface_least: Values  # least temperature for the humidity limit [°C]
    factor_least: Values  # fRsi that keeps it; NaN where the room is not warmer than outside
    critical: int  # month (0 is January) that asks most
    factor: float  # what it asks


def surface_year(
    outside: ArrayLike, room_pressure: ArrayLike, room: ArrayLike = 20.0, limit: float = MOULD_LIMIT
) -> SurfaceYear:
    """The temperature factor that keeps the inner surface below a relative humidity.

    Parameters
    ----------
    outside, room_pressure : array_like, 12 values
        Monthly means: temperature outside [°C], vapour pressure of the room [Pa].
    room : array_like
        Room temperature. [°C]
    limit : float
        Highest relative humidity at the surface: 0.8 against mould, 1 against condensation, 0.6 against
        corrosion.

    Raises
    ------
    InputError
        A month is missing, the limit is not above 0 and at most 1, or no month is colder than the room.

    Notes
    -----
    θ_si,min is where p_sat = p_i/limit; fRsi,min = (θ_si,min - θ_e)/(θ_i - θ_e).
    """
    t_e = monthly_values("outside temperature", outside)
    p_i = monthly_values("vapour pressure of the room", room_pressure)
    t_i = monthly_values("room temperature", np.broadcast_to(np.asarray(room, float), t_e.shape))
    if not 0 < limit <= 1:
        raise InputError("humidity limit at the surface", given=limit, accepted="above 0, at most 1 (100 %)")
    least = dew_point(p_i / limit)
    span = t_i - t_e
    if not np.any(span > SMALLEST_SPAN):
        raise InputError(
            "room temperature", given=t_i.tolist(), accepted="above that outside in at least one month"
        )
    factor = np.where(span > SMALLEST_SPAN, (least - t_e) / np.where(span > SMALLEST_SPAN, span, 1.0), np.nan)
    critical = int(np.nanargmax(factor))
    return SurfaceYear(
        surface_least=least, factor_least=factor, critical=critical, factor=float(factor[critical])
    )


def surface_humidity(
    factor: ArrayLike, outside: ArrayLike, room_pressure: ArrayLike, room: ArrayLike = 20.0
) -> Values:
    """Relative humidity at an inner surface of a temperature factor, month by month.

    Above 1 where the surface is wet. Shapes are broadcast; months along the last axis. [-]
    """
    t_e, t_i = np.asarray(outside, float), np.asarray(room, float)
    t_si = t_e + np.asarray(factor, float) * (t_i - t_e)
    return relative_humidity(t_si, room_pressure)


def room_pressure_of(room: ArrayLike, humidity: ArrayLike) -> Values:
    """Vapour pressure of a room kept at a humidity, at most saturated. [Pa]"""
    return np.asarray(np.minimum(np.asarray(humidity, float), 1.0) * saturation_pressure(room))
