"""Bounded reading of the YAML texts people write: job files, practice sets, a firm's own file.

A text becomes plain values, the line and column of every value and key, and the faults found. What
stock YAML makes of ``no`` (false), ``08:30`` (510), ``012`` (ten) or of a key written twice (the last
one counts) is not done here; anchors, aliases and tags are refused. Size, depth and number of values
are bounded, and nothing recurses, so a hostile text costs no more than a long one.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Final

import yaml

from innerleaf.errors import FileFaults

Place = tuple[str | int, ...]
Position = tuple[int, int]

_INT: Final = re.compile(r"[-+]?[0-9]+\Z")
_FLOAT: Final = re.compile(r"[-+]?(?:\.[0-9]+|[0-9]+(?:\.[0-9]*)?)(?:[eE][-+]?[0-9]+)?\Z")
_LONGEST_NUMBER: Final = 18
_UNREADABLE: Final = re.compile(
    "[^\t\n\r\x20-\x7e\x85\xa0-\ud7ff\ue000-\ufefe\uff00-\ufffd\U00010000-\U0010ffff]"
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Bounds:
    """How large a text may be before it is refused."""

    size: int = 8 * 1024 * 1024  # bytes
    depth: int = 40  # values within values
    values: int = 500_000
    faults: int = 200  # reading stops after so many


@dataclass(frozen=True, slots=True)
class Fault:
    """Something wrong in a text; line and column count from 1."""

    line: int
    column: int
    sentence: str


@dataclass(frozen=True, slots=True)
class Text:
    """What a text says, where it says it, and what is wrong with it as YAML."""

    name: str  # of the file, as lines about it show it
    value: Any = None
    faults: tuple[Fault, ...] = ()
    where: Mapping[Place, Position] = field(default_factory=dict)  # each value
    keys: Mapping[Place, Position] = field(default_factory=dict)  # the key of each value that has one

    def position(self, place: Place, *, key: bool = False) -> Position:
        """Line and column of the value at a place, or of its key.

        A value that is not in the text has the position of the nearest value around it.
        """
        if key and place in self.keys:
            return self.keys[place]
        for length in range(len(place), -1, -1):
            if place[:length] in self.where:
                return self.where[place[:length]]
        return 1, 1

    def line(self, place: Place, sentence: str, *, key: bool = False) -> str:
        """``FILE:LINE:COLUMN: sentence`` for something at a place of this text."""
        row, column = self.position(place, key=key)
        return f"{self.name}:{row}:{column}: {sentence}"

    def lines(self) -> tuple[str, ...]:
        """The faults as lines of text."""
        return tuple(f"{self.name}:{fault.line}:{fault.column}: {fault.sentence}" for fault in self.faults)

    def checked(self) -> Text:
        """Return this text if nothing is wrong with it.

        Raises
        ------
        FileFaults
            There is a fault; all of them are in the error.
        """
        if self.faults:
            raise FileFaults(self.lines())
        return self


def value_at(value: Any, place: Place) -> Any:
    """What stands at a place of a text's value; None if nothing does."""
    for step in place:
        try:
            value = value[step]
        except (KeyError, IndexError, TypeError):
            return None
    return value


def read_file(path: Path, *, bounds: Bounds | None = None) -> Text:
    """Read one file. Never raises for what the file holds or fails to be: that is a fault."""
    bounds = bounds or Bounds()
    name = str(path)
    try:
        with path.open("rb") as stream:
            raw = stream.read(bounds.size + 1)
    except (OSError, ValueError) as error:  # ValueError: a NUL in the path
        return _refused(name, f"this file cannot be opened: {getattr(error, 'strerror', None) or error}.")
    if len(raw) > bounds.size:
        return _refused(name, _too_large(bounds))
    try:
        text = raw.decode("utf-8")
    except UnicodeDecodeError as error:
        line, column = _line_column(raw[: error.start].decode("utf-8"), error.start)
        return _refused(name, "this is not UTF-8 text; save the file as UTF-8.", line, column)
    return read_text(text, name, bounds=bounds)


