"""In what order a board is cut: every cut by score and snap or by saw, and what is left over."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from innerleaf.cutting.boards import Board, BoardDemand, Place, notches_of

Box = tuple[int, int, int, int]  # left, bottom, right, top


@dataclass(frozen=True, slots=True, kw_only=True)
class BoardCut:
    """One cut, from one end to the other; ``sawn`` out of a piece, else scored and snapped right across."""

    x1_mm: int
    y1_mm: int
    x2_mm: int
    y2_mm: int
    sawn: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Offcut:
    """A rectangle left over, and which of its long edges are factory edges."""

    x_mm: int
    y_mm: int
    width_mm: int
    length_mm: int
    left: bool
    right: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class CutOrder:
    """All cuts of a board in their order, the places (by number from 0) as they come off, what is left."""

    cuts: tuple[BoardCut, ...]
    order: tuple[int, ...]
    offcuts: tuple[Offcut, ...]


def sequence_of(board: Board, demands: Mapping[str, BoardDemand], least_strip_mm: int = 0) -> CutOrder:
    """How to cut a board: the largest offcut comes off first, then cuts across before cuts along.

    Offcuts with a side shorter than ``least_strip_mm`` are not told.
    """
    return _Cutter(board, demands, least_strip_mm).sequence()


class _Cutter:
    def __init__(self, board: Board, demands: Mapping[str, BoardDemand], least: int) -> None:
        self._board, self._demands, self._least = board, demands, max(1, least)
        self._inside: dict[int, list[int]] = defaultdict(list)
        for number, place in enumerate(board.places):
            self._inside[place.within].append(number)
        self._cuts: list[BoardCut] = []
        self._order: list[int] = []
        self._offcuts: list[Offcut] = []

    def sequence(self) -> CutOrder:
        """Cut the whole board."""
        whole = (0, 0, self._board.width_mm, self._board.length_mm)
        self._cut(whole, self._inside[0])
        return CutOrder(cuts=tuple(self._cuts), order=tuple(self._order), offcuts=tuple(self._offcuts))

    def _cut(self, room: Box, numbers: Sequence[int]) -> None:
        waiting = [(room, list(numbers))]
        while waiting:
            box, inside = waiting.pop()
            if not inside:
                self._leave(box)
                continue
            if len(inside) == 1 and _box(self._board.places[inside[0]]) == box:
                self._take(inside[0])
                continue
            axis, at = self._next(box, inside)
            low, high = list(box), list(box)
            low[axis + 2] = high[axis] = at
            self._cuts.append(BoardCut(x1_mm=high[0], y1_mm=high[1], x2_mm=low[2], y2_mm=low[3], sawn=False))
            for part in (high, low):
                kept = [n for n in inside if part[axis] <= _box(self._board.places[n])[axis] < part[axis + 2]]
                waiting.append(((part[0], part[1], part[2], part[3]), kept))

    def _next(self, box: Box, inside: Sequence[int]) -> tuple[int, int]:
        """The axis the cut is measured along (0: from the left, 1: from below), and how far."""
        boxes = [_box(self._board.places[n]) for n in inside]
        found = []
        for axis in (0, 1):
            across = box[3 - axis] - box[1 - axis]
            for at in {side for b in boxes for side in (b[axis], b[axis + 2])}:
                clear = not any(b[axis] < at < b[axis + 2] for b in boxes)
                if box[axis] < at < box[axis + 2] and clear:
                    empty_low = all(b[axis] >= at for b in boxes) * (at - box[axis])
                    empty_high = all(b[axis + 2] <= at for b in boxes) * (box[axis + 2] - at)
                    found.append((-(empty_low + empty_high) * across, -axis, at))
        _, axis, at = min(found)
        return -axis, at

    def _take(self, number: int) -> None:
        """A piece is off: its notches are sawn, and what comes out of them is cut."""
        self._order.append(number)
        place = self._board.places[number]
        nested = self._inside[number + 1]
        for notch in notches_of(self._demands[place.mark], place):
            room = notch.x_mm, notch.y_mm, notch.x_mm + notch.width_mm, notch.y_mm + notch.length_mm
            self._cuts += _sawn(room, _box(place))
            self._cut(room, [n for n in nested if _within(_box(self._board.places[n]), room)])

    def _leave(self, box: Box) -> None:
        width, length = box[2] - box[0], box[3] - box[1]
        if min(width, length) >= self._least:
            self._offcuts.append(
                Offcut(
                    x_mm=box[0],
                    y_mm=box[1],
                    width_mm=width,
                    length_mm=length,
                    left=box[0] == 0,
                    right=box[2] == self._board.width_mm,
                )
            )


def _sawn(room: Box, piece: Box) -> Iterator[BoardCut]:
    """The sides of a notch that are not on the edge of the piece."""
    left, low, right, high = room
    corners = ((left, low), (right, low), (right, high), (left, high), (left, low))
    for (x1, y1), (x2, y2) in pairwise(corners):
        on_side = x1 == x2 and x1 in (piece[0], piece[2])
        on_end = y1 == y2 and y1 in (piece[1], piece[3])
        if not on_side and not on_end:
            yield BoardCut(x1_mm=x1, y1_mm=y1, x2_mm=x2, y2_mm=y2, sawn=True)


def _box(place: Place) -> Box:
    return place.x_mm, place.y_mm, place.x_mm + place.width_mm, place.y_mm + place.length_mm


def _within(inner: Box, outer: Box) -> bool:
    return outer[0] <= inner[0] and outer[1] <= inner[1] and inner[2] <= outer[2] and inner[3] <= outer[3]
