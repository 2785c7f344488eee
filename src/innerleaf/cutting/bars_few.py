"""Fewer patterns at the same cost: every new pattern is a new setting of the stop at the saw.

One pattern after another is taken as often as can be. Which pattern can be cut t times is asked of the
same knapsack, with a t-th of what is left as the most of each type; of all t the greatest whose pattern
costs next to nothing beyond the fractional plan is taken (after Haessler's sequential procedure, Operations
Research 23, 1975, from memory; here each step must leave the bound of the whole where it is).
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from innerleaf.cutting import knapsack
from innerleaf.cutting.bars_whole import Whole, cut_whole, left_over
from innerleaf.cutting.columns import Batch, Ints, Pool, Relaxed, relax
from innerleaf.cutting.cuts import Cut, Limits

_SCALE = 1 << 20
_LAST_NODES = 30
_SHARES = (0.5, 0.3, 0.1)  # of what the plan may cost more than the fractional one, spent in one step
_LOST = 1e-6  # of a bar: counts as no loss


def fewer_patterns(batch: Batch, whole: Whole, limits: Limits) -> tuple[Cut, ...]:
    """A plan of the same cost in fewer patterns, or the one given if none is found."""
    merged = _merged(whole.cuts)
    kinds, bars = len(merged), sum(cut.times for cut in merged)
    alone = int((2 * batch.weight > batch.capacity.max()).sum())  # each needs a pattern of its own
    if not max(1, alone) < kinds < bars or len(batch.demand) > limits.few or np.any(batch.limit >= 0):
        return merged
    attempts = [_attempt(batch, whole, limits, share) for share in _SHARES]
    return min([merged, *(cuts for cuts in attempts if cuts is not None)], key=len)


def _attempt(batch: Batch, whole: Whole, limits: Limits, share: float) -> tuple[Cut, ...] | None:
    """One pattern after another, each as often as can be; None if that ends in a dearer plan."""
    begun, careful = _Begun(batch.demand, 0, ()), False
    for _ in range(limits.few):
        kept = np.flatnonzero(begun.left)
        if not len(kept):
            return begun.cuts
        if not limits.go_on():
            return None
        sub = replace(batch, weight=batch.weight[kept], demand=begun.left[kept])
        pool = whole.pool.fitting(kept, begun.left)
        mixed = relax(sub, pool, limits)
        whole.pool.add(pool.source, pool.start, kept[pool.row], pool.count)
        if begun.cost + mixed.bound > whole.cost:  # the step before took too much
            if begun.before is None:
                return None
            begun, careful = begun.before, True
            continue
        cut = _largest(pool, mixed) if careful else None
        if cut is None and not careful:
            cut = _most_repeated(sub, mixed, share * (whole.cost - begun.cost - mixed.value))
        if cut is None or cut.times == 1:
            return _ended(sub, kept, begun, whole, limits)
        begun, careful = _with(begun, batch, kept, cut), False
    return None


@dataclass(frozen=True, slots=True)
class _Begun:
    """What is left, what it costs so far, the cuts, and the step before."""

    left: Ints
    cost: int
    cuts: tuple[Cut, ...]
    before: _Begun | None = None


def _with(begun: _Begun, batch: Batch, kept: Ints, cut: Cut) -> _Begun:
    """One step further; the cut speaks of the types kept."""
    types, counts = kept[list(cut.types)], np.array(cut.counts)
    made = np.zeros(len(begun.left), np.int64)
    made[types] = cut.times * counts
    price = int(batch.price[cut.source])
    if len(batch.worth):
        price -= int(batch.worth[batch.capacity[cut.source] - int(batch.weight[types] @ counts)])
    cuts = (*begun.cuts, replace(cut, types=tuple(types.tolist())))
    return _Begun(left_over(begun.left, made), begun.cost + cut.times * price, cuts, begun)


def _largest(pool: Pool, mixed: Relaxed) -> Cut | None:
    """The pattern with the largest whole part in the mixture, which costs nothing to take."""
    c = int(np.argmax(mixed.x))
    times = int(mixed.x[c] + 1e-6)
    if times < 1:
        return None
    types, counts = pool.pattern(c)
    return Cut(int(pool.source[c]), tuple(types.tolist()), tuple(counts.tolist()), times)


def _ended(sub: Batch, kept: Ints, begun: _Begun, whole: Whole, limits: Limits) -> tuple[Cut, ...] | None:
    """The few bars that are left, cut at least cost; None if that makes the plan dearer."""
    rest = cut_whole(sub, replace(limits, nodes=_LAST_NODES, branches=0))
    if begun.cost + rest.cost > whole.cost:
        return None
    types = kept.tolist()
    last = (replace(cut, types=tuple(types[t] for t in cut.types)) for cut in rest.cuts)
    return _merged((*begun.cuts, *last))


def _merged(cuts: Sequence[Cut]) -> tuple[Cut, ...]:
    """Equal patterns as one."""
    times: Counter[tuple[int, tuple[int, ...], tuple[int, ...]]] = Counter()
    for cut in cuts:
        times[cut.source, cut.types, cut.counts] += cut.times
    return tuple(Cut(*pattern, n) for pattern, n in times.items())


def _most_repeated(batch: Batch, mixed: Relaxed, slack: float) -> Cut | None:
    """The pattern that can be cut most often without losing more than ``slack``."""
    # a little for the weight, so that what has no price fills up the bar too
    values = np.floor(mixed.prices * _SCALE).astype(np.int64) + batch.weight
    low, high = 0, int(batch.demand.max())
    best = None
    while low < high:
        times = (low + high + 1) // 2
        cut, loss = _dearest(batch, values, times)
        if cut.types and times * loss <= max(slack, _LOST * float(batch.price.max())):
            low, best = times, cut
        else:
            high = times - 1
    return best


def _dearest(batch: Batch, values: Ints, times: int) -> tuple[Cut, float]:
    """The pattern that can be cut so often and loses least, and what it loses a bar."""
    share = batch.demand // times
    table = knapsack.fill(batch.weight, values, share, int(batch.capacity.max()))
    price, worth = batch.price * _SCALE, batch.worth * _SCALE
    gains = knapsack.fullest(table[0], batch.capacity, worth) - price
    k = int(np.argmax(gains))
    one = slice(k, k + 1)
    none = int(-price[k]) - 1
    _, start, types, counts = knapsack.patterns(
        table, batch.weight, values, share, batch.capacity[one], price[one], worth, none
    )
    end = int(start[1]) if len(start) > 1 else 0
    cut = Cut(k, tuple(types[:end].tolist()), tuple(counts[:end].tolist()), times)
    return cut, -float(gains[k]) / _SCALE
