"""Pieces that may be made of several: where to part them, and a bound that allows every place."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from math import ceil, floor

import numpy as np

from innerleaf.cutting import knapsack
from innerleaf.cutting.bars import BarDemand, BarProblem, Piece
from innerleaf.cutting.batches import Source, batch_of
from innerleaf.cutting.columns import Floats, Pool, relax
from innerleaf.cutting.cuts import Limits

_TURNS = 4  # of pricing all partings anew
_SCALE = 1 << 20
_BELOW = 1 - 1e-12  # rates are floats: a bound is rounded down by this
_FINE = 1000  # parts of a unit of price that a rest is worth, in the bound


def parted(
    demands: Sequence[BarDemand], sources: Sequence[Source], kerf_mm: int, limits: Limits
) -> list[Piece]:
    """All pieces, those that are spliced as their parts.

    Begins with as many whole bars as go into a piece. Then every place of parting is priced by what its
    two parts would add to the cost of the fractional plan, and the cheapest taken, as long as the
    fractional plan gets cheaper. Pieces that fit into a bar stay whole unless parting is cheaper.
    """
    endless = [source for source in sources if source.limit < 0] or sources
    longest = max(source.usable_mm for source in endless)
    ways = {d: _first_parts(d, longest) for d in demands if d.splice and d.count}
    plain = [d.length_mm for d in demands if not d.splice for _ in range(d.count)]
    best, least = ways, np.inf
    for _ in range(_TURNS if ways else 0):
        lengths = [*plain, *(part for d, parts in ways.items() for part in parts * d.count)]
        batch = batch_of(lengths, sources, kerf_mm, None)
        mixed = relax(batch, Pool(len(batch.demand)), limits)
        if mixed.value >= least * (1 - 1e-9):
            break
        best, least = ways, mixed.value
        values = np.floor(mixed.prices * _SCALE).astype(np.int64)
        table = knapsack.fill(batch.weight, values, batch.demand, int(batch.capacity.max()))[0] / _SCALE
        price = _price_by_length(table, sources, longest, kerf_mm)
        ways = {d: _cheapest(d, parts, price, longest) for d, parts in ways.items()}
    pieces = [Piece(d.mark, d.length_mm) for d in demands if not d.splice for _ in range(d.count)]
    for d, parts in best.items():
        if len(parts) == 1:
            pieces += [Piece(d.mark, d.length_mm)] * d.count
        else:
            pieces += [Piece(d.mark, part, n) for n, part in enumerate(parts, 1)] * d.count
    return pieces


def _first_parts(demand: BarDemand, longest: int) -> list[int]:
    """As few as can be: whole bars and a rest, the last two evened out if the rest is too short."""
    assert demand.splice is not None
    overlap, least = demand.splice.overlap_mm, demand.splice.least_mm
    if demand.length_mm <= longest:
        return [demand.length_mm]
    parts, left = [], demand.length_mm
    while left > longest:
        parts.append(longest)
        left -= longest - overlap
    if left < least:
        parts[-1] -= least - left
        left = least
    return [*parts, left]


def _price_by_length(table: Floats, sources: Sequence[Source], longest: int, kerf_mm: int) -> Floats:
    """What one more piece of each length up to the longest would add: the least any bar loses by it."""
    price = np.full(longest + 1, np.inf)
    for source in sources:
        capacity = source.usable_mm + kerf_mm
        lengths = np.arange(1, min(source.usable_mm, longest) + 1)
        price[lengths] = np.minimum(price[lengths], source.price - table[capacity - kerf_mm - lengths])
    return price


def _cheapest(demand: BarDemand, parts: list[int], price: Floats, longest: int) -> list[int]:
    """The same piece with its last two parts (or the whole piece) parted where it is cheapest."""
    assert demand.splice is not None
    overlap, least = demand.splice.overlap_mm, demand.splice.least_mm
    kept = parts[:-2]
    both = demand.length_mm - sum(part - overlap for part in kept) + overlap
    first = np.arange(max(least, both - longest), both // 2 + 1)
    ways = [parts]
    if len(first):
        at = int(first[np.argmin(price[first] + price[both - first])])
        ways.append([*kept, both - at, at])
    if not kept and demand.length_mm <= longest:
        ways.append([demand.length_mm])
    return min(ways, key=lambda way: (float(price[way].sum()), len(way)))


def splice_bound(
    demands: Sequence[BarDemand], sources: Sequence[Source], problem: BarProblem, limits: Limits
) -> int:
    """What no plan can go below, wherever the pieces are parted.

    The material of spliced pieces flows. It is taken from rests, and a millimetre of rest is worth what a
    millimetre costs at least, in any bar bought or kept: no plan that has to part pieces gains more by it.
    """
    endless = [source for source in sources if source.limit < 0] or list(sources)
    rate = min(source.price / source.usable_mm for source in endless)
    if problem.keeping:
        rate = max(rate, problem.keeping.worth_per_m / 1000)
    longest = max(source.usable_mm for source in sources)
    flowing = sum(d.count * _least_material(d, longest) for d in demands if d.splice)
    paid = floor(flowing * rate * _FINE * _BELOW)
    plain = [d.length_mm for d in demands if not d.splice for _ in range(d.count)]
    dear = [replace(source, price=source.price * _FINE) for source in sources]
    if plain:
        batch = batch_of(plain, dear, problem.kerf_mm, None)
        rests = np.maximum(0, np.arange(int(batch.capacity.max()) + 1) - problem.kerf_mm)
        flow = replace(batch, worth=np.ceil(rests * (rate * _FINE * _BELOW)).astype(np.int64))
        paid += relax(flow, Pool(len(batch.demand)), limits).bound
    else:  # a limited bar may be cheaper than what it holds is worth
        paid -= sum(s.limit * max(0, ceil(rate * _FINE * s.usable_mm) - s.price) for s in dear if s.limit > 0)
    return max(0, -(-paid // _FINE))


def _least_material(demand: BarDemand, longest: int) -> int:
    """Length of a piece and of the overlaps that it cannot do without. [mm]"""
    assert demand.splice is not None
    overlap = demand.splice.overlap_mm
    splices = max(0, -(-(demand.length_mm - longest) // (longest - overlap)))
    return demand.length_mm + splices * overlap
