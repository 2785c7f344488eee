"""The fullest board: an exact table over all ways to cut by score and snap, any number of stages.

For every size of rectangle, and for none, one or both of its long edges being factory edges, the greatest
value of what can be cut from it. One table answers for every board and every notch at once. After Gilmore
and Gomory, Operations Research 13, 1965, 94-120, and Beasley, Journal of the Operational Research Society
36, 1985, 297-306 (from memory); the order of filling, whole rows of widths at a time, is our own.

Values are whole numbers, so that what the table says is exact.
"""

# numba ships no types, and its decorator hides those below it
# mypy: disable-error-code="untyped-decorator, no-any-return, import-untyped"

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
from numba import njit
from numpy.typing import NDArray

from innerleaf.cutting.boards_job import Ints, Shapes, Sheets

Table32 = NDArray[np.int32]

MOST_VALUE = 2**30  # of a board; the tables are of 32-bit numbers


class Table(NamedTuple):
    """Greatest values. Row r is for lengths from ``points[r]`` to the next point, ``row_of`` the reverse.

    ``free[r, w]`` without factory edges, ``edge[r, w]`` with one, ``both[k, r]`` with both and the width
    ``widths[k]``. Without pieces that need an edge, ``edge`` is ``free``.
    """

    points: Ints
    row_of: Ints
    widths: Ints
    free: Table32
    edge: Table32
    both: Table32


def points_of(shapes: Shapes, longest: int) -> Ints:
    """Every length that pieces laid end to end can have, 0 included."""
    return np.flatnonzero(_reached(np.unique(shapes.length), longest))


@njit(cache=True)
def _reached(lengths: Ints, longest: int) -> NDArray[np.bool_]:
    reach = np.zeros(longest + 1, np.bool_)
    reach[0] = True
    for length in lengths:
        for end in range(length, longest + 1):
            reach[end] |= reach[end - length]
    return reach


def fill(shapes: Shapes, value: Ints, sheets: Sheets, points: Ints) -> Table:
    """Fill the table for pieces worth ``value`` each (by shape), up to the largest board.

    No board may be worth more than ``MOST_VALUE``.
    """
    longest, widest = int(sheets.length.max()), int(sheets.width.max())
    row_of = np.searchsorted(points, np.arange(longest + 1), side="right") - 1
    edged = bool(shapes.edges.max(initial=0))
    widths = np.unique(sheets.width[sheets.edges == 3]) if edged else np.empty(0, np.int64)
    free, edge, both = _fill(*shapes, value, points, row_of, widest, widths, edged)
    return Table(points, row_of, widths, free, edge if edged else free, both)


