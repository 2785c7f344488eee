"""What a firm can buy from whom: offers, suppliers, stand-ins and phases.

Money is in hundredths of the currency, as whole numbers.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from innerleaf.practice.model import Practice

MOST_CENTS: Final = 10**11


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

    ``charge`` is the price of one lorry, none where all goods of the order are worth ``free_from`` or more
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
class Joining:
    """What may come along with the delivery before: worth ``up_to`` or less, of short lead time.

    With one delivery no more than ``waiting_kg`` come early: so much lies on site until it is wanted.
    """

    up_to: int
    waiting_kg: float
    lead_days: int
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Supply:
    """All that can be bought. ``phases``: groups of the takeoff by phase of delivery, in order.

    ``joining`` is None where every delivery comes by itself.
    """

    source: str
    currency: str
    date: str
    suppliers: Mapping[str, Supplier]
    offers: tuple[Offer, ...]
    stand_ins: Mapping[str, StandIn]
    phases: Mapping[str, tuple[str, ...]]
    phases_source: str = ""
    joining: Joining | None = None


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
