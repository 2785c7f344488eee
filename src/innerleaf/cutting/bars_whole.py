"""Whole bars: from a mixture in fractions to a plan that can be cut, as near the bound as it can be brought.

A dive takes the whole parts of the mixture, mixes again for what is left, rounds one pattern up where no
whole part is left, and turns back where the bound of what is left says that this cannot end better. Then
the best choice among the patterns met is looked for by branch and bound.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from innerleaf.cutting.columns import Batch, Floats, Ints, Pool, Relaxed, relax
from innerleaf.cutting.cuts import Cut, Limits
from innerleaf.cutting.quick import best_fit, material_bound

_WHOLE = 1e-5  # a fraction this near a whole number is one
_MANY = 40  # more fractions than this: several are rounded at once
_SHARE = 0.125  # of the fractions, rounded at once
_NOISE = 0.3  # a fraction may seem larger by this, from the second dive on
_WIDTH = 2  # choices tried in one place before turning back further


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
    search = _Search(batch, pool, limits, seed)
    if (batch.limit < 0).all() and not len(batch.worth):
        search.quick()
    if not search.done:
        root = relax(batch, pool, rounds=limits.rounds, go_on=limits.go_on)
        search.bound = max(search.bound, root.bound)
        search.dive(root)
    return Whole(
        cuts=tuple(search.best), cost=search.cost, bound=search.bound, nodes=search.nodes, pool=pool
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

    def __init__(self, batch: Batch, pool: Pool, limits: Limits, seed: int) -> None:
        self.batch, self.pool, self.limits = batch, pool, limits
        self.bound, self.nodes = 0, 0
        self.cost, self.best = 2**62, list[Cut]()
        self._random = np.random.default_rng(seed)

    @property
    def done(self) -> bool:
        """The plan is good enough, or the effort is spent."""
        close = self.cost <= self.bound * (1 + self.limits.close)
        return close or self.nodes >= self.limits.nodes or not self.limits.go_on()

    def quick(self) -> None:
        """The plans and the bound that cost next to nothing."""
        self.bound = material_bound(self.batch)
        for opening in range(len(self.batch.capacity)):
            cuts = best_fit(self.batch, opening)
            if cuts:
                cost = sum(cut.times * int(self.batch.price[cut.source]) for cut in cuts)
                if cost < self.cost:
                    self.cost, self.best = cost, list(cuts)

    def dive(self, root: Relaxed) -> None:
        """Dive from the mixture of everything, again and again with other choices, until done."""
        everything = _Node(self.batch.demand, self.batch.limit, 0, ())
        types = np.arange(len(self.batch.demand))
        x = root.x
        again = 0
        while True:
            x = np.concatenate([x, np.zeros(len(self.pool) - len(x))])
            whole = np.maximum(0, np.floor(x + _WHOLE) - again)
            self._descend(self._take(everything, self.pool, types, whole), _NOISE * min(again, 1))
            again += 1
            if self.done:
                return

    def _descend(self, node: _Node, noise: float) -> None:
        waiting = [node]
        turns = 20
        while waiting and turns and not (self.best and self.done):
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
