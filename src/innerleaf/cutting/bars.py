"""Pieces of bar into bars that can be bought, in one or several stock lengths.

Two quick ways are tried and the better plan kept: best-fit decreasing, once for each stock length as
the one to open; and bar after bar, each begun with the longest piece left, in the stock length that is
filled best. Each bar is then exchanged for the shortest that holds what is on it. Not optimal: the
result carries a bound to measure by.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right, insort
from collections.abc import Sequence
from dataclasses import dataclass

from innerleaf.errors import InputError


@dataclass(frozen=True, slots=True)
class BarPiece:
    """A length asked for, in mm."""

    id: str
    length_mm: int


@dataclass(frozen=True, slots=True)
class BarPattern:
    """One bar: its stock length, what is cut from it in order, and what is left over; in mm."""

    stock_mm: int
    pieces: tuple[BarPiece, ...]
    remainder_mm: int


@dataclass(frozen=True, slots=True, kw_only=True)
class BarPlan:
    """All bars of one item.

    ``lower_bound_mm`` is the material bound: no plan can buy less length than the pieces have,
    nor less than the fewest bars of the shortest stock that could do. [mm]
    """

    patterns: tuple[BarPattern, ...]
    kerf_mm: int
    net_mm: int
    bought_mm: int
    lower_bound_mm: int
    stopped_by: str

    @property
    def bars_by_stock(self) -> tuple[tuple[int, int], ...]:
        """(stock length, number of bars), shortest first."""
        counts: dict[int, int] = {}
        for pattern in self.patterns:
            counts[pattern.stock_mm] = counts.get(pattern.stock_mm, 0) + 1
        return tuple(sorted(counts.items()))


def pack_bars(pieces: Sequence[BarPiece], stock_lengths_mm: Sequence[int], *, kerf_mm: int) -> BarPlan:
    """Cut pieces from as little stock as this heuristic finds; the same pieces give the same plan.

    Parameters
    ----------
    pieces : lengths asked for, each above 0. [mm]
    stock_lengths_mm : lengths that can be bought, in any number each. [mm]
    kerf_mm : width of one cut; none is lost at the end of a bar used up exactly. [mm]

    Raises
    ------
    InputError
        No stock length, a negative kerf, a piece of no length, or one longer than every stock.
    """
    stocks = sorted(set(stock_lengths_mm))
    _check(pieces, stocks, kerf_mm)
    ordered = sorted(pieces, key=lambda piece: (-piece.length_mm, piece.id))
    trials = [_best_fit(ordered, stocks, opening, kerf_mm) for opening in stocks]
    trials.append(_fullest_next(ordered, stocks, kerf_mm))
    lengths_bought = [sum(_shortest(stocks, _used(bar, kerf_mm)) for bar in bars) for bars in trials]
    bought, _, best = min(zip(lengths_bought, map(len, trials), trials, strict=True), key=lambda t: t[:2])
    net = sum(piece.length_mm for piece in pieces)
    bound = _lower_bound(ordered, stocks, kerf_mm)
    return BarPlan(
        patterns=tuple(_pattern(bar, stocks, kerf_mm) for bar in best),
        kerf_mm=kerf_mm,
        net_mm=net,
        bought_mm=bought,
        lower_bound_mm=bound,
        stopped_by="bound reached" if bought == bound else "heuristic done",
    )


def _check(pieces: Sequence[BarPiece], stocks: list[int], kerf_mm: int) -> None:
    if not stocks or stocks[0] <= 0:
        raise InputError("stock lengths", given=stocks, accepted="at least one length above 0 mm")
    if kerf_mm < 0:
        raise InputError("kerf", given=kerf_mm, accepted="0 mm or more")
    for piece in pieces:
        if not 0 < piece.length_mm <= stocks[-1]:
            raise InputError(
                f"length of piece {piece.id}",
                given=piece.length_mm,
                accepted=f"above 0, at most {stocks[-1]} mm",
            )


def _best_fit(ordered: list[BarPiece], stocks: list[int], opening: int, kerf: int) -> list[list[BarPiece]]:
    """Each piece into the fullest bar that still holds it; a new bar is ``opening`` long or longer."""
    bars: list[list[BarPiece]] = []
    room: list[tuple[int, int]] = []  # (free length after a cut, number of the bar), sorted
    for piece in ordered:
        at = bisect_left(room, (piece.length_mm, -1))
        if at < len(room):
            free, number = room.pop(at)
            bars[number].append(piece)
        else:
            free, number = _shortest(stocks, max(opening, piece.length_mm)), len(bars)
            bars.append([piece])
        left = free - piece.length_mm - kerf
        if left > 0:
            insort(room, (left, number))
    return bars


def _fullest_next(ordered: list[BarPiece], stocks: list[int], kerf: int) -> list[list[BarPiece]]:
    """Bar after bar: the longest piece left, then the longest that still fit, in the stock filled best."""
    left: dict[int, list[BarPiece]] = {}
    for piece in reversed(ordered):
        left.setdefault(piece.length_mm, []).append(piece)
    lengths = sorted(left)
    bars: list[list[BarPiece]] = []
    while lengths:
        fills = [_fill(lengths, left, stock, kerf) for stock in stocks if stock >= lengths[-1]]
        _, fill = min(fills, key=lambda f: f[0])
        bars.append([left[length].pop() for length, count in fill for _ in range(count)])
        for length, _ in fill:
            if not left[length]:
                del lengths[bisect_left(lengths, length)]
    return bars


def _fill(
    lengths: list[int], left: dict[int, list[BarPiece]], stock: int, kerf: int
) -> tuple[float, list[tuple[int, int]]]:
    """Share of a bar left empty, and (length, how many) of what is cut from it."""
    room, at, fill = stock, len(lengths), []
    while (at := bisect_right(lengths, room, 0, at) - 1) >= 0:
        length = lengths[at]
        count = min(len(left[length]), (room + kerf) // (length + kerf))
        fill.append((length, count))
        room -= count * (length + kerf)
    return max(0, room) / stock, fill


def _used(bar: list[BarPiece], kerf: int) -> int:
    return sum(piece.length_mm for piece in bar) + kerf * (len(bar) - 1)


def _shortest(stocks: list[int], needed: int) -> int:
    return stocks[bisect_left(stocks, needed)]


def _pattern(bar: list[BarPiece], stocks: list[int], kerf: int) -> BarPattern:
    used = _used(bar, kerf)
    stock = _shortest(stocks, used)
    return BarPattern(stock, tuple(bar), max(0, stock - used - kerf))


def _lower_bound(ordered: list[BarPiece], stocks: list[int], kerf: int) -> int:
    """The greatest of three plain bounds, each true of every plan.

    Material; the fewest bars (by material of the longest stock, kerf included) in the shortest stock;
    pieces over half the longest stock, no two of which share a bar, each in the shortest that holds it.
    """
    longest = stocks[-1]
    material = sum(piece.length_mm for piece in ordered)
    fewest = -(-sum(piece.length_mm + kerf for piece in ordered) // (longest + kerf))
    alone = sum(_shortest(stocks, p.length_mm) for p in ordered if 2 * p.length_mm + kerf > longest)
    return max(material, fewest * stocks[0], alone)
