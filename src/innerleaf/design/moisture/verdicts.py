"""Verdicts on moisture: by the month, through the years, on damp found; and which method decides, and why."""

from __future__ import annotations

from collections.abc import Iterator
from math import erf, sqrt

from innerleaf.design.climate import SiteClimate
from innerleaf.design.moisture.months import NO_MONTH, Moisture
from innerleaf.design.moisture.transient_case import MEASURED_CLASS
from innerleaf.design.moisture.transient_years import MOULD_YEARS, MoistureYears
from innerleaf.findings import Finding
from innerleaf.physics.mould import CLASSES
from innerleaf.practice.model import Practice, Rules
from innerleaf.survey.damp import NOT_TO_BE_LINED, soaking
from innerleaf.survey.wall import Wall
from innerleaf.verdicts import Verdict

GATHERED, LEFT = "water gathered inside the wall", "water left after a year"
GAIN = "water gained from year to year"
MOULD = "mould index behind the insulation"
WOOD = "moisture of wooden ends in the wall"
DRY = "water in the old wall before lining"  # its finding, H111, comes with the layout
CODES = {GATHERED: "H104", LEFT: "H105", GAIN: "H106", MOULD: "H107", WOOD: "H108"}
REMEDIES = {
    "H104": "add or tighten the vapour control layer; have the wall proved by a transient calculation",
    "H105": "do not build it so: the wall gets wetter from year to year",
    "H106": "do not build it so: let the wall dry outwards and inwards, keep the rain off it",
    "H107": "keep rain off the wall, take less insulation or a film that suits; strip paper and paste first",
    "H108": "keep rain off the wall, leave the insulation out round the wooden ends, have them looked at",
}
BY_THE_MONTH = (CODES[GATHERED], CODES[LEFT])
SUCKS_FROM = 0.01  # kg/(m²·√s): an old wall that draws water like brick, render or soft stone


def monthly_verdicts(moisture: Moisture, limit: float) -> list[Verdict]:
    """Water that gathers in a winter, against a limit [kg/m²], and what is left of it."""
    after, before = moisture.after, moisture.before
    working = (
        f"{after.peak * 1000:.0f} g/m² at most"
        + (f", from {after.first}, at {after.where}" if after.first else ", none gathers"),
        f"old wall alone: {before.peak * 1000:.0f} g/m²",
    )
    dry = f"dry again: {after.dry_again}" if after.first else "none gathers"
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
            working=(f"{after.left * 1000:.0f} g/m² after twelve months; {dry}",),
            source=source,
            uncertainty=moisture.left_spread,
            risk=moisture.risk_left,
        ),
    ]


def yearly_verdicts(wall: Wall, years: MoistureYears, rules: Rules) -> list[Verdict]:
    """Water from year to year, mould behind the insulation, wooden ends where there are any."""
    ends = [sum(layer.at_end[year] for layer in years.layers) for year in range(years.years)]
    settled = f"settled after {years.years} years" if years.settled else f"not settled in {years.years} years"
    mould = years.spread(lambda each: each.mould_index)
    gain = years.spread(lambda each: each.gain_percent)
    verdicts = [
        _estimate(
            GAIN,
            years.gain_percent,
            float(rules.water_gain_most_percent),
            "%",
            gain,
            (
                f"at the end of each year: {', '.join(f'{water:.2f}' for water in ends)} kg/m² ({settled})",
                f"mean in the old wall: {years.old_water:.2f} kg/m²,"
                f" {years.old_water_before:.2f} without the lining",
            ),
            "EN 15026; limit: the rule water_gain_most_percent",
        ),
        _estimate(
            MOULD,
            years.mould_index,
            rules.mould_index_most_tenths / 10,
            "-",
            mould,
            (
                f"{years.mould_place}: {100 * years.humidity_most:.1f} % humidity in 30 days",
                f"greatest of {MOULD_YEARS} years; {CLASSES[rules.mould_class_old_face - 1].name}",
            ),
            "EN 15026, VTT model; limit: the rule mould_index_most_tenths",
        ),
    ]
    if wall.wood_ends:
        wood = years.spread(lambda each: each.wood_percent)
        verdicts.append(
            _estimate(
                WOOD,
                years.wood_percent,
                float(rules.wood_moisture_most_percent),
                "%",
                wood,
                (
                    f"in balance with the wall {rules.wood_end_bearing_mm} mm from its inner face, 30 days",
                    f"without the lining: {years.wood_before:.1f} %",
                ),
                "EN 15026; limit: the rule wood_moisture_most_percent",
            )
        )
    return verdicts


def _estimate(
    requirement: str,
    value: float,
    limit: float,
    unit: str,
    uncertainty: float,
    working: tuple[str, ...],
    source: str,
) -> Verdict:
    """A verdict whose risk takes the uncertainty as the standard deviation of a normal distribution."""
    risk = 0.5 * (1 + erf((value - limit) / (sqrt(2) * uncertainty))) if uncertainty else float(value > limit)
    return Verdict(
        requirement=requirement,
        value=value,
        limit=limit,
        unit=unit,
        at_most=True,
        working=working,
        source=source,
        uncertainty=uncertainty,
        risk=risk,
    )


