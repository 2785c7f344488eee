"""The plan of a storey: rooms with name and area, each wall that is lined as a thick line, openings as gaps.

The thick line lies where the lining comes, along the inner face of the old wall, and tells by its filling how
the wall stands. Its thickness, like that of the old wall outside it, is of the drawing, not of the building.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from math import cos, hypot, radians, sin

from innerleaf.documents.labels import Labels
from innerleaf.documents.sheet import (
    HAIR,
    OPENING_THIN,
    OUTLINE,
    THIN,
    Hatch,
    Pen,
    Place,
    Sheet,
    text_box,
    text_width,
)
from innerleaf.documents.view import NORMAL, SMALL, View
from innerleaf.job.outline import Point
from innerleaf.survey.polygons import contains
from innerleaf.survey.room_outline import Basis, Lined, PlanSide
from innerleaf.survey.storey_plan import PlacedRoom, StoreyPlan
from innerleaf.survey.wall import OpeningKind, Wall

LINE_MM = 150  # thickness of the thick line, in the building
OLD_MM = 100  # and of the old wall beside it
_OLD = Pen("OLD", HAIR, grey=0.35)
_EDGE = Pen(OUTLINE.layer, THIN)


class State(StrEnum):
    """How a wall stands."""

    READY = "ready"
    FINDINGS = "findings"
    CHOOSE = "choose"
    WAITING = "waiting"


STATE_HATCH: Mapping[State, Hatch] = {
    State.READY: Hatch.BLACK,
    State.FINDINGS: Hatch.BRICK,
    State.CHOOSE: Hatch.PLASTER,
    State.WAITING: Hatch.WHITE,
}
_STATE_WORDS = {
    State.READY: "set out, nothing found",
    State.FINDINGS: "set out, with findings",
    State.CHOOSE: "lining to be chosen",
    State.WAITING: "not set out",
}


@dataclass(frozen=True, slots=True)
class Stretch:
    """A part of a side, from its left end. [mm]"""

    start_mm: float
    end_mm: float


def band(room: PlacedRoom, side: PlanSide, part: Stretch, near_mm: float, far_mm: float) -> tuple[Point, ...]:
    """The ring on plan beside a part of a side, ``near_mm .. far_mm`` into the room (below 0: the wall)."""
    length = side.length_mm
    ux, uy = (side.b[0] - side.a[0]) / length, (side.b[1] - side.a[1]) / length
    return tuple(
        room.at((side.a[0] + ux * along + uy * deep, side.a[1] + uy * along - ux * deep))
        for along, deep in (
            (part.start_mm, near_mm),
            (part.end_mm, near_mm),
            (part.end_mm, far_mm),
            (part.start_mm, far_mm),
        )
    )


def opened(lined: Lined, wall: Wall) -> list[tuple[Stretch, OpeningKind]]:
    """Where openings of a wall lie along its side, as far as the side goes."""
    left = min(x for x, _ in wall.outline)
    found = []
    for opening in sorted(wall.openings, key=lambda one: one.x_mm):
        start = lined.start_mm + opening.x_mm - left
        end = min(start + opening.width_mm, lined.end_mm)
        if start < end:
            found.append((Stretch(max(start, lined.start_mm), end), opening.kind))
    return found


def stretches(lined: Lined, wall: Wall) -> list[Stretch]:
    """What is left of a wall between its openings, along its side."""
    parts, at = [], float(lined.start_mm)
    for gap, _ in opened(lined, wall):
        if gap.start_mm > at:
            parts.append(Stretch(at, gap.start_mm))
        at = max(at, gap.end_mm)
    if at < lined.end_mm:
        parts.append(Stretch(at, lined.end_mm))
    return parts


def middle_of(room: PlacedRoom) -> Point:
    """A point on plan well inside a room, where its name can stand: of a few, the farthest from its sides."""
    ring, (left, low, right, high) = room.ring, room.box
    steps = 1 if len(ring) == 4 else 8
    tried = [
        (left + (right - left) * (i + 0.5) / steps, low + (high - low) * (j + 0.5) / steps)
        for i in range(steps)
        for j in range(steps)
    ]
    centre = (left + right) / 2, (low + high) / 2
    inside = [point for point in (centre, *tried) if contains(ring, point)] or [centre]
    best = max(inside, key=lambda point: min(_from_side(point, a, b) for a, b in _sides(ring)))
    return round(best[0]), round(best[1])


def _sides(ring: Sequence[Point]) -> Iterator[tuple[Point, Point]]:
    return zip(ring, (*ring[1:], ring[0]), strict=True)


def _from_side(point: tuple[float, float], a: Point, b: Point) -> float:
    dx, dy = b[0] - a[0], b[1] - a[1]
    part = ((point[0] - a[0]) * dx + (point[1] - a[1]) * dy) / max(1, dx * dx + dy * dy)
    part = min(1.0, max(0.0, part))
    return hypot(a[0] + dx * part - point[0], a[1] + dy * part - point[1])


def draw_room(sheet: Sheet, view: View, room: PlacedRoom, walls: Mapping[str, Wall]) -> None:
    """Old walls, openings and the outline of a room, without the thick lines and without words."""
    sides = room.outline.sides
    for side, after in zip(sides, (*sides[1:], sides[0]), strict=True):
        whole = Stretch(0, side.length_mm + (OLD_MM if _turns_right(side, after) else 0))
        sheet.polygon(_OLD, [view.ring(band(room, side, whole, 0, -OLD_MM))], Hatch.TINT)
    sheet.polygon(_EDGE, [view.ring(room.ring)])
    for side, lined, wall in lined_of(room, walls):
        for gap, kind in opened(lined, wall):
            _draw_opening(sheet, view, room, side, gap, kind)


def lined_of(room: PlacedRoom, walls: Mapping[str, Wall]) -> Iterator[tuple[PlanSide, Lined, Wall]]:
    """The walls of a room among these, each with its side and its part of it."""
    for side in room.outline.sides:
        for lined in side.walls:
            if lined.wall in walls:
                yield side, lined, walls[lined.wall]


def _turns_right(side: PlanSide, after: PlanSide) -> bool:
    """Whether the room's corner between two sides is one of its outer ones: the old walls meet round it."""
    (ax, ay), (bx, by), (cx, cy) = side.a, side.b, after.b
    return (bx - ax) * (cy - by) - (by - ay) * (cx - bx) < 0


