"""What is asked of a wall's lining, and how options stand to it: met, or missed by how much."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from innerleaf.design.choice.criteria import Criterion, Figures, Flags, Floats, Ints


@dataclass(frozen=True, slots=True)
class Wanted:
    """A limit on one criterion, and who set it."""

    criterion: Criterion
    limit: float
    source: str

    def show(self) -> str:
        """For a sentence: "U-value as set out at most 0.30 W/(m²·K)"."""
        side = "at most" if self.criterion.less_is_better else "at least"
        return f"{self.criterion.title} {side} {self.criterion.show(self.limit)}"


@dataclass(frozen=True, slots=True)
class Miss:
    """A target that an option misses, and by how much, in its unit."""

    wanted: Wanted
    value: float
    by: float

    def show(self) -> str:
        """For a sentence: "U-value as set out 0.34 W/(m²·K), missed by 0.04 W/(m²·K)"."""
        criterion = self.wanted.criterion
        if not np.isfinite(self.by):
            return f"{criterion.title} not known"
        return f"{criterion.title} {criterion.show(self.value)}, missed by {criterion.show(self.by)}"


@dataclass(frozen=True, slots=True, eq=False)
class Standing:
    """How options stand to what is wanted; ``shortfalls`` has shape (options, targets).

    A shortfall is how far a target is missed, 0 where it is met, infinite where the figure is not known.
    """

    wanted: tuple[Wanted, ...]
    shortfalls: Floats

    @property
    def passed(self) -> Flags:
        """Options that meet everything."""
        return np.asarray((self.shortfalls == 0).all(axis=1))

    def without(self, target: int) -> Flags:
        """Options that meet everything but one target."""
        return np.asarray((np.delete(self.shortfalls, target, axis=1) == 0).all(axis=1))

    def relative(self) -> Floats:
        """Shortfalls as a share of each limit, (options, targets)."""
        scale = [abs(each.limit) or each.criterion.step for each in self.wanted]
        return np.asarray(self.shortfalls / np.array(scale))

    def misses(self, option: int, figures: Figures) -> tuple[Miss, ...]:
        """What one option misses."""
        return tuple(
            Miss(each, float(figures[each.criterion][option]), float(by))
            for each, by in zip(self.wanted, self.shortfalls[option], strict=True)
            if by > 0
        )


def stand(figures: Figures, wanted: Sequence[Wanted]) -> Standing:
    """Hold options against what is wanted; a figure within half a step of its limit meets it."""
    columns = []
    for each in wanted:
        values = figures[each.criterion]
        over = values - each.limit if each.criterion.less_is_better else each.limit - values
        short = np.where(over <= each.criterion.step * 1e-6, 0.0, over)
        columns.append(np.where(np.isnan(values), np.inf, short))
    shape = (len(figures), len(columns))
    return Standing(tuple(wanted), np.stack(columns, axis=1) if columns else np.zeros(shape))


@dataclass(frozen=True, slots=True)
class Relaxation:
    """A target that, if given up, lets options pass: the best of them, and the least it must give way.

    ``option`` is the best by the objective among those that miss this target alone; ``least`` the one
    that misses it least, by ``by``.
    """

    wanted: Wanted
    option: int
    least: int
    by: float


@dataclass(frozen=True, slots=True)
class Closest:
    """Where nothing passes: the option that comes closest, what it misses, and what could be given up.

    Closest: the fewest targets missed, then the least sum of shortfalls as shares of their limits, in whole
    per cents, then the best by the objective.
    """

    option: int
    misses: tuple[Miss, ...]
    relaxations: tuple[Relaxation, ...]

    def together(self) -> str:
        """The fewest targets that would have to give way at once, and by how much: those that it misses."""
        return " and ".join(
            f"{miss.wanted.criterion.title} (by {miss.wanted.criterion.show(miss.by)})"
            if np.isfinite(miss.by)
            else f"{miss.wanted.criterion.title} (not known)"
            for miss in self.misses
        )


def closest(figures: Figures, standing: Standing, objective: Floats) -> Closest:
    """The nearest that can be had, and which target to give up for it."""
    relative = standing.relative()
    missed = (standing.shortfalls > 0).sum(axis=1)
    far = np.round(relative.sum(axis=1), 2)  # nobody pays for less than a hundredth
    order = np.lexsort((np.arange(len(objective)), objective, far, missed))
    best = int(order[0])
    relaxations = [relax(standing, target, objective) for target in range(len(standing.wanted))]
    return Closest(
        best,
        standing.misses(best, figures),
        tuple(sorted((r for r in relaxations if r), key=lambda r: r.by / (abs(r.wanted.limit) or 1.0))),
    )


def relax(standing: Standing, target: int, objective: Floats) -> Relaxation | None:
    """What giving up one target would allow; None if nothing passes even then."""
    by = standing.shortfalls[:, target]
    passing = np.flatnonzero(standing.without(target) & np.isfinite(by))
    if not len(passing):
        return None
    best = passing[first_least(objective[passing])]
    least = passing[first_least(np.round(by[passing], 12), objective[passing])]
    return Relaxation(standing.wanted[target], int(best), int(least), float(by[least]))


def first_least(*keys: Floats | Ints) -> int:
    """Where the first key is least; equal ones by the next, then the first of them."""
    return int(np.lexsort(tuple(reversed(keys)))[0])
