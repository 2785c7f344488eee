"""Boards as cutting trees in compiled code: a part taken out, a piece put in.

A board is a tree of rectangles. A node is a piece, a rest, or is cut in parallel into its children, which
may stand in any order; of rests there is one at most among the children of a node.
"""

# numba ships no types, and its decorator hides those below it
# mypy: disable-error-code="untyped-decorator, no-any-return, import-untyped"

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
from numba import njit

from innerleaf.cutting.boards_job import Ints

# what a line of `nodes` holds
WIDTH, LENGTH, KIND, PARENT, CHILD, NEXT, BEFORE, PIECE = range(8)
SPARE, REST, CUT_PIECE, ABREAST, STACKED = range(5)  # kinds of nodes; children lie abreast, or stacked
# what `counts` holds: boards begun, spare nodes, pieces that lie nowhere, nodes ever used
BOARDS, SPARES, OUT, USED = range(4)


class Trees(NamedTuple):
    """Cutting trees: ``nodes[field, node]``, root and sheet of each board, spare nodes, pieces nowhere."""

    nodes: Ints
    root: Ints
    sheet: Ints
    spare: Ints
    out: Ints
    counts: Ints


def no_trees(pieces: int) -> Trees:
    """Room for the trees of so many pieces."""
    room = 6 * pieces + 16
    root, sheet = (np.zeros(pieces + 1, np.int64) for _ in range(2))
    spare, out, counts = np.arange(room)[::-1].copy(), np.arange(pieces), np.array([0, room, pieces, 0])
    return Trees(np.zeros((8, room), np.int64), root, sheet, spare, out, counts)


@njit(cache=True)
def copy_trees(to: Any, since: Any) -> None:
    """Make one set of trees like another."""
    used = max(to.counts[USED], since.counts[USED])
    to.nodes[:, :used] = since.nodes[:, :used]
    to.root[:], to.sheet[:], to.out[:], to.counts[:] = since.root, since.sheet, since.out, since.counts
    to.spare[:] = since.spare


@njit(cache=True)
def take_node(trees: Any, n: int) -> None:
    """Empty a node, and join it with the rest beside it; so on upwards while nothing but rest remains."""
    nodes = trees.nodes
    _clear(trees, n)
    while nodes[PARENT, n] >= 0:
        parent = nodes[PARENT, n]
        other, others = -1, 0
        c = nodes[CHILD, parent]
        while c >= 0:
            if c != n:
                others += 1
                if nodes[KIND, c] == REST:
                    other = c
            c = nodes[NEXT, c]
        if other >= 0:
            if nodes[KIND, parent] == ABREAST:
                nodes[WIDTH, n] += nodes[WIDTH, other]
            else:
                nodes[LENGTH, n] += nodes[LENGTH, other]
            _drop(trees, other)
            others -= 1
        if others > 0:
            return
        _drop(trees, n)
        nodes[KIND, parent] = REST
        n = parent


@njit(cache=True)
def take_board(trees: Any, b: int) -> None:
    """Take a board off the book; its pieces lie nowhere."""
    root = trees.root[b]
    _clear(trees, root)
    _drop(trees, root)
    trees.counts[BOARDS] -= 1
    last = trees.counts[BOARDS]
    trees.root[b], trees.sheet[b] = trees.root[last], trees.sheet[last]


@njit(cache=True)
def new_board(trees: Any, sheet: int, w: int, length: int) -> int:
    """Begin a board; its root, all of it rest."""
    b = trees.counts[BOARDS]
    trees.root[b], trees.sheet[b] = _new(trees, REST, w, length, -1, -1), sheet
    trees.counts[BOARDS] += 1
    return trees.root[b]