@njit(cache=True)
def _fill(  # noqa: C901 - one kernel, no calls
    _type: Ints, shape_w: Ints, shape_l: Ints, shape_e: Ints, start: Ints, notch_w: Ints, notch_l: Ints,
    value: Ints, points: Ints, row_of: Ints, widest: int, widths: Ints, edged: bool,
) -> Any:  # fmt: skip
    rows, wide = len(points), widest + 1
    free = np.zeros((rows, wide), np.int32)
    edge = np.zeros((rows if edged else 1, wide), np.int32)
    both = np.zeros((len(widths), rows), np.int32)
    order = np.argsort(shape_l, kind="mergesort")
    # rows from which a longer rectangle may begin: those worth more than shorter ones end to end
    base, base_from = np.empty(rows, np.int64), np.empty(rows, np.int64)
    edge_base, edge_from = np.empty(rows, np.int64), np.empty(rows, np.int64)
    bases = edge_bases = 0
    hold, work = np.empty(wide, np.int32), np.empty(wide, np.int32)
    worth = np.zeros(len(shape_l), np.int32)
    s = 0
    for r in range(1, rows):
        length = points[r]
        while s < len(order) and shape_l[order[s]] < length:
            s += 1
        last = s
        while last < len(order) and shape_l[order[last]] == length:
            i = order[last]
            worth[i] = value[i]
            for n in range(start[i], start[i + 1]):
                worth[i] += free[row_of[notch_l[n]], notch_w[n]]
            last += 1

        row = free[r]
        _end_to_end(free, r, length, points, row_of, base, base_from, bases)
        hold[:] = row
        for at in range(s, last):
            i = order[at]
            if shape_e[i] == 0:
                _at_least(row, shape_w[i], worth[i])
        if not np.array_equal(row, free[r - 1]):
            _side_by_side(row, work)
        first = _first_above(row, hold)
        if first < wide:
            base[bases], base_from[bases] = r, first
            bases += 1
        if not edged:
            continue

        erow = edge[r]
        _end_to_end(edge, r, length, points, row_of, edge_base, edge_from, edge_bases)
        hold[:] = erow
        for w in range(wide):
            erow[w] = max(erow[w], row[w])
        for at in range(s, last):
            i = order[at]
            if shape_e[i] == 1:
                _at_least(erow, shape_w[i], worth[i])
        if not np.array_equal(erow, edge[r - 1]):
            _beside_edge(erow, row, work)
        first = _first_above(erow, hold)
        if first < wide:
            edge_base[edge_bases], edge_from[edge_bases] = r, first
            edge_bases += 1

        for k in range(len(widths)):
            full, line = widths[k], both[k]
            best = max(line[r - 1], erow[full])
            for at in range(s, last):
                i = order[at]
                if shape_e[i] == 2 and shape_w[i] == full:
                    best = max(best, worth[i])
            for w in range(1, full // 2 + 1):
                best = max(best, erow[w] + erow[full - w])
            for q in range(1, r):
                best = max(best, line[q] + line[row_of[length - points[q]]])
            line[r] = best
    return free, edge, both


@njit(cache=True)
def _end_to_end(
    table: Table32, r: int, length: int, points: Ints, row_of: Ints, base: Ints, base_from: Ints, bases: int
) -> None:
    """Row r from shorter ones, each width by itself."""
    row = table[r]
    row[:] = table[r - 1]
    for k in range(bases):
        rest = row_of[length - points[base[k]]]
        if rest > 0:
            low = base_from[k]
            _raise(row[low:], table[base[k], low:], table[rest, low:])


@njit(cache=True)
def _raise(target: Table32, a: Table32, b: Table32) -> None:
    for w in range(len(target)):
        target[w] = max(target[w], a[w] + b[w])


@njit(cache=True)
def _shift(target: Table32, a: Table32, more: int) -> None:
    plus = np.int32(more)
    for w in range(len(target)):
        target[w] = max(target[w], a[w] + plus)


@njit(cache=True)
def _at_least(row: Table32, first: int, worth: int) -> None:
    for w in range(first, len(row)):
        if row[w] >= worth:
            break
        row[w] = worth


@njit(cache=True)
def _first_above(row: Table32, hold: Table32) -> int:
    for w in range(len(row)):
        if row[w] > hold[w]:
            return w
    return len(row)


@njit(cache=True)
def _side_by_side(row: Table32, single: Table32) -> None:
    """The best of one rectangle beside another, and another: an unbounded knapsack of widths."""
    wide = len(row)
    single[:] = row
    row[:] = 0
    for w in range(1, wide):
        if single[w] > row[w]:
            for begin in range(w, wide, w):  # in blocks that do not overlap what they are made from
                end = min(begin + w, wide)
                _shift(row[begin:end], row[begin - w : end - w], single[w])


@njit(cache=True)
def _beside_edge(row: Table32, free: Table32, single: Table32) -> None:
    """One rectangle with the factory edge, the others beside it without."""
    single[:] = row
    for w in range(1, len(row)):
        if single[w] > single[w - 1] and single[w] >= row[w]:
            _shift(row[w:], free[: len(row) - w], single[w])
