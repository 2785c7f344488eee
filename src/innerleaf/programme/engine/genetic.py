"""Genetic search over orders of work, compiled; every child is pushed to and fro.

Orders as lists of activities, decoded by the serial scheme (Hartmann, Naval Research Logistics 45, 1998);
each schedule justified backward and forward (Valls, Ballestín, Quintanilla, EJOR 165, 2005); a stretch
where crews are well used passed on whole (Valls et al., EJOR 185, 2008). All from memory.
"""

# numba ships no types, and its decorator hides those below it
# mypy: disable-error-code="untyped-decorator, no-any-return, import-untyped"

from __future__ import annotations

from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np
from numba import njit

from innerleaf.programme.engine.grid import Grid, Ints
from innerleaf.programme.engine.serial import (
    NONE,
    backward,
    cost_of,
    forward,
    gather,
    order_back,
    order_of,
)

if TYPE_CHECKING:
    from numpy.typing import NDArray

_MANY = 200  # activities from which on bunches are shifted
_BUNCH = 12  # activities in a bunch, at most


class Herd(NamedTuple):
    """Schedules bred from each other, the best so far in the last row.

    ``ties`` settle which of two that cost the same is better: the sum of ends. ``counts[0]`` schedules
    built, ``counts[1]`` births since the best got better; ``chance`` the state of the random numbers; the
    rest is room to work in.
    """

    orders: Ints
    bold: NDArray[np.bool_]
    starts: Ints
    costs: Ints
    ties: Ints
    tails: Ints
    chance: NDArray[np.uint64]
    counts: Ints
    ends: Ints
    used: Ints
    spare: Ints


def new_herd(grid: Grid, size: int, tails: Ints, seed: int) -> Herd:
    """Rows still empty."""
    count = len(grid.duration)
    return Herd(
        orders=np.tile(grid.free, (size + 3, 1)),
        bold=np.zeros((size + 3, count), np.bool_),
        starts=np.full((size + 3, count), -1, np.int64),
        costs=np.full(size + 3, NONE, np.int64),
        ties=np.zeros(size + 3, np.int64),
        tails=tails,
        chance=np.array([seed * 2654435761 + 88172645463325252], np.uint64),
        counts=np.zeros(2, np.int64),
        ends=np.zeros((2, count), np.int64),
        used=np.zeros_like(grid.done),
        spare=np.zeros((2, count), np.int64),
    )


@njit(cache=True, nogil=True)
def draw(chance: Any, below: int) -> Any:
    """A number from 0 up to ``below``, not included."""
    x = chance[0]
    x ^= x << np.uint64(13)
    x ^= x >> np.uint64(7)
    x ^= x << np.uint64(17)
    chance[0] = x
    return np.int64((x >> np.uint64(11)) % np.uint64(below))


@njit(cache=True, nogil=True)
def decode(g: Any, h: Any, row: int, tries: int) -> None:
    """Schedule and cost of the order in a row, improved to and fro; the order becomes that of the starts."""
    order, bold, starts, ends = h.orders[row], h.bold[row], h.starts[row], h.ends[0]
    nf = len(g.free)
    h.counts[0] += 1
    h.costs[row] = NONE
    if not forward(g, order, bold, starts, ends, h.used):
        return
    h.costs[row], h.ties[row] = cost_of(g, starts, ends, h.used), ends.sum()
    trial, back = h.spare[0], h.spare[1]
    for _ in range(tries):
        order_back(g, ends, back[:nf])
        if not backward(g, back[:nf], bold, max(ends), trial, h.ends[1], h.used):
            break
        order_of(g, trial, back[:nf])
        if not forward(g, back[:nf], bold, trial, h.ends[1], h.used):
            break
        h.counts[0] += 2
        cost = cost_of(g, trial, h.ends[1], h.used)
        better = cost < h.costs[row]
        if cost <= h.costs[row]:
            h.costs[row], h.ties[row] = cost, h.ends[1].sum()
            starts[:] = trial
            ends[:] = h.ends[1]
        if not better:
            break
    order_of(g, starts, order)
    if g.weights[1] > 0:
        _join(g, h, row)


@njit(cache=True, nogil=True)
def _join(g: Any, h: Any, row: int) -> None:
    """Visits joined where that is cheaper; the order stays."""
    starts, ends, trial = h.starts[row], h.ends[0], h.spare[0]
    trial[:] = starts
    h.ends[1][:] = ends
    empty_used(g, trial, h.used)
    gather(g, trial, h.ends[1], h.used)
    cost = cost_of(g, trial, h.ends[1], h.used)
    if cost < h.costs[row]:
        h.costs[row] = cost
        starts[:] = trial
        order_of(g, starts, h.orders[row])


