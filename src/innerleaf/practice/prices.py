"""What things cost: a price list with hours of labour by operation and embodied carbon.

Each practice set brings a list; a firm's own file replaces whole sections of it. An article that its section
does not name cannot be bought: whoever chooses leaves it out and says so.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path
from typing import Any, Final

from innerleaf.errors import FileFaults, InputError
from innerleaf.practice.model import Practice
from innerleaf.reading import Place, Text, read_file

ARTICLES: Final = ("profiles", "boards", "insulation", "brackets", "membranes", "screws", "consumables")
PEOPLE: Final = ("fitter", "helper")
_HEAD: Final = ("source", "currency", "date")


class Operation(StrEnum):
    """Work that a price list knows the minutes of; each has its unit."""

    SETTING_OUT = "setting out"  # m of wall
    TRACK = "track"  # m
    MEMBER = "member"  # m
    BRACKET = "bracket"  # piece
    INSULATION = "insulation"  # m² of one layer
    MEMBRANE = "membrane"  # m²
    BOARD = "board"  # m² of one layer
    BOX = "box"  # piece
    JOINT = "joint"  # m, one coat
    SKIM = "skim"  # m²
    SEALANT = "sealant"  # m


@dataclass(frozen=True, slots=True)
class Minutes:
    """What one unit of an operation takes of each person. [min]"""

    fitter: float
    helper: float
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PriceList:
    """Prices by (section, article) in the unit the article is bought by; rates by person, an hour.

    Profiles by the metre, boards, insulation and membranes by the square metre, brackets by the piece,
    screws and consumables by the pack. ``carbon`` has the same keys. [kg CO2e]
    """

    source: str
    currency: str
    date: str
    prices: Mapping[tuple[str, str], float]
    rates: Mapping[str, float]
    work: Mapping[Operation, Minutes]
    carbon: Mapping[tuple[str, str], float]
    carbon_source: str

    def price(self, section: str, article: str) -> float:
        """The price of one unit; not a number where the list does not name the article."""
        return self.prices.get((section, article), math.nan)

    def carbon_of(self, section: str, article: str) -> float:
        """Embodied carbon of one unit; not a number where there is no figure."""
        return self.carbon.get((section, article), math.nan)


def load_prices(practice: Practice, own: Path | None = None) -> PriceList:
    """The price list of a practice set, with a firm's own file laid over it.

    Raises
    ------
    FileFaults
        A file cannot be read or says what cannot be used; all faults, each with file, line and column.
    """
    said: dict[str, tuple[Text, Any]] = {}
    faults: list[str] = []
    sections = (*_HEAD, *ARTICLES, "labour", "work", "carbon")
    for path in filter(None, (Path(__file__).parent / practice.id / "prices.yaml", own)):
        text = read_file(path).checked()
        for section, body in _group(text, (), text.value, sections, faults):
            said[section] = text, body
    missing = [f"prices: the section {section} is missing." for section in sections if section not in said]
    if missing:
        raise FileFaults([*faults, *missing])
    reader = _Reader(practice, said, faults)
    prices = reader.articles((), ARTICLES)
    text, body = said["carbon"]
    there = [name for name, _ in _group(text, ("carbon",), body, ("source", *ARTICLES), faults)]
    carbon = reader.articles(("carbon",), tuple(name for name in there if name != "source"))
    made = PriceList(
        source=reader.word("source"),
        currency=reader.word("currency"),
        date=reader.word("date"),
        prices=prices,
        rates=reader.numbers(("labour",), said["labour"], PEOPLE),
        work=reader.work(),
        carbon=carbon,
        carbon_source=reader.word("carbon", "source"),
    )
    if faults:
        raise FileFaults(faults)
    return made


class _Reader:
    """Takes the sections apart; everything wrong goes into ``faults``."""

    def __init__(self, practice: Practice, said: dict[str, tuple[Text, Any]], faults: list[str]) -> None:
        self.practice, self.said, self.faults = practice, said, faults

    def word(self, *place: str) -> str:
        """A text that is not empty."""
        text, value = self.said[place[0]]
        for step in place[1:]:
            value = value.get(step) if isinstance(value, dict) else None
        if not isinstance(value, str) or not value.strip():
            _refuse(self.faults, text, place, value, "a text that is not empty")
        return str(value).strip()

    def articles(self, above: tuple[str, ...], sections: tuple[str, ...]) -> dict[tuple[str, str], float]:
        """Numbers by section and article."""
        found = {}
        for section in sections:
            text, body = self.said[above[0]] if above else self.said[section]
            body = body[section] if above else body
            known = tuple(getattr(self.practice, section))
            for article, number in self.numbers((*above, section), (text, body), known, every=False).items():
                found[section, article] = number
        return found

    def numbers(
        self, place: Place, said: tuple[Text, Any], known: tuple[str, ...], *, every: bool = True
    ) -> dict[str, float]:
        """Numbers from 0 up by name; ``every`` name must be there."""
        text, body = said
        found = {}
        for name, value in _group(text, place, body, known, self.faults):
            good = isinstance(value, int | float) and not isinstance(value, bool) and value >= 0
            if not good:
                _refuse(self.faults, text, (*place, name), value, "a number, 0 or more")
            found[name] = float(value) if good else 0.0
        if every and isinstance(body, dict):
            for name in known:
                if name not in body:
                    _refuse(self.faults, text, (*place, name), None, "a number; it is missing")
        return found

    def work(self) -> dict[Operation, Minutes]:
        """Minutes of every operation."""
        text, body = self.said["work"]
        found = {}
        for name, entry in _group(text, ("work",), body, tuple(Operation), self.faults):
            place = ("work", name)
            parts = (
                {key: part for key, part in entry.items() if key != "source"} if _is_group(entry) else entry
            )
            minutes = self.numbers(place, (text, parts), PEOPLE)
            source = entry.get("source") if _is_group(entry) else None
            if not isinstance(source, str) or not source.strip():
                _refuse(self.faults, text, (*place, "source"), source, "where the figures come from")
            if len(minutes) == len(PEOPLE):
                found[Operation(name)] = Minutes(minutes["fitter"], minutes["helper"], str(source))
        if isinstance(body, dict):
            for operation in Operation:
                if operation not in body:
                    _refuse(self.faults, text, ("work", operation), None, "minutes; they are missing")
        return found


def _is_group(value: Any) -> bool:
    return isinstance(value, dict)


def _group(
    text: Text, place: Place, body: Any, known: tuple[str, ...], faults: list[str]
) -> list[tuple[str, Any]]:
    """Names and values of a group; what is no group and names not known are refused."""
    if not isinstance(body, dict):
        _refuse(faults, text, place, body, "a group of names and values")
        return []
    for key in body:
        if key not in known:
            _refuse(faults, text, (*place, key), key, ", ".join(known))
    return [(key, value) for key, value in body.items() if key in known]


def _refuse(faults: list[str], text: Text, place: Place, given: object, accepted: str) -> None:
    field = ".".join(map(str, place)) or "the file"
    faults.append(text.line(place, str(InputError(field, given=given, accepted=accepted)), key=True))
