"""Solved heat details side by side: as much of each as tells something, isotherms, its coldest spot."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from math import cos, dist, pi, sin

import numpy as np

from innerleaf.design.heat.assess import Assessed
from innerleaf.design.heat.details import STEEL
from innerleaf.design.heat.wall import Heat
from innerleaf.documents.isotherms import ISOTHERM, draw_section
from innerleaf.documents.labels import Labels, spread
from innerleaf.documents.sheet import BOX_THIN, MEDIUM, THICK, Hatch, Pen, Place, Rect, Sheet, text_box
from innerleaf.documents.view import NORMAL, SMALL
from innerleaf.physics.conduction_answer import Solution
from innerleaf.physics.grid import Floats, Grid
from innerleaf.physics.isolines import isotherm

MOULD = 7  # tenths: the usual least temperature factor at a surface
SHOWN = 3  # details in a row
_SCALES = (5, 10, 20, 25, 50, 100, 200)
_HEAD_MM, _OVER_MM, _FOOT_MM = 9.5, 9.0, 6.0  # words above a detail, its room side, its outside
_TALLEST_MM = 74.0  # of a detail
_LEFT_MM, _BESIDE_MM = 8.0, 10.0  # left of it the coldest factor, right the factors of isotherms
_GAP_MM = 4.0  # between details
_BEYOND = 0.15  # m shown beyond the thickness of the wall, at least
_CLEAR_MM = 1.0  # words keep so far from the section
_LETTERS = 2.5
_LIMIT = Pen("ISOTHERM-MOULD", THICK)
_STEEL = Pen("FRAME", MEDIUM)
_SPOT = Pen("COLDEST", MEDIUM)


def shown_details(heat: Heat) -> tuple[Assessed, ...]:
    """The member line, the coldest bracket beside it, and the coldest of the others."""
    line = [each for each in heat.details if each.detail.title == "member"][:1]
    rest = sorted((each for each in heat.details if each not in line), key=lambda each: each.frsi)
    points = [each for each in rest if each.detail.point]
    others = [each for each in rest if not each.detail.point]
    return tuple((line + points[:1] + others)[:SHOWN])


def factor(frsi: float, share: float) -> float:
    """A temperature factor against outside air, of one against the air beyond the wall."""
    return 1 - share * (1 - frsi)


@dataclass(frozen=True, slots=True)
class Part:
    """What is drawn of a solved detail: its solution between cuts, and the scale.

    Temperatures are factors against outside air. ``plain`` where nothing is colder than the plain wall,
    so that there is no coldest spot to mark.
    """

    of: Assessed
    solution: Solution
    coldest: float
    scale: int
    plain: bool

    @property
    def paper_mm(self) -> Place:
        """Width and height on paper."""
        x, y = self.solution.grid.lines
        per = 1000 / self.scale
        return float(x[-1] - x[0]) * per, float(y[-1] - y[0]) * per

    def at(self, point: tuple[float, ...], corner: Place) -> Place:
        """A place of the detail on paper, its lower left corner being at ``corner``."""
        x, y = self.solution.grid.lines
        per = 1000 / self.scale
        return corner[0] + (point[0] - float(x[0])) * per, corner[1] + (point[1] - float(y[0])) * per


def parts_of(details: Sequence[Assessed], share: float, width_mm: float) -> list[Part]:
    """What is drawn of details in a row of a width.

    ``share`` is the wall's temperature difference as a share of that to outside.
    """
    room = _panel_mm(width_mm) - _LEFT_MM - _BESIDE_MM
    return [_part(each, share, room) for each in details]


def row_height_mm(parts: Sequence[Part]) -> float:
    """Paper that a row takes."""
    return _HEAD_MM + _OVER_MM + _FOOT_MM + max(part.paper_mm[1] for part in parts)


def draw_row(sheet: Sheet, parts: Sequence[Part], width_mm: float) -> None:
    """Draw details in a row from the lower left of the sheet, each with title, psi and coldest spot."""
    wide, high = _panel_mm(width_mm), row_height_mm(parts)
    for number, part in enumerate(parts):
        left = number * (wide + _GAP_MM)
        _draw_part(sheet, part, (left, 0.0, left + wide, high))


def _panel_mm(width_mm: float) -> float:
    return (width_mm - _GAP_MM * (SHOWN - 1)) / SHOWN


def _part(each: Assessed, share: float, width_mm: float) -> Part:
    """As much of a detail as the paper takes at the largest scale that shows wall and coldest spot."""
    thickness = each.detail.plane[0][0].thickness
    lines = each.solution.grid.lines
    papers = (width_mm, _TALLEST_MM)
    plain = any(not -thickness <= at <= 2 * thickness for at in each.coldest)
    middle = [min(max(at, 0.0), thickness) if plain else at for at in each.coldest]
    cores = [
        (max(min(0.0, at), float(line[0])), min(max(thickness, at), float(line[-1])))
        for line, at in zip(lines, middle, strict=True)
    ]
    needed = [
        min(max(high - low, thickness + _BEYOND), float(line[-1] - line[0]))
        for line, (low, high) in zip(lines, cores, strict=True)
    ]
    scale = next(
        (
            scale
            for scale in _SCALES
            if all(paper * scale / 1000 >= need for paper, need in zip(papers, needed, strict=True))
        ),
        _SCALES[-1],
    )
    cuts = [
        _cut(line, paper * scale / 1000, core, at)
        for line, paper, core, at in zip(lines, papers, cores, middle, strict=True)
    ]
    return Part(each, _between(each.solution, cuts, share), factor(each.frsi, share), scale, plain)


def _cut(line: Floats, room: float, core: tuple[float, float], middle: float) -> slice:
    """Nodes within ``room`` metres about a middle, shifted until they hold the core."""
    low = max(min(middle - room / 2, core[0]), core[1] - room)
    low = max(min(low, float(line[-1]) - room), float(line[0]))
    return slice(int(np.searchsorted(line, low - 1e-9)), int(np.searchsorted(line, low + room + 1e-9)))


def _between(solution: Solution, cuts: Sequence[slice], share: float) -> Solution:
    """A solution between cuts at nodes, its temperatures as factors against outside air."""
    nodes = tuple(cuts)
    cells = tuple(slice(cut.start, cut.stop - 1) for cut in cuts)
    faces = [tuple(nodes[k] if k == axis else cells[k] for k in range(2)) for axis in range(2)]
    grid = solution.grid
    return replace(
        solution,
        grid=Grid(
            lines=tuple(line[cut] for line, cut in zip(grid.lines, nodes, strict=True)),
            conductivity=grid.conductivity[cells],
            touching=tuple(grid.touching[axis][faces[axis]] for axis in range(2)),
            outward=tuple(grid.outward[axis][faces[axis]] for axis in range(2)),
            widths=(grid.widths[0][cells[0], :], grid.widths[1][:, cells[1]]),
            areas=(grid.areas[0][:, cells[1]], grid.areas[1][cells[0], :]),
        ),
        temperature=1 - share * (1 - solution.temperature[nodes]),
        across=tuple(solution.across[axis][faces[axis]] for axis in range(2)),
    )


def _draw_part(sheet: Sheet, part: Part, panel: Rect) -> None:
    left, bottom, right, top = panel
    wide, high = part.paper_mm
    corner = ((left + _LEFT_MM + right - _BESIDE_MM - wide) / 2, bottom + _FOOT_MM)
    each = part.of
    sheet.text((left, top - 2), _title(each), NORMAL * 1.1, "start", bold=True)
    sheet.text((right, top - 2), f"1:{part.scale}", NORMAL, "end")
    sign = "χ" if each.detail.point else "ψ"
    psi = f"{sign} = {each.extra:.4f} ± {max(each.half, 0.0001):.4f} {each.unit}".replace("-", "−")
    where = ", the plain wall's" if part.plain else ""
    sheet.text((left, top - 6.5), f"{psi},  fRsi = {part.coldest:.3f}{where}", NORMAL, "start")
    draw_section(sheet, part.solution, corner, 1000 / part.scale, step=2.0, flows=0)  # materials alone
    _draw_steel(sheet, part, corner)
    labels = Labels((left, bottom, right, top - _HEAD_MM + 1))
    labels.take((corner[0] + wide, corner[1], right, corner[1] + high))
    _draw_isotherms(sheet, part, corner, labels)
    for box in each.detail.boxes:
        low, far = part.at(box.low, corner), part.at(box.high, corner)
        labels.take(
            (
                max(low[0], corner[0]) - _CLEAR_MM,
                max(low[1], corner[1]) - _CLEAR_MM,
                min(far[0], corner[0] + wide) + _CLEAR_MM,
                min(far[1], corner[1] + high) + _CLEAR_MM,
            )
        )
    if not part.plain:
        _draw_coldest(sheet, part, corner, labels)
    for words, start in (
        ("room", (corner[0] + wide * 0.75, corner[1] + high + 3)),
        ("outside", (corner[0] + wide / 2, bottom + 2)),
    ):
        at = labels.place(words, SMALL, _round(start, 0.0))
        if at:
            sheet.text(at, words, SMALL)


def _title(each: Assessed) -> str:
    title = each.detail.title
    if title == "member":
        title = f"member, every {1000 * each.detail.plane[0][1]:.0f} mm"
    if each.detail.point:
        title = f"{title}, cut level through it"
    return title[:1].upper() + title[1:]


def _draw_steel(sheet: Sheet, part: Part, corner: Place) -> None:
    """Steel thicker than it is, or it would not be seen."""
    wide, high = part.paper_mm
    for box in part.of.detail.boxes:
        low, far = part.at(box.low, corner), part.at(box.high, corner)
        within = low[0] >= corner[0] and low[1] >= corner[1]
        if box.material == STEEL and within and far[0] <= corner[0] + wide and far[1] <= corner[1] + high:
            sheet.rect(_STEEL, (*low, *far), Hatch.BLACK)


def _draw_isotherms(sheet: Sheet, part: Part, corner: Place, labels: Labels) -> None:
    """Lines at every tenth; their factors stand in a row at the right cut, others on the line."""
    edge = corner[0] + part.paper_mm[0]
    ends: list[tuple[float, str]] = []
    for tenths in range(1, 10):
        found = isotherm(part.solution.grid.lines, part.solution.temperature, tenths / 10)
        chains = [[part.at(point, corner) for point in chain] for chain in found]
        for chain in chains:
            sheet.polyline(_LIMIT if tenths == MOULD else ISOTHERM, chain)
        words = f"{tenths / 10:g}"
        cut = [end for chain in chains for end in (chain[0], chain[-1]) if abs(end[0] - edge) < 0.01]
        if cut:
            ends.append((max(y for _, y in cut), words))
        elif chains:
            _name_on_line(sheet, max(chains, key=len), words, labels)
    ends.sort()
    for (y, words), place in zip(ends, spread([y for y, _ in ends], _LETTERS + 0.2), strict=True):
        sheet.polyline(BOX_THIN, ((edge, y), (edge + 1.2, y), (edge + 3.8, place)))
        sheet.text((edge + 4.3, place), words, _LETTERS, "start", bold=words == f"{MOULD / 10:g}")


def _name_on_line(sheet: Sheet, chain: Sequence[Place], words: str, labels: Labels) -> None:
    at = labels.place(words, _LETTERS, (chain[k * len(chain) // 8] for k in (4, 3, 5, 2, 6)))
    if at:
        sheet.text(at, words, _LETTERS, masked=True)


def _draw_coldest(sheet: Sheet, part: Part, corner: Place, labels: Labels) -> None:
    """A mark at the coldest spot, its factor beside it in the room."""
    spot = part.at(part.of.coldest, corner)
    sheet.circle(_SPOT, spot, 1.1, Hatch.WHITE)
    words = f"{part.coldest:.3f}"
    at = labels.place(f" {words} ", NORMAL, _round(spot, 4.0))
    if at:
        left, bottom, right, top = text_box(at, f" {words} ", NORMAL)
        toward = (min(max(spot[0], left), right), min(max(spot[1], bottom - 0.4), top + 0.4))
        way = dist(spot, toward)
        if way > 1.1:
            rim = tuple(spot[k] + (toward[k] - spot[k]) * 1.1 / way for k in (0, 1))
            sheet.line(BOX_THIN, (rim[0], rim[1]), toward)
        sheet.text(at, words, NORMAL, bold=True)


def _round(place: Place, start: float) -> Iterator[Place]:
    """Places about a place, the nearest first, straight above it before all else."""
    for ring in range(40):
        radius = start + 1.5 * ring
        for turn in (0, 1, -1, 2, -2, 3, -3, 4):
            angle = pi / 2 + turn * pi / 4
            yield place[0] + radius * cos(angle), place[1] + radius * sin(angle)
