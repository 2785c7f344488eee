"""From pieces and bars to the numbers of one batch, and back from its cuts to bars with pieces on them."""

from __future__ import annotations

from collections import defaultdict, deque
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from innerleaf.cutting.bars import Keeping, Piece
from innerleaf.cutting.columns import Batch, Ints
from innerleaf.cutting.cuts import Cut


@dataclass(frozen=True, slots=True, kw_only=True)
class Source:
    """Bars of one kind that a batch may use; ``marks`` names each of a limited number, in order of use."""

    length_mm: int
    trim_mm: int
    price: int
    limit: int  # -1: as many as wanted
    marks: tuple[str, ...]

    @property
    def usable_mm(self) -> int:
        """Length between the trimmed ends. [mm]"""
        return self.length_mm - self.trim_mm


@dataclass(frozen=True, slots=True)
class FilledBar:
    """A bar of a batch: which source, the pieces on it, what is left."""

    source: Source
    pieces: tuple[Piece, ...]
    remainder_mm: int


def remainder(usable_mm: int, pieces: Iterable[Piece], kerf_mm: int) -> int:
    """What is left after the last cut; no cut is lost at the end of a bar used up. [mm]"""
    return max(0, usable_mm - sum(piece.length_mm + kerf_mm for piece in pieces))


def batch_of(
    lengths: Iterable[int], sources: Sequence[Source], kerf_mm: int, keeping: Keeping | None
) -> Batch:
    """The numbers of a batch, types longest first."""
    kinds, counts = np.unique(np.fromiter(lengths, np.int64), return_counts=True)
    capacity = np.array([source.usable_mm + kerf_mm for source in sources], np.int64)
    worth = np.empty(0, np.int64)
    if keeping is not None and keeping.worth_per_m:
        rests = np.maximum(0, np.arange(int(capacity.max()) + 1) - kerf_mm)
        worth = np.where(rests >= keeping.least_mm, rests * keeping.worth_per_m // 1000, 0)
    return Batch(
        weight=kinds[::-1] + kerf_mm,
        demand=counts[::-1].astype(np.int64),
        capacity=capacity,
        price=np.array([source.price for source in sources], np.int64),
        limit=np.array([source.limit for source in sources], np.int64),
        worth=worth,
    )


def fill_bars(
    cuts: Sequence[Cut],
    batch: Batch,
    pieces: Sequence[Piece],
    sources: Sequence[Source],
    kerf_mm: int,
    keeping: Keeping | None,
) -> tuple[list[FilledBar], list[Piece]]:
    """Lay the pieces into the places that the cuts make; and the pieces that are not cut.

    A place may be longer than its piece. Pieces of one length take places bar by bar in the order of
    their marks, so that what is cut one after the other also belongs together.
    """
    order = sorted((cut for cut in cuts if cut.source >= 0), key=_by_pattern)
    bars: list[list[Piece]] = []
    places: dict[int, deque[int]] = defaultdict(deque)  # type: bars with a place for it
    chosen: list[int] = []
    for cut in order:
        for _ in range(cut.times):
            for kind, count in zip(cut.types, cut.counts, strict=True):
                places[kind].extend([len(bars)] * count)
            bars.append([])
            chosen.append(cut.source)
    waiting: dict[int, list[Piece]] = defaultdict(list)
    for piece in pieces:
        waiting[piece.length_mm + kerf_mm].append(piece)
    spare: deque[int] = deque()
    missing = []
    for kind, weight in enumerate(batch.weight.tolist()):
        own = places[kind]
        for piece in sorted(waiting[weight], key=lambda p: (p.mark, p.part)):
            if own or spare:
                bars[own.popleft() if own else spare.popleft()].append(piece)
            else:
                missing.append(piece)
        spare.extendleft(reversed(own))  # the places nearest in length are used first
    return _dressed(bars, chosen, sources, kerf_mm, keeping), missing


def _by_pattern(cut: Cut) -> tuple[int, tuple[int, ...], tuple[int, ...]]:
    return cut.source, cut.types, tuple(-count for count in cut.counts)


def _dressed(
    bars: list[list[Piece]],
    chosen: list[int],
    sources: Sequence[Source],
    kerf_mm: int,
    keeping: Keeping | None,
) -> list[FilledBar]:
    """Bars with pieces on them, each the cheapest endless one that will do, if that saves anything."""
    filled = []
    endless = [source for source in sources if source.limit < 0]
    for bar, at in zip(bars, chosen, strict=True):
        if not bar:
            continue
        bar.sort(key=lambda p: (-p.length_mm, p.mark, p.part))
        needed = sum(p.length_mm for p in bar) + kerf_mm * (len(bar) - 1)

        def net(source: Source, bar: list[Piece] = bar) -> int:
            rest = remainder(source.usable_mm, bar, kerf_mm)
            return source.price - (keeping.worth(rest) if keeping else 0)

        fitting = [source for source in endless if source.usable_mm >= needed]
        best = min([sources[at], *fitting], key=net)
        filled.append(FilledBar(best, tuple(bar), remainder(best.usable_mm, bar, kerf_mm)))
    return filled


def demand_of(batch: Batch, pieces: Iterable[Piece], kerf_mm: int) -> Ints:
    """How many pieces there are of each type of a batch."""
    number = {weight: at for at, weight in enumerate(batch.weight.tolist())}
    demand = np.zeros(len(number), np.int64)
    for piece in pieces:
        demand[number[piece.length_mm + kerf_mm]] += 1
    return demand
