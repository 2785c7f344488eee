"""From the wall to the paper: scale, place, and the parts every elevation shares."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import ceil, inf

from innerleaf.documents.labels import Labels, spread
from innerleaf.documents.sheet import (
    DIM,
    FINE,
    HAIR,
    LOAD,
    MOVEMENT,
    OBSTACLE,
    OPENING,
    OPENING_THIN,
    OUTLINE,
    OUTLINE_THIN,
    THIN,
    Axis,
    Hatch,
    Pen,
    Place,
    Rect,
    Sheet,
    text_box,
    text_width,
)
from innerleaf.survey.wall import ObstacleKind, Wall

SCALES = (10, 20, 25, 50, 100)
SMALL, NORMAL, LARGE = 2.8, 3.0, 4.5
ROW = 3.1  # least distance between neighbouring words of a running dimension

LEFT_MM, RIGHT_MM = 20.0, 30.0  # beside the elevation: heights, level marks


LAP_MM = 150  # what neighbouring parts of a long wall show twice


@dataclass(frozen=True, slots=True)
class View:
    """Where wall coordinates land on paper: ``paper = at + wall / scale``.

    A long wall is drawn in parts: this view names and dimensions what lies in ``start_mm .. end_mm``.
    """

    scale: int
    left_mm: float
    bottom_mm: float
    start_mm: float = -inf
    end_mm: float = inf

    def has(self, x: float) -> bool:
        """Whether ``x`` is named and dimensioned in this part."""
        return self.start_mm <= x < self.end_mm

    def near(self, left: float, right: float) -> bool:
        """Whether anything from ``left`` to ``right`` is seen in this part."""
        return right >= self.start_mm - LAP_MM and left <= self.end_mm + LAP_MM

    def seen(self, wall: Wall) -> Rect:
        """The rectangle round what this part shows of the wall, on paper."""
        xs, ys = [x for x, _ in wall.outline], [y for _, y in wall.outline]
        left, right = max(min(xs), self.start_mm - LAP_MM), min(max(xs), self.end_mm + LAP_MM)
        return self.box(left, min(ys), right, max(ys))

    def at(self, x: float, y: float) -> Place:
        """A wall point on paper."""
        return self.left_mm + x / self.scale, self.bottom_mm + y / self.scale

    def ring(self, points: Iterable[tuple[float, float]]) -> list[Place]:
        """Wall points on paper."""
        left, bottom, scale = self.left_mm, self.bottom_mm, self.scale
        return [(left + x / scale, bottom + y / scale) for x, y in points]

    def box(self, left: float, bottom: float, right: float, top: float) -> Rect:
        """A wall rectangle on paper."""
        x, y = self.at(left, bottom)
        right, top = self.at(right, top)
        return x, y, right, top


@dataclass(frozen=True, slots=True)
class Space:
    """How much paper an elevation takes around the wall itself. [mm]"""

    below: float
    above: float
    left: float = LEFT_MM
    right: float = RIGHT_MM


def fit_scale(length_mm: float, height_mm: float, width: float, height: float, space: Space) -> int:
    """The largest scale of the list at which the elevation fits the paper."""
    for scale in SCALES:
        if (
            length_mm / scale + space.left + space.right <= width
            and height_mm / scale + space.below + space.above <= height
        ):
            return scale
    return SCALES[-1]


def fit_parts(wall: Wall, width: float, height: float, space: Space) -> tuple[int, int]:
    """The largest scale at which a wall, in parts one above the other, fits the paper; and the number of parts."""
    for scale in SCALES:
        shown = (width - space.left - space.right) * scale
        parts = 1 if wall.length_mm <= shown else ceil(wall.length_mm / max(1.0, shown - 2 * LAP_MM))
        if parts * (wall.height_mm / scale + space.below + space.above) <= height:
            return scale, parts
    return SCALES[-1], parts


def make_view(
    wall: Wall, scale: int, space: Space, part: int = 0, parts: int = 1
) -> tuple[View, float, float]:
    """The view of a wall (or of one part of it) with ``space`` around, and the width and height it takes."""
    xs, ys = [x for x, _ in wall.outline], [y for _, y in wall.outline]
    first, last = min(xs), max(xs)
    start = -inf if part == 0 else first + wall.length_mm * part / parts
    end = inf if part == parts - 1 else first + wall.length_mm * (part + 1) / parts
    shown_from, shown_to = max(first, start - LAP_MM), min(last, end + LAP_MM)
    view = View(scale, space.left - shown_from / scale, space.below - min(ys) / scale, start, end)
    width = (shown_to - shown_from) / scale + space.left + space.right
    return view, max(width, 120.0), wall.height_mm / scale + space.below + space.above


def short(mark: str, wall: str) -> str:
    """A mark without the wall's own name before it, as drawings of that wall show it."""
    rest = mark.removeprefix(wall)
    return rest.lstrip("-/·. ") or mark if rest != mark else mark


