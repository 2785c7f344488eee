"""A handful of pieces: the cheapest of all plans, by trying every set of them as one bar."""

# numba ships no types, and its decorator hides those below it
# mypy: disable-error-code="untyped-decorator, no-any-return, import-untyped"

from __future__ import annotations

from collections import Counter

import numpy as np
from numba import njit

from innerleaf.cutting.columns import Batch, Ints
from innerleaf.cutting.cuts import Cut

MOST_PIECES = 12  # 3 to this power steps


def cheapest(batch: Batch) -> tuple[tuple[Cut, ...], int] | None:
    """The cheapest plan and, of these, one of fewest bars; None if there are too many pieces.

    Bars must be without end and rests worth nothing.
    """
    if int(batch.demand.sum()) > MOST_PIECES or np.any(batch.limit >= 0) or len(batch.worth):
        return None
    kinds = np.repeat(np.arange(len(batch.demand)), batch.demand)
    took, source = _search(batch.weight[kinds], batch.capacity, batch.price)
    left, cuts = (1 << len(kinds)) - 1, []
    while left:
        if source[took[left]] < 0:
            return None  # a piece that no bar holds
        inside = Counter(int(kind) for n, kind in enumerate(kinds) if took[left] >> n & 1)
        cuts.append(Cut(int(source[took[left]]), tuple(inside), tuple(inside.values()), 1))
        left ^= int(took[left])
    return tuple(cuts), sum(int(batch.price[cut.source]) for cut in cuts)


@njit(cache=True)
def _search(weight: Ints, capacity: Ints, price: Ints) -> tuple[Ints, Ints]:
    """Of every set of pieces: the set in its first bar, and the cheapest bar for it alone, -1 if none."""
    sets = 1 << len(weight)
    source = np.full(sets, -1)
    took = np.zeros(sets, np.int64)
    cost = np.zeros(sets, np.int64)
    bars = np.zeros(sets, np.int64)
    for s in range(1, sets):
        total = 0
        for n in range(len(weight)):
            total += weight[n] * (s >> n & 1)
        for k in range(len(capacity)):
            if capacity[k] >= total and (source[s] < 0 or price[k] < price[source[s]]):
                source[s] = k
        first = s & -s
        rest = s ^ first
        inside = rest
        cost[s] = 1 << 62
        while True:
            bar = inside | first
            other = s ^ bar
            if source[bar] >= 0 and cost[other] < 1 << 62:
                here = price[source[bar]] + cost[other]
                if here < cost[s] or (here == cost[s] and bars[other] + 1 < bars[s]):
                    cost[s], bars[s], took[s] = here, bars[other] + 1, bar
            if inside == 0:
                break
            inside = (inside - 1) & rest
    return took, source
