"""The JSON side of long work: ask for it, follow it, stop it, fetch what came of it."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterable
from typing import Annotated

from fastapi import APIRouter, Path, Request, Response
from fastapi.responses import FileResponse
from fastapi.sse import EventSourceResponse, ServerSentEvent

from innerleaf.errors import InputError
from innerleaf.folder import CONTENTS
from innerleaf.store.runs import Run, RunState, ask_for, run_of, runs_of, stop
from innerleaf.web.answers import RunAnswer, RunAsked
from innerleaf.web.api import REFUSED, Key
from innerleaf.web.desk import Desk
from innerleaf.web.people import MAY, Action, Asking, MayNot, OfDesk, may, may_fetch
from innerleaf.web.runs import NUMBERS, OF_A_WALL, OPTIONS, PROOF, folder_of

router = APIRouter(prefix="/api", responses=REFUSED, dependencies=[may(Action.LOOK)])

_FOLLOWED_S = 0.4  # between two looks at a run that a page follows

FileName = Annotated[str, Path(max_length=400)]


def answer(desk: Desk, run: Run) -> RunAnswer:
    """A run with the files that came of it."""
    return RunAnswer.of_run(run, files_of(desk, run))


def files_of(desk: Desk, run: Run) -> list[str]:
    """Names of the files of a run, in the order of their folders; none before it is done."""
    folder = folder_of(desk.folder, run.id)
    if run.state is not RunState.DONE or not folder.is_dir():
        return []
    names = (file.relative_to(folder).as_posix() for file in folder.rglob("*") if file.is_file())
    return sorted((name for name in names if name != CONTENTS), key=lambda name: (name.count("/"), name))


@router.post("/jobs/{job}/runs", status_code=202)
def add_run(desk: OfDesk, person: Asking, job: Key, asked: RunAsked) -> RunAnswer:
    """Ask for long work; what is there already for this revision is not done again."""
    if asked.kind in (NUMBERS, OPTIONS) and Action.MONEY not in MAY[person.role]:
        raise MayNot(person, Action.MONEY)
    opened = desk.open(job)
    subject = ""
    if asked.kind in OF_A_WALL:
        subject = opened.written(asked.wall).id
    if asked.kind == PROOF:
        desk.plan(opened, subject)  # refused at once where its lining is to be chosen
    at = desk.clock()
    return answer(desk, ask_for(desk.engine, job, opened.number, asked.kind, subject, who=person.name, at=at))


@router.get("/jobs/{job}/runs")
def get_runs(desk: OfDesk, job: Key) -> list[RunAnswer]:
    """Long work asked for on a job, the newest first."""
    return [answer(desk, run) for run in runs_of(desk.engine, job)]


@router.get("/runs/{run}")
def get_run(desk: OfDesk, run: Key) -> RunAnswer:
    """How far a run is."""
    return answer(desk, run_of(desk.engine, run))


@router.post("/runs/{run}/stop")
def stop_run(desk: OfDesk, run: Key) -> RunAnswer:
    """Have a run stopped."""
    return answer(desk, stop(desk.engine, run))


@router.get("/runs/{run}/events", response_class=EventSourceResponse)
async def follow(request: Request, desk: OfDesk, run: Key) -> AsyncIterable[ServerSentEvent]:
    """How far a run is, again and again until it is over; then an event called `end`."""
    told = None
    while not await request.is_disconnected():
        now = await asyncio.to_thread(run_of, desk.engine, run)
        if now != told:
            told = now
            data = answer(desk, now).model_dump(mode="json")
            yield ServerSentEvent(data=data, event="end" if now.over else "far", id=f"{now.done}-{now.of}")
        if now.over:
            return
        await asyncio.sleep(_FOLLOWED_S)


@router.get("/runs/{run}/files/{name:path}", response_class=Response)
def get_file(desk: OfDesk, person: Asking, run: Key, name: FileName) -> Response:
    """One file that came of a run; those with prices are for those who may see them."""
    known = run_of(desk.engine, run)
    if not may_fetch(person, known.kind, name):
        raise MayNot(person, Action.MONEY)
    if name not in files_of(desk, known):
        raise InputError("run", given=name, accepted="a file that came of this run")
    shown = name.endswith((".pdf", ".svg"))
    return FileResponse(
        folder_of(desk.folder, run) / name,
        filename=name.rpartition("/")[2],
        content_disposition_type="inline" if shown else "attachment",
    )
