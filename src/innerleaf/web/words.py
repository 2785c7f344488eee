"""The words of the pages, by name: one file for each language, so that a translation is one file more.

A file's head says how the language writes numbers and which form of a text a count takes. A text with forms
is a group of them, ``other`` for what no rule fits; which is taken, the value called ``count`` decides.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any, Final

from innerleaf.reading import read_file

ENGLISH: Final = "en"
HEAD: Final = "language"  # the group of a file that is no text
FOLDERS: Final = [Path(__file__).parent / "texts"]  # a later one may add languages

Said = str | Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Rule:
    """Counts that take a form: those named, or those that end so (and not otherwise)."""

    form: str
    named: Sequence[int] = ()
    ends: Sequence[int] = ()
    but: Sequence[int] = ()

    def fits(self, count: int) -> bool:
        """Whether a count takes this form; endings are of one figure, exceptions of two."""
        return count in self.named or (count % 10 in self.ends and count % 100 not in self.but)


@dataclass(frozen=True, slots=True)
class Way:
    """How a language calls itself and writes numbers."""

    name: str
    decimal: str = "."
    thousands: str = ""
    plural: tuple[Rule, ...] = ()

    @classmethod
    def of(cls, head: Mapping[str, Any]) -> Way:
        """From the head of a file."""
        rules = tuple(
            Rule(form, *(rule.get(part, ()) for part in ("is", "ends", "but")))
            for form, rule in head.get("plural", {}).items()
        )
        return cls(head["name"], head.get("decimal", "."), head.get("thousands", ""), rules)

    def form(self, count: float) -> str:
        """Which form of a text goes with a count."""
        whole = int(count) if count == int(count) else None
        fitting = (rule.form for rule in self.plural if whole is not None and rule.fits(abs(whole)))
        return next(fitting, "other")

    def number(self, value: float, digits: int | None = None) -> str:
        """A number as the language writes it, with so many digits behind the point (as they come if None)."""
        text = f"{value:,}" if digits is None else f"{value:,.{digits}f}"
        signs = {",": self.thousands, ".": self.decimal}
        return "".join(signs.get(sign, sign) for sign in text)


class Words:
    """Texts of one language; a name may be asked for with values to fill in."""

    def __init__(self, texts: Mapping[str, Said], language: str, way: Way) -> None:
        self.texts, self.language, self.way = texts, language, way

    def __call__(self, name: str, **values: object) -> str:
        """The text of a name, its ``{gaps}`` filled; numbers as the language writes them."""
        said = self.texts[name]
        if not isinstance(said, str):
            count = values.get("count", 0)
            said = said.get(self.way.form(count if isinstance(count, int | float) else 0), said["other"])
        shown = {gap: self.number(value) for gap, value in values.items()}
        return said.format(**shown)

    def number(self, value: object, digits: int | None = None) -> object:
        """A number as the language writes it; anything else as it is."""
        if isinstance(value, bool) or not isinstance(value, int | float):
            return value
        return self.way.number(value, digits)

    def part(self, group: str) -> dict[str, Said]:
        """The texts of one group by their short names, for a script of a page."""
        start = f"{group}."
        return {name.removeprefix(start): text for name, text in self.texts.items() if name.startswith(start)}

    def for_scripts(self) -> dict[str, Any]:
        """How the language writes numbers and counts, as scripts take it."""
        rules = [
            {"form": rule.form, "is": [*rule.named], "ends": [*rule.ends], "but": [*rule.but]}
            for rule in self.way.plural
        ]
        return {"decimal": self.way.decimal, "thousands": self.way.thousands, "plural": rules}


def languages() -> dict[str, str]:
    """The languages there is a file of, by tag, each as it calls itself."""
    return {tag: words_of(tag).way.name for tag in sorted(_files())}


def best_language(asked: str, chosen: str = "") -> str:
    """The language that a person chose, else the first that their browser asks for and that there is.

    ``asked`` is what an ``Accept-Language`` header says (RFC 9110, 12.5.4); a tag serves for its narrower
    ones too.
    """
    known = _files()
    if chosen in known:
        return chosen
    for tag in _by_wish(asked):
        while tag:
            if tag in known:
                return tag
            tag = tag.rpartition("-")[0]
    return ENGLISH


def _by_wish(asked: str) -> list[str]:
    wishes = []
    for number, part in enumerate(asked[:500].split(",")):
        tag, _, weight = part.partition(";q=")
        try:
            wish = float(weight) if weight else 1.0
        except ValueError:
            wish = 0.0
        if wish > 0:
            wishes.append((-wish, number, tag.strip().lower()))
    return [tag for *_, tag in sorted(wishes)]


@cache
def words_of(language: str = ENGLISH) -> Words:
    """The words of a language that there is a file of; English where it lacks a text."""
    value = read_file(_files()[language]).checked().value
    own = {
        f"{group}.{name}": text
        for group, texts in value.items()
        if group != HEAD
        for name, text in texts.items()
    }
    base = words_of().texts if language != ENGLISH else {}
    return Words({**base, **own}, language, Way.of(value[HEAD]))


def _files() -> dict[str, Path]:
    return {file.stem.lower(): file for folder in FOLDERS for file in sorted(folder.glob("*.yaml"))}