def read_text(text: str, name: str, *, bounds: Bounds | None = None) -> Text:
    """Read a text; ``name`` stands for its file in every line about it. Never raises for the text."""
    bounds = bounds or Bounds()
    if len(text) > bounds.size:
        return _refused(name, _too_large(bounds))
    text = text.removeprefix("\ufeff")
    if bad := _UNREADABLE.search(text):
        line, column = _line_column(text, bad.start())
        sentence = f"the character U+{ord(bad.group()):04X} cannot stand in a text; remove it."
        return _refused(name, sentence, line, column)
    builder = _Builder(bounds)
    try:
        for event in yaml.parse(text, Loader=yaml.CSafeLoader):
            builder.take(event)
    except _EnoughError:
        pass
    except yaml.MarkedYAMLError as error:
        mark = error.problem_mark or error.context_mark
        builder.faults.append(Fault(*(_at(mark) if mark else (1, 1)), _syntax(error)))
    if not builder.faults and builder.root is None:
        builder.faults.append(Fault(1, 1, "the file is empty."))
    return Text(name, builder.root, tuple(builder.faults), builder.where, builder.keys)


class _EnoughError(Exception):
    """Reading stops: a bound is passed."""


class _Builder:
    """Makes values of parse events, with a stack of its own instead of recursion."""

    def __init__(self, bounds: Bounds) -> None:
        self.bounds = bounds
        self.root: Any = None
        self.where: dict[Place, Position] = {}
        self.keys: dict[Place, Position] = {}
        self.faults: list[Fault] = []
        self.values = 0
        self.documents = 0
        self.open: list[tuple[Place, dict[str, Any] | list[Any]]] = []
        self.key: list[str | None] = []  # of each open collection: the key whose value comes next
        self.ignored = 0  # open collections inside a key that is no text

    def take(self, event: yaml.Event) -> None:
        if isinstance(event, yaml.ScalarEvent):
            self._mark_refused(event)
            self._scalar(event)
        elif isinstance(event, yaml.CollectionStartEvent):
            self._mark_refused(event)
            self._begin(event)
        elif isinstance(event, yaml.CollectionEndEvent):
            self._end()
        elif isinstance(event, yaml.AliasEvent):
            self.fault(event, f"aliases (*{event.anchor}) are not used here; write the value out.")
            self._put(event, None)
        elif isinstance(event, yaml.DocumentStartEvent):
            self.documents += 1
            if self.documents > 1:
                self.fault(event, "a second document begins here (---); one file holds one.")
                raise _EnoughError

    def fault(self, event: yaml.Event, sentence: str) -> None:
        self.faults.append(Fault(*_at(event.start_mark), sentence))
        if len(self.faults) >= self.bounds.faults:
            raise _EnoughError

    def _mark_refused(self, event: yaml.ScalarEvent | yaml.CollectionStartEvent) -> None:
        if event.anchor is not None:
            self.fault(event, f"anchors (&{event.anchor}) are not used here; write the value out.")
        if event.tag is not None:
            self.fault(event, f"tags ({event.tag}) are not used here; write the value alone.")

    def _scalar(self, event: yaml.ScalarEvent) -> None:
        if self._wants_key():
            self._take_key(event)
        else:
            self._put(event, self._plain(event) if event.implicit[0] else event.value)

    def _plain(self, event: yaml.ScalarEvent) -> Any:
        """The value of a word without quotes."""
        word: str = event.value
        if word in ("", "~", "null"):
            return None
        if word in ("true", "false"):
            return word == "true"
        if word[0] not in "+-.0123456789":
            return word
        whole = _INT.match(word)
        if not whole and not _FLOAT.match(word):
            return word
        if whole and len(word.lstrip("+-")) <= _LONGEST_NUMBER:
            return int(word)
        number = float(word)
        if whole or not math.isfinite(number):
            self.fault(event, f"the number {_shortened(word)} is too large.")
            return None
        return number

    def _wants_key(self) -> bool:
        if not self.open or self.ignored:
            return False
        return self.key[-1] is None and isinstance(self.open[-1][1], dict)

    def _take_key(self, event: yaml.ScalarEvent) -> None:
        place, mapping = self.open[-1]
        key: str = event.value
        if key == "":  # also stands for keys refused before
            self.fault(event, "a key is missing before the colon.")
        elif key in mapping:
            first = self.keys[(*place, key)][0]
            self.fault(event, f"{_shortened(repr(key))} is written twice (first in line {first}).")
        else:
            self.keys[(*place, key)] = _at(event.start_mark)
        self.key[-1] = key

    def _begin(self, event: yaml.CollectionStartEvent) -> None:
        if len(self.open) + self.ignored >= self.bounds.depth:
            self.fault(event, f"values lie more than {self.bounds.depth} deep within each other here.")
            raise _EnoughError
        if self._wants_key():
            self.fault(event, "a key is a word, not a list or a group.")
            self.ignored = 1
        elif self.ignored:
            self.ignored += 1
        else:
            made: dict[str, Any] | list[Any] = {} if isinstance(event, yaml.MappingStartEvent) else []
            self.open.append((self._put(event, made), made))
            self.key.append(None)

    def _end(self) -> None:
        if self.ignored:
            self.ignored -= 1
            if not self.ignored:
                self.key[-1] = ""
        else:
            self.open.pop()
            self.key.pop()

    def _put(self, event: yaml.Event, value: Any) -> Place:
        """Lay a value where it belongs; its place."""
        self.values += 1
        if self.values > self.bounds.values:
            self.fault(event, f"the file holds more than {self.bounds.values} values.")
            raise _EnoughError
        place: Place = ()
        if self.ignored:
            return place
        if not self.open:
            self.root = value
        else:
            around, collection = self.open[-1]
            if isinstance(collection, list):
                place = (*around, len(collection))
                collection.append(value)
            else:
                key = self.key[-1]
                if key is None:  # an alias where a key should be
                    self.key[-1] = ""
                    return around
                self.key[-1] = None
                place = (*around, key)
                if key in collection:
                    return place
                collection[key] = value
        self.where[place] = _at(event.start_mark)
        return place


