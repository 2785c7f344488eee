"""Boards as lists of leaves, and the pieces that are really wanted of them."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from innerleaf.cutting.boards_fit import RIGHT, Boards, Pieces, Spots
from innerleaf.cutting.boards_job import Ints, Job, Leaves
from innerleaf.cutting.boards_mend import empty
from innerleaf.cutting.boards_serving import largest_served, sizes_of

Filled = tuple[int, Leaves]  # a sheet, and what is cut from it


def thinned(leaves: Leaves, keep: Iterable[bool]) -> Leaves:
    """Without some leaves. What was cut from the notch of one left out is cut from its place instead."""
    kept = np.fromiter(keep, bool, len(leaves.shape))
    if kept.all():
        return leaves
    x, y, host, notch = leaves.x.copy(), leaves.y.copy(), leaves.host.copy(), leaves.notch.copy()
    for i in range(len(kept)):  # hosts come before what is cut from them
        h = host[i]
        if h >= 0 and not kept[h]:
            x[i], y[i], host[i], notch[i] = x[i] + x[h], y[i] + y[h], host[h], notch[h]
    number = np.append(np.cumsum(kept) - 1, -1)
    return Leaves(leaves.shape[kept], x[kept], y[kept], leaves.side[kept], number[host[kept]], notch[kept])


def wanted_only(job: Job, filled: Iterable[Filled], demand: Ints) -> list[Filled]:
    """The boards without what is cut too often; boards of which nothing remains are left out.

    A place too many for one piece is taken by the largest other one that is wanted and fits there.
    """
    left, result, sizes = demand.copy(), [], sizes_of(job)
    for sheet, leaves in filled:
        kept = np.ones(len(leaves.shape), bool)
        own = job.shapes.type[leaves.shape].tolist()
        types = own.copy()
        for i, t in enumerate(own):
            served = t if left[t] > 0 else int(largest_served(t, left, sizes))
            kept[i] = served >= 0
            if served >= 0:
                left[served] -= 1
                types[i] = served
        if kept.any():
            served_by = leaves if types == own else _served(job, leaves, types)
            result.append((sheet, thinned(served_by, kept)))
    return result


def _served(job: Job, leaves: Leaves, types: list[int]) -> Leaves:
    """The leaves with other types in their places, those with a factory edge to the right kept there."""
    shapes = job.shapes
    shape, x = leaves.shape.copy(), leaves.x.copy()
    first = np.searchsorted(shapes.type, np.arange(len(job.demand) + 1))
    for i in np.flatnonzero(shapes.type[shape] != types).tolist():
        way = shape[i] - first[shapes.type[shape[i]]]  # upright or across
        new = min(first[types[i]] + way, first[types[i] + 1] - 1)
        if leaves.side[i] == RIGHT and shapes.edges[new]:
            x[i] += shapes.width[shape[i]] - shapes.width[new]
        shape[i] = new
    return leaves._replace(shape=shape, x=x)


def leaves_of(spots: Spots, boards: Boards) -> list[Filled]:
    """The boards of a plan, in the order of their numbers."""
    number = np.full(len(spots.board) + 1, -1)
    result = []
    for b in np.flatnonzero(boards.head >= 0).tolist():
        members = []
        p = int(boards.head[b])
        while p >= 0:
            members.append(p)
            p = int(spots.next[p])
        at = np.array(members[::-1])  # in the order of placing, hosts first
        number[at] = np.arange(len(at))
        leaves = Leaves(
            spots.shape[at], spots.x[at], spots.y[at], spots.side[at], number[spots.host[at]], spots.notch[at]
        )
        result.append((int(boards.sheet[b]), leaves))
    return result


def spots_of(job: Job, pieces: Pieces, limit: Ints, filled: Iterable[Filled]) -> tuple[Spots, Boards]:
    """The plan that boards make, nothing cut too often in them; pieces not in them lie nowhere."""
    spots, boards = empty(pieces, limit)
    following = np.searchsorted(pieces.type, np.arange(len(job.demand)))
    for b, (sheet, leaves) in enumerate(filled):
        types = job.shapes.type[leaves.shape]
        at = np.empty(len(types) + 1, np.int64)
        at[-1] = -1
        boards.sheet[b] = sheet
        if boards.left[sheet] > 0:
            boards.left[sheet] -= 1
        for i, t in enumerate(types.tolist()):
            p = at[i] = following[t]
            following[t] += 1
            spots.board[p], spots.shape[p] = b, leaves.shape[i]
            spots.x[p], spots.y[p], spots.side[p] = leaves.x[i], leaves.y[i], leaves.side[i]
            spots.host[p], spots.notch[p] = at[leaves.host[i]], leaves.notch[i]
            spots.next[p] = boards.head[b]
            boards.head[b] = p
    return spots, boards
