"""The cheapest purchase as numbers: what is needed when, what can be bought from whom, what an order costs.

Needs and packs are whole numbers of a smallest unit (pieces, mm or g), money is in hundredths, masses in g.
Suppliers, offers and needs are known by their place in the lists. ``docs/buying.md`` has the model.

A supplier comes with a delivery where one of his offers covers a need, in part or in full, and would open a
new pack if it covered that need alone. How heavy a delivery is goes by the share of the needs in it. His
charge is due for each lorry of each such delivery, unless all that is bought from him is worth enough.
What a small delivery would bring may come along with the one before (`JoinRule`).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property
from math import ceil

from innerleaf.cost.order_join import JoinRule, Load, heads, lorries_for

Uses = dict[tuple[int, int], int]  # how much of a need (second) a choice (first) covers


@dataclass(frozen=True, slots=True, kw_only=True)
class Seller:
    """A supplier: the price of a lorry, from what worth it is free, the least worth of an order, its load.

    ``favour`` is the share by which his prices count as lower when orders are compared.
    """

    charge: int = 0
    free_from: int = 0
    least_order: int = 0
    most_g: int = 0
    favour: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """Something that can be bought in packs of ``pack``; ``serves`` are the needs that it may cover.

    ``prices`` are (from how many packs, price of each pack), the first from 1 on. A choice with a ``limit``
    is in hand: there from the start, free, and no more than so many packs of it.
    """

    seller: int
    pack: int
    serves: tuple[int, ...]
    prices: tuple[tuple[int, int], ...] = ((1, 0),)
    least_packs: int = 1
    pack_g: int = 0
    limit: int | None = None
    lead_days: int = 0

    def price(self, packs: int) -> int:
        """Price of each of so many packs."""
        return [price for least, price in self.prices if least <= max(1, packs)][-1]


@dataclass(frozen=True)
class OrderProblem:
    """Needs by delivery, in the order of the deliveries, and all that can cover them."""

    needs: tuple[tuple[int, ...], ...]
    choices: tuple[Choice, ...]
    sellers: tuple[Seller, ...]
    join: JoinRule | None = None

    @property
    def drops(self) -> int:
        """How many deliveries each supplier may make."""
        return len(self.needs[0]) if self.needs else 0

    @cached_property
    def families(self) -> tuple[tuple[int, ...], ...]:
        """Needs that have something to do with each other, because one choice can cover several."""
        of = list(range(len(self.needs)))

        def root(need: int) -> int:
            while of[need] != need:
                need = of[need]
            return need

        for choice in self.choices:
            for need in choice.serves[1:]:
                of[root(need)] = root(choice.serves[0])
        found: dict[int, list[int]] = {}
        for need in range(len(self.needs)):
            found.setdefault(root(need), []).append(need)
        return tuple(map(tuple, found.values()))

    @cached_property
    def totals(self) -> tuple[int, ...]:
        """All that is needed of each."""
        return tuple(map(sum, self.needs))

    def opened(self, choice: Choice, need: int) -> dict[int, int]:
        """How many new packs of a choice which delivery opens, where it alone covers a need."""
        found, before, total = {}, 0, 0
        for drop, amount in enumerate(self.needs[need]):
            total += amount
            packs = -(-total // choice.pack)
            if packs > before:
                found[drop] = packs - before
            before = packs
        return found


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderPlan:
    """Packs of each choice and what they cover; what they cost, and what no lawful order costs less than."""

    packs: tuple[int, ...]
    uses: Uses
    cost: int
    bound: int
    stopped_by: str


def goods_worth(problem: OrderProblem, packs: Sequence[int], seller: int) -> int:
    """What all packs from one supplier cost, without bringing them."""
    return sum(
        choice.price(count) * count
        for choice, count in zip(problem.choices, packs, strict=True)
        if choice.seller == seller and choice.limit is None
    )


def loads_of(problem: OrderProblem, uses: Uses, seller: int) -> list[Load]:
    """What each delivery of a supplier would bring by itself."""
    loads = [Load() for _ in range(problem.drops)]
    for (number, need), amount in uses.items():
        choice = problem.choices[number]
        if choice.seller != seller or choice.limit is not None or not amount:
            continue
        share = Fraction(amount, problem.totals[need])
        for drop, packs in problem.opened(choice, need).items():
            load = loads[drop]
            load.comes = True
            load.worth += share * packs * choice.prices[0][1]
            load.opened_g += share * packs * choice.pack_g
            load.lead_days = max(load.lead_days, choice.lead_days)
        for load, part in zip(loads, problem.needs[need], strict=True):
            load.used_g += Fraction(choice.pack_g * amount * part, choice.pack * problem.totals[need])
    return loads


def comes_with(problem: OrderProblem, uses: Uses, seller: int) -> dict[int, int]:
    """By each delivery of a supplier that is due, the one it comes with: itself, or one before."""
    return heads(loads_of(problem, uses, seller), problem.join, problem.sellers[seller].most_g)


def lorries(problem: OrderProblem, uses: Uses, seller: int) -> tuple[int, ...]:
    """How many lorries of a supplier come with each delivery."""
    most_g = problem.sellers[seller].most_g
    loads, masses = loads_of(problem, uses, seller), dict[int, Fraction]()
    for drop, head in heads(loads, problem.join, most_g).items():
        masses[head] = masses.get(head, Fraction(0)) + loads[drop].used_g
    return tuple(lorries_for(masses[drop], most_g) if drop in masses else 0 for drop in range(problem.drops))


def charge_of(problem: OrderProblem, packs: Sequence[int], seller: int) -> int:
    """The price of each lorry of a supplier: none where the order is worth enough."""
    who = problem.sellers[seller]
    return 0 if who.free_from and goods_worth(problem, packs, seller) >= who.free_from else who.charge


def whole_cost(problem: OrderProblem, packs: Sequence[int], uses: Uses) -> int:
    """What an order costs: goods and deliveries."""
    return sum(
        goods_worth(problem, packs, seller)
        + charge_of(problem, packs, seller) * sum(lorries(problem, uses, seller))
        for seller in range(len(problem.sellers))
    )


def broken_terms(problem: OrderProblem, packs: Sequence[int], uses: Uses) -> list[str]:
    """What is wrong with an order: needs, packs, what is in hand, least packs, least worth."""
    faults: list[str] = []
    for need, total in enumerate(problem.totals):
        covered = sum(amount for (_, to), amount in uses.items() if to == need)
        if covered != total:
            faults.append(f"need {need}: {covered} of {total} covered")
    for number, (choice, count) in enumerate(zip(problem.choices, packs, strict=True)):
        mine = {need: amount for (by, need), amount in uses.items() if by == number}
        if sum(mine.values()) > choice.pack * count or not set(mine) <= set(choice.serves):
            faults.append(f"choice {number}: covers what it cannot")
        if choice.limit is not None and count > choice.limit:
            faults.append(f"choice {number}: {count} of {choice.limit} in hand")
        if choice.limit is None and 0 < count < choice.least_packs:
            faults.append(f"choice {number}: {count} packs, the least is {choice.least_packs}")
    for seller, who in enumerate(problem.sellers):
        worth = goods_worth(problem, packs, seller)
        if 0 < worth < who.least_order:
            faults.append(f"seller {seller}: an order worth {worth}, the least is {who.least_order}")
    return faults


def arrivals(problem: OrderProblem, plan: OrderPlan, number: int) -> dict[int, int]:
    """How many packs of a choice come with which delivery: as many as are used until more come.

    What it covers of a need is used in the deliveries as the need is. What is bought beyond comes last; what
    covers nothing comes with the first delivery of its supplier.
    """
    choice, total = problem.choices[number], plan.packs[number]
    uses = {need: amount for (by, need), amount in plan.uses.items() if by == number}
    if choice.limit is not None or not total:
        return {}
    heads_of = comes_with(problem, plan.uses, choice.seller)
    opened = sorted({heads_of[drop] for need in uses for drop in problem.opened(choice, need)})
    if not opened:
        comes = lorries(problem, plan.uses, choice.seller)
        opened = [next((drop for drop, count in enumerate(comes) if count), 0)]
    found, before = {}, 0
    for drop, after in zip(opened, [*opened[1:], None], strict=True):
        until = total
        if after is not None:
            used = sum(
                Fraction(amount * sum(problem.needs[need][:after]), problem.totals[need])
                for need, amount in uses.items()
            )
            until = min(total, ceil(used / choice.pack))
        if until > before:
            found[drop] = until - before
        before = until
    return found
