"""Rooms and walls of a job as a list: added, copied, renamed, taken away; by page and by program."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Annotated, Any, Final

from fastapi import APIRouter, Depends, Query, Request
from fastapi import Form as FormField
from fastapi.responses import RedirectResponse, Response

from innerleaf.errors import FileFaults, InputError
from innerleaf.job import amend_parts as amend
from innerleaf.store.model import ChangedMeanwhile
from innerleaf.web.answers import ConflictAnswer, Saved
from innerleaf.web.api import REFUSED, Key
from innerleaf.web.desk import Desk, Opened
from innerleaf.web.manner import manner
from innerleaf.web.page import page
from innerleaf.web.part_answers import PartAsked
from innerleaf.web.people import Action, OfDesk, Who, may
from innerleaf.web.typed import Form
from innerleaf.web.words import words_of
from innerleaf.writing import Change, changed

router = APIRouter(prefix="/api", responses=REFUSED, dependencies=[may(Action.LOOK), may(Action.EDIT)])
pages_router = APIRouter(include_in_schema=False, dependencies=[may(Action.LOOK), may(Action.EDIT)])

Changes = tuple[Change, ...]


@router.post("/jobs/{job}/parts", responses={409: {"model": ConflictAnswer}})
def change_part(desk: OfDesk, who: Who, job: Key, asked: PartAsked) -> Saved:
    """Add, copy, rename or take away a room or a wall."""
    return Saved(revision=_change(desk, who, job, asked).number)


@pages_router.get("/jobs/{job}/parts")
def list_parts(desk: OfDesk, job: Key, undo: Annotated[int, Query(ge=0, le=2**31 - 1)] = 0) -> Response:
    """All rooms with their walls; ``undo`` is the revision before the change that led here."""
    return _page(desk.open(job), undo=undo)


async def _form(request: Request) -> Form:
    said = await request.form(max_fields=20, max_files=0)
    return Form({name: text for name, text in said.items() if isinstance(text, str)})


@pages_router.post("/jobs/{job}/parts")
def take_part(desk: OfDesk, who: Who, job: Key, form: Annotated[Form, Depends(_form)]) -> Response:
    """The same from a form; what cannot be is said, and nothing is saved."""
    lengths = {name: form.length(name) for name in ("height_mm", "length_mm")}
    try:
        if form.errors:
            raise FileFaults([*form.errors.values()])
        said = {name: text for name, text in form.said.items() if text and name not in lengths}
        asked = PartAsked.model_validate(
            {**said, **{name: value for name, value in lengths.items() if value is not None}}
        )
        _change(desk, who, job, asked)
    except ChangedMeanwhile:
        return _page(desk.open(job), faults=[words_of(manner().language)("parts.meanwhile")])
    except (FileFaults, InputError, ValueError) as error:
        return _page(desk.open(job), faults=_sentences(error))
    return RedirectResponse(f"/jobs/{job}/parts?undo={asked.base}", status_code=303)


@pages_router.post("/jobs/{job}/bring-back")
def bring_back(
    desk: OfDesk, who: Who, job: Key, number: Annotated[int, FormField(ge=1, le=2**31 - 1)]
) -> Response:
    """Make an earlier revision the newest, without a script."""
    desk.bring_back(job, number, who=who)
    return RedirectResponse(f"/jobs/{job}/parts", status_code=303)


def _sentences(error: Exception) -> list[str]:
    if isinstance(error, FileFaults):
        return [fault.partition(": ")[2] or fault for fault in error.faults]
    if isinstance(error, InputError):
        return [str(error)]
    told: list[Mapping[str, Any]] = getattr(error, "errors", list)()
    return [f"{'.'.join(map(str, one['loc']))}: {one['msg']}" for one in told] or [str(error)]


def _change(desk: Desk, who: str, job: str, asked: PartAsked) -> Opened:
    opened = desk.open(job, asked.base)
    changes = _CHANGES[asked.of, asked.do](opened, asked)
    text, _ = changed(opened.revision.text, opened.said, changes)
    what = " ".join(filter(None, (asked.of, asked.id or asked.to, _DONE[asked.do])))
    return desk.write(job, asked.base, text, who=who, what=what)


def _needed(asked: PartAsked, *names: str) -> None:
    for name in names:
        if not getattr(asked, name):
            raise InputError(name, given="nothing", accepted="a value")


def _add_room(opened: Opened, asked: PartAsked) -> Changes:
    _needed(asked, "to", "height_mm")
    return amend.added(opened.said.value, "rooms", [{"id": asked.to, "height": asked.height_mm}])


def _add_wall(opened: Opened, asked: PartAsked) -> Changes:
    _needed(asked, "to", "room", "length_mm")
    walls = opened.said.value.get("walls") or [{}]
    rooms: list[dict[str, Any]] = opened.said.value.get("rooms") or []
    room = next((one for one in rooms if one.get("id") == asked.room), {})
    alike = ("construction", "lining", "other_side", *(() if "height" in room else ("height",)))
    like = {key: walls[0][key] for key in alike if key in walls[0]}
    return amend.added(
        opened.said.value, "walls", [{"id": asked.to, "room": asked.room, **like, "length": asked.length_mm}]
    )


def _copy_room(opened: Opened, asked: PartAsked) -> Changes:
    _needed(asked, "id", "to")
    return amend.copied_room(opened.said.value, asked.id, asked.to)


def _copy_wall(opened: Opened, asked: PartAsked) -> Changes:
    _needed(asked, "id", "to")
    return amend.copied_wall(opened.said.value, asked.id, asked.to, asked.room)


def _rename_room(opened: Opened, asked: PartAsked) -> Changes:
    _needed(asked, "id", "to")
    return amend.renamed_room(opened.said.value, asked.id, asked.to)


def _rename_wall(opened: Opened, asked: PartAsked) -> Changes:
    _needed(asked, "id", "to")
    return amend.renamed_wall(opened.said.value, asked.id, asked.to)


def _remove_room(opened: Opened, asked: PartAsked) -> Changes:
    _needed(asked, "id")
    return amend.without_room(opened.said.value, asked.id)


def _remove_wall(opened: Opened, asked: PartAsked) -> Changes:
    _needed(asked, "id")
    return amend.without_wall(opened.said.value, asked.id)


_CHANGES: Final[Mapping[tuple[str, str], Callable[[Opened, PartAsked], Changes]]] = {
    ("room", "add"): _add_room,
    ("room", "copy"): _copy_room,
    ("room", "rename"): _rename_room,
    ("room", "remove"): _remove_room,
    ("wall", "add"): _add_wall,
    ("wall", "copy"): _copy_wall,
    ("wall", "rename"): _rename_wall,
    ("wall", "remove"): _remove_wall,
}
_DONE: Final = {"add": "added", "copy": "copied", "rename": "renamed", "remove": "taken away"}


def _page(opened: Opened, *, undo: int = 0, faults: list[str] | None = None) -> Response:
    value = opened.said.value
    walls = value.get("walls") or []
    rooms = [
        (room, [wall for wall in walls if wall.get("room") == room["id"]])
        for room in value.get("rooms") or []
    ]
    return page(
        "parts",
        status=422 if faults else 200,
        job=opened.job,
        key=opened.revision.line.document,
        revision=opened.revision.line,
        here="building",
        rooms=rooms,
        flats=bool(value.get("flats")),
        surveyed=opened.walls,
        undo=undo,
        faults=faults or [],
    )
