"""Supply lists as files: read, and laid over that of the practice set. Format: ``docs/buying.md``."""

from __future__ import annotations

import re
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import Any, Final

from innerleaf.cost.price_money import cents
from innerleaf.cost.supply import Joining, StandIn, Supplier, Supply
from innerleaf.cost.supply_offers import MOST_DAYS, OfferReader
from innerleaf.cost.supply_values import Fields
from innerleaf.errors import FileFaults
from innerleaf.practice.measures import Measure, measure_of
from innerleaf.practice.model import Practice
from innerleaf.reading import Place, Text, read_file

GROUPS: Final = (
    "frame",
    "brackets",
    "fixings",
    "insulation",
    "membrane",
    "boards",
    "jointing",
    "beads",
    "sealing",
)
_SECTIONS: Final = (
    "format",
    "source",
    "currency",
    "date",
    "suppliers",
    "offers",
    "stand_ins",
    "phases",
    "joining",
)
_JOINING: Final = ("up_to", "waiting_kg", "lead_days", "source")
_SUPPLIER: Final = ("charge", "free_from", "least_order", "most_kg")
CURRENCY: Final = re.compile(r"[A-Z]{3}\Z")
_EMPTY: Final = Supply(source="", currency="", date="", suppliers={}, offers=(), stand_ins={}, phases={})


def load_supply(practice: Practice, own: Path | None = None, *, offers_of_set: bool = True) -> Supply:
    """The supply list of a practice set, with a firm's own file laid over it.

    Offers and suppliers of the set serve only where the firm brings none; with ``offers_of_set`` false not
    even then, as it has a price list. Stand-ins and phases of the set hold until the firm's file has others;
    what it says of small deliveries holds where the currency is the same.

    Raises
    ------
    FileFaults
        A file cannot be read or says what cannot be used; all faults, each with file, line and column.
    """
    of_set = Path(__file__).parents[1] / "practice" / practice.id / "supply.yaml"
    base = supply_of(read_file(of_set).checked(), practice) if of_set.is_file() else _EMPTY
    if own is None:
        return base if offers_of_set else replace(base, suppliers={}, offers=(), currency="", joining=None)
    ours = supply_of(read_file(own).checked(), practice)
    return replace(
        ours,
        stand_ins=ours.stand_ins or base.stand_ins,
        phases=ours.phases or base.phases,
        phases_source=ours.phases_source or base.phases_source,
        joining=ours.joining or (base.joining if base.currency == ours.currency else None),
    )


def supply_of(text: Text, practice: Practice) -> Supply:
    """A supply list out of a text. Raises `FileFaults` as `load_supply` does."""
    reader = _Reader(text, practice)
    made = reader.values.attempt((), reader.supply)
    if reader.values.faults or made is None:
        raise FileFaults(reader.values.sorted_faults())
    return made


