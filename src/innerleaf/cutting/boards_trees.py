"""Boards of plain rectangles: cutting trees taken apart and filled anew, towards a goal.

The goal is a cost below that of the best plan; boards that cost more may not be begun, so that some pieces
lie nowhere, and the search makes their area small. With none left the goal is lowered. After Gardeyn and
Wauters, European Journal of Operational Research 301, 2022, 432-444 (from memory).
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from innerleaf.cutting.boards_fit import LEFT
from innerleaf.cutting.boards_job import Ints, Job, Leaves
from innerleaf.cutting.boards_leaves import Filled
from innerleaf.cutting.boards_trees_kernel import towards_goal
from innerleaf.cutting.boards_trees_nodes import (
    ABREAST,
    BOARDS,
    CHILD,
    CUT_PIECE,
    KIND,
    LENGTH,
    NEXT,
    PIECE,
    WIDTH,
    Trees,
    no_trees,
)

MOST_PIECES = 250  # a step looks at every rest there is


class _Given(NamedTuple):
    """The sheets, and of each piece its area and its shapes (first_shape[p] to first_shape[p + 1])."""

    width: Ints
    length: Ints
    price: Ints
    area: Ints
    first_shape: Ints
    shape_width: Ints
    shape_length: Ints
    largest: float


def plain(job: Job) -> bool:
    """Whether pieces are few, plain rectangles without factory edges or notches; boards without end."""
    shapes = job.shapes
    return (
        int(job.demand.sum()) <= MOST_PIECES
        and not shapes.edges.any()
        and not len(shapes.notch_width)
        and bool((job.sheets.limit < 0).all())
    )


def cut_by_goal(job: Job, cost: int, *, steps: int, bound: int, seed: int) -> tuple[list[Filled], int] | None:
    """A plan that costs less than ``cost``, the best one met; None if none was."""
    pieces = np.repeat(np.arange(len(job.demand)), job.demand)
    shape_of = _shapes_of(job, pieces)
    given = _given(job, shape_of)
    now, old, best = (no_trees(len(pieces)) for _ in range(3))
    found = towards_goal(now, old, best, given, cost - job.step, job.step, bound, steps, seed)
    if found < 0:
        return None
    return [
        (int(best.sheet[b]), _leaves(best, b, given, shape_of)) for b in range(best.counts[BOARDS])
    ], found


def _shapes_of(job: Job, pieces: Ints) -> list[list[int]]:
    return [np.flatnonzero(job.shapes.type == t).tolist() for t in pieces.tolist()]


def _given(job: Job, shape_of: list[list[int]]) -> _Given:
    flat = np.array([s for shapes in shape_of for s in shapes], np.int64)
    width, length = job.shapes.width[flat], job.shapes.length[flat]
    first = np.concatenate([[0], np.cumsum([len(shapes) for shapes in shape_of])]).astype(np.int64)
    sheets = job.sheets
    area = width[first[:-1]] * length[first[:-1]]
    largest = float((sheets.width * sheets.length).max())
    return _Given(sheets.width, sheets.length, sheets.price, area, first, width, length, largest)


def _leaves(trees: Trees, board: int, given: _Given, shape_of: list[list[int]]) -> Leaves:
    """What is cut from a board, children laid out one after the other."""
    nodes = trees.nodes
    rows: list[tuple[int, int, int]] = []
    stack = [(int(trees.root[board]), 0, 0)]
    while stack:
        n, x, y = stack.pop()
        if nodes[KIND, n] == CUT_PIECE:
            p = int(nodes[PIECE, n])
            size = int(nodes[WIDTH, n]), int(nodes[LENGTH, n])
            rows.append((_shape(given, p, size, shape_of), x, y))
        child = int(nodes[CHILD, n])
        while child >= 0:
            stack.append((child, x, y))
            if nodes[KIND, n] == ABREAST:
                x += int(nodes[WIDTH, child])
            else:
                y += int(nodes[LENGTH, child])
            child = int(nodes[NEXT, child])
    shape, x_at, y_at = np.array(rows, np.int64).T
    nowhere = np.full(len(rows), -1)
    return Leaves(shape, x_at.copy(), y_at.copy(), np.full(len(rows), LEFT), nowhere, nowhere.copy())


def _shape(given: _Given, p: int, size: tuple[int, int], shape_of: list[list[int]]) -> int:
    """The shape of a piece as it lies."""
    for i, s in enumerate(shape_of[p], int(given.first_shape[p])):
        if (int(given.shape_width[i]), int(given.shape_length[i])) == size:
            return s
    raise AssertionError("a piece lies in a place of another size")
