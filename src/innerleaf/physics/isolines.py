"""Lines to draw over a solved plane: isotherms between nodes, flow lines through the finite volumes."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

import numpy as np

from innerleaf.physics.grid import Floats, Grid

Point = tuple[float, float]
Line = list[Point]
_Edge = tuple[int, int, int]  # axis it runs along, and the node it begins at


def isotherm(lines: Sequence[Floats], values: Floats, level: float) -> list[Line]:
    """The places of one temperature, as open or closed lines.

    Parameters
    ----------
    lines : two arrays
        Coordinates of the nodes. [m]
    values : ndarray, shape (nodes of x, nodes of y)
        Temperatures, NaN where there is nothing. [degC]
    level : float
        [degC]

    Examples
    --------
    >>> isotherm([np.array([0.0, 1.0]), np.array([0.0, 2.0])], np.array([[0.0, 0.0], [10.0, 10.0]]), 5.0)
    [[(0.5, 0.0), (0.5, 2.0)]]
    """
    above = values > level
    known = np.isfinite(values)
    whole = known[:-1, :-1] & known[1:, :-1] & known[:-1, 1:] & known[1:, 1:]
    corners = above[:-1, :-1].astype(int) + above[1:, :-1] + above[:-1, 1:] + above[1:, 1:]
    links: dict[_Edge, list[_Edge]] = {}
    for i, j in np.argwhere(whole & (corners > 0) & (corners < 4)).tolist():
        for one, other in _segments(above, i, j, float(np.mean(values[i : i + 2, j : j + 2])) > level):
            links.setdefault(one, []).append(other)
            links.setdefault(other, []).append(one)
    return [[_crossing(lines, values, level, edge) for edge in chain] for chain in _chains(links)]


def _segments(above: np.ndarray, i: int, j: int, middle: bool) -> list[tuple[_Edge, _Edge]]:
    """Pairs of edges of a cell that the line joins."""
    bottom, top, left, right = (0, i, j), (0, i, j + 1), (1, i, j), (1, i + 1, j)
    a, b, c, d = above[i, j], above[i + 1, j], above[i, j + 1], above[i + 1, j + 1]
    crossed = [
        edge for edge, cut in ((bottom, a != b), (top, c != d), (left, a != c), (right, b != d)) if cut
    ]
    if len(crossed) == 2:
        return [(crossed[0], crossed[1])]
    if a == middle:  # a saddle: the corner a is joined with d through the middle
        return [(bottom, right), (left, top)]
    return [(bottom, left), (top, right)]


def _crossing(lines: Sequence[Floats], values: Floats, level: float, edge: _Edge) -> Point:
    axis, i, j = edge
    k, m = (i + 1, j) if axis == 0 else (i, j + 1)
    first, last = float(values[i, j]), float(values[k, m])
    share = (level - first) / (last - first)
    x = float(lines[0][i] + share * (lines[0][k] - lines[0][i]))
    y = float(lines[1][j] + share * (lines[1][m] - lines[1][j]))
    return x, y


def _chains(links: dict[_Edge, list[_Edge]]) -> list[list[_Edge]]:
    """Edges in the order a line passes them: open lines from an end, then closed ones."""
    ends = sorted(edge for edge, near in links.items() if len(near) == 1)
    found, seen = [], set()
    for start in [*ends, *sorted(links)]:
        if start in seen:
            continue
        chain, here = [start], start
        seen.add(start)
        while onward := [edge for edge in links[here] if edge not in seen]:
            here = onward[0]
            seen.add(here)
            chain.append(here)
        if len(chain) > 2 and start in links[here]:
            chain.append(start)
        found.append(chain)
    return found


def flow_lines(grid: Grid, across: Sequence[Floats], count: int) -> list[Line]:
    """Lines along which heat flows; between two neighbours passes an equal share of it.

    Parameters
    ----------
    grid : Grid
        In two dimensions.
    across : two arrays
        Flow up each axis through each face. [W/m]
    count : int
        How many lines.

    Notes
    -----
    In each cell the flux along an axis is linear between its faces, so the line through it and the face it
    leaves by are closed forms.

    References
    ----------
    Pollock, Ground Water 26 (1988) 743-750: the same for flow of water through cells (from memory).
    """
    flux = [flow / grid.area(axis) for axis, flow in enumerate(across)]
    return [_trace(grid, flux, cell, start) for cell, start in _sources(grid, across, count)]


def _sources(grid: Grid, across: Sequence[Floats], count: int) -> Iterable[tuple[tuple[int, int], Point]]:
    """Cells and places on the surface where equal shares of the heat come in."""
    faces = []
    for axis in (0, 1):
        gained = -across[axis] * grid.outward[axis]
        for i, j in np.argwhere((grid.touching[axis] >= 0) & (gained > 0)).tolist():
            sign = int(grid.outward[axis][i, j])
            faces.append((axis, sign, (i, j)[axis], (i, j)[1 - axis], float(gained[i, j])))
    faces.sort()
    ends = np.cumsum([face[-1] for face in faces])
    for share in (np.arange(count) + 0.5) / count * ends[-1]:
        k = int(np.searchsorted(ends, share))
        axis, sign, line, along, heat = faces[k]
        part = 1 - (ends[k] - share) / heat
        tangent = grid.lines[1 - axis]
        at = float(tangent[along] + part * (tangent[along + 1] - tangent[along]))
        normal, inner = float(grid.lines[axis][line]), line - (sign > 0)
        yield ((inner, along), (normal, at)) if axis == 0 else ((along, inner), (at, normal))


def _trace(grid: Grid, flux: Sequence[Floats], cell: tuple[int, int], start: Point) -> Line:
    at, here = list(start), list(cell)
    line = [start]
    for _ in range(4 * sum(grid.conductivity.shape)):
        if not all(0 <= k < n for k, n in zip(here, grid.conductivity.shape, strict=True)):
            break
        if grid.conductivity[here[0], here[1]] == 0:
            break
        speeds = []
        for axis in (0, 1):
            low = float(flux[axis][here[0], here[1]])
            high = float(flux[axis][here[0] + (axis == 0), here[1] + (axis == 1)])
            first, last = grid.lines[axis][here[axis]], grid.lines[axis][here[axis] + 1]
            slope = (high - low) / (last - first)
            speeds.append((low, high, slope, low + slope * (at[axis] - first)))
        times = [_leaves(grid.lines[axis], here[axis], at[axis], *speeds[axis]) for axis in (0, 1)]
        leaving = 0 if times[0] <= times[1] else 1
        if math.isinf(times[leaving]):
            break
        for axis in (0, 1):
            _, _, slope, speed = speeds[axis]
            gone = slope * times[leaving]
            moved = speed * times[leaving] * (math.expm1(gone) / gone if abs(gone) > 1e-9 else 1.0)
            low, high = grid.lines[axis][here[axis]], grid.lines[axis][here[axis] + 1]
            at[axis] = float(min(max(at[axis] + moved, low), high))
        up = speeds[leaving][3] > 0
        at[leaving] = float(grid.lines[leaving][here[leaving] + up])
        here[leaving] += 1 if up else -1
        line.append((at[0], at[1]))
    return line


def _leaves(line: Floats, k: int, at: float, low: float, high: float, slope: float, speed: float) -> float:
    """When something carried along would leave its interval; infinite if never."""
    end, way = (high, line[k + 1] - at) if speed > 0 else (low, line[k] - at)
    if speed == 0 or end * speed <= 0:
        return math.inf
    if abs(slope * way) < 1e-9 * abs(speed):
        return float(way / speed)
    return math.log(end / speed) / slope
