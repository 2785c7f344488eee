"""The compiled part of `boards_swap`: boards emptied and filled anew, alternatives exchanged."""

# numba ships no types, and its decorator hides those below it
# mypy: disable-error-code="untyped-decorator, no-any-return, import-untyped"

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
from numba import njit

from innerleaf.cutting.boards_fit import FITS, SPLITS, Boards, Pieces, Rules, Spots, by_size, fit
from innerleaf.cutting.boards_job import Ints, Shapes, Sheets

_EXCHANGES = 0.6  # share of steps that exchange an alternative
_MORE_EMPTIED = 8  # boards emptied beside those that an exchange empties, at most
_WARM, _COLD = 0.05, 0.001  # of the dearest board: how much worse may pass, at the beginning and at the end
_LEVEL = 0.05  # how often a plan of equal cost passes that is no better otherwise
_LOOKED_AT = 3  # boards of which the worst is emptied, at most
_SIZES = 5  # measures of size to order pieces by


class Book(NamedTuple):
    """All that may be cut, of every material: rows for pieces, and where those wanted lie.

    Rows of type t are ``first[t]`` to ``first[t + 1]``, those of material k ``base[k]`` to ``base[k + 1]``;
    boards of a material have numbers in the same range. ``sheets`` have a line for each material, of which
    ``kinds[k]`` entries count. From ``base[k]`` on stand in ``live`` the boards begun, each at ``place`` in
    that list, and in ``slots`` the spare numbers; ``counts[k]``: how many there are of the two. Entries
    ``starts[k, a]`` to ``starts[k, a + 1]`` are the ``types`` and ``times`` of alternative a.
    """

    pieces: Pieces
    shapes: Shapes
    sheets: Sheets
    kinds: Ints
    net: Ints
    least: Ints
    now: Ints
    spots: Spots
    boards: Boards
    wanted: Ints
    first: Ints
    base: Ints
    live: Ints
    place: Ints
    slots: Ints
    counts: Ints
    starts: Ints
    types: Ints
    times: Ints


class Ruin(NamedTuple):
    """What the last step took apart, of each material from ``base[k]`` on.

    Boards emptied with their sheets and first pieces; rows taken out, put in and moved, and how these lay;
    the numbers of boards begun. ``counts[k]``: boards emptied, rows out, rows in, rows moved, boards begun.
    """

    emptied: Ints
    out: Ints
    into: Ints
    moved: Ints
    saved: Ints
    room: Ints
    counts: Ints


def nothing_yet(rows: int, materials: int) -> Ruin:
    """No step taken yet."""
    lines = [np.zeros(rows, np.int64) for _ in range(4)]
    out, into, moved, room = lines
    counts = np.zeros((materials, 5), np.int64)
    return Ruin(np.zeros((3, rows), np.int64), out, into, moved, np.zeros((8, rows), np.int64), room, counts)


@njit(cache=True)
def cost_of(m: Any) -> int:
    """Price of the boards begun."""
    cost = 0
    for k in range(len(m.kinds)):
        for i in range(m.base[k], m.base[k] + m.counts[k, 0]):
            cost += m.sheets.price[k, m.boards.sheet[m.live[i]]]
    return cost


@njit(cache=True)
def _sheets(m: Any, k: int) -> Any:
    n = m.kinds[k]
    s = m.sheets
    return Sheets(s.width[k, :n], s.length[k, :n], s.edges[k, :n], s.price[k, :n], s.limit[k, :n])


