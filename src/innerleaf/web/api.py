"""The JSON side: whatever a page can do, a program can."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Iterator
from typing import Annotated, Any

from fastapi import APIRouter, File, Path, Query, Request, Response, UploadFile
from fastapi.responses import JSONResponse

from innerleaf.errors import InputError
from innerleaf.findings import Finding
from innerleaf.job.amend import field_of_wall
from innerleaf.job.starter import starter_text
from innerleaf.layout.pieces import WallPlan
from innerleaf.store.history import revisions
from innerleaf.survey.closing import Side, close_room
from innerleaf.survey.wall import UNCHOSEN
from innerleaf.units import show_length, show_sentence
from innerleaf.web.answers import (
    ClosingAnswer,
    ConflictAnswer,
    Created,
    ErrorAnswer,
    FieldAsked,
    FindingAnswer,
    JobAnswer,
    JobDetail,
    MeAnswer,
    PieceAnswer,
    RestoreAsked,
    RevisionAnswer,
    RoomAsked,
    RoomMeasured,
    Saved,
    StateAnswer,
    TextAsked,
    WallAnswer,
    WallLine,
)
from innerleaf.web.demo import demo_files
from innerleaf.web.desk import JOB_FILE, Desk, Opened
from innerleaf.web.drawing import drawings, pieces_of, views_of
from innerleaf.web.kept import kept
from innerleaf.web.manner import manner
from innerleaf.web.page import drawing
from innerleaf.web.people import MAY, Action, Asking, OfDesk, Who, may

_ME_KEPT_S = 30  # every page asks; what somebody may is looked up again with every request
FIELDS = (
    "name",
    "type",
    "length",
    "height",
    "outline",
    "dado",
    "meets",
    "edges",
    "head_moves",
    "other_side",
    "construction",
    "openings",
    "obstacles",
    "boxes",
    "loads",
    "building_joints",
    "orientation",
    "rain_exposure",
    "wood_ends",
    "damp",
    "questions",
    "lining",
    "lining_changes",
    "targets",
)

REFUSED: dict[int | str, dict[str, Any]] = {
    status: {"model": ErrorAnswer} for status in (400, 401, 403, 404, 413, 421, 422)
}
_CONFLICT: dict[int | str, dict[str, Any]] = {409: {"model": ConflictAnswer}}
router = APIRouter(prefix="/api", responses=REFUSED, dependencies=[may(Action.LOOK)])
_EDIT = [may(Action.EDIT)]

Key = Annotated[str, Path(max_length=64)]
WallId = Annotated[str, Path(max_length=200)]
Field = Annotated[str, Path(pattern=f"^({'|'.join(FIELDS)})$")]
View = Annotated[str, Query(max_length=40)]
Revisions = Annotated[int | None, Query(ge=1, le=2**31 - 1)]


@router.get("/me")
def me(request: Request, response: Response, person: Asking) -> MeAnswer:
    """Who asks, and what they may do."""
    response.headers["cache-control"] = f"private, max-age={_ME_KEPT_S}"
    allowed = sorted(action.name.lower() for action in MAY[person.role])
    return MeAnswer(name=person.name, role=person.role, team=request.app.state.team, may=allowed)


@router.get("/jobs")
def list_jobs(desk: OfDesk) -> list[JobAnswer]:
    """All jobs, by name."""
    answers = []
    for known in desk.jobs():
        line = desk.newest(known).line
        answers.append(
            JobAnswer(
                id=known.id, name=known.name, revision=line.number, saved_at=line.saved_at, who=line.who
            )
        )
    return answers


@router.post("/jobs", status_code=201, dependencies=_EDIT)
def add_job(desk: OfDesk, who: Who, files: Annotated[list[UploadFile], File(max_length=20)]) -> Created:
    """A new job of a job file and the files it names."""
    read = {file.filename or JOB_FILE: _text(file) for file in files}
    return _created(desk.take_in(read, who=who, what="brought in"))


@router.post("/jobs/demo", status_code=201, dependencies=_EDIT)
def add_demo(desk: OfDesk, who: Who) -> Created:
    """A copy of the invented demo building."""
    return _created(desk.take_in(demo_files(), who=who, what="demo building"))


@router.post("/jobs/blank", status_code=201, dependencies=_EDIT)
def add_blank(desk: OfDesk, who: Who) -> Created:
    """A small invented flat to start from."""
    return _created(desk.take_in({JOB_FILE: starter_text()}, who=who, what="started"))


@router.get("/jobs/{job}")
def get_job(desk: OfDesk, job: Key, number: Revisions = None) -> JobDetail:
    """A job: a revision of it, the newest if no number is given."""
    opened = desk.open(job, number)
    return JobDetail(
        id=job,
        name=opened.job.name,
        revision=RevisionAnswer.of(opened.revision.line),
        text=opened.revision.text,
        files=sorted(desk.files(job, opened.number)),
        walls=[
            WallLine(
                id=wall.id,
                name=wall.name,
                room=wall.room,
                storey=wall.storey,
                length_mm=wall.length_mm,
                height_mm=wall.height_mm,
                to_choose=wall.lining is UNCHOSEN,
            )
            for wall in opened.walls.values()
        ],
    )


@router.put("/jobs/{job}/text", responses=_CONFLICT, dependencies=_EDIT)
def put_text(desk: OfDesk, who: Who, job: Key, asked: TextAsked) -> Saved:
    """Save a whole job file."""
    return Saved(revision=desk.write(job, asked.base, asked.text, who=who, what=asked.note).number)


@router.get("/jobs/{job}/files.zip", response_class=Response, dependencies=[may(Action.MONEY)])
def get_files(desk: OfDesk, job: Key, number: Revisions = None) -> Response:
    """The job file and the files it names, to the byte as they were saved."""
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, text in sorted(desk.files(job, number).items()):
            archive.writestr(zipfile.ZipInfo(name), text)
    return Response(packed.getvalue(), media_type="application/zip")


@router.get("/jobs/{job}/revisions")
def get_revisions(desk: OfDesk, job: Key) -> list[RevisionAnswer]:
    """Every save of a job, the newest first."""
    return [RevisionAnswer.of(line) for line in revisions(desk.engine, job)]


@router.post("/jobs/{job}/restore", dependencies=_EDIT)
def restore(desk: OfDesk, who: Who, job: Key, asked: RestoreAsked) -> Saved:
    """Make an earlier revision the newest; nothing is lost."""
    return Saved(revision=desk.bring_back(job, asked.number, who=who).number)


@router.get("/jobs/{job}/states", response_model=list[StateAnswer])
def get_states(request: Request, desk: OfDesk, job: Key) -> Response:
    """How each wall stands; sets out those that nobody has looked at yet."""
    opened = desk.open(job)

    def made() -> Response:
        return JSONResponse([_state(desk, opened, wall).model_dump() for wall in opened.walls])

    return kept(request, opened.file, made)


@router.get("/jobs/{job}/walls/{wall}")
def get_wall(desk: OfDesk, job: Key, wall: WallId, number: Revisions = None, view: View = "") -> WallAnswer:
    """A wall as set out; with a view that drawing only, and not the others."""
    opened = desk.open(job, number)
    opened.written(wall)
    plan = None if opened.walls[wall].lining is UNCHOSEN else desk.plan(opened, wall)
    return wall_answer(opened, wall, plan, view)


@router.put("/jobs/{job}/walls/{wall}/{field}", responses=_CONFLICT, dependencies=_EDIT)
def put_field(
    desk: OfDesk, who: Who, job: Key, wall: WallId, field: Field, asked: FieldAsked, view: View = ""
) -> WallAnswer:
    """Save one field of a wall, as the job file writes it; the wall as it is set out then.

    With a view that drawing only: it is sooner there.
    """
    edited = desk.set_field(job, asked.base, wall, field, asked.value, who=who)
    return wall_answer(edited.opened, wall, edited.plan, view)


@router.post("/rooms/close")
def close(asked: RoomMeasured) -> ClosingAnswer:
    """Whether a room closes that is measured side by side."""
    return ClosingAnswer.of(close_room([Side(side.length_mm, side.turn_deg) for side in asked.sides]))


@router.post("/jobs/{job}/rooms", status_code=201, responses=_CONFLICT, dependencies=_EDIT)
def add_room(desk: OfDesk, who: Who, job: Key, asked: RoomAsked) -> Saved:
    """A new room with a wall for each side that is to be lined."""
    room: dict[str, Any] = {"id": asked.id, "height": asked.height_mm}
    room |= {"storey": asked.storey} if asked.storey else {}
    lined = asked.lined or [True] * len(asked.sides)
    if len(lined) != len(asked.sides):
        accepted = f"one for each of {len(asked.sides)} sides"
        raise InputError("lined", given=f"{len(lined)} answers", accepted=accepted)
    walls = [
        {
            "id": f"{asked.id}-{number}",
            "room": asked.id,
            "construction": asked.construction,
            "lining": asked.lining,
            "length": side.length_mm,
        }
        for number, (side, wanted) in enumerate(zip(asked.sides, lined, strict=True), 1)
        if wanted
    ]
    room |= {"sides": [_side(asked, number, wanted) for number, wanted in enumerate(lined)]}
    return Saved(revision=desk.add_room(job, asked.base, room, walls, who=who).number)


def _side(asked: RoomAsked, number: int, wanted: bool) -> dict[str, Any]:
    """A side as the job file writes it: its wall if it is lined, else its length; no turn if a right one."""
    side = asked.sides[number]
    said: dict[str, Any] = {"wall": f"{asked.id}-{number + 1}"} if wanted else {"length": side.length_mm}
    turn = int(side.turn_deg) if side.turn_deg == int(side.turn_deg) else side.turn_deg
    return said | ({} if turn == 90 else {"turn": turn})


def wall_answer(opened: Opened, wall: str, plan: WallPlan | None, view: str = "") -> WallAnswer:
    """What a page shows of a wall; with a view that drawing only."""
    written = opened.written(wall)
    fields = {field: field_of_wall(opened.said.value, written, field) for field in FIELDS}
    return WallAnswer(
        id=wall,
        revision=opened.number,
        fields={field: value for field, value in fields.items() if value is not None},
        views=views_of(plan) if plan else [],
        drawings={name: drawing(made) for name, made in drawings(plan, view).items()} if plan else {},
        pieces=[PieceAnswer.of(piece) for piece in pieces_of(plan)] if plan else [],
        findings=[_found(finding) for finding in plan.findings] if plan else [],
        layer_count=len(opened.walls[wall].lining.boards),
        lengths=_lengths(fields, plan),
    )


def _found(finding: Finding) -> FindingAnswer:
    """A finding in the words of whoever asks."""
    unit = manner().unit
    said = {"text": show_sentence(finding.text, unit), "remedy": show_sentence(finding.remedy, unit)}
    return FindingAnswer.of(finding).model_copy(update=said)


def _lengths(fields: Any, plan: WallPlan | None) -> dict[str, str]:
    """Lengths of the answer as whoever asks reads them, by their millimetres; none where that is the same."""
    if manner().unit == "mm":
        return {}
    found = set(_whole(fields))
    for piece in pieces_of(plan) if plan else ():
        ring = [round(along) for corner in piece.ring for along in corner]
        found |= {round(piece.length_mm), round(piece.width_mm), *ring}
    return {str(mm): show_length(mm, manner().unit) for mm in sorted(found)}


def _whole(said: Any) -> Iterator[int]:
    """Every whole number in a value."""
    if isinstance(said, dict | list):
        for part in said.values() if isinstance(said, dict) else said:
            yield from _whole(part)
    elif isinstance(said, int) and not isinstance(said, bool):
        yield said


def _state(desk: Desk, opened: Opened, wall: str) -> StateAnswer:
    if opened.walls[wall].lining is UNCHOSEN:
        return StateAnswer(wall=wall, state="choose", findings=0)
    findings = len(desk.plan(opened, wall).findings)
    return StateAnswer(wall=wall, state="findings" if findings else "ready", findings=findings)


def _created(made: Any) -> Created:
    return Created(id=made.line.document, revision=made.line.number)


def _text(file: UploadFile) -> str:
    try:
        return file.file.read().decode("utf-8")
    except UnicodeDecodeError as error:
        raise InputError("file", given=file.filename, accepted="UTF-8 text") from error
