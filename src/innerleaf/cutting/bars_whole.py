"""Whole bars: from a mixture in fractions to a plan that can be cut, as near the bound as it can be brought.

A dive takes the whole parts of the mixture, mixes again for what is left, rounds one pattern up where no
whole part is left, and turns back where the bound of what is left says that this cannot end better. Then
the best choice among the patterns met is looked for by branch and bound.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from innerleaf.cutting.bars_exact import cheapest
from innerleaf.cutting.columns import Batch, Floats, Ints, Pool, Relaxed, relax
from innerleaf.cutting.cuts import Cut, Limits
from innerleaf.cutting.quick import best_fit, material_bound

_WHOLE = 1e-5  # a fraction this near a whole number is one
_MANY = 40  # more fractions than this: several are rounded at once
_SHARE = 0.125  # of the fractions, rounded at once
_NOISE = 0.3  # a fraction may seem larger by this, from the second dive on
_TURNS = 20  # dead ends after which a dive is given up and another begun
_MOST_ROWS, _MOST_COLUMNS = 200, 500  # of the integer program: larger ones take minutes
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
    if not len(batch.worth) and np.all(batch.limit < 0):
        search.quick()
        if not search.done():
            search.try_all()
    if not search.done():
        root = relax(batch, pool, limits)
        search.bound = max(search.bound, root.bound)
        search.dive(root, limits.nodes // 2)
        if not search.done() and limits.branches:
            search.choose(root)
        search.dive(root, limits.nodes)
    return Whole(cuts=tuple(search.best), cost=search.cost, bound=search.bound, nodes=search.nodes, pool=pool)


def left_over(demand: Ints, made: Ints) -> Ints:
    """What is still to be cut; a longer piece too many serves as a shorter one (types: longest first)."""
    change = made - demand
    level = np.cumsum(change)
    spare = level - np.minimum.accumulate(np.minimum(level, 0))
    missing: Ints = np.maximum(0, -(change + np.concatenate([[0], spare[:-1]])))
    return missing


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
        self.bound, self.nodes, self._dives = 0, 0, 0
        self.cost, self.best = 2**62, list[Cut]()
        self._random = np.random.default_rng(seed)

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
        lengths = np.array([len(cut.types) for cut in self.best])
        self.pool.add(
            np.array([cut.source for cut in self.best]),
            np.concatenate([[0], np.cumsum(lengths)]),
            np.array([kind for cut in self.best for kind in cut.types]),
            np.array([count for cut in self.best for count in cut.counts]),
        )

    def try_all(self) -> None:
        """The cheapest of all plans, where there are few enough."""
        found = cheapest(self.batch)
        if found is not None:
            self.best, self.cost = list(found[0]), found[1]
            self.bound = found[1]

    def dive(self, root: Relaxed, nodes: int) -> None:
        """Dive from the mixture of everything, again and again with other choices, until so many nodes."""
        while not self.done() and self.nodes < nodes:
            # each time fewer of its whole parts are taken, and the choice is shaken from the second on
            self._descend(self._begun(root, self._dives), _NOISE * min(self._dives, 1))
            self._dives += 1

    def choose(self, root: Relaxed) -> None:
        """The best choice among the patterns met, for what one less than the whole parts leave."""
        node = self._begun(root, 1)
        kept = np.flatnonzero(node.left)
        if not len(kept) or len(kept) > _MOST_ROWS:
            return
        from innerleaf.cutting.choice import best_choice

        sub = self._batch(kept, node)
        pool = self.pool.fitting(kept, node.left)
        owner = np.repeat(np.arange(len(pool)), np.diff(pool.start))
        worth = np.bincount(owner, pool.count * root.prices[kept[pool.row]], len(pool))
        likely = np.argsort(pool.cost(sub) - worth, kind="stable")[:_MOST_COLUMNS]
        least, below = max(0, self.bound - node.cost), self.cost - node.cost
        times = best_choice(
            sub, pool, np.sort(likely), least=least, below=below, branches=self.limits.branches
        )
        if times is not None:
            self._finish(self._take(node, pool, kept, times))

    def _begun(self, root: Relaxed, less: int) -> _Node:
        """The whole parts of the mixture, each by so many less, as cut."""
        x = np.concatenate([root.x, np.zeros(len(self.pool) - len(root.x))])
        whole = np.maximum(0, np.floor(x + _WHOLE) - less)
        everything = _Node(self.batch.demand, self.batch.limit, 0, ())
        return self._take(everything, self.pool, np.arange(len(self.batch.demand)), whole)

    def _batch(self, kept: Ints, node: _Node) -> Batch:
        """What a node leaves to be cut."""
        return replace(self.batch, weight=self.batch.weight[kept], demand=node.left[kept], limit=node.limit)

    def _finish(self, node: _Node) -> None:
        """Keep a plan with nothing left to cut if it is the best yet."""
        if not node.left.any() and node.cost < self.cost:
            self.cost, self.best = node.cost, list(node.cuts)

    def _descend(self, node: _Node, noise: float) -> None:
        waiting = [node]
        turns = _TURNS
        while waiting and turns and not (self.best and self.done()):
            node = waiting.pop()
            if not node.left.any():
                self._finish(node)
                continue
            kept = np.flatnonzero(node.left)
            sub = self._batch(kept, node)
            pool = self.pool.fitting(kept, node.left)
            self.nodes += 1
            mixed = relax(sub, pool, self.limits, enough=self.cost - node.cost)
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
