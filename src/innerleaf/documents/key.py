"""The key to a set: every wall as a small elevation, room by room, all at one scale."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from innerleaf.documents.dimensions import draw_heading
from innerleaf.documents.sheet import (
    HAIR,
    OPENING,
    OPENING_THIN,
    OUTLINE_THIN,
    Hatch,
    Pen,
    Sheet,
    text_width,
)
from innerleaf.documents.view import NORMAL, SMALL, View
from innerleaf.layout.pieces import WallPlan
from innerleaf.survey.wall import ObstacleKind

KEY_SCALES = (50, 100, 200, 250, 500, 1000)
_GAP, _NAME_ROW, _ID_ROW = 6.0, 5.5, 9.5


@dataclass(frozen=True, slots=True)
class _Spot:
    plan: WallPlan
    x: float
    row: int
    room: str  # "" when the room's name already stands at its left


def _rows(plans: Sequence[WallPlan], scale: int, width: float) -> tuple[list[_Spot], list[float]]:
    """Walls set in rows; the height of each row."""
    spots: list[_Spot] = []
    heights: list[float] = [0.0]
    x, named_to, room = 0.0, 0.0, ""
    for plan in plans:
        wall = plan.wall
        name = f"{wall.room}, {wall.storey}" if wall.storey else wall.room
        wide = max(wall.length_mm / scale, text_width(wall.id, SMALL))
        start = max(x, named_to) if name != room else x
        label = text_width(name, NORMAL, bold=True)
        if start and start + max(wide, label if name != room else 0.0) > width:
            heights.append(0.0)
            start, room = 0.0, ""
        spots.append(_Spot(plan, start, len(heights) - 1, name if name != room else ""))
        if name != room:
            named_to, room = start + label + _GAP, name
        heights[-1] = max(heights[-1], wall.height_mm / scale)
        x = start + wide + _GAP
    return spots, heights


def draw_key(sheet: Sheet, plans: Sequence[WallPlan], width: float, height: float) -> None:
    """All walls within ``width`` × ``height`` of paper, at the largest scale that fits."""
    rooms = list(dict.fromkeys((plan.wall.storey, plan.wall.room) for plan in plans))
    ordered = sorted(plans, key=lambda plan: rooms.index((plan.wall.storey, plan.wall.room)))
    for scale in KEY_SCALES:
        spots, heights = _rows(ordered, scale, width)
        widest = max((spot.x + spot.plan.wall.length_mm / scale for spot in spots), default=0.0)
        if widest <= width and sum(heights) + len(heights) * (_NAME_ROW + _ID_ROW) + 14 <= height:
            break
    feet: list[float] = []
    y = height
    for tall in heights:
        y -= tall + _NAME_ROW
        feet.append(y)
        y -= _ID_ROW
    for spot in spots:
        wall, foot = spot.plan.wall, feet[spot.row]
        xs, ys = [x for x, _ in wall.outline], [v for _, v in wall.outline]
        view = View(scale, spot.x - min(xs) / scale, foot - min(ys) / scale)
        sheet.polygon(OUTLINE_THIN, [view.ring(wall.outline)], Hatch.WHITE)
        for opening in wall.openings:
            box = view.box(opening.x_mm, opening.sill_mm, opening.right_mm, opening.head_mm)
            sheet.rect(OPENING_THIN, box, Hatch.TINT)
            sheet.line(OPENING_THIN, (box[0], box[1]), (box[2], box[3]))
            sheet.line(OPENING_THIN, (box[0], box[3]), (box[2], box[1]))
        for o in wall.obstacles:
            solid = o.kind in (ObstacleKind.COLUMN, ObstacleKind.BEAM)
            head = min(o.y_mm + o.height_mm, max(ys))
            box = view.box(o.x_mm, min(o.y_mm, head), o.x_mm + o.width_mm, head)
            sheet.rect(Pen(OPENING.layer, HAIR), box, Hatch.OBSTACLE if solid else Hatch.NONE)
        middle = spot.x + max(wall.length_mm / scale, text_width(wall.id, SMALL)) / 2
        sheet.text((middle, foot - 2.4), wall.id, SMALL)
        if spot.room:
            top = foot + heights[spot.row] + 2.6
            sheet.text((spot.x, top), spot.room, NORMAL, "start", bold=True)
    draw_heading(sheet, (0, max(2.0, y - 6)), "Key: walls by room, seen from inside", scale)
