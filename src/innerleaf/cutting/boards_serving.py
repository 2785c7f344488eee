"""Which piece can serve as which: a larger one, cut down once more, is a smaller one.

Told to the linear program, it keeps the prices of pieces in order of their sizes, from which fewer rounds
of pricing follow; in a plan, a place too many for one piece is taken by another.
"""

# numba ships no types, and its decorator hides those below it
# mypy: disable-error-code="untyped-decorator, no-any-return, import-untyped"

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numba import njit

from innerleaf.cutting.boards_job import Ints, Job

_NEAREST = 6  # trades into one type: from the smallest that can serve it


class Sizes(NamedTuple):
    """Of each type: width, length, factory edges, whether it may turn (0, 1), and how many notches it has."""

    width: Ints
    length: Ints
    edges: Ints
    turns: Ints
    notches: Ints


def sizes_of(job: Job) -> Sizes:
    """The sizes of the types as they are in their first shape."""
    shapes = job.shapes
    first = np.searchsorted(shapes.type, np.arange(len(job.demand)))
    turns = np.array([int(demands[0].turns) for demands in job.demands], np.int64)
    notches = shapes.start[first + 1] - shapes.start[first]
    return Sizes(shapes.width[first], shapes.length[first], shapes.edges[first], turns, notches)


@njit(cache=True)
def serves(t: int, s: int, sizes: Sizes) -> bool:
    """Whether a place for t holds a piece of type s; nothing may be cut from the notch of such a place."""
    return (
        t != s
        and sizes.notches[t] == 0
        and sizes.width[t] >= sizes.width[s]
        and sizes.length[t] >= sizes.length[s]
        and sizes.edges[t] >= sizes.edges[s]
        and (sizes.edges[s] < 2 or sizes.width[t] == sizes.width[s])
        and sizes.turns[t] <= sizes.turns[s]
    )


@njit(cache=True)
def trades(rows: Ints, sizes: Sizes) -> tuple[Ints, Ints]:
    """Pairs of types, of those given: the first can serve as the second, and hardly one between them."""
    into = np.empty(_NEAREST * len(rows), np.int64)
    out = np.empty(_NEAREST * len(rows), np.int64)
    made = 0
    for s in rows:
        begin = made
        while made < begin + _NEAREST:
            best = -1
            for t in rows:
                if not serves(t, s, sizes):
                    continue
                if best >= 0 and sizes.width[t] * sizes.length[t] >= sizes.width[best] * sizes.length[best]:
                    continue
                passed = False
                for k in range(begin, made):
                    passed |= out[k] == t or serves(t, out[k], sizes)
                if not passed:
                    best = t
            if best < 0:
                break
            out[made], into[made] = best, s
            made += 1
    return out[:made], into[:made]


@njit(cache=True)
def largest_served(t: int, left: Ints, sizes: Sizes) -> int:
    """The largest type still wanted that a place for t holds, -1 if none."""
    best = -1
    for s in range(len(left)):
        larger = best < 0 or sizes.width[s] * sizes.length[s] > sizes.width[best] * sizes.length[best]
        if left[s] > 0 and larger and serves(t, s, sizes):
            best = s
    return best
