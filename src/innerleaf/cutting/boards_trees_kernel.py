"""The compiled part of `boards_trees`: the search towards a goal."""

# numba ships no types, and its decorator hides those below it
# mypy: disable-error-code="untyped-decorator, no-any-return, import-untyped"

from __future__ import annotations

from typing import Any

import numpy as np
from numba import njit

from innerleaf.cutting.boards_job import Ints
from innerleaf.cutting.boards_trees_nodes import (
    BOARDS,
    CUT_PIECE,
    KIND,
    LENGTH,
    OUT,
    PARENT,
    PIECE,
    REST,
    USED,
    WIDTH,
    copy_trees,
    following,
    new_board,
    put,
    take_board,
    take_node,
)

_MOST_BOARDS = 3  # that pieces are taken out of in one step
_CLIMB = 0.3  # how often the node above goes, rather than the piece
_WHOLE_BOARD = 0.06  # how often a board is emptied
_OVERLOOKED = 0.02  # share of rests that an insertion does not see
_WARM, _COLD = (
    0.02,
    0.0002,
)  # of the largest sheet's area: how much worse may pass, first and last
_GATHERED = 0.02  # what one large rest counts against small ones, beside pieces that lie nowhere
_SHARE = 0.25  # of all pieces, taken out in one step at most
_RULES = 4


@njit(cache=True)
def towards_goal(now: Any, old: Any, best: Any, job: Any, goal: int, step: int, bound: int, steps: int,
                 seed: int) -> int:  # fmt: skip
    """Look for plans that cost ``goal`` at most, then ``step`` less, and so on; the cost of the best, or -1.

    ``now`` are the trees to begin with, ``best`` becomes the best plan with every piece in it.
    """
    np.random.seed(seed)
    largest = 0.0
    for k in range(len(job.width)):
        largest = max(largest, float(job.width[k] * job.length[k]))
    found = -1
    while cost_of(now, job.price) > goal:
        take_board(now, _board_to_lose(now, job))
    _fill(now, job, goal)
    value = _value(now, job)
    copy_trees(old, now)
    for turn in range(steps):
        warm = largest * _WARM * (_COLD / _WARM) ** (turn / steps)
        _take_out(now, job)
        _fill(now, job, goal)
        if now.counts[OUT] == 0:
            copy_trees(best, now)
            found = cost_of(now, job.price)
            if found <= bound:
                break
            goal = found - step
            while cost_of(now, job.price) > goal:
                take_board(now, _board_to_lose(now, job))
            _fill(now, job, goal)
            value = _value(now, job)
            copy_trees(old, now)
            continue
        worth = _value(now, job)
        if worth <= value or np.random.random() < np.exp((value - worth) / warm):
            value = worth
            copy_trees(old, now)
        else:
            copy_trees(now, old)
    return found


@njit(cache=True)
def cost_of(trees: Any, price: Ints) -> int:
    """Price of the boards begun."""
    cost = 0
    for b in range(trees.counts[BOARDS]):
        cost += price[trees.sheet[b]]
    return cost


@njit(cache=True)
def _value(trees: Any, job: Any) -> float:
    """Area of the pieces that lie nowhere; a little less where rests are large."""
    value = 0.0
    for i in range(trees.counts[OUT]):
        value += job.area[trees.out[i]]
    nodes = trees.nodes
    gathered = 0.0
    for n in range(trees.counts[USED]):
        if nodes[KIND, n] == REST:
            area = float(nodes[WIDTH, n] * nodes[LENGTH, n])
            gathered += area * area
    return value - _GATHERED * gathered / job.largest


@njit(cache=True)
def _board_to_lose(trees: Any, job: Any) -> int:
    """Of some boards the one with the least on it for its price."""
    best, least = 0, 1e300
    for _ in range(3):
        b = np.random.randint(trees.counts[BOARDS])
        on = _area_on(trees, job, trees.root[b]) / job.price[trees.sheet[b]]
        if on < least:
            best, least = b, on
    return best


@njit(cache=True)
def _area_on(trees: Any, job: Any, root: int) -> float:
    nodes = trees.nodes
    area = 0.0
    n = root
    while n >= 0:
        if nodes[KIND, n] == CUT_PIECE:
            area += job.area[nodes[PIECE, n]]
        n = following(nodes, n, root)
    return area


