"""Rooms on plan: what the page of the building shows of each storey, and where people put the rooms."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from pathlib import Path
from typing import Any

from fastapi import APIRouter

from innerleaf.documents.plan_view import area_words
from innerleaf.errors import InputError
from innerleaf.job.amend import differences
from innerleaf.job.model import Job, JobRoom
from innerleaf.reading import value_at
from innerleaf.survey.storey_plan import PlacedRoom, StoreyPlan, plan_storeys
from innerleaf.web.answers import ConflictAnswer
from innerleaf.web.api import REFUSED, Key, Revisions
from innerleaf.web.desk import Desk, Opened
from innerleaf.web.page import measure, sentence
from innerleaf.web.people import Action, OfDesk, Who, may
from innerleaf.web.plan_answers import PlacesAsked, PlanAnswer, RoomOnPlan, StoreyAnswer
from innerleaf.web.plan_drawing import storey_svg
from innerleaf.writing import Change, changed

_CONFLICT: dict[int | str, dict[str, Any]] = {409: {"model": ConflictAnswer}}
router = APIRouter(prefix="/api", responses=REFUSED, dependencies=[may(Action.LOOK)])


@router.get("/jobs/{job}/plan")
def get_plan(desk: OfDesk, job: Key, number: Revisions = None) -> PlanAnswer:
    """Every storey on plan, with the place of each room."""
    return plan_answer(desk.open(job, number))


@router.put("/jobs/{job}/places", responses=_CONFLICT, dependencies=[may(Action.EDIT)])
def put_places(desk: OfDesk, who: Who, job: Key, asked: PlacesAsked) -> PlanAnswer:
    """Save where rooms lie on plan, by id; without a place a room is put beside the others again.

    The answer is the plan as it then is.
    """
    places = {room: place.model_dump() if place else None for room, place in asked.places.items()}
    return plan_answer(desk.open(job, set_places(desk, job, asked.base, places, who=who)))


def plan_answer(opened: Opened) -> PlanAnswer:
    """What a page shows of the storeys of a job."""
    key = opened.revision.line.document
    storeys = storeys_of(opened)
    return PlanAnswer(
        revision=opened.number,
        storeys=[
            StoreyAnswer(
                name=one.storey,
                drawing=storey_svg(one, opened.walls, key),
                rooms=[_on_plan(room) for room in one.rooms],
                clashes=[list(pair) for pair in one.clashes],
                left_out=_left_out(one),
            )
            for one in storeys
        ],
    )


@dataclass(frozen=True, slots=True)
class _Asked:
    """A revision of a job, known by its file and number."""

    file: Path
    number: int
    job: Job = field(compare=False)


def storeys_of(opened: Opened) -> tuple[StoreyPlan, ...]:
    """The storeys of a job on plan, worked out once for each revision."""
    return _storeys(_Asked(opened.file, opened.number, opened.job))


@lru_cache(maxsize=16)
def _storeys(asked: _Asked) -> tuple[StoreyPlan, ...]:
    return plan_storeys(asked.job)


def set_places(
    desk: Desk, key: str, base: int, places: Mapping[str, Mapping[str, Any] | None], *, who: str
) -> int:
    """Write places of rooms into the job text, as little of it as possible; the number of the new revision.

    Raises
    ------
    InputError
        There is no such room.
    FileFaults
        A place is not one.
    ChangedMeanwhile
        Somebody saved first.
    """
    before = desk.open(key, base)
    rooms = {room.id: room for room in before.job.rooms}
    changes: list[Change] = []
    for name, place in places.items():
        if name not in rooms:
            raise InputError("room", given=name, accepted="a room of this job")
        changes += _change(before.said.value, rooms[name], place)
    text, _ = changed(before.revision.text, before.said, changes)
    named = ", ".join(places)
    what = f"place of room {named}" if len(places) == 1 else f"places of rooms {named}"
    return desk.write(key, base, text, who=who, what=what[:200]).number


def _change(said: Any, room: JobRoom, place: Mapping[str, Any] | None) -> tuple[Change, ...]:
    at = (*room.place, "place")
    new = None
    if place is not None:
        turn = round(place["turn"], 2) % 360
        new = {"x": place["x"], "y": place["y"]}
        new |= {"turn": int(turn) if turn == int(turn) else turn} if turn else {}
    return differences(at, value_at(said, at), new)


def _on_plan(room: PlacedRoom) -> RoomOnPlan:
    left, low, right, high = room.box
    return RoomOnPlan(
        id=room.room.id,
        name=room.room.name,
        flat=room.room.flat,
        x=room.x_mm - room.shift[0],
        y=room.y_mm - room.shift[1],
        turn=room.turn_deg,
        given=room.given,
        area_m2=round(room.outline.area_m2, 2),
        area=str(sentence(area_words(room))),
        basis=room.outline.basis.value,
        missed=measure(room.outline.miss_mm) if room.outline.miss_mm else "",
        box=(left, low, right, high),
    )


def _left_out(storey: StoreyPlan) -> list[str]:
    return [wall for room in storey.rooms for wall in room.outline.left_out]
