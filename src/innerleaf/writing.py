"""Changing single values in a YAML text that a person wrote: every other character stays as it was.

A change is one of `Put`, `Insert`, `Remove` at a place of the text (`reading.Place`). What is put in is
written in one line, in braces and brackets where it is a group or a list. The outcome is read again and held
against what was meant; a text too intricate for that gets the group around the change written anew.
"""

from __future__ import annotations

import json
import re
from collections.abc import Sequence
from copy import deepcopy
from dataclasses import dataclass, field, replace
from typing import Any, Final

import yaml

from innerleaf.errors import InputError
from innerleaf.excerpt import excerpt, with_excerpt
from innerleaf.reading import Place, Text, read_text, value_at

_PLAIN: Final = re.compile(r"[A-Za-z][\w()/+.-]*(?: [\w()/+.-]+)*\Z", re.ASCII)
_NOT_WORDS: Final = ("true", "false", "null")
# Signs that stand in a text as an escape only: those that break lines, and those that no text may hold.
_SPECIAL: Final = re.compile("[\x7f-\x9f\u2028\u2029\ud800-\udfff\ufeff\ufffe\uffff]")
_BREAKS: Final = "\n\r\x85\u2028\u2029"


@dataclass(frozen=True, slots=True)
class Put:
    """Set the value at a place; a key that its group lacks is added at its end."""

    place: Place
    value: Any


@dataclass(frozen=True, slots=True)
class Insert:
    """Put a value into a list, before the item whose place this is, or after the last one."""

    place: Place
    value: Any


@dataclass(frozen=True, slots=True)
class Remove:
    """Take out the item or the key at a place."""

    place: Place


Change = Put | Insert | Remove


def changed(text: str, read: Text, changes: Sequence[Change]) -> tuple[str, Text]:
    """The text with changes made one after the other, and what it then says.

    ``read`` is the text as `read_text` reads it, without faults.

    Raises
    ------
    InputError
        A change speaks of a place that is not in the text, or puts in a sign that no text can hold.
    """
    for change in changes:
        text, read = _in_its_item(text, read, change) or _in_all(text, read, change)
    return text, read


def one_line(value: Any) -> str:
    """A value as one line of YAML that `reading` reads back as it is."""
    if isinstance(value, dict):
        return "{" + ", ".join(f"{one_line(str(key))}: {one_line(part)}" for key, part in value.items()) + "}"
    if isinstance(value, list | tuple):
        return "[" + ", ".join(map(one_line, value)) + "]"
    if isinstance(value, str) and _PLAIN.match(value) and value not in _NOT_WORDS:
        return value
    return _SPECIAL.sub(lambda sign: f"\\u{ord(sign[0]):04x}", json.dumps(value, ensure_ascii=False))


def _in_its_item(text: str, read: Text, change: Change) -> tuple[str, Text] | None:
    """A change inside one item of a list that has its lines for itself; None where there is none."""
    item = excerpt(text, read, change.place)
    if item is None:
        return None
    inside = replace(change, place=(0, *change.place[len(item.place) :]))
    try:
        new, _ = _in_all(item.text, item.read, inside)
    except InputError:  # said again with the place in the whole text
        return None
    return with_excerpt(text, read, item, new)


def _in_all(text: str, read: Text, change: Change) -> tuple[str, Text]:
    meant = deepcopy(read.value)
    _apply(meant, change)
    return _written(text, change, meant, read.name)


def _written(text: str, change: Change, meant: Any, name: str) -> tuple[str, Text]:
    """The text with one change, by the smallest rewriting that comes out as meant, and as it reads."""
    place = change.place
    new = _narrow(text, change)
    while True:
        if new is not None:
            read = read_text(new, name)
            if not read.faults and read.value == meant:
                return new, read
        if place:
            place = place[:-1]
            new = _replaced(text, _node(text, place), one_line(value_at(meant, place)))
        elif new != one_line(meant) + "\n":
            new = one_line(meant) + "\n"
        else:
            given = getattr(change, "value", None)
            raise InputError(_named(change.place), given=given, accepted="signs that a text can hold")


def _apply(value: Any, change: Change) -> None:
    """Make the change to plain values, in place."""
    last = change.place[-1] if change.place else None
    around = value_at(value, change.place[:-1]) if change.place else None
    accepted = _accepted(around, last, change)
    if around is None or accepted:
        raise InputError(_named(change.place), given="a change", accepted=accepted)
    if isinstance(change, Insert):
        around.insert(last, change.value)
    elif isinstance(change, Remove):
        del around[last]
    else:
        around[last] = change.value


def _named(place: Place) -> str:
    return ".".join(map(str, place)) or "the file"


def _accepted(around: Any, last: Any, change: Change) -> str:
    """What would be accepted instead of the change; "" if it can be made."""
    if isinstance(around, list) and isinstance(last, int):
        most = len(around) if isinstance(change, Insert) else len(around) - 1
        return "" if 0 <= last <= most else f"a number from 0 to {most}"
    if isinstance(around, dict) and isinstance(last, str) and last and not isinstance(change, Insert):
        return "" if isinstance(change, Put) or last in around else "a key that is there"
    return "a place in a group or a list of this file"


# --- where things stand in the text ---------------------------------------------------------------------