@njit(cache=True)
def begin_plan(m: Any, seed: int, starts: int) -> None:
    """The cheapest of some plans by best fit for each material, written into the book."""
    np.random.seed(seed)
    for k in range(len(m.kinds)):
        low, high = m.base[k], m.base[k + 1]
        rows = low + np.flatnonzero(m.wanted[low:high])
        slots = np.arange(low, high)
        order = by_size(rows, m.pieces, m.shapes, 0, 0.0)
        best, chosen, opened = -1, 0, 0
        for turn in range(starts + 1):
            number = chosen if turn == starts else turn
            m.boards.sheet[low:high], m.boards.head[low:high], m.now[:, low:high] = -1, -1, -1
            rules = Rules(number % 2 * 2, 0, number // 2 - 2, True, 0.0)
            opened = fit(
                order, m.pieces, m.shapes, _sheets(m, k), rules, m.spots, m.boards, slots, m.least[k]
            )
            cost = 0
            for b in slots[:opened]:
                cost += m.sheets.price[k, m.boards.sheet[b]]
            if best < 0 or cost < best:
                best, chosen = cost, number
        m.counts[k, 0], m.counts[k, 1] = opened, high - low - opened
        m.live[low : low + opened] = slots[:opened]
        m.place[low : low + opened] = np.arange(opened)
        m.slots[low : high - opened] = slots[opened:]


@njit(cache=True)
def search(m: Any, ruin: Any, first: Ints, sizes: Ints, prices: Ints, chosen: Ints, best: Ints,
           cost: int, steps: int, seed: int) -> int:  # fmt: skip
    """Exchange and fill anew, again and again; ``best`` is the choice of the cheapest plan met."""
    np.random.seed(seed)
    lowest, dearest, materials = cost, m.sheets.price.max(), len(m.kinds)
    free = np.flatnonzero(sizes > 1)
    for step in range(steps):
        g, old, new = -1, -1, -1
        only = np.random.randint(materials)
        change, used = 0, 0.0
        if len(free) and np.random.random() < _EXCHANGES:
            g = free[np.random.randint(len(free))]
            old = chosen[g]
            new = first[g] + np.random.randint(sizes[g] - 1)
            new += new >= old
            change = prices[new] - prices[old]
        for k in range(materials):
            ruin.counts[k] = 0
            if g >= 0 or k == only:
                more, fuller = _anew(m, k, ruin, old, new)
                change += more
                used += fuller
        if _accepted(change, used, dearest * _WARM * (_COLD / _WARM) ** (step / steps)):
            cost += change
            if g >= 0:
                chosen[g] = new
            if cost < lowest:
                lowest = cost
                best[:] = chosen
        else:
            for k in range(materials):
                _undo(m, k, ruin)
    return lowest


@njit(cache=True)
def _accepted(change: int, used: float, warm: float) -> bool:
    """Cheaper always, dearer now and then; at equal cost rather what leaves boards full or empty."""
    if change == 0:
        return used <= 0 or np.random.random() < _LEVEL
    return change < 0 or np.random.random() < np.exp(-change / warm)


@njit(cache=True)
def _anew(m: Any, k: int, ruin: Any, old: int, new: int) -> tuple[int, float]:
    """Empty some boards and fill in what is wanted now; what that changes in cost and in fullness.

    ``old`` and ``new``: the alternatives exchanged, -1 for none.
    """
    count = ruin.counts[k]
    if new >= 0:
        _exchange_rows(m, k, ruin, old, new)
        if count[1] == 0 and count[2] == 0:
            return 0, 0.0
    for _ in range(np.random.randint(_MORE_EMPTIED) + (0 if new >= 0 else 2)):
        if m.counts[k, 0]:
            _empty(m, k, ruin, _poor(m, k))
    order, change, used = _lifted(m, k, ruin)
    base, gone = m.base[k], count[0]
    room = ruin.room[base : m.base[k + 1]]
    for i in range(gone):
        room[i] = ruin.emptied[0, base + i]
    for i in range(max(0, len(order) - gone)):
        room[gone + i] = m.slots[base + m.counts[k, 1] - 1 - i]
    noise = np.random.random() ** 2 * 0.6
    rules = Rules(
        np.random.randint(FITS), np.random.randint(SPLITS), np.random.randint(-2, m.kinds[k]),
        np.random.random() < 0.7, noise * 0.5,
    )  # fmt: skip
    order = by_size(order, m.pieces, m.shapes, np.random.randint(_SIZES), noise)
    opened = fit(order, m.pieces, m.shapes, _sheets(m, k), rules, m.spots, m.boards, room, m.least[k])
    m.counts[k, 1] -= max(0, opened - gone)
    for i in range(opened, gone):
        m.slots[base + m.counts[k, 1]] = room[i]
        m.counts[k, 1] += 1
    for b in room[:opened]:
        used -= _used(m.boards.head[b], m)
        change += m.sheets.price[k, m.boards.sheet[b]]
        _enter(m, k, b)
    count[4] = opened
    return change, used


@njit(cache=True)
def _lifted(m: Any, k: int, ruin: Any) -> tuple[Ints, int, float]:
    """The pieces of emptied boards and those put in, as far as wanted; what the boards cost and held.

    Where each lay is kept, to be put back.
    """
    base, count = m.base[k], ruin.counts[k]
    moved, used, change = 0, 0.0, 0
    for i in range(base, base + count[0]):
        p = ruin.emptied[2, i]
        used += _used(p, m)
        change -= m.sheets.price[k, ruin.emptied[1, i]]
        while p >= 0:
            ruin.moved[base + moved] = p
            moved += 1
            p = m.spots.next[p]
    for i in range(count[2]):
        ruin.moved[base + moved] = ruin.into[base + i]
        moved += 1
    count[3] = moved
    wanted = np.empty(moved, np.int64)
    kept = 0
    for i in range(base, base + moved):
        p = ruin.moved[i]
        ruin.saved[:, i] = m.now[:, p]
        if m.wanted[p]:
            wanted[kept] = p
            kept += 1
        else:
            m.spots.board[p] = -1
    return wanted[:kept], change, used


@njit(cache=True)
def _exchange_rows(m: Any, k: int, ruin: Any, old: int, new: int) -> None:
    """Mark rows of the new alternative wanted, those of the old no longer, and empty the boards of these."""
    i, j = m.starts[k, old], m.starts[k, new]
    end_old, end_new = m.starts[k, old + 1], m.starts[k, new + 1]
    while i < end_old or j < end_new:
        if j >= end_new or (i < end_old and m.types[i] < m.types[j]):
            t, more = m.types[i], -m.times[i]
            i += 1
        elif i >= end_old or m.types[j] < m.types[i]:
            t, more = m.types[j], m.times[j]
            j += 1
        else:
            t, more = m.types[i], m.times[j] - m.times[i]
            i += 1
            j += 1
        if more:
            _more_or_less(m, k, ruin, t, more)


@njit(cache=True)
def _more_or_less(m: Any, k: int, ruin: Any, t: int, more: int) -> None:
    """So many rows of a type wanted, or, where ``more`` is below zero, so many no longer: any of them."""
    base, count = m.base[k], ruin.counts[k]
    p = m.first[t] + np.random.randint(m.first[t + 1] - m.first[t])
    while more != 0:
        if more > 0 and not m.wanted[p]:
            m.wanted[p] = 1
            ruin.into[base + count[2]] = p
            count[2] += 1
            more -= 1
        elif more < 0 and m.wanted[p]:
            m.wanted[p] = 0
            ruin.out[base + count[1]] = p
            count[1] += 1
            if m.boards.head[m.spots.board[p]] >= 0:
                _empty(m, k, ruin, m.spots.board[p])
            more += 1
        p += 1
        if p == m.first[t + 1]:
            p = m.first[t]


@njit(cache=True)
def _empty(m: Any, k: int, ruin: Any, b: int) -> None:
    """Take a board off the book; its pieces keep their places until they are filled in anew."""
    at = m.base[k] + ruin.counts[k, 0]
    ruin.emptied[0, at], ruin.emptied[1, at], ruin.emptied[2, at] = b, m.boards.sheet[b], m.boards.head[b]
    ruin.counts[k, 0] += 1
    m.boards.head[b] = -1
    _leave(m, k, b)


@njit(cache=True)
def _poor(m: Any, k: int) -> int:
    """A board that is rather badly used."""
    b, least = -1, 0.0
    for _ in range(1 + np.random.randint(_LOOKED_AT)):
        other = m.live[m.base[k] + np.random.randint(m.counts[k, 0])]
        sheet = m.boards.sheet[other]
        area = float(m.sheets.width[k, sheet] * m.sheets.length[k, sheet])
        share = _used(m.boards.head[other], m) / (area * area)
        if b < 0 or share < least:
            b, least = other, share
    return b


@njit(cache=True)
def _used(first: int, m: Any) -> float:
    """Area of a piece and those after it on the board, squared: the sum over boards tells full ones."""
    used = 0.0
    p = first
    while p >= 0:
        used += m.net[m.pieces.type[p]]
        p = m.spots.next[p]
    return used * used


@njit(cache=True)
def _undo(m: Any, k: int, ruin: Any) -> None:
    """As it was before the last step."""
    base, count = m.base[k], ruin.counts[k]
    gone, opened = count[0], count[4]
    for b in ruin.room[base : base + opened]:
        m.boards.head[b] = -1
        _leave(m, k, b)
    m.counts[k, 1] -= max(0, gone - opened)
    for i in range(opened - 1, gone - 1, -1):
        m.slots[base + m.counts[k, 1]] = ruin.room[base + i]
        m.counts[k, 1] += 1
    for i in range(base, base + count[3]):
        m.now[:, ruin.moved[i]] = ruin.saved[:, i]
    for p in ruin.out[base : base + count[1]]:
        m.wanted[p] = 1
    for p in ruin.into[base : base + count[2]]:
        m.wanted[p] = 0
    for i in range(base, base + gone):
        b = ruin.emptied[0, i]
        m.boards.sheet[b], m.boards.head[b] = ruin.emptied[1, i], ruin.emptied[2, i]
        _enter(m, k, b)


@njit(cache=True)
def _enter(m: Any, k: int, b: int) -> None:
    m.live[m.base[k] + m.counts[k, 0]], m.place[b] = b, m.counts[k, 0]
    m.counts[k, 0] += 1


@njit(cache=True)
def _leave(m: Any, k: int, b: int) -> None:
    m.counts[k, 0] -= 1
    last = m.live[m.base[k] + m.counts[k, 0]]
    m.live[m.base[k] + m.place[b]], m.place[last] = last, m.place[b]
    m.place[b] = -1
