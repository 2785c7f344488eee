"""Verdicts as flat values for plan.json: figures without the solved sections behind them."""

from __future__ import annotations

from dataclasses import dataclass

from innerleaf.design.heat import Assessed, Heat
from innerleaf.design.moisture import Moisture
from innerleaf.design.performance import Performance


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
    """A solved detail: psi and the least surface temperature factor, with its place along and across."""

    title: str
    psi_w_mk: float
    psi_half_interval: float
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
class PerformanceRecord:
    """What the lined wall does, as far as it was judged."""

    wall: str
    share_of_outside: float
    heat: HeatRecord | None
    moisture: Moisture | None
    verdicts: tuple[VerdictRecord, ...]
    notes: tuple[str, ...]


def record(performance: Performance) -> PerformanceRecord:
    """The figures of one wall."""
    return PerformanceRecord(
        performance.wall,
        performance.share,
        _heat(performance.heat) if performance.heat else None,
        performance.moisture,
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
    )


def _detail(each: Assessed) -> DetailRecord:
    return DetailRecord(each.detail.title, each.extra, each.half, each.frsi, each.coldest)
