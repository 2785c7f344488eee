"""A plan at once: each piece, longest first, into the fullest bar that still holds it.

Where this already reaches what the material alone demands, nothing more need be searched.
"""

from __future__ import annotations

from bisect import bisect_left, insort
from collections import Counter
from fractions import Fraction
from math import ceil

from innerleaf.cutting.columns import Batch
from innerleaf.cutting.cuts import Cut


def material_bound(batch: Batch) -> int:
    """Weight of all pieces at the lowest price per weight that a bar has; rests must be worth nothing."""
    weight = int(batch.weight @ batch.demand)
    rates = zip(batch.price.tolist(), batch.capacity.tolist(), strict=True)
    rate = min(Fraction(price, capacity) for price, capacity in rates)
    return ceil(weight * rate / batch.step) * batch.step


def best_fit(batch: Batch, opening: int) -> tuple[Cut, ...] | None:
    """Best fit decreasing into endless bars, opened in one length and then exchanged for the cheapest.

    None if a piece fits into no bar of the length ``opening``.
    """
    room = int(batch.capacity[opening])
    if room < int(batch.weight[0]):
        return None
    bars: list[Counter[int]] = []
    free: list[tuple[int, int]] = []  # (free weight, number of the bar), sorted
    weights = batch.weight.tolist()
    for kind, (weight, count) in enumerate(zip(weights, batch.demand.tolist(), strict=True)):
        for _ in range(count):
            at = bisect_left(free, (weight, -1))
            if at < len(free):
                left, number = free.pop(at)
            else:
                left, number = room, len(bars)
                bars.append(Counter())
            bars[number][kind] += 1
            if left - weight >= weights[-1]:
                insort(free, (left - weight, number))
    alike = Counter(tuple(sorted(bar.items())) for bar in bars)
    capacities, prices = batch.capacity.tolist(), batch.price.tolist()
    cuts = []
    for bar, times in alike.items():
        filled = sum(weights[kind] * count for kind, count in bar)
        fitting = [k for k, capacity in enumerate(capacities) if capacity >= filled]
        source = min(fitting, key=lambda k: (prices[k], capacities[k]))
        cuts.append(Cut(source, tuple(k for k, _ in bar), tuple(n for _, n in bar), times))
    return tuple(cuts)
