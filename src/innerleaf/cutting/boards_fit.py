"""Boards filled piece by piece by best fit: one pass in compiled code.

Each piece goes into a rectangle of board that holds it, which is then cut in two by one of two first cuts.
Every board is at the end exchanged for the cheapest that holds what is on it.
"""

# numba ships no types, and its decorator hides those below it
# mypy: disable-error-code="untyped-decorator, no-any-return, import-untyped"

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
from numba import njit
from numpy.typing import NDArray

from innerleaf.cutting.boards_job import Ints

LEFT, RIGHT, BOTH = 1, 2, 3
FITS, SPLITS = 4, 4  # rules there are for choosing a rectangle, and the first cut in it
CHEAPEST, DENSEST = -1, -2  # which board to open, where it is not a given one
_FAR = 1 << 60


class Pieces(NamedTuple):
    """The pieces: type of each, and the first shape of each type (one more at the end)."""

    type: Ints
    first_shape: Ints


class Spots(NamedTuple):
    """Where each piece lies: board (-1: nowhere), shape, corner, side, and piece and notch it comes from.

    One row for each piece; ``next`` leads to the next piece of the same board.
    """

    board: Ints
    shape: Ints
    x: Ints
    y: Ints
    side: Ints
    host: Ints
    notch: Ints
    next: Ints


class Boards(NamedTuple):
    """The boards: sheet of each (-1: none), its first piece (-1: none), and how many sheets are left."""

    sheet: Ints
    head: Ints
    left: Ints


class Rules(NamedTuple):
    """How one pass decides. ``opening``: a sheet, ``CHEAPEST`` or ``DENSEST``; ``noise``: of every score."""

    fit: int
    split: int
    opening: int
    spare_edges: bool
    noise: float


Free = NDArray[np.int64]  # rows: board, x, y, width, length, edges, host, notch


@njit(cache=True)
def by_size(order: Ints, pieces: Any, shapes: Any, kind: int, noise: float) -> Ints:
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
def fit(order: Ints, pieces: Any, shapes: Any, sheets: Any, rules: Any, spots: Any, boards: Any, slots: Ints,
        least: Ints) -> int:  # fmt: skip
    """Place the pieces in their order on new boards, in the slots given; returns how many were opened.

    ``least``: least width and length of any shape; no rectangle smaller than that is kept.
    """
    free = np.empty((3 * len(order) + 8 + len(shapes.notch_width), 8), np.int64)
    count = opened = 0
    for p in order:
        at, s = _best(free, count, p, pieces, shapes, rules)
        if at < 0:
            k, s = _open(p, pieces, shapes, sheets, rules, boards.left)
            spots.board[p] = -1
            if k < 0:
                continue
            b = slots[opened]
            opened += 1
            boards.sheet[b], boards.head[b] = k, -1
            if boards.left[k] > 0:
                boards.left[k] -= 1
            at = count
            free[at] = (b, 0, 0, sheets.width[k], sheets.length[k], sheets.edges[k], -1, -1)
            count += 1
        b, x, y, w, length, edges, host, notch = free[at]
        count -= 1
        free[at] = free[count]
        side = _side(edges, shapes.edges[s])
        spots.board[p], spots.shape[p], spots.y[p], spots.side[p] = b, s, y, side
        spots.x[p] = x + w - shapes.width[s] if side == RIGHT else x
        spots.host[p], spots.notch[p] = host, notch
        spots.next[p] = boards.head[b]
        boards.head[b] = p
        count = _split(free, count, b, x, y, w, length, edges, host, notch, side, s, shapes, rules, least)
        for n in range(shapes.start[s], shapes.start[s + 1]):
            count = _keep(
                free, count, b, 0, 0, shapes.notch_width[n], shapes.notch_length[n], 0, p,
                n - shapes.start[s], least,
            )  # fmt: skip
    for i in range(opened):
        _exchange(slots[i], shapes, sheets, spots, boards)
    return opened


@njit(cache=True)
def _holds(need: int, s: int, shapes: Any, w: int, length: int, edges: int) -> bool:
    if shapes.width[s] > w or shapes.length[s] > length:
        return False
    return need == 0 or (need == 1 and edges > 0) or (need == 2 and edges == BOTH and shapes.width[s] == w)


