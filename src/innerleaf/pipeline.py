"""The whole way on one screen: from what a person wrote to sheets that a foreman can build from."""

from __future__ import annotations

import gc
import signal
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from multiprocessing import get_context
from pathlib import Path

from innerleaf.documents.title import TitleBlock
from innerleaf.documents.write import write_documents
from innerleaf.errors import InputError
from innerleaf.folder import whole_folder
from innerleaf.job.read import Job, read_job
from innerleaf.layout.pieces import WallPlan
from innerleaf.layout.plan import plan_wall
from innerleaf.plan_file import write_plan
from innerleaf.practice.load import load_practice
from innerleaf.practice.model import Practice
from innerleaf.survey.build import survey
from innerleaf.survey.wall import Wall
from innerleaf.takeoff import Takeoff, take_off

Progress = Callable[[str, int, int], None]  # what is being done, how many are done, of how many

_WALLS_PER_TASK = 8  # some 50 ms of work: handing a task to another process costs a few


def silent(_doing: str, _done: int, _of: int) -> None:
    """Progress that nobody watches."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Planned:
    """A building planned: what was asked, every wall set out, everything taken off."""

    job: Job
    practice: Practice
    plans: tuple[WallPlan, ...]
    takeoff: Takeoff


def plan_job(
    path: Path, *, only: Sequence[str] = (), workers: int = 1, progress: Progress = silent
) -> Planned:
    """Plan the walls of a job file: all of them, or those named in ``only``."""
    job = read_job(path)
    practice = load_practice(job.practice, job.practice_override)
    walls = _named(survey(job, practice), only)
    plans = tuple(set_out(walls, practice, workers=workers, progress=progress))
    return Planned(job=job, practice=practice, plans=plans, takeoff=take_off(plans, practice))


def write_folder(
    planned: Planned,
    target: Path,
    *,
    replace: bool = False,
    revision: str = "A",
    date: str = "",
    pdf: bool = True,
    dxf: bool = True,
    progress: Progress = silent,
) -> None:
    """Write everything a firm needs of a plan into one folder, which appears whole or not at all.

    Raises
    ------
    CannotWrite
        There is something else at ``target``, or the disk does not take the files.
    """
    job, practice, plans, takeoff = planned.job, planned.practice, planned.plans, planned.takeoff
    title = TitleBlock(project=job.name, firm=job.firm, place=job.site_place, revision=revision, date=date)
    with whole_folder(target, replace=replace) as folder:
        write_plan(folder / "plan.json", job, practice, plans, takeoff)
        write_documents(folder, plans, takeoff, title, practice, pdf=pdf, dxf=dxf, progress=progress)


def set_out(
    walls: Sequence[Wall], practice: Practice, *, workers: int = 1, progress: Progress = silent
) -> Iterator[WallPlan]:
    """Plan each wall, in order; with more than one worker, in as many processes.

    A wall's plan depends on the wall and the practice only, so the result is the same whatever the
    number of workers.
    """
    workers = min(workers, len(walls) // _WALLS_PER_TASK)
    if workers <= 1:
        plans: Iterator[WallPlan] = (plan_wall(wall, practice) for wall in walls)
        yield from _counted(plans, len(walls), progress)
        return
    with ProcessPoolExecutor(workers, get_context("forkserver"), _start_worker, (practice,)) as pool:
        plans = pool.map(_plan_in_worker, walls, chunksize=_WALLS_PER_TASK)
        yield from _counted(plans, len(walls), progress)


def _named(walls: tuple[Wall, ...], only: Sequence[str]) -> tuple[Wall, ...]:
    known = {wall.id for wall in walls}
    unknown = [name for name in only if name not in known]
    if unknown:
        raise InputError("walls", given=", ".join(unknown), accepted=f"names of this job: {_list(known)}")
    return tuple(wall for wall in walls if wall.id in only) if only else walls


def _list(names: set[str]) -> str:
    first = sorted(names)[:12]
    return ", ".join(first) + (f" and {len(names) - 12} more" if len(names) > 12 else "")


def _counted(plans: Iterator[WallPlan], of: int, progress: Progress) -> Iterator[WallPlan]:
    for done, plan in enumerate(plans, 1):
        progress("setting out", done, of)
        yield plan


_practice: list[Practice] = []  # of this worker process: sent once, not with every wall


def _start_worker(practice: Practice) -> None:
    gc.disable()  # plans hold no cycles: nothing to collect, and looking takes a third of the time
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # the parent hears Ctrl-C and ends the pool
    _practice.append(practice)


def _plan_in_worker(wall: Wall) -> WallPlan:
    return plan_wall(wall, _practice[0])
