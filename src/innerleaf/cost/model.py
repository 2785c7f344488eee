"""The values that buying and pricing hand on. Money is in ``currency``, in hundredths, as whole numbers."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderLine:
    """So many packs of one article from one supplier, in one delivery, and what they rest on.

    ``unit`` is what ``needed``, ``allowance``, ``in_hand``, ``pack_size`` and ``left_over`` count in: "mm"
    of length, "mm2" of area, "kg" or "piece". ``needed`` comes from the cut plan or the takeoff; ``allowance`` is
    said openly with its reason; ``left_over`` is what the packs hold beyond both.
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


@dataclass(frozen=True, slots=True, kw_only=True)
class Delivery:
    """What one lorry brings, for one storey and phase; ``charge`` is the price of bringing it."""

    id: str
    supplier: str
    storey: str
    mass_kg: float
    charge: int
    order_by_days: int
    lifts: int
    basis: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Order:
    """All that is bought for a building, the least it could have cost, and what could not be priced."""

    currency: str
    source: str
    lines: tuple[OrderLine, ...]
    deliveries: tuple[Delivery, ...]
    total: int
    lower_bound: int
    unpriced: tuple[str, ...]
