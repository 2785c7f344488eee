"""What the command line shows on a terminal: tables a foreman understands, and a progress bar."""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from math import isfinite
from pathlib import Path
from typing import TYPE_CHECKING

from rich.box import SIMPLE_HEAD
from rich.console import Console
from rich.markup import escape
from rich.progress import BarColumn, MofNCompleteColumn, Progress, TaskID, TextColumn
from rich.table import Table

from innerleaf.findings import FINDING_CODES
from innerleaf.layout.pieces import WallPlan
from innerleaf.practice.model import Practice
from innerleaf.practice.structure import Structure
from innerleaf.survey.wall import Way
from innerleaf.takeoff.model import Purchase, Takeoff
from innerleaf.units import show_length

if TYPE_CHECKING:  # `rules` needs no pipeline, which loads much
    from innerleaf.cost.model import Order
    from innerleaf.design.choice.report import OptionRow, WallOptions
    from innerleaf.design.frame.heights import HeightRow
    from innerleaf.findings import Finding
    from innerleaf.pipeline import Planned
    from innerleaf.pipeline import Progress as Watch
    from innerleaf.takeoff.together import TogetherReport

MOST_ROWS = 120  # more walls than this: the table is for the workbook
_PLAIN_WIDTH = 120  # of tables that go to a file or to another program
_CUT_TO_SIZE = ("frame", "boards", "insulation", "membrane")  # groups with waste worth a figure
_BY_LENGTH = ("frame", "boards", "insulation", "beads")  # groups bought in stock lengths


@contextmanager
def progress_bar() -> Iterator[Watch]:
    """A progress bar on the error stream while the block runs; silent unless that is a terminal."""
    if not sys.stderr.isatty():
        yield lambda _doing, _done, _of: None
        return
    columns = (TextColumn("{task.description:<14}"), BarColumn(), MofNCompleteColumn())
    with Progress(*columns, console=Console(stderr=True), transient=True) as bar:
        tasks: dict[str, TaskID] = {}

        def show(doing: str, done: int, of: int) -> None:
            if doing not in tasks:
                tasks[doing] = bar.add_task(doing, total=of)
            bar.update(tasks[doing], completed=done, total=of)

        yield show


def show_rules(practice: Practice) -> None:
    """The rules of a practice set with value, range and source."""
    table = table_of("rule", ">value", ">range", "source")
    for note in practice.rule_notes:
        low, high = (_value(value, note.unit, practice, with_unit=False) for value in (note.low, note.high))
        table.add_row(
            escape(note.text),
            _value(note.value, note.unit, practice, with_unit=True),
            f"{low} to {high}",
            escape(note.source.strip()),
        )
    say(f"Practice set {practice.id}: {practice.title}")
    console().print(table)


def show_heights(practice: Practice, structure: Structure, rows: Sequence[HeightRow]) -> None:
    """Greatest heights of studs and distances of brackets, a column for each load case and finish."""
    unit = practice.display_unit
    columns = [(case, finish) for case in structure.cases for finish in structure.finishes]
    by_member: dict[tuple[str, int, bool, float], dict[tuple[str, str], HeightRow]] = {}
    for row in rows:
        key = (row.profile, row.count, row.channel, row.spacing_mm)
        by_member.setdefault(key, {})[row.case, row.finish] = row
    for channel, what in ((False, "Greatest height of studs"), (True, "Greatest distance of brackets")):
        table = table_of("members", ">spacing", *(f">{case}, {finish}" for case, finish in columns))
        for (profile, count, of_channel, spacing), cells in by_member.items():
            if of_channel == channel:
                name = profile if count == 1 else f"{count} × {profile}"
                lengths = (cells[column] for column in columns)
                table.add_row(
                    escape(name),
                    show_length(spacing, unit, with_unit=False),
                    *(f"{show_length(c.length_mm, unit, with_unit=False)} {c.governs[0]}" for c in lengths),
                )
        say(f"{what}, {'mm' if unit == 'mm' else 'feet and inches'}")
        console().print(table)
    say("d deflection, m moment, c the catalogue's limit, r the rule for brackets govern.")
    for case in structure.cases.values():
        say(f"{case.id}: {case.text}; {case.source.strip()}")
    for finish in structure.finishes.values():
        say(f"{finish.id}: span/{finish.ratio:g}; {finish.source.strip()}")
    say("A check of plausibility, members alone: tested tables and local codes govern.")


