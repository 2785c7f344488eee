"""The words of the pages, by name: one file for each language, so that a translation is one file more."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Final

from innerleaf.reading import read_file

ENGLISH: Final = "en"
_FOLDER: Final = Path(__file__).parent / "texts"


class Words:
    """Texts of one language; a name may be asked for with values to fill in."""

    def __init__(self, texts: Mapping[str, str], language: str) -> None:
        self.texts, self.language = texts, language

    def __call__(self, name: str, **values: object) -> str:
        """The text of a name, its ``{gaps}`` filled."""
        return self.texts[name].format(**values)

    def part(self, group: str) -> dict[str, str]:
        """The texts of one group by their short names, for a script of a page."""
        start = f"{group}."
        return {name.removeprefix(start): text for name, text in self.texts.items() if name.startswith(start)}


@cache
def words_of(language: str = ENGLISH) -> Words:
    """The words of a language that there is a file of."""
    value = read_file(_FOLDER / f"{language}.yaml").checked().value
    return Words(
        {f"{group}.{name}": text for group, texts in value.items() for name, text in texts.items()}, language
    )
