"""Values out of a text that a person wrote, with a note of everything that is wrong."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from functools import partial
from typing import Any, TypeVar

from innerleaf.errors import InputError
from innerleaf.reading import Place, Text

_T = TypeVar("_T")


class WrongError(Exception):
    """A fault was noted; what needs the value cannot be made."""


class Values:
    """Takes values out of a text; what is wrong is noted with its line, so that all mistakes are said."""

    def __init__(self, text: Text) -> None:
        self.text = text
        self.faults: list[tuple[tuple[int, int], str]] = []

    def sorted_faults(self) -> list[str]:
        """All faults, from the top of the file down."""
        return [line for _, line in sorted(self.faults)]

    def fault(self, place: Place, sentence: str, *, key: bool = False) -> WrongError:
        """Note a fault; the error is there to be raised if the value is needed."""
        entry = (self.text.position(place, key=key), self.text.line(place, sentence, key=key))
        if entry not in self.faults:
            self.faults.append(entry)
        return WrongError()

    def wrong(self, place: Place, field: str, given: object, accepted: str) -> WrongError:
        """Note what was given and what is accepted."""
        shown = "nothing" if given is None else f"{given!r}"
        shown = shown if len(shown) <= 80 else f"{shown[:80]}…"
        return self.fault(place, f"{field}: given {shown}, accepted: {accepted}.")

    def attempt(self, place: Place, make: Callable[[], _T]) -> _T | None:
        """What ``make`` gives; None, with the fault noted at ``place``, if it cannot be made."""
        try:
            return make()
        except InputError as error:
            self.fault(place, str(error))
        except WrongError:
            pass
        return None

    def group(self, place: Place, value: Any, known: Sequence[str] | None, field: str) -> dict[str, Any]:
        """A group of keys, of which each has to be known (None: any)."""
        if not isinstance(value, dict):
            raise self.wrong(place, field, value, "a group of `key: value`")
        for key in value:
            if known is not None and key not in known:
                self.fault((*place, key), f"{field}: {key!r} is not known; {', '.join(known)} are.", key=True)
        return value

    def number(
        self, place: Place, value: Any, field: str, accepted: str, good: Callable[[float], bool]
    ) -> float:
        """A number that is good for something."""
        if isinstance(value, bool) or not isinstance(value, int | float) or not good(value):
            raise self.wrong(place, field, value, accepted)
        return float(value)

    def length(self, place: Place, value: Any, field: str) -> float:
        """A length in mm, in metres."""
        number = self.number(place, value, field, "a number, in mm", lambda v: abs(v) < 1e9)
        return round(number / 1000, 12)

    def positive(self, place: Place, value: Any, field: str, unit: str) -> float:
        """A number above 0."""
        return self.number(place, value, field, f"above 0 {unit}, finite", lambda v: 0 < v < math.inf)

    def word(self, place: Place, value: Any, field: str) -> str:
        """A text that is not empty."""
        if not isinstance(value, str) or not value:
            raise self.wrong(place, field, value, "a word")
        return value

    def words(self, place: Place, value: Any, field: str) -> tuple[str, ...]:
        """A list of words, or one."""
        if isinstance(value, str):
            return (value,)
        if not isinstance(value, list) or not value:
            raise self.wrong(place, field, value, "a list of words")
        return tuple(self.word((*place, index), each, field) for index, each in enumerate(value))

    def each(self, place: Place, value: Any, field: str, make: Callable[[Place, Any], _T]) -> list[_T]:
        """The members of a list or group that could be made; faults of the others are noted."""
        if isinstance(value, dict):
            members = list(value.items())
        elif isinstance(value, list):
            members = list(enumerate(value))
        else:
            raise self.wrong(place, field, value, "a list or group")
        made: list[_T] = []
        for key, member in members:
            one = self.attempt((*place, key), partial(make, (*place, key), member))
            if one is not None:
                made.append(one)
        return made
