"""Every wall judged: walls that are alike share their work, and go to as many processes as there are."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial

from innerleaf.design.climate import SiteClimate
from innerleaf.design.moisture.through_years import Followed, completed
from innerleaf.design.moisture.transient_years import MoistureYears
from innerleaf.design.performance import Performance, performance_of
from innerleaf.errors import about
from innerleaf.layout.pieces import WallPlan
from innerleaf.physics.weather import Weather
from innerleaf.practice.model import Practice
from innerleaf.work import run_tasks, same_processes

_ALIKE_PER_TASK = 16  # the first of a kind takes as long as some ten others, its details solved


def judge_all(
    plans: Sequence[WallPlan],
    practice: Practice,
    climate: SiteClimate | None,
    weather: Weather | None,
    *,
    workers: int,
    progress: Callable[[str, int, int], None],
) -> tuple[Performance, ...]:
    """A verdict on each wall, in order: details that walls share are solved once, years followed once."""
    with same_processes(workers):
        followed = Followed(plans, practice, weather, workers=workers, tell=partial(progress, "moisture"))
        tasks = [
            partial(_judge_some, some, practice, climate, [followed.years(plan) for plan in some])
            for some in _alike(plans)
        ]
        found: dict[str, Performance] = {}
        for performances in run_tasks(tasks, workers=workers):
            found |= {performance.wall: performance for performance in performances}
            progress("heat", len(found), len(plans))
        return tuple(completed(plans, [found[plan.wall.id] for plan in plans], practice, climate, followed))


def _alike(plans: Sequence[WallPlan]) -> list[Sequence[WallPlan]]:
    """Walls of one construction and lining together, a few at a time: they share most of their details."""
    kinds: dict[object, list[WallPlan]] = {}
    for plan in plans:
        kinds.setdefault((plan.wall.construction, plan.wall.lining), []).append(plan)
    return [
        some[at : at + _ALIKE_PER_TASK]
        for some in kinds.values()
        for at in range(0, len(some), _ALIKE_PER_TASK)
    ]


def _judge_some(
    plans: Sequence[WallPlan],
    practice: Practice,
    climate: SiteClimate | None,
    years: Sequence[MoistureYears | str],
) -> list[Performance]:
    done = []
    for plan, its_years in zip(plans, years, strict=True):
        with about(f"wall {plan.wall.id} ({plan.wall.room})"):
            done.append(performance_of(plan, practice, climate, its_years))
    return done
