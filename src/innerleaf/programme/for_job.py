"""From a planned job to its programme: hours of the price, deliveries of the order, progress from a file."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path

from innerleaf.cost.model import Order
from innerleaf.cost.price_job import basis_of_job
from innerleaf.errors import InputError
from innerleaf.job.model import Job
from innerleaf.layout.pieces import WallPlan
from innerleaf.practice.model import Practice
from innerleaf.practice.prices import load_prices
from innerleaf.programme.build import Built
from innerleaf.programme.model import Programme
from innerleaf.programme.operations import operations_of
from innerleaf.programme.progress import read_progress
from innerleaf.programme.schedule import Effort, Tell, outcomes_of, programme_of
from innerleaf.programme.what_if import Outcome
from innerleaf.takeoff.model import Takeoff


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What is asked of a programme: changes to look at, and how far the work is on the morning of a day."""

    effort: Effort
    words: tuple[str, ...] = ()
    today: str = ""
    done: Path | None = None


def built_for(
    job: Job, practice: Practice, plans: Sequence[WallPlan], takeoff: Takeoff, order: Order
) -> Built:
    """The operations of a job, its crews and its days, ready to be scheduled.

    Raises
    ------
    InputError
        The job says nothing of a programme.
    FileFaults
        The firm's prices or rates cannot be used.
    """
    if job.programme is None:
        accepted = "a section `programme` in the job file, with the day that work starts"
        raise InputError("programme", given=None, accepted=accepted)
    basis = basis_of_job(job, practice, plans, takeoff, order, load_prices(practice, job.prices))
    work = operations_of(job, job.programme, plans, takeoff, basis)
    least = practice.rules.coat_wait_min
    return Built(job, job.programme, work, basis.rates, order, least_wait_min=least)


def programme_for(built: Built, asked: Asked, tell: Tell) -> tuple[Programme, tuple[Outcome, ...]]:
    """The programme, and what each change alone would make of it.

    Raises
    ------
    InputError
        No lawful order of the work, words that say no change, a day that is none.
    FileFaults
        The file of operations done cannot be used.
    """
    baseline = None
    now = advanced(built, asked)
    if now.progress is not None:
        baseline = programme_of(built, asked.effort, tell)
    made = programme_of(now, asked.effort, tell, baseline)
    return made, outcomes_of(now, asked.words, made, asked.effort, tell)


def advanced(built: Built, asked: Asked) -> Built:
    """The same with what is done; as it is where nothing is said of it."""
    if asked.done is None and not asked.today:
        return built
    if asked.done is None or not asked.today:
        given = "only one of today and done"
        raise InputError("progress", given=given, accepted="a day (today) and a file of operations (done)")
    try:
        today = date.fromisoformat(asked.today)
    except ValueError:
        raise InputError("today", given=asked.today, accepted="a day such as 2026-03-20") from None
    known = {one.id for one in built.work.operations}
    return replace(built, progress=read_progress(asked.done, today, known))
