"""One item of a list in a YAML text, read by itself: a change inside it needs no reading of all the rest.

Only an item that has its lines for itself, as people write lists of walls. Whether it has is not worked out
from the text: its lines are read alone, and count only if they say what the whole text says of the item.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any, Final

from innerleaf.reading import Bounds, Place, Position, Text, read_text, value_at

_BREAK: Final = re.compile("\r\n|[\n\r\x85\u2028\u2029]")
_DASH: Final = re.compile(r"\ufeff? *-")


@dataclass(frozen=True, slots=True)
class Excerpt:
    """The lines of a list item, from ``start`` to before ``end`` of the text; ``read`` is a list of one."""

    place: Place
    start: int
    end: int
    row: int  # of its first line, from 1
    text: str
    read: Text

    @property
    def rows(self) -> int:
        """How many lines it has."""
        return len(_BREAK.findall(self.text))


def excerpt(text: str, read: Text, place: Place) -> Excerpt | None:
    """The first list item on the way to a place inside it; None if it cannot be read by itself.

    ``read`` is the text as `read_text` reads it, without faults.
    """
    depth = next((at for at, step in enumerate(place) if isinstance(step, int)), len(place)) + 1
    item = place[:depth]
    if len(place) <= depth or item not in read.where:
        return None
    row = read.where[item][0]
    others = (
        at[0]
        for places in (read.where, read.keys)
        for other, at in places.items()
        if at[0] > row and other[:depth] != item
    )
    lines = [0, *(found.end() for found in _BREAK.finditer(text))]
    start, end = lines[row - 1], lines[min(others, default=len(lines) + 1) - 1 :][:1]
    part = text[start : end[0] if end else len(text)]
    alone = read_text(part, read.name)
    if alone.faults or alone.value != [value_at(read.value, item)]:
        return None
    return Excerpt(item, start, start + len(part), row, part, alone)


def with_excerpt(text: str, read: Text, old: Excerpt, new: str) -> tuple[str, Text] | None:
    """The text with other lines for an item, and what it then says; None if that cannot be told from them."""
    alone = read_text(new, read.name)
    lead = _DASH.match(old.text)
    whole = text[: old.start] + new + text[old.end :]
    if (
        alone.faults
        or not isinstance(alone.value, list)
        or len(alone.value) != 1
        or lead is None
        or not new.startswith(lead.group())
        or len(whole) > Bounds().size
    ):
        return None
    more = len(_BREAK.findall(new)) - old.rows
    said = Text(
        read.name,
        _with_value(read.value, old.place, alone.value[0]),
        (),
        dict(_moved(read.where, alone.where, old, more)),
        dict(_moved(read.keys, alone.keys, old, more)),
    )
    return whole, said


def _moved(
    whole: Mapping[Place, Position], part: Mapping[Place, Position], old: Excerpt, more: int
) -> Iterator[tuple[Place, Position]]:
    """Positions of a text in which one item has others, and what follows it stands so many lines lower."""
    depth, item, last = len(old.place), old.place, old.row + old.rows
    for place, at in whole.items():
        if place[:depth] != item:
            yield place, (at[0] + more, at[1]) if more and at[0] >= last else at
    for place, (row, column) in part.items():
        if place:
            yield (*item, *place[1:]), (row + old.row - 1, column)


def _with_value(value: Any, place: Place, new: Any) -> Any:
    """A value in which another stands at a place; what is not on the way there is shared."""
    if not place:
        return new
    made = value.copy()
    made[place[0]] = _with_value(value[place[0]], place[1:], new)
    return made
