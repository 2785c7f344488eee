"""What people type into a form, as a job file writes it."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any, Final

from innerleaf.web.manner import manner
from innerleaf.web.words import words_of

_WHOLE: Final = re.compile(r"-?[0-9]{1,12}\Z")
_NUMBER: Final = re.compile(r"-?(?:[0-9]{1,12}(?:[.,][0-9]{0,12})?|[.,][0-9]{1,12})\Z")


class Form:
    """The fields of a form by name; ``errors`` gathers what is to be said beside them."""

    def __init__(self, said: Mapping[str, str]) -> None:
        self.said = {name: text.strip() for name, text in said.items()}
        self.errors: dict[str, str] = {}

    def text(self, name: str) -> str | None:
        """What was typed; None for nothing."""
        return self.said.get(name) or None

    def length(self, name: str) -> int | float | str | None:
        """A length as the job file writes it: millimetres, or the text with its unit as it was typed.

        Where lengths are shown in feet and inches a number alone could mean either, so it is refused.
        """
        text = self.text(name)
        if text is None or not _NUMBER.match(text):
            return text
        if manner().unit == "in" and text != "0":
            self.errors[name] = words_of(manner().language)("say.unit_missing", given=text)
            return None
        return _number(text)

    def number(self, name: str) -> int | float | str | None:
        """A number; what is none comes back as it was typed, to be refused by whoever reads it."""
        text = self.text(name)
        return _number(text) if text and _NUMBER.match(text) else text

    def rows(self, name: str) -> list[int]:
        """Numbers of the rows ``name[n].field`` of which anything was typed, in order."""
        start = f"{name}["
        found = {
            int(number)
            for key, text in self.said.items()
            if text and key.startswith(start) and (number := key[len(start) :].partition("]")[0]).isdigit()
        }
        return sorted(found)


def _number(text: str) -> int | float:
    return int(text) if _WHOLE.match(text) else float(text.replace(",", "."))


def as_typed(value: Any) -> str:
    """A value of the job file as it stands in a field."""
    if value is None:
        return ""
    return ("true" if value else "false") if isinstance(value, bool) else str(value)
