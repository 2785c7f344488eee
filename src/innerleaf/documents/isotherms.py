"""A solved section as a drawing: its materials, lines of equal temperature, lines along which heat flows."""

from __future__ import annotations

import math
from dataclasses import dataclass
from importlib.resources import files
from typing import Any

import numpy as np

from innerleaf.documents.sheet import FINE, HAIR, THIN, Hatch, Pen, Place, Rect, Sheet, text_box
from innerleaf.documents.svg import SvgSheet
from innerleaf.errors import InputError
from innerleaf.physics.conduction_answer import Solution
from innerleaf.physics.grid import Floats
from innerleaf.physics.isolines import flow_lines, isotherm

EDGE = Pen("OUTLINE", FINE)
ISOTHERM = Pen("ISOTHERM", THIN)
FLOW = Pen("FLOW", HAIR, (1.2, 0.8), 0.35)
LETTERS = 2.6
_MARGIN = 6.0
_FOOT = 5.0  # height of a line of the legend
_METAL, _INSULATION = 10.0, 0.1  # conductivities from and up to which a filling says so [W/(m·K)]
_MOST = 60  # lines of one kind


@dataclass(frozen=True, slots=True, kw_only=True)
class Cut:
    """Where a section in three dimensions is cut for the drawing: across an axis (0, 1, 2), at [m]."""

    axis: int
    at: float


@dataclass(frozen=True, slots=True, kw_only=True)
class _Plane:
    """What is seen of a section in a plane: lines [m], temperatures at nodes, conductivities of cells."""

    lines: tuple[Floats, Floats]
    temperature: Floats
    conductivity: Floats


def section_svg(
    solution: Solution,
    *,
    title: str = "",
    step: float | None = None,
    flows: int = 24,
    cut: Cut | None = None,
    width_mm: float = 180.0,
    height_mm: float = 180.0,
) -> str:
    """A drawing of its own: the section as large as fits, title, and what touches it below.

    Parameters
    ----------
    solution : Solution
        In two dimensions, or in three with ``cut``.
    title : str
        Words above the section.
    step : float, optional
        Between isotherms; if not given, a round number that makes about twenty. [K]
    flows : int
        How many flow lines (none are drawn in a cut).
    cut : Cut, optional
        The plane drawn of a section in three dimensions.
    width_mm, height_mm : float
        Room for the section itself. [mm on paper]
    """
    plane = _plane(solution, cut)
    spans = [float(line[-1] - line[0]) for line in plane.lines]
    scale = min(width_mm / spans[0], height_mm / spans[1])
    foot = _MARGIN + _FOOT * (len(solution.section.surroundings) + 1)
    head = _MARGIN + (_FOOT if title else 0.0)
    paper_width = max(spans[0] * scale, 90.0) + 2 * _MARGIN
    sheet = SvgSheet(paper_width, spans[1] * scale + foot + head)
    chosen = step if step is not None else _round_step(plane.temperature)
    draw_section(sheet, solution, (_MARGIN, foot), scale, step=chosen, flows=flows, cut=cut)
    if title:
        sheet.text((_MARGIN, sheet.height_mm - _MARGIN), title, LETTERS * 1.3, "start", bold=True)
    words = [
        f"{each.name}: {each.temperature:g} °C, Rs {each.surface_resistance:g} m²K/W; surface"
        f" {surface.least:.2f} to {surface.greatest:.2f} °C"
        for each, surface in zip(solution.section.surroundings, solution.surfaces, strict=True)
    ]
    words.append(
        f"isotherms every {chosen:g} K" + ("" if cut or not flows else f"; {flows} flow lines, equal shares")
    )
    for index, line in enumerate(words):
        sheet.text((_MARGIN, foot - _MARGIN / 2 - _FOOT * (index + 0.5)), line, LETTERS, "start")
    return sheet.svg()


def section_png(svg: str, *, dots_per_inch: float = 144.0) -> bytes:
    """The same drawing as pixels; the same drawing gives the same bytes."""
    import typst

    page = '#set page(width: auto, height: auto, margin: 0pt)\n#image("section.svg")'
    compiled: Any = typst.compile  # its types know only one file; it takes a folder of them
    made: bytes = compiled(
        {"main": page.encode(), "section.svg": svg.encode()},
        format="png",
        ppi=dots_per_inch,
        font_paths=[str(files("font_source_sans_pro") / "files")],
        ignore_system_fonts=True,
    )
    return made


