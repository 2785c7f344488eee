"""Materials, a wall and an invented climate that the transient tests share."""

from __future__ import annotations

from dataclasses import asdict

import numpy as np

from innerleaf.physics.hygro import Hygro, porous, sheet
from innerleaf.physics.hygro_grid import WetLayer
from innerleaf.physics.transient import Exposure, exposure
from innerleaf.practice.moisture import load_moisture

OPENS_WHEN_DAMP = ((0.25, 5.0), (0.5, 4.0), (0.7, 1.0), (0.9, 0.25))


def material(name: str) -> Hygro:
    """A material of the package, its units dropped from the field names."""
    said = asdict(load_moisture()[name])
    return porous(
        name,
        density=said["density_kg_m3"],
        heat=said["heat_j_kgk"],
        conductivity=said["conductivity_w_mk"],
        conductivity_rise=said["conductivity_rise_w_mk_per_kg_m3"],
        mu_dry=said["mu_dry"],
        mu_wet=said["mu_wet"],
        water_80=said["water_80_kg_m3"],
        water_free=said["water_free_kg_m3"],
        water_most=said["water_most_kg_m3"],
        absorption=said["absorption_kg_m2_sqrt_s"],
    )


def lined_wall(
    retarder: tuple[tuple[float, float], ...] | float | None = OPENS_WHEN_DAMP, brick: float = 0.36
) -> list[WetLayer]:
    """Render, brick, plaster, 60 mm wool, retarder, board; outside first."""
    film = (
        []
        if retarder is None
        else [
            WetLayer(
                material=sheet("retarder", sd=retarder, thickness=0.0005, conductivity=0.2),
                thickness=0.0005,
                whole=True,
            )
        ]
    )
    return [
        WetLayer(material=material("cement-render"), thickness=0.02),
        WetLayer(material=material("brick-1600"), thickness=brick),
        WetLayer(material=material("gypsum-plaster-1000"), thickness=0.015),
        WetLayer(material=material("mineral-wool"), thickness=0.06),
        *film,
        WetLayer(material=material("gypsum-board"), thickness=0.0125),
    ]


def invented_year(seed: int = 1, rain: float = 1.0) -> Exposure:
    """A year of a cool, rainy climate, made here: season, day, persistent noise, sun, showers."""
    rng = np.random.default_rng(seed)
    hour = np.arange(8760)
    year, day = 2 * np.pi * hour / 8760, 2 * np.pi * (hour % 24) / 24
    noise = np.zeros(8760)
    kicks = rng.normal(size=8760)
    for k in range(1, 8760):
        noise[k] = 0.98 * noise[k - 1] + 0.5 * kicks[k]
    sun = np.clip(-np.cos(day), 0, None) * (250 - 150 * np.cos(year)) * rng.uniform(0.1, 1, 365).repeat(24)
    showers = np.where(rng.uniform(size=8760) < 0.04, rng.exponential(0.4, size=8760), 0) / 3600
    return exposure(
        outside=9.5 - 9.5 * np.cos(year - 0.3) - 3 * np.cos(day - 0.6) + noise,
        outside_humidity=np.clip(0.8 + 0.1 * np.cos(year) + 0.1 * np.cos(day - 0.6) - 0.02 * noise, 0.3, 1),
        inside=20 + 1.5 * np.sin(year - 2),
        inside_humidity=0.5 - 0.05 * np.cos(year),
        radiation=0.5 * sun - 20,
        rain=rain * 0.7 * showers,
    )
