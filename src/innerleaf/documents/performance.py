"""The performance sheet of a wall: verdicts with their working, heat balance, details, moisture."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from itertools import groupby
from math import ceil

from innerleaf.design.heat.assess import RSE, RSI
from innerleaf.design.heat.verdicts import FRSI
from innerleaf.design.heat.wall import Heat, Loss
from innerleaf.design.moisture.months import NO_MONTH, Condensate, Moisture
from innerleaf.design.performance import Performance
from innerleaf.documents.pages import FIELD_WIDTH_MM, Note, Page, fitting, sentence, subject_of
from innerleaf.documents.schedule import Cell, Table
from innerleaf.documents.sound_cells import frame_cells, sound_cells
from innerleaf.documents.svg import SvgSheet
from innerleaf.documents.thermal_details import draw_row, factor, parts_of, row_height_mm, shown_details
from innerleaf.documents.verdict_table import signed, verdict_table
from innerleaf.layout.pieces import WallPlan
from innerleaf.survey.wall import Wall

_NONE = "–"


def performance_page(plan: WallPlan, performance: Performance) -> Page:
    """Details drawn, then verdicts, heat balance and moisture as tables."""
    heat, moisture = performance.heat, performance.moisture
    tables = [verdict_table(performance.climate)] if performance.climate else []
    if heat:
        tables += [transmittance_table(heat), layered_table(heat), loss_table(heat)]
    if moisture:
        tables.append(moisture_table(moisture))
    return Page(
        wall=plan.wall.id,
        title="Performance",
        subject=subject_of(plan),
        scale="as shown" if heat else "",
        svg=details_svg(heat, performance.share) if heat else "",
        tables=tuple(tables),
        notes=fitting(list(_notes(performance)), "More: see the plan file."),
        wide=True,
    )


def details_svg(heat: Heat, share: float) -> str:
    """The member line and the coldest details, side by side."""
    parts = parts_of(shown_details(heat), share, FIELD_WIDTH_MM)
    sheet = SvgSheet(FIELD_WIDTH_MM, row_height_mm(parts))
    draw_row(sheet, parts, FIELD_WIDTH_MM)
    return sheet.svg()


def transmittance_table(heat: Heat) -> Table:
    """U before and after, and what is saved."""
    saved = heat.before - heat.after

    def less(after: float, before: float) -> str:
        return f"{signed(100 * (before - after) / before, 1)} %"

    edged = heat.before / heat.area_m2
    inner = sum(loss.quantity * loss.half for loss in heat.losses if loss.repeats)
    halves = sum(loss.quantity * loss.half for loss in heat.losses)
    rows = (
        ("old wall alone", f"{heat.u_before:.3f}", _NONE, f"{edged:.3f}", f"{heat.before:.2f}"),
        (
            "lined",
            f"{heat.u_clear:.3f}",
            _within(heat.u_set_out, inner / heat.area_m2, 3),
            _within(heat.u_effective, halves / heat.area_m2, 3),
            _within(heat.after, halves, 2),
        ),
        (
            "saved",
            less(heat.u_clear, heat.u_before),
            less(heat.u_set_out, heat.u_before),
            less(heat.u_effective, edged),
            f"{signed(saved, 2)} ({less(heat.after, heat.before)})",
        ),
    )
    columns = ("", "clear field", "with members and brackets", "with all edges", "loss W/K")
    title = f"U-value in W/(m²·K) over {heat.area_m2:.2f} m² seen from the room, calculated"
    return Table(title, columns, rows, columns[1:], ruled=(2,))


def layered_table(heat: Heat) -> Table:
    """The values of ISO 6946 beside the U as set out, and whether the standard allows them here."""
    beside = heat.layered

    def off(value: float) -> str:
        return f"{signed(100 * (value - heat.u_set_out) / heat.u_set_out, 1, plus=True)} %"

    def holds(fails: tuple[str, ...]) -> str:
        return "× DOES NOT HOLD: " + "; ".join(fails) if fails else "✓ holds"

    limits = f"{beside.lower:.3f} to {beside.upper:.3f}, ± {100 * beside.error:.0f} %"
    rows = (
        ("plane layers", f"{beside.plane:.3f}", off(beside.plane), _NONE, holds(beside.plane_fails)),
        (
            "combined method",
            f"{beside.combined:.3f}",
            off(beside.combined),
            limits,
            holds(beside.combined_fails),
        ),
        ("as set out, solved", f"{heat.u_set_out:.3f}", _NONE, _NONE, "decides"),
    )
    columns = ("lined", "U", "off the solved", "limits of R m²K/W", "as the standard says")
    return Table("U-value by ISO 6946 beside it, in W/(m²·K)", columns, rows, columns[1:3], ruled=(2,))


def loss_table(heat: Heat) -> Table:
    """Every term of the heat balance, and its sums."""
    inner = [loss for loss in heat.losses if loss.repeats]
    edges = [loss for loss in heat.losses if not loss.repeats]
    rows = [_loss_row(loss, heat.after) for loss in (*inner, *edges)]
    ruled = [len(inner), len(rows)]
    for what, losses in (
        ("clear field, members, brackets", inner),
        ("edges", edges),
        ("all", list(heat.losses)),
    ):
        before, after = sum(loss.before for loss in losses), sum(loss.after for loss in losses)
        rows.append((what, "", "", "", "", signed(before, 2), signed(after, 2), _share(after, heat.after)))
    columns = (
        "heat passes at",
        "quantity",
        "coefficient, old wall",
        "lined",
        "±",
        "old wall W/K",
        "lined W/K",
        "share",
    )
    title = "Heat balance: U [W/(m²·K)] × m², ψ [W/(m·K)] × m, χ [W/K] × pieces"
    return Table(title, columns, tuple(rows), columns[1:], ruled=tuple(ruled))


def _loss_row(loss: Loss, whole: float) -> tuple[Cell, ...]:
    pieces, was = loss.unit == "pieces", abs(loss.coefficient_before) >= 0.00005
    return (
        loss.what,
        f"{loss.quantity:.0f} {loss.unit}" if pieces else f"{loss.quantity:.2f} {loss.unit}",
        signed(loss.coefficient_before, 4) if was else _NONE,
        signed(loss.coefficient, 4),
        f"{max(loss.half, 0.0001):.4f}" if loss.half else _NONE,
        signed(loss.before, 2) if was else _NONE,
        signed(loss.after, 2),
        _share(loss.after, whole),
    )


def moisture_table(moisture: Moisture) -> Table:
    """Water that gathers in a year, in the old wall and in the lined one."""
    rows = tuple(
        _water_row(what, water)
        for what, water in (("old wall alone", moisture.before), ("lined", moisture.after))
    )
    columns = ("", "greatest g/m²", "begins in", "wettest at", "dry again in", "left after a year g/m²")
    title = (
        f"Moisture by the month, an estimate: room of humidity class {moisture.humidity_class},"
        f" {_factor_needed(moisture)}"
    )
    return Table(title, columns, rows, (columns[1], columns[-1]))


def _factor_needed(moisture: Moisture) -> str:
    if moisture.critical_month == NO_MONTH:
        return "no factor needed at the surface"
    return f"factor needed at the surface {moisture.frsi_needed:.3f} ({moisture.critical_month})"


def _water_row(what: str, water: Condensate) -> tuple[Cell, ...]:
    grams = (f"{1000 * water.peak:.0f}", f"{1000 * water.left:.0f}")
    places = (water.first, water.where, water.dry_again)
    first, where, dry = (place or _NONE for place in places)
    return what, grams[0], first, where, dry, grams[1]


def performance_row(wall: Wall, performance: Performance) -> tuple[Cell, ...]:
    """The wall in a table of walls; what is not judged is empty."""
    heat, moisture = performance.heat, performance.moisture
    missed = [verdict.requirement for verdict in performance.verdicts if not verdict.met]
    wanted = [verdict.limit for verdict in performance.verdicts if verdict.requirement == FRSI]
    balance: tuple[Cell, ...] = ("",) * 9
    coldest: tuple[Cell, ...] = ("", "")
    if heat:
        balance = (
            round(heat.area_m2, 2),
            round(heat.u_before, 3),
            round(heat.u_set_out, 3),
            round(heat.layered.plane, 3),
            round(heat.layered.combined, 3),
            "no: " + "; ".join(heat.layered.combined_fails) if heat.layered.combined_fails else "yes",
            round(heat.u_effective, 3),
            round(heat.before, 2),
            round(heat.after, 2),
        )
        coldest = (heat.coldest.detail.title, round(factor(heat.coldest.frsi, performance.share), 3))
    return (
        wall.id,
        wall.name,
        wall.other_side,
        *balance,
        *coldest,
        round(wanted[0], 3) if wanted else "",
        round(moisture.after.peak, 3) if moisture else "",
        *_years_cells(performance),
        *sound_cells(performance.sound),
        *frame_cells(performance.frame),
        len(missed),
        "; ".join(missed),
    )


def _years_cells(performance: Performance) -> tuple[Cell, ...]:
    years = performance.years
    if years is None:
        return ("",) * 4
    return (
        performance.case_id,
        round(years.gain_percent, 2),
        round(100 * years.humidity_most, 1),
        round(years.mould_index, 2),
    )


def _notes(performance: Performance) -> Iterable[Note]:
    """What the sheet is, what to do about what is missed, what is assumed, how to read the details."""
    yield Note(
        heading="What this sheet is",
        text="Figures are calculated from the wall as set out and as surveyed; they are estimates of"
        " the built wall. A basis for decisions by licensed practice under local codes, not a substitute"
        " for them.",
    )
    for number, finding in enumerate(performance.climate_findings):
        yield Note(
            heading="Not met: what to do" if number == 0 else "",
            lead=f"{finding.code}:",
            text=f"{finding.rule}. {sentence(finding.remedy[:1].upper() + finding.remedy[1:])}",
        )
    for number, note in enumerate(performance.climate_notes):
        yield Note(
            heading="Assumed, or not judged" if number == 0 else "",
            text=sentence(note[:1].upper() + note[1:]),
        )
    if any(verdict.risk is not None for verdict in performance.climate):
        yield Note(
            heading="How sure",
            text="u is the standard uncertainty of the value; likely missed is the part of a thousand samples"
            " that miss the limit when materials and workmanship scatter as the practice set says. Through"
            " the years, u is what the variants shift, and the likelihood that of a normal distribution. All"
            " are estimates.",
        )
    if performance.years:
        yield Note(
            heading="Moisture through the years",
            text=f"Case {performance.case_id}: courses and profiles are drawn with wall"
            f" {performance.case_walls[0]}.",
        )
    if performance.heat:
        yield from _layer_notes(performance.heat)
        against = (
            f" The wall has {100 * performance.share:.0f} % of the difference to outside; factors are those"
            " against outside."
            if performance.share != 1
            else ""
        )
        yield Note(
            heading="Reading the details",
            text="Member line, the coldest bracket (a level cut through it) and the coldest others, cut"
            " across; room above, steel black and thicker than"
            " it is, insulation tinted."
            " Thin lines join places of one temperature, every 0.1 of the way from outside air (0) to room"
            " air (1); the heavy line is 0.7, the usual limit against mould. The circle is the coldest spot"
            f" of the room's surface. Each is solved beyond the part drawn.{against}",
        )
        yield Note(
            heading="Figures",
            text="ψ and χ are what a line or point adds to the plane wall, internal dimensions, Rsi 0.13, Rse"
            " 0.04 m²K/W. ± is half the interval that holds the coefficient of the detail as modelled. fRsi"
            " is with Rsi 0.25.",
        )


def _layer_notes(heat: Heat) -> Iterable[Note]:
    """How the clear field comes about, layer by layer."""
    layers = heat.details[0].detail.plane[0][0].layers
    alike = groupby(layers, key=lambda layer: (layer.name, layer.conductivity))
    for number, (_, run) in enumerate(alike):
        same = list(run)
        layer = replace(same[0], thickness=sum(each.thickness for each in same))
        thickness = f"{1000 * layer.thickness:.4g} mm"
        by = "" if layer.name == "air" else f" / {layer.conductivity:.3g} W/(m·K)"
        yield Note(
            heading="Clear field, outside first" if number == 0 else "",
            lead=f"{layer.name}:",
            text=f"{thickness}{by} → {layer.resistance:.3f} m²K/W",
        )
    whole = RSE + sum(layer.resistance for layer in layers) + RSI
    yield Note(
        lead="With surfaces:", text=f"{whole:.3f} m²K/W, U = 1 / {whole:.3f} = {heat.u_clear:.3f} W/(m²·K)"
    )


def _within(value: float, half: float, decimals: int) -> str:
    """The figure with half its interval, rounded up."""
    step = 10**-decimals
    return f"{value:.{decimals}f} ± {ceil(half / step) * step:.{decimals}f}"


def _share(part: float, whole: float) -> str:
    return f"{signed(100 * part / whole, 0)} %"
