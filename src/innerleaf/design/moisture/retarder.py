"""A lining without a vapour control layer that gathers water: which membrane of the practice set would do."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace

from innerleaf.design.climate import SiteClimate
from innerleaf.design.moisture.months import moisture_of
from innerleaf.design.moisture.transient_years import MoistureYears
from innerleaf.design.moisture.verdicts import (
    CODES,
    GAIN,
    GATHERED,
    LEFT,
    MOULD,
    monthly_verdicts,
    yearly_verdicts,
)
from innerleaf.findings import Finding
from innerleaf.layout.pieces import WallPlan
from innerleaf.practice.model import Practice
from innerleaf.verdicts import Verdict

Years = Callable[[WallPlan], MoistureYears | None]
_OF_VAPOUR = (GATHERED, LEFT, GAIN, MOULD)


def lacks_retarder(plan: WallPlan, verdicts: Iterable[Verdict]) -> bool:
    """Whether insulation lies on an outer wall without a vapour control layer, and water or mould follows."""
    lining = plan.wall.lining
    if plan.wall.other_side != "outside" or lining.membrane or not lining.insulation:
        return False
    return any(verdict.requirement in _OF_VAPOUR and not verdict.met for verdict in verdicts)


def with_membranes(plan: WallPlan, practice: Practice) -> dict[str, WallPlan]:
    """The plan as it would be judged with each membrane of the practice set."""
    return {
        name: replace(plan, wall=replace(plan.wall, lining=replace(plan.wall.lining, membrane=name)))
        for name in practice.membranes
    }


def retarder_finding(
    plan: WallPlan,
    practice: Practice,
    climate: SiteClimate | None,
    years_of: Years,
    verdicts: Iterable[Verdict],
) -> Finding:
    """The finding, its remedy from a check with each membrane by both methods.

    ``years_of`` gives a plan's years, None where they cannot be followed.
    """
    missed = [v.requirement for v in verdicts if v.requirement in _OF_VAPOUR and not v.met]
    tried = {
        name: _still_missed(other, practice, climate, years_of(other))
        for name, other in with_membranes(plan, practice).items()
    }
    good = [name for name, still in tried.items() if not still]
    if good:
        remedy = f"add {' or '.join(good)}, sealed to everything it meets: with it both methods are met"
    else:
        fails = "; ".join(f"{name}: {', '.join(still)}" for name, still in tried.items())
        remedy = (
            f"no membrane of the practice set is enough ({fails}): another build-up, proved by a designer"
        )
    return Finding(
        code="H110",
        wall=plan.wall.id,
        rule="vapour control layer",
        text=f"insulation without a vapour control layer; missed: {', '.join(missed)}",
        remedy=remedy,
    )


def _still_missed(
    plan: WallPlan, practice: Practice, climate: SiteClimate | None, years: MoistureYears | None
) -> list[str]:
    verdicts: list[Verdict] = []
    if climate:
        limit = practice.rules.condensate_limit_g_m2 / 1000
        verdicts += monthly_verdicts(moisture_of(plan, practice, climate), limit)
    if years:
        verdicts += yearly_verdicts(plan.wall, years, practice.rules)
    return [CODES[v.requirement] for v in verdicts if v.requirement in _OF_VAPOUR and not v.met]
