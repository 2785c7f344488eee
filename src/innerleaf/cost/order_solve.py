"""The cheapest order by a mixed-integer program, and what no order can cost less than.

Unknowns: packs of each choice by delivery and by price break, what of them is bought beyond the needs; whether a
break is reached, a supplier delivers, delivers free of charge, is ordered from at all; lorries paid for; how much
of each need each choice covers. The search is bounded by nodes, not by the clock, so the same problem gives the
same order. The bound comes out of models made anew (a solver object used twice may report a wrong one) and is
never above the cost.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from math import ceil, gcd, inf
from typing import TYPE_CHECKING, Any, Final

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import coo_array

from innerleaf.cost.order_problem import Choice, OrderPlan, OrderProblem, Packs, whole_cost

if TYPE_CHECKING:
    from numpy.typing import NDArray

PROVED: Final = "proved cheapest"
STOPPED: Final = "limit of the search reached"
NODES: Final = 5_000
_NOISE: Final = 1e-4  # hundredths, of the solver on a bound
_CLOSE: Final = 0.8  # hundredths: nearer to the bound than this an order of whole hundredths is the cheapest


def cheapest_order(problem: OrderProblem, nodes: int = NODES) -> OrderPlan:
    """Packs by choice and delivery at least cost, with the bound.

    Every need must be served by a choice that is not in hand only; then there always is an order.
    """
    if not any(map(any, problem.needs)):
        none = tuple((0,) * problem.drops for _ in problem.choices)
        return OrderPlan(packs=none, cost=0, bound=0, stopped_by=PROVED)
    packs, dual = Model(problem, favours=True).solve(nodes)
    if any(seller.favour for seller in problem.sellers):  # no favour is counted in what is reported
        _, dual = Model(problem, favours=False).solve(nodes)
    cost = whole_cost(problem, packs)
    least = Model(problem, favours=False).relaxed()
    bound = dual if least - _NOISE <= dual <= cost + _NOISE else least
    bound = min(cost, ceil(bound - _NOISE))
    return OrderPlan(packs=packs, cost=cost, bound=bound, stopped_by=PROVED if bound >= cost else STOPPED)


@dataclass(slots=True)
class _Columns:
    """Unknowns: cost, greatest value, whole or not."""

    costs: list[float] = field(default_factory=list)
    most: list[float] = field(default_factory=list)
    whole: list[int] = field(default_factory=list)

    def add(self, cost: float, most: float, *, whole: bool = True) -> int:
        """A new unknown from 0 to ``most``."""
        self.costs.append(cost)
        self.most.append(most)
        self.whole.append(int(whole))
        return len(self.costs) - 1


@dataclass(frozen=True, slots=True)
class _Some:
    """Packs of a choice in one delivery, at one price; ``filling`` ones are bought beyond the needs."""

    at: int  # the unknown
    drop: int
    price: int
    filling: bool


class Model:
    """One mixed-integer program, built anew for each solution."""

    def __init__(
        self, problem: OrderProblem, *, favours: bool, totals: Sequence[int] | None = None
    ) -> None:
        self.problem, self.favours = problem, favours
        self.totals = totals
        self.columns = _Columns()
        self.rows: list[tuple[list[int], list[float], float, float]] = []
        self.packs = [self._packs_of(number, choice) for number, choice in enumerate(problem.choices)]
        self.delivers: dict[tuple[int, int], int] = {}
        for seller in range(len(problem.sellers)):
            self._seller(seller)
        for family, needs in enumerate(problem.families):
            self._cover(family, needs)

    def _row(self, terms: Sequence[tuple[int, float]], low: float, high: float) -> None:
        self.rows.append(([at for at, _ in terms], [value for _, value in terms], low, high))

    # --- packs and prices -------------------------------------------------------------------------

    def _of_family(self, choice: Choice) -> Iterator[tuple[int, int]]:
        """Deliveries in which a choice may serve, with how much it may serve there."""
        for drop in range(self.problem.drops):
            amount = sum(self.problem.needs[need][drop] for need in choice.serves)
            if amount:
                yield drop, amount

    def _filling(self, choice: Choice) -> int:
        """More packs than these are never worth buying beyond the needs."""
        who, price = self.problem.sellers[choice.seller], choice.prices[-1][1]
        most = max(choice.least_packs, choice.prices[-1][0]) if self._has_steps(choice) else 0
        if who.free_from and who.charge:
            most = max(most, self._most_lorries(choice.seller) * who.charge // price)
        return max(most, ceil(who.least_order / price))

    def _has_steps(self, choice: Choice) -> bool:
        return choice.least_packs > 1 or len(choice.prices) > 1

    def _most_lorries(self, seller: int) -> int:
        """That one delivery of a supplier may take for what is needed, and a pack more of each."""
        who = self.problem.sellers[seller]
        if not who.most_g:
            return 1
        mass = 0
        for choice in self.problem.choices:
            if choice.seller == seller and choice.limit is None:
                packs = max((-(-amount // choice.pack) for _, amount in self._of_family(choice)), default=0)
                mass += (packs + 1) * choice.pack_g
        return max(1, -(-mass // who.most_g)) + 1

    def _packs_of(self, number: int, choice: Choice) -> list[_Some]:
        """Packs by delivery and price, and which price they reach."""
        if choice.limit is not None:
            return [_Some(self.columns.add(0.0, choice.limit), 0, 0, filling=False)]
        share = 1 - (self.problem.sellers[choice.seller].favour if self.favours else 0.0)
        amounts = dict(self._of_family(choice))
        last = self.problem.last[self.problem.family_of[choice.serves[0]]]
        filling = self._filling(choice)
        most = filling + sum(-(-amount // choice.pack) for amount in amounts.values())
        found, reached = [], []
        for step, (least, price) in enumerate(choice.prices):
            low = max(least, choice.least_packs)
            high = choice.prices[step + 1][0] - 1 if step + 1 < len(choice.prices) else most
            if high < low or (self.totals and choice.price(self.totals[number]) != price):
                continue
            mine = [
                _Some(
                    self.columns.add(price * share, min(high, -(-amount // choice.pack))),
                    drop,
                    price,
                    filling=False,
                )
                for drop, amount in amounts.items()
            ]
            if filling:
                mine.append(_Some(self.columns.add(price * share, filling), last, price, filling=True))
            if self._has_steps(choice):
                taken = self.columns.add(0.0, 1)
                reached.append((taken, 1.0))
                packs = [(some.at, 1.0) for some in mine]
                self._row([*packs, (taken, -float(low))], 0, inf)
                if step + 1 < len(choice.prices):
                    self._row([*packs, (taken, -float(high))], -inf, 0)
                for some in mine:  # one by one: a bound much nearer to the truth than all together
                    self._row([(some.at, 1.0), (taken, -self.columns.most[some.at])], -inf, 0)
            found += mine
        if len(reached) > 1:
            self._row(reached, 0, 1)
        return found

    # --- needs ------------------------------------------------------------------------------------

    def _until(self, number: int, drop: int, size: float) -> list[tuple[int, float]]:
        """What has come of a choice with a delivery or before; all of what is in hand."""
        return [(some.at, size) for some in self.packs[number] if some.drop <= drop]

    def _cover(self, family: int, needs: tuple[int, ...]) -> None:
        """Needs are covered out of what has come, and, which follows from it, by whole packs."""
        choices = self.problem.choices
        serving: dict[tuple[int, ...], list[int]] = {}
        for need in needs:
            group = tuple(number for number, choice in enumerate(choices) if need in choice.serves)
            serving.setdefault(group, []).append(need)
        alike = {group: self._sum(some) for group, some in serving.items()}
        for group in alike:
            inside = [amounts for other, amounts in alike.items() if set(other) <= set(group)]
            self._rounded(group, [sum(column) for column in zip(*inside, strict=True)])
        self._flows(alike, self.problem.last[family])

    def _sum(self, needs: Sequence[int]) -> list[int]:
        return [sum(self.problem.needs[need][drop] for need in needs) for drop in range(self.problem.drops)]

    def _rounded(self, group: tuple[int, ...], amounts: list[int]) -> None:
        """What only these choices cover takes so many packs by each delivery; a great need takes a lorry."""
        choices = self.problem.choices
        bought = [number for number in group if choices[number].limit is None]
        in_hand = sum(c.pack * (c.limit or 0) for c in (choices[number] for number in group))
        unit = gcd(*(choices[number].pack for number in bought))
        left = sum(choices[number].pack - 1 for number in bought) + in_hand
        who = {choices[number].seller for number in bought}
        for drop, amount in enumerate(amounts):
            total = sum(amounts[: drop + 1]) - in_hand
            if amount and total > 0:
                terms = [term for k in bought for term in self._until(k, drop, choices[k].pack / unit)]
                self._row(terms, -(-total // unit), inf)
            new = amount > left or (amount > in_hand and not any(amounts[:drop]))
            if new and all((seller, drop) in self.delivers for seller in who):
                self._row([(self.delivers[seller, drop], 1.0) for seller in who], 1, inf)

    def _flows(self, alike: dict[tuple[int, ...], list[int]], last: int) -> None:
        """Which choice covers how much of what; less than a pack of it is left until the last delivery."""
        choices = self.problem.choices
        members = sorted({number for group in alike for number in group})
        unit = gcd(*(choices[number].pack for number in members if choices[number].limit is None)) or 1
        used: dict[int, list[tuple[int, float]]] = {number: [] for number in members}
        for drop in range(self.problem.drops):
            for group, amounts in alike.items():
                if amounts[drop]:
                    mine = [(self.columns.add(0.0, amounts[drop] / unit, whole=False), 1.0) for _ in group]
                    self._row(mine, amounts[drop] / unit, amounts[drop] / unit)
                    for number, flow in zip(group, mine, strict=True):
                        used[number].append(flow)
            if not any(amounts[drop] for amounts in alike.values()):
                continue
            for number in members:
                size = choices[number].pack
                left = inf if drop >= last or choices[number].limit is not None else (size - 1) / unit
                come = self._until(number, drop, size / unit)
                self._row([*come, *((at, -1.0) for at, _ in used[number])], 0, left)

    # --- suppliers --------------------------------------------------------------------------------

    def _seller(self, seller: int) -> None:
        """Lorries, free deliveries and the least worth of an order."""
        who = self.problem.sellers[seller]
        mine = [
            (choice, some)
            for choice, packs in zip(self.problem.choices, self.packs, strict=True)
            if choice.seller == seller and choice.limit is None
            for some in packs
        ]
        if who.charge:
            for drop in sorted({some.drop for _, some in mine}):
                self._lorries(seller, drop, [(choice, some) for choice, some in mine if some.drop == drop])
        if who.least_order and mine:
            ordered = self.columns.add(0.0, 1)
            for _, some in mine:
                self._row([(some.at, 1.0), (ordered, -self.columns.most[some.at])], -inf, 0)
            worth = [(some.at, float(some.price)) for _, some in mine]
            self._row([*worth, (ordered, -float(who.least_order))], 0, inf)

    def _lorries(self, seller: int, drop: int, mine: Sequence[tuple[Choice, _Some]]) -> None:
        who, columns = self.problem.sellers[seller], self.columns
        delivers = self.delivers[seller, drop] = columns.add(0.0, 1)
        for _, some in mine:
            self._row([(some.at, 1.0), (delivers, -columns.most[some.at])], -inf, 0)
        most = self._most_lorries(seller)
        paid = columns.add(float(who.charge), most)
        free: list[tuple[int, float]] = []
        greatest = sum(
            choice.prices[0][1] * -(-amount // choice.pack)
            for choice in {choice for choice, _ in mine}
            for at, amount in self._of_family(choice)
            if at == drop
        )
        if who.free_from and greatest + most * who.charge >= who.free_from:  # else filling costs more than it saves
            free = [(columns.add(0.0, 1), -1.0)]
            worth = [(some.at, float(some.price)) for _, some in mine]
            self._row([*worth, (free[0][0], -float(who.free_from))], 0, inf)
            self._row([(free[0][0], 1.0), (delivers, -1.0)], -inf, 0)
        self._row([(delivers, 1.0), (paid, -1.0), *free], -inf, 0)
        load = [(some.at, choice.pack_g / who.most_g) for choice, some in mine if who.most_g]
        if sum(mass * columns.most[at] for at, mass in load) > 1:
            self._row([*load, (paid, -1.0), *((at, -float(most)) for at, _ in free)], -inf, 0)

    # --- solving ----------------------------------------------------------------------------------

    def solve(self, nodes: int) -> tuple[Packs, float]:
        """Packs, and the bound on money by the search."""
        options = {"mip_rel_gap": _CLOSE / max(1.0, self.relaxed())}
        for limit in (nodes, 1000 * nodes):  # a first order is nearly always found at once
            answer = self._run(whole=True, options=options | {"node_limit": limit})
            if answer.x is not None:
                break
        values: NDArray[np.float64] = answer.x
        packs = tuple(
            tuple(
                sum(round(float(values[some.at])) for some in packs if some.drop == drop)
                for drop in range(self.problem.drops)
            )
            for packs in self.packs
        )
        return packs, float(answer.mip_dual_bound)

    def relaxed(self) -> float:
        """The bound on money by the linear program alone."""
        answer = self._run(whole=False, options={})
        return float(answer.fun) if answer.x is not None else 0.0

    def _run(self, *, whole: bool, options: dict[str, float]) -> Any:
        return milp(
            np.array(self.columns.costs),
            constraints=self._constraint(),
            bounds=Bounds(0, np.array(self.columns.most, dtype=float)),
            integrality=np.array(self.columns.whole) if whole else None,
            options=options,
        )

    def _constraint(self) -> LinearConstraint:
        row = np.repeat(np.arange(len(self.rows)), [len(at) for at, _, _, _ in self.rows])
        column = np.concatenate([np.array(at, dtype=np.int64) for at, _, _, _ in self.rows])
        value = np.concatenate([np.array(values) for _, values, _, _ in self.rows])
        shape = (len(self.rows), len(self.columns.costs))
        matrix = coo_array((value, (row, column)), shape=shape).tocsc()
        return LinearConstraint(matrix, [low for *_, low, _ in self.rows], [high for *_, high in self.rows])
