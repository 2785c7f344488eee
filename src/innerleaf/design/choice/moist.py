"""Moisture of many options by the month: exact where nothing condenses, else with few cuts.

Where the straight line of vapour pressure stays below saturation at every face in every month, no water
gathers: that is exact and quick. The others go through the monthly method with no layer cut into more than
`_PARTS`; finalists are judged again in full.
"""

from __future__ import annotations

import numpy as np

from innerleaf.design.choice.criteria import Floats
from innerleaf.design.choice.cross import Cross
from innerleaf.design.choice.options import Options
from innerleaf.design.climate import SiteClimate
from innerleaf.design.moisture.months import AIR_SD, ROOM_TEMPERATURE, USUAL_CLASS
from innerleaf.physics.moist_air import saturation_pressure, vapour_pressure
from innerleaf.physics.monthly import vapour_excess
from innerleaf.physics.monthly_condensate import (
    INSIDE_RESISTANCE,
    OUTSIDE_RESISTANCE,
    SPLIT,
    VapourLayer,
    condensate_year,
)
from innerleaf.practice.model import Practice
from innerleaf.survey.wall import Wall

_PARTS = 2
_CHUNK = 1000  # walls at a time: their arrays stay in the cache
_NONE = 1e-6  # m, sd of a layer that is not there


def moisture_many(
    wall: Wall, options: Options, cross: Cross, practice: Practice, climate: SiteClimate
) -> tuple[Floats, Floats]:
    """Most water gathered in a winter, and left after a year, of every option. [kg/m²]"""
    resistances, sds = _layers(options, cross, practice)
    kinds, first, of = np.unique(
        np.round(np.concatenate([resistances, sds], axis=1), 7),
        axis=0,
        return_index=True,
        return_inverse=True,
    )
    r, sd = resistances[first], sds[first]
    outside = np.asarray(climate.temperature, float)
    pressure = vapour_pressure(outside, climate.humidity)
    room_pressure = pressure + vapour_excess(wall.humidity_class or USUAL_CLASS, outside)
    wet = np.flatnonzero(_condenses(r, sd, outside, pressure, room_pressure))
    peak, left = np.zeros(len(kinds)), np.zeros(len(kinds))
    cuts = np.minimum(np.ceil(r.max(axis=0) / SPLIT - 1e-9), _PARTS)
    template = [
        VapourLayer(name=str(k), resistance=float(max(0.0, cuts[k] * SPLIT - 1e-6)), sd=1.0)
        for k in range(r.shape[1])
    ]
    for start in range(0, len(wet), _CHUNK):
        some = wet[start : start + _CHUNK]
        year = condensate_year(
            template,
            outside=outside,
            outside_pressure=pressure,
            room=ROOM_TEMPERATURE,
            room_pressure=room_pressure,
            resistances=r[some],
            sds=sd[some],
        )
        peak[some], left[some] = year.peak, year.left
    back = of.reshape(-1)
    return peak[back], left[back]


def _layers(options: Options, cross: Cross, practice: Practice) -> tuple[Floats, Floats]:
    """Resistance [m²·K/W] and sd [m] of every layer, the old wall's first, (options, layers)."""
    count = len(options)
    r: list[Floats] = []
    sd: list[Floats] = []
    for layer in cross.old:
        r.append(np.full(count, layer.resistance))
        sd.append(np.full(count, practice.materials[layer.name].mu_dry * layer.thickness))
    wool, board = practice.materials["mineral-wool"].mu_dry, practice.materials["gypsum-board"].mu_dry
    for part, mu in (
        (cross.behind, wool),
        (cross.gap, 0.0),
        (cross.out, wool),
        (cross.air, 0.0),
        (cross.inside, wool),
    ):
        r.append(part.resistance)
        own = mu * part.thickness if mu else np.where(part.thickness > 0, AIR_SD, 0.0)
        sd.append(np.maximum(own, _NONE))
    film = np.array([practice.membranes[name].sd_m if name else _NONE for name in options.membranes])
    r.append(np.zeros(count))
    sd.append(film[options.membrane])
    r.append(cross.boards.resistance)
    sd.append(board * cross.boards.thickness)
    return np.stack(r, axis=1), np.stack(sd, axis=1)


def _condenses(r: Floats, sd: Floats, outside: Floats, pressure: Floats, room_pressure: Floats) -> np.ndarray:
    """Whether the straight line of vapour pressure reaches saturation somewhere in some month.

    Within a layer saturation lies below the straight line between its faces' values (it is convex in
    temperature), so layers are looked at in parts no more resistant than the method cuts.
    """
    found = np.zeros(len(r), bool)
    total_r = OUTSIDE_RESISTANCE + r.sum(axis=1) + INSIDE_RESISTANCE
    total_sd = sd.sum(axis=1)
    before_r, before_sd = np.cumsum(r, axis=1) - r, np.cumsum(sd, axis=1) - sd
    for layer in range(r.shape[1]):
        parts = max(1, int(np.ceil(r[:, layer].max() / SPLIT - 1e-9)))
        for part in range(1, parts + 1):
            share = part / parts
            through = (OUTSIDE_RESISTANCE + before_r[:, layer] + share * r[:, layer]) / total_r
            along = (before_sd[:, layer] + share * sd[:, layer]) / total_sd
            temperature = outside + through[:, None] * (ROOM_TEMPERATURE - outside)
            vapour = pressure + along[:, None] * (room_pressure - pressure)
            found |= (vapour >= saturation_pressure(temperature) * (1 - 1e-7)).any(axis=1)
    return found
