"""The best schedule that time allows, and how far from the best it can be at most."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from time import perf_counter
from typing import TYPE_CHECKING, Final

from innerleaf.programme.engine.check import check
from innerleaf.programme.engine.measures import measure
from innerleaf.programme.engine.network import Answer, Measures, Network, Objective, Watch

if TYPE_CHECKING:
    from innerleaf.programme.engine.search import Search

SECONDS: Final = 10.0
FINISH_FIRST: Final = Objective()
_NOTHING: Final = Measures(late=0, finish=0, returns=0, overtime=0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """When to stop: after seconds of a clock, or so many schedules; the latter repeats to the slot.

    A question to the constraint solver counts as so many schedules as take its time.
    """

    seconds: float | None
    schedules: int | None
    clock: Callable[[], float] = perf_counter
    begin: float = field(default=0.0)

    def left(self) -> float:
        """Seconds left."""
        return 1e9 if self.seconds is None else self.seconds - (self.clock() - self.begin)

    def over(self, schedules: int) -> bool:
        """Nothing left."""
        return self.left() <= 0 or (self.schedules is not None and schedules >= self.schedules)


def solve(
    network: Network,
    objective: Objective = FINISH_FIRST,
    *,
    seconds: float | None = None,
    schedules: int | None = None,
    seed: int = 0,
    workers: int = 1,
    hint: Sequence[int] | None = None,
    watch: Watch | None = None,
    clock: Callable[[], float] = perf_counter,
) -> Answer:
    """The cheapest schedule found, never one that breaks a lag, a crew or a calendar.

    Parameters
    ----------
    network, objective
        What is to be scheduled and what it costs.
    seconds, schedules
        When to stop: seconds of ``clock``, schedules built (the same answer each time for the same seed and
        number of workers, if seconds do not run out before), or both; neither: 10 s.
    hint
        Starts of an earlier schedule, also of one that no longer fits: work begins from its order.
    watch
        Told the best so far after each round of work; False asks to stop.

    Returns
    -------
    Answer
        Without starts if there is no schedule (``proven``), or none was found.
    """
    from innerleaf.programme.engine.search import Search

    if seconds is None and schedules is None:
        seconds = SECONDS
    limits = Limits(seconds=seconds, schedules=schedules, clock=clock, begin=clock())
    with ThreadPoolExecutor(workers) as pool:
        search = Search(network, objective, limits=limits, seed=seed, workers=workers, run=pool.map)
        search.begin(hint)
        measures = _NOTHING
        cost = search.cost + 1
        while not (why := search.ended()):
            search.round()
            if search.cost < cost and search.best is not None:
                cost, measures = search.cost, measure(network, search.starts())
            if watch is not None and not watch(_answer(objective, search, measures, "going on")):
                why = "asked to stop"
                break
    measures = measure(network, search.starts()) if search.best is not None else _NOTHING
    answer = _answer(objective, search, measures, why)
    faults = [fault for fault in check(network, answer.starts) if "it is due" not in fault]
    if answer.starts and faults:
        raise AssertionError(f"the schedule found breaks what it was to keep: {faults[0]}")
    return answer


def _answer(objective: Objective, search: Search, measures: Measures, why: str) -> Answer:
    starts = search.starts()
    cost = measures.cost(objective)
    bound = max(
        search.bound, objective.finish * search.finish_bound + objective.returns * search.least_returns
    )
    proven = search.impossible or (bool(starts) and not measures.late and cost <= bound)
    return Answer(
        starts=starts,
        measures=measures,
        cost=cost,
        bound=min(bound, cost) if starts and not measures.late else bound,
        finish_bound=search.finish_bound,
        proven=proven,
        why="proved best" if proven and starts else why,
        schedules=search.schedules,
        bounds=tuple(search.bounds.items()),
    )
