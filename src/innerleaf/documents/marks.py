"""Marks of the bars that lie level or sloping, each beside its bar and clear of everything else.

Upright members need none here: their marks stand under their running dimensions.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import hypot

from innerleaf.documents.labels import Labels
from innerleaf.documents.sheet import DIM, HAIR, Pen, Place, Rect, Sheet, text_width
from innerleaf.documents.view import SMALL, View, short
from innerleaf.layout.pieces import Bar, Role, WallPlan

_ALONG = (0.5, 0.42, 0.58, 0.34, 0.66, 0.26, 0.74, 0.18, 0.82, 0.1, 0.9, 0.04, 0.96)
_LEADER = Pen(DIM.layer, HAIR)
_ASIDE_MM = (0, 4, -4, 8, -8, 12, -12)
_STEP_MM = 4.0  # a sloping bar is taken as boxes of this length


def bar_boxes(corners: Sequence[Place]) -> list[Rect]:
    """Rectangles that together cover a bar on paper: one when it is upright or level, more when it slopes."""
    xs, ys = [x for x, _ in corners], [y for _, y in corners]
    (ax, ay), (bx, by) = corners[0], corners[1]
    if min(abs(bx - ax), abs(by - ay)) < 1.0:
        return [(min(xs), min(ys), max(xs), max(ys))]
    pieces = max(1, int(hypot(bx - ax, by - ay) / _STEP_MM))
    (dx, dy) = corners[3]
    high = abs(dy - ay) + abs((by - ay) / pieces)
    wide = abs(dx - ax) + abs((bx - ax) / pieces)
    middle_x, middle_y = (ax + dx) / 2, (ay + dy) / 2
    boxes = []
    for k in range(pieces):
        t = (k + 0.5) / pieces
        x, y = middle_x + (bx - ax) * t, middle_y + (by - ay) * t
        boxes.append((x - wide / 2, y - high / 2, x + wide / 2, y + high / 2))
    return boxes


def name_level_bars(sheet: Sheet, view: View, plan: WallPlan, labels: Labels) -> None:
    """The mark of every bar that is not part of an upright member."""
    for bar in plan.bars:
        run = None if bar.member else _seen_run(bar, view)
        if run:
            _name(sheet, view, bar, run, short(bar.mark, plan.wall.id), labels)


_Run = tuple[float, float, float, float]


def _seen_run(bar: Bar, view: View) -> _Run | None:
    """The centre line of a bar, left to right, cut down to the part of the wall that is shown."""
    (ax, ay), (bx, by) = sorted(((bar.ax_mm, bar.ay_mm), (bar.bx_mm, bar.by_mm)))
    start, end = max(ax, view.start_mm), min(bx, view.end_mm)
    if end <= start:
        return None
    slope = (by - ay) / (bx - ax)
    return start, ay + slope * (start - ax), end, ay + slope * (end - ax)


def _places(view: View, run: _Run, away: float) -> Iterator[tuple[Place, Place]]:
    """Points along a run, each with the places ``away`` above and below it, nearest the middle first."""
    ax, ay, bx, by = run
    for t in _ALONG:
        x, y = view.at(ax + (bx - ax) * t, ay + (by - ay) * t)
        yield (x, y + away), (x, y - away)


def _name(sheet: Sheet, view: View, bar: Bar, run: _Run, words: str, labels: Labels) -> None:
    """Level beside the bar, else upright, else further away with a thin line; smaller if need be."""
    for size in (SMALL, 0.8 * SMALL, 0.65 * SMALL):
        at, upright = _beside(view, bar, run, words, size, labels)
        bar_at = None
        if at is None:
            at, upright, bar_at = _further(view, run, words, size, labels)
        if at:
            if bar_at:
                sheet.line(_LEADER, bar_at, at)
            sheet.text(at, words, size, upright=upright, masked=True)
            return


def _beside(
    view: View, bar: Bar, run: _Run, words: str, size: float, labels: Labels
) -> tuple[Place | None, bool]:
    """A free place next to the bar, and whether the words stand upright there."""
    slope = abs(run[3] - run[1]) / (run[2] - run[0])
    half = bar.face_mm * (hypot(1, slope) - 0.5) / view.scale  # plumb, from the middle to the inner edge
    away = half + 0.1 + 0.5 * size + slope * text_width(words, size) / 2
    above, below = zip(*_places(view, run, away), strict=True)
    if bar.role is Role.FLOOR_TRACK:  # inside the frame if there is room
        tries = [*above, *below]
    elif bar.role is Role.HEAD_TRACK:
        tries = [*below, *above]
    else:
        tries = [place for pair in zip(above, below, strict=True) for place in pair]
    at = labels.place(words, size, tries)
    if at:
        return at, False
    away = half + 0.6 + text_width(words, size) / 2
    tries = [place for pair in _places(view, run, away) for place in pair]
    return labels.place(words, size, tries, upright=True), True


def _further(
    view: View, run: _Run, words: str, size: float, labels: Labels
) -> tuple[Place | None, bool, Place | None]:
    """A free place above or below the bar, or aside of that; and the place on the bar it belongs to."""
    for reach in range(5, 60, 3):
        for above, below in _places(view, run, reach):
            bar = above[0], (above[1] + below[1]) / 2
            for aside in _ASIDE_MM:
                tries = ((above[0] + aside, above[1]), (below[0] + aside, below[1]))
                for upright in (False, True):
                    at = labels.place(words, size, tries, upright=upright)
                    if at:
                        return at, upright, bar
    return None, False, None
