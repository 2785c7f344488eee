"""The cheapest lawful order of a building's material: from quantities and offers to lines and deliveries."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Final

from innerleaf.cost.deliver import Coming, deliveries_of, delivery_ids
from innerleaf.cost.model import Order, OrderLine, StandIn
from innerleaf.cost.order_choices import (
    IN_HAND,
    PRICE_LIST,
    Item,
    items_of,
    may_serve,
    problem_of,
    sellers_of,
)
from innerleaf.cost.order_need import Need, drops_of, grain, largest_remainders, needs_of
from innerleaf.cost.supply import Offer, Supply, mass_of_pack
from innerleaf.job.schema_buying import Buying
from innerleaf.practice.measures import Measure, measure_of
from innerleaf.practice.model import Practice
from innerleaf.practice.prices import PriceList
from innerleaf.takeoff.model import Takeoff

if TYPE_CHECKING:
    from innerleaf.cost.order_problem import OrderPlan, OrderProblem

_LONGER: Final = 0.1  # misfit of each millimetre that a piece is longer than needed
_OTHER: Final = 5000.0  # of another article
_BOUGHT: Final = 1.0  # of what is bought against what is in hand
_PRECISE: Final = 6


def order_for(
    takeoff: Takeoff,
    practice: Practice,
    supply: Supply,
    prices: PriceList,
    buying: Buying,
    storeys: Mapping[str, str],
) -> Order:
    """Everything a takeoff says must be bought, at least cost; ``storeys`` by wall, in the order of the job.

    Raises
    ------
    InputError
        Currencies that do not go together, or a supplier named in ``buying`` that is not there.
    """
    drops = drops_of(buying, storeys.values(), supply.phases)
    needs = needs_of(takeoff, practice, drops, storeys, supply.phases, buying.allowances)
    items, notes = items_of(needs, practice, supply, prices, buying)
    offers = [item.offer for item in items if item.limit is None]
    buyable = [need for need in needs if any(may_serve(offer, need, supply) for offer in offers)]
    missing = [need for need in needs if need not in buyable]
    items = tuple(i for i in items if any(may_serve(i.offer, need, supply) for need in buyable))
    plan: OrderPlan | None = None
    lines: tuple[OrderLine, ...] = ()
    coming: dict[tuple[str, int], Coming] = {}
    if buyable:
        from innerleaf.cost.order_solve import cheapest_order

        problem = problem_of(buyable, items, practice, supply, buying, drops)
        misfit = [[_misfit(item, need) for need in buyable] for item in items]
        plan = cheapest_order(problem, misfit)
        coming = _coming(problem, plan, supply)
        lines = _Lines(practice, supply, buyable, items, delivery_ids(coming)).of(problem, plan)
    listed = any(line.supplier == PRICE_LIST for line in lines)
    sources = (supply.source if supply.offers else "", prices.source if listed else "")
    return Order(
        currency=supply.currency if supply.offers else prices.currency,
        source="; ".join(filter(None, sources)),
        lines=lines,
        deliveries=deliveries_of(lines, coming, practice, buying, drops),
        total=plan.cost if plan else 0,
        lower_bound=plan.bound if plan else 0,
        unpriced=_unpriced(missing, takeoff),
        stopped_by=plan.stopped_by if plan else "",
        notes=notes,
        no_price=tuple(dict.fromkeys(need.article for need in missing)),
    )


def _misfit(item: Item, need: Need) -> float:
    longer = max(0, item.offer.length_mm - need.length_mm) * _LONGER
    other = _OTHER if item.offer.article != need.article else 0.0
    return longer + other + (_BOUGHT if item.limit is None else 0.0)


def _coming(problem: OrderProblem, plan: OrderPlan, supply: Supply) -> dict[tuple[str, int], Coming]:
    """What each supplier comes with, by delivery."""
    from innerleaf.cost.order_problem import charge_of, comes_with, lorries

    found = {}
    for number, name in enumerate(sellers_of(supply)):
        heads = comes_with(problem, plan.uses, number)
        charge = charge_of(problem, plan.packs, number)
        for drop, count in enumerate(lorries(problem, plan.uses, number)):
            if count:
                along = tuple(other for other, head in heads.items() if head == drop != other)
                found[name, drop] = Coming(count, count * charge, along)
    return found


def _unpriced(needs: Sequence[Need], takeoff: Takeoff) -> tuple[str, ...]:
    """What has neither offer nor unit price, and what no stock holds."""
    amounts: dict[tuple[str, int], int] = defaultdict(int)
    words: dict[tuple[str, int], tuple[Measure, int]] = {}
    for need in needs:
        amounts[need.key] += sum(need.by_drop)
        words[need.key] = need.measure, need.length_mm
    told = []
    for key, amount in amounts.items():
        measure, length = words[key]
        size = f" of {length} mm" if length and not measure.length_mm else ""
        told.append(f"{key[0]}: {_how_many(amount, measure)}{size}")
    told += [
        f"{purchase.item}: {purchase.special} piece{'s' * (purchase.special > 1)} that no stock holds"
        for purchase in takeoff.purchases
        if purchase.special
    ]
    return tuple(told)


def _how_many(amount: int, measure: Measure) -> str:
    if measure.by_length or measure.unit == "piece":
        return f"{amount} {measure.piece}{'s' * (amount != 1)}"
    if measure.unit == "mm":
        return f"{amount / 1000:.1f} m"
    return f"{amount / grain(measure):.1f} {measure.unit}"


class _Lines:
    """Makes the lines of an order out of packs."""

    def __init__(
        self,
        practice: Practice,
        supply: Supply,
        needs: Sequence[Need],
        items: Sequence[Item],
        ids: Mapping[tuple[str, int], str],
    ) -> None:
        self.practice, self.supply = practice, supply
        self.needs, self.items, self.ids = needs, items, ids

    def of(self, problem: OrderProblem, plan: OrderPlan) -> tuple[OrderLine, ...]:
        """One line for each offer in each delivery, and one for each thing in hand that is used."""
        from innerleaf.cost.order_problem import arrivals

        lines = []
        for number, item in enumerate(self.items):
            left = {need: amount for (by, need), amount in plan.uses.items() if by == number and amount}
            if item.limit is not None and left:
                lines.append(self._line(item, 0, 0, left, ""))
            whole, arriving = dict(left), arrivals(problem, plan, number)
            for (drop, count), after in zip(
                arriving.items(), [*list(arriving)[1:], problem.drops], strict=False
            ):
                due = {
                    need: max(0, amount * sum(problem.needs[need][:after]) // problem.totals[need] - got)
                    for need, amount in whole.items()
                    for got in (amount - left[need],)
                }
                mine = _taken(left, due, count * problem.choices[number].pack)
                where = self.ids[item.offer.supplier, drop]
                lines.append(self._line(item, plan.packs[number], count, mine, where))
        return tuple(sorted(lines, key=self._place))

    def _place(self, line: OrderLine) -> tuple[object, ...]:
        """In hand first, then delivery by delivery, in the order of the takeoff."""
        order = {need.key: number for number, need in enumerate(reversed(self.needs))}
        last = len(self.needs)
        group = {need.group: number for number, need in enumerate(reversed(self.needs))}
        return (
            int(line.delivery[1:] or 0),
            -group.get(line.group, last),
            -order.get((line.article, line.length_mm), last),
            line.article,
            line.length_mm,
            line.code,
        )

    def _line(self, item: Item, total: int, packs: int, uses: Mapping[int, int], delivery: str) -> OrderLine:
        offer = item.offer
        measure = measure_of(self.practice, offer.article)
        assert measure is not None  # offers of unknown articles are refused when read
        mine = [(self.needs[number], amount) for number, amount in uses.items()]
        needed, allowance = (
            round(
                sum(need.worth_of_one * amount for need, amount in mine if bool(need.reason) == extra),
                _PRECISE,
            )
            for extra in (False, True)
        )
        size = offer.pack * measure.of_piece(offer.length_mm)
        held = sum(uses.values()) if item.limit is not None else 0
        in_hand = round(held * measure.of_piece(offer.length_mm) / grain(measure), _PRECISE)
        step = offer.price_for(total)
        left_over = round(packs * size + in_hand - needed - allowance, _PRECISE)
        first = mine[0][0] if mine else next(n for n in self.needs if may_serve(offer, n, self.supply))
        return OrderLine(
            group=first.group,
            article=offer.article,
            description=_described(measure, offer),
            supplier=offer.supplier,
            code=offer.code,
            unit=measure.unit,
            needed=needed,
            allowance=allowance,
            allowance_reason="; ".join(dict.fromkeys(need.reason for need, _ in mine if need.reason)),
            in_hand=in_hand,
            pack_size=size,
            pack_name=offer.pack_name,
            packs=packs,
            price_of_pack=step.price,
            price_break=f"from {step.packs} packs" if step.packs > 1 else "",
            total=packs * step.price,
            left_over=left_over,
            mass_kg=round(packs * mass_of_pack(self.practice, offer), 3),
            lead_days=offer.lead_days,
            delivery=delivery,
            basis=self._basis(offer, mine),
            length_mm=offer.length_mm,
            instead_of=_instead_of(offer, mine),
            stands_in=_stands_in(offer, mine),
        )

    def _basis(self, offer: Offer, mine: Sequence[tuple[Need, int]]) -> str:
        """How the need was found, and where the price comes from."""
        parts = list(dict.fromkeys(need.basis for need, _ in mine)) or ["to reach a price, or a least order"]
        if offer.supplier == PRICE_LIST:
            parts.append("no offer: unit price of the price list")
        elif offer.supplier != IN_HAND:
            until = f", valid until {offer.valid_until}" if offer.valid_until else ""
            parts.append(f"offer{until}")
        if offer.note:
            parts.append(offer.note)
        sources = {
            self.supply.stand_ins[need.article].source for need, _ in mine if need.article != offer.article
        }
        return "; ".join([*parts, *sorted(sources)])


def _taken(left: dict[int, int], due: Mapping[int, int], most: int) -> dict[int, int]:
    """So much of what is left, by need: what is due by now, then in proportion; it is taken out of ``left``.

    So an allowance stands with the deliveries that it is for, and not with the last.

    >>> _taken({0: 90, 1: 9}, {0: 30, 1: 3}, 44)
    {0: 40, 1: 4}
    >>> _taken({}, {}, 5)  # bought for its price alone
    {}
    """
    whole, mine = min(most, sum(left.values())), dict.fromkeys(sorted(left), 0)
    for wanted in (due, dict(left)):
        rest = [min(wanted[need], left[need]) for need in mine]
        parts = largest_remainders(min(whole, sum(rest)), rest)
        for need, part in zip(mine, parts, strict=True):
            mine[need] += part
            left[need] -= part
        whole -= sum(parts)
    return {need: amount for need, amount in mine.items() if amount}


def _described(measure: Measure, offer: Offer) -> str:
    return f"{measure.words}, {offer.length_mm} long" if measure.by_length else measure.words


def _instead_of(offer: Offer, mine: Sequence[tuple[Need, int]]) -> str:
    """Other articles and lengths it stands in for, with how many."""
    others: Counter[str] = Counter()
    for need, amount in mine:
        if need.key != (offer.article, offer.length_mm):
            other = need.article if need.article != offer.article else ""
            length = str(need.length_mm) if need.length_mm and not need.measure.length_mm else ""
            others[" ".join(filter(None, (other, length)))] += amount
    return ", ".join(f"{amount} × {name}" for name, amount in others.items())


def _stands_in(offer: Offer, mine: Sequence[tuple[Need, int]]) -> tuple[StandIn, ...]:
    """The same for programs."""
    others: Counter[tuple[str, int]] = Counter()
    for need, amount in mine:
        if need.key != (offer.article, offer.length_mm):
            others[need.key] += amount
    return tuple(StandIn(article, length, amount) for (article, length), amount in others.items())