def _refused(name: str, sentence: str, line: int = 1, column: int = 1) -> Text:
    return Text(name, None, (Fault(line, column, sentence),))


def _too_large(bounds: Bounds) -> str:
    return f"the file is larger than {bounds.size / 1024 / 1024:.3g} MiB."


def _line_column(text: str, index: int) -> Position:
    before = text[:index]
    return before.count("\n") + 1, len(before) - (before.rfind("\n") + 1) + 1


def _at(mark: Any) -> Position:
    """Line and column, from 1, of a mark of either parser."""
    return mark.line + 1, mark.column + 1


_IN_OUR_WORDS: Final = {  # of the parser's sentences, those about what is still open
    "expected ',' or '}'": "the group begun in line {line} has no closing }}, or lacks a comma",
    "expected ',' or ']'": "the list begun in line {line} has no closing ], or lacks a comma",
    "expected node content": "a value is missing here",
    "unexpected end of stream": "the text begun in line {line} has no closing quote",
}


def _syntax(error: yaml.MarkedYAMLError) -> str:
    """One sentence for a text that is no YAML."""
    problem = error.problem or "the text breaks off"
    for theirs, ours in _IN_OUR_WORDS.items():
        if theirs in problem:
            mark = error.context_mark or error.problem_mark
            said = ours.format(line=mark.line + 1 if mark else 1)
            return f"this cannot be read: {said}; perhaps the file breaks off before its end."
    if "cannot start any token" in problem:
        problem += " (a tab, or a sign such as @ or % that needs quotes)"
    elif "mapping values are not allowed" in problem:
        problem += " (a colon in a text needs quotes, or the line is indented wrongly)"
    during = f", {error.context}" if error.context else ""
    return f"this cannot be read: {problem}{during}."


def _shortened(word: str) -> str:
    return word if len(word) <= 60 else f"{word[:60]}…"
