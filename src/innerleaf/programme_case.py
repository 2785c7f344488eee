"""A job planned, bought and put in time; its programme as papers and for other programs."""

from __future__ import annotations

import dataclasses
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from innerleaf.documents.title import TitleBlock
from innerleaf.folder import whole_folder
from innerleaf.pipeline import Planned, Progress, bought, plan_job, silent
from innerleaf.plan_file import plain
from innerleaf.programme.for_job import Asked, built_for, programme_for
from innerleaf.programme.model import Programme
from innerleaf.programme.schedule import Effort
from innerleaf.programme.what_if import Outcome
from innerleaf.programme.what_if import usual as usual_changes


def programmed(planned: Planned, *, progress: Progress = silent) -> Planned:
    """The plan with its programme; with its order, too, which the days of deliveries come from."""
    return _programmed(planned, Asked(effort=Effort()), progress, with_usual=False)[0]


def programmed_job(
    path: Path,
    asked: Asked,
    *,
    usual: bool = False,
    together: bool = True,
    workers: int = 1,
    progress: Progress = silent,
) -> tuple[Planned, tuple[Outcome, ...]]:
    """A job file planned and put in time, and what changes would make of it; errors as `programme_for`."""
    planned = plan_job(path, together=together, workers=workers, progress=progress)
    return _programmed(planned, asked, progress, with_usual=usual)


def _programmed(
    planned: Planned, asked: Asked, progress: Progress, *, with_usual: bool
) -> tuple[Planned, tuple[Outcome, ...]]:
    planned = planned if planned.order else bought(planned)
    assert planned.order is not None
    built = built_for(planned.job, planned.practice, planned.plans, planned.takeoff, planned.order)
    if with_usual:
        asked = dataclasses.replace(asked, words=tuple(dict.fromkeys((*asked.words, *usual_changes(built)))))
    made, outcomes = programme_for(built, asked, progress)
    return dataclasses.replace(planned, programme=made), outcomes


def write_programme(planned: Planned, target: Path, *, replace: bool = False) -> None:
    """Write the papers of the programme alone into one folder; errors as `pipeline.write_folder`."""
    from innerleaf.documents.programme_pages import programme_files

    assert planned.programme is not None
    job = planned.job
    title = TitleBlock(project=job.name, firm=job.firm, place=job.site_place)
    with whole_folder(target, replace=replace) as folder:
        for name, make in programme_files(planned.programme, title):
            (folder / name).write_bytes(make())


def record_of(programme: Programme, outcomes: Sequence[Outcome]) -> dict[str, Any]:
    """The programme for other programs, as in plan.json, with what if."""
    return {"ok": True, "programme": plain(programme), "what_if": [plain(one) for one in outcomes]}