@njit(cache=True, nogil=True)
def empty_used(g: Any, starts: Ints, used: Ints) -> None:
    """Units in use by a schedule."""
    used[:] = g.done
    for i in g.free:
        c = g.calendar[i]
        first = g.before[c, min(starts[i], g.slots)]
        for n in range(g.need_from[i], g.need_from[i + 1]):
            for k in range(first, first + g.duration[i]):
                used[g.need[n, 0], g.nth[c, k]] += g.need[n, 1]


@njit(cache=True, nogil=True)
def sample(g: Any, h: Any, row: int, greed: int) -> None:
    """A random order: of ``greed`` activities drawn among those that may come next, the one most pressed."""
    waits = np.zeros(len(g.duration), np.int64)
    for i in g.free:
        for a in range(g.out_from[i], g.out_from[i + 1]):
            if _binds(g, i, a):
                waits[g.out[a, 0]] += 1
    able = np.empty(len(g.free), np.int64)
    many = 0
    for i in g.free:
        if waits[i] == 0:
            able[many] = i
            many += 1
    for n in range(len(g.free)):
        pick = draw(h.chance, many)
        for _ in range(greed - 1):
            other = draw(h.chance, many)
            if h.tails[able[other]] < h.tails[able[pick]]:
                pick = other
        i = able[pick]
        h.orders[row, n] = i
        many -= 1
        able[pick] = able[many]
        for a in range(g.out_from[i], g.out_from[i + 1]):
            if _binds(g, i, a):
                j = g.out[a, 0]
                waits[j] -= 1
                if waits[j] == 0:
                    able[many] = j
                    many += 1


@njit(cache=True, nogil=True)
def _binds(g: Any, i: int, a: int) -> bool:
    """The arc holds the start of what follows at or after that of i."""
    return g.out[a, 1] + (g.duration[i] if g.out[a, 2] >= 0 else 0) >= 0


@njit(cache=True, nogil=True)
def fill(g: Any, h: Any, first: int, last: int) -> None:
    """Random rows; they are the start of a herd, or its new blood."""
    for row in range(first, last):
        sample(g, h, row, 1 + row % 5)
        for i in g.free:
            h.bold[row, i] = g.weights[2] == 0 or row % 2 == 1
        decode(g, h, row, 1)
        keep_best(h, row)


@njit(cache=True, nogil=True)
def keep_best(h: Any, row: int) -> None:
    """Note it in the last row, if it is the best."""
    best = len(h.costs) - 1
    if _before(h, row, best):
        if h.costs[row] < h.costs[best]:
            h.counts[1] = 0
        _copy(h, row, best)


@njit(cache=True, nogil=True)
def _before(h: Any, row: int, other: int) -> bool:
    """The better of the two."""
    if h.costs[row] != h.costs[other]:
        return h.costs[row] < h.costs[other]
    return h.ties[row] < h.ties[other]


@njit(cache=True, nogil=True)
def _copy(h: Any, row: int, to: int) -> None:
    h.orders[to] = h.orders[row]
    h.bold[to] = h.bold[row]
    h.starts[to] = h.starts[row]
    h.costs[to] = h.costs[row]
    h.ties[to] = h.ties[row]


@njit(cache=True, nogil=True)
def _stretch(g: Any, h: Any, row: int) -> tuple[int, int]:
    """Positions in the order of a stretch of time that keeps crews busy: the best of some drawn."""
    nf = len(g.free)
    starts, order = h.starts[row], h.orders[row]
    need_from, need, duration = g.need_from, g.need, g.duration
    length = nf // 6 + draw(h.chance, max(1, nf // 2))
    best_from = 0
    best = -1.0
    for _ in range(3):
        begin = draw(h.chance, max(1, nf - length))
        work = 0
        for n in range(begin, min(nf, begin + length)):
            i = order[n]
            for m in range(need_from[i], need_from[i + 1]):
                work += need[m, 1] * duration[i]
        share = work / (1.0 + starts[order[min(nf - 1, begin + length)]] - starts[order[begin]])
        if share > best:
            best = share
            best_from = begin
    return best_from, min(nf, best_from + length)


@njit(cache=True, nogil=True)
def _cross(g: Any, h: Any, mother: int, father: int, child: int) -> None:
    """A child with a stretch of the mother as it is, before and behind it in the order of the father.

    Or the other way about: only the stretch in the order of the father.
    """
    free = g.free
    nf = len(free)
    begin, end = _stretch(g, h, mother)
    place = h.spare[0]
    order, others, new = h.orders[mother], h.orders[father], h.orders[child]
    for n in range(nf):
        place[order[n]] = n
    inner = draw(h.chance, 2) == 0
    at = np.array([0, begin, end])
    for n in range(nf):
        i = others[n]
        where = place[i]
        part = 0 if where < begin else 1 if where < end else 2
        if inner == (part == 1):
            new[at[part]] = i
            at[part] += 1
        else:
            new[where] = i
    bold, hers, his = h.bold[child], h.bold[mother], h.bold[father]
    for i in free:
        inside = begin <= place[i] < end
        bold[i] = his[i] if inner == inside else hers[i]