@dataclass(slots=True)
class _Node:
    """A value in the text: from its first character to just after its last."""

    start: int
    end: int
    column: int
    block: bool = False  # a group or list by lines, not in braces or brackets
    keys: list[_Node] = field(default_factory=list)
    parts: list[_Node] = field(default_factory=list)
    names: list[str] | None = None  # of the keys, in a group
    after_key: int = 0  # just after the colon before this value


def _node(text: str, place: Place) -> _Node:
    """The value at a place of a text without faults."""
    shift = len(text) - len(text.removeprefix("\ufeff"))
    node = _tree(text[shift:])
    _shift(node, shift)
    for step in place:
        number = node.names.index(str(step)) if node.names is not None else int(step)
        node = node.parts[number]
    return node


def _tree(text: str) -> _Node:
    open_: list[_Node] = []
    root: _Node | None = None
    for event in yaml.parse(text, Loader=yaml.CSafeLoader):
        if isinstance(event, yaml.ScalarEvent | yaml.CollectionStartEvent):
            start, end = _index(event.start_mark), _index(event.end_mark)
            node = _Node(start, _trimmed(text, start, end), _column(event.start_mark))
            if isinstance(event, yaml.CollectionStartEvent):
                node.block = not event.flow_style
                node.names = [] if isinstance(event, yaml.MappingStartEvent) else None
            root = root or node
            if open_:
                _take(text, open_[-1], node, event)
            if isinstance(event, yaml.CollectionStartEvent):
                open_.append(node)
        elif isinstance(event, yaml.CollectionEndEvent):
            node = open_.pop()
            node.end = node.parts[-1].end if node.block else _index(event.end_mark)
    assert root is not None
    return root


def _index(mark: Any) -> int:
    return int(mark.index)


def _column(mark: Any) -> int:
    return int(mark.column)


def _take(text: str, around: _Node, node: _Node, event: yaml.Event) -> None:
    if around.names is None:
        around.parts.append(node)
    elif len(around.keys) == len(around.parts):
        around.keys.append(node)
        assert isinstance(event, yaml.ScalarEvent)
        around.names.append(event.value)
    else:
        node.after_key = text.index(":", around.keys[-1].end) + 1
        node.end = max(node.end, node.after_key)
        around.parts.append(node)


def _shift(node: _Node, by: int) -> None:
    for part in (*node.keys, *node.parts):
        _shift(part, by)
    node.start, node.end, node.after_key = node.start + by, node.end + by, node.after_key + by


def _trimmed(text: str, start: int, end: int) -> int:
    """The end without the blank that a block of text, or an empty value, takes along."""
    return max(start, start + len(text[start:end].rstrip()))


# --- the three changes ----------------------------------------------------------------------------------


def _narrow(text: str, change: Change) -> str | None:
    """The change made to as little of the text as possible; None where there is no simple way."""
    if not change.place:
        return None
    around, last = _node(text, change.place[:-1]), change.place[-1]
    if not around.parts:
        return None
    if around.names is not None:
        known = str(last) in around.names
        number = around.names.index(str(last)) if known else len(around.names)
    else:
        known, number = not isinstance(change, Insert), int(last)
    if isinstance(change, Remove):
        return _removed(text, around, number) if len(around.parts) > 1 else None
    written = one_line(change.value)
    if known:
        return _replaced(text, around.parts[number], written)
    if around.names is not None:
        written = f"{one_line(str(last))}: {written}"
    return _inserted(text, around, number, written)


def _replaced(text: str, node: _Node, written: str) -> str:
    if node.after_key:
        return f"{text[: node.after_key]} {written}{text[node.end :]}"
    return text[: node.start] + written + text[node.end :]


def _inserted(text: str, around: _Node, number: int, written: str) -> str:
    """A new item before the one of this number, or after the last."""
    if not around.block:
        if number < len(around.parts):
            at = around.parts[number].start
            return f"{text[:at]}{written}, {text[at:]}"
        at = around.parts[-1].end
        return f"{text[:at]}, {written}{text[at:]}"
    line = " " * around.column + ("- " if around.names is None else "") + written
    if number < len(around.parts):
        at = _line_start(text, text.rindex("-", 0, around.parts[number].start))
        return f"{text[:at]}{line}\n{text[at:]}"
    at = _line_end(text, around.end)
    return f"{text[:at]}\n{line}{text[at:]}"


def _removed(text: str, around: _Node, number: int) -> str | None:
    """Without one item of several."""
    heads = around.keys if around.names is not None else around.parts
    if not around.block:
        if number:
            return text[: around.parts[number - 1].end] + text[around.parts[number].end :]
        return text[: heads[0].start] + text[heads[1].start :]
    start = heads[number].start
    if around.names is None:
        start = text.rindex("-", 0, start)
    if text[_line_start(text, start) : start].strip():  # it stands behind a dash
        return text[:start] + text[heads[number + 1].start :] if number + 1 < len(heads) else None
    end = _line_end(text, around.parts[number].end)
    return text[: _line_start(text, start)] + text[end:].removeprefix("\r").removeprefix("\n")


def _line_start(text: str, at: int) -> int:
    while at and text[at - 1] not in _BREAKS:
        at -= 1
    return at


def _line_end(text: str, at: int) -> int:
    while at < len(text) and text[at] not in _BREAKS:
        at += 1
    return at