def show_plan(planned: Planned, out: Path) -> None:
    """What was planned, what must be bought, what to look at, and where everything is."""
    unit = planned.practice.display_unit
    if len(planned.plans) <= MOST_ROWS:
        console().print(_walls(planned.plans, unit))
    console().print(_purchases(planned.takeoff, unit))
    say(_totals(planned.plans, planned.takeoff))
    if planned.together:
        say(_chosen(planned.together))
    if planned.order:
        say(_ordered(planned.order))
    codes = Counter(finding.code for plan in planned.plans for finding in plan.findings)
    if codes:
        say("\nFindings, with places and remedies on the sheets and in plan.json:")
        for code, count in sorted(codes.items()):
            say(f"  {code}  {count:>4} ×  {FINDING_CODES[code]}")
    say(f"\nWritten to {out}:")
    for path in sorted(out.iterdir()):
        if not path.name.startswith("."):
            inside = f" ({len(list(path.iterdir()))} files)" if path.is_dir() else ""
            say(f"  {path}{inside}")


def _chosen(report: TogetherReport) -> str:
    """What choosing layouts for how the building is cut was worth."""
    if report.left_out:
        return f"Layout and cutting not chosen together: {report.left_out}."
    return (
        f"Layout and cutting together: {report.walls} walls drawn otherwise, "
        f"boards {-report.board_gain:+.1%}, boards and bars {-report.cost_gain:+.1%} of their cost."
    )


def show_options(told: Sequence[WallOptions], left_out: Sequence[Finding]) -> None:
    """What walls may be lined with: targets, finalists with both figures, trades, and what would help."""
    from innerleaf.design.choice.criteria import BY_KEY

    if left_out:
        articles = "; ".join(finding.text.partition(";")[0] for finding in left_out)
        say(f"{left_out[0].code}, left out with all linings that need them: {articles}.")
    for wall in told:
        unbeaten = len(next(iter(wall.front.values()), ()))
        say(
            f"\n{wall.wall} ({wall.room}): {wall.options} linings, {wall.passed} meet all targets,"
            f" {unbeaten} that no other beats. Best first, by {wall.objective}."
        )
        if not wall.passed:
            say("No lining meets all targets; this is the closest.")
        known = [key for key in _OF_OPTIONS if all(key in row.full for row in wall.rows)]
        table = table_of(">no", "lining", *(f">{_OF_OPTIONS[key]} [{BY_KEY[key].unit}]" for key in known))
        for row in (*wall.rows, *([wall.given] if wall.given else [])):
            name = row.lining if row.number else f"as the job says: {row.lining}"
            table.add_row(str(row.number or ""), escape(name), *(_both(row, key) for key in known))
        console().print(table)
        for sentence in _about_options(wall):
            say(sentence)


_OF_OPTIONS = {
    "cost": "cost",
    "hours": "hours",
    "thickness": "thick",
    "u_value": "U",
    "frsi": "fRsi",
    "sound_gain": "ΔRw",
    "carbon": "carbon",
}


def _both(row: OptionRow, key: str) -> str:
    """The figure in full, and the quick one in brackets where people read another."""
    from innerleaf.design.choice.criteria import BY_KEY

    criterion = BY_KEY[key]
    full, quick = (
        criterion.show(values[key]).removesuffix(criterion.unit).strip() for values in (row.full, row.quick)
    )
    return full if full == quick else f"{full} ({quick})"


def _about_options(wall: WallOptions) -> Iterator[str]:
    """Trades, targets missed, the cheapest change, what to give up, and notes."""
    for row in wall.rows:
        if row.trade:
            yield f"  {row.number} against {row.number - 1}: {row.trade}"
        if row.misses:
            yield f"  {row.number} misses in full: {'; '.join(row.misses)}"
    for target in wall.targets:
        if target.missed:
            alone = f"{target.missed_alone} it alone"
            yield f"  {target.target} ({target.source}): {target.missed} miss it, {alone}"
    for sentence in wall.fell:
        yield f"  Fell in full: {sentence}"
    if wall.change:
        yield f"  Nearly: {wall.change}"
    for sentence in wall.give_up:
        yield f"  To give up: {sentence}"
    if wall.given:
        verdict = f"misses {'; '.join(wall.given.misses)}" if wall.given.misses else "meets all targets"
        yield f"  The lining of the job {verdict}; {wall.better} options beat it in all that people trade."
    for note in wall.notes:
        yield f"  Note: {note}"
    yield "  In brackets: the quick figure, where the full one differs."


def options_record(told: Sequence[WallOptions], left_out: Sequence[Finding]) -> dict[str, object]:
    """The same for other programs; figures that are not known are null."""
    from dataclasses import asdict

    return {
        "ok": True,
        "left_out": [{"code": finding.code, "text": finding.text} for finding in left_out],
        "walls": [_without_nan(asdict(wall)) for wall in told],
    }


def _without_nan(value: object) -> object:
    if isinstance(value, dict):
        return {key: _without_nan(part) for key, part in value.items()}
    if isinstance(value, list | tuple):
        return [_without_nan(part) for part in value]
    return None if isinstance(value, float) and not isfinite(value) else value