@njit(cache=True, nogil=True)
def _mutate(g: Any, h: Any, child: int, moves: int) -> None:
    """Some activities to other places in the order, as far as arcs allow."""
    nf = len(g.free)
    order, out_from, out, chance = h.orders[child], g.out_from, g.out, h.chance
    for _ in range(moves):
        n = draw(chance, nf)
        i = order[n]
        step = 1 if draw(chance, 2) == 0 else -1
        for _ in range(1 + draw(chance, max(1, min(nf // 4, 40)))):
            m = n + step
            if m < 0 or m >= nf:
                break
            first, second = (i, order[m]) if step > 0 else (order[m], i)
            tied = False
            for a in range(out_from[first], out_from[first + 1]):
                tied |= out[a, 0] == second
            if tied:
                break
            order[n] = order[m]
            order[m] = i
            n = m
        if g.weights[2] > 0 and draw(chance, 2) == 0:
            h.bold[child, i] = not h.bold[child, i]


@njit(cache=True, nogil=True)
def _shift(g: Any, h: Any, mother: int, child: int) -> None:
    """The mother with some bunches of tied activities (rooms) earlier or later as a whole."""
    keys, mark = h.spare[0], h.spare[1]
    keys[:] = h.starts[mother]
    h.bold[child] = h.bold[mother]
    mark[:] = 0
    span = 1
    for i in g.free:
        span = max(span, keys[i])
    queue = np.empty(_BUNCH, np.int64)
    for bunch in range(1, 2 + draw(h.chance, 4)):
        queue[0] = g.free[draw(h.chance, len(g.free))]
        mark[queue[0]] = bunch
        many, at, most = 1, 0, 1 + draw(h.chance, _BUNCH)
        while at < many:
            i = queue[at]
            at += 1
            if g.out_from[i + 1] - g.out_from[i] > 6:
                continue
            for a in range(g.out_from[i], g.out_from[i + 1]):
                j = g.out[a, 0]
                if many < most and mark[j] != bunch and g.fixed[j] < 0:
                    mark[j] = bunch
                    queue[many] = j
                    many += 1
        by = draw(h.chance, 1 + span // 4) - span // 8
        for n in range(many):
            keys[queue[n]] = min(g.slots, max(0, keys[queue[n]] + by))
    agree(g, keys)
    order_of(g, keys, h.orders[child])


@njit(cache=True, nogil=True)
def agree(g: Any, keys: Ints) -> None:
    """Raise keys so that none falls along an arc."""
    into_from, into = g.into_from, g.into
    for i in g.free:
        for a in range(into_from[i], into_from[i + 1]):
            keys[i] = max(keys[i], keys[into[a, 0]])


@njit(cache=True, nogil=True)
def _parent(h: Any, size: int) -> int:
    one, other = draw(h.chance, size), draw(h.chance, size)
    return other if _before(h, other, one) else one


@njit(cache=True, nogil=True)
def breed(g: Any, h: Any, births: int, goal: int, stale: int) -> None:
    """Children for the herd; each takes the place of a worse one. Stops at a cost of ``goal``.

    After ``stale`` births without a better schedule, all but the best row are drawn anew.
    """
    size = len(h.costs) - 3
    child, best = size, size + 2
    nf = len(g.free)
    for _ in range(births):
        if h.costs[best] <= goal or nf < 2:
            return
        h.counts[1] += 1
        if h.counts[1] > stale:
            fill(g, h, 0, size)
            _copy(h, best, draw(h.chance, size))
            h.counts[1] = 0
        mother, father = _parent(h, size), _parent(h, size)
        if nf > _MANY and draw(h.chance, 3) > 0:
            _shift(g, h, mother, child)
        else:
            _cross(g, h, mother, father, child)
            _mutate(g, h, child, draw(h.chance, 1 + max(2, nf // 40)))
        decode(g, h, child, 1)
        keep_best(h, child)
        worst, same = 0, False
        for row in range(size):
            if _before(h, worst, row):
                worst = row
            if h.costs[row] == h.costs[child] and h.ties[row] == h.ties[child] and _alike(h, row, child):
                same = True
                break
        if not same and _before(h, child, worst):
            _copy(h, child, worst)


@njit(cache=True, nogil=True)
def _alike(h: Any, row: int, other: int) -> bool:
    return bool((h.starts[row] == h.starts[other]).all())
