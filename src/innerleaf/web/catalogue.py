"""The practice of a job to look at: rules and articles with their sources, and what the firm changed."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, fields
from typing import Annotated, Any, Final

from fastapi import APIRouter, Path, Query, Response
from fastapi.responses import RedirectResponse

from innerleaf.practice.climates import TypicalClimate, typical_climates
from innerleaf.practice.load import CATALOGUES, load_practice
from innerleaf.practice.model import Practice, RuleNote
from innerleaf.units import show_figure
from innerleaf.web.api import Key
from innerleaf.web.manner import manner
from innerleaf.web.page import page
from innerleaf.web.people import Action, OfDesk, may
from innerleaf.web.words import words_of

router = APIRouter(include_in_schema=False, dependencies=[may(Action.LOOK)])

SECTIONS: Final = ("rules", *CATALOGUES, "climates")
_IN_MM: Final = ("depth", "thickness", "width", "length")
_UNITS: Final = (
    ("_mm", "mm"),
    ("_kg_m3", "kg/m³"),
    ("_kg_m2", "kg/m²"),
    ("_kg_m", "kg/m"),
    ("_kg", "kg"),
    ("_w_mk", "W/(m·K)"),
    ("_j_kgk", "J/(kg·K)"),
    ("_m", "m"),
)
_NO_LENGTH: Final = ("sd_m", "sd_damp_m", "per_m")  # in metres of air, or a metre of joint

Section = Annotated[str, Path(pattern=f"^({'|'.join(SECTIONS)})$")]


@dataclass(frozen=True, slots=True)
class Row:
    """An entry: its cells, where they come from, and what the set says where the firm says otherwise.

    ``was`` has the set's own values by column; an entry that only the firm has is ``own``.
    """

    id: str
    cells: Mapping[str, str]
    source: str
    was: Mapping[str, str]
    own: bool

    @property
    def changed(self) -> bool:
        """Whether the firm says anything of it."""
        return self.own or bool(self.was)

    def has(self, words: list[str]) -> bool:
        """Whether every word stands somewhere in it."""
        text = " ".join((self.id, self.source, *self.cells.values())).lower()
        return all(word in text for word in words)


@router.get("/jobs/{job}/catalogue")
def first(job: Key) -> Response:
    """To the first section."""
    return RedirectResponse(f"/jobs/{job}/catalogue/{SECTIONS[0]}", status_code=303)


@router.get("/jobs/{job}/catalogue/{section}")
def catalogue(
    desk: OfDesk,
    job: Key,
    section: Section,
    q: Annotated[str, Query(max_length=200)] = "",
    changed: Annotated[bool, Query()] = False,
) -> Response:
    """One section of the practice: entries that have all words of ``q``; with ``changed`` the firm's only."""
    opened = desk.open(job)
    rows = rows_of(section, opened.practice, load_practice(opened.job.practice))
    found = [row for row in rows if row.has(q.lower().split()) and (row.changed or not changed)]
    return page(
        "catalogue",
        job=opened.job,
        key=job,
        here="catalogue",
        practice=opened.practice,
        sections=SECTIONS,
        section=section,
        columns=columns_of(section),
        rows=found,
        of=len(rows),
        q=q,
        changed=changed,
    )


def rows_of(section: str, practice: Practice, as_set: Practice) -> list[Row]:
    """The entries of a section as the job has them, beside the set as it comes."""
    ours, theirs = entries_of(section, practice), entries_of(section, as_set)
    rows = []
    for key, entry in ours.items():
        cells = dict(_cells(entry))
        before = dict(_cells(theirs[key])) if key in theirs else {}
        was = {name: before[name] for name in before if before[name] != cells[name]}
        rows.append(Row(key, cells, entry.source, was, key not in theirs))
    return rows


def entries_of(section: str, practice: Practice) -> Mapping[str, Any]:
    """The entries of a section by id."""
    if section == "rules":
        return {note.name: note for note in practice.rule_notes}
    if section == "climates":
        return typical_climates()
    entries: Mapping[str, Any] = getattr(practice, section)
    return entries


def columns_of(section: str) -> list[tuple[str, str]]:
    """Field and unit of each column of a section."""
    cls = {"rules": RuleNote, "climates": TypicalClimate, **CATALOGUES}[section]
    return [
        (field.name, _unit_of(field.name))
        for field in fields(cls)
        if field.name not in ("id", "name", "source")
    ]


def _unit_of(field: str) -> str:
    if field == "per_m":
        return ""
    return next((unit for end, unit in _UNITS if field.endswith(end)), "")


def _cells(entry: Any) -> Iterator[tuple[str, str]]:
    """The cells of an entry as whoever asks reads them."""
    unit_of_rule = getattr(entry, "unit", "") if isinstance(entry, RuleNote) else ""
    for field in fields(entry):
        if field.name in ("id", "name", "source"):
            continue
        value = getattr(entry, field.name)
        unit = unit_of_rule if field.name in ("value", "low", "high") else _unit_of(field.name)
        if field.name == "unit" and value == "mm" and manner().unit == "in":
            value = "ft in"
        yield field.name, _shown(value, "" if field.name in _NO_LENGTH else unit)


def _shown(value: Any, unit: str) -> str:
    if isinstance(value, tuple):
        return ", ".join(_shown(part, unit) for part in value)
    words = words_of(manner().language)
    if isinstance(value, bool):
        return words("catalogue.yes" if value else "catalogue.no")
    if isinstance(value, int | float):
        if unit == "mm" and manner().unit == "in":
            return show_figure(value, unit, "in")
        return words.way.number(value)
    return str(value)
