"""Rounds of work on one network: breeding orders, asking the constraint solver, raising bounds."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from random import Random
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from innerleaf.programme.engine import genetic, serial
from innerleaf.programme.engine.bounds import (
    Prices,
    by_arcs,
    crew_bound,
    critical_path,
    least_returns,
    past_finish,
    windows,
)
from innerleaf.programme.engine.check import check
from innerleaf.programme.engine.constraint import Question, Reply, ask
from innerleaf.programme.engine.grid import FAR, Ints, grid_of, shortened
from innerleaf.programme.engine.network import Network, Objective
from innerleaf.programme.engine.parts import part_question
from innerleaf.programme.engine.windows import ends_from

if TYPE_CHECKING:
    from innerleaf.programme.engine.solve import Limits

_PLACED = 60_000  # activities placed between two looks at the clock, about
_WHOLE: Final = 400  # activities up to which the constraint solver is asked for everything
_SMALL: Final = 150  # activities up to which the constraint solver comes before prices
_STEPS = 400  # of prices, in each attempt at a bound
_LATE = 1 << 40  # cost from which on something is late
_ASKED = 400_000  # schedules that take as long as one unit of the solver's work, about
_PART = 0.02  # the solver's work on a part


class Search:
    """What is known so far; see `solve`."""

    def __init__(
        self,
        network: Network,
        objective: Objective,
        *,
        limits: Limits,
        seed: int,
        workers: int,
        run: Callable[[Callable[[Any], Any], Iterable[Any]], Iterable[Any]],
    ) -> None:
        self.network, self.limits, self.seed, self.workers, self.run = network, limits, seed, workers, run
        self.objective = objective
        self.grid = grid_of(network, objective)
        self.best: Ints | None = None
        self.cost = serial.NONE
        self.asked = 0.0
        self.rounds = 0
        self.impossible = False
        self.bounds: dict[str, int] = {}
        self.bound = -FAR
        self.least_returns = 0
        self.prices: Prices | None = None
        self.herds: list[genetic.Herd] = []
        self._work = 0.1

    @property
    def finish_bound(self) -> int:
        """No schedule finishes before this moment."""
        return max(self.bounds.values(), default=0)

    @property
    def schedules(self) -> int:
        """Schedules built; what was asked counts for as many as take its time."""
        return sum(int(herd.counts[0]) for herd in self.herds) + round(self.asked * _ASKED)

    def starts(self) -> tuple[int, ...]:
        """The best so far."""
        return () if self.best is None else tuple(self.best.tolist())

    def lowest(self) -> int:
        """The least that any schedule costs, as far as is known."""
        weights = self.grid.weights
        return max(self.bound, int(weights[0]) * self.finish_bound + int(weights[1]) * self.least_returns)

    def ended(self) -> str:
        """Why there is nothing left to do; "" while there is."""
        if self.impossible:
            return "no schedule keeps all lags, calendars and crews"
        if self.cost <= self.lowest():
            return "proved best"
        if self.limits.left() <= 0:
            return "time is up"
        return "as many schedules as asked for" if self.limits.over(self.schedules) else ""

    def begin(self, hint: Sequence[int] | None) -> None:
        """First bounds and first schedules."""
        self._cut_horizon()
        grid = self.grid
        if windows(grid, grid.slots) is None:  # dues cannot be kept; the rest must be
            grid = grid._replace(due=np.full_like(grid.due, FAR))
        found = windows(grid, grid.slots)
        if found is None:
            self.impossible = True
            return
        self.kept = grid
        self.low, _ = found
        self.bounds["what is done"] = past_finish(grid)
        self.bounds["lags and calendars"] = critical_path(grid, self.low)
        self.least_returns = least_returns(grid, [each.place for each in self.network.activities])
        self._take(grid.fixed if not by_arcs(grid).size else None)
        if hint is not None and len(hint) == len(grid.fixed) and not check(self.network, hint):
            self._take(np.array(hint, np.int64))
        if grid.agrees and len(grid.free):
            self._first_herds(hint)
        if self.best is not None and self.cost < _LATE:
            upper = self._last_finish() + 1
            self.bounds["crews in their windows"] = crew_bound(grid, self.finish_bound, upper)
            if grid.agrees and grid.weights[0]:
                self.prices = Prices(grid, self.low, self.finish_bound)

    def _cut_horizon(self) -> None:
        """Leave out slots that no schedule needs that is better than the first one."""
        grid, weight = self.grid, int(self.grid.weights[0])
        if not grid.agrees or not len(grid.free) or not weight:
            return
        herd = genetic.new_herd(grid, 1, grid.fixed, 1)
        herd.bold[:] = True
        genetic.decode(grid, herd, 0, 0)
        if herd.costs[0] >= _LATE:
            return
        starts = herd.starts[0].copy()
        ends = np.zeros_like(starts)
        ends_from(grid, starts, ends)
        slots = max(2 * int(ends.max()), int(herd.costs[0]) // weight) + 1
        if slots < grid.slots:
            self.grid = grid_of(shortened(self.network, slots), self.objective)

    def _first_herds(self, hint: Sequence[int] | None) -> None:
        grid = self.grid
        high = np.where(grid.fixed < 0, FAR, grid.fixed)
        serial_high = windows(self.kept, grid.slots)
        tails = high if serial_high is None else serial_high[1]
        size = max(6, min(60, 200_000 // max(1, len(grid.free))))
        self.herds = [
            genetic.new_herd(grid, size, tails, self.seed * 64 + k + 1) for k in range(self.workers)
        ]
        if hint is not None and len(hint) == len(grid.fixed):
            for herd in self.herds:
                self._plant(herd, np.array(hint, np.int64))
        first = 1 if hint is not None else 0
        for herd in self.herds[:1]:
            genetic.fill(grid, herd, first, first + 1)
        self._gather()
        list(self.run(lambda herd: self._fill(herd, first + 1, size), self.herds))
        self._gather()

    def _fill(self, herd: genetic.Herd, first: int, size: int) -> None:
        """As much of a herd as the time allows; the rest are copies of what there is."""
        for row in range(first, size):
            if self.limits.left() <= 0:
                herd.orders[row:size] = herd.orders[0]
                return
            genetic.fill(self.grid, herd, row, row + 1)

    def _plant(self, herd: genetic.Herd, keys: Ints) -> None:
        """An order by keys, made to agree with the arcs, takes the place of the worst row."""
        grid, row = self.grid, len(herd.costs) - 3
        keys = np.clip(keys, 0, grid.slots)
        genetic.agree(grid, keys)
        serial.order_of(grid, keys, herd.orders[row])
        herd.bold[row] = True
        genetic.decode(grid, herd, row, 2)
        genetic.keep_best(herd, row)
        worst = int(herd.costs[:row].argmax())
        if herd.costs[row] <= herd.costs[worst]:
            for part in (herd.orders, herd.bold, herd.starts, herd.costs, herd.ties):
                part[worst] = part[row]

    def _take(self, starts: Ints | None) -> None:
        """Note a schedule if it is better than the best."""
        if starts is None:
            return
        ends = np.zeros_like(starts)
        ends_from(self.grid, starts, ends)
        used = np.zeros_like(self.grid.done)
        genetic.empty_used(self.grid, starts, used)
        cost = int(serial.cost_of(self.grid, starts, ends, used))
        if cost < self.cost:
            self.cost, self.best = cost, starts.copy()

    def _gather(self) -> None:
        for herd in self.herds:
            if herd.costs[-1] < self.cost:
                self._take(herd.starts[-1])

    def _last_finish(self) -> int:
        """A schedule that is better than the best ends by this moment."""
        weight = int(self.grid.weights[0])
        if not weight or self.cost >= _LATE:
            return self.grid.slots
        spared = int(self.grid.weights[1]) * self.least_returns
        return min(self.grid.slots, (self.cost - 1 - spared) // weight)

    def round(self) -> None:
        """A little of everything."""
        self.rounds += 1
        if not self.herds:
            self._ask_whole()
            return
        births = max(1, _PLACED // (3 * max(1, len(self.grid.free))))
        goal = max(0, self.lowest())
        list(self.run(lambda herd: genetic.breed(self.grid, herd, births, goal, 4000), self.herds))
        self._gather()
        self._raise()
        if self.rounds % 4 == 0:
            self._ask()
        if self.rounds % 8 == 0:
            self._share()

    def _share(self) -> None:
        """Herds learn of the best."""
        for herd in self.herds:
            if self.best is not None and herd.costs[-1] > self.cost:
                self._plant(herd, self.best)

    def _raise(self) -> None:
        """One attempt at the bound of the finish; its average starts make orders as well."""
        if self.prices is None or self.cost >= _LATE or (len(self.grid.free) <= _SMALL and self.rounds < 5):
            return
        steps = max(20, min(_STEPS, _STEPS * 500 // len(self.grid.free)))
        more = self.prices.improve(self._last_finish() + 1, steps)
        self.bounds["prices of crews"] = self.prices.lower
        means = self.prices.means
        if means is not None and len(self.grid.free) > _SMALL:
            self._sow(means)
        if not more:
            self.prices = None

    def _sow(self, means: Ints) -> None:
        """Some rows of the herds become orders by average starts, more or less."""
        for herd in self.herds:
            chance = np.random.default_rng(int(herd.chance[0] % 2**32))
            for row in range(max(1, len(herd.costs) // 5)):
                if self.limits.left() <= 0:
                    break
                spread = chance.normal(0, 0.01 * (row % 3) * self.finish_bound, len(means))
                self._plant(herd, np.rint(means + spread).astype(np.int64))
        self._gather()

    def _ask(self) -> None:
        """The constraint solver: everything where that is little, else parts."""
        if self.best is None or (len(self.grid.free) <= _WHOLE and self.rounds in (4, 64, 256)):
            self._ask_whole()
            return
        questions = [self._part(k) for k in range(self.workers)]
        for reply in self.run(ask, [each for each in questions if each is not None]):
            self.asked += _PART
            if reply.starts is not None:
                self._take(reply.starts)
        self._share()

    def _part(self, number: int) -> Question | None:
        assert self.best is not None
        found = windows(self.kept, self._last_finish(), self.low)
        if found is None:
            return None
        random = Random(f"{self.seed}/{self.rounds}/{number}")  # noqa: S311
        return part_question(
            self.kept,
            self.best,
            found,
            random,
            below=self.cost if self.cost < _LATE else None,
            work=_PART,
            seconds=self.limits.left(),
        )

    def _ask_whole(self) -> None:
        found = windows(self.kept, self._last_finish(), self.low)
        if found is None:
            self.bound = max(self.bound, self.cost)
            return
        question = Question(
            grid=self.kept,
            moving=by_arcs(self.kept).tolist(),
            low=found[0],
            high=found[1],
            starts=self.best,
            below=self.cost if self.best is not None and self.cost < _LATE else None,
            hinted=False,  # what it looks for is not there
            work=self._work,
            seconds=self.limits.left(),
            seed=self.seed,
            workers=self.workers,
        )
        self.asked += self._work
        self._work *= 2
        self._learn(ask(question))

    def _learn(self, reply: Reply) -> None:
        """Draw the conclusions of an answer about everything."""
        if reply.starts is not None:
            self._take(reply.starts)
        elif reply.proven:
            self.impossible = self.best is None
            self.bound = self.bound if self.best is None else self.cost
        if self.cost >= _LATE:
            return
        self.bound = max(self.bound, min(self.cost, reply.bound))
        weights = self.grid.weights
        if weights[0] and not weights[1] and not weights[2]:
            self.bounds["constraint solver"] = -(-max(0, self.bound) // int(weights[0]))
