"""A programme scheduled: as early as can be with few returns, told with the bound that nobody can beat."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from typing import Final

from innerleaf.errors import InputError
from innerleaf.programme.answer import Scheduled, call_offs, crew_work, stamp, timed_operations
from innerleaf.programme.build import Built
from innerleaf.programme.engine.network import Answer
from innerleaf.programme.judge import findings_of
from innerleaf.programme.model import Against, Programme
from innerleaf.programme.what_if import Outcome, changed

Tell = Callable[[str, int, int], None]


@dataclass(frozen=True, slots=True, kw_only=True)
class Effort:
    """How long is searched: so many schedules (the same answer every time), or seconds of the clock.

    Without either it is 300 schedules, fewer where there are more than some 550 operations.
    """

    schedules: int | None = None
    seconds: float | None = None

    def schedules_for(self, operations: int) -> int:
        """Schedules to build for so many operations."""
        return self.schedules or max(_FEWEST, min(_MOST, _MOST * _USUAL // max(1, operations)))


_MOST: Final = 300
_FEWEST: Final = 30
_USUAL: Final = 550  # operations of a house of some twenty rooms


def programme_of(built: Built, effort: Effort, tell: Tell, baseline: Programme | None = None) -> Programme:
    """The programme of a job; with progress, against the ``baseline``.

    Raises
    ------
    InputError
        No lawful order of the work was found.
    """
    made = _programme(scheduled(built, effort, tell, baseline))
    return replace(made, against=_against(made, baseline, built)) if baseline else made


def outcomes_of(
    built: Built, words: Sequence[str], base: Programme, effort: Effort, tell: Tell
) -> tuple[Outcome, ...]:
    """The programme after each change alone, searched as long as the first.

    Raises
    ------
    InputError
        Words that say no change, or one after which there is no lawful order.
    """
    made = []
    for number, text in enumerate(words):
        tell("what if", number, len(words))
        after = _programme(scheduled(changed(built, text), effort, _unheard, base))
        made.append(
            Outcome(
                words=text,
                finish=after.finish,
                days_later=_working_days_between(built, base.finish, after.finish),
                working_days=after.working_days,
                bound_days=after.bound_days,
                returns=after.returns,
                overtime_hours=after.overtime_hours,
                findings=len(after.findings),
            )
        )
    return tuple(made)


def _unheard(_doing: str, _done: int, _of: int) -> None:
    """Progress within one change of many."""


def scheduled(built: Built, effort: Effort, tell: Tell, near: Programme | None = None) -> Scheduled:
    """The best schedule found, searched from a programme of much the same work where there is one.

    Raises
    ------
    InputError
        No lawful order of the work was found.
    """
    for spans in _SPANS:
        found = _searched(replace(built, spans=spans), effort, tell, near)
        if found.answer.starts:
            return found
    accepted = f"crews and days on which all can be done ({found.answer.why})"
    raise InputError("programme", given="no order of the work", accepted=accepted)


_SPANS: Final = (1, 3)  # times the days that the work is reckoned to need


def _searched(built: Built, effort: Effort, tell: Tell, near: Programme | None) -> Scheduled:
    from innerleaf.programme.engine.solve import solve

    network = built.network()
    wanted = effort.schedules_for(len(network.activities))

    def watch(answer: Answer) -> bool:
        tell("programme", min(answer.schedules, wanted), wanted)
        return True

    answer = solve(
        network,
        built.objective(),
        seconds=effort.seconds,
        schedules=None if effort.seconds is not None else wanted,
        hint=_hint(built, near),
        watch=watch,
    )
    return Scheduled(built, network, answer)


def _hint(built: Built, near: Programme | None) -> tuple[int, ...] | None:
    """Slots of the operations as another programme has them; None where it does not know all of them."""
    if near is None:
        return None
    starts = {one.id: datetime.fromisoformat(one.start) for one in near.operations}
    if any(one.id not in starts for one in built.work.operations):
        return None
    last = built.clock.slots - 1
    return tuple(min(last, built.clock.slot_from(starts[one.id])) for one in built.work.operations)


def _programme(found: Scheduled) -> Programme:
    built, answer = found.built, found.answer
    clock = built.clock
    operations, crews = timed_operations(found), crew_work(found)
    finish, bound = clock.end(answer.measures.finish), clock.end(answer.finish_bound)
    start = min(found.begin(number) for number in range(len(found.operations)))
    last = max(finish.date(), start.date())
    worked = {date.fromisoformat(one.start[:10]) for one in operations}
    worked |= {date.fromisoformat(one.end[:10]) for one in operations}
    span = [start.date() + timedelta(days=n) for n in range((last - start.date()).days + 1)]
    days = [day for day in span if day in worked or built.usual_days.of(day)]
    return Programme(
        start=stamp(start),
        finish=stamp(finish),
        finish_bound=stamp(bound),
        days=tuple(day.isoformat() for day in days),
        working_days=len(days),
        bound_days=sum(day <= bound.date() for day in days),
        gap=round(answer.measures.finish / answer.finish_bound - 1, 6) if answer.finish_bound else 0.0,
        proven=answer.measures.finish == answer.finish_bound,
        stopped_by=answer.why,
        returns=answer.measures.returns,
        overtime_hours=round(sum(crew.overtime_hours for crew in crews), 2),
        hours=sum(one.hours.total for one in found.operations) / 100,
        today=built.progress.today.isoformat() if built.progress else "",
        operations=operations,
        crews=crews,
        call_offs=call_offs(found),
        findings=findings_of(found),
        against=(),
        basis=_basis(built),
    )


def _basis(built: Built) -> tuple[str, ...]:
    """What a programme rests on, in words."""
    law = built.drying.compound
    usual = built.drying.air
    told = [
        f"from {air.since}{f' ({air.storey})' if air.storey else ''} {air.temperature:g} °C,"
        f" {air.humidity:g} %, {air.basis}"
        for air in built.said.air
    ]
    airs = "; ".join(told) or f"{usual.usual_c:g} °C, {usual.usual_rh:g} %, assumed"
    return (
        "Hours are those of the price, shared out to walls and rooms; a crew's people share them.",
        f"Drying: {law.hours:g} h × psat({law.at_c:g} °C)/psat(T)/(1 - RH) for {law.at_mm:g} mm.",
        f"Air: {airs}.",
    )


def _against(now: Programme, baseline: Programme, built: Built) -> tuple[Against, ...]:
    """Every operation, in order of time, against the first programme."""
    planned = {one.id: one.end for one in baseline.operations}
    return tuple(
        Against(
            id=one.id,
            room_name=one.room_name,
            planned=planned[one.id],
            now=one.end,
            state=one.state,
            days=_working_days_between(built, planned[one.id], one.end),
        )
        for one in now.operations
        if one.id in planned
    )


def _working_days_between(built: Built, before: str, after: str) -> int:
    """Working days that one time is later than another; below 0 where it is earlier."""
    first, last = sorted((date.fromisoformat(before[:10]), date.fromisoformat(after[:10])))
    between = (first + timedelta(days=number) for number in range(1, (last - first).days + 1))
    days = sum(bool(built.usual_days.of(day)) for day in between)
    return days if after >= before else -days