def draw_existing(sheet: Sheet, view: View, wall: Wall, labels: Labels, joints_mm: Sequence[int]) -> None:
    """The old wall: outline, crossed openings, things on it, hung loads, movement joints."""
    seen = view.seen(wall)
    for obstacle in wall.obstacles:
        if not view.near(obstacle.x_mm, obstacle.x_mm + obstacle.width_mm):
            continue
        box = _within(
            view.box(
                obstacle.x_mm,
                obstacle.y_mm,
                obstacle.x_mm + obstacle.width_mm,
                obstacle.y_mm + obstacle.height_mm,
            ),
            seen,
        )
        solid = obstacle.kind in (ObstacleKind.COLUMN, ObstacleKind.BEAM)
        sheet.rect(OUTLINE_THIN if solid else OBSTACLE, box, Hatch.OBSTACLE if solid else Hatch.NONE)
        _name_area(sheet, labels, box, [f"{obstacle.kind.value} {obstacle.id}"])
    for opening in wall.openings:
        if not view.near(opening.x_mm, opening.right_mm):
            continue
        box = view.box(opening.x_mm, opening.sill_mm, opening.right_mm, opening.head_mm)
        sheet.rect(OPENING, box, Hatch.TINT)
        box = _within(box, seen)
        lines = [
            f"{opening.kind.value} {opening.id}",
            f"{opening.width_mm} × {opening.height_mm}",
            " · ".join(
                f"{name} {value}"
                for name, value in (("sill", opening.sill_mm), ("reveal", opening.reveal_mm))
                if value
            ),
        ]
        taken = _name_area(sheet, labels, box, lines)
        _cross(sheet, OPENING_THIN, box, taken)
        labels.take(box)
    for load in wall.loads:
        if not view.near(load.x_mm, load.x_mm + load.width_mm):
            continue
        box = view.box(load.x_mm, load.y_mm - 30, load.x_mm + load.width_mm, load.y_mm + 30)
        sheet.rect(LOAD, box)
        inside = _within(box, seen)
        x, y = (inside[0] + inside[2]) / 2, inside[3]
        words = f"load {load.id}, {load.mass_kg:g} kg"
        place = labels.place(words, SMALL, [(x, y + 1.8), (x, y - 3.6 - 60 / view.scale), (x, y + 4.6)])
        if place:
            sheet.text(place, words, SMALL, masked=True)
        labels.take(box)
    top = max(y for _, y in wall.outline)
    for x in joints_mm:
        if not view.near(x, x):
            continue
        sheet.line(MOVEMENT, view.at(x, 0), view.at(x, top + 60))
    sheet.polygon(OUTLINE, [view.ring(wall.outline)])


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
    """Words in the middle of an area, as many of the lines as fit, upright when it is narrow."""
    width, height = box[2] - box[0] - 1.5, box[3] - box[1] - 1.0
    x, y = (box[0] + box[2]) / 2, (box[1] + box[3]) / 2
    step = SMALL * 1.25
    level = [line for line in lines if line and text_width(line, SMALL) <= width][
        : int(max(0.0, height) // step)
    ]
    if not level and lines:
        words = lines[0]
        if text_width(words, SMALL) <= height and width >= SMALL:
            at = labels.place(
                words, SMALL, [(x, y + d * height) for d in (0, 0.15, -0.15, 0.3, -0.3)], upright=True
            )
            if at:
                sheet.text(at, words, SMALL, upright=True, masked=True)
                return text_box(at, words, SMALL, upright=True)
        at = labels.place(words, SMALL, [(x, box[3] + 1.8), (x, box[1] - 1.8), (x, box[3] + 4.4)])
        if at:
            sheet.text(at, words, SMALL, masked=True)
        return None
    half = len(level) * step / 2
    wide = max(text_width(line, SMALL) for line in level) / 2
    taken = (x - wide, y - half, x + wide, y + half)
    if not labels.free(taken):
        tries = [y + k * d for k in range(1, 8) for d in (2.5, -2.5)]
        y = next(
            (
                t
                for t in tries
                if box[1] + half < t < box[3] - half and labels.free((x - wide, t - half, x + wide, t + half))
            ),
            y,
        )
        taken = (x - wide, y - half, x + wide, y + half)
    for k, line in enumerate(level):
        sheet.text((x, y + half - (k + 0.5) * step), line, SMALL, masked=True)
    labels.take(taken)
    return taken


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


@dataclass(frozen=True, slots=True)
class Stop:
    """One stop of a running dimension; ``note`` is written after the figure (the mark it belongs to)."""

    at_mm: float
    note: str = ""


def figure(value: float) -> str:
    """A length as drawings write it: whole millimetres."""
    return f"{value:.0f}"


def draw_running_row(
    sheet: Sheet,
    view: View,
    stops: Sequence[Stop],
    *,
    axis: Axis,
    foot: float,
    base: float,
    origin_mm: float = 0,
    within: tuple[float, float] | None = None,
) -> None:
    """Running dimensions from one datum: a circle at zero, each stop once.

    ``foot`` is where the thin lines to the stops begin, ``base`` where the dimension line lies; both on
    paper, across ``axis``. Stops nearer to each other than the words allow are fanned out,
    ``within`` limits on paper where they fit.
    """
    merged: dict[str, Stop] = {}
    for stop in sorted(stops, key=lambda s: s.at_mm):
        if axis == "x" and not view.has(stop.at_mm):
            continue
        words = figure(stop.at_mm - origin_mm)
        known = merged.get(words)
        notes = ", ".join(n for n in ((known.note if known else ""), stop.note) if n)
        merged[words] = Stop(known.at_mm if known else stop.at_mm, notes)
    if not merged:
        return
    along = 0 if axis == "x" else 1
    on_paper = [view.at(s.at_mm, s.at_mm)[along] for s in merged.values()]
    whole = axis == "y" or view.has(origin_mm)
    origin = view.at(origin_mm, origin_mm)[along]
    begin = origin if whole else view.at(max(view.start_mm, origin_mm), 0)[0]
    away = 1 if base > foot else -1
    start, end = min([begin, *on_paper]), max([begin, *on_paper])

    def point(run: float, across: float) -> Place:
        return (run, across) if axis == "x" else (across, run)

    sheet.line(DIM, point(start, base), point(end, base))
    if whole:
        sheet.circle(Pen(DIM.layer, FINE), point(origin, base), 0.9)
    pushed_to = spread(on_paper, ROW, *(within or (-inf, inf)))
    for (words, stop), run, pushed in zip(merged.items(), on_paper, pushed_to, strict=True):
        end_at = point(pushed, base + 3.4 * away)
        sheet.running(axis, point(origin, base), point(run, foot), base, end_at, words)
        if stop.note:
            beyond = base + (3.4 + 2 + NOTE_AFTER_MM) * away
            anchor = "start" if away > 0 else "end"
            sheet.text(point(pushed, beyond), stop.note, SMALL, anchor, upright=axis == "x")


NOTE_AFTER_MM = 6.8  # room for a five-figure length between the line and the note


def draw_levels(sheet: Sheet, view: View, wall: Wall, x: float) -> None:
    """Level marks at floor and top, beside the elevation at paper ``x``."""
    top = max(y for _, y in wall.outline)
    for level, words in ((0, "±0"), (top, f"+{top}")):
        y = view.at(0, level)[1]
        pen = Pen(DIM.layer, HAIR)
        sheet.line(pen, (x - 2, y), (x + 10, y))
        sheet.polygon(Pen(DIM.layer, FINE), [[(x, y), (x + 1.5, y + 2.2), (x - 1.5, y + 2.2)]])
        sheet.text((x + 2.4, y + 1.7), words, SMALL, "start")


def draw_scale_bar(sheet: Sheet, scale: int, at: Place) -> None:
    """A bar of alternating fields, and the scale in figures."""
    unit = {10: 100, 20: 250, 25: 250, 50: 500, 100: 1000}.get(scale, 10 * scale)
    x, y = at
    step = unit / scale
    pen = Pen(DIM.layer, THIN)
    for k in range(4):
        sheet.rect(
            pen, (x + k * step, y, x + (k + 1) * step, y + 1.1), Hatch.BLACK if k % 2 == 0 else Hatch.WHITE
        )
    for k in (0, 2, 4):
        words = figure(k * unit / 1000) if (k * unit) % 1000 == 0 else f"{k * unit / 1000:g}"
        sheet.text((x + k * step, y + 2.7), words + (" m" if k == 4 else ""), SMALL)


def part_of(view: View) -> str:
    """Which part of a long wall a view shows, for its heading."""
    if view.start_mm == -inf and view.end_mm == inf:
        return ""
    start = "0" if view.start_mm == -inf else figure(view.start_mm)
    end = "the end" if view.end_mm == inf else figure(view.end_mm)
    return f", {start} to {end}"


def draw_heading(sheet: Sheet, at: Place, words: str, scale: int) -> None:
    """The name of a drawing with its scale, underlined, its bottom left at ``at``; the scale bar beside it."""
    x, y = at
    named = f"{words} · 1:{scale}"
    sheet.text((x, y + 2), named, LARGE, "start", bold=True)
    width = text_width(named, LARGE, bold=True)
    sheet.line(Pen(DIM.layer, 0.5), (x, y - 1), (x + width, y - 1))
    draw_scale_bar(sheet, scale, (x + width + 12, y))
