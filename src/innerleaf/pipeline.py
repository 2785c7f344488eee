"""The whole way on one screen: from what a person wrote to sheets that a foreman can build from."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from innerleaf.documents.title import TitleBlock
from innerleaf.errors import InputError
from innerleaf.folder import CannotWrite, whole_folder
from innerleaf.job.read import Job, read_job
from innerleaf.layout.pieces import WallPlan
from innerleaf.layout.plan import plan_wall
from innerleaf.papers import write_papers
from innerleaf.plan_file import write_plan
from innerleaf.practice.load import load_practice
from innerleaf.practice.model import Practice
from innerleaf.practice.prices import PriceList
from innerleaf.survey.build import survey
from innerleaf.survey.storey_plan import is_surveyed, plan_storeys
from innerleaf.survey.wall import Wall
from innerleaf.takeoff import Takeoff, take_off
from innerleaf.takeoff.rules import BuyingRules
from innerleaf.takeoff.wishes import rules_of
from innerleaf.work import run_tasks

if TYPE_CHECKING:  # heat and moisture load much, and only when they are asked for
    from innerleaf.cost.model import Order
    from innerleaf.cost.price_job import Priced
    from innerleaf.design.choice.building import BuildingChoice
    from innerleaf.design.choice.report import WallOptions
    from innerleaf.design.performance import Performance
    from innerleaf.findings import Finding
    from innerleaf.programme.model import Programme
    from innerleaf.takeoff.together import TogetherReport
    from innerleaf.takeoff.ways import BatchPrice, LengthsAdvice

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
    performances: tuple[Performance, ...] = ()
    choice: BuildingChoice | None = None  # where the job leaves linings to be chosen
    priced: Priced | None = None  # where a price was asked for
    order: Order | None = None  # where buying was asked for
    together: TogetherReport | None = None  # where layouts were chosen for how the building is cut
    programme: Programme | None = None  # where the job says of one


def plan_job(
    path: Path,
    *,
    only: Sequence[str] = (),
    together: bool = False,
    keep: Sequence[WallPlan] = (),
    workers: int = 1,
    progress: Progress = silent,
) -> Planned:
    """Plan the walls of a job file: all of them, or those named in ``only``.

    ``together``: of layouts that are as good, each wall gets the one that the whole building is cut from
    cheapest; also the walls named get those. ``keep`` are walls as an earlier revision set them out: those
    that nothing was changed on keep their layout.
    """
    job = read_job(path)
    practice = load_practice(job.practice, job.practice_override)
    choice = _choice(job, practice, progress, workers)
    every = survey(job, practice, choice.linings if choice else None)
    walls = _named(every, only)
    wanted = every if together else walls
    kept = {plan.wall.id: plan for plan in keep if plan.wall in wanted}
    anew = [wall for wall in wanted if wall.id not in kept]
    kept |= {plan.wall.id: plan for plan in set_out(anew, practice, workers=workers, progress=progress)}
    plans = tuple(kept[wall.id] for wall in wanted)
    rules = rules_of(job.buying, plans)
    takeoff, report = take_off(plans, practice, rules=rules), None
    if together:
        plans, takeoff, report = _together(job, practice, plans, takeoff, rules, workers, progress)
        if len(walls) < len(plans):
            plans = tuple(plan for plan in plans if plan.wall.id in only)
            takeoff = take_off(plans, practice, rules=rules)
    if choice:
        plans = tuple(_with(plan, choice.findings) for plan in plans)
    return Planned(job=job, practice=practice, plans=plans, takeoff=takeoff, choice=choice, together=report)


def lengths_of(
    path: Path, *, workers: int = 1, progress: Progress = silent
) -> tuple[tuple[LengthsAdvice, ...], tuple[BatchPrice, ...]]:
    """Which lengths to order if they are to be few, and what smaller deliveries cost in material."""
    from innerleaf.takeoff.ways import lengths_advice, price_of_batches

    planned = plan_job(path, workers=workers, progress=progress)
    buying = planned.job.buying
    rules = rules_of(buying, planned.plans)
    return (
        lengths_advice(planned.plans, planned.practice),
        price_of_batches(planned.plans, planned.practice, rules=rules, storeys=buying.storeys),
    )


def _together(
    job: Job,
    practice: Practice,
    plans: tuple[WallPlan, ...],
    takeoff: Takeoff,
    rules: BuyingRules,
    workers: int,
    progress: Progress,
) -> tuple[tuple[WallPlan, ...], Takeoff, TogetherReport]:
    """Of layouts as good those that the whole building is cut from cheapest, by the prices of the job."""
    from innerleaf.practice.prices import load_prices
    from innerleaf.takeoff.together import lay_out_together

    prices = load_prices(practice, job.prices)
    made = lay_out_together(plans, takeoff, practice, prices, rules=rules, workers=workers, progress=progress)
    return made.plans, made.takeoff, made.report


def options_of(
    path: Path, *, only: Sequence[str] = (), workers: int = 1, progress: Progress = silent
) -> tuple[tuple[WallOptions, ...], tuple[Finding, ...]]:
    """What the walls of a job file may be lined with, and which articles were left out and why."""
    from innerleaf.design.choice.for_job import options_for

    job = read_job(path)
    practice = load_practice(job.practice, job.practice_override)
    return options_for(job, practice, only, progress, workers=workers)


def write_option_plots(told: Sequence[WallOptions], folder: Path) -> None:
    """One drawing for each wall, named after it.

    Raises
    ------
    CannotWrite
        The disk does not take the files.
    """
    from innerleaf.documents.option_plots import option_plots

    try:
        folder.mkdir(parents=True, exist_ok=True)
        for each in told:
            drawing = option_plots(f"{each.wall}, {each.room}", each.front, each.picked, each.limits)
            (folder / f"{each.wall}.svg").write_text(drawing, encoding="utf-8")
    except OSError as error:
        accepted = f"a folder that can be written ({error.strerror})"
        raise CannotWrite("plots", given=str(folder), accepted=accepted) from error


def _choice(job: Job, practice: Practice, progress: Progress, workers: int) -> BuildingChoice | None:
    """The linings that the job leaves to be chosen, for all walls together."""
    if all(wall.lining is not None for wall in job.walls):
        return None
    from innerleaf.design.choice.for_job import choose_for

    return choose_for(job, practice, progress, workers)


def _with(plan: WallPlan, findings: Sequence[Finding]) -> WallPlan:
    """The plan with those of some findings that are its wall's."""
    own = tuple(finding for finding in findings if finding.wall == plan.wall.id)
    return dataclasses.replace(plan, findings=(*plan.findings, *own))