@njit(cache=True)
def put(trees: Any, n: int, p: int, pw: int, pl: int, across: bool) -> None:
    """Cut a piece from a rest. ``across``: the first cut goes across and parts off a strip for it."""
    nodes = trees.nodes
    w, length = nodes[WIDTH, n], nodes[LENGTH, n]
    if pw == w and pl == length:
        nodes[KIND, n], nodes[PIECE, n] = CUT_PIECE, p
        return
    if pw == w:
        across = True
    elif pl == length:
        across = False
    if across:
        n = _parted(trees, n, STACKED, w, pl)
        if pw < w:
            n = _parted(trees, n, ABREAST, pw, pl)
    else:
        n = _parted(trees, n, ABREAST, pw, length)
        if pl < length:
            n = _parted(trees, n, STACKED, pw, pl)
    nodes[KIND, n], nodes[PIECE, n] = CUT_PIECE, p


@njit(cache=True)
def _parted(trees: Any, n: int, way: int, w: int, length: int) -> int:
    """Part a rest off from a rest; the new node."""
    nodes = trees.nodes
    parent = nodes[PARENT, n]
    if parent < 0 or nodes[KIND, parent] != way:
        nodes[KIND, n] = way
        n = _new(trees, REST, nodes[WIDTH, n], nodes[LENGTH, n], n, -1)
    if way == ABREAST:
        nodes[WIDTH, n] -= w
    else:
        nodes[LENGTH, n] -= length
    return _new(trees, REST, w, length, nodes[PARENT, n], -1)


@njit(cache=True)
def following(nodes: Ints, n: int, root: int) -> int:
    """The next node of a tree, parents first; -1 after the last."""
    if nodes[CHILD, n] >= 0:
        return nodes[CHILD, n]
    while n != root and nodes[NEXT, n] < 0:
        n = nodes[PARENT, n]
    return -1 if n == root else nodes[NEXT, n]


@njit(cache=True)
def _clear(trees: Any, n: int) -> None:
    """All below a node goes off the book, its pieces lie nowhere; it becomes a rest."""
    nodes = trees.nodes
    if nodes[KIND, n] == CUT_PIECE:
        trees.out[trees.counts[OUT]] = nodes[PIECE, n]
        trees.counts[OUT] += 1
    at = nodes[CHILD, n]
    while at >= 0:
        while nodes[CHILD, at] >= 0:
            at = nodes[CHILD, at]
        if nodes[KIND, at] == CUT_PIECE:
            trees.out[trees.counts[OUT]] = nodes[PIECE, at]
            trees.counts[OUT] += 1
        parent = nodes[PARENT, at]
        _drop(trees, at)
        at = nodes[CHILD, parent]
        if at < 0 and parent != n:
            at = parent
    nodes[KIND, n], nodes[PIECE, n] = REST, -1


@njit(cache=True)
def _new(trees: Any, kind: int, w: int, length: int, parent: int, piece: int) -> int:
    trees.counts[SPARES] -= 1
    n = trees.spare[trees.counts[SPARES]]
    trees.counts[USED] = max(trees.counts[USED], n + 1)
    nodes = trees.nodes
    nodes[WIDTH, n], nodes[LENGTH, n], nodes[KIND, n], nodes[PIECE, n] = w, length, kind, piece
    nodes[CHILD, n], nodes[NEXT, n], nodes[BEFORE, n], nodes[PARENT, n] = -1, -1, -1, parent
    if parent >= 0:
        first = nodes[CHILD, parent]
        nodes[NEXT, n] = first
        if first >= 0:
            nodes[BEFORE, first] = n
        nodes[CHILD, parent] = n
    return n


@njit(cache=True)
def _drop(trees: Any, n: int) -> None:
    """Take a node without children off its parent's list, and off the book."""
    nodes = trees.nodes
    after, before, parent = nodes[NEXT, n], nodes[BEFORE, n], nodes[PARENT, n]
    if before >= 0:
        nodes[NEXT, before] = after
    elif parent >= 0:
        nodes[CHILD, parent] = after
    if after >= 0:
        nodes[BEFORE, after] = before
    nodes[KIND, n] = SPARE
    trees.spare[trees.counts[SPARES]] = n
    trees.counts[SPARES] += 1
