"""Points that hold the work, and what may be done next: worked out of the records, nothing else is kept.

A hold point is open until it is passed by somebody whose role may, or released by name with a reason; it is
open again when it fails. Whatever stands behind an open one is blocked. Records that say that blocked work
was done all the same are kept, and are a finding.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from innerleaf.errors import InputError
from innerleaf.findings import Finding
from innerleaf.practice.site import HoldPoint, OnSite, load_on_site
from innerleaf.site.checks import Due, judge
from innerleaf.site.records import Entry, Kind, Record, standing

PASSED: Final = "passed"
FAILED: Final = "failed"
RELEASED: Final = "released"
OUTCOMES: Final = (PASSED, FAILED, RELEASED)
MAY_RELEASE: Final = ("estimator", "foreman")  # whoever may change jobs


class State(StrEnum):
    """How a step or a hold point stands."""

    DONE = "done"
    OPEN = "open"  # can be done now
    BLOCKED = "blocked"  # a hold point before it is open
    LATER = "later"  # a step before it is not done


@dataclass(frozen=True, slots=True, kw_only=True)
class StepState:
    """A step of a wall or a hold point on its way, and why it cannot be done yet."""

    name: str
    hold: HoldPoint | None
    state: State
    why: str
    by: Record | None  # the record that says so


def way_of(
    wall: str, steps: Sequence[str], records: Iterable[Record], on_site: OnSite | None = None
) -> tuple[StepState, ...]:
    """The steps of a wall with the hold points before them, and how each stands.

    Steps that are done stay done. The first one that is not is open, unless a hold point before it is.
    """
    holds = (on_site or load_on_site()).holds.values()
    told = [record for record in standing(records) if record.entry.wall == wall]
    way: list[StepState] = []
    held = missing = ""
    for step in steps:
        for hold in (one for one in holds if one.before == step):
            last = _last(told, Kind.HOLD, hold.id)
            good = last is not None and counts(last, hold)
            state = State.DONE if good else State.LATER if missing else State.OPEN
            way.append(StepState(name=hold.id, hold=hold, state=state, why=missing, by=last))
            held = held or ("" if good else hold.id)
        last = _done(told, step)
        if last is not None:
            state, why = State.DONE, ""
        elif held:
            state, why = State.BLOCKED, held
        elif missing:
            state, why = State.LATER, missing
        else:
            state, why = State.OPEN, ""
        way.append(StepState(name=step, hold=None, state=state, why=why, by=last))
        missing = missing or ("" if last is not None else step)
    return tuple(way)


def counts(record: Record, hold: HoldPoint) -> bool:
    """Whether a record opens the way: passed by a role that may, or released by one with a reason."""
    entry = record.entry
    if entry.outcome == PASSED:
        return record.role in (*hold.passes, "estimator")
    return entry.outcome == RELEASED and record.role in MAY_RELEASE and bool(entry.text.strip())


def hold_findings(
    wall: str,
    steps: Sequence[str],
    checks: Sequence[Due],
    records: Iterable[Record],
    on_site: OnSite | None = None,
) -> tuple[Finding, ...]:
    """What the records of a wall say that should not be.

    W201: a value outside its tolerance and nobody answers for it. W202: work done past an open hold point.
    W203: a hold point passed by somebody who may not, or released without a reason. W204: a hold point is
    passed and a check before it has not been made. W205: a device judged a value otherwise than the practice.
    """
    holds = (on_site or load_on_site()).holds
    told = [record for record in standing(records) if record.entry.wall == wall]
    answered = {one.entry.about for one in told if one.entry.kind in (Kind.ACCEPTED, Kind.CHECK)}
    found = [
        _finding(
            "W201", record, _missed(record.entry), "mend it and check again, or have it accepted by name"
        )
        for record in told
        if record.entry.kind == Kind.CHECK and record.entry.met is False and record.entry.id not in answered
    ]
    for record in told:
        hold = holds.get(record.entry.what) if record.entry.kind == Kind.HOLD else None
        if hold and record.entry.outcome in (PASSED, RELEASED) and not counts(record, hold):
            text = f"{hold.id} {record.entry.outcome} as {record.role or 'nobody'}"
            text += (
                "" if record.entry.text.strip() or record.entry.outcome == PASSED else ", without a reason"
            )
            remedy = f"let {' or '.join(hold.passes)} pass it, or release it by name with a reason"
            found.append(_finding("W203", record, text, remedy))
    found += _judged_otherwise(checks, told)
    found += _past(steps, [one for one in told if one.entry.id not in answered], holds.values())
    found += _unchecked(steps, checks, told, holds.values())
    return tuple(found)


def _judged_otherwise(checks: Sequence[Due], told: Sequence[Record]) -> list[Finding]:
    """Checks whose verdict does not follow from their values by the practice that holds."""
    by_key = {(due.check, due.step): due for due in checks}
    found = []
    for record in told:
        entry = record.entry
        due = by_key.get((entry.what, entry.mark)) if entry.kind == Kind.CHECK else None
        if due is None:
            continue
        try:
            met = all(one.met for one in judge(due, dict(entry.values)))
        except InputError:
            met = None
        if met != entry.met:
            text = (
                f"{entry.what} judged {'good' if entry.met else 'not good'}, by the practice it is otherwise"
            )
            found.append(_finding("W205", record, text, "let the device load the job again; check again"))
    return found


def _past(steps: Sequence[str], told: Sequence[Record], holds: Iterable[HoldPoint]) -> list[Finding]:
    """Work done while a hold point before it was open."""
    found = []
    for hold in holds:
        if hold.before not in steps:
            continue
        behind = steps[steps.index(hold.before) :]
        is_open = True
        for record in told:
            entry = record.entry
            if _speaks_of(record, hold):
                is_open = not counts(record, hold)
            elif is_open and entry.kind == Kind.DONE and entry.what in behind:
                text = f"{entry.what} done before {hold.id}"
                found.append(
                    _finding("W202", record, text, "open up what has to be seen, or release by name")
                )
    return found


def _unchecked(
    steps: Sequence[str], checks: Sequence[Due], told: Sequence[Record], holds: Iterable[HoldPoint]
) -> list[Finding]:
    """Checks that were to be made before a point that is passed."""
    made = {(one.entry.what, one.entry.mark) for one in told if one.entry.kind == Kind.CHECK}
    found, asked = [], set[tuple[str, str]]()
    for hold in holds:
        passed = [one for one in told if _speaks_of(one, hold) and one.entry.outcome == PASSED]
        if hold.before not in steps or not passed:
            continue
        for due in checks:
            key = (due.check, due.step)
            if steps.index(due.step) < steps.index(hold.before) and key not in made | asked:
                asked.add(key)
                text = f"{hold.id} passed, {due.text.lower()} not checked"
                found.append(_finding("W204", passed[-1], text, "make the check while it can be made"))
    return found


def _speaks_of(record: Record, hold: HoldPoint) -> bool:
    return record.entry.kind == Kind.HOLD and record.entry.what == hold.id


def _last(told: Sequence[Record], kind: Kind, what: str) -> Record | None:
    return next((one for one in reversed(told) if one.entry.kind == kind and one.entry.what == what), None)


def _done(told: Sequence[Record], step: str) -> Record | None:
    """The record that says that a step is done as a whole, not only a piece of it."""
    return next(
        (
            one
            for one in told
            if one.entry.kind == Kind.DONE and one.entry.what == step and not one.entry.mark
        ),
        None,
    )


def _missed(entry: Entry) -> str:
    missed = [one for one in entry.judged if not one.met]
    return f"{entry.what}: " + ", ".join(
        f"{one.name} {one.value:g} {one.unit}, {'at most' if one.at_most else 'at least'} {one.limit:g}"
        for one in missed
    )


def _finding(code: str, record: Record, text: str, remedy: str) -> Finding:
    return Finding(
        code=code,
        wall=record.entry.wall,
        rule="checks and hold points",
        text=f"record {record.number} ({record.said_by}): {text}",
        remedy=remedy,
        by_mm=max((-one.margin for one in record.entry.judged if one.unit == "mm"), default=0.0),
    )
