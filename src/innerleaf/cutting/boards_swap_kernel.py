"""The compiled part of `boards_swap`: boards emptied and filled anew, alternatives exchanged."""

# numba ships no types, and its decorator hides those below it
# mypy: disable-error-code="untyped-decorator, no-any-return, import-untyped"

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
from numba import njit

from innerleaf.cutting.boards_fit import FITS, SPLITS, Boards, Pieces, Rules, Spots, fit
from innerleaf.cutting.boards_job import Ints, Shapes, Sheets

_EXCHANGES = 0.6  # share of steps that exchange an alternative
_MORE_EMPTIED = 8  # boards emptied beside those that an exchange empties, at most
_WARM, _COLD = 0.05, 0.001  # of the dearest board: how much worse may pass, at the beginning and at the end
_LEVEL = 0.05  # how often a plan of equal cost passes that is no better otherwise
_LOOKED_AT = 3  # boards of which the worst is emptied, at most
_SIZES = 5  # measures of size to order pieces by


class Material(NamedTuple):
    """The boards of one material: all rows there may be of each type, and where those wanted lie.

    Rows of type t are ``first[t]`` to ``first[t + 1]``. ``live``: boards begun, each at ``place`` in that
    list; ``slots``: spare numbers; ``counts``: how many there are of the two. Row a of ``starts`` and the
    next one bound the ``types`` and ``times`` of alternative a.
    """

    pieces: Pieces
    shapes: Shapes
    sheets: Sheets
    net: Ints
    least: Ints
    now: Ints
    spots: Spots
    boards: Boards
    wanted: Ints
    first: Ints
    live: Ints
    place: Ints
    slots: Ints
    counts: Ints
    starts: Ints
    types: Ints
    times: Ints


class Ruin(NamedTuple):
    """What was emptied in one material: boards, their sheets and first pieces; rows out, in and moved."""

    emptied: Ints
    out: Ints
    into: Ints
    moved: Ints
    counts: Ints  # boards emptied, rows out, rows in, rows moved, boards begun
    room: Ints
    saved: Ints


@njit(cache=True)
def cost_of(m: Any) -> int:
    """Price of the boards begun."""
    cost = 0
    for i in range(m.counts[0]):
        cost += m.sheets.price[m.boards.sheet[m.live[i]]]
    return cost


