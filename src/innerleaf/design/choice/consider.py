"""One wall's options judged: which pass, which no other beats, and what would have to change."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from innerleaf.design.choice.catalogue import Catalogue
from innerleaf.design.choice.criteria import (
    GATHERED,
    LEFT,
    TRADED,
    Criterion,
    Flags,
    Floats,
    Ints,
    losses,
)
from innerleaf.design.choice.evaluate import Evaluated, Setting, evaluate, wanted_of
from innerleaf.design.choice.front import non_dominated
from innerleaf.design.choice.generate import FULL, Extent, generate
from innerleaf.design.choice.options import Options
from innerleaf.design.choice.wanted import Closest, Miss, Standing, closest, first_least, stand
from innerleaf.survey.wall import Wall
from innerleaf.survey.wish import Wish

_MONTHLY = (GATHERED, LEFT)
_YEARS_DECIDE = (
    "by the monthly method (ISO 13788) water gathers or stays in every lining that meets all else; it leaves"
    " rain, suction and storage out, and the years (EN 15026) decide"
)
_PARTS = ("system", "packet", "between", "behind", "membrane")
_WORDS = {
    "system": "the frame",
    "packet": "the boards",
    "between": "the insulation between members",
    "behind": "the insulation behind the frame",
    "membrane": "the vapour control layer",
}


@dataclass(frozen=True, slots=True, eq=False)
class Considered:
    """A wall, its options with their figures, and how they stand to what is wanted.

    ``fell`` are options that meet everything by the quick figures but not in full.
    """

    wall: Wall
    evaluated: Evaluated
    standing: Standing
    notes: tuple[str, ...]
    fell: frozenset[int] = frozenset()

    @property
    def passed(self) -> Ints:
        """Options that meet everything, as far as is known."""
        passed = np.flatnonzero(self.standing.passed)
        return passed[~np.isin(passed, list(self.fell))] if self.fell else passed

    def without(self, options: Iterable[int]) -> Considered:
        """The same with options that do not hold in full."""
        return replace(self, fell=self.fell | set(options))

    def front(self, criteria: Sequence[Criterion] = TRADED) -> Ints:
        """Options that meet everything and that no other such option beats."""
        passed = self.passed
        figures = self.evaluated.figures.only(passed)
        return passed[non_dominated(losses(figures, figures.comparable(criteria)))]

    def closest(self, objective: Floats) -> Closest:
        """The nearest where nothing passes."""
        return closest(self.evaluated.figures, self.standing, objective)


@dataclass(frozen=True, slots=True)
class Change:
    """What would make a rejected option pass: the option it becomes, which parts change, what that costs."""

    rejected: int
    misses: tuple[Miss, ...]
    becomes: int
    parts: tuple[str, ...]
    costs: float  # of the objective, more than the rejected one


def consider(
    wall: Wall, wish: Wish, catalogue: Catalogue, setting: Setting, extent: Extent = FULL
) -> Considered:
    """Generate and judge all options of a wall.

    The monthly method sifts what is then followed through the years; where it alone lets nothing pass and
    there are years to decide, it is left out.

    Raises
    ------
    InputError
        Nothing in the catalogue is lawful for this wall.
    """
    options = generate(wall, wish, catalogue, setting.practice, extent)
    evaluated = evaluate(wall, options, setting)
    wanted, unjudged = wanted_of(wall, evaluated.figures, setting.practice)
    standing = stand(evaluated.figures, wanted)
    notes = (*evaluated.notes, *unjudged)
    if setting.years and not standing.passed.any():
        sifted = [each for each in wanted if each.criterion not in _MONTHLY]
        again = stand(evaluated.figures, sifted)
        if len(sifted) < len(wanted) and again.passed.any():
            return Considered(wall, evaluated, again, (*notes, _YEARS_DECIDE))
    return Considered(wall, evaluated, standing, notes)


def cheapest_change(considered: Considered, objective: Floats) -> Change | None:
    """The cheapest change that makes the best rejected option pass.

    The best rejected: of those that would have been chosen, being better by the objective than all that
    pass, the one that misses the fewest targets and them by least (in shares of their limits). The change:
    as few parts as will do, and of those changes the one that adds least to the objective. None if nothing
    passes, or the best passes.
    """
    standing, good = considered.standing, considered.passed
    if not len(good):
        return None
    tempting = np.flatnonzero(~standing.passed & (objective < objective[good].min()))
    if not len(tempting):
        return None
    options, figures = considered.evaluated.options, considered.evaluated.figures
    many = (standing.shortfalls[tempting] > 0).sum(axis=1)
    short = np.round(standing.relative()[tempting].sum(axis=1), 9)
    best = int(tempting[first_least(many, short, objective[tempting])])
    changed = _changed(options, best, good)
    place = first_least(changed.sum(axis=1), objective[good])
    into = int(good[place])
    return Change(
        best,
        standing.misses(best, figures),
        into,
        tuple(_WORDS[part] for part, differs in zip(_PARTS, changed[place], strict=True) if differs),
        float(objective[into] - objective[best]),
    )


def _changed(options: Options, one: int, others: Ints) -> Flags:
    """Which parts of other options differ from one, (others, parts); a gap belongs to what fills it."""
    columns = [getattr(options, part) for part in _PARTS]
    differs = [column[others] != column[one] for column in columns]
    gap = (options.gap_mm[others] != options.gap_mm[one]) & ~differs[2] & ~differs[3]
    differs[3] = differs[3] | gap
    return np.stack(differs, axis=1)


def rejected_by(considered: Considered) -> list[tuple[str, int, int]]:
    """For every target: in words, how many options miss it, and how many miss it alone."""
    found = []
    missed = considered.standing.shortfalls > 0
    for number, wanted in enumerate(considered.standing.wanted):
        alone = missed[:, number] & (missed.sum(axis=1) == 1)
        found.append((wanted.show(), int(missed[:, number].sum()), int(alone.sum())))
    return found
