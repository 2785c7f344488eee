"""Finalists set out and judged in full: the figures that count, beside the quick ones."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import inf

import numpy as np

from innerleaf.design.choice import criteria as by
from innerleaf.design.choice.bill import bill_of, priced
from innerleaf.design.choice.consider import Considered
from innerleaf.design.choice.criteria import TRADED, Criterion, Floats, Ints
from innerleaf.design.choice.evaluate import Setting, share_of_outside
from innerleaf.design.choice.wanted import Miss, Wanted
from innerleaf.design.heat.wall import heat_of
from innerleaf.design.moisture.months import moisture_of
from innerleaf.design.sound.wall import sound_of
from innerleaf.layout.plan import plan_wall
from innerleaf.survey.wall import Lining, Wall


@dataclass(frozen=True, slots=True)
class Finalist:
    """A lining with its quick figures and those of its own layout, by criterion; ``misses`` by the latter."""

    lining: Lining
    quick: Mapping[str, float]
    exact: Mapping[str, float]
    misses: tuple[Miss, ...]

    @property
    def holds(self) -> bool:
        """Whether everything is met in full."""
        return not self.misses


def finalise(considered: Considered, option: int, setting: Setting) -> Finalist:
    """Set out one option with its own layers and judge it in full."""
    evaluated = considered.evaluated
    wall = evaluated.options.wall(considered.wall, option)
    quick = evaluated.figures.of(option)
    exact = in_full(wall, setting, quick)
    return Finalist(wall.lining, quick, exact, missed(exact, considered.standing.wanted))


def in_full(wall: Wall, setting: Setting, quick: Mapping[str, float]) -> dict[str, float]:
    """Figures of a wall's lining as set out; where no better is known, the quick ones.

    Raises
    ------
    InputError
        The lining cannot be set out, or a value of the wall's layers cannot be.
    """
    practice = setting.practice
    plan = plan_wall(wall, practice)
    sums = priced(bill_of(plan, practice), setting.prices)
    figures = dict(quick)
    figures |= {
        by.COST.key: sums.cost,
        by.HOURS.key: sums.hours,
        by.MASS.key: sums.mass_kg,
        by.WASTE.key: sums.waste_kg,
        by.CARBON.key: sums.carbon_kg,
        by.THICKNESS.key: plan.build_up.total_mm,
        by.FLOOR.key: plan.build_up.total_mm * wall.length_mm / 1e6,
    }
    share = share_of_outside(wall, practice)
    if share and wall.construction:
        heat = heat_of(plan, practice)
        figures[by.U_VALUE.key] = heat.u_set_out
        if by.FRSI.key in quick:
            figures[by.FRSI.key] = 1 - share * (1 - heat.coldest.frsi)
        if by.GATHERED.key in quick and setting.climate:
            after = moisture_of(plan, practice, setting.climate).after
            figures[by.GATHERED.key], figures[by.LEFT.key] = 1000 * after.peak, 1000 * after.left
    sound = sound_of(plan, practice) if by.SOUND_GAIN.key in quick else ""
    if not isinstance(sound, str):
        figures[by.SOUND_GAIN.key] = sound.gain
        figures[by.SOUND_REDUCTION.key] = sound.before.rw_fine + sound.gain
    return figures


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