def judged(planned: Planned, *, workers: int = 1, progress: Progress = silent) -> Planned:
    """The plan with a verdict on every wall: heat, surface temperature, moisture.

    What is missed joins the findings of its wall. Details that walls share are solved once, and walls of
    one case are followed through the years once.
    """
    from innerleaf.design.climate import climate_of_site, weather_of
    from innerleaf.judging import judge_all

    plans, weather = planned.plans, weather_of(planned.job)
    climate = climate_of_site(planned.job, weather)
    judgements = judge_all(plans, planned.practice, climate, weather, workers=workers, progress=progress)
    plans = tuple(
        dataclasses.replace(plan, findings=(*plan.findings, *performance.findings))
        for plan, performance in zip(plans, judgements, strict=True)
    )
    return dataclasses.replace(planned, plans=plans, performances=judgements)


def priced(planned: Planned, words: Sequence[str] = ()) -> Planned:
    """The plan with its price and quotation; ``words`` are changes to look at, as of `cost.what_if`.

    Raises
    ------
    FileFaults
        Price list, supply list or rates of the firm cannot be used.
    InputError
        Words that say no change; currencies that differ.
    """
    from innerleaf.cost.price_job import basis_of_job, priced_job
    from innerleaf.practice.prices import load_prices

    planned = planned if planned.order else bought(planned)
    job, practice, plans, takeoff = planned.job, planned.practice, planned.plans, planned.takeoff
    prices = load_prices(practice, job.prices)
    assert planned.order is not None
    basis = basis_of_job(job, practice, plans, takeoff, planned.order, prices)
    verdicts = {performance.wall: performance.verdicts for performance in planned.performances}
    rebuy = partial(_bought, planned, prices)
    return dataclasses.replace(
        planned, priced=priced_job(job, practice, plans, basis, verdicts, words, rebuy)
    )


