"""The costs of a price that are not labour: material as ordered, deliveries, plant, waste, preliminaries."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from math import ceil, fsum

from innerleaf.cost.labour import CrewDays
from innerleaf.cost.model import Delivery, OrderLine
from innerleaf.cost.price_model import (
    DELIVERY,
    EXTRA,
    MATERIAL,
    PLANT,
    PRELIMINARIES,
    WASTE,
    CostLine,
    PriceBasis,
)
from innerleaf.cost.price_money import cents, exact, figure, share_out
from innerleaf.job.schema_pricing import FreeLine, Pricing
from innerleaf.practice.measures import quantity_words
from innerleaf.practice.rates import Disposal, SiteCost
from innerleaf.takeoff.model import Line, Takeoff


def storeys_up(pricing: Pricing) -> dict[str, int]:
    """Storeys that material is carried up by hand, by storey."""
    return {name: storeys for name, storeys in pricing.carried.items() if storeys}


_CUT = (
    "frame",
    "insulation",
    "membrane",
    "boards",
    "beads",
)  # what is left of these is waste; packs are kept


def left_over_kg(takeoff: Takeoff) -> dict[str, float]:
    """What is cut off and not built in, by group: (bought - net) × mass of one unit. [kg]"""
    unit_kg: dict[str, float] = {}
    for item in {line.item for line in takeoff.lines}:
        lines = [line for line in takeoff.lines if line.item == item]
        quantity = fsum(line.quantity for line in lines)
        unit_kg[item] = fsum(line.mass_kg for line in lines) / quantity if quantity else 0.0
    left: dict[str, float] = {}
    for buy in (buy for buy in takeoff.purchases if buy.group in _CUT):
        mass = max(0.0, buy.bought - buy.net) * unit_kg.get(buy.item, 0.0)
        left[buy.group] = left.get(buy.group, 0.0) + mass
    return left


def cost_lines(basis: PriceBasis, crew: CrewDays, *, with_shares: bool = True) -> tuple[CostLine, ...]:
    """All lines that are not labour, part by part."""
    weighed = _Weighed(basis) if with_shares else None
    lines = [_ordered(line, weighed) for line in basis.order.lines]
    lines += [_delivered(delivery, weighed) for delivery in basis.order.deliveries]
    lines += [_on_site(PLANT, cost, crew, weighed) for cost in basis.rates.plant.values()]
    lines += [_disposed(disposal, basis, weighed) for disposal in basis.rates.waste.values()]
    lines += [_on_site(PRELIMINARIES, cost, crew, weighed) for cost in basis.rates.preliminaries.values()]
    lines += [_extra(extra, weighed) for extra in basis.pricing.extras]
    return tuple(line for line in lines if line.amount)


class _Weighed:
    """What walls weigh in lines: quantities of an article, masses of a storey, faces."""

    def __init__(self, basis: PriceBasis) -> None:
        self.sizes = basis.work.sizes
        self.place = {size.wall: number for number, size in enumerate(self.sizes)}
        self.faces = [size.face_m2 for size in self.sizes]
        self.masses = [size.mass_t for size in self.sizes]
        self.articles: dict[str, list[Line]] = {}
        self.groups: dict[str, list[Line]] = {}
        for line in basis.lines:
            self.articles.setdefault(line.item, []).append(line)
            self.groups.setdefault(line.group, []).append(line)

    def of_article(self, article: str, group: str) -> list[float]:
        """By quantity of the article; of the whole group where the article stands in for another."""
        found = self.articles.get(article)
        by_mass = self.groups.get(group, []) if found is None else []
        weights = [0.0] * len(self.sizes)
        for line in found or ():
            for share in line.by_wall:
                weights[self.place[share.place]] += share.quantity
        for line in by_mass:
            for share in line.by_wall:
                part = share.quantity / line.quantity if line.quantity else 0.0
                weights[self.place[share.place]] += part * (line.mass_kg or 1.0)
        return weights if any(weights) else self.faces

    def of_groups(self, groups: Sequence[str]) -> list[float]:
        """By mass of what is built of some groups."""
        weights = [0.0] * len(self.sizes)
        for line in (line for group in groups for line in self.groups.get(group, [])):
            for share in line.by_wall:
                part = share.quantity / line.quantity if line.quantity else 0.0
                weights[self.place[share.place]] += part * line.mass_kg
        return weights if any(weights) else self.faces

    def of_storey(self, storey: str) -> list[float]:
        """By mass of the walls on a storey; of all walls where none lies on it."""
        here = [size.mass_t if size.storey == storey else 0.0 for size in self.sizes]
        return here if any(here) else self.masses

    def of_wall(self, wall: str | None) -> list[float]:
        """One wall alone; all by face where none is named."""
        return [float(size.wall == wall) for size in self.sizes] if wall in self.place else self.faces


def _ordered(line: OrderLine, weighed: _Weighed | None) -> CostLine:
    unit = line.unit
    need = f"delivery {line.delivery}: " if line.delivery else ""
    need += f"needed {quantity_words(unit, line.needed)}"
    if line.allowance:
        need += f", allowance {quantity_words(unit, line.allowance)} ({line.allowance_reason})"
    if line.in_hand:
        need += f", in hand {quantity_words(unit, line.in_hand)}"
    pack, left = quantity_words(unit, line.pack_size, ",.10g"), quantity_words(unit, line.left_over)
    need += f", pack {pack}; left over {left}"
    brk = f"; {line.price_break}" if line.price_break else ""
    return CostLine(
        part=MATERIAL,
        group=line.group,
        text=f"{line.article} {line.description}".strip(),
        unit=line.pack_name,
        amount=float(line.packs),
        each=line.price_of_pack,
        total=line.total,
        basis=f"{need}{brk}. {line.basis}".strip(),
        source=" ".join(filter(None, (line.supplier, line.code))),
        shares=share_out(line.total, weighed.of_article(line.article, line.group)) if weighed else (),
    )


def _delivered(delivery: Delivery, weighed: _Weighed | None) -> CostLine:
    where = f" for {delivery.storey}" if delivery.storey else ""
    return CostLine(
        part=DELIVERY,
        group="",
        text=f"delivery {delivery.id}{where}",
        unit="delivery",
        amount=1.0,
        each=delivery.charge,
        total=delivery.charge,
        basis=f"{delivery.mass_kg:,.0f} kg; {delivery.basis}",
        source=delivery.supplier,
        shares=share_out(delivery.charge, weighed.of_storey(delivery.storey)) if weighed else (),
    )


def _on_site(part: str, cost: SiteCost, crew: CrewDays, weighed: _Weighed | None) -> CostLine:
    above = ceil(exact(float(crew.days)) * exact(crew.above))
    amount, unit, basis = {
        "job": (1.0, "job", "once"),
        "week": (crew.weeks, "week", f"{crew.days} days on site = {crew.weeks:g} weeks"),
        "day": (float(crew.days), "day", "days on site"),
        "day above reach": (
            float(above),
            "day",
            f"{crew.above:.3f} of the boards lie above reach × {crew.days} days on site, rounded up",
        ),
    }[cost.per]
    each = cents(exact(cost.price))
    total = cents(exact(amount) * Fraction(each, 100))
    return CostLine(
        part=part,
        group="",
        text=cost.id,
        unit=unit,
        amount=amount,
        each=each,
        total=total,
        basis=basis,
        source=cost.source,
        shares=share_out(total, weighed.faces) if weighed else (),
    )


def _disposed(disposal: Disposal, basis: PriceBasis, weighed: _Weighed | None) -> CostLine:
    tonnes = figure(fsum(basis.left_kg.get(group, 0.0) for group in disposal.groups) / 1000, 3)
    words = f"bought - built in of {', '.join(disposal.groups)}: {tonnes:.3f} t"
    total = exact(tonnes) * exact(disposal.tonne)
    if disposal.skip_t and tonnes:
        skips = ceil(exact(tonnes) / exact(disposal.skip_t))
        total += skips * exact(disposal.skip)
        words += f"; {skips} skip{'s' * (skips > 1)} of {disposal.skip_t:g} t at {disposal.skip:.2f}"
    paid = cents(total)
    return CostLine(
        part=WASTE,
        group="",
        text=f"waste: {disposal.id}",
        unit="t",
        amount=tonnes,
        each=cents(exact(disposal.tonne)),
        total=paid,
        basis=words,
        source=disposal.source,
        shares=share_out(paid, weighed.of_groups(disposal.groups)) if weighed else (),
    )


def _extra(extra: FreeLine, weighed: _Weighed | None) -> CostLine:
    each = cents(exact(extra.each))
    total = cents(exact(float(extra.quantity)) * Fraction(each, 100))
    return CostLine(
        part=EXTRA,
        group="",
        text=extra.text,
        unit=extra.unit,
        amount=float(extra.quantity),
        each=each,
        total=total,
        basis=extra.reason,
        source="as the job says",
        shares=share_out(total, weighed.of_wall(extra.wall)) if weighed else (),
    )
