"""Says what is wrong with an order, knowing nothing of how it was found.

Needs are taken from the takeoff again, prices from the lists again; who covers what is found by a plain
search for a flow.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from fractions import Fraction
from math import ceil

from innerleaf.cost.model import Order, OrderLine
from innerleaf.cost.supply import Supply
from innerleaf.job.schema_buying import Buying
from innerleaf.practice.measures import measure_of
from innerleaf.practice.model import Practice
from innerleaf.practice.prices import PriceList
from innerleaf.takeoff.model import Takeoff

_NEAR = 1e-3
_UNIT_PRICES = {"profiles": 1e-3, "boards": 1e-6, "insulation": 1e-6, "membranes": 1e-6}  # of a mm, a mm2
Key = tuple[str, int]  # article, length; 0 where it is not bought by length


def check_order(
    order: Order,
    takeoff: Takeoff,
    practice: Practice,
    supply: Supply,
    prices: PriceList,
    buying: Buying,
) -> list[str]:
    """Every fault found: needs, sums, prices, breaks, least orders, charges, masses of deliveries."""
    return [
        *_sums(order),
        *_prices(order, practice, supply, prices),
        *_deliveries(order, supply),
        *_in_hand(order, practice, buying),
        *_covered(order, takeoff, practice, supply, buying),
    ]


def _sums(order: Order) -> Iterator[str]:
    for line in order.lines:
        name = f"{line.delivery} {line.article} {line.code}"
        there = line.packs * line.pack_size + line.in_hand
        if abs(there - line.needed - line.allowance - line.left_over) > _NEAR or line.left_over < -_NEAR:
            yield f"{name}: packs and what is in hand are not needs, allowance and what is left over"
        if line.total != line.packs * line.price_of_pack:
            yield f"{name}: {line.packs} packs at {line.price_of_pack} are not {line.total}"
        if line.allowance and not line.allowance_reason:
            yield f"{name}: an allowance without a reason"
    total = sum(line.total for line in order.lines) + sum(d.charge for d in order.deliveries)
    if total != order.total:
        yield f"total: lines and deliveries make {total}, said is {order.total}"
    if order.lower_bound > order.total:
        yield f"bound: {order.lower_bound} is above the total {order.total}"


def _prices(order: Order, practice: Practice, supply: Supply, prices: PriceList) -> Iterator[str]:
    offers = {(offer.supplier, offer.code): offer for offer in supply.offers}
    packs: dict[tuple[str, str], int] = defaultdict(int)
    worth: dict[str, int] = defaultdict(int)
    for line in order.lines:
        packs[line.supplier, line.code] += line.packs
        worth[line.supplier] += line.total
    for line in order.lines:
        offer = offers.get((line.supplier, line.code))
        if offer is None:
            if line.packs and not _by_price_list(line, practice, prices):
                yield f"{line.article}: {line.price_of_pack} is not the price of the price list"
            continue
        bought = packs[line.supplier, line.code]
        price = min(step.price for step in offer.prices if step.packs <= bought)
        if line.price_of_pack != price or line.article != offer.article:
            yield f"{line.code}: {line.price_of_pack} for a pack, {price} by {bought} packs"
        if bought < offer.least_packs:
            yield f"{line.code}: {bought} packs, the least is {offer.least_packs}"
    for name, seller in supply.suppliers.items():
        if 0 < worth[name] < seller.least_order:
            yield f"{name}: an order worth {worth[name]}, the least is {seller.least_order}"


def _by_price_list(line: OrderLine, practice: Practice, prices: PriceList) -> bool:
    measure = measure_of(practice, line.article)
    if measure is None:
        return False
    per_unit = _UNIT_PRICES.get(measure.section)
    price = prices.price(measure.section, line.article)
    return abs(price * (line.pack_size * per_unit if per_unit else 1) * 100 - line.price_of_pack) < 0.51


def _deliveries(order: Order, supply: Supply) -> Iterator[str]:
    worth: dict[str, int] = defaultdict(int)
    for line in order.lines:
        worth[line.supplier] += line.total
    for delivery in order.deliveries:
        mine = [line for line in order.lines if line.delivery == delivery.id]
        if any(line.supplier != delivery.supplier for line in mine):
            yield f"{delivery.id}: a line of another supplier"
        if abs(sum(line.mass_kg for line in mine) - delivery.mass_kg) > 0.01:
            yield f"{delivery.id}: {delivery.mass_kg} kg is not the sum of its lines"
        if delivery.order_by_days < max((line.lead_days for line in mine), default=0):
            yield f"{delivery.id}: ordered later than a line's lead time"
        seller = supply.suppliers.get(delivery.supplier)
        charge = delivery.lorries * seller.charge if seller else 0
        if seller and seller.free_from and worth[delivery.supplier] >= seller.free_from:
            charge = 0
        if delivery.charge != charge or delivery.lorries < 1:
            yield f"{delivery.id}: charged {delivery.charge}, due is {charge}"
    known = {delivery.id for delivery in order.deliveries}
    for line in order.lines:
        if line.packs and line.delivery not in known:
            yield f"{line.article}: comes with {line.delivery!r}, which there is not"


def _in_hand(order: Order, practice: Practice, buying: Buying) -> Iterator[str]:
    there: dict[Key, float] = defaultdict(float)
    for item in buying.in_hand:
        measure = measure_of(practice, item.article)
        if measure is not None:
            length = (item.length or measure.length_mm) if measure.by_length else 0
            metres = 1000 if not measure.by_length and measure.unit == "mm" else 1
            amount = (item.count or 0) * measure.of_piece(length) + (item.amount or 0) * metres
            there[item.article, length] += amount
    used: dict[Key, float] = defaultdict(float)
    for line in order.lines:
        used[line.article, line.length_mm] += line.in_hand
    for key, amount in used.items():
        if amount > there[key] + _NEAR:
            yield f"{key[0]}: {amount} of {there[key]} in hand"


def _covered(
    order: Order, takeoff: Takeoff, practice: Practice, supply: Supply, buying: Buying
) -> Iterator[str]:
    """Is all that is priced covered by what is bought and in hand, each by what may serve it?"""
    unpriced = {words.split(":")[0] for words in order.unpriced}
    wants: dict[Key, Fraction] = defaultdict(Fraction)
    for purchase in takeoff.purchases:
        measure = measure_of(practice, purchase.item)
        if measure is None or purchase.item in unpriced:
            continue
        if measure.by_length:
            own = {(purchase.item, int(pack.size)): Fraction(pack.count) for pack in purchase.packs}
        else:
            own = {(purchase.item, 0): Fraction(str(round(purchase.net, 6)))}
        extra = buying.allowances.get(purchase.item)
        if extra is not None and extra.share is not None:
            more = Fraction(str(extra.share)) * sum(own.values())
        elif extra is not None:
            metres = 1000 if not measure.by_length and measure.unit == "mm" else 1
            more = Fraction(str(extra.amount)) * metres
        else:
            more = Fraction(0)
        shortest = min(own, key=lambda key: key[1], default=(purchase.item, 0))
        wants[shortest] += ceil(more) if measure.by_length else more
        for key, amount in own.items():
            wants[key] += amount
    there: dict[Key, Fraction] = defaultdict(Fraction)
    for line in order.lines:
        measure = measure_of(practice, line.article)
        if measure is not None:
            size = Fraction(str(measure.of_piece(line.length_mm)))
            amount = Fraction(str(line.pack_size)) * line.packs + Fraction(str(line.in_hand))
            there[line.article, line.length_mm] += amount / size
    missing = _unmet(wants, there, supply)
    if missing > _NEAR:
        yield f"needs: {float(missing):.3f} of the pieces or amounts needed are not covered"


def _serves(have: Key, want: Key, supply: Supply) -> bool:
    stand_in = supply.stand_ins.get(want[0])
    same = have[0] == want[0] or (stand_in is not None and have[0] in stand_in.by)
    return same and have[1] >= want[1]


def _unmet(wants: Mapping[Key, Fraction], there: Mapping[Key, Fraction], supply: Supply) -> Fraction:
    """What is left wanting at the greatest flow, found path by path (Edmonds and Karp)."""
    left, need = dict(there), dict(wants)
    flow: dict[tuple[Key, Key], Fraction] = defaultdict(Fraction)
    while path := _path(left, need, flow, supply):
        ends = [*zip(path[::2], path[1::2], strict=False)]
        back = [*zip(path[2::2], path[1::2], strict=False)]
        amount = min([left[path[0]], need[path[-1]], *(flow[edge] for edge in back)])
        for edge in ends:
            flow[edge] += amount
        for edge in back:
            flow[edge] -= amount
        left[path[0]] -= amount
        need[path[-1]] -= amount
    return sum(need.values(), Fraction(0))


def _path(
    left: Mapping[Key, Fraction],
    need: Mapping[Key, Fraction],
    flow: Mapping[tuple[Key, Key], Fraction],
    supply: Supply,
) -> Sequence[Key]:
    """From something left to something needed, over what could be swapped; empty if there is no way."""
    queue: list[tuple[Key, ...]] = [(have,) for have, amount in left.items() if amount > 0]
    seen = {path[0] for path in queue}
    met: set[Key] = set()
    for path in queue:
        for want, missing in need.items():
            if want in met or not _serves(path[-1], want, supply):
                continue
            met.add(want)
            if missing > 0:
                return (*path, want)
            for other in left:
                if other not in seen and flow.get((other, want), 0) > 0:
                    seen.add(other)
                    queue.append((*path, want, other))
    return ()
