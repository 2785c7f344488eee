"""Vertical joints of one board layer: the cheapest way to get from one end of a panel to the other.

Between two joints stands one width of board. A joint may only stand where a member can; each place
has a price for rules it would break. The cheapest sequence is a shortest path, found exactly.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

# One price for everything, in the order of importance: rules in mm missed, slivers in mm missed,
# widths of board, extra members, widths that must be cut. Each weight exceeds any sum of those below.
RULE, SLIVER, WIDTH, EXTRA, CUT = 10**12, 10**7, 1000, 400, 1


@dataclass(frozen=True, slots=True)
class JointPath:
    """Chosen joints of one layer with what they cost.

    ``ambiguous``: another path costs the same, so that seen from the right another may be found.
    """

    joints: tuple[int, ...]
    missed_mm: int
    sliver_mm: int
    extra: tuple[int, ...]
    price: int
    ambiguous: bool


def lay_joints(
    start: int,
    end: int,
    places: Sequence[int],
    missed_mm: Sequence[int],
    extra: frozenset[int],
    *,
    board_mm: int,
    strip_min_mm: int,
) -> JointPath:
    """Joints between ``start`` and ``end`` such that no width exceeds the board.

    ``places`` are sorted and lie strictly between the ends; ``missed_mm`` says by how much a joint at
    each would miss its rules, ``extra`` which of them need a member of their own. They must leave no
    stretch wider than a board, or no path exists; the caller adds places until that holds. Among paths
    of one price the one with its joints nearer to the middle is taken, whichever side one looks from.
    """
    xs = [start, *places, end]
    middle = start + end
    last = len(xs) - 1
    price = [0] * (last + 1)
    spread = [0] * (last + 1)
    came = [-1] * (last + 1)
    tied = [False] * (last + 1)
    low = 0
    for j in range(1, last + 1):
        x = xs[j]
        while x - xs[low] > board_mm:
            low += 1
        best, best_spread, best_from, tie = _cheapest_step(
            xs, price, spread, came, range(low, j), x, board_mm, strip_min_mm
        )
        if best < 0:
            continue
        came[j], tied[j] = best_from, tie
        if j < last:
            best += missed_mm[j - 1] * RULE + (EXTRA if x in extra else 0)
            best_spread += abs(x + x - middle)
        price[j], spread[j] = best, best_spread
    steps = []
    at, ambiguous = came[last], tied[last]
    while at > 0:
        steps.append(at)
        ambiguous = ambiguous or tied[at]
        at = came[at]
    steps.reverse()
    joints = tuple(xs[k] for k in steps)
    return JointPath(
        joints=joints,
        missed_mm=sum(missed_mm[k - 1] for k in steps),
        sliver_mm=sum(
            strip_min_mm - b + a for a, b in pairwise((start, *joints, end)) if b - a < strip_min_mm
        ),
        extra=tuple(x for x in joints if x in extra),
        price=price[last],
        ambiguous=ambiguous,
    )


def _cheapest_step(
    xs: Sequence[int],
    price: Sequence[int],
    spread: Sequence[int],
    came: Sequence[int],
    before: range,
    x: int,
    board_mm: int,
    strip_min_mm: int,
) -> tuple[int, int, int, bool]:
    """The cheapest width of board that ends at ``x``: (price, spread, from where, tied); price -1 if none."""
    best, best_spread, best_from, tie = -1, 0, -1, False
    for i in before:
        if i and came[i] < 0:
            continue
        width = x - xs[i]
        cost = price[i] + WIDTH
        if width < strip_min_mm:
            cost += (strip_min_mm - width) * SLIVER
        if width != board_mm:
            cost += CUT
        if best < 0 or cost < best or (cost == best and spread[i] < best_spread):
            best, best_spread, best_from, tie = cost, spread[i], i, False
        elif cost == best and spread[i] == best_spread:
            tie = True
    return best, best_spread, best_from, tie


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
