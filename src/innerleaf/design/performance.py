"""Verdicts on one wall: does the lining as set out do what was asked of it?"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from innerleaf.design.buildup import depth_of
from innerleaf.design.climate import SiteClimate
from innerleaf.design.heat import RSE, RSI, Heat, Loss, heat_of
from innerleaf.design.moisture import Moisture, moisture_of
from innerleaf.design.uncertainty import factor_samples, missed, scatter_of, u_samples
from innerleaf.findings import Finding
from innerleaf.layout.pieces import WallPlan
from innerleaf.practice.model import Practice
from innerleaf.verdicts import Verdict

# Least surface temperature factor where neither the job nor its climate says more.
THICKNESS = "thickness of the lining"
U_VALUE = "U-value with members and brackets"
FRSI = "surface temperature factor at the coldest detail"
GATHERED, LEFT = "water gathered inside the wall", "water left after a year"
_CODES = {THICKNESS: "H101", U_VALUE: "H102", FRSI: "H103", GATHERED: "H104", LEFT: "H105"}
_REMEDIES = {
    "H101": "take a shallower frame or fewer boards, or agree the loss of room",
    "H102": "take more insulation, or insulation behind the members",
    "H103": "insulate the reveal or the flank for half a metre, and keep the room dry; have it proved",
    "H104": "add or tighten the vapour control layer; have the wall proved by a transient calculation",
    "H105": "do not build it so: the wall gets wetter from year to year",
}
_MEASURED_CLASS = 5  # has no upper limit in the standard
_FRSI_USUAL, _FRSI_SOURCE = 0.70, "DIN 4108-2, from memory: 12.6 degC at 20 degC, 50 % and -5 degC outside"


@dataclass(frozen=True, slots=True)
class Performance:
    """What the lined wall does. ``share``: its temperature difference as a share of that to outside."""

    wall: str
    share: float
    heat: Heat | None
    moisture: Moisture | None
    verdicts: tuple[Verdict, ...]
    notes: tuple[str, ...]

    @property
    def findings(self) -> tuple[Finding, ...]:
        """One finding for each verdict that is missed."""
        return tuple(
            Finding(
                code=_CODES[verdict.requirement],
                wall=self.wall,
                rule=verdict.requirement,
                text=f"{verdict.requirement}: {f'{verdict.value:.3g} {verdict.unit}'.removesuffix(' -')},"
                f" {verdict.limit:.3g} wanted",
                remedy=_REMEDIES[_CODES[verdict.requirement]],
                by_mm=-verdict.margin if verdict.unit == "mm" else 0,
            )
            for verdict in self.verdicts
            if not verdict.met
        )


def performance_of(plan: WallPlan, practice: Practice, climate: SiteClimate | None) -> Performance:
    """Judge the wall of a plan by its targets and by the climate of the site.

    Raises
    ------
    InputError
        The old wall has no layers, or a value of its layers cannot be.
    """
    wall, rules = plan.wall, practice.rules
    shares = {
        "outside": 1.0,
        "stair": rules.loss_share_stair_percent / 100,
        "ground": rules.loss_share_ground_percent / 100,
    }
    share = shares.get(wall.other_side, 0.0)
    heat = heat_of(plan, practice) if share and wall.construction else None
    weathered = heat and wall.other_side == "outside" and wall.humidity_class != _MEASURED_CLASS
    moisture = moisture_of(plan, practice, climate) if weathered and climate else None
    verdicts = list(_thickness(plan))
    if heat:
        verdicts += _heat_verdicts(plan, practice, heat, moisture, share)
    if moisture:
        verdicts += _condensate_verdicts(moisture, rules.condensate_limit_g_m2 / 1000)
    return Performance(
        wall.id, share, heat, moisture, tuple(verdicts), tuple(_notes(plan, heat, moisture, climate))
    )


def _notes(
    plan: WallPlan, heat: Heat | None, moisture: Moisture | None, climate: SiteClimate | None
) -> Iterator[str]:
    """What is assumed, and what is not judged and why."""
    wall = plan.wall
    if not wall.construction:
        yield "heat and moisture are not judged: the job does not say what the old wall is made of"
        return
    if heat is None:
        yield f"beyond the wall: {wall.other_side}; as warm as the room, no heat is counted"
        return
    yield from heat.notes
    if moisture is None and wall.other_side == "outside":
        if climate is None:
            yield "moisture is not judged: the job gives no monthly temperature and humidity of the site"
        else:
            yield "moisture is not judged: humidity class 5 needs the measured climate of the room"
    if moisture and wall.humidity_class is None:
        yield f"humidity class {moisture.humidity_class} is assumed for the room"
    if moisture:
        yield "monthly method (ISO 13788): no driving rain, no water drawn by the wall, no air leaks"
    if wall.questions:
        yield "the survey has open questions: no lining over a wall that is damp until the cause is cured"


def _thickness(plan: WallPlan) -> list[Verdict]:
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


def _heat_verdicts(
    plan: WallPlan, practice: Practice, heat: Heat, moisture: Moisture | None, share: float
) -> list[Verdict]:
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
    limit, source = _frsi_wanted(plan, moisture)
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


def _frsi_wanted(plan: WallPlan, moisture: Moisture | None) -> tuple[float, str]:
    """The surface temperature factor asked for: the job's, else the climate's, else the usual one."""
    if plan.wall.targets.frsi is not None:
        return plan.wall.targets.frsi, "the job"
    if moisture:
        return (
            moisture.frsi_needed,
            f"ISO 13788: 80 % at the surface in {moisture.critical_month},"
            f" humidity class {moisture.humidity_class}",
        )
    return _FRSI_USUAL, _FRSI_SOURCE


def _condensate_verdicts(moisture: Moisture, limit: float) -> list[Verdict]:
    after, before = moisture.after, moisture.before
    course = (
        f"from {after.first}, at {after.where}, dry again: {after.dry_again}"
        if after.first
        else "none gathers"
    )
    working = (
        f"lined: {after.peak * 1000:.0f} g/m² at most ({course})",
        f"old wall alone: {before.peak * 1000:.0f} g/m² at most",
    )
    source = "ISO 13788, monthly; limit: the rule condensate_limit_g_m2"
    return [
        Verdict(
            requirement=GATHERED,
            value=after.peak,
            limit=limit,
            unit="kg/m²",
            at_most=True,
            working=working,
            source=source,
            uncertainty=moisture.peak_spread,
            risk=moisture.risk_gathered,
        ),
        Verdict(
            requirement=LEFT,
            value=after.left,
            limit=0.0,
            unit="kg/m²",
            at_most=True,
            working=working,
            source=source,
            risk=moisture.risk_left,
        ),
    ]


def _u_working(heat: Heat) -> list[str]:
    inner = [loss for loss in heat.losses if loss.repeats]
    lines = [
        f"{loss.what}: {_amount(loss)} × {loss.coefficient:.4f} = {loss.after:.2f} W/K" for loss in inner
    ]
    total = sum(loss.after for loss in inner)
    return [*lines, f"{total:.2f} W/K / {heat.area_m2:.2f} m² = {heat.u_set_out:.3f} W/(m²K)"]
