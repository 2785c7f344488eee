"""The programme of a job as a page: bars, line of balance, day plans, what if; worked out meanwhile."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, Final

from fastapi import APIRouter
from fastapi.responses import Response  # noqa: TC002 - FastAPI reads it at run time
from pydantic import BaseModel, ConfigDict, Field

from innerleaf.store.runs import Run, ask_for
from innerleaf.web.answers import RunAnswer
from innerleaf.web.api import REFUSED, Key
from innerleaf.web.api_runs import answer
from innerleaf.web.page import page
from innerleaf.web.people import Action, OfDesk, Who, may
from innerleaf.web.runs import PROGRAMME

if TYPE_CHECKING:
    from innerleaf.web.desk import Desk

router = APIRouter(prefix="/api", responses=REFUSED, dependencies=[may(Action.LOOK)])
pages_router = APIRouter(include_in_schema=False, dependencies=[may(Action.LOOK)])

DATA: Final = "programme.json"


class ProgrammeAsked(BaseModel):
    """A programme of the newest revision; ``words`` are changes to look at, set apart by semicolons."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    words: Annotated[str, Field(max_length=200)] = ""


@pages_router.get("/jobs/{job}/programme")
def programme_page(desk: OfDesk, job: Key) -> Response:
    """When who does what."""
    opened = desk.open(job)
    return page(
        "programme",
        job=opened.job,
        key=job,
        revision=opened.revision.line,
        there=opened.job.programme is not None,
        here=PROGRAMME,
    )


@router.post("/jobs/{job}/runs/programme", status_code=202)
def ask_programme(desk: OfDesk, who: Who, job: Key, asked: ProgrammeAsked) -> RunAnswer:
    """Have the programme made, and each change looked at; refused at once where words say no change."""
    from innerleaf.programme.what_if import check_words

    opened = desk.open(job)
    words = [part.strip() for part in asked.words.split(";") if part.strip()]
    check_words(words)
    at = desk.clock()
    subject = "; ".join(words)
    return answer(desk, ask_for(desk.engine, job, opened.number, PROGRAMME, subject, who=who, at=at))


def make_programme(desk: Desk, folder: Path, run: Run, tell: Callable[[str, int, int], None]) -> None:
    """The programme with its papers, in the folder of a run."""
    from innerleaf.documents.programme_pages import programme_files
    from innerleaf.documents.title import TitleBlock
    from innerleaf.folder import whole_folder
    from innerleaf.programme.for_job import Asked
    from innerleaf.programme.schedule import Effort
    from innerleaf.programme_case import programmed_job

    opened = desk.open(run.document, run.revision)
    words = tuple(part for part in run.subject.split("; ") if part)
    planned, outcomes = programmed_job(opened.file, Asked(effort=Effort(), words=words), progress=tell)
    assert planned.programme is not None
    job = planned.job
    title = TitleBlock(project=job.name, firm=job.firm, place=job.site_place, revision=str(run.revision))
    with whole_folder(folder, replace=True) as made:
        (made / DATA).write_text(json.dumps(_data(planned.programme, outcomes), ensure_ascii=False), "utf-8")
        for name, make in programme_files(planned.programme, title):
            (made / name).write_bytes(make())


def _data(programme: Any, outcomes: Any) -> dict[str, Any]:
    """The programme for the page: each operation with its phase and its place on the axis of days."""
    from innerleaf.documents.programme_charts import DayAxis, time_of
    from innerleaf.programme.model import OURS
    from innerleaf.programme.steps import phase_of
    from innerleaf.programme_case import record_of

    made = record_of(programme, outcomes)
    axis = DayAxis.of(programme)
    for one in made["programme"]["operations"]:
        one["phase"] = phase_of(one["step"], ours=one["kind"] == OURS)
        one["from"], one["to"] = (round(axis.at(time_of(one[name])), 3) for name in ("start", "end"))
    return made
