"""From the table of values back to what is cut: the fullest board, and the fullest with a given piece."""

# numba ships no types, and its decorator hides those below it
# mypy: disable-error-code="untyped-decorator, no-any-return, import-untyped"

from __future__ import annotations

from typing import Any

import numpy as np
from numba import njit

from innerleaf.cutting.boards_job import Ints, Leaves, Shapes, Sheets
from innerleaf.cutting.boards_table import Table

_MOST = 500  # leaves of one board: more are not traced
_MOST_TRACED = 200  # boards of one round
_LEFT, _RIGHT, _BOTH = 1, 2, 3  # factory edges of a rectangle


def best_of(table: Table, sheets: Sheets) -> Ints:
    """The greatest value of each board, shape (boards,)."""
    return _best_of(table, _place_of(table), sheets.width, sheets.length, sheets.edges)


def fullest(
    table: Table, shapes: Shapes, value: Ints, sheets: Sheets, least: Ints
) -> list[tuple[int, Leaves]]:
    """Boards worth more than ``least[k]``: the best of each sheet k, and with each shape in a corner.

    Of those with a shape in a corner the sheet that gains most, and of these the most gaining.
    """
    place = _place_of(table)
    worth = _worths(table, shapes, value)
    best = best_of(table, sheets)
    found = [
        (k, _cut(table, place, shapes, worth, sheets, k, -1, 0))
        for k in np.flatnonzero(best > least).tolist()
    ]
    corners = [
        (_corner(table, place, shapes, worth, sheets, least, s), s) for s in np.flatnonzero(value).tolist()
    ]
    corners.sort(key=lambda c: (-c[0][2], c[1]))
    for (k, way, _), s in corners[:_MOST_TRACED]:
        if k >= 0:
            found.append((k, _cut(table, place, shapes, worth, sheets, k, s, way)))
    return found


def _cut(
    table: Table, place: Ints, shapes: Shapes, worth: Ints, sheets: Sheets, k: int, s: int, way: int
) -> Leaves:
    return Leaves(*_leaves(table, place, shapes, worth, sheets, k, s, way))


def _place_of(table: Table) -> Ints:
    """Which row of ``both`` a width has, -1 if none."""
    place = np.full(table.free.shape[1], -1)
    place[table.widths] = np.arange(len(table.widths))
    return place


@njit(cache=True)
def _value(table: Any, place: Ints, edges: int, r: int, w: int) -> int:
    """Value of a rectangle of the length of row r."""
    if r <= 0 or w <= 0:
        return 0
    if edges == 0:
        return table.free[r, w]
    if edges == _BOTH and place[w] >= 0:
        return table.both[place[w], r]
    return table.edge[r, w]


@njit(cache=True)
def _best_of(table: Any, place: Ints, width: Ints, length: Ints, edges: Ints) -> Ints:
    found = np.empty(len(width), np.int64)
    for k in range(len(width)):
        found[k] = _value(table, place, edges[k], table.row_of[length[k]], width[k])
    return found


@njit(cache=True)
def _worths(table: Any, shapes: Any, value: Ints) -> Ints:
    """Value of each shape and of what is cut out of its notches."""
    worth = value.copy()
    for s in range(len(value)):
        for n in range(shapes.start[s], shapes.start[s + 1]):
            worth[s] += table.free[table.row_of[shapes.notch_length[n]], shapes.notch_width[n]]
    return worth


@njit(cache=True)
def _fits(shapes: Any, s: int, edges: int, w: int, length: int) -> bool:
    """Whether a rectangle with these factory edges holds a shape."""
    if shapes.width[s] > w or shapes.length[s] > length:
        return False
    needed = shapes.edges[s]
    return (
        needed == 0
        or (needed == 1 and edges > 0)
        or (needed == 2 and edges == _BOTH and shapes.width[s] == w)
    )


@njit(cache=True)
def _beside(edges: int) -> tuple[int, int]:
    """Side on which a piece goes in a rectangle, and the factory edges of what is beside it."""
    if edges == _RIGHT:
        return _RIGHT, 0
    return _LEFT, edges & _RIGHT


@njit(cache=True)
def _corner(
    table: Any, place: Ints, shapes: Any, worth: Ints, sheets: Any, least: Ints, s: int
) -> tuple[int, int, int]:
    """The sheet that gains most with a shape in its corner, -1 if none; the way to cut it, and the gain.

    Way 0: across is cut first, 1: along.
    """
    best, gain, how = -1, 0, 0
    for k in range(len(sheets.width)):
        edges, w, length = sheets.edges[k], sheets.width[k], sheets.length[k]
        if not _fits(shapes, s, edges, w, length):
            continue
        rest = _beside(edges)[1]
        row, inner = table.row_of[length], table.row_of[shapes.length[s]]
        above = table.row_of[length - shapes.length[s]]
        aside = w - shapes.width[s]
        across = _value(table, place, rest, inner, aside) + _value(table, place, edges, above, w)
        own = edges & ~rest if aside else edges
        along = _value(table, place, rest, row, aside) + _value(table, place, own, above, shapes.width[s])
        for way, found in ((0, across), (1, along)):
            if worth[s] + found - least[k] > gain:
                best, gain, how = k, worth[s] + found - least[k], way
    return best, how, gain


