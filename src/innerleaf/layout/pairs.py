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

    def way_prices(self, i: int) -> list[int]:
        """What a layer pays on its own for a width of board from ``i`` to each number it reaches."""
        prices = []
        for j in range(i + 1, bisect_right(self.xs, self.xs[i] + self.board_mm)):
            width = self.xs[j] - self.xs[i]
            price = WIDTH + self.missed[j] * RULE
            if width < self.strip_min_mm:
                price += (self.strip_min_mm - width) * SLIVER
            if width != self.board_mm:
                price += CUT
            prices.append(price + EXTRA if self.xs[j] in self.extra else price)
        return prices

    def too_near(self, k: int, others: Sequence[int]) -> int:
        """By how much a joint is too near to joints of the other layer, summed."""
        return sum(max(0, self.offset_mm - abs(self.xs[k] - self.xs[o])) for o in others)

    def blocked(self, k: int, behind: Sequence[int]) -> bool:
        """Whether a member added for a joint would stand in one added for another."""
        x, extra = self.xs[k], self.extra
        return x in extra and any(x - self.face_mm < self.xs[o] < x and self.xs[o] in extra for o in behind)


@dataclass(frozen=True, slots=True)
class _Known:
    """What is known before the sweep, by number of the place.

    ``ways``: prices of the next widths; ``rest``: the least a layer on its own pays to the end, capped;
    ``close``: the first number that is close enough behind to matter.
    """

    ways: list[list[int]]
    rest: list[int]
    close: list[int]


def lay_pair(places: PairPlaces, *, below: int) -> tuple[JointPath, JointPath] | None:
    """The cheapest joints of two layers together, or none if no pair costs less than ``below``.

    Each layer pays for the members it needs, also where both need the same. Where several pairs cost
    the same, one of them is found; the paths therefore say they are ambiguous.
    """
    known, last = _known(places, below), len(places.xs) - 1
    start: _State = ((0,), (0,))
    paid = {start: 0}
    came: dict[_State, tuple[_State, bool]] = {}
    waiting = [(2 * known.rest[0], 0, start)]
    while waiting:
        least, _, state = heappop(waiting)
        (*_, ahead), (*_, behind) = state
        if least >= below:
            return None
        if behind == last:
            return _paths(places, known, came, state)
        spent = paid[state]
        if least > spent + known.rest[ahead] + known.rest[behind]:
            continue  # reached cheaper since
        for least, following, swapped, price in _steps(places, known, state, below - spent):
            total = spent + price
            if total < paid.get(following, below):
                paid[following] = total
                came[following] = state, swapped
                heappush(waiting, (spent + least, -following[0][-1], following))
    return None


def _known(places: PairPlaces, below: int) -> _Known:
    xs, last = places.xs, len(places.xs) - 1
    ways = [places.way_prices(i) for i in range(last)]
    rest = [below] * last + [0]
    for i in range(last - 1, -1, -1):
        rest[i] = min(
            (price + after for price, after in zip(ways[i], rest[i + 1 :], strict=False)), default=below
        )
    reach = max(places.offset_mm, places.face_mm)
    return _Known(ways, rest, [max(1, bisect_right(xs, x - reach)) for x in xs])


def _steps(
    places: PairPlaces, known: _Known, state: _State, room: int
) -> Iterator[tuple[int, _State, bool, int]]:
    """States one joint farther that leave the whole cheaper than ``room``.

    With each: what is then paid from here at least, whether the layers changed places, and the step's price.
    No joint may lie farther on than a board reaches from the layer that lies behind, or that one is stuck.
    """
    ahead, behind = state
    front, back, last = ahead[-1], behind[-1], len(places.xs) - 1
    ways, rest = known.ways, known.rest
    stop = back + len(ways[back])
    if stop == last:
        price = ways[front][-1] + ways[back][-1]
        yield price, ((last,), (last,)), False, price
        stop -= 1
    for k in range(max(1, front), stop + 1):
        swap = ways[back][k - back - 1]
        stay = ways[front][k - front - 1] if k > front else room
        if min(swap + rest[front], stay + rest[back]) + rest[k] >= room or places.blocked(k, ahead + behind):
            continue
        close = known.close[k]
        first, second = tuple(o for o in ahead if o >= close), tuple(o for o in behind if o >= close)
        swap += places.too_near(k, first) * RULE
        if swap + rest[front] + rest[k] < room:
            yield swap + rest[front] + rest[k], ((*second, k), first or ahead[-1:]), True, swap
        stay += places.too_near(k, second) * RULE
        if stay + rest[back] + rest[k] < room:
            yield stay + rest[back] + rest[k], ((*first, k), second or behind[-1:]), False, stay


def _paths(
    places: PairPlaces, known: _Known, came: dict[_State, tuple[_State, bool]], goal: _State
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
    return _path(places, known, first, []), _path(places, known, second, first)


def _path(places: PairPlaces, known: _Known, joints: Sequence[int], other: Sequence[int]) -> JointPath:
    """One layer beside another that is laid: its share of what the pair costs."""
    xs = places.xs
    widths = list(pairwise((0, *joints, len(xs) - 1)))
    too_near = sum(places.too_near(k, other) for k in joints)
    return JointPath(
        joints=tuple(xs[k] for k in joints),
        missed_mm=sum(places.missed[k] for k in joints) + too_near,
        sliver_mm=sum(max(0, places.strip_min_mm - xs[j] + xs[i]) for i, j in widths),
        extra=tuple(xs[k] for k in joints if xs[k] in places.extra),
        price=sum(known.ways[i][j - i - 1] for i, j in widths) + too_near * RULE,
        ambiguous=True,
    )