@njit(cache=True)
def begin_plan(m: Any, seed: int, starts: int) -> None:
    """The cheapest of some plans by best fit, written into the book."""
    np.random.seed(seed)
    rows = np.flatnonzero(m.wanted)
    slots = np.arange(len(m.wanted))
    best, chosen = -1, 0
    for turn in range(starts + 1):
        number = chosen if turn == starts else turn
        m.boards.sheet[:], m.boards.head[:], m.now[:] = -1, -1, -1
        rules = Rules(number % 2 * 2, 0, number // 2 - 2, True, 0.0)
        opened = fit(
            _sorted(rows, m.pieces, m.shapes, 0, 0.0), m.pieces, m.shapes, m.sheets, rules, m.spots, m.boards,
            slots, m.least,
        )  # fmt: skip
        cost = 0
        for b in range(opened):
            cost += m.sheets.price[m.boards.sheet[b]]
        if best < 0 or cost < best:
            best, chosen = cost, number
    m.counts[0], m.counts[1] = opened, len(slots) - opened
    m.live[:opened], m.place[:opened] = slots[:opened], slots[:opened]
    m.slots[: len(slots) - opened] = slots[opened:]


@njit(cache=True)
def _sorted(order: Ints, pieces: Any, shapes: Any, kind: int, noise: float) -> Ints:
    """The pieces in the order to be placed: the large ones first, by one measure of size or another."""
    keys = np.empty(len(order))
    for i in range(len(order)):
        s = pieces.first_shape[pieces.type[order[i]]]
        w, length = float(shapes.width[s]), float(shapes.length[s])
        if kind == 0:
            key = length * 1e4 + w
        elif kind == 1:
            key = w * length
        elif kind == 2:
            key = w * 1e4 + length
        elif kind == 3:
            key = max(w, length)
        else:
            key = w + length
        keys[i] = -key * (1 + noise * (np.random.random() - 0.5)) - 0.1 * shapes.edges[s]
    return order[np.argsort(keys, kind="mergesort")]


@njit(cache=True)
def search(materials: Any, ruins: Any, first: Ints, sizes: Ints, prices: Ints, chosen: Ints, best: Ints,
            cost: int, steps: int, seed: int) -> int:  # fmt: skip
    """Exchange and fill anew, again and again; ``best`` is the choice of the cheapest plan met."""
    np.random.seed(seed)
    lowest = cost
    dearest = 0
    for m in materials:
        dearest = max(dearest, m.sheets.price.max())
    free = np.flatnonzero(sizes > 1)
    for step in range(steps):
        g, old, new = -1, -1, -1
        only = np.random.randint(len(materials))
        if len(free) and np.random.random() < _EXCHANGES:
            g = free[np.random.randint(len(free))]
            old = chosen[g]
            new = first[g] + np.random.randint(sizes[g] - 1)
            new += new >= old
        change, used = 0, 0.0
        if g >= 0:
            change = prices[new] - prices[old]
        for k in range(len(materials)):
            if g >= 0 or k == only:
                more, fuller = _anew(materials[k], ruins[k], old, new)
                change += more
                used += fuller
            else:
                ruins[k].counts[:] = 0
        if _accepted(change, used, dearest * _WARM * (_COLD / _WARM) ** (step / steps)):
            cost += change
            if g >= 0:
                chosen[g] = new
            if cost < lowest:
                lowest = cost
                best[:] = chosen
        else:
            for k in range(len(materials)):
                _undo(materials[k], ruins[k])
    return lowest


@njit(cache=True)
def _accepted(change: int, used: float, warm: float) -> bool:
    """Cheaper always, dearer now and then; at equal cost rather what leaves boards full or empty."""
    if change == 0:
        return used <= 0 or np.random.random() < _LEVEL
    return change < 0 or np.random.random() < np.exp(-change / warm)


@njit(cache=True)
def _anew(m: Any, ruin: Any, old: int, new: int) -> tuple[int, float]:
    """Empty some boards and fill in what is wanted now; what that changes in cost and in fullness.

    ``old`` and ``new``: the alternatives exchanged, -1 for none.
    """
    ruin.counts[:] = 0
    if new >= 0:
        _exchange_rows(m, ruin, old, new)
        if ruin.counts[1] == 0 and ruin.counts[2] == 0:
            return 0, 0.0
    more = np.random.randint(_MORE_EMPTIED) if new >= 0 else 2 + np.random.randint(_MORE_EMPTIED)
    for _ in range(more):
        if m.counts[0]:
            _empty(m, ruin, _poor(m))
    order, change, used = _lifted(m, ruin)
    gone = ruin.counts[0]
    for i in range(gone):
        ruin.room[i] = ruin.emptied[0, i]
    for i in range(max(0, len(order) - gone)):
        ruin.room[gone + i] = m.slots[m.counts[1] - 1 - i]
    noise = np.random.random() ** 2 * 0.6
    rules = Rules(
        np.random.randint(FITS), np.random.randint(SPLITS), np.random.randint(-2, len(m.sheets.width)),
        np.random.random() < 0.7, noise * 0.5,
    )  # fmt: skip
    order = _sorted(order, m.pieces, m.shapes, np.random.randint(_SIZES), noise)
    opened = fit(order, m.pieces, m.shapes, m.sheets, rules, m.spots, m.boards, ruin.room, m.least)
    m.counts[1] -= max(0, opened - gone)
    for i in range(opened, gone):
        m.slots[m.counts[1]] = ruin.room[i]
        m.counts[1] += 1
    for i in range(opened):
        b = ruin.room[i]
        used -= _used(m.boards.head[b], m)
        change += m.sheets.price[m.boards.sheet[b]]
        _enter(m, b)
    ruin.counts[4] = opened
    return change, used


@njit(cache=True)
def _lifted(m: Any, ruin: Any) -> tuple[Ints, int, float]:
    """The pieces of emptied boards and those put in, as far as wanted; what the boards cost and held.

    Where each lay is kept, to be put back.
    """
    moved, used, change = 0, 0.0, 0
    for i in range(ruin.counts[0]):
        p = ruin.emptied[2, i]
        used += _used(p, m)
        change -= m.sheets.price[ruin.emptied[1, i]]
        while p >= 0:
            ruin.moved[moved] = p
            moved += 1
            p = m.spots.next[p]
    for i in range(ruin.counts[2]):
        ruin.moved[moved] = ruin.into[i]
        moved += 1
    ruin.counts[3] = moved
    wanted = np.empty(moved, np.int64)
    count = 0
    for i in range(moved):
        p = ruin.moved[i]
        ruin.saved[:, i] = m.now[:, p]
        if m.wanted[p]:
            wanted[count] = p
            count += 1
        else:
            m.spots.board[p] = -1
    return wanted[:count], change, used


@njit(cache=True)
def _exchange_rows(m: Any, ruin: Any, old: int, new: int) -> None:
    """Mark rows of the new alternative wanted, those of the old no longer, and empty the boards of these."""
    i, j = m.starts[old], m.starts[new]
    while i < m.starts[old + 1] or j < m.starts[new + 1]:
        if j >= m.starts[new + 1] or (i < m.starts[old + 1] and m.types[i] < m.types[j]):
            t, more = m.types[i], -m.times[i]
            i += 1
        elif i >= m.starts[old + 1] or m.types[j] < m.types[i]:
            t, more = m.types[j], m.times[j]
            j += 1
        else:
            t, more = m.types[i], m.times[j] - m.times[i]
            i += 1
            j += 1
        size = m.first[t + 1] - m.first[t]
        p = m.first[t] + np.random.randint(size)
        while more != 0:
            if m.wanted[p] == (more < 0):
                if more < 0:
                    m.wanted[p] = 0
                    ruin.out[ruin.counts[1]] = p
                    ruin.counts[1] += 1
                    b = m.spots.board[p]
                    if m.boards.head[b] >= 0:
                        _empty(m, ruin, b)
                    more += 1
                else:
                    m.wanted[p] = 1
                    ruin.into[ruin.counts[2]] = p
                    ruin.counts[2] += 1
                    more -= 1
            p += 1
            if p == m.first[t + 1]:
                p = m.first[t]


@njit(cache=True)
def _empty(m: Any, ruin: Any, b: int) -> None:
    """Take a board off the book; its pieces keep their places until they are filled in anew."""
    at = ruin.counts[0]
    ruin.emptied[0, at], ruin.emptied[1, at], ruin.emptied[2, at] = b, m.boards.sheet[b], m.boards.head[b]
    ruin.counts[0] += 1
    m.boards.head[b] = -1
    _leave(m, b)


@njit(cache=True)
def _poor(m: Any) -> int:
    """A board that is rather badly used."""
    b, least = -1, 0.0
    for _ in range(1 + np.random.randint(_LOOKED_AT)):
        other = m.live[np.random.randint(m.counts[0])]
        k = m.boards.sheet[other]
        area = float(m.sheets.width[k] * m.sheets.length[k])
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
def _undo(m: Any, ruin: Any) -> None:
    """As it was before the last step."""
    gone = ruin.counts[0]
    if gone == 0 and ruin.counts[1] == 0 and ruin.counts[2] == 0:
        return
    opened = ruin.counts[4]
    for i in range(opened):
        b = ruin.room[i]
        m.boards.head[b] = -1
        _leave(m, b)
    m.counts[1] -= max(0, gone - opened)
    for i in range(max(0, opened - gone)):
        m.slots[m.counts[1]] = ruin.room[gone + max(0, opened - gone) - 1 - i]
        m.counts[1] += 1
    for i in range(ruin.counts[3]):
        for c in range(8):
            m.now[c, ruin.moved[i]] = ruin.saved[c, i]
    for i in range(ruin.counts[1]):
        m.wanted[ruin.out[i]] = 1
    for i in range(ruin.counts[2]):
        m.wanted[ruin.into[i]] = 0
    for i in range(gone):
        b = ruin.emptied[0, i]
        m.boards.sheet[b], m.boards.head[b] = ruin.emptied[1, i], ruin.emptied[2, i]
        _enter(m, b)


@njit(cache=True)
def _enter(m: Any, b: int) -> None:
    m.live[m.counts[0]], m.place[b] = b, m.counts[0]
    m.counts[0] += 1


@njit(cache=True)
def _leave(m: Any, b: int) -> None:
    m.counts[0] -= 1
    last = m.live[m.counts[0]]
    m.live[m.place[b]], m.place[last] = last, m.place[b]
    m.place[b] = -1
