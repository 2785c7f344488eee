"""Reads what `innerleaf cut` takes: pieces and stock as JSON or CSV. Format: docs/cut.md.

Every mistake is found and said at once, each with its line, its field, what was given and what is accepted.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from decimal import Decimal
from pathlib import Path
from typing import Any, Final

from innerleaf.cutting.bars import BarDemand, BarProblem, BarStock, Keeping, Splice
from innerleaf.errors import FileFaults, InputError
from innerleaf.reading import Place, Text, read_file

_DECIMALS: Final = 4  # of a price, at most
_MOST_PRICE: Final = 100_000
_STOCK = ("length", "price", "limit", "trim", "phase")
_OFFCUT = ("mark", "length", "price", "count", "trim", "phase")
_PIECE = ("mark", "length", "count", "phase", "overlap", "least_part")
_KEEP = ("least", "worth")
_CHOOSE = ("most", "charge")
_LISTS: Final = {"stock": _STOCK, "offcuts": _OFFCUT, "pieces": _PIECE}
_GROUPS: Final = {"keep": _KEEP, "choose": _CHOOSE}
_OF_KIND: Final = {
    "stock": "stock",
    "offcut": "offcuts",
    "piece": "pieces",
    "keep": "keep",
    "choose": "choose",
}
_MONEY: Final = ("price", "worth", "charge")
_RANGES: Final = {
    "length": (1, 2_000_000, "mm"),
    "trim": (0, 2_000_000, "mm"),
    "overlap": (0, 2_000_000, "mm"),
    "least_part": (1, 2_000_000, "mm"),
    "least": (1, 2_000_000, "mm"),
    "kerf": (0, 1000, "mm"),
    "limit": (0, 1_000_000, ""),
    "count": (0, 1_000_000, ""),
    "phase": (1, 10_000, ""),
    "most": (1, 20, ""),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class CutFile:
    """What a file asks for. Prices of the problem count in 10 to the power of minus ``decimals``.

    ``priced`` is False where no price is given and a bar costs its length; ``choose`` is (how many lengths
    at most, charge for each), or None.
    """

    problem: BarProblem
    priced: bool
    decimals: int
    choose: tuple[int, int] | None


def read_cut(path: Path) -> CutFile:
    """Read a file of pieces and stock; CSV by its name, else JSON.

    Raises
    ------
    FileFaults
        All that is wrong with the file.
    """
    rows = _Rows(str(path))
    if path.suffix.lower() == ".csv":
        _read_csv(path, rows)
    else:
        _read_json(read_file(path).checked(), rows)
    rows.stop_at_faults()
    return _Maker(rows).made()


@dataclass(slots=True)
class _Row:
    """Checked values of a line or a group, and where it stands."""

    where: str
    values: dict[str, Any]


@dataclass(slots=True)
class _Rows:
    """Everything read so far, by list or group, and the faults."""

    name: str
    faults: list[str] = field(default_factory=list)
    kerf: int = 0
    found: dict[str, list[_Row]] = field(default_factory=lambda: {k: [] for k in (*_LISTS, *_GROUPS)})

    def fault(self, where: str, what: str, given: object, accepted: str) -> None:
        """Note that a value cannot be used."""
        self.faults.append(f"{where}: {what}: given {given!r}, accepted: {accepted}.")

    def stop_at_faults(self) -> None:
        """Raise what is wrong so far."""
        if self.faults:
            raise FileFaults(self.faults)

    def add(self, kind: str, where: str, items: Iterable[tuple[str, object, str]]) -> None:
        """Take in a row: (name, value, where the value stands)."""
        known = _LISTS.get(kind) or _GROUPS[kind]
        values: dict[str, Any] = {}
        for name, value, place in items:
            if name not in known:
                self.fault(place, f"{kind}.{name}", value, f"one of {', '.join(known)}")
            else:
                values[name] = self.value(f"{kind}.{name}", name, value, place)
        self.found[kind].append(_Row(where, values))

    def value(self, what: str, name: str, given: object, where: str) -> Any:
        """A value as it is meant; what cannot be used becomes a fault and 1."""
        if name == "mark":
            if isinstance(given, (str, int)) and not isinstance(given, bool) and str(given).strip():
                return str(given).strip()
            self.fault(where, what, given, "a word")
            return "?"
        number = isinstance(given, (int, float)) and not isinstance(given, bool)
        if name in _MONEY:
            money = Decimal(str(given)) if number else Decimal(-1)
            if 0 <= money <= _MOST_PRICE and money == round(money, _DECIMALS):
                return money
            self.fault(where, what, given, f"0 to {_MOST_PRICE}, at most {_DECIMALS} decimals")
            return Decimal(1)
        least, most, unit = _RANGES[name]
        if number and int(given) == given and least <= given <= most:  # type: ignore[call-overload, operator]
            return int(given)  # type: ignore[call-overload]
        self.fault(where, what, given, f"a whole number from {least} to {most}{unit and ' '}{unit}")
        return 1


def _read_json(text: Text, rows: _Rows) -> None:
    if not isinstance(text.value, dict):
        rows.faults.append(text.line((), "the file holds no group with pieces and stock."))
        return

    def where(*place: str | int, key: bool = False) -> str:
        line, column = text.position(place, key=key)
        return f"{text.name}:{line}:{column}"

    for name, value in text.value.items():
        if name == "kerf":
            rows.kerf = rows.value("kerf", "kerf", value, where("kerf"))
        elif name in _GROUPS and isinstance(value, dict):
            rows.add(name, where(name), _items(value, (name,), where))
        elif name in _LISTS and isinstance(value, list):
            for number, item in enumerate(value):
                if isinstance(item, dict):
                    rows.add(name, where(name, number), _items(item, (name, number), where))
                else:
                    rows.fault(where(name, number), name, item, f"groups with {', '.join(_LISTS[name])}")
        elif name in _LISTS or name in _GROUPS:
            rows.fault(where(name), name, value, "a list" if name in _LISTS else "a group")
        else:
            accepted = ", ".join(("kerf", *_LISTS, *_GROUPS))
            rows.fault(where(name, key=True), "name", name, f"one of {accepted}")


def _items(group: dict[str, Any], place: Place, where: Any) -> Iterator[tuple[str, object, str]]:
    return ((name, value, where(*place, name)) for name, value in group.items())


def _read_csv(path: Path, rows: _Rows) -> None:
    try:
        text = path.read_bytes().decode("utf-8-sig")
    except (OSError, ValueError) as error:
        rows.faults.append(f"{path}: this file cannot be read as UTF-8 text ({error}).")
        return
    first = text.partition("\n")[0]
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=";" if ";" in first else ",")
    header = [name.strip().lower() for name in next(reader, [])]
    if "kind" not in header or "length" not in header or len(set(header)) < len(header):
        rows.fault(
            f"{path}:1",
            "first line",
            first.strip(),
            "names of columns, each once, kind and length among them",
        )
        return
    try:
        for line in reader:
            if any(cell.strip() for cell in line):
                _csv_row(f"{path}:{reader.line_num}", header, [cell.strip() for cell in line], rows)
    except csv.Error as error:
        rows.faults.append(f"{path}:{reader.line_num}: this is no line of CSV ({error}).")


def _csv_row(where: str, header: list[str], cells: list[str], rows: _Rows) -> None:
    if len(cells) > len(header):
        rows.fault(where, "line", f"{len(cells)} values", f"at most {len(header)}, as many as the first line")
        return
    given = {name: _number(cell) for name, cell in zip(header, cells, strict=False) if cell}
    kind = str(given.pop("kind", ""))
    if kind == "kerf":
        rows.kerf = rows.value("kerf", "kerf", given.get("length", ""), where)
    elif kind in _OF_KIND:
        if kind == "keep":
            given = {
                "least" if name == "length" else "worth" if name == "price" else name: v
                for name, v in given.items()
            }
        elif kind == "choose":
            given = {
                "most" if name == "count" else "charge" if name == "price" else name: v
                for name, v in given.items()
            }
        rows.add(_OF_KIND[kind], where, ((name, value, where) for name, value in given.items()))
    else:
        rows.fault(where, "kind", kind, f"one of kerf, {', '.join(_OF_KIND)}")


def _number(cell: str) -> object:
    """A cell as a number if it is one; a decimal comma counts as a point."""
    plain = cell.replace(",", ".", 1)
    if (
        not plain.replace(".", "", 1).removeprefix("-").isascii()
        or not plain.replace(".", "", 1).removeprefix("-").isdigit()
    ):
        return cell
    return float(plain) if "." in plain else int(plain)


class _Maker:
    """Makes the problem of the rows; what does not fit together is said with its line."""

    def __init__(self, rows: _Rows) -> None:
        self.rows = rows
        prices = [
            v for kind in rows.found.values() for row in kind for n, v in row.values.items() if n in _MONEY
        ]
        self.priced = any("price" in row.values for row in rows.found["stock"])
        self.decimals = max((_places(price) for price in prices), default=0) if self.priced else 0

    def money(self, value: Decimal | int) -> int:
        """A price in the units of the problem."""
        return int(Decimal(value).scaleb(self.decimals))

    def made(self) -> CutFile:
        """The problem."""
        found = self.rows.found
        for name in ("stock", "pieces"):
            if not found[name]:
                self.rows.fault(self.rows.name, name, "none", "at least one")
        stocks = (*map(self._stock, found["stock"]), *map(self._offcut, found["offcuts"]))
        demands = [self._demand(row, number) for number, row in enumerate(found["pieces"], 1)]
        self.rows.stop_at_faults()
        keeping = None
        for row in found["keep"][:1]:
            least = self._needed(row, "keep", "least")
            keeping = Keeping(least_mm=least, worth_per_m=self.money(row.values.get("worth", Decimal(0))))
        self._try(found["keep"][0].where if keeping else self.rows.name, (), stocks, keeping)
        tried = set[tuple[object, ...]]()
        for row, demand in zip(found["pieces"], demands, strict=True):
            key = (demand.length_mm, demand.phase, demand.splice)
            if key not in tried:
                self._try(row.where, (demand,), stocks, keeping)
            tried.add(key)
        self.rows.stop_at_faults()
        choose = None
        for row in found["choose"][:1]:
            choose = self._needed(row, "choose", "most"), self.money(row.values.get("charge", Decimal(0)))
        self.rows.stop_at_faults()
        try:
            problem = BarProblem(
                demands=tuple(demands), stocks=stocks, kerf_mm=self.rows.kerf, keeping=keeping
            )
        except InputError as error:
            raise FileFaults([f"{self.rows.name}: {error}"]) from error
        return CutFile(problem=problem, priced=self.priced, decimals=self.decimals, choose=choose)

    def _try(
        self,
        where: str,
        demands: tuple[BarDemand, ...],
        stocks: tuple[BarStock, ...],
        keeping: Keeping | None,
    ) -> None:
        try:
            BarProblem(demands=demands, stocks=stocks, kerf_mm=self.rows.kerf, keeping=keeping)
        except InputError as error:
            self.rows.faults.append(f"{where}: {error}")

    def _needed(self, row: _Row, kind: str, name: str) -> Any:
        if name not in row.values:
            self.rows.fault(row.where, f"{kind}.{name}", "nothing", "a value")
            return 1
        return row.values[name]

    def _stock(self, row: _Row) -> BarStock:
        length = self._needed(row, "stock", "length")
        price = self.money(self._needed(row, "stock", "price")) if self.priced else length
        return BarStock(
            length_mm=length,
            price=price,
            limit=row.values.get("limit"),
            trim_mm=row.values.get("trim", 0),
            phase=row.values.get("phase", 1),
        )

    def _offcut(self, row: _Row) -> BarStock:
        length = self._needed(row, "offcuts", "length")
        return BarStock(
            mark=row.values.get("mark", f"offcut {length}"),
            length_mm=length,
            price=self.money(row.values.get("price", Decimal(0))),
            limit=row.values.get("count", 1),
            trim_mm=row.values.get("trim", 0),
            phase=row.values.get("phase", 1),
        )

    def _demand(self, row: _Row, number: int) -> BarDemand:
        values = row.values
        splice = None
        if "overlap" in values:
            splice = Splice(
                overlap_mm=values["overlap"],
                least_mm=values.get("least_part", max(Splice().least_mm, values["overlap"] + 1)),
            )
        elif "least_part" in values:
            self.rows.fault(row.where, "pieces.overlap", "nothing", "an overlap where least_part is given")
        return BarDemand(
            mark=values.get("mark", f"P{number}"),
            length_mm=self._needed(row, "pieces", "length"),
            count=values.get("count", 1),
            phase=values.get("phase", 1),
            splice=splice,
        )


def _places(price: Decimal) -> int:
    exponent = price.normalize().as_tuple().exponent
    return max(0, -exponent) if isinstance(exponent, int) else 0