@njit(cache=True)
def _leaves(table: Any, place: Ints, shapes: Any, worth: Ints, sheets: Any, k: int, s: int, way: int) -> Ints:
    """Leaves of the fullest board k; with shape s in its corner unless that is -1."""
    out = np.empty((6, _MOST), np.int64)
    made = 0
    waiting = np.empty((4 * _MOST, 7), np.int64)  # edges, row, width, x, y, host, notch
    edges, w, length = sheets.edges[k], sheets.width[k], sheets.length[k]
    row, top = table.row_of[length], 0
    if s < 0:
        waiting[0] = (edges, row, w, 0, 0, -1, -1)
        top = 1
    else:
        side, rest = _beside(edges)
        aside, long = w - shapes.width[s], shapes.length[s]
        x = aside if side == _RIGHT else 0
        free_x = 0 if side == _RIGHT else shapes.width[s]
        made = _leaf(out, made, s, x, 0, side, -1, -1)
        top = _notches(table, shapes, s, 0, waiting, top)
        above = table.row_of[length - long]
        if way == 0:
            waiting[top] = (rest, table.row_of[long], aside, free_x, 0, -1, -1)
            waiting[top + 1] = (edges, above, w, 0, long, -1, -1)
        else:
            waiting[top] = (rest, row, aside, free_x, 0, -1, -1)
            waiting[top + 1] = (edges & ~rest if aside else edges, above, shapes.width[s], x, long, -1, -1)
        top += 2
    while top > 0 and made < _MOST - 1 and top < 4 * _MOST - 100:
        top -= 1
        edges, r, w, x, y, host, notch = waiting[top]
        goal = _value(table, place, edges, r, w)
        if goal == 0:
            continue
        r = _least_row(table, place, edges, r, w, goal)
        if edges == _BOTH and _value(table, place, _LEFT, r, w) == goal:
            edges = _LEFT
        if edges != _BOTH and _value(table, place, 0, r, w) == goal:
            edges = 0
        if edges != _BOTH or place[w] < 0:
            narrow = _least_width(table, place, edges, r, w, goal)
            x += w - narrow if edges == _RIGHT else 0
            w = narrow
        found = _single(table, shapes, worth, edges, r, w, goal)
        if found >= 0:
            inside = x + w - shapes.width[found] if edges == _RIGHT else x
            made = _leaf(out, made, found, inside, y, edges, host, notch)
            top = _notches(table, shapes, found, made - 1, waiting, top)
            continue
        top = _halves(table, place, edges, r, w, x, y, host, notch, goal, waiting, top)
    return out[:, :made].copy()


@njit(cache=True)
def _least_row(table: Any, place: Ints, edges: int, r: int, w: int, goal: int) -> int:
    """The first row in which the value is there: values grow with the length."""
    low = 0
    while low < r:
        middle = (low + r) // 2
        if _value(table, place, edges, middle, w) == goal:
            r = middle
        else:
            low = middle + 1
    return r


@njit(cache=True)
def _least_width(table: Any, place: Ints, edges: int, r: int, w: int, goal: int) -> int:
    """The least width at which the value is there: values grow with the width, one factory edge given."""
    low = 0
    while low < w:
        middle = (low + w) // 2
        if _value(table, place, edges, r, middle) == goal:
            w = middle
        else:
            low = middle + 1
    return w


@njit(cache=True)
def _leaf(out: Ints, made: int, s: int, x: int, y: int, side: int, host: int, notch: int) -> int:
    out[:, made] = (s, x, y, side, host, notch)
    return made + 1


@njit(cache=True)
def _notches(table: Any, shapes: Any, s: int, leaf: int, waiting: Ints, top: int) -> int:
    for n in range(shapes.start[s], shapes.start[s + 1]):
        row = table.row_of[shapes.notch_length[n]]
        waiting[top] = (0, row, shapes.notch_width[n], 0, 0, leaf, n - shapes.start[s])
        top += 1
    return top


@njit(cache=True)
def _single(table: Any, shapes: Any, worth: Ints, edges: int, r: int, w: int, goal: int) -> int:
    """A shape that alone makes up the value of a rectangle, -1 if none."""
    for s in range(len(worth)):
        if worth[s] == goal and _fits(shapes, s, edges, w, table.points[r]):
            return s
    return -1


@njit(cache=True)
def _halves(
    table: Any, place: Ints, edges: int, r: int, w: int, x: int, y: int, host: int, notch: int, goal: int,
    waiting: Ints, top: int,
) -> int:  # fmt: skip
    """Cut a rectangle in two that are together worth as much; the first such cut is as good as any."""
    first, second = (0, 0) if edges == 0 else (_LEFT, edges & _RIGHT)
    if edges == _RIGHT:
        first, second = 0, _RIGHT
    for left in range(1, w):
        both = _value(table, place, first, r, left) + _value(table, place, second, r, w - left)
        if both == goal:
            waiting[top] = (first, r, left, x, y, host, notch)
            waiting[top + 1] = (second, r, w - left, x + left, y, host, notch)
            return top + 2
    length = table.points[r]
    for q in range(1, r):
        rest = table.row_of[length - table.points[q]]
        if _value(table, place, edges, q, w) + _value(table, place, edges, rest, w) == goal:
            waiting[top] = (edges, q, w, x, y, host, notch)
            waiting[top + 1] = (edges, rest, w, x, y + table.points[q], host, notch)
            return top + 2
    return top
