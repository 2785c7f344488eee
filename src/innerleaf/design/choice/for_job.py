"""Choosing for a job: its price list and climate, its open walls, and the objective it states."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import partial

from innerleaf.design.choice.building import BuildingChoice, choose_building
from innerleaf.design.choice.catalogue import Catalogue, buyable
from innerleaf.design.choice.consider import Considered, consider
from innerleaf.design.choice.evaluate import Models, Setting
from innerleaf.design.choice.objective import Choose
from innerleaf.design.choice.quick import quick_or_full
from innerleaf.design.choice.report import WallOptions, wall_options
from innerleaf.design.climate import climate_of_site, weather_of
from innerleaf.design.moisture.settled import SettledYears
from innerleaf.errors import InputError, about
from innerleaf.findings import Finding
from innerleaf.job.model import Job
from innerleaf.practice.model import Practice
from innerleaf.practice.prices import load_prices
from innerleaf.survey.build import given_walls, open_walls
from innerleaf.survey.wall import UNCHOSEN, Wall
from innerleaf.survey.wish import Wish

Progress = Callable[[str, int, int], None]
_UNLAWFUL = (
    "the lining that the job names is not one that can be bought and that the rules on wet rooms, tiles,"
    " hung loads, finish, single layers and sound allow here; it stays as it is"
)


def setting_of(job: Job, practice: Practice, workers: int = 1) -> Setting:
    """Practice, prices and climate of a job; what takes long is done in so many processes.

    Raises
    ------
    FileFaults
        The price list or the weather file cannot be used.
    """
    weather = weather_of(job)
    return Setting(
        practice=practice,
        prices=load_prices(practice, job.prices),
        climate=climate_of_site(job, weather),
        years=SettledYears(practice, weather) if weather else None,
        models=Models(heat=partial(quick_or_full, workers=workers)),
    )


def choose_of(job: Job) -> Choose:
    """The objective that a job states."""
    said = job.choose
    weights = said.weights.model_dump(exclude_none=True) if said.weights else {}
    return Choose(
        objective=said.objective,
        weights={key: worth for key, worth in weights.items() if worth},
        most_systems=said.most_systems,
        another_system=said.another_system,
        another_profile=said.another_profile,
        another_board_width=said.another_board_width,
        another_face=said.another_face,
        align=said.align,
    )


def choose_for(job: Job, practice: Practice, progress: Progress, workers: int = 1) -> BuildingChoice | None:
    """The linings of all walls that leave them to be chosen; None if there is no such wall.

    Raises
    ------
    InputError
        A wall has no lawful option, or greatest numbers leave no choice.
    FileFaults
        The price list or the weather file cannot be used.
    """
    walls = open_walls(job, practice)
    if not walls:
        return None
    given = given_walls(job, practice)
    setting = setting_of(job, practice, workers)
    return choose_building(walls, setting, choose_of(job), given=given, progress=progress)


def options_for(
    job: Job,
    practice: Practice,
    only: Sequence[str],
    progress: Progress,
    *,
    most: int = 5,
    workers: int = 1,
) -> tuple[tuple[WallOptions, ...], tuple[Finding, ...]]:
    """What each wall may be lined with, and which articles were left out; ``only`` names walls, none for all.

    A wall whose lining the job names is told of likewise, with that lining beside.

    Raises
    ------
    InputError
        A wall is not in the job, or nothing is lawful for it.
    FileFaults
        The price list or the weather file cannot be used.
    """
    setting, choose = setting_of(job, practice, workers), choose_of(job)
    catalogue = buyable(practice, setting.prices)
    walls = _all_walls(job, practice)
    for name in only:
        if name not in walls:
            raise InputError("wall", given=name, accepted=f"a wall of this job: {', '.join(sorted(walls))}")
    told, known = [], {}
    names = only or list(walls)
    for done, name in enumerate(names, 1):
        wall, wish = walls[name]
        bare = replace(wall, lining=UNCHOSEN)
        key = (replace(wall, id="", name="", room="", storey="", questions=()), wish)
        with about(f"wall {wall.id} ({wall.room})"):
            if key not in known:
                considered = consider(bare, wish, catalogue, setting)
                given = _given(wall, practice, catalogue, setting)
                found = wall_options(considered, setting, choose, most=most, given=given)
                unlawful = wall.lining is not UNCHOSEN and given is None
                known[key] = replace(found, notes=(*found.notes, *([_UNLAWFUL] if unlawful else [])))
        told.append(replace(known[key], wall=wall.id, room=wall.room))
        progress("options", done, len(names))
    return tuple(told), catalogue.findings


def _all_walls(job: Job, practice: Practice) -> dict[str, tuple[Wall, Wish]]:
    """Every wall by id, in the order of the file, with what is settled of its lining."""
    found = {wall.id: (wall, wish) for wall, wish in open_walls(job, practice)}
    for wall in given_walls(job, practice):
        found[wall.id] = wall, Wish(tiled=wall.lining.tiled, finish=wall.lining.finish)
    return {wall.id: found[wall.id] for wall in job.walls}


def _given(wall: Wall, practice: Practice, catalogue: Catalogue, setting: Setting) -> Considered | None:
    """The lining that the job names as the only option; None if it names none or the rules forbid it."""
    if wall.lining is UNCHOSEN:
        return None
    wish = Wish.for_just(wall.lining, practice.boards[wall.lining.boards[0]].width_mm)
    try:
        return consider(replace(wall, lining=UNCHOSEN), wish, catalogue, setting)
    except InputError:
        return None
