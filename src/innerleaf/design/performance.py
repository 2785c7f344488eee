"""Verdicts on one wall: does the lining as set out do what was asked of it? Each matter has a module."""

from __future__ import annotations

from dataclasses import dataclass, replace

from innerleaf.design.climate import SiteClimate
from innerleaf.design.frame.wall import Frame, frame_of
from innerleaf.design.heat.remedies import surface_remedy
from innerleaf.design.heat.verdicts import CODES as HEAT_CODES
from innerleaf.design.heat.verdicts import (
    FRSI,
    frsi_wanted,
    heat_notes,
    heat_verdicts,
    thickness_verdicts,
)
from innerleaf.design.heat.verdicts import REMEDIES as HEAT_REMEDIES
from innerleaf.design.heat.wall import Heat, heat_of
from innerleaf.design.moisture.months import Moisture, moisture_of
from innerleaf.design.moisture.transient_case import MEASURED_CLASS
from innerleaf.design.moisture.transient_years import MoistureYears
from innerleaf.design.moisture.verdicts import (
    BY_THE_MONTH,
    dry_verdicts,
    method_notes,
    moisture_findings,
    monthly_verdicts,
    unjudged_notes,
    yearly_verdicts,
)
from innerleaf.design.moisture.verdicts import CODES as MOISTURE_CODES
from innerleaf.design.moisture.verdicts import REMEDIES as MOISTURE_REMEDIES
from innerleaf.design.sound.verdicts import Sound
from innerleaf.design.sound.wall import sound_of
from innerleaf.findings import Finding
from innerleaf.layout.pieces import WallPlan
from innerleaf.practice.model import Practice
from innerleaf.verdicts import Verdict

_CODES = HEAT_CODES | MOISTURE_CODES
_REMEDIES = HEAT_REMEDIES | MOISTURE_REMEDIES


@dataclass(frozen=True, slots=True)
class Performance:
    """What the lined wall does. ``share``: its temperature difference as a share of that to outside.

    ``climate`` and ``climate_notes`` are the verdicts and notes on room, heat and moisture, ``told`` what
    findings they have besides those of missed verdicts; ``sound`` (or why it is not judged) and ``frame``
    bring their own. ``years`` are those of its case ``case_id``, which ``case_walls`` share and the first of
    them shows; None where it was not followed. ``keep_warm`` says what was tried at every surface that is too
    cold, "" where none is.
    """

    wall: str
    share: float
    heat: Heat | None
    moisture: Moisture | None
    climate: tuple[Verdict, ...]
    climate_notes: tuple[str, ...]
    years: MoistureYears | None = None
    told: tuple[Finding, ...] = ()
    case_id: str = ""
    case_walls: tuple[str, ...] = ()
    keep_warm: str = ""
    sound: Sound | str = ""
    frame: Frame | None = None

    @property
    def verdicts(self) -> tuple[Verdict, ...]:
        """Those on all matters: room, heat, moisture, sound, frame."""
        return (*self.climate, *(part for topic in self._topics for part in topic.verdicts))

    @property
    def notes(self) -> tuple[str, ...]:
        """What is assumed in all matters, and what is not judged and why."""
        unheard = (self.sound,) if isinstance(self.sound, str) and self.sound else ()
        return (*self.climate_notes, *unheard, *(part for topic in self._topics for part in topic.notes))

    @property
    def findings(self) -> tuple[Finding, ...]:
        """Those on all matters."""
        return (*self.climate_findings, *(part for topic in self._topics for part in topic.findings))

    @property
    def _topics(self) -> tuple[Sound | Frame, ...]:
        heard = (self.sound,) if isinstance(self.sound, Sound) else ()
        return (*heard, *((self.frame,) if self.frame else ()))

    @property
    def climate_findings(self) -> tuple[Finding, ...]:
        """On room, heat and moisture: one for each verdict that is missed, then those told besides."""
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
                for verdict in self.climate
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
    climate_part = _climate(plan, practice, climate, years)
    return replace(climate_part, sound=sound_of(plan, practice), frame=frame_of(plan, practice))


def _climate(
    plan: WallPlan, practice: Practice, climate: SiteClimate | None, years: MoistureYears | str
) -> Performance:
    """What is said of room, heat and moisture."""
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
    verdicts = thickness_verdicts(plan)
    keep_warm = ""
    if heat:
        verdicts += heat_verdicts(plan, practice, heat, moisture, share)
        limit = frsi_wanted(plan, practice, moisture)[0]
        keep_warm = surface_remedy(plan, practice, heat, limit, share)
    if moisture:
        verdicts += monthly_verdicts(moisture, rules.condensate_limit_g_m2 / 1000)
    followed = years if isinstance(years, MoistureYears) else None
    if followed:
        verdicts += yearly_verdicts(wall, followed, rules)
    verdicts += dry_verdicts(wall, rules)
    notes = [*heat_notes(plan, heat), *method_notes(wall, practice, moisture, years, climate)]
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
