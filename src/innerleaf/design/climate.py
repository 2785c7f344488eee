"""The climate of a site as verdicts need it: by the month, and by the hour."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

from innerleaf.errors import FileFaults, about
from innerleaf.job.model import Job
from innerleaf.job.schema_site import Climate
from innerleaf.physics.moist_air import saturation_pressure, vapour_pressure
from innerleaf.physics.monthly import room_by_outside, vapour_excess
from innerleaf.physics.weather import Weather, monthly_means, weather_from_means
from innerleaf.physics.weather_face import driving_rain
from innerleaf.weather_file import read_epw

Values = NDArray[np.float64]

BUCKET: Final = 15  # degrees: walls that face the same within half of it share a calculation
_DAMPEST: Final = 0.95  # of the room's air
_SEED: Final = 15_026  # of hours made from months: the same job gives the same hours


@dataclass(frozen=True, slots=True)
class SiteClimate:
    """Monthly means outside, January first: temperature [degC], relative humidity [0 to 1], their source."""

    temperature: tuple[float, ...]
    humidity: tuple[float, ...]
    source: str = ""


def weather_of(job: Job) -> Weather | None:
    """A year of hours at the site: those of its weather file, else an estimate from its months, else none.

    Raises
    ------
    FileFaults
        The weather file cannot be used: every fault with its line.
    InputError
        The months ask for more sun than there is.
    """
    if job.weather is not None:
        try:
            return read_epw(job.weather)
        except FileFaults as error:
            at = f"{job.file}:{job.line(('site', 'weather'))}: site, field weather"
            raise FileFaults([f"{at}: {fault}" for fault in error.faults]) from error
    if job.climate is None:
        return None
    with about(f"{job.file}:{job.line(('site', 'climate'))}: site, field climate"):
        return hours_by_months(job.climate, job.site_place, job.latitude)


def climate_of_site(job: Job, weather: Weather | None) -> SiteClimate | None:
    """The months of the site: the job's own, else those of its weather."""
    said = climate_by_months(job.climate) if job.climate else None
    return said or (climate_of(weather) if weather else None)


def climate_of(weather: Weather) -> SiteClimate:
    """The months of a year of hours. Humidity is that of the mean vapour pressure, as ISO 13788 wants it."""
    temperature = monthly_means(weather.temperature)
    pressure = monthly_means(weather.humidity * saturation_pressure(weather.temperature))
    return SiteClimate(
        tuple(map(float, temperature)),
        tuple(map(float, np.minimum(pressure / saturation_pressure(temperature), 1.0))),
        weather.source,
    )


def climate_by_months(said: Climate) -> SiteClimate | None:
    """The months of a job, where it gives both temperature and humidity."""
    if said.humidity is None:
        return None
    return SiteClimate(said.temperature, tuple(part / 100 for part in said.humidity), "the job")


def hours_by_months(said: Climate, place: str, latitude: float | None) -> Weather | None:
    """An estimate of the hours from the months of a job, where it gives temperature and humidity.

    Raises
    ------
    InputError
        More sun than reaches the place.
    """
    if said.humidity is None:
        return None
    return weather_from_means(
        place=place,
        latitude=latitude or 0.0,  # tells where the sun stands: the job gives it where it gives sun
        temperature=said.temperature,
        vapour_pressure=vapour_pressure(said.temperature, np.asarray(said.humidity) / 100),
        seed=_SEED,
        sun=said.sun,
        rain=said.rain,
        wind=said.wind,
        wind_from=said.wind_from,
        source="the job",
    )


def has_rain(weather: Weather) -> bool:
    """Whether there is any rain, with the wind that drives it."""
    if weather.rain is None or weather.wind is None or weather.wind_from is None:
        return False
    return bool(weather.rain.sum() > 0)


@lru_cache(maxsize=1)
def wettest_direction(weather: Weather) -> int:
    """The direction that meets most driving rain; north, which the sun dries least, where there is none."""
    if not has_rain(weather):
        return 0
    return max(range(0, 360, BUCKET), key=lambda facing: float(driving_rain(weather, facing, 1.0).sum()))


def room_hours(weather: Weather, humidity_class: int) -> tuple[Values, Values]:
    """Temperature [degC] and relative humidity [0 to 1] of a room, hour by hour.

    Temperature by the daily mean outside (EN 15026 Annex C); vapour pressure that of the outside air, as its
    daily mean, and the upper limit of the humidity class (ISO 13788), as in the monthly method,
    whose room has 20 °C all the year.
    """
    outside = _daily(weather.temperature)
    room, _ = room_by_outside(outside)
    pressure = _daily(weather.humidity * saturation_pressure(weather.temperature))
    excess = vapour_excess(humidity_class, outside)
    return room, np.minimum((pressure + excess) / saturation_pressure(room), _DAMPEST)


def _daily(hours: Values) -> Values:
    """Each hour with the mean of its day."""
    return np.repeat(hours.reshape(-1, 24).mean(axis=1), 24)
