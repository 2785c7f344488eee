"""The cheapest purchase as numbers: what is needed when, what can be bought from whom, what an order costs.

Needs and packs are whole numbers of a smallest unit (pieces, mm or g), money is in hundredths, masses in g.
Suppliers, offers and needs are known by their place in the lists. ``docs/buying.md`` has the model.

What comes with which delivery: after the work of each delivery less than a pack of every offer is left over.
What is bought beyond all needs, to reach a price or a least order, comes with the last delivery in which
anything of its family (needs that one offer can cover, together) is needed.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

Packs = tuple[tuple[int, ...], ...]  # of each choice, by delivery


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

    def price(self, packs: int) -> int:
        """Price of each of so many packs."""
        return [price for least, price in self.prices if least <= max(1, packs)][-1]


@dataclass(frozen=True)
class OrderProblem:
    """Needs by delivery, in the order of the deliveries, and all that can cover them."""

    needs: tuple[tuple[int, ...], ...]
    choices: tuple[Choice, ...]
    sellers: tuple[Seller, ...]

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
    def family_of(self) -> tuple[int, ...]:
        """Number of the family of each need."""
        numbers = {need: number for number, family in enumerate(self.families) for need in family}
        return tuple(numbers[need] for need in range(len(self.needs)))

    @cached_property
    def last(self) -> tuple[int, ...]:
        """The last delivery that needs anything of each family."""
        return tuple(
            max((d for d in range(self.drops) if any(self.needs[n][d] for n in family)), default=0)
            for family in self.families
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderPlan:
    """Packs of each choice by delivery; what they cost, and what no lawful order costs less than."""

    packs: Packs
    cost: int
    bound: int
    stopped_by: str


def goods_cost(problem: OrderProblem, packs: Packs) -> int:
    """What all packs cost, without bringing them."""
    return sum(c.price(sum(of)) * sum(of) for c, of in zip(problem.choices, packs, strict=True))


def lorries(problem: OrderProblem, packs: Packs, seller: int, drop: int) -> tuple[int, int]:
    """How many lorries a delivery takes by its mass, and what they cost."""
    goods = mass = number = 0
    for choice, of in zip(problem.choices, packs, strict=True):
        if choice.seller == seller and choice.limit is None and of[drop]:
            number += of[drop]
            goods += choice.price(sum(of)) * of[drop]
            mass += choice.pack_g * of[drop]
    if not number:
        return 0, 0
    who = problem.sellers[seller]
    count = max(1, -(-mass // who.most_g)) if who.most_g else 1
    free = bool(who.free_from) and goods >= who.free_from
    return count, 0 if free else count * who.charge


def whole_cost(problem: OrderProblem, packs: Packs) -> int:
    """What an order costs: goods and deliveries."""
    places = ((s, d) for s in range(len(problem.sellers)) for d in range(problem.drops))
    return goods_cost(problem, packs) + sum(lorries(problem, packs, s, d)[1] for s, d in places)


def broken_terms(problem: OrderProblem, packs: Packs) -> list[str]:
    """What is wrong with an order apart from covering needs: what is in hand, least packs, least worth."""
    faults: list[str] = []
    worth = [0] * len(problem.sellers)
    for number, (choice, of) in enumerate(zip(problem.choices, packs, strict=True)):
        total = sum(of)
        if choice.limit is not None:
            if total > choice.limit:
                faults.append(f"choice {number}: {total} of {choice.limit} in hand")
            continue
        worth[choice.seller] += choice.price(total) * total
        if 0 < total < choice.least_packs:
            faults.append(f"choice {number}: {total} packs, the least is {choice.least_packs}")
    for seller, who in enumerate(problem.sellers):
        if 0 < worth[seller] < who.least_order:
            faults.append(f"seller {seller}: an order worth {worth[seller]}, the least is {who.least_order}")
    return faults
