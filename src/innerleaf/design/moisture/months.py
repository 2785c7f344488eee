"""Moisture by the month (ISO 13788): the inner surface, and condensation inside the wall, before and after.

Steady months, vapour diffusion only. The answer is a first check: driving rain, capillary old walls and
membranes that change with humidity ask for the transient method.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import partial

import numpy as np

from innerleaf.design.buildup import Depth, Layer, depth_of
from innerleaf.design.climate import SiteClimate
from innerleaf.design.uncertainty import SEED, Samples, missed, resistances, scatter_of, sd_samples
from innerleaf.layout.pieces import WallPlan
from innerleaf.physics.moist_air import vapour_pressure
from innerleaf.physics.monthly import MONTHS, SMALLEST_SPAN, Values, surface_year, vapour_excess
from innerleaf.physics.monthly_condensate import VapourLayer, condensate_year
from innerleaf.practice.model import Practice

ROOM_TEMPERATURE = 20.0  # degC, ISO 13788 for dwellings
AIR_SD = 0.01  # m, of any air layer without ventilation (ISO 13788)
NO_MONTH = "no month"  # in which the surface asks for a factor: none is colder outside than in the room
USUAL_CLASS = 3  # humidity class of dwellings where the job does not say (ISO 13788 Annex A, from memory)


@dataclass(frozen=True, slots=True)
class Condensate:
    """Water that gathers inside a wall in a year. [kg/m²]

    ``left`` is still there after twelve months. ``first`` is the month it begins, "" if none gathers;
    ``dry_again`` the month in which all is gone, "never" if it stays. ``where`` names the wettest face.
    """

    peak: float
    left: float
    first: str
    dry_again: str
    where: str


@dataclass(frozen=True, slots=True)
class Moisture:
    """What the monthly method says of one wall."""

    humidity_class: int
    frsi_needed: float  # against 80 % at the surface; 0 where no month asks for one
    critical_month: str  # `NO_MONTH` where none asks
    before: Condensate
    after: Condensate
    peak_spread: float  # standard deviation of the peak by the scatter assumed [kg/m²]
    left_spread: float  # and of what is left after a year
    risk_gathered: float  # how likely the limit on the peak is missed
    risk_left: float  # how likely some is left after a year


def moisture_of(plan: WallPlan, practice: Practice, climate: SiteClimate) -> Moisture:
    """Surface and interstitial humidity of a wall before and after lining.

    Raises
    ------
    InputError
        A month is missing, a layer's values cannot be.
    """
    outside = np.asarray(climate.temperature, float)
    outside_pressure = vapour_pressure(outside, climate.humidity)
    humidity_class = plan.wall.humidity_class or USUAL_CLASS
    room_pressure = outside_pressure + vapour_excess(humidity_class, outside)
    needed, critical = _factor_needed(outside, room_pressure)

    year_of = partial(
        condensate_year,
        outside=outside,
        outside_pressure=outside_pressure,
        room=ROOM_TEMPERATURE,
        room_pressure=room_pressure,
    )

    def year(layers: list[VapourLayer]) -> Condensate:
        result = year_of(layers)
        dry, start = int(result.dry_again[0]), int(result.start[0])
        wettest = int(np.argmax(result.held[0].max(axis=0))) if start >= 0 else -1
        return Condensate(
            peak=float(result.peak[0]),
            left=float(result.left[0]),
            first=MONTHS[start] if start >= 0 else "",
            dry_again="never" if dry == -2 else MONTHS[dry] if dry >= 0 else "",
            where=result.interfaces[wettest] if wettest >= 0 else "",
        )

    depth = depth_of(plan, practice)
    lined = list(_vapour_layers(plan, practice, depth, lined=True))
    thermal, vapour = _scattered(depth, lined, practice)
    variants = year_of(lined, resistances=thermal, sds=vapour)
    limit = practice.rules.condensate_limit_g_m2 / 1000
    return Moisture(
        humidity_class,
        needed,
        critical,
        year(list(_vapour_layers(plan, practice, depth.bare(), lined=False))),
        year(lined),
        float(np.std(variants.peak)),
        float(np.std(variants.left)),
        missed(variants.peak, limit, at_most=True),
        missed(variants.left, 0.0, at_most=True),
    )


def _factor_needed(outside: Values, room_pressure: Values) -> tuple[float, str]:
    """The surface temperature factor that the months ask for, and the month that asks most."""
    if not np.any(outside < ROOM_TEMPERATURE - SMALLEST_SPAN):
        return 0.0, NO_MONTH
    surface = surface_year(outside, room_pressure, ROOM_TEMPERATURE)
    return surface.factor, MONTHS[surface.critical]


def _scattered(depth: Depth, layers: list[VapourLayer], practice: Practice) -> tuple[Samples, Samples]:
    """Samples of thermal resistance and sd of the layers, with the membrane among them."""
    scatter = scatter_of(practice.rules)
    drawn = resistances(depth, scatter, np.random.default_rng(SEED))
    if len(layers) > len(depth.layers):  # the membrane lies on the frame, before the boards
        drawn = np.insert(drawn, len(layers) - 1 - len(depth.boards), 0.0, axis=1)
    sds = sd_samples([layer.sd for layer in layers], scatter)
    return drawn, np.maximum(sds, [layer.thickness for layer in layers])


def _vapour_layers(plan: WallPlan, practice: Practice, depth: Depth, *, lined: bool) -> Iterator[VapourLayer]:
    """The wall across its depth as the monthly method sees it, outside first.

    Old layers with the greater of their two mu, which is slower to dry; wool with that of air.
    """
    for layer in depth.old:
        yield _plane(layer, practice.materials[layer.name].mu_dry)
    if not lined:
        return
    for layer in (*depth.behind, *depth.frame):
        if layer.name == "air":
            yield VapourLayer(name="air", resistance=layer.resistance, sd=AIR_SD)
        else:
            yield _plane(layer, practice.materials["mineral-wool"].mu_dry)
    if plan.wall.lining.membrane:
        membrane = practice.membranes[plan.wall.lining.membrane]
        yield VapourLayer(name=membrane.id, resistance=0.0, sd=membrane.sd_m)
    for layer in depth.boards:
        yield _plane(layer, practice.materials["gypsum-board"].mu_dry)


def _plane(layer: Layer, mu: float) -> VapourLayer:
    return VapourLayer(
        name=layer.name, resistance=layer.resistance, sd=mu * layer.thickness, thickness=layer.thickness
    )
