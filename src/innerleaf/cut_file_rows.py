"""Rows of a file for `innerleaf cut`, as JSON or CSV: every value checked, with the line it stands on.

What may stand in a file is a `Form`: one for bars, one for sheets. Every mistake is kept, with its line,
its field, what was given and what is accepted.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from pathlib import Path
from typing import Any, Final

from innerleaf.cutting.bars import MOST_PRICE
from innerleaf.errors import FileFaults
from innerleaf.reading import Place, Text

_DECIMALS: Final = 4  # of a price, at most
_MOST_PRICE: Final = 100_000
_OF_A_MM: Final = 3  # decimals that a price for each metre takes for millimetres
MONEY: Final = ("price", "worth", "charge")
_YES_OR_NO: Final = ("turn", "left", "right")
_NOTCH: Final = ("x", "y", "width", "length")
_RANGES: Final = {
    "length": (1, 2_000_000, "mm"),
    "width": (1, 2_000_000, "mm"),
    "x": (0, 2_000_000, "mm"),
    "y": (0, 2_000_000, "mm"),
    "trim": (0, 2_000_000, "mm"),
    "overlap": (0, 2_000_000, "mm"),
    "least_part": (1, 2_000_000, "mm"),
    "least": (1, 2_000_000, "mm"),
    "least_strip": (0, 20_000, "mm"),
    "kerf": (0, 1000, "mm"),
    "limit": (0, 1_000_000, ""),
    "count": (0, 1_000_000, ""),
    "phase": (1, 10_000, ""),
    "most": (1, 20, ""),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Form:
    """What may stand in a file: ``lists`` of rows, ``groups`` that stand once, single ``figures``.

    ``kinds`` are the words of CSV for lists and groups; ``columns`` rename columns of some kinds there.
    """

    lists: Mapping[str, tuple[str, ...]]
    groups: Mapping[str, tuple[str, ...]]
    figures: tuple[str, ...]
    kinds: Mapping[str, str]
    columns: Mapping[str, Mapping[str, str]]


@dataclass(slots=True)
class Row:
    """Checked values of a line or a group, and where it stands."""

    where: str
    values: dict[str, Any]


@dataclass(slots=True)
class Rows:
    """Everything read so far, by list or group, and the faults."""

    name: str
    form: Form
    faults: list[str] = field(default_factory=list)
    figures: dict[str, int] = field(default_factory=dict)
    found: dict[str, list[Row]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.found = {kind: [] for kind in (*self.form.lists, *self.form.groups)}

    def fault(self, where: str, what: str, given: object, accepted: str) -> None:
        """Note that a value cannot be used."""
        self.faults.append(f"{where}: {what}: given {given!r}, accepted: {accepted}.")

    def stop_at_faults(self) -> None:
        """Raise what is wrong so far."""
        if self.faults:
            raise FileFaults(self.faults)

    def add(self, kind: str, where: str, items: Iterable[tuple[str, object, str]]) -> None:
        """Take in a row: (name, value, where the value stands)."""
        known = self.form.lists.get(kind) or self.form.groups[kind]
        values: dict[str, Any] = {}
        for name, value, place in items:
            if name not in known:
                self.fault(place, f"{kind}.{name}", value, f"one of {', '.join(known)}")
            else:
                values[name] = self.value(f"{kind}.{name}", name, value, place)
        self.found[kind].append(Row(where, values))

    def add_notch(self, where: str, items: Mapping[str, object]) -> None:
        """Take in a notch of the last piece."""
        if not self.found["pieces"]:
            self.fault(where, "kind", "notch", "a piece in a line before it")
        else:
            notches = self.found["pieces"][-1].values.setdefault("notches", [])
            notches += self._notches("pieces.notches", [dict(items)], where)

    def value(self, what: str, name: str, given: object, where: str) -> Any:
        """A value as it is meant; what cannot be used becomes a fault and a value that does no harm."""
        if name == "mark":
            if isinstance(given, (str, int)) and not isinstance(given, bool) and str(given).strip():
                return str(given).strip()
            self.fault(where, what, given, "a word")
            return "?"
        if name in _YES_OR_NO:
            if isinstance(given, bool) or given in ("yes", "no"):
                return given in (True, "yes")
            self.fault(where, what, given, "yes or no")
            return False
        if name == "notches":
            return self._notches(what, given, where)
        number = isinstance(given, (int, float)) and not isinstance(given, bool)
        if name in MONEY:
            money = Decimal(str(given)) if number else Decimal(-1)
            if 0 <= money <= _MOST_PRICE and money == round(money, _DECIMALS):
                return money
            self.fault(where, what, given, f"0 to {_MOST_PRICE}, at most {_DECIMALS} decimals")
            return Decimal(1)
        least, most, unit = _RANGES[name]
        if number and int(given) == given and least <= given <= most:  # type: ignore[call-overload, operator]
            return int(given)  # type: ignore[call-overload]
        self.fault(where, what, given, f"a whole number from {least} to {most}{unit and ' '}{unit}")
        return max(1, least)

    def _notches(self, what: str, given: object, where: str) -> list[dict[str, int]]:
        """Rectangles sawn out of a piece, each with its lower left corner and size."""
        if not isinstance(given, list) or not all(isinstance(notch, dict) for notch in given):
            self.fault(where, what, given, f"a list of groups with {', '.join(_NOTCH)}")
            return []
        found = []
        for notch in given:
            for name in notch.keys() ^ set(_NOTCH):
                if name in notch:
                    self.fault(where, f"{what}.{name}", notch[name], f"one of {', '.join(_NOTCH)}")
                elif name in ("width", "length"):
                    self.fault(where, f"{what}.{name}", "nothing", "a value")
            sizes = {name: notch.get(name, 0 if name in "xy" else 1) for name in _NOTCH}
            found.append({n: self.value(f"{what}.{n}", n, v, where) for n, v in sizes.items()})
        return found


def read_json(text: Text, rows: Rows) -> None:
    """Take in a file of JSON, which holds a group."""
    form = rows.form

    def where(*place: str | int, key: bool = False) -> str:
        line, column = text.position(place, key=key)
        return f"{text.name}:{line}:{column}"

    for name, value in text.value.items():
        if name in form.figures:
            rows.figures[name] = rows.value(name, name, value, where(name))
        elif name in form.groups and isinstance(value, dict):
            rows.add(name, where(name), _items(value, (name,), where))
        elif name in form.lists and isinstance(value, list):
            for number, item in enumerate(value):
                if isinstance(item, dict):
                    rows.add(name, where(name, number), _items(item, (name, number), where))
                else:
                    rows.fault(where(name, number), name, item, f"groups with {', '.join(form.lists[name])}")
        elif name in form.lists or name in form.groups:
            rows.fault(where(name), name, value, "a list" if name in form.lists else "a group")
        else:
            accepted = ", ".join((*form.figures, *form.lists, *form.groups))
            rows.fault(where(name, key=True), "name", name, f"one of {accepted}")


def _items(
    group: dict[str, Any], place: Place, where: Callable[..., str]
) -> Iterator[tuple[str, object, str]]:
    return ((name, value, where(*place, name)) for name, value in group.items())


@dataclass(slots=True)
class Lines:
    """The lines of a file of CSV, each with its place and its cells by column; what is no such line."""

    lines: list[tuple[str, dict[str, object]]] = field(default_factory=list)
    faults: list[str] = field(default_factory=list)

    @property
    def kinds(self) -> set[str]:
        """What the lines say they are."""
        return {str(cells.get("kind", "")) for _, cells in self.lines}


def read_lines(path: Path) -> Lines:
    """Read a file of CSV."""
    found = Lines()
    try:
        text = path.read_bytes().decode("utf-8-sig")
    except UnicodeDecodeError:
        found.faults.append(f"{path}: this is not UTF-8 text; save the file as UTF-8.")
        return found
    except (OSError, ValueError) as error:  # ValueError: a NUL in the path
        reason = getattr(error, "strerror", None) or error
        found.faults.append(f"{path}: this file cannot be opened: {reason}.")
        return found
    first = text.partition("\n")[0]
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=";" if ";" in first else ",")
    header = [name.strip().lower() for name in next(reader, [])]
    if "kind" not in header or "length" not in header or len(set(header)) < len(header):
        accepted = "names of columns, each once, kind and length among them"
        found.faults.append(f"{path}:1: first line: given {first.strip()!r}, accepted: {accepted}.")
        return found
    try:
        for line in reader:
            cells = [cell.strip() for cell in line]
            where = f"{path}:{reader.line_num}"
            if len(cells) > len(header):
                accepted = f"at most {len(header)}, as many as the first line"
                found.faults.append(f"{where}: line: given '{len(cells)} values', accepted: {accepted}.")
            elif any(cells):
                named = zip(header, cells, strict=False)
                found.lines.append((where, {name: _number(cell) for name, cell in named if cell}))
    except csv.Error as error:
        found.faults.append(f"{path}:{reader.line_num}: this is no line of CSV ({error}).")
    return found


def take_lines(lines: Lines, rows: Rows) -> None:
    """Take in lines of CSV."""
    form = rows.form
    rows.faults += lines.faults
    for where, cells in lines.lines:
        given = dict(cells)
        kind = str(given.pop("kind", ""))
        if kind in form.figures:
            rows.figures[kind] = rows.value(kind, kind, given.get("length", ""), where)
        elif kind == "notch" and kind in form.kinds:
            rows.add_notch(where, given)
        elif kind in form.kinds:
            renamed = form.columns.get(kind, {})
            items = ((renamed.get(name, name), value, where) for name, value in given.items())
            rows.add(form.kinds[kind], where, items)
        else:
            rows.fault(where, "kind", kind, f"one of {', '.join((*form.figures, *form.kinds))}")


def _number(cell: str) -> object:
    """A cell as a number if it is one; a decimal comma counts as a point."""
    plain = cell.replace(",", ".", 1)
    digits = plain.replace(".", "", 1).removeprefix("-")
    if not digits.isascii() or not digits.isdigit():
        return cell
    return float(plain) if "." in plain else int(plain)


class Maker:
    """Makes a problem of rows: money in whole units, values that are needed."""

    def __init__(self, rows: Rows, stock: str) -> None:
        self.rows = rows
        prices = [
            v for kind in rows.found.values() for row in kind for n, v in row.values.items() if n in MONEY
        ]
        self.priced = any("price" in row.values for row in rows.found[stock])
        self.shown = self.decimals = max(map(_places, prices), default=0) if self.priced else 0
        if self.priced and any("worth" in row.values for row in rows.found.get("keep", ())):
            # what is kept is worth its millimetres, whatever prices are rounded to
            room = (
                places for places in range(_OF_A_MM, 0, -1) if self.money(max(prices), places) <= MOST_PRICE
            )
            self.decimals += next(room, 0)

    def money(self, value: Decimal | int, more: int = 0) -> int:
        """A price in the units of the problem, or in units with so many more decimals."""
        return int(Decimal(value).scaleb(self.decimals + more))

    def needed(self, row: Row, kind: str, name: str) -> Any:
        """A value that must be given."""
        if name not in row.values:
            self.rows.fault(row.where, f"{kind}.{name}", "nothing", "a value")
            return 1
        return row.values[name]

    def some_of(self, *names: str) -> None:
        """Note which lists are empty and must not be."""
        for name in names:
            if not self.rows.found[name]:
                self.rows.fault(self.rows.name, name, "none", "at least one")


def _places(price: Decimal) -> int:
    exponent = price.normalize().as_tuple().exponent
    return max(0, -exponent) if isinstance(exponent, int) else 0
