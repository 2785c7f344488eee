"""A room with its linings to look at: the page, and the pieces in space as compact JSON."""

from __future__ import annotations

from collections.abc import Iterable

from fastapi import APIRouter
from fastapi.responses import Response
from markupsafe import Markup

from innerleaf.documents.look import Layer, Solid, trapezoids
from innerleaf.documents.look_picture import lost_picture, room_picture
from innerleaf.documents.look_room import RoomLook, WallInRoom, look_of_room
from innerleaf.errors import InputError
from innerleaf.survey.storey_plan import PlacedRoom
from innerleaf.survey.wall import UNCHOSEN
from innerleaf.web.api import REFUSED, Key, Revisions, WallId
from innerleaf.web.desk import Desk, Opened
from innerleaf.web.page import page
from innerleaf.web.people import Action, OfDesk, may
from innerleaf.web.plan_answers import LookAnswer, LookLayer, LookWall
from innerleaf.web.plans import storeys_of

router = APIRouter(responses=REFUSED, dependencies=[may(Action.LOOK)])


@router.get("/api/jobs/{job}/rooms/{room}/look")
def get_look(desk: OfDesk, job: Key, room: WallId, number: Revisions = None) -> LookAnswer:
    """The pieces of a room in space; lengths in mm."""
    opened = desk.open(job, number)
    return look_answer(opened, _look(desk, opened, _room(opened, room)), room)


@router.get("/jobs/{job}/rooms/{room}/look", include_in_schema=False, response_class=Response)
def look_page(desk: OfDesk, job: Key, room: WallId) -> Response:
    """A room as it will stand: frame, insulation and boards, from any side."""
    opened = desk.open(job)
    placed = _room(opened, room)
    look = _look(desk, opened, placed)
    lined = [wall.wall for wall in look.walls if wall.wall]
    return page(
        "look",
        job=opened.job,
        key=job,
        revision=opened.revision.line,
        here="building",
        room=placed.room,
        basis=placed.outline.basis.name.lower(),
        lined=lined,
        before=look.before_m2,
        after=look.after_m2,
        picture=Markup(room_picture(look)),  # noqa: S704 - ours
        lost=Markup(lost_picture(look)),  # noqa: S704 - ours
        layers=_names(look),
    )


def look_answer(opened: Opened, look: RoomLook, room: str) -> LookAnswer:
    """The pieces of a room as numbers, whole millimetres."""
    return LookAnswer(
        revision=opened.number,
        room=room,
        height=round(look.height_mm),
        before=_flat(look.before),
        after=_flat(look.after),
        floor_before=_solids(Solid(*part, -40, -8) for part in trapezoids([look.before])),
        floor_after=_solids(Solid(*part, -40, 0) for part in trapezoids([look.after])),
        before_m2=round(look.before_m2, 3),
        after_m2=round(look.after_m2, 3),
        walls=[_wall(wall) for wall in look.walls],
    )


def _wall(wall: WallInRoom) -> LookWall:
    return LookWall(
        id=wall.wall,
        origin=_flat([wall.origin]),
        along=[round(part, 6) for part in wall.along],
        layers=[_layer(layer) for layer in wall.layers if layer.solids or layer.points],
    )


def _layer(layer: Layer) -> LookLayer:
    return LookLayer(
        name=layer.name,
        step=layer.step,
        solids=_solids(layer.solids),
        edges=[[round(edge.depth), *_flat(edge.ring)] for edge in layer.edges],
        points=[round(value) for point in layer.points for value in point],
    )


def _solids(solids: Iterable[Solid]) -> list[int]:
    return [
        round(value)
        for one in solids
        for value in (one.x0, one.x1, one.low0, one.low1, one.high0, one.high1, one.near, one.far)
    ]


def _flat(points: Iterable[tuple[float, float]]) -> list[int]:
    return [round(value) for point in points for value in point]


def _names(look: RoomLook) -> list[str]:
    """Names of the layers that there is something of, in the order of building."""
    steps = {
        layer.name: layer.step for wall in look.walls for layer in wall.layers if layer.solids or layer.points
    }
    return sorted(steps, key=lambda name: (steps[name], name))


def _room(opened: Opened, room: str) -> PlacedRoom:
    rooms = {one.room.id: one for storey in storeys_of(opened) for one in storey.rooms}
    if room not in rooms:
        raise InputError("room", given=room, accepted="a room of this job that has walls")
    return rooms[room]


def _look(desk: Desk, opened: Opened, placed: PlacedRoom) -> RoomLook:
    of_room = [lined.wall for side in placed.outline.sides for lined in side.walls]
    walls = {name: opened.walls[name] for name in of_room}
    plans = {name: desk.plan(opened, name) for name, wall in walls.items() if wall.lining is not UNCHOSEN}
    return look_of_room(placed.outline, walls, plans, opened.practice)