def _draw_opening(
    sheet: Sheet, view: View, room: PlacedRoom, side: PlanSide, gap: Stretch, kind: OpeningKind
) -> None:
    """A gap; a window with its panes, a door with its threshold, a niche with its back."""
    deep = OLD_MM / 2 if kind is OpeningKind.NICHE else OLD_MM
    sheet.polygon(OPENING_THIN, [view.ring(band(room, side, gap, 0, -deep))], Hatch.WHITE)
    if kind is OpeningKind.WINDOW:
        for depth in (-OLD_MM * 0.4, -OLD_MM * 0.6):
            line = view.ring(band(room, side, gap, depth, depth))
            sheet.line(OPENING_THIN, line[0], line[1])


def draw_storey(
    sheet: Sheet, view: View, storey: StoreyPlan, walls: Mapping[str, Wall], states: Mapping[str, State]
) -> None:
    """A storey: thick lines filled by state, names, areas and marks of walls as far as they have room."""
    for room in storey.rooms:
        draw_room(sheet, view, room, walls)
        for side, lined, wall in lined_of(room, walls):
            hatch = STATE_HATCH[states.get(lined.wall, State.WAITING)]
            for part in stretches(lined, wall):
                sheet.polygon(_EDGE, [view.ring(band(room, side, part, 0, LINE_MM))], hatch)
    labels = Labels()
    for room in storey.rooms:
        _name_room(sheet, view, room, labels)
    for room in storey.rooms:
        for side, lined, _ in lined_of(room, walls):
            _name_wall(sheet, view, room, side, lined, labels)


def _name_room(sheet: Sheet, view: View, room: PlacedRoom, labels: Labels) -> None:
    """Name, area and basis in the middle; smaller, and fewer of them, in a small room."""
    x, y = view.at(*middle_of(room))
    left, low, right, high = view.box(*room.box)
    wide, tall = right - left - 2 * LINE_MM / view.scale, high - low - 2 * LINE_MM / view.scale
    lines = room_words(room)
    for size in (NORMAL, 0.8 * NORMAL, 0.65 * NORMAL):
        row = 1.25 * size
        fitting = [words for words in lines if text_width(words, size, bold=True) <= wide]
        fitting = fitting[: max(1, int(tall / row))]
        if lines[0] in fitting and len(fitting) > 1:
            break
    for number, words in enumerate(fitting or lines[:1]):
        at = x, y - (number - (len(fitting) - 1) / 2) * row
        sheet.text(at, words, size, bold=words == lines[0])
        labels.take(text_box(at, words, 1.06 * size))


def area_words(room: PlacedRoom) -> str:
    """The floor between the old walls."""
    return f"{room.outline.area_m2:.1f} m²"


def room_words(room: PlacedRoom) -> list[str]:
    """Name, area and, where it is not measured, that it is not."""
    words = [room.room.name, area_words(room)]
    return [*words, room.outline.basis.value] if room.outline.basis is Basis.SKETCH else words


def _name_wall(
    sheet: Sheet, view: View, room: PlacedRoom, side: PlanSide, lined: Lined, labels: Labels
) -> None:
    """The mark of a wall beside its thick line, along it where that stands upright; none where crowded."""
    turn = radians(side.turn_deg + room.turn_deg)
    upright = abs(sin(turn)) > abs(cos(turn))
    length = lined.end_mm - lined.start_mm
    for size in (SMALL, 0.8 * SMALL, 0.65 * SMALL):
        if text_width(lined.wall, size) > length / view.scale:
            continue
        off = LINE_MM + 0.8 * size * view.scale
        along = [lined.start_mm + length * part for part in (0.5, 0.3, 0.7, 0.2, 0.8)]
        tries = [view.at(*band(room, side, Stretch(x, x), off, off)[0]) for x in along]
        at = labels.place(lined.wall, size, tries, upright=upright)
        if at:
            sheet.text(at, lined.wall, size, upright=upright)
            return


def draw_states(sheet: Sheet, at: Place, states: Sequence[State]) -> None:
    """What the fillings mean, in words, in a row from ``at``."""
    x, y = at
    for state in states:
        sheet.rect(_EDGE, (x, y - 1.5, x + 9, y + 1.5), STATE_HATCH[state])
        words = _STATE_WORDS[state]
        sheet.text((x + 11, y), words, SMALL, "start")
        x += 11 + text_width(words, SMALL) + 8


def draw_north(sheet: Sheet, at: Place, north_deg: float) -> None:
    """An arrow to the north round ``at``."""
    s, c = sin(radians(north_deg)), cos(radians(north_deg))

    def turned(x: float, y: float) -> Place:
        return at[0] + x * c + y * s, at[1] - x * s + y * c

    sheet.circle(_EDGE, at, 5.0)
    sheet.polygon(_EDGE, [[turned(0, 5), turned(-1.6, -3), turned(0, -2), turned(1.6, -3)]], Hatch.BLACK)
    sheet.text(turned(0, 7.2), "N", NORMAL, bold=True)
