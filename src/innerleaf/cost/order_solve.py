"""The cheapest order by a mixed-integer program, and what no order can cost less than.

Unknowns: packs of each choice by price, and those bought beyond the needs; whether a price is reached, a
supplier comes with a delivery, comes free of charge, is ordered from at all; lorries paid for; how much of
each need each choice covers. The search is bounded by nodes, not by the clock, so the same problem gives the
same order. The bound comes out of models made anew (a solver object used twice may report a wrong one) and is
never above the cost.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from math import ceil, gcd, inf
from typing import TYPE_CHECKING, Any, Final

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import coo_array

from innerleaf.cost.order_brought import Brought
from innerleaf.cost.order_problem import Choice, OrderPlan, OrderProblem, Uses, whole_cost
from innerleaf.cost.order_transport import uses_of

if TYPE_CHECKING:
    from numpy.typing import NDArray

PROVED: Final = "proved cheapest"
STOPPED: Final = "limit of the search reached"
NODES: Final = 500
_NOISE: Final = 1e-4  # hundredths, of the solver on a bound
_CLOSE: Final = 0.8  # hundredths: nearer to the bound than this an order of whole hundredths is the cheapest
_SOME: Final = 1e-6  # of a need: less is noise


def cheapest_order(
    problem: OrderProblem, misfit: Sequence[Sequence[float]] | None = None, nodes: int = NODES
) -> OrderPlan:
    """Packs by choice and what they cover at least cost, with the bound.

    Every need must be served by a choice that is not in hand only; then there always is an order. Among ways
    to cover the needs with the same packs that with the least ``misfit`` (by choice and need) is taken.
    """
    if not any(problem.totals):
        return OrderPlan(packs=(0,) * len(problem.choices), uses={}, cost=0, bound=0, stopped_by=PROVED)
    misfit = misfit or [[0.0] * len(problem.needs)] * len(problem.choices)
    packs, uses, dual = _Model(problem, favours=True).solve(nodes, misfit)
    if any(seller.favour for seller in problem.sellers):  # no favour is counted in what is reported
        *_, dual = _Model(problem, favours=False).solve(nodes, misfit)
    cost = whole_cost(problem, packs, uses)
    least = _Model(problem, favours=False).relaxed()
    bound = dual if least - _NOISE <= dual <= cost + _NOISE else least
    bound = min(cost, ceil(bound - _NOISE))
    stopped_by = PROVED if bound >= cost else STOPPED
    return OrderPlan(packs=packs, uses=uses, cost=cost, bound=bound, stopped_by=stopped_by)


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
    """Packs of a choice at one price."""

    at: int  # the unknown
    price: int


class _Model:
    """One mixed-integer program, built anew for each solution."""

    def __init__(self, problem: OrderProblem, *, favours: bool) -> None:
        self.problem, self.favours = problem, favours
        self.columns = _Columns()
        self.rows: list[tuple[list[int], list[float], float, float]] = []
        self.flows: dict[tuple[int, int], int] = {}  # by choice and need, as a share of the need
        self.packs = [self._packs_of(choice) for choice in problem.choices]
        for family in problem.families:
            self._cover(family)
        for seller in range(len(problem.sellers)):
            self._seller(seller)

    def row(self, terms: Sequence[tuple[int, float]], low: float, high: float) -> None:
        """A condition: a sum of unknowns between two values."""
        self.rows.append(([at for at, _ in terms], [value for _, value in terms], low, high))

    # --- packs and prices -------------------------------------------------------------------------

    def _needed(self, choice: Choice) -> int:
        """Packs that cover all a choice may serve."""
        return -(-sum(self.problem.totals[need] for need in choice.serves) // choice.pack)

    def _filling(self, choice: Choice) -> int:
        """More packs than these are never worth buying beyond the needs."""
        who, price = self.problem.sellers[choice.seller], choice.prices[-1][1]
        most = max(choice.least_packs, choice.prices[-1][0]) if _has_steps(choice) else 0
        if who.free_from and who.charge:
            most = max(most, self._most_lorries(choice.seller) * self.problem.drops * who.charge // price)
        return max(most, ceil(who.least_order / price))

    def _most_lorries(self, seller: int) -> int:
        """That one delivery of a supplier may take for what is needed."""
        who = self.problem.sellers[seller]
        if not who.most_g:
            return 1
        mass = sum(
            choice.pack_g * self._needed(choice)
            for choice in self.problem.choices
            if choice.seller == seller and choice.limit is None
        )
        return max(1, -(-mass // who.most_g))

    def _packs_of(self, choice: Choice) -> list[_Some]:
        """Packs by price, those beyond the needs apart, and which price they reach."""
        if choice.limit is not None:
            return [_Some(self.columns.add(0.0, choice.limit), 0)]
        share = 1 - (self.problem.sellers[choice.seller].favour if self.favours else 0.0)
        needed, filling = self._needed(choice), self._filling(choice)
        found, reached = [], []
        for step, (least, price) in enumerate(choice.prices):
            low = max(least, choice.least_packs)
            high = choice.prices[step + 1][0] - 1 if step + 1 < len(choice.prices) else needed + filling
            if high < low:
                continue
            mine = [
                _Some(self.columns.add(price * share, most), price)
                for most in (min(high, needed), min(high, filling))
                if most
            ]
            if _has_steps(choice):
                taken = self.columns.add(0.0, 1)
                reached.append((taken, 1.0))
                packs = [(some.at, 1.0) for some in mine]
                self.row([*packs, (taken, -float(low))], 0, inf)
                self.row([*packs, (taken, -float(high))], -inf, 0)
                for some in mine:  # one by one: a bound nearer to the truth than all together
                    self.row([(some.at, 1.0), (taken, -self.columns.most[some.at])], -inf, 0)
            found += mine
        if len(reached) > 1:
            self.row(reached, 0, 1)
        return found

    # --- needs ------------------------------------------------------------------------------------

    def _cover(self, family: tuple[int, ...]) -> None:
        """Needs are covered out of what is bought, and, which follows from it, by whole packs."""
        choices, totals = self.problem.choices, self.problem.totals
        wants = [need for need in family if totals[need]]
        serving = {n: tuple(k for k, c in enumerate(choices) if n in c.serves) for n in wants}
        for group in dict.fromkeys(serving.values()):
            self._rounded(group, sum(totals[n] for n in wants if set(serving[n]) <= set(group)))
        members = sorted({number for group in serving.values() for number in group})
        unit = gcd(*(choices[number].pack for number in members)) if members else 1
        for need in wants:
            mine = []
            for number in serving[need]:
                self.flows[number, need] = self.columns.add(0.0, 1.0, whole=False)
                mine.append((self.flows[number, need], 1.0))
            self.row(mine, 1, 1)
        for number in members:
            size = choices[number].pack / unit
            used = [(self.flows[number, n], -totals[n] / unit) for n in wants if number in serving[n]]
            self.row([*((some.at, size) for some in self.packs[number]), *used], 0, inf)

    def _rounded(self, group: tuple[int, ...], total: int) -> None:
        """What only these choices cover takes so many packs of those that are bought."""
        choices = self.problem.choices
        bought = [number for number in group if choices[number].limit is None]
        total -= sum(c.pack * (c.limit or 0) for c in (choices[number] for number in group))
        if total > 0:
            unit = gcd(*(choices[number].pack for number in bought))
            terms = [(some.at, choices[k].pack / unit) for k in bought for some in self.packs[k]]
            self.row(terms, -(-total // unit), inf)

    # --- suppliers --------------------------------------------------------------------------------

    def _seller(self, seller: int) -> None:
        """Deliveries, and the least worth of an order."""
        who = self.problem.sellers[seller]
        numbers = [k for k, c in enumerate(self.problem.choices) if c.seller == seller and c.limit is None]
        worth = [(some.at, float(some.price)) for number in numbers for some in self.packs[number]]
        if who.charge and numbers:
            self._deliveries(seller, numbers, worth)
        if who.least_order and numbers:
            ordered = self.columns.add(0.0, 1)
            for at, _ in worth:
                self.row([(at, 1.0), (ordered, -self.columns.most[at])], -inf, 0)
            self.row([*worth, (ordered, -float(who.least_order))], 0, inf)

    def _deliveries(self, seller: int, numbers: list[int], worth: list[tuple[int, float]]) -> None:
        """A lorry where a pack is opened, more by mass; all of them free from a worth on."""
        problem, who, columns = self.problem, self.problem.sellers[seller], self.columns
        mine = [(number, need) for number, need in self.flows if number in set(numbers)]
        free: list[tuple[int, float]] = []
        if who.free_from:
            free = [(columns.add(0.0, 1), -1.0)]
            self.row([*worth, (free[0][0], -float(who.free_from))], 0, inf)
        most = self._most_lorries(seller)
        opened: dict[int, list[tuple[int, int]]] = {}
        for number, need in mine:
            for drop in problem.opened(problem.choices[number], need):
                opened.setdefault(drop, []).append((number, need))
        comes = {drop: columns.add(0.0, 1) for drop in sorted(opened)}
        brought = Brought(self, comes, opened) if problem.join else None
        for drop, arcs in opened.items():
            paid = columns.add(float(who.charge), most)
            for arc in arcs:
                self.row([(self.flows[arc], 1.0), (comes[drop], -1.0)], -inf, 0)
            along = brought.along[drop] if brought else []
            self.row([(comes[drop], 1.0), (paid, -1.0), *free, *((at, -1.0) for at in along)], -inf, 0)
            if who.most_g and most > 1:
                load = self.load(mine, drop, who.most_g)
                load += brought.load(mine, drop, who.most_g) if brought else []
                idle = [(comes[drop], float(most)), (paid, -1.0)]
                idle += [(at, -float(most)) for at in (*(at for at, _ in free), *along)]
                self.row([*load, *idle], -inf, float(most))

    def load(self, arcs: Sequence[tuple[int, int]], drop: int, per_g: float) -> list[tuple[int, float]]:
        """Mass of what is used in a delivery, in lorries of so much."""
        problem = self.problem
        return [
            (
                self.flows[number, need],
                problem.choices[number].pack_g
                * problem.needs[need][drop]
                / (problem.choices[number].pack * per_g),
            )
            for number, need in arcs
            if problem.needs[need][drop]
        ]

    # --- solving ----------------------------------------------------------------------------------

    def solve(self, nodes: int, misfit: Sequence[Sequence[float]]) -> tuple[tuple[int, ...], Uses, float]:
        """Packs, what they cover, and the bound on money by the search."""
        options = {"mip_rel_gap": _CLOSE / max(1.0, self.relaxed())}
        for limit in (nodes, 1000 * nodes):  # a first order is nearly always found at once
            answer = self._run(whole=True, options=options | {"node_limit": limit})
            if answer.x is not None:
                break
        values: NDArray[np.float64] = answer.x
        packs = tuple(
            sum(round(float(values[some.at])) for some in mine) if choice.limit is None else choice.limit
            for choice, mine in zip(self.problem.choices, self.packs, strict=True)
        )  # all that is in hand may serve: it costs nothing
        used = [
            (number, need)
            for (number, need), at in self.flows.items()
            if values[at] > _SOME or self.problem.choices[number].limit is not None
        ]
        uses = uses_of(self.problem, packs, misfit, used)
        if uses is None:  # so little of a need that it looked like noise
            uses = uses_of(self.problem, packs, misfit, self.flows)
        assert uses is not None  # the program covers all needs
        return packs, uses, float(answer.mip_dual_bound)

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


def _has_steps(choice: Choice) -> bool:
    return choice.least_packs > 1 or len(choice.prices) > 1
