"""What can cover the needs of a job: offers, unit prices where there is no offer, and what is in hand."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from innerleaf.cost.order_join import JoinRule
from innerleaf.cost.order_need import Drop, Need, grain
from innerleaf.cost.order_problem import Choice, OrderProblem, Seller
from innerleaf.cost.price_money import cents
from innerleaf.cost.supply import Break, Offer, Supplier, Supply, mass_of_pack
from innerleaf.cost.supply_job import check_suppliers
from innerleaf.cost.supply_values import content_of
from innerleaf.errors import InputError
from innerleaf.job.schema_buying import Buying
from innerleaf.practice.measures import Measure, measure_of, usual_pack
from innerleaf.practice.model import Practice
from innerleaf.practice.prices import PriceList

PRICE_LIST: Final = "price list"  # who sells what has no offer
IN_HAND: Final = "in hand"
_PER: Final = {"profiles": "m", "boards": "m2", "insulation": "m2", "membranes": "m2", "brackets": "piece"}


@dataclass(frozen=True, slots=True)
class Item:
    """Something that can be had: an offer, or so many pieces (mm, g) that are in hand (``limit``)."""

    offer: Offer
    limit: int | None = None


def items_of(
    needs: Sequence[Need], practice: Practice, supply: Supply, prices: PriceList, buying: Buying
) -> tuple[tuple[Item, ...], tuple[str, ...]]:
    """All that can cover any of the needs, in an order that is not that of the lists; and what to say of it.

    Raises
    ------
    InputError
        ``buying`` names a supplier that is not there, or unit prices are needed in another currency.
    """
    check_suppliers(buying, supply)
    offers, notes = [], []
    for offer in supply.offers:
        if offer.supplier in buying.leave_out or not any(may_serve(offer, need, supply) for need in needs):
            continue
        if buying.order_date and offer.valid_until and offer.valid_until < buying.order_date:
            words = (
                f"{offer.supplier}, {offer.code} ({offer.article}): ended on {offer.valid_until}, left out"
            )
            notes.append(words)
            continue
        offers.append(offer)
    own = [offer for need in needs for offer in _by_price_list(need, offers, practice, prices)]
    if own and offers and supply.currency != prices.currency:
        raise InputError(
            "currency of the price list",
            given=prices.currency,
            accepted=f"{supply.currency}, that of the supply list: both are needed (for {own[0].article})",
        )
    items = [Item(offer) for offer in {*offers, *own}]
    items += _in_hand(buying, practice)
    items = [item for item in items if any(may_serve(item.offer, need, supply) for need in needs)]
    return tuple(sorted(items, key=_order)), tuple(sorted(notes))


def _order(item: Item) -> tuple[object, ...]:
    offer = item.offer
    return (offer.article, offer.length_mm, item.limit is None, offer.supplier, offer.pack, offer.code)


def may_serve(offer: Offer, need: Need, supply: Supply) -> bool:
    """Is it the article or a lawful stand-in, and long enough?"""
    stand_in = supply.stand_ins.get(need.article)
    other = stand_in is not None and offer.article in stand_in.by
    return (offer.article == need.article or other) and offer.length_mm >= need.length_mm


def _by_price_list(need: Need, offers: Iterable[Offer], practice: Practice, prices: PriceList) -> list[Offer]:
    """The unit price as an offer of single pieces or usual packs, where no offer of the article is enough."""
    if any(o.article == need.article and o.length_mm >= need.length_mm for o in offers):
        return []
    section = need.measure.section
    price = prices.price(section, need.article)
    pack = usual_pack(practice, need.article)
    content = content_of(need.measure, pack, need.length_mm, _PER.get(section, "pack"))
    if math.isnan(price) or content is None:
        return []
    cost = cents(Fraction(str(price)) * content)
    if cost <= 0:
        return []
    return [
        Offer(
            article=need.article,
            supplier=PRICE_LIST,
            code="",
            pack=pack,
            pack_name=need.measure.piece if pack == 1 else "pack",
            prices=(Break(1, cost),),
            length_mm=need.length_mm,
        )
    ]


def _in_hand(buying: Buying, practice: Practice) -> list[Item]:
    """What is there already, equal things together."""
    amounts: dict[tuple[str, int], int] = {}
    for there in buying.in_hand:
        measure = measure_of(practice, there.article)
        if measure is None:
            continue
        length = (there.length or measure.length_mm) if measure.by_length else 0
        amount = there.count if there.count is not None else _grains(there.amount or 0.0, measure)
        amounts[there.article, length] = amounts.get((there.article, length), 0) + amount
    return [
        Item(
            Offer(
                article=article,
                supplier=IN_HAND,
                code="",
                pack=1,
                pack_name="",
                prices=(Break(1, 0),),
                length_mm=length,
            ),
            amount,
        )
        for (article, length), amount in amounts.items()
    ]


def _grains(amount: float, measure: Measure) -> int:
    """Metres or kilograms in the smallest unit, rounded down."""
    per = 1000 if measure.unit == "mm" else grain(measure)
    return math.floor(Fraction(str(amount)) * per)


def sellers_of(supply: Supply) -> dict[str, Supplier]:
    """Suppliers by name in an order that is not that of the list; the price list is one that brings free."""
    known = {name: supply.suppliers[name] for name in sorted(supply.suppliers)}
    return known | {PRICE_LIST: Supplier(name=PRICE_LIST), IN_HAND: Supplier(name=IN_HAND)}


def problem_of(
    needs: Sequence[Need],
    items: Sequence[Item],
    practice: Practice,
    supply: Supply,
    buying: Buying,
    drops: Sequence[Drop],
) -> OrderProblem:
    """Needs and items as numbers; suppliers in the order of `sellers_of`."""
    sellers = sellers_of(supply)
    number_of = {name: number for number, name in enumerate(sellers)}
    return OrderProblem(
        needs=tuple(need.by_drop for need in needs),
        choices=tuple(
            Choice(
                seller=number_of[item.offer.supplier],
                pack=pack_grains(item, practice),
                serves=tuple(n for n, need in enumerate(needs) if may_serve(item.offer, need, supply)),
                prices=tuple((step.packs, step.price) for step in item.offer.prices),
                least_packs=item.offer.least_packs,
                pack_g=round(mass_of_pack(practice, item.offer) * 1000),
                limit=item.limit,
                lead_days=item.offer.lead_days,
            )
            for item in items
        ),
        sellers=tuple(
            Seller(
                charge=seller.charge,
                free_from=seller.free_from,
                least_order=seller.least_order,
                most_g=round(seller.most_kg * 1000),
                favour=buying.prefer.get(name, 0.0),
            )
            for name, seller in sellers.items()
        ),
        join=_join(supply, buying, drops),
    )


def _join(supply: Supply, buying: Buying, drops: Sequence[Drop]) -> JoinRule | None:
    """What may come along; a storey with a lift is a place of its own, all others are one."""
    rule, lifts = supply.joining, [*buying.lifts]
    if rule is None:
        return None
    return JoinRule(
        up_to=rule.up_to,
        waiting_g=round(rule.waiting_kg * 1000),
        lead_days=rule.lead_days,
        places=tuple(lifts.index(drop.storey) if drop.storey in lifts else -1 for drop in drops),
    )


def pack_grains(item: Item, practice: Practice) -> int:
    """What a pack holds in the smallest unit; parts of one do not count."""
    if item.limit is not None:
        return 1
    measure = measure_of(practice, item.offer.article)
    assert measure is not None  # offers of unknown articles are refused when read
    return max(1, math.floor(Fraction(str(item.offer.pack)) * grain(measure)))
