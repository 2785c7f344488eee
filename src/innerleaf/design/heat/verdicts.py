"""Verdicts on the room a lining takes, on heat and on the temperature of its surface."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from innerleaf.design.buildup import depth_of
from innerleaf.design.heat.assess import RSE, RSI
from innerleaf.design.heat.wall import Heat, Loss
from innerleaf.design.moisture.months import USUAL_CLASS, Moisture
from innerleaf.design.uncertainty import factor_samples, missed, scatter_of, u_samples
from innerleaf.layout.pieces import WallPlan
from innerleaf.practice.model import Practice
from innerleaf.verdicts import Verdict

THICKNESS: Final = "thickness of the lining"
U_VALUE: Final = "U-value with members and brackets"
FRSI: Final = "surface temperature factor at the coldest detail"
CODES: Final = {THICKNESS: "H101", U_VALUE: "H102", FRSI: "H103"}
REMEDIES: Final = {
    "H101": "take a shallower frame or fewer boards, or agree the loss of room",
    "H102": "take more insulation, or insulation behind the members",
}


def thickness_verdicts(plan: WallPlan) -> list[Verdict]:
    """What the lining takes of the room, where a limit is set."""
    limit = plan.wall.targets.thickness_max_mm
    if limit is None:
        return []
    depth = plan.build_up
    return [
        Verdict(
            requirement=THICKNESS,
            value=depth.total_mm,
            limit=limit,
            unit="mm",
            at_most=True,
            working=(
                f"{depth.frame_back_mm} to the back of the frame + {depth.frame_depth_mm} frame"
                f" + {depth.packet_mm:g} boards = {depth.total_mm:g} mm",
            ),
            source="the job",
        )
    ]


def heat_verdicts(
    plan: WallPlan, practice: Practice, heat: Heat, moisture: Moisture | None, share: float
) -> list[Verdict]:
    """U-value, where one is asked for, and the factor at the coldest detail."""
    targets, scatter = plan.wall.targets, scatter_of(practice.rules)
    verdicts = []
    if targets.u_value_w_m2k is not None:
        drawn = u_samples(depth_of(plan, practice), RSI, RSE, heat.u_set_out - heat.u_clear, scatter)
        verdicts.append(
            Verdict(
                requirement=U_VALUE,
                value=heat.u_set_out,
                limit=targets.u_value_w_m2k,
                unit="W/(m²·K)",
                at_most=True,
                working=tuple(_u_working(heat)),
                source="the job; ISO 10211, ISO 14683: H = Σ U·A + Σ ψ·l + Σ χ",
                uncertainty=float(drawn.std()),
                risk=missed(drawn, targets.u_value_w_m2k, at_most=True),
            )
        )
    coldest = heat.coldest
    factor = 1 - share * (1 - coldest.frsi)
    limit, source = frsi_wanted(plan, practice, moisture)
    factors = factor_samples(factor, scatter)
    verdicts.append(
        Verdict(
            requirement=FRSI,
            value=factor,
            limit=limit,
            unit="-",
            at_most=False,
            working=(
                f"{coldest.detail.title}: {coldest.frsi:.3f} with Rsi 0.25 m²K/W (ISO 13788, ISO 10211)",
                f"1 − {share:g} × (1 − {coldest.frsi:.3f}) = {factor:.3f}",
            ),
            source=source,
            uncertainty=float(factors.std()),
            risk=missed(factors, limit, at_most=False),
        )
    )
    return verdicts


def _amount(loss: Loss) -> str:
    return f"{loss.quantity:.0f} pieces" if loss.unit == "pieces" else f"{loss.quantity:.2f} {loss.unit}"


def frsi_wanted(plan: WallPlan, practice: Practice, moisture: Moisture | None) -> tuple[float, str]:
    """The surface temperature factor asked for: the job's, else the climate's, else the usual one."""
    if plan.wall.targets.frsi is not None:
        return plan.wall.targets.frsi, "the job"
    if moisture:
        return (
            moisture.frsi_needed,
            f"ISO 13788: 80 % at the surface in {moisture.critical_month},"
            f" humidity class {moisture.humidity_class}",
        )
    return practice.rules.surface_factor_usual_percent / 100, "the rule surface_factor_usual_percent"


def _u_working(heat: Heat) -> list[str]:
    inner = [loss for loss in heat.losses if loss.repeats]
    lines = [
        f"{loss.what}: {_amount(loss)} × {loss.coefficient:.4f} = {loss.after:.2f} W/K" for loss in inner
    ]
    total = sum(loss.after for loss in inner)
    return [*lines, f"{total:.2f} W/K / {heat.area_m2:.2f} m² = {heat.u_set_out:.3f} W/(m²K)"]


def heat_notes(plan: WallPlan, heat: Heat | None) -> Iterator[str]:
    """What is assumed, and what is not judged and why."""
    wall = plan.wall
    if not wall.construction:
        yield "heat and moisture are not judged: the job does not say what the old wall is made of"
        return
    if heat is None:
        yield f"beyond the wall: {wall.other_side}; as warm as the room, no heat is counted"
        return
    yield from heat.notes
    if wall.other_side == "outside" and wall.humidity_class is None:
        yield f"humidity class {USUAL_CLASS} is assumed for the room"
    if wall.questions:
        yield "the survey has open questions: no lining over a wall that is damp until the cause is cured"
