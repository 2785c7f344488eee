"""What has to be followed through the years for a wall: its layers, faces and start, as plain values.

Walls whose cases are equal share one calculation.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from math import isclose

from innerleaf.design.buildup import Layer, depth_of
from innerleaf.design.climate import BUCKET, has_rain, wettest_direction
from innerleaf.design.moisture.months import AIR_SD, USUAL_CLASS
from innerleaf.layout.pieces import WallPlan
from innerleaf.physics.hygro import Hygro, porous, sheet
from innerleaf.physics.hygro_grid import WetLayer
from innerleaf.physics.weather import Weather
from innerleaf.practice.model import Membrane, Practice
from innerleaf.practice.moisture import MoistureMaterial, load_moisture, water_of
from innerleaf.survey.damp import NOT_TO_BE_LINED, soaking

AIR, WOOL, BOARD, WOOD = "air", "mineral-wool", "gypsum-board", "timber-500"
MEASURED_CLASS = 5  # humidity class without an upper limit in the standard
_FILM, _FILM_CONDUCTIVITY = 0.0005, 0.2  # a membrane as the solver sees it [m], [W/(m·K)]


@dataclass(frozen=True, slots=True)
class CaseLayer:
    """A layer, outside first. [m], [W/(m·K)]

    ``water`` is None for what holds none: air and membranes, which have ``sd`` by relative humidity [m].
    """

    name: str
    thickness: float
    conductivity: float
    water: MoistureMaterial | None = None
    sd: tuple[tuple[float, float], ...] = ()

    @property
    def stands_for(self) -> str:
        """The material whose water figures stand in for its own, or ""."""
        return self.water.id if self.water and self.water.id not in (self.name, WOOL, BOARD) else ""


@dataclass(frozen=True, slots=True)
class Case:
    """One calculation through the years."""

    layers: tuple[CaseLayer, ...]
    old: int  # how many of them are the old wall
    facing: int  # outward normal [degrees from north]
    rain_factor: float
    absorptance: float
    humidity_class: int
    reading_percent: float | None  # water in the old wall at the start, of its dry mass
    wood_depth: float  # where the tips of wooden ends are, if there are any, from the outer face [m]
    mould_class: int

    @property
    def critical(self) -> tuple[int, ...]:
        """Layers whose outer faces are judged for mould: behind the lining, and the cold side of the wool."""
        insulating = [
            k
            for k in range(self.old, len(self.layers))
            if self.layers[k].water and self.layers[k].conductivity < 0.1
        ]
        return tuple(sorted({self.old, *insulating[:1]}))


def case_of(plan: WallPlan, practice: Practice, weather: Weather) -> Case | str:
    """The case of a wall that is lined against the outside, or the reason why it has none.

    Raises
    ------
    InputError
        Insulation is thicker than the room for it.
    """
    wall, rules = plan.wall, practice.rules
    if wall.other_side != "outside":
        return f"beyond the wall: {wall.other_side}"
    if wall.damp:
        return f"the wall is damp: {NOT_TO_BE_LINED}"
    if not wall.construction:
        return "the job does not say what the old wall is made of"
    if wall.humidity_class == MEASURED_CLASS:
        return "humidity class 5 needs the measured climate of the room"
    unknown = [layer.material for layer in wall.construction if water_of(layer.material) is None]
    if unknown:
        return f"nothing is known of the water in {unknown[0]}"
    depth = depth_of(plan, practice)
    old = [_old(layer, practice) for layer in depth.old]
    new = list(_merged([*depth.behind, *depth.frame]))
    if wall.lining.membrane:
        new.append(_membrane(practice.membranes[wall.lining.membrane]))
    new += [_new(layer, BOARD) for layer in depth.boards]
    exposed = {
        "sheltered": rules.driving_rain_sheltered_percent,
        "normal": rules.driving_rain_normal_percent,
        "severe": rules.driving_rain_severe_percent,
    }
    facing = wettest_direction(weather) if wall.facing_deg is None else wall.facing_deg
    bearing = min(rules.wood_end_bearing_mm / 1000, depth.old_thickness)
    return Case(
        layers=(*old, *new),
        old=len(old),
        facing=round(facing / BUCKET) * BUCKET % 360,
        rain_factor=exposed[wall.rain_exposure] / 100 if has_rain(weather) else 0.0,
        absorptance=rules.sun_absorbed_percent / 100,
        humidity_class=wall.humidity_class or USUAL_CLASS,
        reading_percent=wall.moisture_reading_percent if soaking(wall) else None,
        wood_depth=depth.old_thickness - bearing,
        mould_class=rules.mould_class_old_face,
    )


def _old(layer: Layer, practice: Practice) -> CaseLayer:
    """An old layer; where water figures of a like material stand in, all else is the material's own."""
    water, own = water_of(layer.name), practice.materials[layer.name]
    assert water
    if water.id != layer.name:
        water = replace(
            water,
            density_kg_m3=own.density_kg_m3,
            heat_j_kgk=own.heat_j_kgk,
            conductivity_w_mk=own.conductivity_w_mk,
            mu_dry=own.mu_dry,
            mu_wet=own.mu_wet,
        )
    return CaseLayer(layer.name, layer.thickness, layer.conductivity, water)


