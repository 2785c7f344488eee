"""The climate of a site as verdicts need it: by the month, and by the hour."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from innerleaf.physics.moist_air import saturation_pressure
from innerleaf.physics.monthly import room_by_outside, vapour_excess
from innerleaf.physics.weather import Weather, monthly_means
from innerleaf.physics.weather_face import driving_rain

Values = NDArray[np.float64]

BUCKET: Final = 15  # degrees: walls that face the same within half of it share a calculation
_DAMPEST: Final = 0.95  # of the room's air


@dataclass(frozen=True, slots=True)
class SiteClimate:
    """Monthly means outside, January first: temperature [degC], relative humidity [0 to 1]."""

    temperature: tuple[float, ...]
    humidity: tuple[float, ...]


def climate_of(weather: Weather) -> SiteClimate:
    """The months of a year of hours. Humidity is that of the mean vapour pressure, as ISO 13788 wants it."""
    temperature = monthly_means(weather.temperature)
    pressure = monthly_means(weather.humidity * saturation_pressure(weather.temperature))
    return SiteClimate(
        tuple(map(float, temperature)),
        tuple(map(float, np.minimum(pressure / saturation_pressure(temperature), 1.0))),
    )


def has_rain(weather: Weather) -> bool:
    """Whether there is any rain, with the wind that drives it."""
    if weather.rain is None or weather.wind is None or weather.wind_from is None:
        return False
    return bool(weather.rain.sum() > 0)


def wettest_direction(weather: Weather) -> int:
    """The direction that meets most driving rain; north, which the sun dries least, where there is none."""
    if not has_rain(weather):
        return 0
    return max(range(0, 360, BUCKET), key=lambda facing: float(driving_rain(weather, facing, 1.0).sum()))


def room_hours(weather: Weather, humidity_class: int) -> tuple[Values, Values]:
    """Temperature [degC] and relative humidity [0 to 1] of a room, hour by hour.

    Temperature by the daily mean outside (EN 15026 Annex C); vapour pressure that of the outside air, as its
    daily mean, and the upper limit of the humidity class (ISO 13788), so that both methods judge one room.
    """
    outside = _daily(weather.temperature)
    room, _ = room_by_outside(outside)
    pressure = _daily(weather.humidity * saturation_pressure(weather.temperature))
    excess = vapour_excess(humidity_class, outside)
    return room, np.minimum((pressure + excess) / saturation_pressure(room), _DAMPEST)


def _daily(hours: Values) -> Values:
    """Each hour with the mean of its day."""
    return np.repeat(hours.reshape(-1, 24).mean(axis=1), 24)
