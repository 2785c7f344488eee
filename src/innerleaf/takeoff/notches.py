"""The rectangles that come out of a piece cut to shape, and can be cut from again."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from math import ceil, floor

from innerleaf.cutting.boards import Notch
from innerleaf.layout.pieces import Ring

_TOLERANCE_MM = 1e-6
_MOST_SIDES = 40  # a shape of more sides is taken as its rectangle


def notches_of_ring(ring: Ring, holes: Sequence[Ring]) -> tuple[Notch, ...]:
    """Rectangles clear of a piece inside the rectangle round it, the largest first; none is raked.

    Corners are measured from the lower left one of the rectangle; whole millimetres, rounded into the notch.
    In a piece whose side is no whole number they keep a millimetre off: it may lie that much to either end of
    the whole rectangle that is cut for it.
    """
    left, low = min(x for x, _ in ring), min(y for _, y in ring)
    rings = [[(x - left, y - low) for x, y in one] for one in (ring, *holes)]
    xs = sorted({x for one in rings for x, _ in one})
    ys = sorted({y for one in rings for _, y in one})
    if (len(rings) == 1 and len(ring) <= 4) or len(xs) * len(ys) > _MOST_SIDES**2:
        return ()
    clear = [[_is_clear(rings, box) for box in _boxes(xs, y)] for y in pairwise(ys)]
    off_x, off_y = _slack(xs), _slack(ys)
    found = []
    while (best := _largest(clear, xs, ys)) is not None:
        a, b, c, d = best
        for row in range(c, d):
            clear[row][a:b] = [False] * (b - a)
        x, y = ceil(xs[a] - _TOLERANCE_MM) + off_x, ceil(ys[c] - _TOLERANCE_MM) + off_y
        width = floor(xs[b] + _TOLERANCE_MM) - off_x - x
        length = floor(ys[d] + _TOLERANCE_MM) - off_y - y
        if min(width, length) > 0:
            found.append(Notch(x_mm=x, y_mm=y, width_mm=width, length_mm=length))
    return tuple(found)


def _slack(places: Sequence[float]) -> int:
    size = places[-1] - places[0]
    return int(abs(size - round(size)) > _TOLERANCE_MM)


Box = tuple[float, float, float, float]
Rings = Sequence[Sequence[tuple[float, float]]]


def _boxes(xs: Sequence[float], span: tuple[float, float]) -> list[Box]:
    return [(a, span[0], b, span[1]) for a, b in pairwise(xs)]


def _is_clear(rings: Rings, box: Box) -> bool:
    """No part of the piece lies in a cell of the grid of its corners."""
    left, low, right, high = box
    inside = False
    x, y = (left + right) / 2, (low + high) / 2
    for ring in rings:
        for (ax, ay), (bx, by) in zip(ring, (*ring[1:], ring[0]), strict=True):
            raked = ax != bx and ay != by
            beside = min(ax, bx) >= right or max(ax, bx) <= left or min(ay, by) >= high or max(ay, by) <= low
            if raked and not beside:
                return False
            if (ay > y) != (by > y) and x < ax + (bx - ax) * (y - ay) / (by - ay):
                inside = not inside
    return not inside


def _largest(
    clear: Sequence[Sequence[bool]], xs: Sequence[float], ys: Sequence[float]
) -> tuple[int, int, int, int] | None:
    """The largest rectangle of clear cells: columns from, to, rows from, to."""
    best, area = None, 0.0
    for c in range(len(clear)):
        width_clear = [True] * len(clear[c])
        for d in range(c, len(clear)):
            width_clear = [w and now for w, now in zip(width_clear, clear[d], strict=True)]
            a = 0
            for b, free in enumerate([*width_clear, False]):
                if not free:
                    size = (xs[b] - xs[a]) * (ys[d + 1] - ys[c])
                    if b > a and size > area:
                        best, area = (a, b, c, d + 1), size
                    a = b + 1
    return best
