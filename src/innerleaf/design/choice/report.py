"""What `innerleaf options` tells of one wall, as plain values for a table, for JSON and for plots."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from innerleaf.design.choice import criteria as by
from innerleaf.design.choice.consider import Considered, cheapest_change, rejected_by
from innerleaf.design.choice.criteria import TRADED, Criterion, Floats
from innerleaf.design.choice.evaluate import Setting
from innerleaf.design.choice.explain import trade
from innerleaf.design.choice.finalists import Finalist, finalise
from innerleaf.design.choice.objective import Choose
from innerleaf.design.choice.proved import Proofs, proved_finalists
from innerleaf.design.choice.wanted import Closest
from innerleaf.practice.model import Practice
from innerleaf.survey.wish import Wish

SHOWN = (by.COST, by.HOURS, by.THICKNESS, by.U_VALUE, by.FRSI, by.SOUND_GAIN, by.CARBON, by.MASS)


@dataclass(frozen=True, slots=True)
class TargetRow:
    """A target: how many options miss it, and how many miss it alone."""

    target: str
    source: str
    missed: int
    missed_alone: int


@dataclass(frozen=True, slots=True)
class OptionRow:
    """One lining with its figures by criterion: quick, and set out and judged in full.

    ``misses`` are what it misses in full; ``trade`` says how it differs from the row before; ``written`` is
    the lining as a job file writes it.
    """

    number: int
    lining: str
    quick: Mapping[str, float]
    full: Mapping[str, float]
    misses: tuple[str, ...]
    trade: str
    written: Mapping[str, object]


@dataclass(frozen=True, slots=True, kw_only=True)
class WallOptions:
    """One wall: what there is to choose from, and what the choice comes to.

    ``rows`` are the finalists, best by the objective first; where nothing passes, the closest alone.
    ``given`` is the lining that the job names, if it does; ``better`` how many options meet everything and
    beat it in what people trade. ``fell`` are those that met everything by the quick figures but not in
    full, with what they miss. ``front`` has the figures of all options that no other beats, for plots, and
    ``picked`` the places of the finalists among them.
    """

    wall: str
    room: str
    objective: str
    options: int
    passed: int
    targets: tuple[TargetRow, ...]
    rows: tuple[OptionRow, ...]
    change: str
    give_up: tuple[str, ...]
    given: OptionRow | None
    better: int
    fell: tuple[str, ...]
    notes: tuple[str, ...]
    limits: Mapping[str, float]
    front: Mapping[str, tuple[float, ...]]
    picked: tuple[int, ...]


def wall_options(
    considered: Considered,
    setting: Setting,
    choose: Choose,
    *,
    most: int = 5,
    given: Considered | None = None,
) -> WallOptions:
    """Tell of one wall; the few shown are set out and judged in full.

    ``given`` has the lining that the job names as its only option.

    Raises
    ------
    InputError
        A lining cannot be set out.
    """
    figures, standing = considered.evaluated.figures, considered.standing
    worth = choose.values(figures)
    proofs = Proofs(considered, setting)
    few = proved_finalists(proofs, worth, most)
    considered = proofs.considered
    front = considered.front()
    give_up: tuple[str, ...] = ()
    if not few:
        near = proofs.closest(worth)
        few, give_up = [near.option], tuple(_give_up(considered, near))
    finalists = [proofs.of(option) for option in few]
    place = {int(option): number for number, option in enumerate(front)}
    known = figures.only(front).comparable(SHOWN)
    own = finalise(given, 0, setting) if given else None
    return WallOptions(
        wall=considered.wall.id,
        room=considered.wall.room,
        objective=choose.objective,
        options=len(figures),
        passed=len(considered.passed),
        targets=tuple(
            TargetRow(words, wanted.source, many, alone)
            for wanted, (words, many, alone) in zip(standing.wanted, rejected_by(considered), strict=True)
        ),
        rows=tuple(_rows(finalists, setting.practice)),
        change=_change(considered, worth, choose),
        give_up=give_up,
        given=_row(0, own, None, setting.practice) if own else None,
        better=_better(considered, own.quick) if own else 0,
        fell=tuple(fall.show() for fall in proofs.falls),
        notes=tuple(dict.fromkeys([*considered.notes, *finalists[0].notes, *proofs.given_up])),
        limits={wanted.criterion.key: wanted.limit for wanted in standing.wanted},
        front={c.key: tuple(figures[c][front].tolist()) for c in known},
        picked=tuple(place[option] for option in few if option in place),
    )


def _rows(finalists: Sequence[Finalist], practice: Practice) -> Iterator[OptionRow]:
    before: Finalist | None = None
    for number, finalist in enumerate(finalists, 1):
        yield _row(number, finalist, before, practice)
        before = finalist


def _row(number: int, finalist: Finalist, before: Finalist | None, practice: Practice) -> OptionRow:
    width = practice.boards[finalist.lining.boards[0]].width_mm
    return OptionRow(
        number,
        finalist.lining.id,
        dict(finalist.quick),
        dict(finalist.exact),
        tuple(miss.show() for miss in finalist.misses),
        trade(finalist.exact, before.exact, _told(finalist)) if before else "",
        Wish.for_just(finalist.lining, width).as_written(),
    )


def _told(finalist: Finalist) -> tuple[Criterion, ...]:
    return tuple(criterion for criterion in TRADED if criterion.key in finalist.exact)


def _change(considered: Considered, worth: Floats, choose: Choose) -> str:
    """The cheapest change that would make the best rejected option pass, in words."""
    change = cheapest_change(considered, worth)
    if change is None:
        return ""
    options = considered.evaluated.options
    misses = "; ".join(miss.show() for miss in change.misses)
    parts, becomes = " and ".join(change.parts), options.lining(change.becomes).id
    return (
        f"{options.lining(change.rejected).id} misses: {misses}. Changing {parts} makes it {becomes},"
        f" which meets everything for {choose.show(change.costs)} more."
    )


def _give_up(considered: Considered, near: Closest) -> Iterator[str]:
    """What each target, given up alone, would allow; where none is enough, the fewest that are together."""
    options = considered.evaluated.options
    if not near.relaxations:
        yield f"no single target is enough; together: {near.together()}"
    for each in near.relaxations:
        criterion = each.wanted.criterion
        yield (
            f"{each.wanted.show()}: give way by {criterion.show(each.by)}"
            f" ({options.lining(each.least).id}); given up, the best is {options.lining(each.option).id}"
        )


def _better(considered: Considered, quick: Mapping[str, float]) -> int:
    """Options that meet everything and are no worse in any traded figure, and better in one."""
    figures = considered.evaluated.figures.only(considered.passed)
    known = [c for c in figures.comparable(TRADED) if np.isfinite(quick.get(c.key, np.nan))]
    if not len(figures) or not known:
        return 0
    rows = by.losses(figures, known)
    own = np.array([round(quick[c.key] / c.step) * (1 if c.less_is_better else -1) for c in known])
    return int(((rows <= own).all(axis=1) & (rows < own).any(axis=1)).sum())