def _merged(layers: list[Layer]) -> Iterator[CaseLayer]:
    """Air and insulation from the old wall to the boards; equal neighbours as one layer."""
    done: list[Layer] = []
    for layer in layers:
        last = done[-1] if done else None
        if last and last.name == layer.name and isclose(last.conductivity, layer.conductivity):
            done[-1] = replace(last, thickness=last.thickness + layer.thickness)
        else:
            done.append(layer)
    for layer in done:
        yield (
            _new(layer, WOOL)
            if layer.name != AIR
            else CaseLayer(AIR, layer.thickness, layer.conductivity, sd=((0.5, AIR_SD),))
        )


def _new(layer: Layer, kind: str) -> CaseLayer:
    water = replace(load_moisture()[kind], conductivity_w_mk=layer.conductivity)
    return CaseLayer(layer.name, layer.thickness, layer.conductivity, water)


def _membrane(membrane: Membrane) -> CaseLayer:
    """A film; one that opens when damp goes by equal ratios from dry (40 %) to damp (90 %)."""
    dry, damp = membrane.sd_m, membrane.sd_damp_m or membrane.sd_m
    steps = (0.0, 0.25, 0.5, 0.75, 1.0) if damp < dry else (0.0,)
    sd = tuple((0.4 + 0.5 * step, dry * (damp / dry) ** step) for step in steps)
    return CaseLayer(membrane.id, _FILM, _FILM_CONDUCTIVITY, sd=sd)


def wet_layers(case: Case) -> list[WetLayer]:
    """The layers as the solver takes them. A thick air layer is a thin one of equal resistances."""
    return [_wet(layer) for layer in case.layers]


def _wet(layer: CaseLayer) -> WetLayer:
    if layer.water:
        return WetLayer(material=hygro(layer.water), thickness=layer.thickness)
    thin = min(layer.thickness, layer.sd[-1][1], AIR_SD)
    conductivity = layer.conductivity * thin / layer.thickness
    material = sheet(layer.name, sd=layer.sd, thickness=thin, conductivity=conductivity)
    return WetLayer(material=material, thickness=thin, whole=True)


def hygro(water: MoistureMaterial) -> Hygro:
    """Curves from single figures."""
    return porous(
        water.id,
        density=water.density_kg_m3,
        heat=water.heat_j_kgk,
        conductivity=water.conductivity_w_mk,
        conductivity_rise=water.conductivity_rise_w_mk_per_kg_m3,
        mu_dry=water.mu_dry,
        mu_wet=water.mu_wet,
        water_80=water.water_80_kg_m3,
        water_free=water.water_free_kg_m3,
        water_most=water.water_most_kg_m3,
        absorption=water.absorption_kg_m2_sqrt_s,
    )
