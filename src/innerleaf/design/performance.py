"""Verdicts on one wall: does the lining as set out do what was asked of it?"""

from __future__ import annotations

from dataclasses import dataclass

from innerleaf.design.heat import Heat, heat_of
from innerleaf.layout.pieces import WallPlan
from innerleaf.practice.model import Practice
from innerleaf.verdicts import Verdict

# Least surface temperature factor where neither the job nor its climate says more.
_FRSI_USUAL, _FRSI_SOURCE = 0.70, "DIN 4108-2, from memory: 12.6 degC at 20 degC, 50 % and -5 degC outside"


@dataclass(frozen=True, slots=True)
class Performance:
    """What the lined wall does. ``share``: its temperature difference as a share of that to outside."""

    wall: str
    share: float
    heat: Heat | None
    verdicts: tuple[Verdict, ...]
    notes: tuple[str, ...]


def performance_of(plan: WallPlan, practice: Practice) -> Performance:
    """Judge the wall of a plan by its targets.

    Raises
    ------
    InputError
        The old wall has no layers, or insulation is thicker than the room for it.
    """
    wall, rules = plan.wall, practice.rules
    shares = {
        "outside": 1.0,
        "stair": rules.loss_share_stair_percent / 100,
        "ground": rules.loss_share_ground_percent / 100,
    }
    share = shares.get(wall.other_side, 0.0)
    heat = heat_of(plan, practice) if share else None
    notes = () if heat else (f"beyond the wall: {wall.other_side}; as warm as the room, no heat is counted",)
    return Performance(
        wall.id,
        share,
        heat,
        tuple(_thickness(plan)) + (tuple(_heat_verdicts(plan, heat, share)) if heat else ()),
        notes,
    )


def _thickness(plan: WallPlan) -> list[Verdict]:
    limit = plan.wall.targets.thickness_max_mm
    if limit is None:
        return []
    depth = plan.build_up
    return [
        Verdict(
            requirement="thickness of the lining",
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


def _heat_verdicts(plan: WallPlan, heat: Heat, share: float) -> list[Verdict]:
    targets = plan.wall.targets
    verdicts = []
    if targets.u_value_w_m2k is not None:
        verdicts.append(
            Verdict(
                requirement="U-value with members and brackets",
                value=heat.u_set_out,
                limit=targets.u_value_w_m2k,
                unit="W/(m²·K)",
                at_most=True,
                working=tuple(_u_working(heat)),
                source="the job; ISO 10211, ISO 14683: H = sum of U A, psi l and chi",
            )
        )
    coldest = heat.coldest
    factor = 1 - share * (1 - coldest.frsi)
    verdicts.append(
        Verdict(
            requirement="surface temperature factor at the coldest detail",
            value=factor,
            limit=targets.frsi if targets.frsi is not None else _FRSI_USUAL,
            unit="-",
            at_most=False,
            working=(
                f"{coldest.detail.title}: {coldest.frsi:.3f} with Rsi 0.25 m²K/W (ISO 13788, ISO 10211)",
                f"1 - {share:g} x (1 - {coldest.frsi:.3f}) = {factor:.3f}",
            ),
            source="the job" if targets.frsi is not None else _FRSI_SOURCE,
        )
    )
    return verdicts


def _u_working(heat: Heat) -> list[str]:
    inner = [loss for loss in heat.losses if loss.repeats]
    lines = [
        f"{loss.what}: {loss.quantity:.2f} {loss.unit} x {loss.coefficient:.4f} = {loss.after:.2f} W/K"
        for loss in inner
    ]
    total = sum(loss.after for loss in inner)
    return [*lines, f"{total:.2f} W/K / {heat.area_m2:.2f} m² = {heat.u_set_out:.3f} W/(m²K)"]
