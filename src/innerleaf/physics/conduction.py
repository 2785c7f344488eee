"""Steady heat conduction in two and three dimensions, with a guaranteed interval on what flows.

A section is solved twice on one grid, by finite volumes (a lower bound) and by elements (an upper
bound). The truth lies between; the middle is far nearer to it than either. Where the two differ most
tells where the grid has to be finer, so the grid is chosen by the solves themselves.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from innerleaf.errors import InputError
from innerleaf.physics.conduction_answer import Solution, Surface, relative_to_last
from innerleaf.physics.conduction_edges import edge_contacts, graded_towards
from innerleaf.physics.conduction_flux import Fluxes, fluxes
from innerleaf.physics.conduction_linear import pieces
from innerleaf.physics.conduction_nodes import Nodes, gap_by_interval, nodes
from innerleaf.physics.grid import Floats, Grid, Lines, better_lines, feature_lines, first_lines, paint
from innerleaf.physics.section import Section, Vector

_ROUNDS = 8
_STEP = 2.5  # by which the gap is narrowed when only temperatures are not good enough yet
_LEAP = 10.0  # a gap is narrowed by no more at once: what a coarse grid foretells is too much
_EXACT = 1e-9  # a narrower gap is rounding
_STILL = 0.005  # temperature change that is asked for where no interval can be had [K]
_CELLS_AT_EDGES = 30_000  # no more where conductors touch along an edge: it would not help
_SLOW = 0.7  # of the gap before: then a finer grid does not help either
# Of the wanted gap: a grid is planned for less, since the errors fall a little slower than foretold.
_AIM, _AIM_FAR = 0.9, 0.8
_FAR = 2.0  # how many times the wanted gap is far from it; in space cells are too dear for that


def solve(
    section: Section,
    *,
    accuracy: float | None = None,
    points: Sequence[Vector] = (),
    kelvin: float = math.inf,
    greatest_cells: int = 400_000,
    lines: Lines | None = None,
) -> Solution:
    """Solve a section on a grid fine enough for the accuracy wanted.

    Parameters
    ----------
    section : Section
        What to solve.
    accuracy : float, optional
        Width of the guaranteed interval on the heat that passes, as a fraction; 0.001 in 2D and 0.0025 in
        3D if not given.
    points : sequence of tuple
        Places whose temperature will be asked: the grid gets lines through them. [m]
    kelvin : float
        The grid is also refined until the temperatures at the points and the extremes of the surfaces
        change by less than this from one grid to the next. [K]
    greatest_cells : int
        No grid gets more cells than this; the gap reached says what that costs.
    lines : tuple of ndarray, optional
        Solve once on exactly these lines instead (they have to hold all faces of the section).

    Returns
    -------
    Solution
        Flows with intervals, temperatures, surfaces and what is known about their errors.

    Raises
    ------
    InputError
        The section has a piece that touches no surrounding, a surrounding touches nothing, or a point
        lies outside.

    Notes
    -----
    Lower bound: Thomson's principle; upper bound: Dirichlet's principle. Both hold for the geometry and
    values given, up to rounding.

    References
    ----------
    ISO 10211:2017 asks for heat balance and a refinement check; both are in the answer.

    Examples
    --------
    A 0.2 m slab with lambda 1 between 20 and 0 degC:

    >>> from innerleaf.physics.section import Box, Region, Surrounding
    >>> wall = Box(material="brick", low=(0.0, 0.0), high=(0.2, 1.0))
    >>> inside = Region(low=(0.2, 0.0), high=(0.2, 1.0))
    >>> outside = Region(low=(0.0, 0.0), high=(0.0, 1.0))
    >>> section = Section(
    ...     conductivities={"brick": 1.0},
    ...     boxes=(wall,),
    ...     surroundings=(
    ...         Surrounding(name="in", temperature=20, surface_resistance=0.13, regions=(inside,)),
    ...         Surrounding(name="out", temperature=0, surface_resistance=0.04, regions=(outside,)),
    ...     ),
    ... )
    >>> round(solve(section).coupling(["in"], ["out"]).middle, 6)  # 1 / 0.37
    2.702703
    """
    wanted = accuracy if accuracy is not None else (0.001 if section.dimensions == 2 else 0.0025)
    if not wanted > 0:
        raise InputError("accuracy", given=accuracy, accepted="above 0")
    features = feature_lines(section, points)
    if lines is not None:
        return _answer(section, _Solved.on(section, lines), points, None, 1)
    plain = paint(section, features)
    _check_pieces(plain)
    edges = edge_contacts(plain)
    now = _Solved.on(section, graded_towards(first_lines(features), edges))
    before: Solution | None = None
    if edges:
        greatest_cells = min(greatest_cells, _CELLS_AT_EDGES)
    for count in range(1, _ROUNDS + 1):
        answer = _answer(section, now, points, before, count)
        still = kelvin if answer.bounded else min(kelvin, _STILL)
        moved = [place for place, change in _moves(answer, before, points) if not change <= still]
        if (not answer.bounded or answer.gap <= wanted) and not moved:
            break
        if count == _ROUNDS or (edges and before and answer.gap > _SLOW * before.gap):
            break
        aim = wanted if answer.gap > wanted else max(answer.gap, _EXACT) / _STEP
        better = _refined(now, features, answer, max(aim, answer.gap / _LEAP), moved if before else [])
        while answer.bounded and _cells(better) > greatest_cells and aim < answer.gap:
            aim *= 1.5
            better = _refined(now, features, answer, aim, [])
        if _cells(better) > greatest_cells:
            break
        before, now = answer, _Solved.on(section, better)
    return replace(answer, edges=edges)


def _cells(lines: Lines) -> int:
    return math.prod(len(line) - 1 for line in lines)


@dataclass(frozen=True, slots=True)
class _Solved:
    """Both solves on one grid."""

    grid: Grid
    fluxes: Fluxes
    nodes: Nodes

    @classmethod
    def on(cls, section: Section, lines: Lines) -> _Solved:
        grid = paint(section, lines)
        resistances = [surrounding.surface_resistance for surrounding in section.surroundings]
        return cls(grid, fluxes(grid, resistances), nodes(grid, resistances))


def _answer(
    section: Section, solved: _Solved, points: Sequence[Vector], before: Solution | None, count: int
) -> Solution:
    relative = relative_to_last(section.temperatures)
    temperature = solved.nodes.values @ relative + section.temperatures[-1]
    # No place is colder or warmer than all surroundings; long thin elements may overshoot a little.
    temperature = np.clip(temperature, min(section.temperatures), max(section.temperatures))
    surfaces = tuple(
        _surface(surrounding.name, number, solved.grid, temperature)
        for number, surrounding in enumerate(section.surroundings)
    )
    flows = solved.fluxes.inflow @ relative
    middle = relative @ (solved.fluxes.bound + solved.nodes.bound) @ relative
    change = math.inf
    if before is not None:
        change = abs(float(middle) / float(relative @ (before.flux_form + before.node_form) @ relative) - 1)
    answer = Solution(
        section=section,
        grid=solved.grid,
        flux_form=solved.fluxes.bound,
        node_form=solved.nodes.bound,
        temperature=temperature,
        across=tuple(across @ relative for across in solved.fluxes.across),
        surfaces=surfaces,
        bounded=solved.nodes.bounded,
        balance=float(abs(flows.sum()) / (np.abs(flows).sum() / 2)),
        change=change,
        temperature_change=math.inf,
        grids=count,
    )
    return replace(answer, temperature_change=max(move for _, move in _moves(answer, before, points)))


def _moves(answer: Solution, before: Solution | None, points: Sequence[Vector]) -> list[tuple[Vector, float]]:
    """Places that count, and how much their temperatures changed since the grid before. [K]"""
    found = []
    for index, surface in enumerate(answer.surfaces):
        then = before.surfaces[index] if before else None
        found.append((surface.least_at, abs(surface.least - then.least) if then else math.inf))
        found.append((surface.greatest_at, abs(surface.greatest - then.greatest) if then else math.inf))
    for point in points:
        then_at = before.temperature_at(point) if before else math.inf
        found.append((point, abs(answer.temperature_at(point) - then_at)))
    return found


def _refined(
    solved: _Solved, features: Lines, answer: Solution, wanted: float, moved: Iterable[Vector]
) -> Lines:
    """Better lines for a narrower gap; without bounds, every cell is halved."""
    grid = solved.grid
    if not answer.bounded:
        return tuple(np.sort(np.concatenate([line, (line[1:] + line[:-1]) / 2])) for line in grid.lines)
    section = answer.section
    resistances = [surrounding.surface_resistance for surrounding in section.surroundings]
    errors = gap_by_interval(grid, answer.temperature, answer.across, resistances, section.temperatures)
    relative = relative_to_last(section.temperatures)
    scale = float(relative @ answer.node_form @ relative)
    aim = _AIM if grid.dimensions == 3 or answer.gap < _FAR * wanted else _AIM_FAR
    return better_lines(grid.lines, features, errors, aim * wanted * scale, moved)


def _surface(name: str, number: int, grid: Grid, temperature: Floats) -> Surface:
    """Extremes and mean of the faces that touch one surrounding."""
    touched = np.zeros(temperature.shape, dtype=bool)
    area = heat = 0.0
    for axis in range(grid.dimensions):
        faces = grid.touching[axis] == number
        if not faces.any():
            continue
        areas = grid.area(axis)[faces]
        corners = []
        for step in range(2 ** (grid.dimensions - 1)):
            bits = iter(bool(step >> shift & 1) for shift in range(grid.dimensions - 1))
            shifted = tuple(
                slice(None) if other == axis else slice(1, None) if next(bits) else slice(None, -1)
                for other in range(grid.dimensions)
            )
            touched[shifted] |= faces
            corners.append(temperature[shifted][faces])
        area += float(areas.sum())
        heat += float(areas @ np.mean(corners, axis=0))
    low = np.unravel_index(np.argmin(np.where(touched, temperature, np.inf)), temperature.shape)
    high = np.unravel_index(np.argmax(np.where(touched, temperature, -np.inf)), temperature.shape)
    return Surface(
        name=name,
        area=area,
        mean=heat / area,
        least=float(temperature[low]),
        least_at=_place(grid, low),
        greatest=float(temperature[high]),
        greatest_at=_place(grid, high),
    )


def _place(grid: Grid, index: Sequence[np.intp]) -> Vector:
    return tuple(float(line[i]) for line, i in zip(grid.lines, index, strict=True))


def _check_pieces(grid: Grid) -> None:
    """Every connected piece needs a surrounding, or its temperature could be anything."""
    piece = pieces(grid.conductivity > 0)
    touched: set[int] = set()
    for axis in range(grid.dimensions):
        faces = np.nonzero(grid.touching[axis] >= 0)
        shift = grid.outward[axis][faces] > 0
        cells = tuple(index - shift if other == axis else index for other, index in enumerate(faces))
        touched |= set(piece[cells].tolist())
    for number in range(int(piece.max()) + 1):
        if number not in touched:
            cell = np.argwhere(piece == number)[0]
            at = tuple(float((line[i] + line[i + 1]) / 2) for line, i in zip(grid.lines, cell, strict=True))
            raise InputError(
                "surroundings",
                given=f"none that touches the piece around {at} m",
                accepted="at least one for each connected piece: its temperature is undetermined else",
            )