def draw_section(
    sheet: Sheet,
    solution: Solution,
    corner: Place,
    scale: float,
    *,
    step: float,
    flows: int = 24,
    cut: Cut | None = None,
) -> None:
    """Draw a section, its lower left corner at ``corner``, ``scale`` mm on paper per metre.

    Metal is black, insulation tinted, all else white.

    Raises
    ------
    InputError
        The step would make too many isotherms, or is not above 0.
    """
    plane = _plane(solution, cut)
    low, high = float(np.nanmin(plane.temperature)), float(np.nanmax(plane.temperature))
    if not (step > 0 and (high - low) / step <= _MOST):
        accepted = f"above 0 K, at most {_MOST} lines: {_round_step(plane.temperature):g} is good"
        raise InputError("isotherm step", given=step, accepted=accepted)
    if not 0 <= flows <= _MOST:
        raise InputError("flow lines", given=flows, accepted=f"0 to {_MOST}")
    left, bottom = (float(line[0]) for line in plane.lines)

    def paper(x: float, y: float) -> Place:
        return corner[0] + (x - left) * scale, corner[1] + (y - bottom) * scale

    for hatch, x1, y1, x2, y2 in _blocks(plane):
        sheet.rect(Pen("OUTLINE", 0.0), (*paper(x1, y1), *paper(x2, y2)), hatch)
    if cut is None and flows:
        for line in flow_lines(solution.grid, solution.across, flows):
            sheet.polyline(FLOW, [paper(*point) for point in line])
    written: list[Rect] = []
    for number in range(math.ceil(low / step), math.floor(high / step) + 1):
        level = number * step
        chains = [
            [paper(*point) for point in chain] for chain in isotherm(plane.lines, plane.temperature, level)
        ]
        for chain in chains:
            sheet.polyline(ISOTHERM, chain)
        longest = max(chains, key=_length, default=[])
        for eighth in (1, 6, 3, 4) if _length(longest) > 4 * LETTERS else ():
            at = longest[eighth * len(longest) // 8]
            box = text_box(at, f"{level:g}", LETTERS)
            if not any(_overlap(box, other) for other in written):
                written.append(box)
                sheet.text(at, f"{level:g}", LETTERS, masked=True)
                break
    for x1, y1, x2, y2 in _borders(plane):
        sheet.line(EDGE, paper(x1, y1), paper(x2, y2))


def _plane(solution: Solution, cut: Cut | None) -> _Plane:
    grid, temperature = solution.grid, solution.temperature
    if grid.dimensions == 2:
        return _Plane(
            lines=(grid.lines[0], grid.lines[1]), temperature=temperature, conductivity=grid.conductivity
        )
    if cut is None:
        raise InputError("cut", given=None, accepted="an axis and a place: a section in 3D is drawn as a cut")
    line = grid.lines[cut.axis]
    if not line[0] <= cut.at <= line[-1]:
        accepted = f"{line[0]:g} to {line[-1]:g} m"
        raise InputError("cut, at", given=cut.at, accepted=accepted)
    k = int(np.clip(np.searchsorted(line, cut.at) - 1, 0, len(line) - 2))
    share = (cut.at - line[k]) / (line[k + 1] - line[k])
    first, last = (np.take(temperature, [node], cut.axis).squeeze(cut.axis) for node in (k, k + 1))
    x, y = (grid.lines[axis] for axis in range(3) if axis != cut.axis)
    return _Plane(
        lines=(x, y),
        temperature=first if share == 0 else last if share == 1 else (1 - share) * first + share * last,
        conductivity=np.take(grid.conductivity, [k], cut.axis).squeeze(cut.axis),
    )


def _round_step(temperature: Floats) -> float:
    """1, 2 or 5 times a power of ten, for about twenty isotherms."""
    rough = float(np.nanmax(temperature) - np.nanmin(temperature)) / 20
    power = 10.0 ** math.floor(math.log10(rough))
    return min((factor * power for factor in (1, 2, 5, 10)), key=lambda step: abs(math.log(step / rough)))


def _length(chain: list[Place]) -> float:
    return sum(math.dist(a, b) for a, b in zip(chain[:-1], chain[1:], strict=True))


def _overlap(one: Rect, other: Rect) -> bool:
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


def _blocks(plane: _Plane) -> list[tuple[Hatch, float, float, float, float]]:
    """Filled rectangles: runs of cells up a column, as wide as their neighbours are equal."""
    kinds = np.select(
        [plane.conductivity >= _METAL, (plane.conductivity > 0) & (plane.conductivity <= _INSULATION)],
        [2, 1],
        0,
    )
    x, y = plane.lines
    found: list[tuple[Hatch, float, float, float, float]] = []
    column = 0
    while column < kinds.shape[0]:
        same = column + 1
        while same < kinds.shape[0] and np.array_equal(kinds[same], kinds[column]):
            same += 1
        for begin, end in _runs(kinds[column]):
            kind = kinds[column, begin]
            if kind:
                hatch = Hatch.BLACK if kind == 2 else Hatch.TINT
                found.append((hatch, float(x[column]), float(y[begin]), float(x[same]), float(y[end])))
        column = same
    return found


def _borders(plane: _Plane) -> list[tuple[float, float, float, float]]:
    """Lines between different materials, and round everything."""
    x, y = plane.lines
    around = np.pad(plane.conductivity, 1)
    found: list[tuple[float, float, float, float]] = []
    for i, change in enumerate(np.diff(around, axis=0)[:, 1:-1] != 0):
        found += [(x[i], y[a], x[i], y[b]) for a, b in _runs(change.astype(int)) if change[a]]
    for j, change in enumerate((np.diff(around, axis=1)[1:-1, :] != 0).T):
        found += [(x[a], y[j], x[b], y[j]) for a, b in _runs(change.astype(int)) if change[a]]
    return [(float(a), float(b), float(c), float(d)) for a, b, c, d in found]


def _runs(values: np.ndarray[tuple[int, ...], np.dtype[np.int64]]) -> list[tuple[int, int]]:
    """Begin and end of each run of equal values."""
    ends = [0, *(np.flatnonzero(np.diff(values)) + 1).tolist(), len(values)]
    return list(zip(ends[:-1], ends[1:], strict=True))
