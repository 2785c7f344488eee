"""The page on moisture through the years: its pictures, water by layer and year, what it rests on."""

from __future__ import annotations

from collections.abc import Iterable

from innerleaf.design.moisture.transient_years import Frost, MoistureYears
from innerleaf.design.performance import Performance
from innerleaf.documents.moisture_plots import calendar, moisture_svg
from innerleaf.documents.pages import FIELD_WIDTH_MM, Note, Page, fitting, sentence, subject_of
from innerleaf.documents.schedule import Table
from innerleaf.layout.pieces import WallPlan
from innerleaf.physics.mould import CLASSES
from innerleaf.practice.model import Practice

_MOST_WALLS = 12  # named in the notes


def moisture_page(plan: WallPlan, performance: Performance, practice: Practice) -> Page:
    """The page of a case, printed with the first of its walls."""
    years = performance.years
    assert years
    return Page(
        wall=plan.wall.id,
        title=f"Moisture, case {performance.case_id}",
        subject=subject_of(plan),
        scale="as shown",
        svg=moisture_svg(years, practice.rules.mould_index_most_tenths / 10, FIELD_WIDTH_MM),
        tables=(water_table(years),),
        notes=fitting(list(_notes(years, performance, wood=plan.wall.wood_ends)), "More: see the plan file."),
        wide=True,
    )


def water_table(years: MoistureYears) -> Table:
    """Mean water of each layer, year by year, and its greatest in the last."""
    shown = range(years.years)
    rows = [
        (
            layer.name,
            f"{1000 * layer.thickness:.4g}",
            *(f"{layer.mean[year]:.2f}" for year in shown),
            f"{layer.most[-1]:.2f}",
        )
        for layer, of_case in zip(years.layers, years.case.layers, strict=True)
        if of_case.water
    ]
    sums = [sum(layer.at_end[year] for layer in years.layers) for year in shown]
    rows.append(("all, at the end of the year", "", *(f"{water:.2f}" for water in sums), ""))
    columns = ("layer", "mm", *(f"mean, year {year + 1}" for year in shown), "greatest, last year")
    settled = "settled" if years.settled else "not settled"
    change = f"{round(years.gain_percent, 2) + 0.0:+.2f} %".replace("-", "−")
    title = f"Water by layer and year, kg/m²: {settled}, change in the last year {change}"
    return Table(title, columns, tuple(rows), columns[1:], ruled=(len(rows) - 1,))


def _notes(years: MoistureYears, performance: Performance, *, wood: bool) -> Iterable[Note]:
    case = years.case
    yield Note(
        heading="What this sheet is",
        text=f"The clear field of case {performance.case_id}, hour by hour through {years.years} years, EN"
        " 15026: vapour, suction, heat, rain, sun. Verdicts on it stand on the performance sheets of its"
        " walls.",
    )
    more = len(performance.case_walls) - _MOST_WALLS
    walls = ", ".join(performance.case_walls[:_MOST_WALLS]) + (f" and {more} more" if more > 0 else "")
    yield Note(lead="Walls:", text=sentence(walls))
    if years.estimate:
        yield Note(
            heading="Weather, an estimate",
            text="Hours made from monthly means: no extremes, no bond of rain to wind. A wall that rain"
            " decides wants measured hours.",
        )
    else:
        yield Note(heading="Weather", text=sentence(f"A year of hours, over and over: {years.source}"))
    rain = (
        f"{100 * case.rain_factor:.0f} % of the driving rain in the free wind meets it; it takes in"
        f" {years.rain:.0f} kg/m² a year"
        if years.rain > 0
        else "no driving rain"
    )
    yield Note(
        lead="Outside:",
        text=f"faces {case.facing}° from north; {rain}; takes up {100 * case.absorptance:.0f} % of the sun.",
    )
    yield Note(
        lead="Room:",
        text=f"20 to 25 °C (EN 15026), humidity class {case.humidity_class} (ISO 13788). By the month"
        " it has 20 °C all the year.",
    )
    start = (
        "80 % humidity in all pores"
        if case.reading_percent is None
        else f"old wall with {case.reading_percent:g} % water by mass, or what it holds at 80 % humidity;"
        " 80 % elsewhere"
    )
    yield Note(
        lead=f"Start on {calendar(1, years.begins)}:", text=f"{start}. Each year goes on from the one before."
    )
    yield Note(
        heading="Frost at the outer face",
        text=f"Lined: {_frost(years.frost)}. Old wall alone: {_frost(years.frost_before)}."
        " No rule sets a limit; ice itself is not followed.",
    )
    if wood:
        yield Note(
            heading="Wooden ends",
            text=f"Wood {1000 * case.wood_depth:.0f} mm in from the outer face, worst 30 days:"
            f" {years.wood_percent:.1f} % of its dry mass; {years.wood_before:.1f} % without the lining.",
        )
    yield Note(
        heading="How sure",
        text="The last year gone on, with one thing at a time as bad as it may well be; u of a verdict is the"
        " root of the sum of the squares of the shifts from nothing changed:",
    )
    for variant in years.variants:
        ends = f", wood {variant.wood_percent:.1f} %" if wood else ""
        yield Note(lead=f"{variant.what}:", text=f"index {variant.mould_index:.2f}{ends}.")
    yield Note(
        heading="Water figures",
        text=f"Typical of each kind of material (practice data). Face judged as"
        f" {CLASSES[case.mould_class - 1].name}.",
    )
    stand_ins = [f"{layer.stands_for} for {layer.name}" for layer in case.layers if layer.stands_for]
    if stand_ins:
        yield Note(lead="Stand in:", text=sentence(", ".join(dict.fromkeys(stand_ins))))
    yield Note(
        heading="Not in it",
        text="Members, brackets, joints, cracks, air that moves, rising damp, water behind windows, salts.",
    )
    worst = max(abs(years.water_error), abs(years.heat_error))
    yield Note(
        heading="Balance",
        text=f"Water and heat not accounted for: {worst:.0e} of what passed.".replace("e-", "e−"),
    )


def _frost(frost: Frost) -> str:
    return f"{frost.hours} h below 0 °C, {frost.wet_hours} of them nearly full of water, {frost.turns} turns"