@njit(cache=True)
def _take_out(trees: Any, job: Any) -> None:
    """Pieces of a few boards are taken out, some with all that lies in the same strip."""
    nodes = trees.nodes
    total = len(job.area)
    most = max(4, int(_SHARE * total * np.random.random() ** 2))
    for _ in range(1 + np.random.randint(_MOST_BOARDS)):
        if trees.counts[BOARDS] == 0:
            return
        b = np.random.randint(trees.counts[BOARDS])
        if np.random.random() < _WHOLE_BOARD:
            take_board(trees, b)
            continue
        for _ in range(1 + np.random.randint(most)):
            n = _any_piece(nodes, trees.root[b])
            while nodes[PARENT, n] >= 0 and np.random.random() < _CLIMB:
                n = nodes[PARENT, n]
            if nodes[PARENT, n] < 0:
                take_board(trees, b)
                break
            take_node(trees, n)
            if nodes[KIND, trees.root[b]] == REST:
                take_board(trees, b)
                break


@njit(cache=True)
def _any_piece(nodes: Ints, root: int) -> int:
    """Any piece of a board, each as likely."""
    found, seen = root, 0
    n = root
    while n >= 0:
        if nodes[KIND, n] == CUT_PIECE:
            seen += 1
            if np.random.randint(seen) == 0:
                found = n
        n = following(nodes, n, root)
    return found


@njit(cache=True)
def _fill(trees: Any, job: Any, goal: int) -> None:
    """Put in what lies nowhere, the large pieces first; boards are begun as far as the goal allows."""
    count = trees.counts[OUT]
    rule, noise = np.random.randint(_RULES), 0.5 * np.random.random() ** 2
    keys = np.empty(count)
    for i in range(count):
        p = trees.out[i]
        s = job.first_shape[p]
        w, length = float(job.shape_width[s]), float(job.shape_length[s])
        if rule == 0:
            key = w * length
        elif rule == 1:
            key = max(w, length)
        elif rule == 2:
            key = length
        else:
            key = w
        keys[i] = -key * (1 + noise * (np.random.random() - 0.5))
    order = trees.out[:count][np.argsort(keys, kind="mergesort")]
    cost = cost_of(trees, job.price)
    trees.counts[OUT] = 0
    for p in order:
        at, s, across = _best(trees.nodes, trees.counts[USED], job, p)
        if at < 0:
            k = _sheet_for(job, p, goal - cost)
            if k >= 0:
                cost += job.price[k]
                root = new_board(trees, k, job.width[k], job.length[k])
                at, s, across = _best_in(trees.nodes, root, job, p)
        if at < 0:
            trees.out[trees.counts[OUT]] = p
            trees.counts[OUT] += 1
        else:
            put(trees, at, p, job.shape_width[s], job.shape_length[s], across)


@njit(cache=True)
def _sheet_for(job: Any, p: int, money: int) -> int:
    """Any sheet that holds the piece and is not too dear; -1 if none."""
    found, seen = -1, 0
    for k in range(len(job.width)):
        if job.price[k] > money:
            continue
        for s in range(job.first_shape[p], job.first_shape[p + 1]):
            if job.shape_width[s] <= job.width[k] and job.shape_length[s] <= job.length[k]:
                seen += 1
                if np.random.randint(seen) == 0:
                    found = k
                break
    return found


@njit(cache=True)
def _best(nodes: Ints, used: int, job: Any, p: int) -> tuple[int, int, bool]:
    """The rest where the piece breaks up least, its shape there, and whether the first cut goes across."""
    least, at, shape, across = 1e300, -1, -1, True
    for n in range(used):
        if nodes[KIND, n] != REST or np.random.random() < _OVERLOOKED:
            continue
        for s in range(job.first_shape[p], job.first_shape[p + 1]):
            lost, first = _lost(nodes[WIDTH, n], nodes[LENGTH, n], job.shape_width[s], job.shape_length[s])
            if lost < least:
                least, at, shape, across = lost, n, s, first
    return at, shape, across


@njit(cache=True)
def _best_in(nodes: Ints, n: int, job: Any, p: int) -> tuple[int, int, bool]:
    least, at, shape, across = 1e300, -1, -1, True
    for s in range(job.first_shape[p], job.first_shape[p + 1]):
        lost, first = _lost(nodes[WIDTH, n], nodes[LENGTH, n], job.shape_width[s], job.shape_length[s])
        if lost < least:
            least, at, shape, across = lost, n, s, first
    return at, shape, across


@njit(cache=True)
def _lost(w: int, length: int, pw: int, pl: int) -> tuple[float, bool]:
    """Squared area of a rest less that of the two left of it, for the better of two first cuts."""
    if pw > w or pl > length:
        return 1e301, True
    whole = float(w * length)
    a, b = float((w - pw) * pl), float(w * (length - pl))  # cut across first
    c, d = float((w - pw) * length), float(pw * (length - pl))  # cut along first
    over, along = a * a + b * b, c * c + d * d
    if over >= along:
        return whole * whole - over, True
    return whole * whole - along, False