def bought(planned: Planned) -> Planned:
    """The plan with the cheapest order of its material; what has no price joins the findings of its walls.

    Raises
    ------
    FileFaults
        Price list or supply list of the firm cannot be used.
    InputError
        Currencies that differ, or a supplier named in the job that the supply list does not have.
    """
    from innerleaf.cost.order_findings import price_findings
    from innerleaf.practice.prices import load_prices

    order = _bought(planned, load_prices(planned.practice, planned.job.prices))
    findings = price_findings(order, planned.takeoff)
    plans = tuple(_with(plan, findings) for plan in planned.plans)
    return dataclasses.replace(planned, plans=plans, order=order)


def _bought(planned: Planned, prices: PriceList, without: str = "") -> Order:
    """What is bought for a plan; without one supplier, if one is named."""
    from innerleaf.cost.order import order_for
    from innerleaf.cost.supply_job import supply_of_job

    job, practice = planned.job, planned.practice
    supply = supply_of_job(job, practice)
    left_out = (*job.buying.leave_out, *filter(None, [without]))
    buying = job.buying.model_copy(update={"leave_out": left_out})
    storeys = {plan.wall.id: plan.wall.storey for plan in planned.plans}
    return order_for(planned.takeoff, practice, supply, prices, buying, storeys)


def write_folder(
    planned: Planned,
    target: Path,
    *,
    replace: bool = False,
    revision: str = "A",
    date: str = "",
    pdf: bool = True,
    dxf: bool = True,
    workers: int = 1,
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
        write_plan(
            folder / "plan.json",
            job,
            practice,
            plans,
            takeoff,
            planned.performances,
            planned.priced.report if planned.priced else None,
            planned.choice,
            planned.order,
            planned.together,
            planned.programme,
        )
        write_papers(
            folder,
            plans,
            takeoff,
            title,
            practice,
            pdf=pdf,
            dxf=dxf,
            workers=workers,
            progress=progress,
            performances={performance.wall: performance for performance in planned.performances},
            pages=job.pages,
            priced=planned.priced,
            order=planned.order,
            together=planned.together,
            choice=planned.choice,
            storeys=plan_storeys(job) if pdf and is_surveyed(job) else (),
            programme=planned.programme,
        )


def write_price(planned: Planned, target: Path, *, replace: bool = False) -> None:
    """Write the papers about money alone into one folder; errors as `write_folder`."""
    from innerleaf.documents.quotation import money_files

    assert planned.priced is not None
    job = planned.job
    title = TitleBlock(project=job.name, firm=job.firm, place=job.site_place)
    with whole_folder(target, replace=replace) as folder:
        for name, make in money_files(planned.priced, planned.plans, title):
            (folder / name).write_bytes(make())


def set_out(
    walls: Sequence[Wall], practice: Practice, *, workers: int = 1, progress: Progress = silent
) -> Iterator[WallPlan]:
    """Plan each wall, in order; with more than one worker, in as many processes.

    A wall's plan depends on the wall and the practice only, so the result is the same whatever the
    number of workers.
    """
    starts = range(0, len(walls), _WALLS_PER_TASK)
    tasks = [partial(_set_out_some, walls[at : at + _WALLS_PER_TASK], practice) for at in starts]
    done = 0
    for plans in run_tasks(tasks, workers=min(workers, len(tasks) // 2)):
        yield from plans
        done += len(plans)
        progress("setting out", done, len(walls))


def _named(walls: tuple[Wall, ...], only: Sequence[str]) -> tuple[Wall, ...]:
    if not walls:
        raise InputError("walls", given="none", accepted="a job with at least one wall")
    known = {wall.id for wall in walls}
    unknown = [name for name in only if name not in known]
    if unknown:
        raise InputError("walls", given=", ".join(unknown), accepted=f"names of this job: {_list(known)}")
    return tuple(wall for wall in walls if wall.id in only) if only else walls


def _list(names: set[str]) -> str:
    return ", ".join(sorted(names)[:12]) + (f" and {len(names) - 12} more" if len(names) > 12 else "")


def _set_out_some(walls: Sequence[Wall], practice: Practice) -> list[WallPlan]:
    return [plan_wall(wall, practice) for wall in walls]
