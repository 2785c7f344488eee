"""The programme as a printed set: charts, what it rests on, call-offs, crews, every operation."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial

from innerleaf.documents.pages import Note, Page, fitting
from innerleaf.documents.programme_charts import balance_chart, bars_charts
from innerleaf.documents.programme_days import day_plans_pdf
from innerleaf.documents.schedule import Table
from innerleaf.documents.title import TitleBlock
from innerleaf.programme.calendar_file import calendar_bytes
from innerleaf.programme.model import Programme

PROGRAMME_FILE, DAYS_FILE, CALENDAR_FILE = "programme.pdf", "day-plans.pdf", "programme.ics"
CALL_OFF_FILE = "call-offs.csv"


def programme_files(programme: Programme, title: TitleBlock) -> list[tuple[str, Callable[[], bytes]]]:
    """Names of the papers of a programme, and what makes each."""
    return [
        (PROGRAMME_FILE, partial(programme_pdf, programme, title)),
        (DAYS_FILE, partial(day_plans_pdf, programme, title)),
        *plain_files(programme, title),
    ]


def plain_files(programme: Programme, title: TitleBlock) -> list[tuple[str, Callable[[], bytes]]]:
    """Those of them that are no printed sheets: the calendar and the list of call-offs."""
    return [
        (CALENDAR_FILE, partial(calendar_bytes, programme, title.project, title.place)),
        (CALL_OFF_FILE, partial(call_off_csv, programme)),
    ]


def programme_pdf(programme: Programme, title: TitleBlock) -> bytes:
    """The programme as PDF; the same programme gives the same bytes."""
    from innerleaf.documents.pdf import set_pdf

    return set_pdf(programme_pages(programme), (), title)


def programme_pages(programme: Programme) -> list[Page]:
    """Bars, line of balance, then tables."""
    notes = fitting(_notes(programme), "More: see the table of findings.")
    charts = bars_charts(programme)
    of = f", part {{}} of {len(charts)}" if len(charts) > 1 else ""
    pages = [
        Page(
            wall="",
            title="Programme",
            subject="bars by room" + of.format(number),
            scale="",
            svg=chart,
            notes=notes if number == 1 else (),
        )
        for number, chart in enumerate(charts, 1)
    ]
    pages.append(
        Page(
            wall="",
            title="Line of balance",
            subject="rooms in the order that work in them begins",
            scale="",
            svg=balance_chart(programme),
            notes=(
                Note(
                    heading="Line of balance",
                    text="Each line runs over a room from the first hour of a phase there to its last,"
                    " and on to the next room. Flat: slow. Steep: quick. Where two lines touch, one waits.",
                ),
            ),
        )
    )
    first = [table for table in (call_off_table(programme), crew_table(programme)) if table.rows]
    told = [table for table in (finding_table(programme), against_table(programme)) if table.rows]
    pages.append(_page("Deliveries and crews", "when to call off, and who works how much", [*first, *told]))
    pages.append(_page("Operations", "in order of time", [operation_table(programme)]))
    return pages


def _page(title: str, subject: str, tables: Sequence[Table]) -> Page:
    return Page(wall="", title=title, subject=subject, scale="", tables=tuple(tables), wide=True)


def _notes(programme: Programme) -> list[Note]:
    gap = "proven to be the earliest" if programme.proven else f"at most {programme.gap:.1%} above the bound"
    notes = [
        Note(
            heading="Finish",
            text=f"{programme.finish}, {programme.working_days} working days from {programme.start[:10]}.",
        ),
        Note(
            lead="Not before:",
            text=f"{programme.finish_bound} ({programme.bound_days} working days); {gap}."
            f" {programme.stopped_by}",
        ),
        Note(lead="Hours:", text=f"{programme.hours:,.2f} h of our people, those of the price."),
        Note(lead="Returns:", text=f"{programme.returns} times a crew comes back to a room it has left."),
    ]
    if programme.overtime_hours:
        notes.append(Note(lead="Overtime:", text=f"{programme.overtime_hours:g} h."))
    for number, text in enumerate(programme.basis):
        notes.append(Note(heading="" if number else "What it rests on", text=text))
    for number, one in enumerate(programme.findings):
        heading, told = "" if number else "To see to", f"{one.room}: {one.text}; {one.remedy}."
        notes.append(Note(heading=heading, lead=f"{one.code}:", text=told))
    return notes


def call_off_table(programme: Programme) -> Table:
    """Deliveries in the order they have to be called off."""
    return Table(
        title="Deliveries to call off",
        columns=(
            *("call off by", "on site on", "delivery", "supplier", "storey", "phase"),
            *("kg", "places", "days"),
        ),
        rows=tuple(
            (
                one.call_on,
                f"{one.on}{' (agreed)' if one.agreed else ''}",
                one.delivery,
                one.supplier,
                one.storey or "building",
                one.phase,
                f"{one.mass_kg:,.0f}" if one.mass_kg else "",
                one.places or "",
                one.lead_days,
            )
            for one in programme.call_offs
        ),
        right=("kg", "places", "days"),
    )


def crew_table(programme: Programme) -> Table:
    """What each crew of ours does."""
    return Table(
        title="Crews",
        columns=("crew", "does", "people", "operations", "hours", "days there", "busy", "overtime h"),
        rows=tuple(
            (
                one.crew,
                one.skills,
                one.people,
                one.operations,
                f"{one.hours:,.2f}",
                one.days,
                f"{one.busy:.0%}",
                f"{one.overtime_hours:g}" if one.overtime_hours else "",
            )
            for one in programme.crews
        ),
        right=("people", "operations", "hours", "days there", "busy", "overtime h"),
    )


def finding_table(programme: Programme) -> Table:
    """What is to be seen to."""
    return Table(
        title="Findings",
        columns=("code", "where", "operation", "what", "what to do"),
        rows=tuple((one.code, one.room, one.operation, one.text, one.remedy) for one in programme.findings),
    )


def against_table(programme: Programme) -> Table:
    """Operations whose end differs from the first programme."""
    return Table(
        title="Against the first programme",
        columns=("operation", "room", "state", "planned", "now", "working days later"),
        rows=tuple(
            (one.id, one.room_name, one.state, one.planned, one.now, one.days)
            for one in programme.against
            if one.days
        ),
        right=("working days later",),
    )


def operation_table(programme: Programme) -> Table:
    """Every operation, in order of time."""
    return Table(
        title="Operations",
        columns=("start", "end", "room", "wall", "operation", "who", "hours", "dry at", "state"),
        rows=tuple(
            (
                one.start,
                one.end,
                ", ".join(part for part in (one.room_name, one.storey) if part),
                one.wall,
                one.step,
                one.crew,
                f"{one.hours:.2f}" if one.hours else "",
                one.dry_at,
                one.state if one.state != "planned" else "",
            )
            for one in programme.operations
        ),
        right=("hours",),
    )


def call_off_csv(programme: Programme) -> bytes:
    """The list of call-offs for other programs: comma separated, a line for each delivery."""
    import csv
    import io

    text = io.StringIO()
    table = csv.writer(text, lineterminator="\r\n")
    head = ("call_off_by", "on_site_on", "agreed", "delivery", "supplier", "storey", "phase", "kg", "places")
    table.writerow(head)
    for one in programme.call_offs:
        agreed = "yes" if one.agreed else "no"
        table.writerow(
            (
                *(one.call_on, one.on, agreed, one.delivery, _plain(one.supplier), _plain(one.storey)),
                *(one.phase, f"{one.mass_kg:.1f}", one.places),
            )
        )
    return text.getvalue().encode("utf-8")


def _plain(words: str) -> str:
    """Words that no table program takes for a formula."""
    return f"'{words}" if words.startswith(("=", "+", "-", "@")) else words
