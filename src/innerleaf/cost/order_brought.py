"""Small deliveries that come along with one before, as conditions of the mixed-integer program.

Whether delivery *d* comes along with *e* is an unknown for each pair at one place. What is small, what waits
and what a lorry takes are sums of flows; they are the same figures as in `order_problem.loads_of`.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import inf
from typing import TYPE_CHECKING, Protocol

if TYPE_CHECKING:
    from innerleaf.cost.order_problem import OrderProblem

Arc = tuple[int, int]  # choice and need
Terms = list[tuple[int, float]]


class Unknowns(Protocol):
    """Makes unknowns."""

    def add(self, cost: float, most: float, *, whole: bool = True) -> int:
        """A new unknown from 0 to ``most``."""


class Program(Protocol):
    """The program that conditions are added to; ``flows`` by choice and need, as shares of the need."""

    problem: OrderProblem
    flows: dict[Arc, int]

    @property
    def columns(self) -> Unknowns:
        """Its unknowns."""

    def row(self, terms: Sequence[tuple[int, float]], low: float, high: float) -> None:
        """A condition."""

    def load(self, arcs: Sequence[Arc], drop: int, per_g: float) -> Terms:
        """Mass of what is used in a delivery."""


class Brought:
    """Which deliveries of one supplier come along; ``along`` are the unknowns by delivery brought."""

    def __init__(
        self, program: Program, comes: Mapping[int, int], opened: Mapping[int, Sequence[Arc]]
    ) -> None:
        self.program, self.comes, self.opened = program, comes, opened
        problem = program.problem
        assert problem.join is not None
        self.rule = problem.join
        places = self.rule.places
        self.pairs = {
            (head, drop): program.columns.add(0.0, 1)
            for drop in comes
            for head in comes
            if head < drop and places[head] == places[drop]
        }
        self.along = {drop: [at for (_, to), at in self.pairs.items() if to == drop] for drop in comes}
        for drop in comes:
            if self.along[drop]:
                self._only_small(drop)
        for head, drop in self.pairs:
            self._with_one_that_comes(head, drop)
            self._none_between(head, drop)
        for drop in comes:
            self._waiting(drop)

    def _only_small(self, drop: int) -> None:
        """It is due, of little worth, and nothing in it has a long lead time."""
        program, problem, joined = self.program, self.program.problem, self.along[drop]
        program.row([*((at, 1.0) for at in joined), (self.comes[drop], -1.0)], -inf, 0)
        worth, _ = self._opened(drop)
        most = max(0.0, sum(value for _, value in worth) - self.rule.up_to)
        program.row([*worth, *((at, most) for at in joined)], -inf, self.rule.up_to + most)
        for arc in self.opened[drop]:
            if problem.choices[arc[0]].lead_days > self.rule.lead_days:
                program.row([(program.flows[arc], 1.0), *((at, 1.0) for at in joined)], -inf, 1)

    def _with_one_that_comes(self, head: int, drop: int) -> None:
        """What brings it along is due and is not brought along itself."""
        at = self.pairs[head, drop]
        brought = [(other, 1.0) for other in self.along[head]]
        self.program.row([(at, 1.0), (self.comes[head], -1.0), *brought], -inf, 0)

    def _none_between(self, between: int, drop: int) -> None:
        """It comes with one before another only where that other is not due, or is brought along too."""
        over = [(at, 1.0) for (head, to), at in self.pairs.items() if to == drop and head < between]
        if over:
            brought = [(at, -1.0) for at in self.along[between]]
            self.program.row([*over, (self.comes[between], 1.0), *brought], -inf, 1)

    def _waiting(self, head: int) -> None:
        """What comes early with one delivery is not too much."""
        some: Terms = []
        for (first, drop), at in self.pairs.items():
            if first == head:
                _, mass = self._opened(drop)
                some += self._if_joined(mass, at)
        if some:
            self.program.row(some, -inf, self.rule.waiting_g)

    def load(self, arcs: Sequence[Arc], head: int, per_g: float) -> Terms:
        """Mass of what is brought along with a delivery, in lorries of so much."""
        found: Terms = []
        for (first, drop), at in self.pairs.items():
            if first == head:
                found += self._if_joined(self.program.load(arcs, drop, per_g), at)
        return found

    def _if_joined(self, terms: Terms, at: int) -> Terms:
        """A new unknown that is no less than a sum where a pair is joined."""
        most = sum(value for _, value in terms)
        if not most:
            return []
        part = self.program.columns.add(0.0, inf, whole=False)
        self.program.row([*terms, (at, most), (part, -1.0)], -inf, most)
        return [(part, 1.0)]

    def _opened(self, drop: int) -> tuple[Terms, Terms]:
        """Worth and mass of the packs that a delivery opens, each need by itself."""
        problem, worth, mass = self.program.problem, [], []
        for number, need in self.opened[drop]:
            choice, at = problem.choices[number], self.program.flows[number, need]
            packs = problem.opened(choice, need)[drop]
            worth.append((at, float(packs * choice.prices[0][1])))
            if choice.pack_g:
                mass.append((at, float(packs * choice.pack_g)))
        return worth, mass
