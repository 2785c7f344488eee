"""What a price is made of, line by line. Money is in hundredths of the currency, as whole numbers."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from innerleaf.cost.labour import CrewDays, LabourLine, Summed
from innerleaf.cost.model import Order
from innerleaf.job.schema_pricing import Pricing
from innerleaf.practice.rates import FirmRates
from innerleaf.takeoff.model import Line
from innerleaf.takeoff.work import Work

LABOUR, MATERIAL, DELIVERY, PLANT, WASTE, PRELIMINARIES, EXTRA = (
    *("labour", "material", "delivery", "plant", "waste", "preliminaries", "extra"),
)
PARTS = (LABOUR, MATERIAL, DELIVERY, PLANT, WASTE, PRELIMINARIES, EXTRA)
"""The parts of the cost, in order."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PriceBasis:
    """Everything a price rests on; whoever asks "what if" changes this and reckons again.

    ``left_kg`` is what is bought and not built in, by group of material. ``sums`` are those of the work, once
    they are known: no change that people ask about alters them.
    """

    work: Work
    lines: tuple[Line, ...]
    left_kg: Mapping[str, float]
    order: Order
    rates: FirmRates
    pricing: Pricing
    extra_days: float = 0.0
    sums: tuple[Summed, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class CostLine:
    """A cost that is not labour: ``amount`` units at ``each``; ``shares`` as of a labour line."""

    part: str
    group: str
    text: str
    unit: str
    amount: float
    each: int
    total: int
    basis: str
    source: str
    shares: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class PartCost:
    """What one part of the cost comes to."""

    part: str
    total: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One step from cost to price: what is added (taken off below 0), and the sum after it.

    ``kind`` is "overhead", "risk", "margin", "discount" or "rounding".
    """

    kind: str
    text: str
    amount: int
    after: int
    basis: str
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class WallPrice:
    """The price of one wall: its own costs by part, its share of what is common to all, and the sum.

    ``own`` are labour, material, waste and extras; ``common`` is everything else up to the net price.
    """

    wall: str
    room: str
    storey: str
    face_m2: float
    hours: float
    labour: int
    material: int
    other: int
    own: int
    common: int
    net: int
    per_m2: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Price:
    """The whole price. ``cost`` is all that is paid, overhead and risk included; ``net`` is without tax.

    ``margin`` is what the net price holds beyond the cost. ``unpriced`` names what has no price: the sums do
    not hold it.
    """

    currency: str
    date: str
    labour: tuple[LabourLine, ...]
    lines: tuple[CostLine, ...]
    parts: tuple[PartCost, ...]
    steps: tuple[Step, ...]
    walls: tuple[WallPrice, ...]
    crew: CrewDays
    direct: int
    cost: int
    net: int
    vat_percent: float
    vat_source: str
    vat: int
    gross: int
    unpriced: tuple[str, ...]
    source: str

    def part(self, name: str) -> int:
        """What one part of the cost comes to. [hundredths]"""
        return sum(each.total for each in self.parts if each.part == name)

    def of_kind(self, kind: str) -> int:
        """What the steps of one kind come to. [hundredths]"""
        return sum(step.amount for step in self.steps if step.kind == kind)

    @property
    def margin(self) -> int:
        """What is left of the net price when everything is paid. [hundredths]"""
        return self.net - self.cost

    @property
    def margin_percent(self) -> float:
        """The same as a share of the net price. [%]"""
        return round(100 * self.margin / self.net, 2) if self.net else 0.0
