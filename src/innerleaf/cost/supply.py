"""What a firm can buy from whom: offers, suppliers, stand-ins, phases, and how articles are counted.

Money is in hundredths of the currency, as whole numbers. An article that is sold by length (bars, beads,
boards, slabs, rolls of membrane) is counted in pieces of a length; every other by amount: pieces, mm or kg.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from innerleaf.practice.model import ConsumableUse, Practice

BEADS: Final = (ConsumableUse.CORNER_BEAD, ConsumableUse.EDGE_BEAD, ConsumableUse.MOVEMENT_BEAD)
MOST_CENTS: Final = 10**11


@dataclass(frozen=True, slots=True, kw_only=True)
class Measure:
    """How an article is counted and what people call it.

    ``width_mm`` is 0 for what is a line; ``length_mm`` is the one length it comes in, 0 where it comes in
    several or in none. ``unit`` is what quantities of it are in: "mm", "mm2", "piece" or "kg".
    """

    section: str
    unit: str
    by_length: bool
    width_mm: int = 0
    length_mm: int = 0
    words: str = ""
    piece: str = "piece"

    def of_piece(self, length_mm: int) -> float:
        """How much one piece of a length holds, in ``unit``; 1 unit of what is counted by amount."""
        return length_mm * (self.width_mm or 1) if self.by_length else 1


@dataclass(frozen=True, slots=True)
class Break:
    """The price of a pack where at least so many are bought."""

    packs: int
    price: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Offer:
    """What a supplier sells: a pack of so many pieces of a length, or of so much.

    ``pack`` counts pieces, or mm or kg for what is counted by amount. ``prices`` begin with the price from
    the first pack on. ``pack_kg`` 0: by the catalogue. ``valid_until`` is an ISO 8601 date, "" for none.
    """

    article: str
    supplier: str
    code: str
    pack: float
    pack_name: str
    prices: tuple[Break, ...]
    length_mm: int = 0
    least_packs: int = 1
    lead_days: int = 0
    valid_until: str = ""
    pack_kg: float = 0.0
    note: str = ""

    def price_for(self, packs: int) -> Break:
        """The break that so many packs reach."""
        return [step for step in self.prices if step.packs <= max(packs, 1)][-1]


@dataclass(frozen=True, slots=True, kw_only=True)
class Supplier:
    """Who sells. ``most_kg`` is the greatest mass of one lorry; 0: any.

    ``charge`` is the price of one lorry, none where the goods of the delivery are worth ``free_from`` or more
    (0: never free). ``least_order`` is the least worth of the goods of one order.
    """

    name: str
    charge: int = 0
    free_from: int = 0
    least_order: int = 0
    most_kg: float = 0.0


@dataclass(frozen=True, slots=True)
class StandIn:
    """Articles that may lawfully be bought in the place of another, and why."""

    by: tuple[str, ...]
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Supply:
    """All that can be bought. ``phases``: groups of the takeoff by phase of delivery, in order."""

    source: str
    currency: str
    date: str
    suppliers: Mapping[str, Supplier]
    offers: tuple[Offer, ...]
    stand_ins: Mapping[str, StandIn]
    phases: Mapping[str, tuple[str, ...]]
    phases_source: str = ""


def measure_of(practice: Practice, article: str) -> Measure | None:
    """How an article is counted; None for an article that the practice does not know."""
    if article in practice.profiles:
        kind = practice.profiles[article].use.value
        return Measure(section="profiles", unit="mm", by_length=True, words=kind, piece="bar")
    if article in practice.boards:
        board = practice.boards[article]
        words = f"board {board.type} {board.thickness_mm:g}, {board.width_mm} wide"
        return _sheet("boards", board.width_mm, 0, words, "board")
    if article in practice.insulation:
        slab = practice.insulation[article]
        words = f"insulation {slab.thickness_mm}, {slab.width_mm} wide"
        return _sheet("insulation", slab.width_mm, slab.length_mm, words, "slab")
    if article in practice.membranes:
        roll = practice.membranes[article]
        return _sheet("membranes", roll.width_mm, roll.length_mm, f"membrane, {roll.width_mm} wide", "roll")
    if article in practice.brackets:
        return Measure(section="brackets", unit="piece", by_length=False, words="bracket")
    if article in practice.screws:
        words = f"board screw {practice.screws[article].length_mm}"
        return Measure(section="screws", unit="piece", by_length=False, words=words)
    if article in practice.consumables:
        return _consumable(practice, article)
    return None


def _sheet(section: str, width_mm: int, length_mm: int, words: str, piece: str) -> Measure:
    return Measure(
        section=section,
        unit="mm2",
        by_length=True,
        width_mm=width_mm,
        length_mm=length_mm,
        words=words,
        piece=piece,
    )


def _consumable(practice: Practice, article: str) -> Measure:
    sort = practice.consumables[article]
    # backing that is sold by length is cut as bars are
    cut = sort.use in BEADS or (sort.use == ConsumableUse.BACKING and sort.unit == "mm")
    return Measure(
        section="consumables",
        unit=sort.unit,
        by_length=cut,
        length_mm=int(sort.pack) if cut else 0,
        words=sort.use.value,
        piece="length" if cut else "piece",
    )


def usual_pack(practice: Practice, article: str) -> float:
    """What one pack holds where nobody says otherwise: pieces, mm or kg."""
    if article in practice.screws:
        return practice.screws[article].pack
    measure = measure_of(practice, article)
    if article in practice.consumables and measure and not measure.by_length:
        return practice.consumables[article].pack
    return 1


def mass_of_pack(practice: Practice, offer: Offer) -> float:
    """Mass of one pack, as offered or by the catalogue; 0 where neither says. [kg]"""
    if offer.pack_kg:
        return offer.pack_kg
    article, number = offer.article, offer.pack
    if article in practice.profiles:
        return number * offer.length_mm / 1000 * practice.profiles[article].mass_kg_m
    if article in practice.boards:
        board = practice.boards[article]
        return number * board.width_mm * offer.length_mm / 1e6 * board.mass_kg_m2
    if article in practice.insulation:
        slab = practice.insulation[article]
        volume_m3 = slab.width_mm * offer.length_mm / 1e6 * slab.thickness_mm / 1000
        return number * volume_m3 * slab.density_kg_m3
    if article in practice.brackets:
        return number * practice.brackets[article].mass_kg
    sort = practice.consumables.get(article)
    return number if sort and sort.unit == "kg" else 0.0
