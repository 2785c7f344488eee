"""Conductors that touch only along an edge: where the heat is squeezed through a line without width.

There the field has no length of its own, so no grid is fine enough: of aluminium corner to corner in wool,
each tenth of the cell width narrows the interval by a few per cent only. Such contacts come from drawing, not
from building; the solver grades its first grid towards them, stops early and names them.
"""

from __future__ import annotations

from itertools import combinations

import numpy as np

from innerleaf.physics.grid import Floats, Grid, Lines
from innerleaf.physics.section import Vector

_BETTER = 20.0  # how many times better both conductors are than what else meets at the edge
_STEP = 4.0  # ratio of neighbouring cells towards the edge
_NEAREST = 1e-7  # m


def edge_contacts(grid: Grid) -> tuple[Vector, ...]:
    """Middles of the edges (in 2D points) along which alone two good conductors touch. [m]

    ``grid`` has no lines but the features, or one contact would be found several times.
    """
    features, conductivity = grid.lines, grid.conductivity
    found: list[Vector] = []
    for one, other in combinations(range(grid.dimensions), 2):
        blocks = np.moveaxis(conductivity, (one, other), (0, 1))
        around = (blocks[:-1, :-1], blocks[1:, 1:], blocks[:-1, 1:], blocks[1:, :-1])
        rising = np.minimum(around[0], around[1]) > _BETTER * np.maximum(around[2], around[3])
        falling = np.minimum(around[2], around[3]) > _BETTER * np.maximum(around[0], around[1])
        rest = [axis for axis in range(grid.dimensions) if axis not in (one, other)]
        for index in np.argwhere(rising | falling).tolist():
            place = np.zeros(grid.dimensions)
            place[one], place[other] = features[one][index[0] + 1], features[other][index[1] + 1]
            for axis, k in zip(rest, index[2:], strict=True):
                place[axis] = (features[axis][k] + features[axis][k + 1]) / 2
            found.append(tuple(place.tolist()))
    return tuple(found)


def graded_towards(lines: Lines, places: tuple[Vector, ...]) -> Lines:
    """The lines with more of them towards some places, ever closer together."""
    made = []
    for axis, line in enumerate(lines):
        more = [line, *(_ladder(line, place[axis]) for place in places if place[axis] in line)]
        made.append(np.unique(np.concatenate(more)))
    return tuple(made)


def _ladder(line: Floats, at: float) -> Floats:
    k = int(np.searchsorted(line, at))
    rungs = []
    for neighbour in (k - 1, k + 1):
        if 0 <= neighbour < len(line):
            width = line[neighbour] - at
            count = int(np.log(abs(width) / _NEAREST) / np.log(_STEP))
            rungs.append(at + width / _STEP ** np.arange(1, max(count, 0) + 1))
    return np.concatenate(rungs)
