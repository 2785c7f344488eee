"""A supplier's price list turned into offers; every row that cannot be used is told, none is guessed."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from math import ceil, isfinite
from pathlib import Path
from typing import Final

from innerleaf.cost.price_list_map import Meaning, PriceListMap
from innerleaf.cost.price_money import cents
from innerleaf.cost.sheet_reader import Cell, sheet_rows
from innerleaf.cost.supply import MOST_CENTS, Break, Offer, Supply
from innerleaf.cost.supply_offers import MOST_DAYS, MOST_PACKS
from innerleaf.cost.supply_values import PER, content_of
from innerleaf.errors import InputError
from innerleaf.practice.measures import Measure, measure_of, usual_pack
from innerleaf.practice.model import Practice

_MOST_DIGITS: Final = 15


@dataclass(frozen=True, slots=True)
class RowFault:
    """Why a row is left out; ``row`` counts as the sheet does, 0 for the list as a whole."""

    row: int
    column: str
    given: str
    accepted: str

    def __str__(self) -> str:
        where = f"row {self.row}, " if self.row else ""
        return f"{where}{self.column}: given {self.given}, accepted: {self.accepted}."


@dataclass(frozen=True, slots=True)
class Imported:
    """The offers of a price list, what was left out, and how many rows have codes of no article."""

    supply: Supply
    faults: tuple[RowFault, ...]
    unknown: int


class _LeftOut(Exception):
    """A row that cannot be used."""

    def __init__(self, column: str, given: Cell, accepted: str) -> None:
        super().__init__(column)
        shown = "nothing" if given is None else repr(given)
        self.column, self.accepted = column, accepted
        self.given = shown if len(shown) <= 60 else f"{shown[:60]}…"


def import_price_list(path: Path, mapping: PriceListMap, practice: Practice) -> Imported:
    """Read a price list through a mapping.

    Raises
    ------
    InputError
        The file cannot be read, has no such columns, or no row of it can be used.
    """
    rows = sheet_rows(path, sheet=mapping.sheet, separator=mapping.separator)
    places = _places(rows, mapping)
    made: dict[str, list[tuple[int, Offer]]] = defaultdict(list)
    faults: list[RowFault] = []
    unknown = 0
    met: set[str] = set()
    for number, cells in enumerate(rows[mapping.heading_row :], mapping.heading_row + 1):
        row = _Row(cells, places, mapping, practice)
        code = row.code()
        if not code:
            if any(cell is not None for cell in cells):
                heading = mapping.columns["code"]
                faults.append(RowFault(number, heading, "nothing", "the code of an article"))
            continue
        if code not in mapping.articles:
            unknown += 1
            continue
        met.add(code)
        try:
            offer = row.offer(code, mapping.articles[code])
        except _LeftOut as error:
            faults.append(RowFault(number, error.column, error.given, error.accepted))
        else:
            made[code].append((number, offer))
    offers = _once(made, mapping.columns["code"], faults)
    faults += [
        RowFault(0, "articles", repr(code), "a code that the price list has")
        for code in mapping.articles
        if code not in met
    ]
    if not offers:
        reason = f"; {faults[0]}" if faults else ""
        accepted = f"a price list with a row that can be used ({unknown} codes are not in `articles`{reason})"
        raise InputError("price list", given=path.name, accepted=accepted)
    supply = Supply(
        source=_source(mapping),
        currency=mapping.into,
        date=mapping.date,
        suppliers={mapping.supplier.name: mapping.supplier},
        offers=tuple(offers),
        stand_ins={},
        phases={},
    )
    return Imported(supply, tuple(sorted(faults, key=lambda fault: fault.row)), unknown)


def _source(mapping: PriceListMap) -> str:
    if mapping.into == mapping.currency:
        return mapping.source
    rate = f"{float(mapping.rate):.6g}"
    return f"{mapping.source}; {mapping.currency} at {rate} {mapping.into} on {mapping.rate_date}"


def _places(rows: Sequence[tuple[Cell, ...]], mapping: PriceListMap) -> dict[str, int]:
    """Where each heading stands."""
    row = mapping.heading_row
    if len(rows) < row:
        raise InputError("heading_row", given=row, accepted=f"a row of the list; it has {len(rows)}")
    headings = ["" if cell is None else " ".join(str(cell).split()) for cell in rows[row - 1]]
    wanted = [*mapping.columns.values(), *(h for step in mapping.breaks for h in (step.least, step.price))]
    for heading in wanted:
        if headings.count(heading) != 1:
            there = ", ".join(filter(None, headings))[:300] or "(nothing)"
            accepted = f"a heading that row {row} has once; it has {there}"
            raise InputError("columns", given=heading, accepted=accepted)
    return {heading: headings.index(heading) for heading in wanted}


def _once(made: dict[str, list[tuple[int, Offer]]], heading: str, faults: list[RowFault]) -> list[Offer]:
    """Each code once: rows that say the same count as one, rows that differ are all left out."""
    offers = []
    for code, found in made.items():
        rows = [number for number, _ in found]
        if len({offer for _, offer in found}) > 1:
            others = ", ".join(map(str, rows))
            accepted = f"each code once, or the same each time (rows {others} differ): none of them is used"
            faults += [RowFault(number, heading, repr(code), accepted) for number in rows]
            continue
        offers.append(found[0][1])
        faults += [
            RowFault(number, heading, repr(code), f"each code once (as in row {rows[0]}, which is used)")
            for number in rows[1:]
        ]
    return offers


class _Row:
    """One row of the list."""

    def __init__(
        self, cells: tuple[Cell, ...], places: dict[str, int], mapping: PriceListMap, practice: Practice
    ) -> None:
        self.cells, self.places, self.mapping, self.practice = cells, places, mapping, practice

    def _cell(self, heading: str) -> Cell:
        at = self.places[heading]
        return self.cells[at] if at < len(self.cells) else None

    def _has(self, key: str) -> bool:
        heading = self.mapping.columns.get(key)
        return heading is not None and self._cell(heading) is not None

    def code(self) -> str:
        """The code as a text; a number of a workbook without its point."""
        cell = self._cell(self.mapping.columns["code"])
        if isinstance(cell, float) and cell.is_integer():
            cell = int(cell)
        return "" if cell is None else str(cell)

    def offer(self, code: str, meaning: Meaning) -> Offer:
        """The offer that this row makes."""
        measure = measure_of(self.practice, meaning.article)
        assert measure is not None  # the mapping was checked
        self._currency()
        length = self._length(meaning, measure)
        pack = self._pack(meaning, measure)
        per = self._per()
        content = content_of(measure, pack, length, per)
        if content is None:
            known = [word for word in PER if content_of(measure, pack, length, word) is not None]
            heading = self.mapping.columns.get("unit", "per")
            raise _LeftOut(heading, per, f"a unit that {meaning.article} is sold by: {', '.join(known)}")
        heading = self.mapping.columns["price"]
        return Offer(
            article=meaning.article,
            supplier=self.mapping.supplier.name,
            code=code,
            pack=pack,
            pack_name=meaning.pack_name or (measure.piece if pack == 1 and measure.by_length else "pack"),
            prices=self._prices(Break(1, self._price(heading, content)), content),
            length_mm=length,
            least_packs=self._whole("least_packs", 1, MOST_PACKS) or 1,
            lead_days=self._whole("lead_days", 0, MOST_DAYS) or 0,
            valid_until=self._date(),
            pack_kg=float(self._number(self.mapping.columns["pack_kg"])) if self._has("pack_kg") else 0.0,
        )

    def _currency(self) -> None:
        if "currency" not in self.mapping.columns:
            return
        heading = self.mapping.columns["currency"]
        cell = self._cell(heading)
        if cell != self.mapping.currency:
            raise _LeftOut(heading, cell, f"{self.mapping.currency}, the currency of the list")

    def _per(self) -> str:
        heading = self.mapping.columns.get("unit")
        if heading is None:
            return self.mapping.per
        cell = self._cell(heading)
        words = " ".join(str(cell).split()).casefold() if cell is not None else ""
        unit = self.mapping.units.get(words, words)
        if unit not in PER:
            known = ", ".join(dict.fromkeys([*self.mapping.units, *PER]))
            raise _LeftOut(heading, cell, f"a unit of the mapping: {known}")
        return unit

    def _number(self, heading: str) -> Fraction:
        """A number above 0, as the mapping says numbers are written."""
        cell = self._cell(heading)
        number = number_of(cell, decimal_comma=self.mapping.decimal_comma)
        if number is None or number <= 0:
            sign = "comma" if self.mapping.decimal_comma else "point"
            raise _LeftOut(heading, cell, f"a number above 0, with a decimal {sign}")
        return number

    def _whole(self, key: str, low: int, high: int) -> int | None:
        if not self._has(key):
            return None
        heading = self.mapping.columns[key]
        number = number_of(self._cell(heading), decimal_comma=self.mapping.decimal_comma)
        if number is None or number.denominator != 1 or not low <= number <= high:
            raise _LeftOut(heading, self._cell(heading), f"a whole number from {low} to {high}")
        return int(number)

    def _date(self) -> str:
        if not self._has("valid_until"):
            return ""
        heading = self.mapping.columns["valid_until"]
        cell = self._cell(heading)
        try:
            return date.fromisoformat(str(cell)).isoformat()
        except ValueError:
            raise _LeftOut(heading, cell, "a date such as 2026-01-15") from None

    def _length(self, meaning: Meaning, measure: Measure) -> int:
        """Of one piece, in mm; list and mapping must not differ."""
        if not measure.by_length:
            return 0
        heading = self.mapping.columns.get("length", "length")
        known = meaning.length_mm or measure.length_mm
        if not self._has("length"):
            if not known:
                raise _LeftOut(heading, None, f"the length of {meaning.article}, in the list or the mapping")
            return known
        length = self._number(heading) * self.mapping.length_per
        if length.denominator != 1 or not 10 <= length <= 100_000 or (known and known != length):
            accepted = f"{known} mm, as mapping or practice set say" if known else "10 to 100000 mm, whole"
            raise _LeftOut(heading, self._cell(heading), accepted)
        return int(length)

    def _pack(self, meaning: Meaning, measure: Measure) -> float:
        """Pieces, mm or kg in a pack; list and mapping give rolls in metres."""
        metres = not measure.by_length and measure.unit == "mm"
        known = None if meaning.pack is None else Fraction(str(meaning.pack))
        heading = self.mapping.columns.get("pack", "pack")
        said = self._number(heading) if self._has("pack") else None
        if said is not None and known is not None and said != known:
            raise _LeftOut(heading, self._cell(heading), f"{float(known):g}, as the mapping says")
        pack = said if said is not None else known
        if pack is None:
            if "pack" in self.mapping.columns:
                raise _LeftOut(heading, None, "how much is in a pack, in the list or the mapping")
            return usual_pack(self.practice, meaning.article)
        whole = measure.by_length or measure.unit == "piece"
        if pack > MOST_PACKS or (whole and pack.denominator != 1):
            raise _LeftOut(heading, self._cell(heading), f"a whole number of {measure.piece}s")
        return int(pack) if whole else float(pack * (1000 if metres else 1))

    def _price(self, heading: str, content: Fraction) -> int:
        price = cents(self._number(heading) * content * self.mapping.rate)
        if not 0 < price <= MOST_CENTS:
            raise _LeftOut(heading, self._cell(heading), "a price at which a pack costs 0.01 or more")
        return price

    def _prices(self, first: Break, content: Fraction) -> tuple[Break, ...]:
        steps = [first]
        for columns in self.mapping.breaks:
            if self._cell(columns.least) is None and self._cell(columns.price) is None:
                continue
            least = self._number(columns.least)
            packs = ceil(least if columns.in_packs else least / content)
            step = Break(packs, self._price(columns.price, content))
            if step.packs <= steps[-1].packs or step.price >= steps[-1].price:
                accepted = "breaks from few packs to many, each cheaper than the one before"
                raise _LeftOut(columns.least, self._cell(columns.least), accepted)
            steps.append(step)
        return tuple(steps)


def number_of(cell: Cell, *, decimal_comma: bool) -> Fraction | None:
    """A number as written, with the sign for thousands that goes with the decimal sign; None for any other.

    >>> number_of("1.234,50", decimal_comma=True), number_of("1,5", decimal_comma=False)
    (Fraction(2469, 2), None)
    >>> number_of(0.1, decimal_comma=True)
    Fraction(1, 10)
    """
    if isinstance(cell, int | float):
        return Fraction(str(cell)) if isfinite(cell) and abs(cell) < 1e12 else None
    point, thousands = (",", r"\.") if decimal_comma else (r"\.", ",")
    words = re.sub(r"[\s\u00a0\u202f']", "", cell or "")
    if len(words) > _MOST_DIGITS + 6:
        return None
    if not re.fullmatch(rf"(?:\d+|\d{{1,3}}(?:{thousands}\d{{3}})+)(?:{point}\d+)?", words, re.ASCII):
        return None
    plain = words.replace(".", "").replace(",", ".") if decimal_comma else words.replace(",", "")
    return Fraction(plain)
