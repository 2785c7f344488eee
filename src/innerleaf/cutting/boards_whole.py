"""Whole boards: plans by best fit, mended, and mixtures of patterns rounded, the cheapest of all."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from innerleaf.cutting.boards_columns import Mixture, mix
from innerleaf.cutting.boards_fit import Boards, Pieces, Spots
from innerleaf.cutting.boards_job import Ints, Job
from innerleaf.cutting.boards_leaves import Filled, leaves_of, spots_of, wanted_only
from innerleaf.cutting.boards_limits import BoardLimits
from innerleaf.cutting.boards_mend import cost_of, mend, pieces_of, start
from innerleaf.cutting.boards_pool import BoardPool
from innerleaf.cutting.boards_sums import next_sum
from innerleaf.cutting.boards_trees import cut_by_goal, plain

_WHOLE = 1e-5  # a fraction this near a whole number is one
_FEW = 40  # pieces left of a mixture: they are filled in by best fit
_SHARE = 0.1  # of the fractions, rounded up at once
_NOISE = 0.3  # a fraction may seem larger by this, from the second dive on
_KEPT_STARTS = 40  # of so many first plans every board is kept as a pattern
_STARTS_LEFT = 20  # plans by best fit of what a dive leaves


@dataclass(frozen=True, slots=True)
class WholeBoards:
    """A plan in whole boards, and what no plan can go below; not all may be cut where boards have limits."""

    filled: tuple[Filled, ...]
    cost: int
    bound: int


def cut_whole_boards(job: Job, limits: BoardLimits, *, bound: int = 0, seed: int = 0) -> WholeBoards:
    """Cut whole boards at least cost, with a bound on what anybody could; ``bound`` is one already known."""
    search = _Search(job, limits, seed)
    search.bound = max(search.bound, bound)
    search.begin()
    if not search.done:
        search.refine()
    return WholeBoards(filled=tuple(search.best), cost=search.cost, bound=search.bound)


class _Search:
    """The best plan so far, the patterns met, and the bound."""

    def __init__(self, job: Job, limits: BoardLimits, seed: int) -> None:
        self.job, self.limits, self.seed = job, limits, seed
        self.pool = BoardPool(job)
        self.pieces = pieces_of(job, job.demand)
        self.cost, self.best = 2**62, list[Filled]()
        self.bound = self._area_bound()
        self._mixes = limits.rounds > 0 and len(job.demand) <= limits.types
        self._plain = plain(job)

    @property
    def done(self) -> bool:
        """The plan is good enough, or time is up."""
        return self.cost <= self.bound * (1 + self.limits.close) or not self.limits.go_on()

    def begin(self) -> None:
        """Plans by best fit; the best is mended."""
        repairs = self.limits.repairs // (40 if self._plain else 4)
        self._fill(self.job.demand, self.job.sheets.limit, self.limits.starts, repairs, [])

    def refine(self) -> None:
        """Mixtures of patterns, rounded; then the best plan is mended once more."""
        job, limits = self.job, self.limits
        rounds = limits.rounds
        if not self._mixes:
            self._once_more()
            return
        enough = self.cost / (1 + limits.close)
        mixture = mix(job, job.demand, job.sheets.limit, self.pool, limits, rounds=rounds, enough=enough)
        self.bound = max(self.bound, next_sum(mixture.bound, job.sheets.price.tolist()))
        if self._plain:
            self._by_goal()
        for turn in range(self.limits.dives if mixture.rounds else 0):
            if not self.done:
                self._round(mixture, turn)
        if not self.done:
            self._once_more()

    def _spent(self, filled: list[Filled]) -> int:
        return sum(int(self.job.sheets.price[sheet]) for sheet, _ in filled)

    def _once_more(self) -> None:
        """The best plan mended."""
        if self._plain:
            self._by_goal()
            return
        spots, boards = spots_of(self.job, self.pieces, self.job.sheets.limit, self.best)
        self._mended(self.pieces, spots, boards, self.limits.repairs // 2, [], self.seed + 1)

    def _by_goal(self) -> None:
        """Cutting trees of plain rectangles, from nothing towards less than the best plan costs."""
        self.seed += 1
        found = cut_by_goal(self.job, self.cost, steps=self.limits.repairs, bound=self.bound, seed=self.seed)
        if found:
            for sheet, leaves in found[0]:
                self.pool.add(sheet, leaves)
            self._finish(*found)

    def _area_bound(self) -> int:
        job = self.job
        least = float((job.sheets.price / job.areas).min()) * float(job.net @ job.demand)
        return int(np.ceil(least / self.job.step - 1e-9)) * self.job.step

    def _fill(self, demand: Ints, limit: Ints, starts: int, repairs: int, fixed: list[Filled]) -> None:
        """Best fit for a demand beside what is fixed, the best plan mended; all boards into the pool."""
        job = self.job
        pieces = pieces_of(job, demand)
        found = None
        for number in range(starts):
            spots, boards = start(job, pieces, limit, number, self.seed)
            cost = cost_of(job, spots, boards)
            if self._mixes and (number < _KEPT_STARTS or not found or cost < found[0]):
                for sheet, leaves in leaves_of(spots, boards):
                    self.pool.add(sheet, leaves)
            if found is None or cost < found[0]:
                found = cost, spots, boards
            if not self.limits.go_on():
                break
        if found:
            self._mended(pieces, found[1], found[2], repairs, fixed, self.seed)

    def _mended(
        self, pieces: Pieces, spots: Spots, boards: Boards, repairs: int, fixed: list[Filled], seed: int
    ) -> None:
        spent = self._spent(fixed)
        spots, boards = mend(
            self.job, pieces, spots, boards, repairs=repairs, bound=self.bound - spent, seed=seed
        )
        filled = leaves_of(spots, boards)
        for sheet, leaves in filled if self._mixes else ():
            self.pool.add(sheet, leaves)
        self._finish([*fixed, *filled], cost_of(self.job, spots, boards) + spent)

    def _finish(self, filled: list[Filled], cost: int) -> None:
        if cost < self.cost:
            self.cost, self.best = cost, filled

    def _round(self, mixture: Mixture, turn: int) -> None:
        """Fix the whole parts, mix again for what is left, until little is left: that is filled in."""
        job = self.job
        random = np.random.default_rng((self.seed, turn))
        demand, limit, fixed = job.demand.copy(), job.sheets.limit.copy(), list[Filled]()
        less = turn % 2  # every other time fewer of the whole parts are taken
        for _ in range(self.limits.steps):
            whole = {c: int(x + _WHOLE) - less for c, x in mixture.x.items() if int(x + _WHOLE) > less}
            if not whole and not less:
                score = {c: x + _NOISE * min(turn, 1) * random.random() for c, x in mixture.x.items()}
                order = sorted(score, key=lambda c: (-score[c], c))
                whole = dict.fromkeys(order[: max(1, int(_SHARE * len(order)))], 1)
            less = 0
            before = int(demand.sum())
            self._take(whole, demand, limit, fixed)
            stuck = whole and int(demand.sum()) == before
            if stuck or demand.sum() <= _FEW or not self.limits.go_on():
                break
            mixture = mix(job, demand, limit, self.pool, self.limits, rounds=self.limits.again, wanted=True)
        self._fill(demand, limit, _STARTS_LEFT, self.limits.repairs // 8, fixed)

    def _take(self, whole: dict[int, int], demand: Ints, limit: Ints, fixed: list[Filled]) -> None:
        """Cut so many boards of each pattern, as far as what is cut from them is wanted."""
        for c, times in whole.items():
            sheet, leaves = self.pool.patterns[c].sheet, self.pool.patterns[c].leaves
            for _ in range(times):
                used = wanted_only(self.job, [(sheet, leaves)], demand)
                if not used or limit[sheet] == 0 or len(used[0][1].shape) < len(leaves.shape):
                    break
                fixed += used
                demand -= np.bincount(self.job.shapes.type[used[0][1].shape], minlength=len(demand))
                limit[sheet] -= limit[sheet] > 0
