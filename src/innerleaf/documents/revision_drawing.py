"""A wall after a change, with a numbered cloud round what is not as it was; what went is dashed below."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import pi, sin
from typing import Final

from innerleaf.documents import boarding, framing
from innerleaf.documents.pages import FIELD_HEIGHT_MM, FIELD_WIDTH_MM, placed
from innerleaf.documents.sheet import DASHED, Hatch, Pen, Place, Rect, Sheet
from innerleaf.documents.svg import SvgSheet
from innerleaf.documents.view import NORMAL, View, fit_parts
from innerleaf.layout.pieces import FACE, WallPlan
from innerleaf.revise.match import CAME, PieceChange
from innerleaf.revise.pieces import BAR, BOARD, BRACKET, Box, around

CLOUD: Final = Pen("CLOUD", 0.45)
WENT_PEN: Final = Pen("WENT", 0.4, DASHED, 0.45)
_AWAY_MM: Final = 2.5  # from what changed to the cloud
_ARC_MM: Final = 6.0  # about so long is each arc of a cloud
_BULGE: Final = 0.28  # of its length it stands out
_POINTS: Final = 7  # of an arc
_OF_FRAME: Final = (BAR, BRACKET)


@dataclass(frozen=True, slots=True)
class Cloud:
    """A rectangle of the elevation in which something changed, and what; ``box`` in wall millimetres."""

    number: int
    box: Box
    changes: tuple[PieceChange, ...]


@dataclass(frozen=True, slots=True)
class CloudedDrawing:
    """A drawing with clouds, its scale and the clouds that stand on it."""

    title: str
    svg: str
    scale: int
    clouds: tuple[Cloud, ...]


def clouds_of(changes: Iterable[PieceChange], scale: int, first: int = 1) -> tuple[Cloud, ...]:
    """Changes gathered where their rectangles, a little larger, lie on each other; from left to right."""
    away = _AWAY_MM * scale
    groups: list[tuple[Box, list[PieceChange]]] = []
    for change in changes:
        pieces = [piece for piece in (change.before, change.after) if piece and piece.plane == FACE]
        for box in [_larger(piece.box, away) for piece in pieces]:
            members = [change]
            met = [group for group in groups if _meet(group[0], box)]
            while met:
                box = around([box, *(group[0] for group in met)])
                members = [*(one for group in met for one in group[1]), *members]
                groups = [group for group in groups if group not in met]
                met = [group for group in groups if _meet(group[0], box)]
            groups.append((box, members))
    groups.sort(key=lambda group: group[0])
    return tuple(
        Cloud(number, box, tuple({id(one): one for one in members}.values()))
        for number, (box, members) in enumerate(groups, first)
    )


def drawings_of(plan: WallPlan, changes: Sequence[PieceChange]) -> list[CloudedDrawing]:
    """The frame and each board layer of a wall on which something changed, as pages take them."""
    made: list[CloudedDrawing] = []
    frame = [change for change in changes if change.piece.kind in _OF_FRAME]
    if frame:
        made.append(_drawn(plan, "Frame", frame, 0, 1))
    for layer in boarding.layers_of(plan):
        mine = [
            change
            for change in changes
            if change.piece.kind == BOARD
            and change.piece.plane == FACE
            and change.piece.what == f"layer {layer}"
        ]
        if mine:
            first = 1 + sum(len(drawing.clouds) for drawing in made)
            made.append(_drawn(plan, f"Boards, layer {layer}", mine, layer, first))
    return made


def _drawn(
    plan: WallPlan, title: str, changes: Sequence[PieceChange], layer: int, first: int
) -> CloudedDrawing:
    space = boarding.SPACE if layer else framing.SPACE
    scale, parts = fit_parts(plan.wall, FIELD_WIDTH_MM, FIELD_HEIGHT_MM, space)
    clouds = clouds_of(changes, scale, first)
    sheet = SvgSheet(FIELD_WIDTH_MM, FIELD_HEIGHT_MM)
    top = FIELD_HEIGHT_MM
    for part in range(parts):
        view, top = placed(plan, scale, space, top, part, parts)
        if layer:
            boarding.draw_boarding(sheet, plan, layer, view)
        else:
            framing.draw_framing(sheet, plan, view)
        draw_changes(sheet, view, changes, clouds)
    return CloudedDrawing(title, sheet.svg(), scale, clouds)


def draw_changes(sheet: Sheet, view: View, changes: Iterable[PieceChange], clouds: Iterable[Cloud]) -> None:
    """What is no longer there in dashes, and the clouds, as far as this part of the wall shows them."""
    for change in changes:
        before = change.before
        if before and change.how != CAME and before.plane == FACE and view.near(before.box[0], before.box[2]):
            sheet.rect(WENT_PEN, view.box(*before.box), Hatch.NONE)
    for cloud in clouds:
        if view.near(cloud.box[0], cloud.box[2]):
            box = view.box(*cloud.box)
            draw_cloud(sheet, box)
            _draw_number(sheet, box, str(cloud.number))


def draw_cloud(sheet: Sheet, box: Rect) -> None:
    """A closed line of arcs round a rectangle, bulging outwards."""
    left, bottom, right, top = box
    corners = ((left, bottom), (right, bottom), (right, top), (left, top))
    points: list[Place] = []
    for (x0, y0), (x1, y1) in zip(corners, corners[1:] + corners[:1], strict=True):
        length = abs(x1 - x0) + abs(y1 - y0)
        arcs = max(1, round(length / _ARC_MM))
        out = (y1 - y0) / length, (x0 - x1) / length  # to the right of the way round
        for step in range(arcs * _POINTS):
            along, up = step / (arcs * _POINTS), _BULGE * length / arcs * sin(pi * (step % _POINTS) / _POINTS)
            points.append((x0 + (x1 - x0) * along + out[0] * up, y0 + (y1 - y0) * along + out[1] * up))
    sheet.polyline(CLOUD, [*points, points[0]])


def _draw_number(sheet: Sheet, box: Rect, words: str) -> None:
    """The number of a cloud in a triangle at its upper right corner."""
    x, y = box[2] + 1.0, box[3] + 1.0
    sheet.polygon(CLOUD, [[(x - 3.6, y - 2.2), (x + 3.6, y - 2.2), (x, y + 4.2)]], Hatch.WHITE)
    sheet.text((x, y - 0.3), words, NORMAL, bold=True)


def _larger(box: Box, away: float) -> Box:
    return box[0] - away, box[1] - away, box[2] + away, box[3] + away


def _meet(a: Box, b: Box) -> bool:
    return a[0] <= b[2] and b[0] <= a[2] and a[1] <= b[3] and b[1] <= a[3]
