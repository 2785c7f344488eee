"""The schedule as a constraint program: alone for small networks, and to mend parts of large schedules."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from ortools.sat.python import cp_model

from innerleaf.programme.engine.grid import FAR, Grid, Ints, book, end_at


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """Which activities may move, within which first and last starts, and what is known.

    ``starts``: a schedule to begin from, where those that do not move stand (empty: none, all move).
    ``kept``: pairs, the second not before the first has ended. ``below``: only a cost less than this is
    wanted. ``hinted``: search begins near ``starts``. ``work``: how much is tried, in the solver's own
    measure (the same on every machine, and some ten seconds to the unit).
    """

    grid: Grid
    moving: Sequence[int]
    low: Ints
    high: Ints
    starts: Ints | None = None
    kept: Iterable[tuple[int, int]] = ()
    below: int | None = None
    hinted: bool = True
    work: float = 0.1
    seconds: float = 60.0
    seed: int = 0
    workers: int = 1


@dataclass(frozen=True, slots=True)
class Reply:
    """What came of it: the starts of all, or None; a bound of the cost; whether that is the end of it."""

    starts: Ints | None
    bound: int
    proven: bool


@dataclass(slots=True)
class _Part:
    """An activity that moves: its slot counted within its calendar, and what has been derived from that."""

    at: cp_model.IntVar
    first: int
    last: int
    start: cp_model.LinearExprT | None = None
    ends: dict[int, cp_model.LinearExprT] = field(default_factory=dict)


def ask(question: Question) -> Reply:
    """Solve it as far as the work allows."""
    model = _Model(question)
    solver = cp_model.CpSolver()
    solver.parameters.max_deterministic_time = question.work
    solver.parameters.max_time_in_seconds = max(0.01, question.seconds)
    solver.parameters.random_seed = question.seed
    solver.parameters.num_workers = question.workers
    solver.parameters.linearization_level = 0  # proofs take half as long without linear relaxations
    solver.parameters.interleave_search = question.workers > 1
    status = solver.solve(model.model)
    if status == cp_model.INFEASIBLE:
        return Reply(None, FAR, model.exact)
    bound = round(solver.best_objective_bound) if model.exact else -FAR
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return Reply(None, bound, False)
    starts = question.grid.fixed.copy() if question.starts is None else question.starts.copy()
    for i, part in model.parts.items():
        starts[i] = question.grid.nth[question.grid.calendar[i], solver.value(part.at)]
        if not question.grid.duration[i]:
            starts[i] = solver.value(part.at)
    return Reply(starts, bound, status == cp_model.OPTIMAL and model.exact)


class _Model:
    """``exact``: what it forbids is forbidden; else crews of several calendars are held too strictly."""

    def __init__(self, question: Question) -> None:
        self.model, self.question, self.grid = cp_model.CpModel(), question, question.grid
        self.exact = True
        self.moving = set(question.moving)
        self.parts = {i: self._part(i) for i in question.moving}
        self.used = self._used()
        for i in question.moving:
            self._arcs(i)
        for i, j in question.kept:
            self._follow(i, j, 0, 0)
        costs: list[cp_model.LinearExprT] = [int(self.grid.weights[0]) * self._finish()]
        for resource in range(len(self.grid.price)):
            costs += self._crew(resource)
        costs += self._returns()
        cost = cp_model.LinearExpr.sum(costs)
        if question.below is not None:
            self.model.add(cost <= question.below - 1)
        self.model.minimize(cost)
        if question.starts is not None and question.hinted:
            for i, part in self.parts.items():
                self.model.add_hint(part.at, self._count(i, int(question.starts[i])))

    def _count(self, i: int, start: int) -> int:
        """Number of a slot within the calendar of an activity."""
        return int(self.grid.before[self.grid.calendar[i], start])

    def _part(self, i: int) -> _Part:
        first, last = self._count(i, int(self.question.low[i])), self._count(i, int(self.question.high[i]))
        return _Part(self.model.new_int_var(first, max(first, last), f"{i}"), first, max(first, last))

    def _stands(self, i: int) -> int:
        """Start of one that does not move."""
        return int(self.grid.fixed[i] if self.question.starts is None else self.question.starts[i])

    def _start(self, i: int) -> cp_model.LinearExprT:
        """Slot of its start."""
        if i not in self.moving:
            return self._stands(i)
        part = self.parts[i]
        if part.start is None:
            line = self.grid.nth[self.grid.calendar[i]]
            part.start = self._looked_up(part, line[part.first : part.last + 1])
        return part.start

    def _looked_up(self, part: _Part, values: Ints) -> cp_model.LinearExprT:
        """Value that belongs to the slot of an activity."""
        shift = int(values[0]) - part.first
        if bool((values == np.arange(part.first, part.last + 1) + shift).all()):
            return part.at + shift
        target = self.model.new_int_var(int(values.min()), int(values.max()), "")
        self.model.add_element(part.at - part.first, values.tolist(), target)
        return target

    def _ready(self, i: int, drying: int) -> cp_model.LinearExprT:
        """Slot from which on what follows may start, the coat being of this class."""
        grid = self.grid
        if i not in self.moving:
            return int(grid.ready[drying, min(end_at(grid, i, self._stands(i)), grid.slots)])
        part = self.parts[i]
        if drying not in part.ends:
            d, line = int(grid.duration[i]), grid.nth[grid.calendar[i]]
            slots = np.arange(part.first, part.last + 1)
            ends: Ints = np.minimum(line[slots + d - 1] + 1, grid.slots) if d else slots
            part.ends[drying] = self._looked_up(part, grid.ready[drying, ends])
        return part.ends[drying]

    def _follow(self, i: int, j: int, lag: int, drying: int) -> None:
        grid = self.grid
        alike = i in self.moving and j in self.moving and grid.calendar[i] == grid.calendar[j]
        if drying == 0 and lag == 0 and alike and grid.duration[i]:
            self.model.add(self.parts[j].at >= self.parts[i].at + int(grid.duration[i]))
        elif drying < 0:
            self.model.add(self._start(j) >= self._start(i) + lag)
        else:
            self.model.add(self._start(j) >= self._ready(i, drying) + lag)

    def _arcs(self, i: int) -> None:
        grid = self.grid
        for j, lag, drying in grid.out[grid.out_from[i] : grid.out_from[i + 1]].tolist():
            self._follow(i, j, lag, drying)
        for j, lag, drying in grid.into[grid.into_from[i] : grid.into_from[i + 1]].tolist():
            if j not in self.moving:
                self._follow(j, i, lag, drying)

    def _finish(self) -> cp_model.IntVar:
        grid = self.grid
        least = max(
            (end_at(grid, i, self._stands(i)) for i in range(len(grid.fixed)) if i not in self.moving),
            default=0,
        )
        finish = self.model.new_int_var(least, grid.slots, "finish")
        for i in self.moving:
            arcs = grid.out[grid.out_from[i] : grid.out_from[i + 1]]
            if not any(j in self.moving and drying >= 0 and lag >= 0 for j, lag, drying in arcs.tolist()):
                self.model.add(finish >= self._ready(i, 0))
        return finish

    def _used(self) -> Ints:
        used = self.grid.done.copy()
        if self.question.starts is not None:
            for i in range(len(self.grid.fixed)):
                if i not in self.moving and self.grid.fixed[i] < 0:
                    book(self.grid, i, int(self.question.starts[i]), used)
        return used

    def _crew(self, resource: int) -> list[cp_model.LinearExprT]:
        """Keep one resource within its units; what its overtime costs."""
        grid = self.grid
        needs = {i: units for i in self.moving if (units := self._units(i, resource)) and grid.duration[i]}
        if not needs:
            return []
        calendars = {int(grid.calendar[i]) for i in needs}
        calendar = calendars.pop() if len(calendars) == 1 else 0
        self.exact = self.exact and not calendars
        intervals, demands = [], []
        for i, units in needs.items():
            demands.append(units)
            intervals.append(self._interval(i, calendar))
        slots = grid.nth[calendar, : grid.before[calendar, grid.slots]]
        first = min(int(grid.before[calendar, self.question.low[i]]) for i in needs)
        last = max(int(grid.before[calendar, min(grid.slots, self._last_end(i))]) for i in needs)
        priced = bool(grid.weights[2]) and bool(grid.price[resource])
        most = np.maximum(0, grid.most - self.used)[resource, slots[first:last]]
        free = np.maximum(0, grid.normal - self.used)[resource, slots[first:last]] if priced else most
        top = int(most.max(initial=0))
        costs: list[cp_model.LinearExprT] = []
        for begin, end, there, unpaid in _runs(most, free):
            if unpaid < there:
                for slot in range(begin, end):
                    paid = self.model.new_int_var(0, there - unpaid, "")
                    intervals.append(self.model.new_fixed_size_interval_var(first + slot, 1, ""))
                    demands.append(top - unpaid - paid)  # type: ignore[arg-type]
                    costs.append(int(grid.price[resource] * grid.weights[2]) * paid)
            elif there < top:
                intervals.append(self.model.new_fixed_size_interval_var(first + begin, end - begin, ""))
                demands.append(top - there)
        self.model.add_cumulative(intervals, demands, top)
        return costs

    def _last_end(self, i: int) -> int:
        return end_at(self.grid, i, int(self.grid.nth[self.grid.calendar[i], self.parts[i].last]))

    def _units(self, i: int, resource: int) -> int:
        grid = self.grid
        rows = grid.need[grid.need_from[i] : grid.need_from[i + 1]].tolist()
        return next((units for r, units in rows if r == resource), 0)

    def _interval(self, i: int, calendar: int) -> cp_model.IntervalVar:
        part, d = self.parts[i], int(self.grid.duration[i])
        if self.grid.calendar[i] == calendar:
            return self.model.new_fixed_size_interval_var(part.at, d, "")
        size = self.model.new_int_var(d, self.grid.slots, "")
        return self.model.new_interval_var(self._start(i), size, self._ready(i, 0), "")

    def _returns(self) -> list[cp_model.LinearExprT]:
        """Gaps between activities of a visit, taken in the order they have now."""
        grid, starts = self.grid, self.question.starts
        weight = int(grid.weights[1])
        if not weight or not len(grid.group):
            return []
        self.exact = False  # another order may have fewer
        if starts is None:
            return []
        costs: list[cp_model.LinearExprT] = []
        for begin, end in zip(grid.group_from[:-1].tolist(), grid.group_from[1:].tolist(), strict=True):
            members = sorted(grid.group[begin:end].tolist(), key=lambda i: (int(starts[i]), i))
            for i, j in zip(members, members[1:], strict=False):
                if i in self.moving or j in self.moving:
                    costs.append(weight * self._gap(i, j))
                elif starts[j] > end_at(grid, i, int(starts[i])) + grid.patience:
                    costs.append(weight)
        return costs

    def _gap(self, i: int, j: int) -> cp_model.IntVar:
        gap = self.model.new_bool_var("")
        self.model.add(self._start(j) <= self._ready(i, 0) + self.grid.patience).only_enforce_if(~gap)
        return gap


def _runs(most: Ints, free: Ints) -> Iterable[tuple[int, int, int, int]]:
    """Spans of slots in which both numbers stay the same: begin, end, and the two."""
    begin = 0
    for slot in range(1, len(most) + 1):
        if slot == len(most) or most[slot] != most[begin] or free[slot] != free[begin]:
            yield begin, slot, int(most[begin]), int(free[begin])
            begin = slot


def chains(grid: Grid, starts: Ints, loose: Mapping[int, object] | set[int]) -> list[tuple[int, int]]:
    """Who hands units to whom in a schedule, those that are ``loose`` left out: pairs that follow each other.

    Kept, these leave the schedule in place and let it slide (after Godard, Laborie, Nuijten 2005, from
    memory).
    """
    pairs: set[tuple[int, int]] = set()
    there = [i for i in grid.free.tolist() if i not in loose and grid.duration[i]]
    there.sort(key=lambda i: (int(starts[i]), i))
    for resource in range(len(grid.price)):
        hands: list[tuple[int, int]] = [(0, -1)] * int(grid.most[resource].max(initial=0))
        for i in there:
            rows = grid.need[grid.need_from[i] : grid.need_from[i + 1]].tolist()
            units = next((units for r, units in rows if r == resource), 0)
            if not units:
                continue
            able = [n for n, (end, _) in enumerate(hands) if end <= starts[i]]
            able.sort(key=lambda n: hands[n], reverse=True)
            end = end_at(grid, i, int(starts[i]))
            for n in able[:units]:
                if hands[n][1] >= 0:
                    pairs.add((hands[n][1], i))
                hands[n] = end, i
    return sorted(pairs)