@njit(cache=True)
def _best(free: Free, count: int, p: int, pieces: Any, shapes: Any, rules: Any) -> tuple[int, int]:
    """The rectangle that fits best, and the shape that lies in it; -1 if none holds the piece."""
    best, found, shape = float(_FAR), -1, -1
    t = pieces.type[p]
    for s in range(pieces.first_shape[t], pieces.first_shape[t + 1]):
        need, sw, sl = shapes.edges[s], shapes.width[s], shapes.length[s]
        for f in range(count):
            w, length, edges = free[f, 3], free[f, 4], free[f, 5]
            if w < sw or length < sl or not _holds(need, s, shapes, w, length, edges):
                continue
            if rules.fit == 0:
                score = float(w * length - sw * sl)
            elif rules.fit == 1:
                score = float(min(w - sw, length - sl)) * 1000
            elif rules.fit == 2:
                score = float((w - sw) * 1000 + length - sl)
            else:
                score = float((length - sl) * 1000 + w - sw)
            if rules.spare_edges:
                score += 1e8 * ((edges & 1) + (edges >> 1) - need)
            if rules.noise > 0:
                score *= 1 + rules.noise * np.random.random()
            if score < best:
                best, found, shape = score, f, s
    return found, shape


@njit(cache=True)
def _open(p: int, pieces: Any, shapes: Any, sheets: Any, rules: Any, left: Ints) -> tuple[int, int]:
    """The board to begin for a piece, and how it lies on it; -1 if none holds it."""
    best, found, shape = float(_FAR), -1, -1
    t = pieces.type[p]
    for k in range(len(sheets.width)):
        if left[k] == 0:
            continue
        for s in range(pieces.first_shape[t], pieces.first_shape[t + 1]):
            if _holds(shapes.edges[s], s, shapes, sheets.width[k], sheets.length[k], sheets.edges[k]):
                score = float(sheets.price[k])
                if rules.opening == DENSEST:
                    score /= sheets.width[k] * sheets.length[k]
                elif rules.opening == k:
                    score = -1.0
                score *= 1 + rules.noise * np.random.random()
                if score < best:
                    best, found, shape = score, k, s
    return found, shape


@njit(cache=True)
def _side(edges: int, need: int) -> int:
    """At the factory edge if one is needed, else away from it."""
    if need > 0:
        return RIGHT if edges == RIGHT else LEFT
    return RIGHT if edges == LEFT else LEFT


@njit(cache=True)
def _split(free: Free, count: int, b: int, x: int, y: int, w: int, length: int, edges: int, host: int,
           notch: int, side: int, s: int, shapes: Any, rules: Any, least: Ints) -> int:  # fmt: skip
    """Keep what is left beside and above a piece; the first cut goes across, or along the board."""
    sw, sl = shapes.width[s], shapes.length[s]
    aside, above = w - sw, length - sl
    if rules.split == 0:
        across = True
    elif rules.split == 1:
        across = False
    elif rules.split == 2:
        across = max(aside * sl, w * above) >= max(aside * length, sw * above)
    else:
        across = aside <= above
    if rules.noise > 0 and np.random.random() < 0.3 * rules.noise:
        across = not across
    beside_x, own_x = (x, x + aside) if side == RIGHT else (x + sw, x)
    rest = edges & (BOTH - side)
    own = edges & side if aside > 0 else edges
    if across:
        count = _keep(free, count, b, beside_x, y, aside, sl, rest, host, notch, least)
        return _keep(free, count, b, x, y + sl, w, above, edges, host, notch, least)
    count = _keep(free, count, b, beside_x, y, aside, length, rest, host, notch, least)
    return _keep(free, count, b, own_x, y + sl, sw, above, own, host, notch, least)


@njit(cache=True)
def _keep(free: Free, count: int, b: int, x: int, y: int, w: int, length: int, edges: int, host: int,
          notch: int, least: Ints) -> int:  # fmt: skip
    if w < least[0] or length < least[1]:
        return count
    free[count] = (b, x, y, w, length, edges, host, notch)
    return count + 1


@njit(cache=True)
def _exchange(b: int, shapes: Any, sheets: Any, spots: Any, boards: Any) -> None:
    """Take the cheapest board that holds the same places."""
    now = boards.sheet[b]
    wide, long, needs = 0, 0, 0
    p = boards.head[b]
    while p >= 0:
        if spots.host[p] < 0:
            s = spots.shape[p]
            wide, long = max(wide, spots.x[p] + shapes.width[s]), max(long, spots.y[p] + shapes.length[s])
            needs |= BOTH if shapes.edges[s] == 2 else spots.side[p] if shapes.edges[s] == 1 else 0
        p = spots.next[p]
    best = now
    for k in range(len(sheets.width)):
        same = sheets.width[k] == sheets.width[now] or (needs & RIGHT == 0 and sheets.width[k] >= wide)
        holds = same and sheets.length[k] >= long and needs & ~sheets.edges[k] == 0
        if holds and boards.left[k] != 0 and sheets.price[k] < sheets.price[best]:
            best = k
    if best != now:
        boards.sheet[b] = best
        boards.left[best] -= boards.left[best] > 0
        boards.left[now] += boards.left[now] >= 0
