"""Where the sections of a wall are cut, and the marks that say so on its frame."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from innerleaf.documents.boarding import spans_at
from innerleaf.documents.labels import Labels
from innerleaf.documents.sheet import DIM, FINE, HEAVY, Hatch, Pen, Place, Sheet
from innerleaf.documents.view import LARGE, View
from innerleaf.layout.pieces import WallPlan
from innerleaf.survey.wall import ObstacleKind, Wall

_OVER_MM = 110.0  # wall shown beyond the bay
_LEAST_BAY_MM = 150.0
_LEVELS = (0.0, 0.5, 0.3, 0.6, 0.2, 0.7, 0.8, 0.1, 0.9)  # of the wall's height; the first: at the usual one
_USUAL_MM, _USUAL_SHARE = 1200.0, 0.45
_STROKE_MM, _ARROW_MM, _HEAD_MM = 4.0, 5.0, 1.6  # on paper


@dataclass(frozen=True, slots=True)
class Bay:
    """The bay between two members that the sections show, and the stretch cut level. [mm]"""

    from_mm: float
    to_mm: float
    left_mm: float
    right_mm: float
    level_mm: float

    @property
    def middle_mm(self) -> float:
        """x at which floor and head are cut."""
        return (self.from_mm + self.to_mm) / 2


def section_bay(plan: WallPlan) -> Bay:
    """A whole bay where the stretch cut is clear of openings, columns and beams.

    At 1200 mm or a little below the middle of a lower wall, else at another height; best where no opening
    lies above or below it either, and where nothing but wall lies for a hand beyond it.
    """
    wall = plan.wall
    floor = min(y for _, y in wall.outline)
    for share in _LEVELS:
        level = floor + (share * wall.height_mm or min(_USUAL_MM, _USUAL_SHARE * wall.height_mm))
        bays = list(_bays(plan, level))
        if bays:
            return min(bays, key=lambda bay: _worth(plan, bay))
    middle = min(x for x, _ in wall.outline) + wall.length_mm / 2
    return Bay(middle - 300, middle + 300, middle - 300, middle + 300, floor + wall.height_mm / 2)


def _bays(plan: WallPlan, level: float) -> Iterator[Bay]:
    standing = sorted({m.x_mm for m in plan.members if m.bottom_mm <= level <= m.top_mm})
    stretches = _clear(plan.wall, level)
    for a, b in zip(standing, standing[1:], strict=False):
        within = next((s for s in stretches if s[0] <= a and b <= s[1]), None)
        if within and b - a > _LEAST_BAY_MM:
            yield Bay(a, b, max(a - _OVER_MM, within[0]), min(b + _OVER_MM, within[1]), level)


def _worth(plan: WallPlan, bay: Bay) -> tuple[bool, float, float, float]:
    """The less, the better: openings above or below, not the usual width, overhang cut short."""
    spacing = max((grid.spacing_mm for grid in plan.grids), default=600.0)
    crossed = any(o.x_mm < bay.to_mm and o.right_mm > bay.from_mm for o in plan.wall.openings)
    odd = abs(bay.to_mm - bay.from_mm - spacing)
    return crossed, odd, -(bay.right_mm - bay.left_mm - bay.to_mm + bay.from_mm), bay.from_mm


def _clear(wall: Wall, level: float) -> list[tuple[float, float]]:
    """Stretches at a height that are wall: no opening, column or beam."""
    stretches = spans_at([wall.outline], level)
    solid = (ObstacleKind.COLUMN, ObstacleKind.BEAM)
    cuts = [(o.x_mm, o.right_mm) for o in wall.openings if o.sill_mm < level < o.head_mm]
    cuts += [
        (o.x_mm, o.x_mm + o.width_mm)
        for o in wall.obstacles
        if o.kind in solid and o.y_mm < level < o.y_mm + o.height_mm
    ]
    for low, high in cuts:
        stretches = [
            part
            for left, right in stretches
            for part in ((left, min(right, low)), (max(left, high), right))
            if part[1] > part[0]
        ]
    return stretches


def draw_section_marks(sheet: Sheet, view: View, plan: WallPlan, labels: Labels) -> None:
    """A heavy stroke at each end of a cut, an arrow the way it looks, a letter; A level, B plumb.

    A looks down, B to the right: as the sections lie on their sheet.
    """
    bay = section_bay(plan)
    stroke = min(_STROKE_MM, (bay.right_mm - bay.left_mm) / view.scale / 3)
    for x, inwards in ((bay.left_mm, 1), (bay.right_mm, -1)):
        if view.has(x):
            at = view.at(x, bay.level_mm)
            _mark(sheet, labels, "A", at, (at[0] + inwards * stroke, at[1]), (0, -1))
    if view.has(bay.middle_mm):
        spans = spans_at([tuple((y, x) for x, y in plan.wall.outline)], bay.middle_mm)
        for y, inwards in ((spans[0][0], 1), (spans[-1][1], -1)) if spans else ():
            at = view.at(bay.middle_mm, y)
            _mark(sheet, labels, "B", at, (at[0], at[1] + inwards * _STROKE_MM), (1, 0))


def _mark(
    sheet: Sheet, labels: Labels, letter: str, end: Place, inner: Place, looks: tuple[int, int]
) -> None:
    """A heavy stroke from ``end`` to ``inner``, an arrow that touches its middle, a letter behind it."""
    (dx, dy), (x, y) = looks, ((end[0] + inner[0]) / 2, (end[1] + inner[1]) / 2)
    tail = (x - dx * _ARROW_MM, y - dy * _ARROW_MM)
    back = (x - dx * _HEAD_MM, y - dy * _HEAD_MM)
    half = _HEAD_MM / 3
    wings = [(back[0] - dy * half, back[1] + dx * half), (back[0] + dy * half, back[1] - dx * half)]
    sheet.line(Pen(DIM.layer, HEAVY), end, inner)
    sheet.line(Pen(DIM.layer, FINE), tail, back)
    sheet.polygon(Pen(DIM.layer, FINE), [[(x, y), *wings]], Hatch.BLACK)
    corners = (end, inner, tail, *wings)
    xs, ys = [cx for cx, _ in corners], [cy for _, cy in corners]
    labels.take((min(xs) - 0.4, min(ys) - 0.4, max(xs) + 0.4, max(ys) + 0.4))
    behind = (tail[0] - dx * 0.6 * LARGE, tail[1] - dy * 0.6 * LARGE)
    beside = [(tail[0] + s * dy * 2.6, tail[1] + s * dx * 2.6) for s in (1, -1)]
    at = labels.place(letter, LARGE, [behind, *beside], over=True)
    if at:
        sheet.text(at, letter, LARGE, bold=True, masked=True)
