"""The plan of a storey for a page: rooms to pick and move, walls to follow, coloured by the page's style."""

from __future__ import annotations

from collections.abc import Mapping
from html import escape
from math import cos, radians, sin
from urllib.parse import quote

from innerleaf.documents.plan_view import (
    LINE_MM,
    Stretch,
    band,
    draw_room,
    lined_of,
    middle_of,
    room_words,
    stretches,
)
from innerleaf.documents.view import View
from innerleaf.job.outline import Point
from innerleaf.survey.room_outline import Lined, PlanSide
from innerleaf.survey.storey_plan import PlacedRoom, StoreyPlan
from innerleaf.survey.wall import Wall
from innerleaf.web.drawing import PageSheet
from innerleaf.web.page import measure, sentence

SCALE = 100  # of the drawing's own paper; a page zooms
_MARGIN_MM = 6.0
_GRIP_MM = 420  # depth into the room within which a wall is pointed at
_NORTH_MM = 5.0


class _RoomSheet(PageSheet):
    """A sheet whose parts stand in groups of a page's own making."""

    def put(self, part: str) -> None:
        """A part as it is."""
        self._flush()
        self._parts.append(part)


def storey_svg(storey: StoreyPlan, walls: Mapping[str, Wall], job: str) -> str:
    """A storey of a job (its key) as SVG; ``walls`` are those that pages know."""
    left, low, right, high = storey.box
    width, height = (right - left) / SCALE + 2 * _MARGIN_MM, (high - low) / SCALE + 2 * _MARGIN_MM
    view = View(SCALE, _MARGIN_MM - left / SCALE, _MARGIN_MM - low / SCALE)
    sheet = _RoomSheet(width, height)
    for room in storey.rooms:
        _put_room(sheet, view, room, walls, job)
    if storey.north_deg is not None:
        sheet.put(_north(width - _NORTH_MM - 1, _NORTH_MM + 3, storey.north_deg))
    whole = sheet.plain()
    start = whole.index(" viewBox")
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="storey-plan" role="group" font-size="3"'
        f' aria-label="{escape(storey.storey)}" data-scale="{SCALE}" data-left="{view.left_mm:.2f}"'
        f' data-floor="{height - view.bottom_mm:.2f}"'
    )
    return head + whole[start:]


def _put_room(sheet: _RoomSheet, view: View, room: PlacedRoom, walls: Mapping[str, Wall], job: str) -> None:
    name = escape(room.room.id)
    words = [str(sentence(row)) for row in room_words(room)]
    said = escape(", ".join(words))
    sheet.put(f'<g class="room" data-room="{name}">')
    draw_room(sheet, view, room, walls)
    floor = _path(sheet, view, room.ring)
    sheet.put(f'<path class="floor" d="{floor}" tabindex="0" role="button" aria-label="{said}"/>')
    for side, lined, wall in lined_of(room, walls):
        _put_wall(sheet, view, room, side, lined, wall, job)
    x, y = view.at(*middle_of(room))
    rows = "".join(
        f'<tspan x="{x:.2f}" dy="{"1.25em" if number else f"{-0.6 * (len(words) - 1) + 0.3:.2f}em"}"'
        f' class="{("name", "area", "basis")[min(number, 2)]}">{escape(row)}</tspan>'
        for number, row in enumerate(words)
    )
    sheet.put(f'<text class="words" y="{sheet.height_mm - y:.2f}">{rows}</text></g>')


def _put_wall(
    sheet: _RoomSheet, view: View, room: PlacedRoom, side: PlanSide, lined: Lined, wall: Wall, job: str
) -> None:
    whole = Stretch(lined.start_mm, lined.end_mm)
    line = "".join(_path(sheet, view, band(room, side, part, 0, LINE_MM)) for part in stretches(lined, wall))
    grip = _path(sheet, view, band(room, side, whole, 0, _GRIP_MM))
    called = f"{wall.id}, {wall.name}" if wall.name != wall.id else wall.id
    said = escape(f"{called}, {measure(wall.length_mm)}")
    turn = radians(side.turn_deg + room.turn_deg)
    middle = (lined.start_mm + lined.end_mm) / 2
    at = view.at(*band(room, side, Stretch(middle, middle), LINE_MM + 160, LINE_MM + 160)[0])
    upright = " rotate(-90)" if abs(sin(turn)) > abs(cos(turn)) else ""
    sheet.put(
        f'<a class="wall" href="/jobs/{job}/walls/{quote(wall.id)}" data-of="{escape(wall.id)}"'
        f' aria-label="{said}"><path class="grip" d="{grip}"/><path class="line" d="{line}"/>'
        f'<text class="mark" transform="translate({at[0]:.2f} {sheet.height_mm - at[1]:.2f}){upright}"'
        f' dy="0.3em">{escape(wall.id)}</text></a>'
    )


def _path(sheet: PageSheet, view: View, ring: tuple[Point, ...]) -> str:
    places = (f"{x:.2f} {sheet.height_mm - y:.2f}" for x, y in view.ring(ring))
    return f"M{'L'.join(places)}z"


def _north(x: float, y: float, north_deg: float) -> str:
    arrow = f'<circle r="{_NORTH_MM - 1}"/><path d="M0 -4L1.4 2.5L0 1.6L-1.4 2.5z"/>'
    place = f"translate({x:.1f} {y:.1f}) rotate({north_deg:.0f})"
    return f'<g class="north" role="img" aria-label="N" transform="{place}">{arrow}</g>'
