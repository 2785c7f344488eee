"""The hand-over pack of a job, made meanwhile from its newest revision and its site records."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from fastapi import APIRouter
from fastapi.responses import Response  # noqa: TC002 - FastAPI reads it at run time

from innerleaf.errors import InputError
from innerleaf.store.runs import Run, ask_for, runs_of
from innerleaf.store.site import photo, photos_of
from innerleaf.web.answers import RunAnswer
from innerleaf.web.api import REFUSED, Key
from innerleaf.web.api_runs import answer
from innerleaf.web.issued import plan_issued
from innerleaf.web.page import page
from innerleaf.web.people import Action, OfDesk, Who, may
from innerleaf.web.runs import HANDOVER
from innerleaf.web.site_data import records

if TYPE_CHECKING:
    from innerleaf.web.desk import Desk

router = APIRouter(prefix="/api", responses=REFUSED, dependencies=[may(Action.LOOK)])
pages_router = APIRouter(include_in_schema=False, dependencies=[may(Action.LOOK)])


@pages_router.get("/jobs/{job}/handover")
def handover_page(desk: OfDesk, job: Key) -> Response:
    """What there is to hand over, the button, and the packs made so far."""
    opened, told = desk.open(job), records(desk, job)
    made = [run for run in runs_of(desk.engine, job) if run.kind == HANDOVER]
    return page(
        "handover",
        job=opened.job,
        key=job,
        revision=opened.revision.line,
        records=len(told),
        walls=sorted({record.entry.wall for record in told} & set(opened.walls)),
        runs=[answer(desk, run).model_dump(mode="json") for run in made],
        here=HANDOVER,
    )


@router.post("/jobs/{job}/runs/handover", status_code=202)
def ask_handover(desk: OfDesk, who: Who, job: Key) -> RunAnswer:
    """Have the pack made of all that is recorded by now; the same records give the same pack."""
    opened, told = desk.open(job), records(desk, job)
    if not {record.entry.wall for record in told} & set(opened.walls):
        raise InputError("records", given="none of a wall", accepted="a job with records of the site")
    subject, at = told[-1].digest[:32], desk.clock()
    return answer(desk, ask_for(desk.engine, job, opened.number, HANDOVER, subject, who=who, at=at))


def make_handover(desk: Desk, folder: Path, run: Run, tell: Callable[[str, int, int], None]) -> None:
    """The pack in the folder of a run, from the records there were when it was asked for."""
    from innerleaf.handover_case import handed_over, write_handover

    opened = desk.open(run.document, run.revision)
    every = records(desk, run.document)
    last = next((one.number for one in every if one.digest.startswith(run.subject)), len(every))
    photos = {
        digest: found[1]
        for digest in sorted(photos_of(desk.engine, run.document))
        for found in (photo(desk.engine, run.document, digest),)
        if found
    }
    plan = plan_issued(desk, run.document, every)
    done = handed_over(opened.file, every[:last], photos=photos, plan=plan, progress=tell)
    write_handover(done, folder, overwrite=True)
