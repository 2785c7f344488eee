"""The command about the programme of a job."""

from __future__ import annotations

import json
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from innerleaf.programme.model import Programme
    from innerleaf.programme.what_if import Outcome

_FILE = click.Path(path_type=Path)
_MOST_ROWS = 60


@click.command()
@click.argument("job", type=_FILE)
@click.option(
    "--what-if",
    "words",
    metavar='"one more jointer"',
    multiple=True,
    help="A change to look at, alone; may be given again.",
)
@click.option("--usual", is_flag=True, help="Look at the usual changes as well.")
@click.option("--today", default="", metavar="DATE", help="Plan again from the morning of this day on.")
@click.option("--done", type=_FILE, help="File of operations begun and done; what is done stays.")
@click.option("--out", type=_FILE, help="Folder for the papers, the calendar and the list of call-offs.")
@click.option("--replace", is_flag=True, help="Write over an earlier programme there.")
@click.option(
    "--seconds",
    type=click.FloatRange(0.1, 3600),
    help="Search so long by the clock; left out: so many schedules, the same answer every time.",
)
@click.option("--quick", is_flag=True, help="Lay out each wall by itself, not for how the building is cut.")
@click.option("--workers", type=click.IntRange(1, 64), default=1, show_default=True, help="Processes to use.")
@click.option("--json", "as_json", is_flag=True, help="Answer in JSON, for other programs.")
def programme(
    job: Path,
    words: tuple[str, ...],
    usual: bool,
    today: str,
    done: Path | None,
    out: Path | None,
    replace: bool,
    seconds: float | None,
    quick: bool,
    workers: int,
    as_json: bool,
) -> None:
    """Say when who does what in a job.

    Crews, other trades, drying, hold points and deliveries stand in the job file under `programme`.
    Changes are plain words: one more jointer, one more crew frame, without crew boards, two days lost,
    start 2026-03-09, overtime 2 h, deliveries 3 days late, attic open from 2026-03-30, air 8 °C 85 %,
    minutes +10 %. A comma joins changes that come together.
    """
    from innerleaf import cli_text, programme_case
    from innerleaf.programme.for_job import Asked
    from innerleaf.programme.schedule import Effort
    from innerleaf.programme.what_if import check_words

    check_words(words)
    asked = Asked(effort=Effort(seconds=seconds), words=words, today=today, done=done)
    with cli_text.progress_bar() as progress:
        planned, outcomes = programme_case.programmed_job(
            job, asked, usual=usual, together=not quick, workers=workers, progress=progress
        )
        if out:
            programme_case.write_programme(planned, out, replace=replace)
    assert planned.programme is not None
    if as_json:
        made = programme_case.record_of(planned.programme, outcomes)
        click.echo(json.dumps(made, ensure_ascii=False, indent=1))
    else:
        _show(planned.programme, outcomes)


def _show(made: Programme, outcomes: Sequence[Outcome]) -> None:
    """Start and finish with the bound, rooms, crews, call-offs, findings, what if."""
    from innerleaf import cli_text

    gap = "proven the earliest" if made.proven else f"{made.gap:.1%} above the bound"
    click.echo(
        f"{made.start} to {made.finish}: {made.working_days} working days, not fewer than {made.bound_days}"
        f" ({made.finish_bound}; {gap}). {made.hours:,.2f} hours, {made.returns} returns to rooms."
    )
    rooms: dict[str, list[str]] = {}
    for one in made.operations:
        name = ", ".join(filter(None, (one.room_name, one.storey)))
        begin, end = rooms.setdefault(name, [one.start, one.end])
        rooms[name] = [min(begin, one.start), max(end, one.end)]
    rows = [(name, *span) for name, span in list(rooms.items())[:_MOST_ROWS]]
    cli_text.show_table(("room", "begun", "done"), rows)
    crews = [
        (one.crew, one.skills, one.people, f"{one.hours:,.2f}", one.days, f"{one.busy:.0%}")
        for one in made.crews
    ]
    cli_text.show_table(("crew", "does", ">people", ">hours", ">days", ">busy"), crews)
    calls = [
        (one.call_on, one.on, one.delivery, ", ".join(filter(None, (one.storey, one.phase))), one.supplier)
        for one in made.call_offs
    ]
    cli_text.show_table(("call off by", "on site on", "delivery", "for", "supplier"), calls)
    late = [one for one in made.against if one.days and one.state != "done"][:_MOST_ROWS]
    moved = [(one.id, one.planned, one.now, one.days) for one in late]
    cli_text.show_table(("against the first programme", "planned", "now", ">days later"), moved)
    what = [
        (one.words, one.finish, one.days_later, one.returns, f"{one.overtime_hours:g}", one.findings)
        for one in outcomes
    ]
    heads = ("what if", "finish", ">working days later", ">returns", ">overtime h", ">findings")
    cli_text.show_table(heads, what)
    for finding in made.findings:
        click.echo(str(finding))
