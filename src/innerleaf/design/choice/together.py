"""One option for each wall, chosen together: the least sum over the building, proved by an exact solver.

Walls and options are numbers here. What walls may share (a system, a profile, a board width, a face in one
plane) is a `Shared`: every further different label costs, or is not allowed beyond some number.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import coo_array

from innerleaf.design.choice.criteria import Floats, Ints
from innerleaf.design.choice.front import non_dominated
from innerleaf.errors import InputError

_SLACK = 1e-6


@dataclass(frozen=True, slots=True, eq=False)
class Shared:
    """Something that options have and walls had better have alike.

    ``labels`` says which of it each option has, shape (options,) or (walls, options) where that depends on
    the wall; ``walls`` which walls are meant (None: all). ``each_more`` is what every label beyond the first
    costs, in the unit of the objective; ``most`` how many there may be (None: any number).
    """

    title: str
    labels: Ints
    each_more: float = 0.0
    most: int | None = None
    walls: tuple[int, ...] | None = None

    def on(self, wall: int, option: int) -> int:
        """The label of an option on a wall."""
        return int(self.labels[option] if self.labels.ndim == 1 else self.labels[wall, option])

    def of(self, walls: int) -> Ints:
        """Labels by wall and option; rows of walls that are not meant repeat the first that is."""
        table = np.broadcast_to(self.labels, (walls, self.labels.shape[-1]))
        meant = self.meant(walls)
        others = np.setdiff1d(np.arange(walls), meant)
        if len(others) and len(meant):
            table = table.copy()
            table[others] = table[meant[0]]
        return table

    def meant(self, walls: int) -> Ints:
        """The walls that are meant, of so many."""
        return np.arange(walls) if self.walls is None else np.array(self.walls, np.int64)


@dataclass(frozen=True, slots=True)
class Together:
    """The choice for each wall, its value, and how good it provably is.

    ``sum_of_walls`` is what the options cost, ``for_variety`` what different labels add. No choice has a
    value below ``bound``; with ``proved`` this one has the least there is.
    """

    options: tuple[int, ...]
    sum_of_walls: float
    for_variety: float
    bound: float
    columns: int  # options left after those that can never be chosen

    @property
    def value(self) -> float:
        """What is made least."""
        return self.sum_of_walls + self.for_variety

    @property
    def proved(self) -> bool:
        """Whether no other choice is better."""
        return self.value <= self.bound + _SLACK * max(1.0, abs(self.bound))


def choose_together(costs: Floats, shared: Sequence[Shared] = (), *, step: float = 0.01) -> Together | None:
    """Choose an option for each wall.

    Parameters
    ----------
    costs : ndarray, shape (walls, options)
        What each option costs on each wall; infinity where it is not allowed there.
    shared : sequence of Shared
    step : float
        Costs count in whole steps, so that equal sums are equal.

    Returns
    -------
    Together or None
        None: no choice keeps within the greatest numbers.

    Raises
    ------
    InputError
        A wall has no option that is allowed.

    Notes
    -----
    What is dearer on a wall than its cheapest option and a further label of each kind together is never
    taken there. Options of the same labels are held against each other over all walls at once; those beaten
    can never be needed and fall away, so the program that is left is small and its optimum that of the whole.
    Walls that cost the same with every option, and have its labels alike, count as one and choose alike.
    """
    whole = np.where(np.isfinite(costs), np.rint(costs / step), np.inf)
    for wall in np.flatnonzero(~np.isfinite(whole).any(axis=1)):
        raise InputError(f"wall {wall}", given="no option", accepted="at least one option that is allowed")
    whole = _within_reach(whole, shared, step)
    keep = _worth_keeping(whole, shared)
    kept = whole[:, keep]
    first, of = _alike(kept, [each.of(len(whole))[:, keep] for each in shared], shared)
    prices = np.stack([kept[of == kind].sum(axis=0) for kind in range(len(first))])
    used = [_Used(each, each.of(len(whole))[np.ix_(first, keep)], of, step) for each in shared]
    program = _Program(prices, used)
    solution = program.solve()
    if solution is None:
        return None
    on, bound = solution
    chosen = program.cheapest(on)
    options = tuple(int(keep[chosen[kind]]) for kind in of)
    total = sum(whole[wall, option] for wall, option in enumerate(options)) * step
    return Together(options, float(total), variety(options, shared), bound * step, len(keep))


def variety(options: Sequence[int], shared: Sequence[Shared]) -> float:
    """What different labels add to the value of a choice."""
    return float(sum(each.each_more * (_different(options, each) - 1) for each in shared if _spans(each)))


def within_limits(options: Sequence[int], shared: Sequence[Shared]) -> bool:
    """Whether a choice keeps within the greatest numbers."""
    return all(each.most is None or _different(options, each) <= each.most for each in shared)


def _spans(each: Shared) -> bool:
    return each.walls is None or bool(each.walls)


def _different(options: Sequence[int], each: Shared) -> int:
    return len({each.on(int(wall), options[wall]) for wall in each.meant(len(options))})


def _within_reach(costs: Floats, shared: Sequence[Shared], step: float) -> Floats:
    """Costs without those that a wall can never be worth: infinite there.

    A wall that takes its cheapest option instead brings one more label of each kind at most. So no wall pays
    more above its cheapest than these may cost together; unless their number is limited.
    """
    if any(each.most is not None for each in shared):
        return costs
    more = np.zeros(len(costs))
    for each in shared:
        more[each.meant(len(costs))] += each.each_more / step
    return np.where(costs <= (costs.min(axis=1) + more + _SLACK)[:, None], costs, np.inf)


def _worth_keeping(costs: Floats, shared: Sequence[Shared]) -> Ints:
    """Options that another of the same labels does not make needless on every wall.

    A label that only one option has goes when that option goes, so it need not be the same.
    """
    allowed = np.flatnonzero(np.isfinite(costs).any(axis=0))
    ranks = np.where(np.isfinite(costs), costs, np.finfo(float).max)
    kinds = np.unique(costs, axis=0, return_index=True)[1]  # alike walls compare alike
    told = [
        each.of(len(costs))[:, allowed]
        for each in shared
        if each.labels.ndim == 2 or len(np.unique(each.labels)) < len(each.labels)
    ]
    group = np.zeros(len(allowed), np.int64)
    if told:
        labels = np.unique(np.concatenate(told), axis=0)
        group = np.unique(labels, axis=1, return_inverse=True)[1].reshape(-1)
    kept: list[int] = []
    for members in np.split(allowed[np.argsort(group, kind="stable")], np.cumsum(np.bincount(group))[:-1]):
        front = members[non_dominated(ranks[np.ix_(kinds, members)].T)]
        _, first = np.unique(ranks[np.ix_(kinds, front)].T, axis=0, return_index=True)
        kept += front[np.sort(first)].tolist()  # of equal ones the first
    return np.array(sorted(kept), np.int64)


def _alike(costs: Floats, labels: Sequence[Ints], shared: Sequence[Shared]) -> tuple[Ints, Ints]:
    """Kinds of wall: the same costs and labels, in the same groups. First wall of each, kind of each."""
    groups = [np.isin(np.arange(len(costs)), each.meant(len(costs)))[:, None] for each in shared]
    told = np.concatenate([costs, *labels, *groups], axis=1, dtype=float)
    _, first, of = np.unique(told, axis=0, return_index=True, return_inverse=True)
    return first, of.reshape(-1)


class _Used:
    """The labels of one `Shared` that may be used: one yes-or-no unknown for each."""

    def __init__(self, shared: Shared, labels: Ints, of: Ints, step: float) -> None:
        self.each_more, self.most = shared.each_more / step, shared.most
        self.known, label = np.unique(labels, return_inverse=True)
        self.label = label.reshape(labels.shape)  # (kinds, options)
        self.kinds = np.unique(of[shared.meant(len(of))])


class _Program:
    """The integer program: unknowns are (kind of wall, option) and then the labels used."""

    def __init__(self, prices: Floats, used: Sequence[_Used]) -> None:
        self.prices, self.used = prices, used
        self.kind, self.option = np.nonzero(np.isfinite(prices))
        self.starts = np.cumsum([len(self.kind), *(len(each.known) for each in used)])

    def solve(self) -> tuple[list[Ints], float] | None:
        """Labels used at the optimum and the solver's bound; None if nothing is allowed."""
        count = int(self.starts[-1])
        cost = np.zeros(count)
        cost[: len(self.kind)] = self.prices[self.kind, self.option]
        for each, start in zip(self.used, self.starts, strict=False):
            cost[start : start + len(each.known)] = each.each_more
        rows = _Rows()
        for kind in range(len(self.prices)):
            mine = np.flatnonzero(self.kind == kind)
            rows.add(mine, np.ones(len(mine)), 1, 1)
        for each, start in zip(self.used, self.starts, strict=False):
            self._tie(rows, each, int(start))
        answer = milp(
            cost,
            constraints=rows.constraint(count),
            bounds=Bounds(0, 1),
            integrality=np.ones(count),
            options={"mip_rel_gap": 0.0},
        )
        if answer.x is None:
            return None
        first = sum(each.each_more for each in self.used if len(each.kinds))
        on = [
            np.flatnonzero(answer.x[start : start + len(each.known)] > 0.5)
            for each, start in zip(self.used, self.starts, strict=False)
        ]
        return on, float(answer.mip_dual_bound) - first

    def _tie(self, rows: _Rows, each: _Used, start: int) -> None:
        """An option may be taken only where its label is used; no more labels than allowed."""
        label = each.label[self.kind, self.option]
        for kind in each.kinds:
            mine = self.kind == kind
            for number in np.unique(label[mine]):
                taken = np.flatnonzero(mine & (label == number))
                rows.add(np.append(taken, start + number), np.append(np.ones(len(taken)), -1.0), -np.inf, 0)
        if each.most is not None:
            labels = np.arange(start, start + len(each.known))
            rows.add(labels, np.ones(len(labels)), -np.inf, each.most)

    def cheapest(self, used: Sequence[Ints]) -> list[int]:
        """The first cheapest option of each kind of wall within the labels used."""
        chosen = []
        for kind, prices in enumerate(self.prices):
            lawful = np.isfinite(prices)
            for each, labels in zip(self.used, used, strict=True):
                if kind in each.kinds:
                    lawful &= np.isin(each.label[kind], labels)
            chosen.append(int(np.argmin(np.where(lawful, prices, np.inf))))
        return chosen


class _Rows:
    """Rows of a sparse matrix with their limits."""

    def __init__(self) -> None:
        self.columns: list[Ints] = []
        self.values: list[Floats] = []
        self.limits: list[tuple[float, float]] = []

    def add(self, columns: Ints, values: Floats, low: float, high: float) -> None:
        """low <= sum of values times unknowns <= high."""
        self.columns.append(columns)
        self.values.append(values)
        self.limits.append((low, high))

    def constraint(self, count: int) -> LinearConstraint:
        """All rows together."""
        row = np.repeat(np.arange(len(self.columns)), [len(part) for part in self.columns])
        matrix = coo_array(
            (np.concatenate(self.values), (row, np.concatenate(self.columns))),
            shape=(len(self.columns), count),
        )
        low, high = zip(*self.limits, strict=True)
        return LinearConstraint(matrix.tocsc(), low, high)
