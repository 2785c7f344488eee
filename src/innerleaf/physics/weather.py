"""A year of hourly weather: what it holds, and an estimate of it from monthly means.

Weather files are read in `weather_epw.py`; what a wall face gets of it is worked out in
`weather_face.py`. Hour 0 ends at one o'clock on 1 January, local standard time.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from innerleaf.errors import InputError
from innerleaf.physics.moist_air import saturation_pressure
from innerleaf.physics.monthly import DAYS, monthly_values

Values = NDArray[np.float64]

HOURS: Final = 8760
SOLAR_CONSTANT: Final = 1367.0  # W/m², from memory (Duffie and Beckman)
HIGHEST_HUMIDITY: Final = 0.99  # of synthetic hours
# The following shape the synthetic year: common practice, no source.
DAY_SWING: Final = 3.0  # half the swing of temperature over a day [K]
DAY_TO_DAY: Final = 2.5  # standard deviation of daily means about the season [K]
PERSISTENCE: Final = 0.75  # correlation from one day to the next
WET_HOUR: Final = 0.8  # mean rain of a wet hour [mm]
SPELL: Final = 4  # hours of a spell of rain
WIND_SPREAD: Final = 60.0  # standard deviation of the direction [degrees]


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Weather:
    """A year of hours. Directions from north, clockwise; ``None`` where the source says nothing."""

    place: str
    latitude: float  # degrees, north positive
    longitude: float  # degrees, east positive
    zone: float  # hours ahead of UTC
    temperature: Values  # [°C]
    humidity: Values  # 0 to 1
    wind: Values | None  # [m/s]
    wind_from: Values | None  # [degrees]
    sun_direct: Values | None  # at right angles to the beam [W/m²]
    sun_diffuse: Values | None  # horizontal [W/m²]
    sky: Values | None  # long-wave from the sky, horizontal [W/m²]
    rain: Values | None  # on level ground [mm in the hour]
    estimate: bool  # made from means, not measured or typical hours
    source: str


def month_of_hour() -> NDArray[np.int64]:
    """Month, 0 to 11, of each of the 8,760 hours."""
    return np.repeat(np.arange(12), np.asarray(DAYS) * 24)


def monthly_means(hours: ArrayLike) -> Values:
    """Means of the twelve months of 8,760 hourly values."""
    month = month_of_hour()
    return np.asarray(np.bincount(month, np.asarray(hours, float)) / np.bincount(month))


def smooth_year(means: ArrayLike) -> Values:
    """Hours that run smoothly through the year and have the monthly means asked for.

    Straight lines between values in the middle of each month, chosen so that the means come out.

    >>> means = [1, 2, 5, 9, 14, 17, 19, 18, 14, 9, 4, 1]
    >>> [round(float(mean), 6) for mean in monthly_means(smooth_year(means))[:3]]
    [1.0, 2.0, 5.0]
    """
    ends = np.cumsum(np.asarray(DAYS) * 24)
    middles = ends - np.asarray(DAYS) * 12
    hour = np.arange(HOURS) + 0.5
    at = np.concatenate([[middles[-1] - HOURS], middles, [middles[0] + HOURS]])
    shapes = np.stack(
        [np.interp(hour, at, np.concatenate([[row[-1]], row, [row[0]]])) for row in np.eye(12)], axis=1
    )
    matrix = np.stack([monthly_means(shape) for shape in shapes.T], axis=1)
    return np.asarray(shapes @ np.linalg.solve(matrix, monthly_values("monthly means", means)))


def weather_from_means(
    *,
    place: str,
    latitude: float,
    longitude: float = 0.0,
    zone: float | None = None,
    temperature: ArrayLike,
    vapour_pressure: ArrayLike,
    seed: int,
    sun: ArrayLike | None = None,
    rain: ArrayLike | None = None,
    wind: ArrayLike | None = None,
    wind_from: float = 240.0,
    source: str,
) -> Weather:
    """An estimate of hourly weather from monthly means.

    Parameters
    ----------
    temperature, vapour_pressure : array_like, 12 values
        Monthly means, January first. [°C], [Pa]
    seed : int
        The same seed gives the same year.
    sun : array_like, 12 values, optional
        Mean global irradiance on level ground, night included. [W/m²]
    rain : array_like, 12 values, optional
        Sums. [mm]
    wind : array_like, 12 values, optional
        Mean speed. [m/s]
    wind_from : float
        Prevailing direction. [degrees from north]

    Returns
    -------
    Weather
        With ``estimate`` set. Monthly means of temperature and wind and sums of rain come out
        exactly, those of vapour pressure and sun within 1 %.

    Raises
    ------
    InputError
        A month is missing, or a value no climate has.

    Notes
    -----
    Temperature: a smooth season, a daily sine (coldest at 5, warmest at 17 o'clock), and departures of daily
    means that fade by a quarter each day. Vapour pressure follows the daily mean temperature at constant
    relative humidity. Sun: a clear-sky shape, each day with its own clearness; direct and diffuse by the
    correlation of Erbs et al., 1982 (from memory). Rain: spells of four hours, hourly amounts exponential, at
    any time of day. Wind at random about its prevailing direction. No long-wave radiation, no extremes,
    no bond between rain and wind: for a wall that driving rain decides take measured hours.
    """
    _between("latitude", latitude, -90, 90, "degrees")
    _between("longitude", longitude, -180, 180, "degrees")
    t_mean = _months("temperature", temperature, -60, 60, "°C")
    p_mean = _months("vapour pressure", vapour_pressure, 1, 10_000, "Pa")
    too_wet = p_mean > saturation_pressure(t_mean)
    if np.any(too_wet):
        k = int(np.argmax(too_wet))
        raise InputError(
            "vapour pressure",
            given=float(p_mean[k]),
            accepted=f"at most saturation, {saturation_pressure(t_mean)[k]:.0f} Pa at {t_mean[k]:g} °C",
        )
    rng = np.random.default_rng(seed)
    hour = np.arange(HOURS) % 24 + 0.5
    season = smooth_year(t_mean)
    days = _exactly(np.repeat(_red_noise(rng), 24), np.zeros(12))
    t_day = season + DAY_TO_DAY * days
    t = _exactly(t_day - DAY_SWING * np.cos(2 * np.pi * (hour - 5) / 24), t_mean)
    at_most = HIGHEST_HUMIDITY * saturation_pressure(t)
    follows = saturation_pressure(t_day) * smooth_year(p_mean / saturation_pressure(t_mean))
    p = follows
    factor = np.ones(12)
    for _ in range(20):
        p = np.minimum(follows * factor[month_of_hour()], at_most)
        factor *= p_mean / monthly_means(p)
    direct, diffuse = (None, None) if sun is None else _sun(rng, latitude, longitude, zone, sun)
    return Weather(
        place=place,
        latitude=latitude,
        longitude=longitude,
        zone=_zone(zone, longitude),
        temperature=t,
        humidity=p / saturation_pressure(t),
        wind=None if wind is None else _wind(rng, wind),
        wind_from=None if wind is None else (wind_from + WIND_SPREAD * rng.standard_normal(HOURS)) % 360,
        sun_direct=direct,
        sun_diffuse=diffuse,
        sky=None,
        rain=None if rain is None else _rain(rng, rain),
        estimate=True,
        source=f"estimate from monthly means: {source}",
    )


def sun_place(latitude: float, longitude: float, zone: float) -> tuple[Values, Values, Values]:
    """Sine of the sun's height, its bearing from north [rad], irradiance above the air [W/m²].

    For the middle of each hour. Declination by Cooper, equation of time by Spencer, both as in Duffie and
    Beckman, Solar engineering of thermal processes (from memory); good to about half a degree.
    """
    day = np.arange(HOURS) // 24 + 1
    clock = np.arange(HOURS) % 24 + 0.5
    angle = 2 * np.pi * (day - 1) / 365
    minutes = 229.2 * (
        0.000075
        + 0.001868 * np.cos(angle)
        - 0.032077 * np.sin(angle)
        - 0.014615 * np.cos(2 * angle)
        - 0.04089 * np.sin(2 * angle)
    )
    solar = clock + minutes / 60 + longitude / 15 - zone
    turn = np.pi / 12 * (solar - 12)
    tilt = np.radians(23.45) * np.sin(2 * np.pi * (284 + day) / 365)
    north = np.radians(latitude)
    height = np.sin(north) * np.sin(tilt) + np.cos(north) * np.cos(tilt) * np.cos(turn)
    east = -np.cos(tilt) * np.sin(turn)
    ahead = np.sin(tilt) * np.cos(north) - np.cos(tilt) * np.sin(north) * np.cos(turn)
    outside = SOLAR_CONSTANT * (1 + 0.033 * np.cos(2 * np.pi * day / 365))
    return height, np.arctan2(east, ahead), outside


def _exactly(hours: Values, means: ArrayLike) -> Values:
    """The hours, shifted smoothly so that their monthly means are those asked for."""
    return np.asarray(hours + smooth_year(np.asarray(means, float) - monthly_means(hours)))


def _red_noise(rng: np.random.Generator) -> Values:
    noise = rng.standard_normal(HOURS // 24)
    noise[1:] *= np.sqrt(1 - PERSISTENCE**2)
    for day in range(1, len(noise)):
        noise[day] += PERSISTENCE * noise[day - 1]
    return noise


def _sun(
    rng: np.random.Generator, latitude: float, longitude: float, zone: float | None, means: ArrayLike
) -> tuple[Values, Values]:
    asked = _months("sun", means, 0, 500, "W/m²")
    height, _, outside = sun_place(latitude, longitude, _zone(zone, longitude))
    up = np.maximum(height, 0.0)
    level = outside * up
    clear = level * np.repeat(rng.uniform(0.15, 0.75, HOURS // 24), 24)
    could, have = monthly_means(level), monthly_means(clear)
    if np.any(asked > 0.8 * could):
        k = int(np.argmax(asked - 0.8 * could))
        raise InputError(
            "sun", given=float(asked[k]), accepted=f"at most {0.8 * could[k]:.0f} W/m² in month {k + 1}"
        )
    total = clear
    for _ in range(30):  # no hour above four fifths of what reaches the air
        total = np.minimum(total * (asked / np.maximum(have, 1e-9))[month_of_hour()], 0.8 * level)
        have = monthly_means(total)
    kt = total / np.maximum(level, 1.0)
    middle = 0.9511 - 0.1604 * kt + 4.388 * kt**2 - 16.638 * kt**3 + 12.336 * kt**4
    share = np.where(kt <= 0.22, 1 - 0.09 * kt, np.where(kt <= 0.8, middle, 0.165))
    diffuse = np.where(up < 0.03, total, total * share)
    return np.asarray((total - diffuse) / np.maximum(up, 0.03)), np.asarray(diffuse)


def _rain(rng: np.random.Generator, sums: ArrayLike) -> Values:
    asked = _months("rain", sums, 0, 2000, "mm")
    rain = np.zeros(HOURS)
    month = month_of_hour()
    for k, amount in enumerate(asked):
        own = np.flatnonzero(month == k)
        spells = max(1, round(amount / (WET_HOUR * SPELL)))
        begins = rng.choice(len(own) // SPELL, size=min(spells, len(own) // SPELL), replace=False) * SPELL
        wet = own[(begins[:, None] + np.arange(SPELL)).ravel()]
        rain[wet] = rng.exponential(1.0, len(wet))
        rain[own] *= amount / rain[own].sum()
    return rain


def _wind(rng: np.random.Generator, means: ArrayLike) -> Values:
    asked = _months("wind", means, 0, 40, "m/s")
    daily = np.repeat(rng.weibull(2.0, HOURS // 24), 24) * rng.uniform(0.7, 1.3, HOURS)
    return np.asarray(daily * (asked / monthly_means(daily))[month_of_hour()])


def _zone(zone: float | None, longitude: float) -> float:
    return round(longitude / 15) if zone is None else zone


def _between(name: str, value: float, low: float, high: float, unit: str) -> None:
    if not low <= value <= high:
        raise InputError(name, given=value, accepted=f"{low:g} to {high:g} {unit}")


def _months(name: str, values: ArrayLike, low: float, high: float, unit: str) -> Values:
    months = monthly_values(name, values)
    for value in months:
        _between(name, float(value), low, high, unit)
    return months
