"""Finalists set out and judged in full: the figures that count, beside the quick ones."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import inf

import numpy as np

from innerleaf.design.choice import criteria as by
from innerleaf.design.choice.bill import bill_of, priced
from innerleaf.design.choice.consider import Considered
from innerleaf.design.choice.criteria import TRADED, Criterion, Floats, Ints
from innerleaf.design.choice.evaluate import Setting, frame_load, share_of_outside
from innerleaf.design.choice.wanted import Miss, Wanted
from innerleaf.design.frame.wall import frame_verdicts
from innerleaf.design.heat.verdicts import frsi_wanted
from innerleaf.design.heat.wall import heat_of
from innerleaf.design.moisture.months import moisture_of
from innerleaf.design.sound.wall import sound_of
from innerleaf.layout.pieces import WallPlan
from innerleaf.layout.plan import plan_wall
from innerleaf.practice.model import Practice
from innerleaf.survey.wall import Lining, Wall

_OF_HEAT = (by.U_VALUE, by.FRSI, by.GATHERED, by.LEFT)


@dataclass(frozen=True, slots=True)
class Finalist:
    """A lining with its quick figures and those of its own layout, by criterion; ``misses`` by the latter.

    ``notes`` say what could not be judged.
    """

    lining: Lining
    quick: Mapping[str, float]
    exact: Mapping[str, float]
    misses: tuple[Miss, ...]
    notes: tuple[str, ...] = ()

    @property
    def holds(self) -> bool:
        """Whether everything is met in full."""
        return not self.misses


def finalise(considered: Considered, option: int, setting: Setting, *, whole: bool = True) -> Finalist:
    """Set out one option with its own layers and judge it in full, as `innerleaf plan` judges the wall.

    Without ``whole`` heat, which takes longest, is left out where something else is missed already.

    Raises
    ------
    InputError
        The lining cannot be set out, or a value of the wall's layers cannot be.
    """
    evaluated = considered.evaluated
    wall = evaluated.options.wall(considered.wall, option)
    quick = evaluated.figures.of(option)
    plan = plan_wall(wall, setting.practice)
    exact = quick | _bought(plan, setting) | _borne(plan, setting) | _heard(plan, setting, quick)
    wanted = list(considered.standing.wanted)
    notes: tuple[str, ...] = ()
    years = setting.years(plan) if setting.years and wall.other_side == "outside" else ""
    if isinstance(years, str):
        notes = (f"not followed through the years (EN 15026): {years}",) if years else ()
    else:
        exact |= {
            by.WATER_GAIN.key: years.gain_percent,
            by.MOULD.key: years.mould_index,
            by.WOOD.key: years.wood_percent,
        }
        wanted += wanted_of_years(wall, setting.practice)
    known = [each for each in wanted if each.criterion not in _OF_HEAT]
    if whole or not missed(exact, known):
        lost, told = _lost(plan, setting, quick)
        exact, known, notes = exact | lost, wanted, (*notes, *told)
    return Finalist(wall.lining, quick, exact, missed(exact, known), notes)


def wanted_of_years(wall: Wall, practice: Practice) -> Iterator[Wanted]:
    """What a wall must do through the years, with the limits of `moisture.verdicts`."""
    rules = practice.rules
    yield Wanted(by.WATER_GAIN, rules.water_gain_most_percent, "the rule water_gain_most_percent, EN 15026")
    yield Wanted(by.MOULD, rules.mould_index_most_tenths / 10, "the rule mould_index_most_tenths, EN 15026")
    if wall.wood_ends:
        limit = rules.wood_moisture_most_percent
        yield Wanted(by.WOOD, limit, "the rule wood_moisture_most_percent, EN 15026")


def _bought(plan: WallPlan, setting: Setting) -> dict[str, float]:
    """By the bill of its own layout; and what it takes of the room."""
    sums = priced(bill_of(plan, setting.practice), setting.prices)
    return {
        by.COST.key: sums.cost,
        by.HOURS.key: sums.hours,
        by.MASS.key: sums.mass_kg,
        by.WASTE.key: sums.waste_kg,
        by.CARBON.key: sums.carbon_kg,
        by.THICKNESS.key: plan.build_up.total_mm,
        by.FLOOR.key: plan.build_up.total_mm * plan.wall.length_mm / 1e6,
    }


def _borne(plan: WallPlan, setting: Setting) -> dict[str, float]:
    """The frame as set out."""
    return {by.FRAME.key: frame_load(frame_verdicts(plan, setting.practice))}


def _heard(plan: WallPlan, setting: Setting, quick: Mapping[str, float]) -> dict[str, float]:
    """Sound of the wall, and between the rooms where the job says what surrounds it."""
    sound = sound_of(plan, setting.practice) if by.SOUND_GAIN.key in quick else ""
    if isinstance(sound, str):
        return {}
    figures = {
        by.SOUND_GAIN.key: sound.gain,
        by.SOUND_REDUCTION.key: sound.before.rw_fine + sound.gain,
    }
    if by.ROOM_GAIN.key in quick and sound.effect:
        figures |= {
            by.ROOM_GAIN.key: sound.effect.gain,
            by.ROOM_REDUCTION.key: sound.effect.after.rw,
        }
    return figures


def _lost(
    plan: WallPlan, setting: Setting, quick: Mapping[str, float]
) -> tuple[dict[str, float], tuple[str, ...]]:
    """Heat with every member, bracket and edge solved; water by the month; a note on a surface too cold."""
    wall, practice, climate = plan.wall, setting.practice, setting.climate
    share = share_of_outside(wall, practice)
    if not (share and wall.construction):
        return {}, ()
    heat = heat_of(plan, practice)
    figures, factor = {by.U_VALUE.key: heat.u_set_out}, 1 - share * (1 - heat.coldest.frsi)
    moisture = moisture_of(plan, practice, climate) if by.GATHERED.key in quick and climate else None
    if moisture:
        figures |= {by.GATHERED.key: 1000 * moisture.after.peak, by.LEFT.key: 1000 * moisture.after.left}
    if by.FRSI.key in quick:
        figures[by.FRSI.key] = factor
        return figures, ()
    wanted, source = frsi_wanted(plan, practice, moisture)
    if factor >= wanted:
        return figures, ()
    cold = f"{by.FRSI.title} ({heat.coldest.detail.title}) {by.FRSI.show(factor)}, {wanted:.3f} wanted"
    return figures, (f"{cold} ({source}): the plan says what helps there (H103)",)


def missed(figures: Mapping[str, float], wanted: Sequence[Wanted]) -> tuple[Miss, ...]:
    """What a lining with these figures misses."""
    found = []
    for each in wanted:
        value = figures.get(each.criterion.key, np.nan)
        over = value - each.limit if each.criterion.less_is_better else each.limit - value
        if np.isnan(over) or over > each.criterion.step * 1e-6:
            found.append(Miss(each, value, inf if np.isnan(over) else over))
    return tuple(found)


def pick_finalists(
    considered: Considered, objective: Floats, most: int, criteria: Sequence[Criterion] = TRADED
) -> Ints:
    """A few of the front to show: the best by the objective, the best of each criterion, then the next.

    Of options with the same figures the first stands for all.
    """
    front = considered.front(criteria)
    if not len(front):
        return front
    figures = considered.evaluated.figures.only(front)
    known = figures.comparable(criteria)
    table = by.losses(figures, known)
    worth = objective[front]
    picked = [int(np.lexsort((np.arange(len(front)), worth))[0])]
    picked += [int(np.lexsort((np.arange(len(front)), worth, column))[0]) for column in table.T]
    picked += [int(k) for k in np.lexsort((np.arange(len(front)), worth))]
    first = {tuple(row): k for k, row in reversed(list(enumerate(table.tolist())))}
    few = list(dict.fromkeys(first[tuple(table[k].tolist())] for k in picked))[:most]
    return np.asarray(front[np.array(sorted(few, key=lambda k: (worth[k], k)))])
