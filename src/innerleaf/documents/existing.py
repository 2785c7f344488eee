"""The old wall on an elevation: outline, openings, what stands on it, what will hang on it."""

from __future__ import annotations

from collections.abc import Sequence
from math import inf

from innerleaf.documents.labels import Labels
from innerleaf.documents.sheet import (
    DIM,
    FINE,
    LOAD,
    MOVEMENT,
    OBSTACLE,
    OPENING,
    OPENING_THIN,
    OUTLINE,
    OUTLINE_THIN,
    Hatch,
    Pen,
    Rect,
    Sheet,
    text_box,
    text_width,
)
from innerleaf.documents.view import SMALL, View
from innerleaf.survey.wall import HungLoad, Obstacle, ObstacleKind, Opening, Wall


def draw_existing(sheet: Sheet, view: View, wall: Wall, labels: Labels, joints_mm: Sequence[int]) -> None:
    """The old wall: outline, crossed openings, things on it, hung loads, movement joints."""
    for opening in wall.openings:
        if view.near(opening.x_mm, opening.right_mm):
            _draw_opening(sheet, view, opening, view.seen(wall), labels)
    for obstacle in wall.obstacles:
        if view.near(obstacle.x_mm, obstacle.x_mm + obstacle.width_mm):
            _draw_obstacle(sheet, view, obstacle, view.seen(wall), labels)
    for load in wall.loads:
        if view.near(load.x_mm, load.x_mm + load.width_mm):
            _draw_load(sheet, view, load, view.seen(wall), labels)
    top = max(y for _, y in wall.outline)
    for x in joints_mm:
        if view.near(x, x):
            sheet.line(MOVEMENT, view.at(x, 0), view.at(x, top + 60))
    sheet.polygon(OUTLINE, [view.ring(wall.outline)])


def _called(kind: str, name: str) -> str:
    """What a thing is and its name, said once where the name says both."""
    return name if kind in name.lower() else f"{kind} {name}"


def _draw_obstacle(sheet: Sheet, view: View, obstacle: Obstacle, seen: Rect, labels: Labels) -> None:
    right, top = obstacle.x_mm + obstacle.width_mm, obstacle.y_mm + obstacle.height_mm
    box = _within(view.box(obstacle.x_mm, obstacle.y_mm, right, top), seen)
    solid = obstacle.kind in (ObstacleKind.COLUMN, ObstacleKind.BEAM)
    sheet.rect(OUTLINE_THIN if solid else OBSTACLE, box, Hatch.OBSTACLE if solid else Hatch.NONE)
    _name_area(sheet, labels, box, [_called(obstacle.kind.value, obstacle.id)])


def _draw_opening(sheet: Sheet, view: View, opening: Opening, seen: Rect, labels: Labels) -> None:
    box = view.box(opening.x_mm, opening.sill_mm, opening.right_mm, opening.head_mm)
    sheet.rect(OPENING, box, Hatch.TINT)
    box = _within(box, seen)
    sizes = (("sill", opening.sill_mm), ("reveal", opening.reveal_mm))
    lines = [
        _called(opening.kind.value, opening.id),
        f"{opening.width_mm} × {opening.height_mm}",
        " · ".join(f"{name} {value}" for name, value in sizes if value),
    ]
    _cross(sheet, OPENING_THIN, box, _name_area(sheet, labels, box, lines))
    labels.take(box)


def _draw_load(sheet: Sheet, view: View, load: HungLoad, seen: Rect, labels: Labels) -> None:
    box = _within(view.box(load.x_mm, load.y_mm - 30, load.x_mm + load.width_mm, load.y_mm + 30), seen)
    sheet.rect(LOAD, box)
    words = f"{_called('load', load.id)}, {load.mass_kg:g} kg"
    place = labels.place_near(words, SMALL, box)
    if place:
        sheet.text(place, words, SMALL, masked=True)
    labels.take(box)


