"""The pages. Each is complete without a script where it only shows; scripts add what moves."""

from __future__ import annotations

from itertools import groupby
from typing import Annotated, Any

from fastapi import APIRouter, Path, Query
from fastapi.responses import RedirectResponse, Response
from markupsafe import Markup

from innerleaf.errors import InputError
from innerleaf.store.history import revision, revisions
from innerleaf.store.runs import RunState, run_of, runs_of
from innerleaf.survey.wall import UNCHOSEN
from innerleaf.web.api import Key, Revisions, WallId, add_blank, add_demo, wall_answer
from innerleaf.web.api_runs import answer
from innerleaf.web.compare import overlay, piece_changes, wall_changes
from innerleaf.web.desk import Opened
from innerleaf.web.drawing import FRAME
from innerleaf.web.page import page
from innerleaf.web.people import Action, Asking, MayNot, OfDesk, Who, may, may_fetch
from innerleaf.web.plans import plan_answer
from innerleaf.web.reports import read_report
from innerleaf.web.runs import NUMBERS, OPTIONS, PROOF, SHEETS, folder_of
from innerleaf.web.thumbnail import thumbnail

Number = Annotated[int, Query(ge=1, le=2**31 - 1)]

router = APIRouter(include_in_schema=False, dependencies=[may(Action.LOOK)])


def error_page(status: int, error: str, faults: tuple[str, ...]) -> Response:
    """What went wrong, and the way back."""
    return page("error", status=status, error=error, faults=faults)


@router.get("/")
def job_list(desk: OfDesk) -> Response:
    """All jobs, and the ways to begin one."""
    known = [(job, revision(desk.engine, job.id).line) for job in desk.jobs()]
    return page("jobs", jobs=sorted(known, key=lambda one: one[1].saved_at, reverse=True))


@router.post("/jobs/new/{how}", dependencies=[may(Action.EDIT)])
def begin(desk: OfDesk, who: Who, how: str) -> Response:
    """Begin with the demo building or with a blank job, and go there; works without a script."""
    made = add_demo(desk, who) if how == "demo" else add_blank(desk, who)
    return RedirectResponse(f"/jobs/{made.id}", status_code=303)


@router.get("/jobs/{job}")
def building(desk: OfDesk, job: Key) -> Response:
    """The rooms of a building and their walls."""
    opened = desk.open(job)
    rooms = {wall.id: wall.room.id for wall in opened.job.walls}
    walls = [(wall, thumbnail(wall), rooms[wall.id]) for wall in opened.walls.values()]
    storeys = [
        (storey, [(room, list(some)) for room, some in groupby(of_storey, key=lambda one: one[0].room)])
        for storey, of_storey in groupby(walls, key=lambda one: one[0].storey)
    ]
    plan = plan_answer(opened).model_dump()
    return page(
        "building",
        **_about(opened),
        storeys=storeys,
        plan=plan if plan["storeys"] else None,
        here="building",
    )


@router.get("/jobs/{job}/walls/{wall}")
def wall_page(desk: OfDesk, job: Key, wall: WallId, number: Revisions = None) -> Response:
    """One wall: its drawing, what is on it, what was found."""
    opened = desk.open(job, number)
    opened.written(wall)
    surveyed = opened.walls[wall]
    plan = None if surveyed.lining is UNCHOSEN else desk.plan(opened, wall)
    order = list(opened.walls)
    at = order.index(wall)
    answer = wall_answer(opened, wall, plan, FRAME)
    return page(
        "wall",
        **_about(opened),
        here="",
        wall=surveyed,
        answer=answer.model_dump(exclude={"drawings"}),
        drawing=Markup(answer.drawings.get(FRAME, "")),  # noqa: S704 - ours
        before=order[at - 1] if at else None,
        after=order[at + 1] if at + 1 < len(order) else None,
        names=_names(opened),
        flats=opened.written(wall).place[0] != "walls",
    )


@router.get("/jobs/{job}/rooms/new", dependencies=[may(Action.EDIT)])
def new_room(desk: OfDesk, job: Key) -> Response:
    """A room measured side by side, with a laser meter in hand."""
    opened = desk.open(job)
    return page("room", **_about(opened), names=_names(opened), here="building")


@router.get("/jobs/{job}/history")
def history(desk: OfDesk, job: Key) -> Response:
    """Every save, and the way back to each."""
    return page("history", **_about(desk.open(job)), lines=revisions(desk.engine, job), here="history")


