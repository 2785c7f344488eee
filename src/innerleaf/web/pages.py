"""The pages. Each is complete without a script where it only shows; scripts add what moves."""

from __future__ import annotations

from collections.abc import Hashable
from functools import partial
from itertools import groupby
from typing import Annotated, Any

from fastapi import APIRouter, Path, Query, Request
from fastapi.responses import RedirectResponse, Response
from markupsafe import Markup

from innerleaf.errors import FileFaults, InputError
from innerleaf.store.history import document, revisions
from innerleaf.store.runs import RunState, run_of, runs_of
from innerleaf.survey.wall import UNCHOSEN
from innerleaf.web.api import Key, Revisions, WallId, add_blank, add_demo, wall_answer
from innerleaf.web.api_runs import answer
from innerleaf.web.compare import overlay, piece_changes, wall_changes
from innerleaf.web.desk import Desk, Opened
from innerleaf.web.drawing import FRAME
from innerleaf.web.kept import kept
from innerleaf.web.page import page
from innerleaf.web.people import Action, Asking, MayNot, OfDesk, Who, may, may_fetch
from innerleaf.web.plans import plan_answer
from innerleaf.web.reports import read_report
from innerleaf.web.runs import HANDOVER, NUMBERS, OPTIONS, PROGRAMME, PROOF, SHEETS, folder_of
from innerleaf.web.thumbnail import thumbnail

Number = Annotated[int, Query(ge=1, le=2**31 - 1)]

router = APIRouter(include_in_schema=False, dependencies=[may(Action.LOOK)])


@router.get("/")
def job_list(request: Request, desk: OfDesk) -> Response:
    """All jobs, and the ways to begin one."""
    jobs = desk.jobs()

    def made() -> Response:
        known = [(job, desk.newest(job).line) for job in jobs]
        return page("jobs", jobs=sorted(known, key=lambda one: one[1].saved_at, reverse=True))

    return kept(request, jobs, made)


@router.post("/jobs/new/{how}", dependencies=[may(Action.EDIT)])
def begin(desk: OfDesk, who: Who, how: str) -> Response:
    """Begin with the demo building or with a blank job, and go there; works without a script."""
    made = add_demo(desk, who) if how == "demo" else add_blank(desk, who)
    return RedirectResponse(f"/jobs/{made.id}", status_code=303)


@router.get("/jobs/{job}")
def building(request: Request, desk: OfDesk, job: Key) -> Response:
    """The rooms of a building and their walls."""
    opened = desk.open(job)
    return kept(request, opened.file, lambda: _building(opened))


def _building(opened: Opened) -> Response:
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
def wall_page(request: Request, desk: OfDesk, job: Key, wall: WallId, number: Revisions = None) -> Response:
    """One wall: its drawing, what is on it, what was found."""
    opened = desk.open(job, number)
    opened.written(wall)
    return kept(request, opened.file, lambda: _wall(desk, opened, wall))


def _wall(desk: Desk, opened: Opened, wall: str) -> Response:
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
def history(request: Request, desk: OfDesk, job: Key) -> Response:
    """Every save, and the way back to each."""
    key, about = _as_text(desk, job)
    lines = partial(revisions, desk.engine, job)
    return kept(request, key, lambda: page("history", **about, lines=lines(), here="history"))


@router.get("/jobs/{job}/compare")
def compare(request: Request, desk: OfDesk, job: Key, before: Number, after: Number) -> Response:
    """Two revisions held against each other."""
    old, new = desk.open(job, before), desk.open(job, after)
    return kept(request, (old.file, new.file), lambda: _compare(desk, old, new))


def _compare(desk: Desk, old: Opened, new: Opened) -> Response:
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
def job_file(request: Request, desk: OfDesk, job: Key) -> Response:
    """The job file as text."""
    key, about = _as_text(desk, job)
    return kept(request, key, lambda: page("file", **about, here="file"))


@router.get("/jobs/{job}/findings")
def findings(request: Request, desk: OfDesk, job: Key) -> Response:
    """All that was found of all walls, each with the way to its place."""
    opened = desk.open(job)
    return kept(request, opened.file, lambda: _findings(desk, opened))


def _findings(desk: Desk, opened: Opened) -> Response:
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
Tab = Annotated[str, Path(pattern=f"^({'|'.join(TABS)})$")]


@router.get("/jobs/{job}/numbers/{tab}", dependencies=[may(Action.MONEY)])
def numbers(request: Request, desk: OfDesk, job: Key, tab: Tab) -> Response:
    """What the building takes and costs."""
    opened = desk.open(job)
    values: dict[str, Any] = {"tab": tab, "asked": {"kind": NUMBERS}, "here": tab}
    return kept(request, opened.file, lambda: page("numbers", **_about(opened), **values))


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
    request: Request,
    desk: OfDesk,
    person: Asking,
    run: Key,
    tab: Annotated[str, Query(max_length=40)] = "",
) -> Response:
    """The report of a run as part of a page."""
    known = run_of(desk.engine, run)
    if known.state is not RunState.DONE or known.kind in (SHEETS, PROGRAMME, HANDOVER):
        raise InputError("run", given=run, accepted="a run with a report that is done")
    if not may_fetch(person, known.kind, ""):
        raise MayNot(person, Action.MONEY)
    folder = folder_of(desk.folder, run)
    return kept(request, run, lambda: page("report", report=read_report(folder), tab=tab, run=run))


def _as_text(desk: Desk, key: str) -> tuple[Hashable, dict[str, Any]]:
    """What stands for a job, and what a page tells of it that also shows one that cannot be read."""
    try:
        opened = desk.open(key)
    except FileFaults:
        known = document(desk.engine, key)
        newest = desk.newest(known)
        about = {"job": {"name": known.name}, "key": key, "revision": newest.line, "text": newest.text}
        return newest.line.digest, about
    return opened.file, _about(opened)


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