class _Reader:
    """Takes the sections apart; everything wrong is noted."""

    def __init__(self, text: Text, practice: Practice) -> None:
        self.values, self.practice = Fields(text), practice

    def supply(self) -> Supply:
        """The whole file."""
        values = self.values
        said = values.group((), values.text.value, _SECTIONS, "supply list")
        if said.get("format") != 1:
            values.wrong(("format",), "format", said.get("format"), "1")
        suppliers = self._each("suppliers", said, self._supplier)
        named = said.get("suppliers")  # also those whose terms are wrong: their offers are looked at too
        offers = OfferReader(values, self.practice, named if isinstance(named, dict) else {})
        at: Place = ("offers",)
        phases = dict(self._each("phases", said, self._phase))
        source = phases.pop("source", ())
        self._all_groups(phases)
        return Supply(
            source=values.attempt((), partial(values.line, ("source",), said.get("source"), "source")) or "",
            currency=self._currency(said),
            date=values.attempt((), partial(values.date, ("date",), said.get("date"), "date")) or "",
            suppliers=suppliers,
            offers=tuple(values.attempt(at, partial(offers.all, at, said.get("offers", []))) or ()),
            stand_ins=self._each("stand_ins", said, self._stand_in),
            phases=phases,
            phases_source=source[0] if source else "",
            joining=values.attempt(("joining",), partial(self._joining, said["joining"]))
            if "joining" in said
            else None,
        )

    def _each(self, section: str, said: dict[str, Any], make: Any) -> dict[str, Any]:
        """The members of a section by name; those with faults are left out."""
        at: Place = (section,)
        group = self.values.attempt(at, partial(self.values.group, at, said.get(section, {}), None, section))
        made = {}
        for name, entry in (group or {}).items():
            one = self.values.attempt((*at, name), partial(make, (*at, name), name, entry))
            if one is not None:
                made[name] = one
        return made

    def _currency(self, said: dict[str, Any]) -> str:
        value = said.get("currency")
        if not isinstance(value, str) or not CURRENCY.match(value):
            accepted = "three capital letters, such as EUR (ISO 4217)"
            self.values.wrong(("currency",), "currency", value, accepted)
            return ""
        return value

    def _supplier(self, at: Place, name: str, entry: Any) -> Supplier:
        return read_supplier(self.values, at, self.values.line(at, name, "supplier"), entry)

    def _stand_in(self, at: Place, article: str, entry: Any) -> StandIn:
        field = f"stand-ins of {article}"
        said = self.values.group(at, entry, ("by", "source"), field)
        by = said.get("by")
        if not isinstance(by, list):
            raise self.values.wrong((*at, "by"), field, by, "a list of articles")
        measure = measure_of(self.practice, article)
        for index, other in enumerate(by):
            same = measure_of(self.practice, other) if isinstance(other, str) else None
            if measure is None or same is None or not alike(measure, same):
                accepted = f"articles of the practice set that are counted as {article} is, and as wide"
                raise self.values.wrong((*at, "by", index), field, other, accepted)
        return StandIn(tuple(by), self.values.line((*at, "source"), said.get("source"), f"{field}: source"))

    def _phase(self, at: Place, name: str, groups: Any) -> tuple[str, ...]:
        """The groups of a phase; the source of all of them as the only one."""
        if name == "source":
            return (self.values.line(at, groups, "phases: source"),)
        if not isinstance(groups, list) or not all(each in GROUPS for each in groups):
            raise self.values.wrong(at, f"phase {name}", groups, f"a list of {', '.join(GROUPS)}")
        return tuple(groups)

    def _joining(self, entry: Any) -> Joining:
        """When a small delivery comes along with the one before."""
        values, at = self.values, ("joining",)
        said = values.group(at, entry, _JOINING, "joining")
        up_to, waiting = (
            values.from_((*at, field), said.get(field), f"joining: {field}") for field in _JOINING[:2]
        )
        return Joining(
            up_to=cents(up_to),
            waiting_kg=waiting,
            lead_days=values.whole(
                (*at, "lead_days"), said.get("lead_days"), "joining: lead_days", 0, MOST_DAYS
            ),
            source=values.line((*at, "source"), said.get("source"), "joining: source"),
        )

    def _all_groups(self, phases: dict[str, tuple[str, ...]]) -> None:
        named = [group for groups in phases.values() for group in groups]
        if phases and sorted(named) != sorted(GROUPS):
            self.values.wrong(("phases",), "phases", named, f"each once of {', '.join(GROUPS)}")


def read_supplier(values: Fields, at: Place, name: str, entry: Any) -> Supplier:
    """A supplier's terms; each that is left out is 0."""
    said = values.group(at, {} if entry is None else entry, _SUPPLIER, f"supplier {name}")
    charge, free_from, least, most_kg = (
        values.from_((*at, field), said.get(field, 0), f"supplier {name}: {field}") for field in _SUPPLIER
    )
    return Supplier(
        name=name,
        charge=cents(charge),
        free_from=cents(free_from),
        least_order=cents(least),
        most_kg=most_kg,
    )


def alike(one: Measure, other: Measure) -> bool:
    """Are two articles of one section, counted alike and as wide?"""
    return (one.section, one.unit, one.by_length, one.width_mm) == (
        other.section,
        other.unit,
        other.by_length,
        other.width_mm,
    )
