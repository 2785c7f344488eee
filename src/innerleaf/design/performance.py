"""Verdicts on one wall: does the lining as set out do what was asked of it?"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from innerleaf.design.assess import RSE, RSI
from innerleaf.design.buildup import depth_of
from innerleaf.design.climate import SiteClimate
from innerleaf.design.heat import Heat, Loss, heat_of
from innerleaf.design.moisture import USUAL_CLASS, Moisture, moisture_of
from innerleaf.design.moisture_verdicts import (
    BY_THE_MONTH,
    dry_verdicts,
    method_notes,
    moisture_findings,
    monthly_verdicts,
    unjudged_notes,
    yearly_verdicts,
)
from innerleaf.design.moisture_verdicts import CODES as MOISTURE_CODES
from innerleaf.design.moisture_verdicts import REMEDIES as MOISTURE_REMEDIES
from innerleaf.design.remedies import surface_remedy
from innerleaf.design.transient_case import MEASURED_CLASS
from innerleaf.design.transient_years import MoistureYears
from innerleaf.design.uncertainty import factor_samples, missed, scatter_of, u_samples
from innerleaf.findings import Finding
from innerleaf.layout.pieces import WallPlan
from innerleaf.practice.model import Practice
from innerleaf.verdicts import Verdict

THICKNESS = "thickness of the lining"
U_VALUE = "U-value with members and brackets"
FRSI = "surface temperature factor at the coldest detail"
_CODES = {THICKNESS: "H101", U_VALUE: "H102", FRSI: "H103"} | MOISTURE_CODES
_REMEDIES = {
    "H101": "take a shallower frame or fewer boards, or agree the loss of room",
    "H102": "take more insulation, or insulation behind the members",
} | MOISTURE_REMEDIES


@dataclass(frozen=True, slots=True)
class Performance:
    """What the lined wall does. ``share``: its temperature difference as a share of that to outside.

    ``years`` are those of its case ``case_id``, which ``case_walls`` share and the first of them shows; None
    where it was not followed. ``told`` are findings that stand for no verdict. ``keep_warm`` says
    what was tried at every surface that is too cold, "" where none is.
    """

    wall: str
    share: float
    heat: Heat | None
    moisture: Moisture | None
    verdicts: tuple[Verdict, ...]
    notes: tuple[str, ...]
    years: MoistureYears | None = None
    told: tuple[Finding, ...] = ()
    case_id: str = ""
    case_walls: tuple[str, ...] = ()
    keep_warm: str = ""

    @property
    def findings(self) -> tuple[Finding, ...]:
        """One finding for each verdict that is missed, then those that are told besides."""
        return (
            *(
                Finding(
                    code=_CODES[verdict.requirement],
                    wall=self.wall,
                    rule=verdict.requirement,
                    text=f"{verdict.requirement}: {f'{verdict.value:.3g} {verdict.unit}'.removesuffix(' -')},"
                    f" {verdict.limit:.3g} wanted",
                    remedy=self._remedy(_CODES[verdict.requirement]),
                    by_mm=-verdict.margin if verdict.unit == "mm" else 0,
                )
                for verdict in self.verdicts
                if not verdict.met and verdict.requirement in _CODES
            ),
            *self.told,
        )

    def _remedy(self, code: str) -> str:
        if code in BY_THE_MONTH and self.years:
            return (
                "see the years (EN 15026), which decide where rain, suction or a changing film matter:"
                f" {self.years.gain_percent:+.1f} % of water from year to year"
            ).replace(" -", " −")
        return self.keep_warm if code == _CODES[FRSI] else _REMEDIES[code]


def performance_of(
    plan: WallPlan, practice: Practice, climate: SiteClimate | None, years: MoistureYears | str = ""
) -> Performance:
    """Judge the wall of a plan by its targets and by the climate of the site.

    ``years`` are those of its case, or the reason why it was not followed ("": nobody tried).

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
    weathered = heat and wall.other_side == "outside" and wall.humidity_class != MEASURED_CLASS
    moisture = moisture_of(plan, practice, climate) if weathered and climate else None
    verdicts = list(_thickness(plan))
    keep_warm = ""
    if heat:
        verdicts += _heat_verdicts(plan, practice, heat, moisture, share)
        limit = _frsi_wanted(plan, practice, moisture)[0]
        keep_warm = surface_remedy(plan, practice, heat, limit, share)
    if moisture:
        verdicts += monthly_verdicts(moisture, rules.condensate_limit_g_m2 / 1000)
    followed = years if isinstance(years, MoistureYears) else None
    if followed:
        verdicts += yearly_verdicts(wall, followed, rules)
    verdicts += dry_verdicts(wall, rules)
    notes = [*_notes(plan, heat), *method_notes(wall, practice, moisture, years)]
    if heat:
        notes += unjudged_notes(wall, moisture, climate)
    return Performance(
        wall.id,
        share,
        heat,
        moisture,
        tuple(verdicts),
        tuple(notes),
        followed,
        tuple(moisture_findings(wall, years, rules)),
        keep_warm=keep_warm,
    )


def _notes(plan: WallPlan, heat: Heat | None) -> Iterator[str]:
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
    limit, source = _frsi_wanted(plan, practice, moisture)
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


def _frsi_wanted(plan: WallPlan, practice: Practice, moisture: Moisture | None) -> tuple[float, str]:
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
