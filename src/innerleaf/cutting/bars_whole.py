"""Whole bars: from a mixture in fractions to a plan that can be cut, as near the bound as it can be brought.

A dive takes the whole parts of the mixture, mixes again for what is left, rounds one pattern up where no
whole part is left, and turns back where the bound of what is left says that this cannot end better. Then
the best choice among the patterns met is looked for by branch and bound.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from innerleaf.cutting.columns import Batch, Floats, Ints, Pool, Relaxed, relax

_WHOLE = 1e-5  # a fraction this near a whole number is one
_MANY = 40  # more fractions than this: several are rounded at once
_SHARE = 0.125  # of the fractions, rounded at once
_WIDTH = 2  # choices tried in one place before turning back further


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """Where the search stops. Counts, not seconds, so that it always stops in the same place.

    ``rounds`` of pricing in one mixture, ``nodes`` mixtures in the dives, ``branches`` of one integer
    program (0: none). ``go_on`` may end it earlier, by the clock; then two runs may differ.
    """

    rounds: int = 400
    nodes: int = 400
    branches: int = 200
    go_on: Callable[[], bool] = lambda: True


@dataclass(frozen=True, slots=True)
class Cut:
    """So many bars of one length cut alike: types and how many of each."""

    source: int
    types: tuple[int, ...]
    counts: tuple[int, ...]
    times: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Whole:
    """A plan in whole bars; ``bound`` as in ``Relaxed``, source -1 is a piece that is not cut."""

    cuts: tuple[Cut, ...]
    cost: int
    bound: int
    nodes: int
    pool: Pool


def cut_whole(batch: Batch, limits: Limits, *, seed: int = 0) -> Whole:
    """Cut whole bars at least cost, with a bound on what anybody could."""
    pool = Pool(len(batch.demand))
    root = relax(batch, pool, rounds=limits.rounds, go_on=limits.go_on)
    search = _Search(batch, pool, root.bound, limits, seed)
    search.dive(root)
    return Whole(
        cuts=tuple(search.best), cost=search.cost, bound=root.bound, nodes=search.nodes, pool=pool
    )


def left_over(demand: Ints, made: Ints) -> Ints:
    """What is still to be cut; a longer piece too many serves as a shorter one (types: longest first)."""
    change = made - demand
    level = np.cumsum(change)
    spare = level - np.minimum.accumulate(np.minimum(level, 0))
    return np.maximum(0, -(change + np.concatenate([[0], spare[:-1]])))


@dataclass(frozen=True, slots=True)
class _Node:
    """A plan begun: what is left, and what it costs so far."""

    left: Ints
    limit: Ints
    cost: int
    cuts: tuple[Cut, ...]


class _Search:
    """The best plan so far, and how much of the effort is spent."""

    def __init__(self, batch: Batch, pool: Pool, bound: int, limits: Limits, seed: int) -> None:
        self.batch, self.pool, self.bound, self.limits = batch, pool, bound, limits
        self.cost, self.best, self.nodes = 2**62, [], 0
        self._random = np.random.default_rng(seed)
        self._step = batch.step

    @property
    def done(self) -> bool:
        return self.cost <= self.bound or self.nodes >= self.limits.nodes or not self.limits.go_on()

    def dive(self, root: Relaxed) -> None:
        """Dive from the mixture of everything, again and again with other choices, until done."""
        start = self._take(_Node(self.batch.demand, self.batch.limit, 0, ()), self.pool, np.arange(len(self.batch.demand)), np.floor(root.x + _WHOLE))
        noise = 0.0
        while True:
            self._descend(start, noise)
            noise = 0.3
            if self.done:
                return

    def _descend(self, node: _Node, noise: float) -> None:
        waiting = [node]
        turns = 20
        while waiting and turns and (self.cost > 2**61 or not self.done):
            node = waiting.pop()
            if not node.left.any():
                if node.cost < self.cost:
                    self.cost, self.best = node.cost, list(node.cuts)
                continue
            kept = np.flatnonzero(node.left)
            sub = replace(self.batch, weight=self.batch.weight[kept], demand=node.left[kept], limit=node.limit)
            pool = self.pool.fitting(kept, node.left)
            self.nodes += 1
            mixed = relax(sub, pool, rounds=self.limits.rounds, enough=self.cost - node.cost, go_on=self.limits.go_on)
            self.pool.add(pool.source, pool.start, kept[pool.row], pool.count)
            if node.cost + mixed.bound >= self.cost:
                turns -= 1
                continue
            waiting += self._next(node, pool, kept, mixed.x, noise)

    def _next(self, node: _Node, pool: Pool, kept: Ints, x: Floats, noise: float) -> list[_Node]:
        """Where to go from a mixture, the best way last."""
        whole = np.floor(x + _WHOLE)
        if whole.any():
            return [self._take(node, pool, kept, whole)]
        score = x + noise * self._random.random(len(x)) * (x > _WHOLE)
        order = np.argsort(-score, kind="stable")[: int((x > _WHOLE).sum())]
        if len(order) > _MANY:
            up = np.zeros(len(x))
            left = node.left[kept].copy()
            for c in order[: int(_SHARE * len(order))].tolist():
                rows, counts = pool.pattern(c)
                if (counts <= left[rows]).all():
                    left[rows] -= counts
                    up[c] = 1
            return [self._take(node, pool, kept, up)]
        ways = []
        for c in order[:_WIDTH].tolist():
            one = np.zeros(len(x))
            one[c] = 1
            ways.append(self._take(node, pool, kept, one))
        return ways[::-1]

    def _take(self, node: _Node, pool: Pool, kept: Ints, times: Floats) -> _Node:
        """The node with so many bars of each pattern cut."""
        made, limit, cuts, cost = np.zeros(len(node.left), np.int64), node.limit.copy(), [], node.cost
        costs = pool.cost(replace(self.batch, weight=self.batch.weight[kept]))
        for c in np.flatnonzero(times).tolist():
            rows, counts = pool.pattern(c)
            n, source = int(times[c]), int(pool.source[c])
            made[kept[rows]] += n * counts
            if source >= 0 and limit[source] > 0:
                limit[source] -= n
            cuts.append(Cut(source, tuple(kept[rows].tolist()), tuple(counts.tolist()), n))
            cost += n * int(costs[c])
        return _Node(left_over(node.left, made), limit, cost, (*node.cuts, *cuts))
