"""Rectangles out of boards of one width and several lengths: score and snap, edge to edge.

Every cut runs right across what is being cut (guillotine), pieces are never turned, and a piece that
needs factory edges is cut from the edge of the board. Best-fit decreasing over the offcuts, tried for
each stock length as the one to open, each board then exchanged for the shortest that holds what is on
it. Not optimal: the result carries a bound.
"""

from __future__ import annotations

from bisect import bisect_left, insort
from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

from innerleaf.errors import InputError

TOLERANCE_MM = 1e-6  # sizes of raked pieces are not whole


@dataclass(frozen=True, slots=True)
class BoardRect:
    """A rectangle asked for: ``width_mm`` across the board, ``length_mm`` along it.

    ``edges`` is how many of its two long edges must be factory edges (0, 1 or 2).
    """

    id: str
    width_mm: float
    length_mm: float
    edges: int = 0


@dataclass(frozen=True, slots=True)
class Placed:
    """A rectangle on its board, lower left corner at (x, y) in mm."""

    rect: BoardRect
    x_mm: float
    y_mm: float


@dataclass(frozen=True, slots=True)
class BoardPattern:
    """One board, its stock length and what is cut from it."""

    stock_mm: int
    places: tuple[Placed, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class BoardPlan:
    """All boards of one item.

    ``lower_bound_mm2``: no plan can buy less area than the rectangles have, nor less than the boards
    that pieces wider than half a board need one above the other.
    """

    width_mm: int
    patterns: tuple[BoardPattern, ...]
    net_mm2: float
    bought_mm2: int
    lower_bound_mm2: float
    stopped_by: str

    @property
    def boards_by_stock(self) -> tuple[tuple[int, int], ...]:
        """(stock length, number of boards), shortest first."""
        counts: dict[int, int] = {}
        for pattern in self.patterns:
            counts[pattern.stock_mm] = counts.get(pattern.stock_mm, 0) + 1
        return tuple(sorted(counts.items()))


class _Free(NamedTuple):
    """A rectangle of board not used yet, and which of its long edges are factory edges."""

    length: float
    width: float
    board: int
    x: float
    y: float
    left: bool
    right: bool


class _Offcuts:
    """Free rectangles with a given number of factory edges, found by width class, then by length."""

    CLASS_MM = 50

    def __init__(self, board_width_mm: int) -> None:
        self._classes: list[list[_Free]] = [[] for _ in range(board_width_mm // self.CLASS_MM + 1)]

    def put(self, free: _Free) -> None:
        insort(self._classes[int(free.width) // self.CLASS_MM], free)

    def take(self, rect: BoardRect) -> _Free | None:
        """Take out the shortest that is long enough, of the narrowest class that has one wide enough."""
        width, length = rect.width_mm - TOLERANCE_MM, rect.length_mm - TOLERANCE_MM
        first = int(max(0.0, width)) // self.CLASS_MM
        for shelf in self._classes[first:]:
            if not shelf or shelf[-1].length < length:
                continue
            for at in range(bisect_left(shelf, (length,)), len(shelf)):
                if shelf[at].width >= width:
                    return shelf.pop(at)
        return None


def pack_boards(rects: Sequence[BoardRect], *, width_mm: int, stock_lengths_mm: Sequence[int]) -> BoardPlan:
    """Cut rectangles from as little board as this heuristic finds; the same input gives the same plan.

    Raises
    ------
    InputError
        No stock length, or a rectangle of no size or larger than every board.
    """
    stocks = sorted(set(stock_lengths_mm))
    _check(rects, width_mm, stocks)
    ordered = sorted(rects, key=lambda r: (-r.length_mm, -r.width_mm, -r.edges, r.id))
    trials = [_best_fit(ordered, width_mm, stocks, opening) for opening in stocks]
    lengths_bought = [sum(_shortest(stocks, _extent(board)) for board in boards) for boards in trials]
    bought, _, best = min(zip(lengths_bought, map(len, trials), trials, strict=True), key=lambda t: t[:2])
    bound = max(
        sum(r.width_mm * r.length_mm for r in rects),
        width_mm * sum(r.length_mm for r in rects if 2 * r.width_mm > width_mm + TOLERANCE_MM),
    )
    bought_mm2 = bought * width_mm
    return BoardPlan(
        width_mm=width_mm,
        patterns=tuple(BoardPattern(_shortest(stocks, _extent(board)), tuple(board)) for board in best),
        net_mm2=sum(r.width_mm * r.length_mm for r in rects),
        bought_mm2=bought_mm2,
        lower_bound_mm2=bound,
        stopped_by="bound reached" if bought_mm2 <= bound + TOLERANCE_MM else "heuristic done",
    )


def _check(rects: Sequence[BoardRect], width_mm: int, stocks: list[int]) -> None:
    if not stocks or stocks[0] <= 0 or width_mm <= 0:
        raise InputError("board sizes", given=(width_mm, stocks), accepted="a width and a length above 0 mm")
    for r in rects:
        fits = 0 < r.width_mm <= width_mm + TOLERANCE_MM and 0 < r.length_mm <= stocks[-1] + TOLERANCE_MM
        if not fits:
            raise InputError(
                f"size of piece {r.id}",
                given=(r.width_mm, r.length_mm),
                accepted=f"above 0, at most {width_mm} x {stocks[-1]} mm",
            )
        if r.edges == 2 and r.width_mm < width_mm - TOLERANCE_MM:
            raise InputError(f"edges of piece {r.id}", given=2, accepted="0 or 1, narrower than a board")


def _best_fit(ordered: list[BoardRect], width: int, stocks: list[int], opening: int) -> list[list[Placed]]:
    """Each rectangle into the narrowest offcut that holds it, spending factory edges last."""
    boards: list[list[Placed]] = []
    offcuts = [_Offcuts(width) for _ in range(3)]  # by number of factory edges
    least_width = min((r.width_mm for r in ordered), default=0.0)
    least_length = ordered[-1].length_mm if ordered else 0.0
    for rect in ordered:
        free = next(filter(None, (shelf.take(rect) for shelf in offcuts[rect.edges :])), None)
        if free is None:
            stock = _shortest(stocks, max(opening, rect.length_mm))
            free = _Free(float(stock), float(width), len(boards), 0.0, 0.0, True, True)
            boards.append([])
        # at the factory edge if one is needed, else away from it
        to_right = free.right and not free.left if rect.edges else free.left and not free.right
        x = free.x + free.width - rect.width_mm if to_right else free.x
        boards[free.board].append(Placed(rect, x, free.y))
        for rest in _split(free, rect, to_right):
            if rest.width >= least_width - TOLERANCE_MM and rest.length >= least_length - TOLERANCE_MM:
                offcuts[rest.left + rest.right].put(rest)
    return boards


def _split(free: _Free, rect: BoardRect, to_right: bool) -> tuple[_Free, _Free]:
    """What is left beside and above the rectangle; the first cut goes across, along its upper edge.

    Pieces come longest first, so what lies beside is filled by pieces nearly as long. (Cutting along
    the board first was tried: mostly 1 to 3 % more board on random buildings.)
    """
    beside = _Free(
        rect.length_mm,
        free.width - rect.width_mm,
        free.board,
        free.x if to_right else free.x + rect.width_mm,
        free.y,
        free.left and to_right,
        free.right and not to_right,
    )
    above = free._replace(length=free.length - rect.length_mm, y=free.y + rect.length_mm)
    return beside, above


def _extent(board: list[Placed]) -> float:
    return max(place.y_mm + place.rect.length_mm for place in board)


def _shortest(stocks: list[int], needed: float) -> int:
    return stocks[bisect_left(stocks, needed - TOLERANCE_MM)]
