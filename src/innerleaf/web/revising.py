"""What a change costs: two revisions of a job planned and held against each other, worked out meanwhile."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

from fastapi import APIRouter
from pydantic import BaseModel, ConfigDict, Field

from innerleaf.errors import InputError
from innerleaf.store.runs import Run, ask_for
from innerleaf.web.answers import RunAnswer
from innerleaf.web.api import REFUSED, Key
from innerleaf.web.api_runs import answer
from innerleaf.web.people import Action, OfDesk, Who, may
from innerleaf.web.runs import REVISION

if TYPE_CHECKING:
    from innerleaf.documents.schedule import Table
    from innerleaf.revise.revision import Revision
    from innerleaf.web.desk import Desk

router = APIRouter(prefix="/api", responses=REFUSED, dependencies=[may(Action.LOOK), may(Action.MONEY)])

Number = Annotated[int, Field(ge=1, le=2**31 - 1)]


class RevisionAsked(BaseModel):
    """Two revisions of a job, the earlier one first."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    before: Number
    after: Number


@router.post("/jobs/{job}/runs/revision", status_code=202)
def ask_revision(desk: OfDesk, who: Who, job: Key, asked: RevisionAsked) -> RunAnswer:
    """Have two revisions held against each other in quantities, money and hours."""
    if asked.before >= asked.after:
        raise InputError("before", given=asked.before, accepted=f"a revision before {asked.after}")
    desk.open(job, asked.before)
    opened, at = desk.open(job, asked.after), desk.clock()
    subject = str(asked.before)
    return answer(desk, ask_for(desk.engine, job, opened.number, REVISION, subject, who=who, at=at))


def make_revision(desk: Desk, folder: Path, run: Run, tell: Callable[[str, int, int], None]) -> None:
    """Tables for the page, revision.pdf and the variation quotation, in the folder of a run."""
    from innerleaf.revise_case import revised, write_revision
    from innerleaf.web.reports import REPORT

    old, new = desk.open(run.document, int(run.subject)), desk.open(run.document, run.revision)
    names = f"revision {old.number}", f"revision {new.number}"
    done = revised(old.file, new.file, names=names, quick=True, progress=tell)
    day = new.revision.line.saved_at.date().isoformat()
    report = json.dumps({"parts": list(_parts(done.revision))}, ensure_ascii=False).encode()
    write_revision(done, folder, overwrite=True, letter=str(new.number), date=day, more={REPORT: report})


def _parts(revision: Revision) -> Iterator[dict[str, Any]]:
    from innerleaf.documents.revision_pages import headline
    from innerleaf.documents.revision_tables import (
        hours_table,
        money_table,
        purchase_table,
        quantity_table,
        wall_money_table,
    )

    notes = [{"heading": "", "lead": "", "text": text} for text in headline(revision)]
    yield {"tab": "", "title": "In short", "svg": "", "tables": [], "notes": notes}
    held = revision.money
    tables = [quantity_table(revision), purchase_table(revision)]
    if held:
        tables = [money_table(held), wall_money_table(revision, held), hours_table(held), *tables]
    for table in tables:
        if table.rows:
            yield {"tab": "", "title": table.title, "svg": "", "tables": [_shown(table)], "notes": []}


def _shown(table: Table) -> dict[str, Any]:
    right = [column in table.right for column in table.columns]
    return {"title": table.title, "columns": table.columns, "right": right, "rows": table.rows}