def draw_breaks(sheet: Sheet, view: View, wall: Wall) -> None:
    """Break lines where a part of a long wall is cut off."""
    left, bottom, right, top = view.seen(wall)
    middle = (bottom + top) / 2
    for cut, x in ((view.start_mm, left), (view.end_mm, right)):
        if abs(cut) != inf:
            zigzag = [(x, middle - 3), (x - 2, middle - 1), (x + 2, middle + 1), (x, middle + 3)]
            sheet.polyline(Pen(DIM.layer, FINE), [(x, bottom - 3), *zigzag, (x, top + 3)])


def _within(box: Rect, seen: Rect) -> Rect:
    """A rectangle cut down to what is seen."""
    left, right = max(box[0], seen[0]), min(box[2], seen[2])
    bottom, top = max(box[1], seen[1]), min(box[3], seen[3])
    return left, min(bottom, top), max(left, right), top


def _name_area(sheet: Sheet, labels: Labels, box: Rect, lines: list[str]) -> Rect | None:
    """Words in an area, as many of the lines as fit, near its middle; upright or beside it when it is narrow.

    Returns the rectangle the words take inside the area.
    """
    width, height = box[2] - box[0] - 1.5, box[3] - box[1] - 1.0
    x, y = (box[0] + box[2]) / 2, (box[1] + box[3]) / 2
    step = SMALL * 1.25
    level = [line for line in lines if line and text_width(line, SMALL) <= width][
        : max(0, int(height // step))
    ]
    if not level:
        return _name_narrow(sheet, labels, box, lines[0])
    half = len(level) * step / 2
    wide = max(text_width(line, SMALL) for line in level) / 2

    def taken(middle: float) -> Rect:
        return x - wide, middle - half, x + wide, middle + half

    tries = [y, *(y + k * d for k in range(1, 8) for d in (2.5, -2.5))]
    inside = [t for t in tries if box[1] + half < t < box[3] - half]
    y = next((t for t in inside if labels.free(taken(t))), y)
    for k, line in enumerate(level):
        sheet.text((x, y + half - (k + 0.5) * step), line, SMALL, masked=True)
    labels.take(taken(y))
    return taken(y)


def _name_narrow(sheet: Sheet, labels: Labels, box: Rect, words: str) -> Rect | None:
    width, height = box[2] - box[0] - 1.5, box[3] - box[1] - 1.0
    x, y = (box[0] + box[2]) / 2, (box[1] + box[3]) / 2
    if text_width(words, SMALL) <= height and width >= SMALL:
        tries = [(x, y + d * height) for d in (0, 0.15, -0.15, 0.3, -0.3)]
        at = labels.place(words, SMALL, tries, upright=True)
        if at:
            sheet.text(at, words, SMALL, upright=True, masked=True)
            return text_box(at, words, SMALL, upright=True)
    at = labels.place_near(words, SMALL, box)
    if at:
        sheet.text(at, words, SMALL, masked=True)
    return None


def _cross(sheet: Sheet, pen: Pen, box: Rect, gap: Rect | None) -> None:
    """The diagonals of a rectangle, stopping short of the words in its middle."""
    left, bottom, right, top = box
    for a, b in (((left, bottom), (right, top)), ((left, top), (right, bottom))):
        if gap is None:
            sheet.line(pen, a, b)
            continue
        dx, dy = b[0] - a[0], b[1] - a[1]
        span = [0.0, 1.0]
        for start, delta, low, high in (
            (a[0], dx, gap[0] - 1, gap[2] + 1),
            (a[1], dy, gap[1] - 0.6, gap[3] + 0.6),
        ):
            if delta:
                enter, leave = sorted(((low - start) / delta, (high - start) / delta))
                span = [max(span[0], enter), min(span[1], leave)]
        if span[0] >= span[1]:
            sheet.line(pen, a, b)
        else:
            sheet.line(pen, a, (a[0] + dx * span[0], a[1] + dy * span[0]))
            sheet.line(pen, (a[0] + dx * span[1], a[1] + dy * span[1]), b)