def _walls(plans: tuple[WallPlan, ...], unit: str) -> Table:
    table = table_of(
        "wall", "room", "way", ">length × height", ">members", ">boards", ">brackets", "findings"
    )
    for plan in plans:
        wall = plan.wall
        found = Counter(finding.code for finding in plan.findings)
        members = "channels" if wall.lining.way == Way.BRACKETED else "studs"
        table.add_row(
            wall.id,
            escape(wall.room),
            wall.lining.way.value,
            f"{show_length(wall.length_mm, unit, with_unit=False)} × {show_length(wall.height_mm, unit)}",
            f"{len(plan.members)} {members}",
            str(len(plan.boards)),
            str(len(plan.brackets) or ""),
            ", ".join(code if count == 1 else f"{count} {code}" for code, count in sorted(found.items())),
        )
    return table


def _purchases(takeoff: Takeoff, unit: str) -> Table:
    table = table_of("to buy", "item", "how many", ">built of it", ">waste")
    for purchase in takeoff.purchases:
        table.add_row(
            purchase.group,
            purchase.item,
            _packs(purchase, unit),
            _quantity(purchase.net, purchase.unit),
            f"{purchase.waste:.0%}" if purchase.group in _CUT_TO_SIZE and purchase.pack_unit == "mm" else "",
        )
    return table


def _packs(purchase: Purchase, unit: str) -> str:
    """Such as "12 × 3000 mm, 4 × 2600 mm" for lengths, "3 packs of 100" for what comes in packs."""
    if purchase.group in _BY_LENGTH and purchase.pack_unit == "mm":
        text = ", ".join(f"{pack.count} × {show_length(pack.size, unit)}" for pack in purchase.packs)
        return f"{text}, {purchase.special} that no stock holds" if purchase.special else text
    (pack,) = purchase.packs
    if pack.size == 1:
        return str(pack.count)
    return f"{pack.count} pack{'s' if pack.count > 1 else ''} of {_quantity(pack.size, purchase.pack_unit)}"


def _quantity(quantity: float, unit: str) -> str:
    if unit == "mm":
        return f"{quantity / 1e3:,.1f} m"
    if unit == "mm2":
        return f"{quantity / 1e6:,.1f} m²"
    return f"{quantity:,.0f}" if unit == "piece" else f"{quantity:,.1f} {unit}"


def _totals(plans: tuple[WallPlan, ...], takeoff: Takeoff) -> str:
    findings = sum(len(plan.findings) for plan in plans)
    return (
        f"{len(plans)} walls: {len(takeoff.bars)} bars ({_waste(takeoff, 'frame')} waste) and "
        f"{len(takeoff.boards)} boards ({_waste(takeoff, 'boards')} waste) to buy, "
        f"{takeoff.mass_kg / 1000:,.1f} t built, {findings} finding{'' if findings == 1 else 's'}."
    )


def _ordered(order: Order) -> str:
    """The order in a sentence, and what it lacks a price for."""
    count = len(order.deliveries)
    text = (
        f"Order: {order.total / 100:,.2f} {order.currency}, {count} deliver{'y' if count == 1 else 'ies'}; "
        f"least possible {order.lower_bound / 100:,.2f}."
    )
    return f"{text} Without a price: {'; '.join(order.unpriced)}." if order.unpriced else text


def _waste(takeoff: Takeoff, group: str) -> str:
    bought = sum(purchase.bought for purchase in takeoff.purchases if purchase.group == group)
    net = sum(purchase.net for purchase in takeoff.purchases if purchase.group == group)
    return f"{bought / net - 1:.0%}" if net else "0%"


def _value(value: int, unit: str, practice: Practice, *, with_unit: bool) -> str:
    if unit == "mm":
        return show_length(value, practice.display_unit, with_unit=with_unit)
    return f"{value} {unit}" if with_unit else str(value)


def table_of(*columns: str) -> Table:
    """An empty table; a column marked > is set to the right."""
    made = Table(box=SIMPLE_HEAD, pad_edge=False)
    for column in columns:
        made.add_column(column.removeprefix(">"), justify="right" if column.startswith(">") else "left")
    return made


def show_table(columns: Sequence[str], rows: Sequence[Sequence[object]]) -> None:
    """A table of figures and words, if it has rows; columns as of `table_of`."""
    table = table_of(*columns)
    for row in rows:
        table.add_row(*(escape(str(cell)) for cell in row))
    if rows:
        console().print(table)


def say(sentence: str) -> None:
    """A sentence as it is, on one line however long."""
    console().print(sentence, markup=False, highlight=False, soft_wrap=True)


def console() -> Console:
    """A terminal, or something as wide as tables need."""
    return Console() if sys.stdout.isatty() else Console(width=_PLAIN_WIDTH)
