"""The values that buying and pricing hand on. Money is in ``currency``, in hundredths, as whole numbers."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class StandIn:
    """What an order line comes in place of: so many of another article or length (0: not by length)."""

    article: str
    length_mm: int
    count: int


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderLine:
    """So many packs of one article from one supplier, in one delivery, and what they rest on.

    ``unit`` is what ``needed``, ``allowance``, ``in_hand``, ``pack_size`` and ``left_over`` count in: "mm"
    of length, "mm2" of area, "kg" or "piece". ``needed`` comes from the cut plan or the takeoff;
    ``allowance`` is said openly with its reason; ``left_over`` is what the packs hold beyond both. So packs
    times ``pack_size`` and ``in_hand`` make ``needed``, ``allowance`` and ``left_over``.

    What is in hand has lines of its own, without packs. ``length_mm`` is 0 where it is not bought by length;
    ``instead_of`` names other articles and lengths that it stands in for, ``stands_in`` lists them.
    """

    group: str
    article: str
    description: str
    supplier: str
    code: str
    unit: str
    needed: float
    allowance: float
    allowance_reason: str
    in_hand: float
    pack_size: float
    pack_name: str
    packs: int
    price_of_pack: int
    price_break: str
    total: int
    left_over: float
    mass_kg: float
    lead_days: int
    delivery: str
    basis: str
    length_mm: int = 0
    instead_of: str = ""
    stands_in: tuple[StandIn, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Delivery:
    """What a supplier brings for one storey and phase; ``charge`` is the price of bringing it.

    ``lorries`` is by mass. ``lifts``: how often the lift of the storey goes, ``places``: in how many places
    it is set down so that the floor bears it; 0 where the job says of neither. ``order_by_days``: so many
    working days before it is wanted it must be ordered. ``also_for`` are later deliveries, too small to come
    by themselves, whose goods come along.
    """

    id: str
    supplier: str
    storey: str
    mass_kg: float
    charge: int
    order_by_days: int
    lifts: int
    basis: str
    phase: str = ""
    lorries: int = 1
    places: int = 0
    also_for: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Order:
    """All that is bought for a building, the least it could have cost, and what could not be priced.

    ``total`` is goods and deliveries; no lawful order costs less than ``lower_bound``. ``unpriced`` says how
    much of what is not in it, ``no_price`` names those articles that no offer and no list has a price for.
    """

    currency: str
    source: str
    lines: tuple[OrderLine, ...]
    deliveries: tuple[Delivery, ...]
    total: int
    lower_bound: int
    unpriced: tuple[str, ...]
    stopped_by: str = ""
    notes: tuple[str, ...] = ()
    no_price: tuple[str, ...] = ()

    @property
    def goods(self) -> int:
        """What the packs cost, without bringing them."""
        return sum(line.total for line in self.lines)
