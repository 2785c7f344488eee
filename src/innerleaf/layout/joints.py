"""Vertical joints of one board layer: the cheapest way to get from one end of a panel to the other.

Between two joints stands one width of board. A joint may only stand where a member can; each place
has a price for rules it would break. The cheapest sequence is a shortest path, found exactly.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

# One price for everything, in the order of importance: rules in mm missed, slivers in mm missed,
# widths of board, extra members, widths that must be cut. Each weight exceeds any sum of those below.
_RULE, _SLIVER, _WIDTH, _EXTRA, _CUT = 10**12, 10**7, 1000, 400, 1


@dataclass(frozen=True, slots=True)
class Place:
    """Where a joint may stand: rules missed there in mm, and whether a member must be added for it."""

    x: int
    missed_mm: int
    extra: bool


@dataclass(frozen=True, slots=True)
class JointPath:
    """Chosen joints of one layer with what they cost."""

    joints: tuple[int, ...]
    missed_mm: int
    sliver_mm: int
    extra: tuple[int, ...]
    price: int


def lay_joints(
    start: int, end: int, places: Sequence[Place], *, board_mm: int, strip_min_mm: int
) -> JointPath:
    """Joints between ``start`` and ``end`` such that no width exceeds the board.

    ``places`` are sorted and lie strictly between the ends. They must leave no stretch wider than a
    board, or no path exists; the caller adds places until that holds.
    """
    xs = [start, *(p.x for p in places), end]
    node = [0, *(p.missed_mm * _RULE + (_EXTRA if p.extra else 0) for p in places), 0]
    last = len(xs) - 1
    price = [0] + [-1] * last
    came = [0] * (last + 1)
    low = 0
    for j in range(1, last + 1):
        x = xs[j]
        while x - xs[low] > board_mm:
            low += 1
        best, best_from = -1, low
        for i in range(low, j):
            if price[i] < 0:
                continue
            width = x - xs[i]
            cost = price[i] + _WIDTH
            if width < strip_min_mm:
                cost += (strip_min_mm - width) * _SLIVER
            if width != board_mm:
                cost += _CUT
            if best < 0 or cost < best:
                best, best_from = cost, i
        if best >= 0:
            price[j], came[j] = best + node[j], best_from
    steps = []
    at = came[last]
    while at:
        steps.append(at)
        at = came[at]
    steps.reverse()
    joints = tuple(xs[k] for k in steps)
    bounds = (start, *joints, end)
    return JointPath(
        joints=joints,
        missed_mm=sum(places[k - 1].missed_mm for k in steps),
        sliver_mm=sum(max(0, strip_min_mm - (b - a)) for a, b in zip(bounds, bounds[1:], strict=False)),
        extra=tuple(xs[k] for k in steps if places[k - 1].extra),
        price=price[last],
    )


def boards_for_widths(widths: Sequence[int], board_mm: int) -> int:
    """Boards needed to cut these widths side by side, by first fit decreasing (an upper bound)."""
    rests: list[int] = []
    full = 0
    for width in sorted(widths, reverse=True):
        if width >= board_mm:
            full += 1
            continue
        for k, rest in enumerate(rests):
            if rest >= width:
                rests[k] = rest - width
                break
        else:
            rests.append(board_mm - width)
    return full + len(rests)