@router.get("/jobs/{job}/compare")
def compare(desk: OfDesk, job: Key, before: Number, after: Number) -> Response:
    """Two revisions held against each other."""
    old, new = desk.open(job, before), desk.open(job, after)
    found = []
    for change in wall_changes(old, new):
        drawing, counts = Markup(), []
        if change.how == "changed" and UNCHOSEN not in (
            old.walls[change.wall].lining,
            new.walls[change.wall].lining,
        ):
            plans = desk.plan(old, change.wall), desk.plan(new, change.wall)
            drawing, counts = Markup(overlay(*plans)), piece_changes(*plans)  # noqa: S704 - ours
        found.append((change, drawing, counts))
    return page("compare", **_about(new), before=old.revision.line, found=found, here="history")


@router.get("/jobs/{job}/file")
def job_file(desk: OfDesk, job: Key) -> Response:
    """The job file as text."""
    return page("file", **_about(desk.open(job)), here="file")


@router.get("/jobs/{job}/findings")
def findings(desk: OfDesk, job: Key) -> Response:
    """All that was found of all walls, each with the way to its place."""
    opened = desk.open(job)
    planned = [desk.plan(opened, wall.id) for wall in opened.walls.values() if wall.lining is not UNCHOSEN]
    found = [(plan.wall, plan.findings) for plan in planned if plan.findings]
    return page("findings", **_about(opened), found=found, here="findings")


@router.get("/jobs/{job}/sheets")
def sheets(desk: OfDesk, job: Key) -> Response:
    """What is printed or sent, made on request."""
    opened = desk.open(job)
    runs = [answer(desk, run).model_dump(mode="json") for run in runs_of(desk.engine, job)]
    return page("sheets", **_about(opened), runs=runs, here="sheets")


TABS = ("material", "cut", "order", "price")


@router.get("/jobs/{job}/numbers/{tab}", dependencies=[may(Action.MONEY)])
def numbers(desk: OfDesk, job: Key, tab: Annotated[str, Path(pattern=f"^({'|'.join(TABS)})$")]) -> Response:
    """What the building takes and costs."""
    return page("numbers", **_about(desk.open(job)), tab=tab, asked={"kind": NUMBERS}, here=tab)


@router.get("/jobs/{job}/walls/{wall}/proof")
def proof(desk: OfDesk, job: Key, wall: WallId) -> Response:
    """What one wall does: every verdict with its margin and its working."""
    opened = desk.open(job)
    opened.written(wall)
    asked = {"kind": PROOF, "wall": wall}
    return page("proof", **_about(opened), wall=opened.walls[wall], asked=asked, here="")


@router.get("/jobs/{job}/walls/{wall}/options", dependencies=[may(Action.MONEY)])
def options(desk: OfDesk, job: Key, wall: WallId) -> Response:
    """Every lining that can be bought for one wall."""
    opened = desk.open(job)
    opened.written(wall)
    asked = {"kind": OPTIONS, "wall": wall}
    return page("options", **_about(opened), wall=opened.walls[wall], asked=asked, here="")


@router.get("/runs/{run}/report")
def report(
    desk: OfDesk, person: Asking, run: Key, tab: Annotated[str, Query(max_length=40)] = ""
) -> Response:
    """The report of a run as part of a page."""
    known = run_of(desk.engine, run)
    if known.state is not RunState.DONE or known.kind == SHEETS:
        raise InputError("run", given=run, accepted="a run with a report that is done")
    if not may_fetch(person, known.kind, ""):
        raise MayNot(person, Action.MONEY)
    return page("report", report=read_report(folder_of(desk.folder, run)), tab=tab, run=run)


def _about(opened: Opened) -> dict[str, Any]:
    return {
        "job": opened.job,
        "key": opened.revision.line.document,
        "revision": opened.revision.line,
        "text": opened.revision.text,
    }


def _names(opened: Opened) -> dict[str, list[str]]:
    """What the fields of a wall can be set to by name."""
    said = opened.said.value
    return {
        "lining": [*said.get("linings", {}), "choose"],
        "construction": list(said.get("constructions", {})),
        "type": list(said.get("wall_types", {})),
        "opening_type": list(said.get("opening_types", {})),
        "box_type": list(said.get("box_types", {})),
    }
