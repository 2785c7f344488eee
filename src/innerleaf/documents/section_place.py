"""Where the sections of a wall are cut, and the marks that say so on its frame."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import product

from innerleaf.documents.boarding import spans_at
from innerleaf.documents.labels import Labels
from innerleaf.documents.sheet import DIM, FINE, HEAVY, Hatch, Pen, Place, Sheet
from innerleaf.documents.view import LARGE, SMALL, View
from innerleaf.layout.pieces import WallPlan
from innerleaf.survey.wall import ObstacleKind, Wall

_OVER_MM = 110.0  # wall shown beyond the bay
_LEAST_BAY_MM, _WITHOUT_BAY_MM = 150.0, 600.0  # narrowest bay to show; what is shown where there is none
_USUAL_MM, _USUAL_SHARE = 1200.0, 0.45  # height of the cut; of the wall's height, where that is less
_NEARBY_MM = (0, -150, 150, -300, 300, -450, 450)
_SHARES = (0.5, 0.3, 0.6, 0.2, 0.7, 0.8, 0.1, 0.9)  # of the wall's height, where nothing nearby will do
_CLEAR_OF_BRACKET_MM = 250  # so that the marks leave room for what is written beside the bracket
_STROKE_MM, _LEAST_STROKE_MM, _ARROW_MM, _HEAD_MM = 4.0, 2.0, 5.0, 1.6  # on paper


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

    At 1200 mm or a little below the middle of a lower wall, between the brackets, else at another height;
    best where no opening, corner or box lies above or below it either, and nothing but wall a hand beyond it.
    """
    wall = plan.wall
    floor = min(y for _, y in wall.outline)
    usual = floor + round(min(_USUAL_MM, _USUAL_SHARE * wall.height_mm), -1)
    levels = [usual + up for up in _NEARBY_MM] + [floor + share * wall.height_mm for share in _SHARES]
    calm = [y for y in levels if all(abs(y - b.y_mm) >= _CLEAR_OF_BRACKET_MM for b in plan.brackets)]
    for level in (*calm, *levels):
        bays = list(_bays(plan, level))
        if bays:
            return min(bays, key=lambda bay: _worth(plan, bay))
    wide = [(right - left, left, right, level) for level in levels for left, right in _clear(wall, level)]
    _, left, right, level = max(wide)
    right = min(right, left + _WITHOUT_BAY_MM)
    return Bay(left, right, left, right, level)


def _bays(plan: WallPlan, level: float) -> Iterator[Bay]:
    standing = sorted({m.x_mm for m in plan.members if m.bottom_mm <= level <= m.top_mm})
    stretches = _clear(plan.wall, level)
    for a, b in zip(standing, standing[1:], strict=False):
        within = next((s for s in stretches if s[0] <= a and b <= s[1]), None)
        if within and b - a > _LEAST_BAY_MM:
            yield Bay(a, b, max(a - _OVER_MM, within[0]), min(b + _OVER_MM, within[1]), level)


def _worth(plan: WallPlan, bay: Bay) -> tuple[int, float, float, float]:
    """The less, the better: what else is in the bay, not the usual width, overhang cut short."""
    wall = plan.wall
    spacing = max((grid.spacing_mm for grid in plan.grids), default=600.0)
    others = [(o.x_mm, o.right_mm) for o in wall.openings]
    others += [(x, x) for x in (*(x for x, _ in wall.outline), *(b.x_mm for b in wall.boxes))]
    within = sum(left < bay.to_mm and right > bay.from_mm for left, right in others)
    odd = abs(bay.to_mm - bay.from_mm - spacing)
    return within, odd, -(bay.right_mm - bay.left_mm - bay.to_mm + bay.from_mm), bay.from_mm


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
    for x, beyond in ((bay.left_mm, bay.from_mm), (bay.right_mm, bay.to_mm)):
        if view.has(x):
            inwards = 1 if x == bay.left_mm else -1
            stroke = min(_STROKE_MM, max(_LEAST_STROKE_MM, abs(beyond - x) / view.scale))
            at = view.at(x, bay.level_mm)
            inner = (at[0] + inwards * stroke, at[1])
            _mark(sheet, labels, "A", (at, inner), ((at[0] + inner[0]) / 2, at[1]), (0, -1))
    if view.has(bay.middle_mm):
        spans = spans_at([tuple((y, x) for x, y in plan.wall.outline)], bay.middle_mm)
        for y, inwards in ((spans[0][0], 1), (spans[-1][1], -1)) if spans else ():
            at = view.at(bay.middle_mm, y)
            inner = (at[0], at[1] + inwards * 2 * _STROKE_MM)
            _mark(sheet, labels, "B", (at, inner), inner, (1, 0))


def _mark(
    sheet: Sheet, labels: Labels, letter: str, stroke: tuple[Place, Place], tip: Place, looks: tuple[int, int]
) -> None:
    """A heavy stroke, an arrow whose ``tip`` touches it, a letter behind the arrow."""
    (dx, dy), (x, y) = looks, tip
    tail = (x - dx * _ARROW_MM, y - dy * _ARROW_MM)
    back = (x - dx * _HEAD_MM, y - dy * _HEAD_MM)
    half = _HEAD_MM / 3
    wings = [(back[0] - dy * half, back[1] + dx * half), (back[0] + dy * half, back[1] - dx * half)]
    sheet.line(Pen(DIM.layer, HEAVY), *stroke)
    sheet.line(Pen(DIM.layer, FINE), tail, back)
    sheet.polygon(Pen(DIM.layer, FINE), [[(x, y), *wings]], Hatch.BLACK)
    corners = (*stroke, tail, *wings)
    xs, ys = [cx for cx, _ in corners], [cy for _, cy in corners]
    labels.take((min(xs) - 0.4, min(ys) - 0.4, max(xs) + 0.4, max(ys) + 0.4))
    for further, size in product((0, 3, 6, 9), (LARGE, SMALL)):
        far = 0.6 * size + further
        tries = [
            (tail[0] - dx * far + dy * aside, tail[1] - dy * far + dx * aside)
            for aside in (0, 2.5, -2.5, 5, -5, 7.5, -7.5, 10, -10)
        ]
        at = labels.place(letter, size, tries, over=True)
        if at:
            sheet.text(at, letter, size, bold=True, masked=True)
            return
