"""The whole price of a building: cost line by line, then overhead, risk, margin, discounts, rounding and tax.

    direct cost = labour + material + deliveries + plant + waste + preliminaries + extras
    cost        = direct cost + overhead + risk
    net price   = cost + margin - discounts, rounded to what the rates say
    gross price = net price + tax

Every line is rounded to the hundredth, half up; sums are sums of rounded lines. ``docs/price.md`` has an
example to follow by hand.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from innerleaf.cost.labour import LabourLine, crew_days, labour_of, summed
from innerleaf.cost.price_lines import cost_lines, storeys_up
from innerleaf.cost.price_model import (
    DELIVERY,
    EXTRA,
    LABOUR,
    MATERIAL,
    PARTS,
    PLANT,
    PRELIMINARIES,
    WASTE,
    CostLine,
    PartCost,
    Price,
    PriceBasis,
    WallPrice,
)
from innerleaf.cost.price_money import percent_of, share_out
from innerleaf.cost.price_steps import steps_of
from innerleaf.errors import InputError
from innerleaf.job.schema_pricing import Pricing
from innerleaf.practice.rates import FirmRates, Vat
from innerleaf.takeoff.work import Work

__all__ = ["DELIVERY", "EXTRA", "LABOUR", "MATERIAL", "PLANT", "PRELIMINARIES", "WASTE", "price_of", "vat_of"]


def price_of(basis: PriceBasis, *, with_walls: bool = True) -> Price:
    """Reckon the price; without walls it is not shared out among them, which takes most of the time.

    Raises
    ------
    InputError
        Material is ordered in another currency than the rates are in; mark-ups of the whole price;
        discounts above it.
    """
    rates, pricing = basis.rates, basis.pricing
    if basis.order.currency != rates.currency:
        accepted = f"{basis.order.currency}, the currency that material is bought in"
        raise InputError("currency of the rates", given=rates.currency, accepted=accepted)
    carried = storeys_up(pricing)
    sums = basis.sums or summed(basis.work, rates, carried)
    days = basis.extra_days
    labour = labour_of(basis.work, rates, carried, extra_days=days, with_shares=with_walls, sums=sums)
    crew = crew_days(labour, sums, rates, days)
    lines = cost_lines(basis, crew, with_shares=with_walls)
    parts = dict.fromkeys(PARTS, 0)
    parts[LABOUR] = sum(line.total for line in labour)
    for line in lines:
        parts[line.part] += line.total
    steps, cost = steps_of(parts, rates, pricing)
    vat = vat_of(rates, pricing)
    net = steps[-1].after
    tax = percent_of(net, vat.percent)
    direct = sum(parts.values())
    return Price(
        currency=rates.currency,
        date=pricing.date or rates.date,
        labour=labour,
        lines=lines,
        parts=tuple(PartCost(part, total) for part, total in parts.items()),
        steps=steps,
        walls=_walls(basis.work, labour, lines, net) if with_walls else (),
        crew=crew,
        direct=direct,
        cost=cost,
        net=net,
        vat_percent=vat.percent,
        vat_source=vat.source,
        vat=tax,
        gross=net + tax,
        unpriced=basis.order.unpriced,
        source=rates.source,
    )


def vat_of(rates: FirmRates, pricing: Pricing) -> Vat:
    """The tax rate: the job's own, or the latest of the rates that holds on the day of the quotation.

    Before the first rate that is known that one is taken, and its source says so.
    """
    if pricing.vat is not None:
        return Vat(id="job", percent=pricing.vat, since="", source="as the job says")
    day = pricing.date or rates.date
    known = sorted(rates.vat.values(), key=lambda rate: rate.since)
    holding = [rate for rate in known if rate.since <= day]
    if holding:
        return holding[-1]
    first = known[0]
    since = f"holds since {first.since} only; no rate is known for {day}, the day of the quotation"
    return replace(first, source=f"{first.source}; {since}")


def _walls(
    work: Work, labour: Sequence[LabourLine], lines: Sequence[CostLine], net: int
) -> tuple[WallPrice, ...]:
    """Each wall with its own costs and its share of the rest, in proportion to these."""
    count = len(work.sizes)
    by_part = {part: [0] * count for part in (LABOUR, MATERIAL, "other")}
    hours = [0.0] * count
    for line in labour:
        for number, share in enumerate(line.shares):
            by_part[LABOUR][number] += share
            hours[number] += line.hours * share / line.total if line.total else 0.0
    for other in lines:
        if other.part in (MATERIAL, WASTE, EXTRA):
            row = by_part[MATERIAL if other.part == MATERIAL else "other"]
            for number, share in enumerate(other.shares):
                row[number] += share
    own = [sum(row[number] for row in by_part.values()) for number in range(count)]
    weights = own if any(own) else [size.face_m2 for size in work.sizes]
    common = share_out(net - sum(own), [float(weight) for weight in weights])
    return tuple(
        WallPrice(
            wall=size.wall,
            room=size.room,
            storey=size.storey,
            face_m2=round(size.face_m2, 3),
            hours=round(hours[number], 2),
            labour=by_part[LABOUR][number],
            material=by_part[MATERIAL][number],
            other=by_part["other"][number],
            own=own[number],
            common=common[number],
            net=own[number] + common[number],
            per_m2=round((own[number] + common[number]) / size.face_m2) if size.face_m2 else 0,
        )
        for number, size in enumerate(work.sizes)
    )
