"""Vertical joints of two neighbouring board layers laid together, where one after the other is not enough.

Both layers are laid in one sweep from one end to the other. What the next joint costs depends on the last
joint of each layer and on those close enough behind to be in its way; nothing else has to be
remembered, so the cheapest pair is a shortest path over such states, found exactly. What is still to be
paid is at least what each layer would pay on its own; that keeps the search on its way (A*).
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from heapq import heappop, heappush
from itertools import pairwise

from innerleaf.layout.joints import CUT, EXTRA, RULE, SLIVER, WIDTH, JointPath

# Joints by number, counted from 1: of the layer that has come farther, then of the other; 0 is the start.
# Both layers keep the same rules, so which of them is which need not be remembered.
_Joints = tuple[int, ...]
_State = tuple[_Joints, _Joints]


@dataclass(frozen=True, slots=True, kw_only=True)
class PairPlaces:
    """Where joints of two layers may stand and what they keep. [mm]

    ``xs`` are the start, the places in order and the end. ``missed`` says by how much a joint at each
    would miss the rules of its own layer (0 at both ends), ``extra`` which need a member of their own,
    ``face_mm`` wide. ``offset_mm`` is the least distance between joints of the two layers.
    """

    xs: tuple[int, ...]
    missed: tuple[int, ...]
    extra: frozenset[int]
    board_mm: int
    strip_min_mm: int
    offset_mm: int
    face_mm: int

    def price(self, i: int, j: int) -> int:
        """What a layer pays on its own for a width of board and the joint that ends it."""
        width = self.xs[j] - self.xs[i]
        price = WIDTH + self.missed[j] * RULE
        if width < self.strip_min_mm:
            price += (self.strip_min_mm - width) * SLIVER
        if width != self.board_mm:
            price += CUT
        return price + EXTRA if self.xs[j] in self.extra else price

    def close_behind(self, k: int, joints: Sequence[int]) -> tuple[int, ...]:
        """Those of the joints up to ``k`` that could be too close to it or be in the way of its member."""
        least = self.xs[k] - max(self.offset_mm, self.face_mm)
        return tuple(o for o in joints if o and self.xs[o] > least)

    def too_near(self, k: int, others: Sequence[int]) -> int:
        """By how much a joint is too near to joints of the other layer, summed."""
        return sum(max(0, self.offset_mm - abs(self.xs[k] - self.xs[o])) for o in others)

    def blocked(self, k: int, behind: Sequence[int]) -> bool:
        """Whether a member added for a joint would stand in one added for another."""
        x, extra = self.xs[k], self.extra
        return x in extra and any(x - self.face_mm < self.xs[o] < x and self.xs[o] in extra for o in behind)


def lay_pair(places: PairPlaces, *, below: int) -> tuple[JointPath, JointPath] | None:
    """The cheapest joints of two layers together, or none if no pair costs less than ``below``.

    Each layer pays for the members it needs, also where both need the same. Where several pairs cost
    the same, one of them is found; the paths therefore say they are ambiguous.
    """
    ways, last = _ways_on(places), len(places.xs) - 1
    rest = _least_rest(ways, below)
    start: _State = ((0,), (0,))
    paid = {start: 0}
    came: dict[_State, tuple[_State, bool]] = {}
    waiting = [(2 * rest[0], 0, start)]
    while waiting:
        least, _, state = heappop(waiting)
        (*_, ahead), (*_, behind) = state
        spent = paid[state]
        if least >= below:
            return None
        if ahead == behind == last:
            return _paths(places, came, state)
        if least > spent + rest[ahead] + rest[behind]:
            continue  # reached cheaper since
        for following, swapped, price in _steps(places, ways, state):
            total = spent + price
            (*_, ahead), (*_, behind) = following
            least = total + rest[ahead] + rest[behind]
            if least < below and total < paid.get(following, below):
                paid[following] = total
                came[following] = state, swapped
                heappush(waiting, (least, -ahead, following))
    return None


def _ways_on(places: PairPlaces) -> list[dict[int, int]]:
    """From each number, those that a board reaches, with what a layer pays on its own to get there."""
    xs, count = places.xs, len(places.xs)
    return [
        {j: places.price(i, j) for j in range(i + 1, bisect_right(xs, xs[i] + places.board_mm))}
        for i in range(count)
    ]


def _least_rest(ways: Sequence[dict[int, int]], below: int) -> list[int]:
    """What a layer on its own pays from each number to the end; ``below`` where that would be more."""
    rest = [below] * (len(ways) - 1) + [0]
    for i in range(len(ways) - 2, -1, -1):
        rest[i] = min(below, *(price + rest[j] for j, price in ways[i].items()))
    return rest


def _steps(
    places: PairPlaces, ways: Sequence[dict[int, int]], state: _State
) -> Iterator[tuple[_State, bool, int]]:
    """States one joint farther, whether the layers changed places, and what the step costs.

    No joint may lie farther on than a board reaches from the layer that lies behind, or that one is stuck.
    """
    ahead, behind = state
    front, last = ahead[-1], len(ways) - 1
    if last in ways[behind[-1]]:
        yield ((last,), (last,)), False, ways[front][last] + ways[behind[-1]][last]
    for k, price in ways[behind[-1]].items():
        if k < front or k == last:
            continue
        first, second = places.close_behind(k, ahead), places.close_behind(k, behind)
        if places.blocked(k, first + second):
            continue
        yield ((*second, k), first or ahead[-1:]), True, price + places.too_near(k, first) * RULE
        if k > front:
            price = ways[front][k] + places.too_near(k, second) * RULE
            yield ((*first, k), second or behind[-1:]), False, price


def _paths(
    places: PairPlaces, came: dict[_State, tuple[_State, bool]], goal: _State
) -> tuple[JointPath, JointPath]:
    """The joints of both layers, followed back from the end; the one that starts farther left first."""
    turns = []
    state, swapped = came[goal]
    while state in came:
        at = state[0][-1]
        state, swapped = came[state]
        turns.append((at, swapped))
    ahead: list[int] = []
    behind: list[int] = []
    for at, swapped in reversed(turns):
        if swapped:
            ahead, behind = behind, ahead
        ahead.append(at)
    first, second = sorted((ahead, behind))
    return _path(places, first, []), _path(places, second, first)


def _path(places: PairPlaces, joints: Sequence[int], other: Sequence[int]) -> JointPath:
    """One layer beside another that is laid: its share of what the pair costs."""
    xs = places.xs
    widths = list(pairwise((0, *joints, len(xs) - 1)))
    too_near = sum(places.too_near(k, other) for k in joints)
    return JointPath(
        joints=tuple(xs[k] for k in joints),
        missed_mm=sum(places.missed[k] for k in joints) + too_near,
        sliver_mm=sum(max(0, places.strip_min_mm - xs[j] + xs[i]) for i, j in widths),
        extra=tuple(xs[k] for k in joints if xs[k] in places.extra),
        price=sum(places.price(i, j) for i, j in widths) + too_near * RULE,
        ambiguous=True,
    )
