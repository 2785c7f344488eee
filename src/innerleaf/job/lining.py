"""The lining wanted on a wall, complete."""

from __future__ import annotations

from collections.abc import Iterator

from innerleaf.job.book import Book, Level, Levels
from innerleaf.job.faults import NOTHING, Report, StandIn, one_of
from innerleaf.job.model import JobLining, JobWish
from innerleaf.job.parts import named_or_none
from innerleaf.job.schema import CHOOSE, JobFile, Lining, LiningFields


def resolve_lining(book: Book, wall: Levels) -> JobLining | None:
    """The lining of a wall; None: it is to be chosen, or there is a fault."""
    name = wall.pick("lining")
    if name is None:
        accepted = one_of([*book.file.linings, CHOOSE], "", what="names under linings")
        book.say(wall, "lining", given=NOTHING, accepted=accepted)
        return None
    named = None if name == CHOOSE else book.find("linings", wall, "lining", besides=(CHOOSE,))
    if named is None:
        return None
    return complete(name, named, wall.within("lining_changes", wall.levels[: wall.rank("lining") + 1]))


def resolve_wish(wall: Levels) -> JobWish | None:
    """What is settled of a lining that is to be chosen; None: the wall names its lining, or none."""
    if wall.pick("lining") != CHOOSE:
        return None
    said = wall.within("lining_changes", wall.levels[: wall.rank("lining") + 1])
    membrane = said.pick("membrane")
    return JobWish(
        way=said.pick("way"),
        profile=said.pick("profile"),
        spacing_mm=said.pick("spacing"),
        build=said.pick("build"),
        boards=said.pick("boards"),
        board_width_mm=said.pick("board_width"),
        insulation=said.pick("insulation"),
        insulation_behind=said.pick("insulation_behind"),
        membrane=None if membrane is None else named_or_none(membrane),
        bracket=said.pick("bracket"),
        gap_mm=said.pick("gap"),
        tiled=said.pick("tiled", False),
        finish=said.pick("finish", "Q2"),
        places=said.places,
    )


def complete(name: str, named: Lining, changes: Levels) -> JobLining:
    """A named lining with changes made to it."""
    levels = [*changes.levels, Level(named, ("linings", name))]
    said = Levels(changes.report, changes.subject, levels)
    return JobLining(
        id=name + _difference(changes, named),
        named=name,
        way=said.pick("way", "bracketed"),
        profile=said.pick("profile", StandIn()),
        spacing_mm=said.pick("spacing"),
        build=said.pick("build", "single"),
        boards=said.pick("boards", ()),
        board_width_mm=said.pick("board_width"),
        insulation=said.pick("insulation", ()),
        insulation_behind=said.pick("insulation_behind", ()),
        membrane=named_or_none(said.pick("membrane")),
        bracket=said.pick("bracket", ""),
        gap_mm=said.pick("gap", 0),
        tiled=said.pick("tiled", False),
        finish=said.pick("finish", "Q2"),
        places=said.places,
        doubtful=said.doubtful,
    )


def _difference(changes: Levels, named: LiningFields) -> str:
    """What is changed in a named lining, so that two linings never share an id: "warm (tiled)"."""
    words = []
    for field in LiningFields.model_fields:
        value = changes.pick(field)
        if value is None or value == getattr(named, field):
            continue
        text = " + ".join(value) if isinstance(value, tuple) else str(value)
        label = field.replace("_", " ")
        words.append(label if value is True else f"not {label}" if value is False else f"{label} {text}")
    return f" ({', '.join(words)})" if words else ""


def named_linings(file: JobFile, report: Report) -> Iterator[JobLining]:
    """Every lining that has a name, used or not."""
    for name, lining in file.linings.items():
        yield complete(name, lining, Levels(report, ("linings", name), ()))
