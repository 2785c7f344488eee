"""The tables and sections of a hand-over pack, each as plain values."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from innerleaf.documents.handover_model import (
    Answer,
    CheckedValue,
    CheckMade,
    FixingGuide,
    HandoverPack,
    Told,
    WallPack,
)
from innerleaf.documents.schedule import Cell, Table
from innerleaf.documents.verdict_table import likelihood, signed, verdict_figure
from innerleaf.documents.view import short
from innerleaf.practice.site import YES


@dataclass(frozen=True, slots=True, kw_only=True)
class Section:
    """A part of a pack under a heading; ``photos`` are digests with captions."""

    title: str
    words: tuple[str, ...] = ()
    tables: tuple[Table, ...] = ()
    lines: tuple[str, ...] = ()
    photos: tuple[tuple[str, str], ...] = ()

    @property
    def empty(self) -> bool:
        """Whether there is nothing to say."""
        return not (self.words or self.lines or self.photos or any(table.rows for table in self.tables))


def summary_table(pack: HandoverPack) -> Table:
    """One row a wall: checks made, missed and how they ended, deviations, photos, targets, what is open."""
    rows = []
    for wall in pack.walls:
        missed = [check for check in wall.checks if not check.met]
        accepted = sum(check.accepted is not None for check in missed)
        again = sum(check.accepted is None and check.again > 0 for check in missed)
        met = sum(statement.met for statement in wall.statements)
        rows.append(
            (
                wall.wall,
                ", ".join(filter(None, (wall.room, wall.storey))),
                len(wall.checks),
                len(missed),
                accepted,
                again,
                len(wall.deviations),
                sum(not photo.missing for photo in wall.photos),
                f"{met} of {len(wall.statements)}",
                len(wall.open_points),
            )
        )
    names = ("checks", "outside", "accepted", "mended", "deviations", "photos", "targets met", "open")
    return Table("Walls in this pack", ("wall", "room", *names), tuple(rows), names)


def step_table(wall: WallPack) -> Table:
    """Steps done, by whom and when."""
    rows = tuple((step.step, *_by(step.told)) for step in wall.steps)
    return Table("Steps done", ("step", "by", "arrived, UTC", "record"), rows, ("record",))


def check_table(wall: WallPack) -> Table:
    """Every measured value with its limit and margin; under the check who made it, and who answers for it."""
    rows: list[tuple[Cell, ...]] = []
    for check in wall.checks:
        told = check.told
        words = [
            check.text + _mark(check.mark, wall.wall),
            f"{told.by}, {told.time}, record {told.record}",
            *_ends(check),
        ]
        cells = [_value_cells(value) for value in check.values]
        columns = zip(*cells, strict=True) if cells else [("",)] * 4
        rows.append(("\n".join(words), *("\n".join(column) for column in columns)))
    columns_named = ("check", "value", "limit", "margin", "verdict")
    return Table(
        "Values against their limits", columns_named, tuple(rows), ("margin",), tuple(range(len(rows)))
    )


def _mark(mark: str, wall: str) -> str:
    """A piece by its mark, or the step after which something was checked."""
    if not mark:
        return ""
    return f", {short(mark, wall)}" if mark.startswith(wall) else f", after {mark}"


def _ends(check: CheckMade) -> list[str]:
    """What else is said of a check."""
    told = [f"with {check.with_values}"] if check.with_values else []
    told += [check.note] if check.note else []
    if check.accepted:
        told.append(answer_words(check.accepted))
    if check.again:
        told.append(f"made again: record {check.again}")
    if not check.settled:
        told.append("OPEN: nobody answers for it")
    return told


def answer_words(answer: Answer) -> str:
    """Who accepted something, and why."""
    told = answer.told
    role = f", {told.role}" if told.role else ""
    return f"accepted by {told.by}{role}, {told.time} (record {told.record}): {answer.reason}"


def _value_cells(value: CheckedValue) -> tuple[str, str, str, str]:
    sign = "✓ met" if value.met else "× OUTSIDE"
    text = value.text.lower()
    if value.unit == YES:
        return f"{text}: {'yes' if value.value else 'no'}", "yes", "", sign
    way = "at most" if value.at_most else "at least"
    margin = signed(value.margin, 1, plus=True).removesuffix(".0")
    return f"{text} {value.value:g} {value.unit}", f"{way} {value.limit:g} {value.unit}", margin, sign


def _by(told: Told) -> tuple[Cell, ...]:
    return told.by, told.time, str(told.record)


def hold_table(wall: WallPack) -> Table:
    """Hold points, passed or released."""
    rows = tuple(
        (
            hold.point + (f"\n{hold.reason}" if hold.reason else ""),
            hold.outcome,
            f"{hold.told.by}, {hold.told.role}" if hold.told.role else hold.told.by,
            hold.told.time,
            str(hold.told.record),
        )
        for hold in wall.holds
    )
    return Table("Hold points", ("point", "", "by", "arrived, UTC", "record"), rows, ("record",))


def deviation_table(wall: WallPack) -> Table:
    """What stands elsewhere than drawn, and who accepted it."""
    rows = tuple(
        (
            one.what + _mark(one.mark, wall.wall),
            one.values,
            "\n".join(
                filter(
                    None, (one.note, answer_words(one.accepted) if one.accepted else "not accepted by name")
                )
            ),
            *_by(one.told),
        )
        for one in wall.deviations
    )
    columns = ("deviation", "measured", "said of it", "by", "arrived, UTC", "record")
    return Table("Measured, and who accepted it", columns, rows, ("record",))


def statement_table(wall: WallPack) -> Table:
    """Requirements with their working and source below, value with its uncertainty, limit and margin."""
    rows: list[tuple[Cell, ...]] = []
    for one in wall.statements:
        unit = "" if one.unit == "-" else f" {one.unit}"
        sure = f" ± {verdict_figure(one.uncertainty, one.unit)}" if one.uncertainty else ""
        way = "at most" if one.at_most else "at least"
        risk = "" if one.risk is None else f"\nlikely missed: {likelihood(one.risk)}"
        rows.append(
            (
                "\n".join(
                    (one.requirement, *(f"\u2003{line}" for line in (*one.working, f"source: {one.source}")))
                ),
                f"{verdict_figure(one.value, one.unit)}{sure}{unit}",
                f"{way} {verdict_figure(one.limit, one.unit)}{unit}",
                verdict_figure(one.margin, one.unit, sign=True),
                ("✓ met" if one.met else "× NOT MET") + risk,
            )
        )
    columns = ("requirement, working, source", "value ± u", "limit", "margin", "verdict")
    return Table("Verdicts", columns, tuple(rows), ("margin",), tuple(range(len(rows))))


def stud_table(guide: FixingGuide, wall: str) -> Table:
    """Studs by running dimension, several pieces in one line together."""
    rows = tuple(
        (
            f"{stud.x_mm:g}",
            short(stud.mark, wall),
            stud.role,
            f"{stud.from_mm:.0f}",
            f"{stud.to_mm:.0f}",
        )
        for stud in guide.studs
    )
    columns = ("x of its middle", "mark", "", "from height", "to height")
    title = "Studs: x from the left end of the wall as seen from the room, heights from the floor, in mm"
    return Table(title, columns, rows, ("x of its middle", "from height", "to height"))


def backing_table(guide: FixingGuide, wall: str) -> Table:
    """Backing and noggings behind the boards."""
    rows = tuple(
        (short(one.mark, wall), one.what, f"{one.from_mm:.0f}", f"{one.to_mm:.0f}", f"{one.y_mm:.0f}")
        for one in guide.backing
    )
    columns = ("mark", "", "x from", "to", "height of its middle")
    return Table("Backing behind the boards, in mm", columns, rows, columns[2:])


def material_table(pack: HandoverPack) -> Table:
    """Articles with properties, amount and source."""
    rows = tuple(
        (
            f"{one.article}\n{one.what}",
            one.quantity,
            one.properties,
            one.source + ("\n" + "attached: " + ", ".join(one.documents) if one.documents else ""),
        )
        for one in pack.materials
    )
    columns = ("article", "built in", "properties as declared or taken", "source")
    return Table("Materials", columns, rows, ("built in",), tuple(range(len(rows))))


def document_table(pack: HandoverPack) -> Table:
    """Files inside this one."""
    rows = tuple(
        (one.file, one.title, f"{one.size / 1024:,.0f} kB", ", ".join(one.articles), one.sha256[:16])
        for one in pack.documents
    )
    columns = ("file", "title", "size", "for", "SHA-256 begins")
    return Table("Documents inside this file", columns, rows, ("size",))


def sections_of(wall: WallPack) -> Sequence[Section]:
    """What stands under a wall's heading, in order; drawings come after."""
    photos = tuple(
        ("" if photo.missing else photo.digest, f"record {photo.record}: {photo.caption}")
        for photo in wall.photos
    )
    hold = hold_table(wall)
    made = [
        Section(title="Open on this wall", lines=wall.open_points),
        Section(title="Work and hold points", tables=(step_table(wall), hold)),
        Section(title="Checks", tables=(check_table(wall),)),
        Section(title="Otherwise than drawn", tables=(deviation_table(wall),), lines=wall.notes),
        Section(title="Rules of the practice not kept", lines=wall.rules_not_kept),
        Section(title="Photos", photos=photos),
        Section(
            title="What the wall does, as built",
            words=(
                "Calculated from the wall as built and as surveyed; u is the standard uncertainty of a value,"
                " likely missed the part of a thousand samples that miss the limit. Estimates, not measured.",
            )
            if wall.statements
            else (),
            tables=(statement_table(wall),),
            lines=wall.assumed,
        ),
        guide_section(wall),
    ]
    return [section for section in made if not section.empty]


def guide_section(wall: WallPack) -> Section:
    """Where to fix, what may hang, what to keep off."""
    guide = wall.guide
    words = (
        f"Boards are {guide.cover_mm:g} mm thick before the steel; the lining is {guide.depth_mm:g} mm deep.",
        f"On a metre of this lining may hang {guide.load_n_m:.0f} N (some {guide.load_n_m / 9.81:.0f} kg),"
        f" spread over its studs, without further proof ({guide.load_source}).",
    )
    return Section(
        title="Where to fix, and what may hang",
        words=words,
        tables=(stud_table(guide, wall.wall), backing_table(guide, wall.wall)),
        lines=(
            *(f"meant to hang here: {load}" for load in guide.drawn_loads),
            *(f"keep off: {thing}" for thing in guide.keep_off),
        ),
    )
