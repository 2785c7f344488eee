"""Verdicts as flat values for plan.json: figures without the solved sections behind them."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from innerleaf.design.heat.assess import Assessed
from innerleaf.design.heat.layered import Layered
from innerleaf.design.heat.wall import Heat
from innerleaf.design.moisture.months import Moisture
from innerleaf.design.moisture.transient_years import (
    WEEKS,
    Course,
    Frost,
    LayerYears,
    MoistureYears,
    ProfileDay,
    Variant,
)
from innerleaf.design.performance import Performance
from innerleaf.design.record_sound import FrameRecord, SoundRecord, record_frame, record_sound
from innerleaf.design.sound.verdicts import Sound


@dataclass(frozen=True, slots=True)
class LossRecord:
    """One line of the heat balance; coefficients in W/K per unit of the quantity."""

    what: str
    quantity: float
    unit: str
    coefficient: float
    coefficient_half_interval: float
    coefficient_before: float
    after_w_k: float
    before_w_k: float


@dataclass(frozen=True, slots=True)
class DetailRecord:
    """A solved detail: psi (chi of a bracket) and the least surface temperature factor, with its place."""

    title: str
    extra: float
    extra_half_interval: float
    unit: str
    frsi: float
    coldest_m: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class HeatRecord:
    """What the wall loses before and after lining."""

    area_m2: float
    u_before_w_m2k: float
    u_clear_w_m2k: float
    u_set_out_w_m2k: float
    u_with_edges_w_m2k: float
    before_w_k: float
    after_w_k: float
    losses: tuple[LossRecord, ...]
    details: tuple[DetailRecord, ...]
    details_before: tuple[DetailRecord, ...]
    layered: Layered


@dataclass(frozen=True, slots=True)
class VerdictRecord:
    """One requirement with value, limit and margin."""

    requirement: str
    value: float
    limit: float
    unit: str
    at_most: bool
    met: bool
    margin: float
    uncertainty: float
    risk: float | None
    working: tuple[str, ...]
    source: str


@dataclass(frozen=True, slots=True)
class CaseRecord:
    """A case through the years: what was followed, what came of it, the weeks of its last year."""

    id: str
    walls: tuple[str, ...]
    weather: str
    estimate: bool
    begins: int
    facing_deg: int
    rain_factor: float
    sun_absorbed: float
    humidity_class: int
    reading_percent: float | None
    years: int
    settled: bool
    layers: tuple[LayerYears, ...]
    gain_percent: float
    mould_index: float
    mould_place: str
    humidity_most: float
    wood_percent: float
    wood_before_percent: float
    frost: Frost
    frost_before: Frost
    old_water_kg_m2: float
    old_water_before_kg_m2: float
    rain_kg_m2: float
    water_error: float
    heat_error: float
    variants: tuple[Variant, ...]
    weeks: Course
    profiles: tuple[ProfileDay, ...]


@dataclass(frozen=True, slots=True)
class PerformanceRecord:
    """What the lined wall does, as far as it was judged."""

    wall: str
    share_of_outside: float
    heat: HeatRecord | None
    moisture: Moisture | None
    moisture_case: str
    sound: SoundRecord | None
    frame: FrameRecord | None
    verdicts: tuple[VerdictRecord, ...]
    notes: tuple[str, ...]


def record(performance: Performance) -> PerformanceRecord:
    """The figures of one wall."""
    return PerformanceRecord(
        performance.wall,
        performance.share,
        _heat(performance.heat) if performance.heat else None,
        performance.moisture,
        performance.case_id,
        record_sound(performance.sound) if isinstance(performance.sound, Sound) else None,
        record_frame(performance.frame) if performance.frame else None,
        tuple(
            VerdictRecord(
                v.requirement,
                v.value,
                v.limit,
                v.unit,
                v.at_most,
                v.met,
                v.margin,
                v.uncertainty,
                v.risk,
                v.working,
                v.source,
            )
            for v in performance.verdicts
        ),
        performance.notes,
    )


def _heat(heat: Heat) -> HeatRecord:
    return HeatRecord(
        heat.area_m2,
        heat.u_before,
        heat.u_clear,
        heat.u_set_out,
        heat.u_effective,
        heat.before,
        heat.after,
        tuple(
            LossRecord(
                loss.what,
                loss.quantity,
                loss.unit,
                loss.coefficient,
                loss.half,
                loss.coefficient_before,
                loss.after,
                loss.before,
            )
            for loss in heat.losses
        ),
        tuple(map(_detail, heat.details)),
        tuple(map(_detail, heat.details_before)),
        heat.layered,
    )


def _detail(each: Assessed) -> DetailRecord:
    return DetailRecord(
        each.detail.title, each.extra, each.half, each.unit, each.frsi, tuple(each.coldest[:2])
    )


def record_cases(performances: Iterable[Performance]) -> tuple[CaseRecord, ...]:
    """Each case once, in the order of their names."""
    done: dict[str, CaseRecord] = {}
    for each in performances:
        if each.years and each.case_id not in done:
            done[each.case_id] = _case(each.case_id, each.case_walls, each.years)
    return tuple(done.values())


def _case(name: str, walls: tuple[str, ...], years: MoistureYears) -> CaseRecord:
    case, course = years.case, years.course
    return CaseRecord(
        name,
        walls,
        years.source,
        years.estimate,
        years.begins,
        case.facing,
        case.rain_factor,
        case.absorptance,
        case.humidity_class,
        case.reading_percent,
        years.years,
        years.settled,
        years.layers,
        years.gain_percent,
        years.mould_index,
        years.mould_place,
        years.humidity_most,
        years.wood_percent,
        years.wood_before,
        years.frost,
        years.frost_before,
        years.old_water,
        years.old_water_before,
        years.rain,
        years.water_error,
        years.heat_error,
        years.variants,
        Course(
            tuple(line[-WEEKS:] for line in course.water),
            course.humidity[-WEEKS:],
            course.temperature[-WEEKS:],
            course.mould[-WEEKS:],
        ),
        years.profiles,
    )
