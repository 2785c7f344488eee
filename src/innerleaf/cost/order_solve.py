"""The cheapest order by a mixed-integer program, and what no order can cost less than.

Unknowns: packs of each choice by delivery and by price break; whether a break is reached, a delivery is free,
a supplier is ordered from at all; lorries paid for; how much of each need each choice covers. The search is
bounded by nodes, not by the clock, so the same problem gives the same order. The bound comes out of models
made anew (a solver object used twice may report a wrong one) and is never above the cost.
"""

from __future__ import annotations

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
NODES: Final = 20_000
_SLACK: Final = 1e-4  # hundredths: noise of the solver on a bound
_LATE: Final = 0.2  # hundredths, less than which decides between orders that cost the same
_CLOSE: Final = 0.3  # hundredths: nearer to the bound than this an order of whole hundredths is the cheapest


def cheapest_order(problem: OrderProblem, nodes: int = NODES) -> OrderPlan:
    """Packs by choice and delivery at least cost, with the bound.

    Every need must be served by a choice that is not in hand only; then there always is an order.
    """
    if not any(map(any, problem.needs)):
        none = tuple((0,) * problem.drops for _ in problem.choices)
        return OrderPlan(packs=none, cost=0, bound=0, stopped_by=PROVED)
    favoured = any(seller.favour for seller in problem.sellers)
    packs, dual = _Model(problem, favours=True).solve(nodes)
    if favoured:  # no favour is counted in what is reported
        _, dual = _Model(problem, favours=False).solve(nodes)
    cost = whole_cost(problem, packs)
    least = _Model(problem, favours=False).relaxed()
    bound = dual if least - _SLACK <= dual <= cost + _SLACK else least
    bound = min(cost, ceil(bound - _SLACK))
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


