"""From the wall to the paper: scale, place, and which part of a long wall is shown."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import ceil, inf

from innerleaf.documents.sheet import Place, Rect
from innerleaf.survey.wall import Wall

SCALES = (10, 20, 25, 50, 100)
SMALL, NORMAL, LARGE = 2.8, 3.0, 4.5
ROW = 3.1  # least distance between neighbouring words of a running dimension

LEFT_MM, RIGHT_MM = 20.0, 30.0  # beside the elevation: heights, level marks


NOTE_AFTER_MM = 6.8  # room for a five-figure length between the line and the note
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
    note_mm: float = NOTE_AFTER_MM  # between a running dimension's line and its note

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
    """The largest scale at which a wall, in parts one above the other, fits the paper; how many parts."""
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
