"""How the linings were chosen, as a printed page: what was made least, and what there was besides."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from functools import partial

from innerleaf.design.choice.criteria import BY_KEY
from innerleaf.design.choice.record import ChoiceRecord, FigureRecord, WallChoiceRecord
from innerleaf.documents.pages import Note, Page
from innerleaf.documents.schedule import Cell, Table
from innerleaf.documents.title import TitleBlock

CHOICE_FILE = "choice.pdf"
_TOLD = ("cost", "hours", "thickness", "u_value", "frsi", "sound_gain", "mould", "carbon")
_SHORT = {
    "cost": "cost",
    "hours": "hours",
    "thickness": "thick",
    "u_value": "U",
    "frsi": "fRsi",
    "sound_gain": "ΔRw",
    "mould": "mould",
    "carbon": "carbon",
}
_HOW = (
    "Every lining of the catalogue was held against every target by quick figures; those chosen were then set"
    " out and judged in full, as on their own sheets. Figures here are the full ones."
)


def choice_files(record: ChoiceRecord, title: TitleBlock) -> list[tuple[str, Callable[[], bytes]]]:
    """The file about the choice by name, and what makes it."""
    return [(CHOICE_FILE, partial(choice_pdf, record, title))]


def choice_pdf(record: ChoiceRecord, title: TitleBlock) -> bytes:
    """The choice as PDF; the same choice gives the same bytes."""
    from innerleaf.documents.pdf import set_pdf

    return set_pdf([choice_page(record)], (), title)


def choice_page(record: ChoiceRecord) -> Page:
    """Tables of linings, of what stood in the way of others, and of what was given up; walls alike as one."""
    walls = list(_alike(record))
    return Page(
        wall="",
        title="How the linings were chosen",
        subject="walls that left their lining open",
        scale="",
        tables=(_linings(walls), _targets(walls), _given_up(walls)),
        notes=tuple(_notes(record)),
        wide=True,
    )


def _alike(record: ChoiceRecord) -> Iterator[tuple[str, WallChoiceRecord]]:
    """Walls that differ in nothing that is told share a row."""
    kinds: dict[WallChoiceRecord, list[str]] = {}
    for wall in record.walls:
        kinds.setdefault(replace(wall, wall=""), []).append(wall.wall)
    for wall, names in kinds.items():
        yield ", ".join(names), wall


def _linings(walls: list[tuple[str, WallChoiceRecord]]) -> Table:
    known = [key for key in _TOLD if any(_of(wall, key) for _, wall in walls)]
    heads = {key: f"{_SHORT[key]} [{BY_KEY[key].unit}]".removesuffix(" [-]") for key in known}
    rows: list[tuple[Cell, ...]] = []
    for names, wall in walls:
        figures = [_shown(_of(wall, key)) for key in known]
        rows.append((names, wall.lining, *figures, wall.options, wall.passed, wall.unbeaten))
    counts = ("options", "meet all", "unbeaten")
    return Table(
        "What was chosen",
        ("wall", "lining", *heads.values(), *counts),
        tuple(rows),
        right=(*heads.values(), *counts),
    )


def _of(wall: WallChoiceRecord, key: str) -> FigureRecord | None:
    return next((figure for figure in wall.figures if figure.criterion == key), None)


def _shown(figure: FigureRecord | None) -> str:
    if figure is None or figure.full is None:
        return "–"
    criterion = BY_KEY[figure.criterion]
    return criterion.show(figure.full).removesuffix(criterion.unit).strip()


def _targets(walls: list[tuple[str, WallChoiceRecord]]) -> Table:
    rows = [
        (names, each.target, each.source, each.missed, each.missed_alone)
        for names, wall in walls
        for each in wall.targets
        if each.missed
    ]
    columns = ("wall", "target", "asked by", "options that miss it", "it alone")
    return Table("What stood in the way of others", columns, tuple(rows), right=columns[-2:])


def _given_up(walls: list[tuple[str, WallChoiceRecord]]) -> Table:
    rows = []
    for names, wall in walls:
        rows += [(names, "another would give", words) for words in wall.gave_up]
        rows += [(names, "fell in full", words) for words in wall.fell]
        rows += [(names, "is missed", words) for words in wall.misses]
        rows += [(names, "note", words) for words in wall.notes]
    return Table("What was given up, and what to note", ("wall", "", "what"), tuple(rows))


def _notes(record: ChoiceRecord) -> Iterator[Note]:
    yield Note(heading="Made least", text=f"{record.objective}, over all these walls together.")
    proof = "no choice is less" if record.proved else "a better one is not ruled out"
    yield Note(
        heading="Value",
        text=f"{record.value:.2f} {record.unit}: walls {record.sum_of_walls:.2f}, for different linings"
        f" {record.for_variety:.2f} (those that the job names count). Bound {record.bound:.2f}: {proof}."
        " Quick figures, 1 to 2 % from those in full.",
    )
    yield Note(heading="Different linings", text=f"{record.systems} among these walls.")
    yield Note(heading="How", text=_HOW)