class _Model:
    """One mixed-integer program, built anew for each solution."""

    def __init__(self, problem: OrderProblem, *, favours: bool) -> None:
        self.problem, self.favours = problem, favours
        self.columns = _Columns()
        self.rows: list[tuple[list[int], list[float], float, float]] = []
        self.packs: list[dict[int, list[tuple[int, int]]]] = []  # by choice, by delivery: (unknown, price)
        self.delivers: dict[tuple[int, int], int] = {}
        self.late = self._later_is_better()
        for number, choice in enumerate(problem.choices):
            self.packs.append(self._packs_of(number, choice))
        for family in range(len(problem.families)):
            self._cover(family)
            self._not_early(family)
        for seller in range(len(problem.sellers)):
            self._seller(seller)

    def _row(self, terms: list[tuple[int, float]], low: float, high: float) -> None:
        self.rows.append(([at for at, _ in terms], [value for _, value in terms], low, high))

    def _later_is_better(self) -> float:
        """A cost for each delivery that packs come earlier: so small that all together is below ``_LATE``."""
        return _LATE / (1 + self.problem.drops * sum(map(self._most, self.problem.choices)))

    def _most(self, choice: Choice) -> int:
        """More packs than this are never worth buying."""
        if choice.limit is not None:
            return choice.limit
        family = self.problem.families[self.problem.family_of[choice.serves[0]]]
        need = ceil(sum(map(sum, (self.problem.needs[n] for n in family))) / choice.pack)
        who = self.problem.sellers[choice.seller]
        filling = ceil(max(who.free_from, who.least_order) / choice.prices[-1][1])
        return max(need, choice.least_packs, choice.prices[-1][0]) + filling

    def _packs_of(self, number: int, choice: Choice) -> dict[int, list[tuple[int, int]]]:
        """Packs by delivery and break, and which break they reach."""
        most = self._most(choice)
        if choice.limit is not None:
            return {0: [(self.columns.add(0.0, most), 0)]}
        share = 1 - (self.problem.sellers[choice.seller].favour if self.favours else 0.0)
        allowed = self.problem.allowed(choice)
        by_drop: dict[int, list[tuple[int, int]]] = {drop: [] for drop in allowed}
        reached = []
        for step, (least, price) in enumerate(choice.prices):
            low = max(least, choice.least_packs) if step == 0 else least
            high = choice.prices[step + 1][0] - 1 if step + 1 < len(choice.prices) else most
            if high < low:
                continue
            mine = []
            for drop in allowed:
                early = self.late * (self.problem.drops - 1 - drop)
                mine.append(self.columns.add(price * share + early, high))
                by_drop[drop].append((mine[-1], price))
            if low > 1 or len(choice.prices) > 1:
                taken = self.columns.add(0.0, 1)
                reached.append(taken)
                self._row([*((at, 1.0) for at in mine), (taken, -float(low))], 0, inf)
                self._row([*((at, 1.0) for at in mine), (taken, -float(high))], -inf, 0)
        if len(reached) > 1:
            self._row([(at, 1.0) for at in reached], 0, 1)
        return by_drop

    def _until(self, number: int, drop: int) -> list[int]:
        """Unknowns of the packs of a choice that have come with a delivery or before."""
        return [at for d, some in self.packs[number].items() if d <= drop for at, _ in some]

    def _cover(self, family: int) -> None:
        """Needs are covered by what has come: exactly, and once more rounded to whole packs."""
        problem = self.problem
        needs = problem.families[family]
        serving = {n: tuple(k for k, c in enumerate(problem.choices) if n in c.serves) for n in needs}
        for group in dict.fromkeys(serving.values()):
            inside = [need for need in needs if set(serving[need]) <= set(group)]
            self._rounded(group, inside)
        if len(set(serving.values())) > 1:
            self._flows(needs, serving)

    def _rounded(self, group: tuple[int, ...], needs: list[int]) -> None:
        """What only these choices cover, in whole packs; alone enough where all serve the same needs."""
        choices = self.problem.choices
        bought = [k for k in group if choices[k].limit is None]
        hands = [k for k in group if choices[k].limit is not None]
        unit = gcd(*(choices[k].pack for k in bought)) if bought else 1
        in_hand = sum(choices[k].pack * (choices[k].limit or 0) for k in hands)
        total = before = 0
        for drop in range(self.problem.drops):
            total += sum(self.problem.needs[need][drop] for need in needs)
            if total == before:
                continue
            before = total
            terms = [(at, choices[k].pack / unit) for k in bought for at in self._until(k, drop)]
            if total > in_hand:
                self._row(terms, ceil((total - in_hand) / unit), inf)
            if hands:
                mine = [(at, choices[k].pack / unit) for k in hands for at in self._until(k, drop)]
                self._row(terms + mine, total / unit, inf)

    def _flows(self, needs: tuple[int, ...], serving: dict[int, tuple[int, ...]]) -> None:
        """Where choices serve different needs: how much of which covers which."""
        drops = [d for d in range(self.problem.drops) if any(self.problem.needs[n][d] for n in needs)]
        unit = gcd(*(self.problem.choices[k].pack for ks in serving.values() for k in ks)) or 1
        used: dict[int, list[int]] = {}
        for drop in drops:
            for need in needs:
                amount = self.problem.needs[need][drop]
                if amount:
                    mine = [self.columns.add(0.0, amount / unit, whole=False) for _ in serving[need]]
                    self._row([(at, 1.0) for at in mine], amount / unit, inf)
                    for number, at in zip(serving[need], mine, strict=True):
                        used.setdefault(number, []).append(at)
            for number, flows in used.items():
                size = self.problem.choices[number].pack / unit
                come = [(at, -size) for at in self._until(number, drop)]
                self._row([*((at, 1.0) for at in flows), *come], -inf, 0)

    def _not_early(self, family: int) -> None:
        """No more than what is needed by a delivery, rounded up, has come with it."""
        problem = self.problem
        mine = [
            k
            for k, c in enumerate(problem.choices)
            if c.limit is None and problem.family_of[c.serves[0]] == family
        ]
        for drop in range(problem.last[family]):
            terms = [(at, float(problem.choices[k].pack)) for k in mine for at in self._until(k, drop)]
            if terms:
                self._row(terms, -inf, problem.early[family][drop])

    def _seller(self, seller: int) -> None:
        """Lorries, free deliveries and the least worth of an order."""
        who = self.problem.sellers[seller]
        mine = [k for k, c in enumerate(self.problem.choices) if c.seller == seller and c.limit is None]
        goods: list[tuple[int, float]] = []
        drops = sorted({drop for k in mine for drop in self.packs[k]})
        for drop in drops:
            worth = [(at, float(p)) for k in mine for at, p in self.packs[k].get(drop, ())]
            goods += worth
            if who.charge:
                self._lorries(seller, drop, mine, worth)
        if who.least_order and goods:
            ordered = self.columns.add(0.0, 1)
            for at, _ in goods:
                self._row([(at, 1.0), (ordered, -self.columns.most[at])], -inf, 0)
            self._row([*goods, (ordered, -float(who.least_order))], 0, inf)

    def _lorries(self, seller: int, drop: int, mine: list[int], worth: list[tuple[int, float]]) -> None:
        who, columns = self.problem.sellers[seller], self.columns
        load = [
            (at, float(self.problem.choices[k].pack_g)) for k in mine for at, _ in self.packs[k].get(drop, ())
        ]
        most = 1
        if who.most_g:
            most = max(1, ceil(sum(mass * columns.most[at] for at, mass in load) / who.most_g))
        paid, free = columns.add(float(who.charge), most), 0
        if who.free_from:
            free = columns.add(0.0, 1)
            self._row([*worth, (free, -float(who.free_from))], 0, inf)
        for at, _ in worth:
            terms = [(at, 1 / columns.most[at]), (paid, -1.0)]
            self._row([*terms, (free, -1.0)] if who.free_from else terms, -inf, 0)
        if who.most_g and most > 1:
            terms = [(at, mass / who.most_g) for at, mass in load if mass]
            terms.append((paid, -1.0))
            self._row([*terms, (free, -float(most))] if who.free_from else terms, -inf, 0)

    def _constraint(self) -> LinearConstraint:
        counts = [len(at) for at, _, _, _ in self.rows]
        row = np.repeat(np.arange(len(self.rows)), counts)
        column = np.concatenate([np.array(at, dtype=np.int64) for at, _, _, _ in self.rows])
        value = np.concatenate([np.array(values) for _, values, _, _ in self.rows])
        shape = (len(self.rows), len(self.columns.costs))
        matrix = coo_array((value, (row, column)), shape=shape).tocsc()
        return LinearConstraint(matrix, [low for *_, low, _ in self.rows], [high for *_, high in self.rows])

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
                sum(round(float(values[at])) for at, _ in by_drop.get(drop, ()))
                for drop in range(self.problem.drops)
            )
            for by_drop in self.packs
        )
        return packs, float(answer.mip_dual_bound) - _LATE

    def relaxed(self) -> float:
        """The bound on money by the linear program alone."""
        answer = self._run(whole=False, options={})
        return float(answer.fun) - _LATE if answer.x is not None else 0.0

    def _run(self, *, whole: bool, options: dict[str, float]) -> Any:
        return milp(
            np.array(self.columns.costs),
            constraints=self._constraint(),
            bounds=Bounds(0, np.array(self.columns.most, dtype=float)),
            integrality=np.array(self.columns.whole) if whole else None,
            options=options,
        )
