"""What a wall face gets of the weather: sun, sky and driving rain, hour by hour."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from innerleaf.errors import InputError
from innerleaf.physics.transient import Exposure, exposure
from innerleaf.physics.weather import Weather, sun_place

Values = NDArray[np.float64]

STEFAN_BOLTZMANN: Final = 5.670e-8  # W/(m²·K⁴)
GROUND: Final = 0.2  # share of light that the ground throws back; common practice, no source
ADHERES: Final = 0.7  # share of driving rain that stays on the face; from memory (Künzel 1995)
LOW_SUN: Final = 0.03  # sine of the height below which the beam is not counted


def face_sun(weather: Weather, facing: float) -> Values:
    """Irradiance on a vertical face. [W/m²]

    Beam, half of an evenly bright sky, half of what the ground throws back (from memory: Liu and Jordan's
    isotropic sky). ``facing`` is the bearing of the outward normal, degrees from north. Raises `InputError`
    where the weather has no sun.
    """
    if weather.sun_direct is None or weather.sun_diffuse is None:
        raise InputError(
            "weather", given="no solar radiation", accepted="weather with direct and diffuse sun"
        )
    height, bearing, _ = sun_place(weather.latitude, weather.longitude, weather.zone)
    towards = np.sqrt(np.clip(1 - height**2, 0, 1)) * np.cos(bearing - np.radians(facing))
    beam = np.where(height > LOW_SUN, weather.sun_direct * np.maximum(towards, 0.0), 0.0)
    level = weather.sun_direct * np.maximum(height, 0.0) + weather.sun_diffuse
    return np.asarray(beam + 0.5 * weather.sun_diffuse + 0.5 * GROUND * level)


def face_sky(weather: Weather, emissivity: float = 0.9) -> Values:
    """Long-wave radiation gained less that lost at air temperature, vertical face. [W/m²]

    Half the view is sky, half is ground at air temperature. Mostly negative. Raises `InputError` where
    the weather has none.
    """
    if weather.sky is None:
        raise InputError("weather", given="no long-wave radiation", accepted="weather that has it")
    own = STEFAN_BOLTZMANN * (weather.temperature + 273.15) ** 4
    return np.asarray(0.5 * emissivity * (weather.sky - own))


def driving_rain(weather: Weather, facing: float, factor: float) -> Values:
    """Rain that a vertical face meets. [kg/(m²·s)]

    Parameters
    ----------
    facing : float
        Bearing of the outward normal. [degrees from north]
    factor : float
        Product of roughness, topography, obstruction and wall factors of ISO 15927-3, 0 to 2.

    Notes
    -----
    ISO 15927-3: 2/9 · v · r^(8/9) · cos(D - θ) millimetres an hour (from memory).
    """
    if weather.rain is None or weather.wind is None or weather.wind_from is None:
        raise InputError(
            "weather", given="no rain or no wind", accepted="weather with rain, wind and its direction"
        )
    if not 0 <= factor <= 2:
        raise InputError("driving rain factor", given=factor, accepted="0 to 2")
    against = np.maximum(np.cos(np.radians(weather.wind_from - facing)), 0.0)
    return np.asarray(factor * 2 / 9 * weather.wind * weather.rain ** (8 / 9) * against / 3600)


def wall_exposure(
    weather: Weather,
    *,
    facing: float,
    room: float | Values,
    room_humidity: float | Values,
    absorptance: float = 0.6,
    emissivity: float = 0.9,
    rain_factor: float = 0.5,
    outside_heat: float = 25.0,
    inside_heat: float = 1 / 0.13,
) -> Exposure:
    """Climate at both faces of a wall from a year of weather; parts the weather lacks are left out.

    Parameters
    ----------
    facing : float
        Bearing of the outward normal. [degrees from north]
    room, room_humidity : float or 8,760 values
        [°C], [0 to 1]
    absorptance, emissivity : float
        Of the outer face: sun, long-wave.
    rain_factor : float
        As in `driving_rain`; 0 for a sheltered wall. Seven tenths of it adheres.
    outside_heat, inside_heat : float
        Surface heat transfer. [W/(m²·K)]
    """
    for name, value in (("absorptance", absorptance), ("emissivity", emissivity)):
        if not 0 <= value <= 1:
            raise InputError(name, given=value, accepted="0 to 1")
    radiation = np.zeros(len(weather.temperature))
    if weather.sun_direct is not None:
        radiation = radiation + absorptance * face_sun(weather, facing)
    if weather.sky is not None:
        radiation = radiation + face_sky(weather, emissivity)
    wet = weather.rain is not None and weather.wind is not None and rain_factor > 0
    return exposure(
        outside=weather.temperature,
        outside_humidity=weather.humidity,
        inside=room,
        inside_humidity=room_humidity,
        radiation=radiation,
        rain=ADHERES * driving_rain(weather, facing, rain_factor) if wet else 0.0,
        outside_heat=outside_heat,
        inside_heat=inside_heat,
    )
