"""How linings were chosen, as flat values for plan.json and for the printed set."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from math import isfinite

import numpy as np

from innerleaf.design.choice import criteria as by
from innerleaf.design.choice.building import BuildingChoice, Chosen
from innerleaf.design.choice.consider import rejected_by
from innerleaf.design.choice.criteria import ALL, TRADED, losses
from innerleaf.design.choice.explain import difference
from innerleaf.design.choice.objective import Choose
from innerleaf.design.choice.wanted import first_least


@dataclass(frozen=True, slots=True)
class TargetRecord:
    """A target, who set it, how many options miss it by the quick figures, and how many miss it alone."""

    target: str
    source: str
    missed: int
    missed_alone: int


@dataclass(frozen=True, slots=True)
class FigureRecord:
    """A figure of the chosen lining: the quick one it was chosen by, and that of its own layout."""

    criterion: str
    title: str
    unit: str
    quick: float | None
    full: float | None


@dataclass(frozen=True, slots=True)
class WallChoiceRecord:
    """The lining of one wall and what there was besides.

    ``gave_up`` says, for each figure that people trade, what the best there gains and what it would have
    taken. ``fell`` are options that met everything by the quick figures but not in full. ``misses`` is
    empty unless nothing meets everything: then the lining is the closest.
    """

    wall: str
    lining: str
    options: int
    passed: int
    unbeaten: int
    targets: tuple[TargetRecord, ...]
    figures: tuple[FigureRecord, ...]
    gave_up: tuple[str, ...]
    fell: tuple[str, ...]
    misses: tuple[str, ...]
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ChoiceRecord:
    """The choice for the building: what was made least, its value, and how good it provably is.

    All in the unit of the objective and in quick figures: no choice has a value below ``bound``.
    """

    objective: str
    unit: str
    value: float
    sum_of_walls: float
    for_variety: float
    bound: float
    proved: bool
    systems: int
    walls: tuple[WallChoiceRecord, ...]


def record_choice(choice: BuildingChoice) -> ChoiceRecord:
    """The figures of a choice."""
    together, choose = choice.together, choice.choose
    return ChoiceRecord(
        objective=choose.objective,
        unit=choose.criteria[0].unit if len(choose.criteria) == 1 else "weighted",
        value=together.value,
        sum_of_walls=together.sum_of_walls,
        for_variety=together.for_variety,
        bound=together.bound,
        proved=together.proved,
        systems=choice.systems,
        walls=tuple(_wall(chosen, choose) for chosen in choice.walls),
    )


def _wall(chosen: Chosen, choose: Choose) -> WallChoiceRecord:
    considered, finalist = chosen.considered, chosen.finalist
    told = zip(considered.standing.wanted, rejected_by(considered), strict=True)
    return WallChoiceRecord(
        wall=chosen.wall.id,
        lining=chosen.lining.id,
        options=len(considered.evaluated.options),
        passed=len(considered.passed),
        unbeaten=len(considered.front()),
        targets=tuple(
            TargetRecord(words, wanted.source, many, alone) for wanted, (words, many, alone) in told
        ),
        figures=tuple(
            FigureRecord(c.key, c.title, c.unit, _known(finalist.quick, c.key), _known(finalist.exact, c.key))
            for c in ALL
            if c.key in finalist.exact
        ),
        gave_up=() if chosen.closest else tuple(_gave_up(chosen, choose)),
        fell=tuple(fall.show() for fall in chosen.falls),
        misses=tuple(miss.show() for miss in finalist.misses),
        notes=(*considered.notes, *finalist.notes),
    )


def _known(figures: Mapping[str, float], key: str) -> float | None:
    value = figures.get(key, np.nan)
    return float(value) if isfinite(value) else None


def _gave_up(chosen: Chosen, choose: Choose) -> Iterator[str]:
    """What the best of each traded figure, among those that no other beats, would give and take."""
    considered, own = chosen.considered, chosen.finalist.quick
    front, figures = considered.front(), considered.evaluated.figures
    if not len(front):
        return
    worth = choose.values(figures)[front]
    known = [c for c in figures.only(front).comparable(TRADED) if isfinite(own.get(c.key, np.nan))]
    for criterion, column in zip(known, losses(figures.only(front), known).T, strict=True):
        best = figures.of(int(front[first_least(column, worth)]))
        gain = difference(criterion, best[criterion.key], own[criterion.key])
        if gain and criterion not in choose.criteria and criterion.better in gain:
            price = [difference(c, best[c.key], own[c.key]) for c in (*choose.criteria, by.THICKNESS)]
            taken = ", ".join(dict.fromkeys(each for each in price if each and each != gain))
            yield f"{gain}, and {taken}" if taken else gain
