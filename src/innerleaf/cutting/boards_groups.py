"""Types of nearly one size, taken as having one price: so there are few prices to find, however many types.

Any prices give a bound; those of pieces of nearly one size are nearly the same, but for where they pass a
length or width of board, or a whole part of it. No group reaches across these.
"""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from innerleaf.cutting.boards_job import Ints, Job
from innerleaf.cutting.boards_master import Groups
from innerleaf.cutting.boards_serving import sizes_of

_PARTS = 6  # of a board: its half, third, ... are borders too
# how far borders are apart, across and along: prices follow the width more evenly than the length
_STEPS_MM = (
    (50, 25), (100, 25), (150, 25), (200, 25), (200, 35), (200, 50), (200, 70), (200, 100), (300, 150),
    (300, 300), (600, 600), (2000, 2000),
)  # fmt: skip
_CUT_OUT = (0.15, 0.3, 0.45)  # shares of a piece that its notches take: borders of groups


def groups_of(job: Job, most: int) -> Groups:
    """Groups by width, length, factory edges and the share cut out, no more than ``most`` if that can be."""
    sizes, (across, along) = sizes_of(job), job.unit
    box = sizes.width * sizes.length * across * along
    share = np.where(sizes.notches > 0, 1 + np.searchsorted(_CUT_OUT, 1 - job.net / box), 0)
    for step_across, step_along in _STEPS_MM:
        wide = np.searchsorted(_borders(job.sheets.width.tolist(), step_across / across), sizes.width)
        long = np.searchsorted(_borders(job.sheets.length.tolist(), step_along / along), sizes.length)
        keys, of = np.unique(np.stack([wide, long, sizes.edges, share]), axis=1, return_inverse=True)
        if keys.shape[1] <= most:
            break
    return Groups(of.ravel(), np.ones(len(of.ravel())))


def _borders(boards: Iterable[int], step: float) -> Ints:
    """The sizes of the boards and of their whole parts, and between them at most ``step`` apart."""
    marks = sorted({0, *(size // part for size in boards for part in range(1, _PARTS + 1))})
    between = [
        np.linspace(a, b, max(1, int(np.ceil((b - a) / step))), endpoint=False)
        for a, b in zip(marks, marks[1:], strict=False)
    ]
    return np.unique(np.floor(np.concatenate([*between, [marks[-1]]])).astype(np.int64))
