"""Boards as lists of leaves, and the pieces that are really wanted of them."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from innerleaf.cutting.boards_fit import Boards, Pieces, Spots
from innerleaf.cutting.boards_job import Ints, Job, Leaves
from innerleaf.cutting.boards_mend import empty

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
    """The boards without what is cut too often; boards of which nothing remains are left out."""
    left, result = demand.copy(), []
    for sheet, leaves in filled:
        keep = np.zeros(len(leaves.shape), bool)
        for i, t in enumerate(job.shapes.type[leaves.shape].tolist()):
            keep[i] = left[t] > 0
            left[t] -= keep[i]
        if keep.any():
            result.append((sheet, thinned(leaves, keep)))
    return result


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
