"""How a supplier's price list is to be read: which column says what, in which words and units."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import partial
from pathlib import Path
from typing import Any, Final, TypeVar

from innerleaf.cost.price_money import cents
from innerleaf.cost.supply import Supplier
from innerleaf.cost.supply_file import CURRENCY, read_supplier
from innerleaf.cost.supply_values import PER, Fields, meant
from innerleaf.errors import FileFaults
from innerleaf.practice.measures import measure_of
from innerleaf.practice.model import Practice
from innerleaf.reading import Place, read_file

_T = TypeVar("_T")

COLUMNS: Final = (
    "code",
    "price",
    "unit",
    "currency",
    "pack",
    "length",
    "least_packs",
    "lead_days",
    "valid_until",
    "pack_kg",
)
_FIELDS: Final = (
    "format",
    "supplier",
    "terms",
    "source",
    "date",
    "currency",
    "into",
    "decimal",
    "sheet",
    "separator",
    "heading_row",
    "columns",
    "breaks",
    "units",
    "per",
    "length_in",
    "articles",
)
_LENGTHS: Final = {"mm": 1, "cm": 10, "m": 1000}
_ARTICLE: Final = ("article", "length", "pack", "pack_name")


@dataclass(frozen=True, slots=True)
class Meaning:
    """What a code stands for; ``length_mm`` and ``pack`` (as a file would say it) None: the list says."""

    article: str
    length_mm: int | None = None
    pack: float | None = None
    pack_name: str = ""


@dataclass(frozen=True, slots=True)
class BreakColumns:
    """Headings of a price break; ``in_packs``: the first counts packs, else what the price is for."""

    least: str
    price: str
    in_packs: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class PriceListMap:
    """A mapping. ``rate`` turns the list's currency into ``into``, as of ``rate_date``.

    ``units``: words of the list to what a price is for; ``per`` where it has no such column. ``length_per``
    makes mm of its lengths.
    """

    supplier: Supplier
    source: str
    date: str
    currency: str
    into: str
    rate: Fraction
    rate_date: str
    decimal_comma: bool
    sheet: str
    separator: str
    heading_row: int
    columns: Mapping[str, str]
    breaks: tuple[BreakColumns, ...]
    units: Mapping[str, str]
    per: str
    length_per: int
    articles: Mapping[str, Meaning]


def load_map(path: Path, practice: Practice) -> PriceListMap:
    """Read a mapping.

    Raises
    ------
    FileFaults
        All that is wrong with it, each with file, line and column.
    """
    reader = _Reader(Fields(read_file(path).checked()), practice)
    made = reader.values.attempt((), reader.mapping)
    if reader.values.faults or made is None:
        raise FileFaults(reader.values.sorted_faults())
    return made


def _in_currency(supplier: Supplier, rate: Fraction) -> Supplier:
    """A supplier whose terms, like his prices, are told in the currency of his list."""
    charge, free_from, least = (
        cents(Fraction(amount, 100) * rate)
        for amount in (supplier.charge, supplier.free_from, supplier.least_order)
    )
    return replace(supplier, charge=charge, free_from=free_from, least_order=least)


class _Reader:
    def __init__(self, values: Fields, practice: Practice) -> None:
        self.values, self.practice = values, practice

    def mapping(self) -> PriceListMap:
        """The whole file; it stops at what nothing can be read without."""
        values = self.values
        said = values.group((), values.text.value, _FIELDS, "mapping")
        if said.get("format") != 1:
            values.wrong(("format",), "format", said.get("format"), "1")
        name = self._or("", self._supplier, said.get("supplier"))
        currency = self._or("", self._currency, ("currency",), said.get("currency"))
        into, rate, rate_date = self._or((currency, Fraction(1), ""), self._into, said, currency)
        columns: dict[str, str] = self._or({}, self._columns, said.get("columns"))
        units: dict[str, str] = self._or({}, self._units, said.get("units", {}))
        per = self._or("pack", self._one_of, "per", said.get("per", "pack"), PER)
        if "unit" not in columns and "per" not in said:
            accepted = f"what prices are for, as no column `unit` says it: {', '.join(PER)}"
            values.wrong(("per",), "per", None, accepted)
        terms = self._or(Supplier(name=name), read_supplier, values, ("terms",), name, said.get("terms"))
        decimal = self._or("", self._one_of, "decimal", said.get("decimal"), ("comma", "point"))
        length_in = self._or("mm", self._one_of, "length_in", said.get("length_in", "mm"), tuple(_LENGTHS))
        heading_row, at = said.get("heading_row", 1), ("heading_row",)
        return PriceListMap(
            supplier=_in_currency(terms, rate),
            source=self._line("source", said.get("source")),
            date=self._or("", values.date, ("date",), said.get("date"), "date"),
            currency=currency,
            into=into,
            rate=rate,
            rate_date=rate_date,
            decimal_comma=decimal == "comma",
            sheet=self._line("sheet", said["sheet"]) if "sheet" in said else "",
            separator=self._or("", self._separator, said),
            heading_row=self._or(1, values.whole, at, heading_row, "heading_row", 1, 1000),
            columns=columns,
            breaks=tuple(self._or([], self._breaks, said.get("breaks", []))),
            units=units,
            per=per,
            length_per=_LENGTHS[length_in],
            articles=self._or({}, self._articles, said.get("articles")),
        )

    def _or(self, instead: _T, make: Callable[..., _T], *given: Any) -> _T:
        """What can be made of the values given; where that is a fault, it is noted and reading goes on."""
        made = self.values.attempt((), partial(make, *given))
        return instead if made is None else made

    def _line(self, field: str, given: Any) -> str:
        return self._or("", self.values.line, (field,), given, field)

    def _supplier(self, given: Any) -> str:
        if not isinstance(given, str):  # a bare number is no name
            raise self.values.wrong(("supplier",), "supplier", given, "a name")
        return self.values.line(("supplier",), given, "supplier")

    def _one_of(self, field: str, given: Any, known: tuple[str, ...]) -> str:
        if str(given) not in known:
            raise self.values.wrong((field,), field, given, ", ".join(known))
        return str(given)

    def _separator(self, said: dict[str, Any]) -> str:
        given = said.get("separator", "")
        if given == "tab":
            return "\t"
        if not isinstance(given, str) or len(given) > 1:
            raise self.values.wrong(("separator",), "separator", given, "one sign such as ; or the word tab")
        return given

    def _currency(self, place: Place, given: Any) -> str:
        if not isinstance(given, str) or not CURRENCY.match(given):
            accepted = "three capital letters, such as EUR (ISO 4217)"
            raise self.values.wrong(place, "currency", given, accepted)
        return given

    def _into(self, said: dict[str, Any], currency: str) -> tuple[str, Fraction, str]:
        if "into" not in said:
            return currency, Fraction(1), ""
        group = self.values.group(("into",), said["into"], ("currency", "rate", "date"), "into")
        into = self._or("", self._currency, ("into", "currency"), group.get("currency"))
        above = partial(self.values.from_, above=True)
        rate = self._or(1.0, above, ("into", "rate"), group.get("rate"), "rate")
        day = self._or("", self.values.date, ("into", "date"), group.get("date"), "date of the rate")
        return into, Fraction(str(rate)), day

    def _columns(self, body: Any) -> dict[str, str]:
        group = self.values.group(("columns",), body, COLUMNS, "columns")
        made = {
            key: self._or("", self.values.line, ("columns", key), name, f"columns.{key}")
            for key, name in group.items()
        }
        for key in ("code", "price"):
            if key not in made:
                self.values.wrong(("columns", key), f"columns.{key}", None, "the heading of its column")
        return made

    def _breaks(self, body: Any) -> list[BreakColumns]:
        def one(place: Place, entry: Any) -> BreakColumns:
            group = self.values.group(place, entry, ("packs", "quantity", "price"), "breaks")
            kind = "packs" if "packs" in group else "quantity"
            least = self.values.line((*place, kind), group.get(kind), f"breaks: {kind}")
            price = self.values.line((*place, "price"), group.get("price"), "breaks: price")
            return BreakColumns(least, price, kind == "packs")

        return self.values.each(("breaks",), body, "breaks", one)

    def _units(self, body: Any) -> dict[str, str]:
        group = self.values.group(("units",), body, None, "units")
        for word, unit in group.items():
            if str(unit) not in PER:
                self.values.wrong(("units", word), f"units.{word}", unit, ", ".join(PER))
        return {word.casefold(): str(unit) for word, unit in group.items()}

    def _articles(self, body: Any) -> dict[str, Meaning]:
        group = self.values.group(("articles",), body, None, "articles")
        made = {}
        for code, entry in group.items():
            place: Place = ("articles", code)
            one = self.values.attempt(place, partial(self._meaning, place, entry))
            if one is not None:
                made[code] = one
        return made

    def _meaning(self, place: Place, entry: Any) -> Meaning:
        said = {"article": entry} if isinstance(entry, str) else entry
        said = self.values.group(place, said, _ARTICLE, "article")
        article = self.values.word((*place, "article"), said.get("article"), "article")
        measure = measure_of(self.practice, article)
        if measure is None:
            accepted = f"an article of practice set {self.practice.id}{meant(self.practice, article)}"
            raise self.values.wrong((*place, "article"), "article", article, accepted)
        length = pack = None
        if "length" in said:
            length = self.values.whole((*place, "length"), said["length"], "length", 10, 100_000)
            if not measure.by_length or measure.length_mm not in (0, length):
                only = f"{measure.length_mm} or none" if measure.length_mm else "no length"
                raise self.values.wrong((*place, "length"), f"length of {article}", length, only)
        if "pack" in said:
            pack = self.values.from_((*place, "pack"), said["pack"], "pack", above=True)
        name = said.get("pack_name")
        words = self.values.line((*place, "pack_name"), name, "pack_name") if name is not None else ""
        return Meaning(article, length, pack, words)