def dry_verdicts(wall: Wall, rules: Rules) -> list[Verdict]:
    """What the survey found: damp by eye, whatever was read, else its reading against the limit, if any."""
    found = soaking(wall)
    read = found and (
        f"{found.reading_percent:g} % of the dry mass = {found.held_kg_m3:.0f} kg/m³;"
        f" {found.material} takes up {found.free_kg_m3:.0f} kg/m³ by suction"
    )
    working = (read,) if read else ()
    if wall.damp:
        return [
            Verdict(
                requirement=DRY,
                value=1.0,
                limit=0.0,
                unit="signs",
                at_most=True,
                working=("the survey found the wall damp", *working),
                source="the survey",
            )
        ]
    if found is None:
        return []
    return [
        Verdict(
            requirement=DRY,
            value=found.percent,
            limit=float(rules.damp_from_percent),
            unit="%",
            at_most=True,
            working=working,
            source="the survey; limit: the rule damp_from_percent",
        )
    ]


def suspects(wall: Wall, practice: Practice, years: MoistureYears) -> list[str]:
    """What the monthly method leaves out and this wall has: where there is any, the years decide."""
    case = years.case
    found = []
    if years.rain > 0:
        found.append("driving rain reaches the wall")
    thickest = max(case.layers[: case.old], key=lambda layer: layer.thickness)
    if thickest.water and thickest.water.absorption_kg_m2_sqrt_s >= SUCKS_FROM:
        found.append(f"{thickest.name} sucks water")
    if wall.lining.membrane and practice.membranes[wall.lining.membrane].sd_damp_m:
        found.append("the vapour control layer opens when damp")
    if wall.targets.moisture_safe:
        found.append("the job asks that no moisture gathers")
    return found


def method_notes(
    wall: Wall,
    practice: Practice,
    moisture: Moisture | None,
    years: MoistureYears | str,
    climate: SiteClimate | None = None,
) -> Iterator[str]:
    """Which method decides, and why; the room and the climate each rests on."""
    if wall.damp:
        yield f"the survey found this wall damp: {NOT_TO_BE_LINED}"
    if moisture and moisture.critical_month == NO_MONTH:
        yield (
            "no month is colder outside than the room, which the monthly method takes as cooled to 20 °C: no"
            " factor is needed at the surface"
        )
    if isinstance(years, MoistureYears):
        if moisture:
            yield from _rests_on(years, climate)
        reasons = suspects(wall, practice, years)
        if reasons:
            yield (
                f"the calculation through the years (EN 15026) decides: {', '.join(reasons)}. The monthly"
                " method (ISO 13788) leaves rain, suction and storage out; it stands beside for comparison"
            )
        else:
            yield (
                "the monthly method (ISO 13788) decides: no driving rain, nothing that sucks, no film that"
                " changes. The years (EN 15026) stand beside for comparison"
            )
        if years.estimate:
            yield "hours made from months are an estimate; a wall that rain decides wants measured hours"
        if wall.facing_deg is None:
            yield "the job does not say what the wall faces: it is taken to face where most rain comes from"
        return
    if moisture:
        yield "monthly method (ISO 13788): no driving rain, no water drawn by the wall, no air leaks"
    if years and (wall.targets.moisture_safe or (wall.other_side == "outside" and wall.construction)):
        yield f"not followed through the years (EN 15026): {years}"


def _rests_on(years: MoistureYears, climate: SiteClimate | None) -> Iterator[str]:
    """Room and climate of the two methods, which are not the same."""
    yield "room: 20 °C all the year by the month, 20 to 25 °C through the years"
    if climate and climate.source and not years.estimate and climate.source != years.source:
        yield (
            f"by the month: the climate that {climate.source} gives; through the years: the hours of"
            f" {years.source}"
        )


def unjudged_notes(wall: Wall, moisture: Moisture | None, climate: SiteClimate | None) -> Iterator[str]:
    """Why the monthly method says nothing."""
    if moisture is None and wall.other_side == "outside":
        if climate is None:
            yield "moisture is not judged: the job gives no monthly temperature and humidity of the site"
        elif wall.humidity_class == MEASURED_CLASS:
            yield "moisture is not judged: humidity class 5 needs the measured climate of the room"


def moisture_findings(wall: Wall, years: MoistureYears | str, rules: Rules) -> Iterator[Finding]:
    """What is missing for a verdict that was asked for, or that rain would decide."""
    if isinstance(years, MoistureYears):
        exposed = wall.rain_exposure != "sheltered" or rules.driving_rain_sheltered_percent
        if exposed and not years.rain > 0:
            yield Finding(
                code="H112",
                wall=wall.id,
                rule="weather",
                text=f"the weather drives no rain against the wall ({years.source}): it stays dry outside",
                remedy="give weather with rain and wind (site.weather, or rain and wind by the month)",
            )
    elif years and wall.targets.moisture_safe:
        yield Finding(
            code="H109",
            wall=wall.id,
            rule="moisture",
            text=f"no moisture may gather, but the wall cannot be followed through the years: {years}",
            remedy="give what is missing in the job, or have the wall proved by a designer",
        )
