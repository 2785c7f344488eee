"""From the records of a wall to what its pack says of steps, checks, hold points, deviations and photos."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import UTC
from typing import Final

from innerleaf.documents.handover_model import (
    Answer,
    CheckedValue,
    CheckMade,
    Deviation,
    HoldPassed,
    PhotoShown,
    StepDone,
    Told,
)
from innerleaf.practice.site import YES, OnSite
from innerleaf.site.records import Judged, Kind, Record

_UNITS: Final = {"mm": "mm", "c": "°C", "percent": "%", "h": "h", "kg": "kg"}


def told_of(record: Record) -> Told:
    """Who and when."""
    time = record.server_time.astimezone(UTC).strftime("%Y-%m-%d %H:%M")
    return Told(record=record.number, by=record.said_by, role=record.role, time=time)


def steps_done(records: Sequence[Record]) -> tuple[StepDone, ...]:
    """Steps that are done as a whole; pieces ticked off one by one are not told one by one."""
    return tuple(
        StepDone(step=record.entry.what, mark=record.entry.mark, told=told_of(record))
        for record in records
        if record.entry.kind == Kind.DONE and not record.entry.mark
    )


def checks_made(records: Sequence[Record], on_site: OnSite) -> tuple[CheckMade, ...]:
    """Every check, also those that were missed and made again."""
    checks = [record for record in records if record.entry.kind == Kind.CHECK]
    return tuple(_check(record, checks, records, on_site) for record in checks)


def _check(record: Record, checks: Sequence[Record], every: Sequence[Record], on_site: OnSite) -> CheckMade:
    entry = record.entry
    judged = {one.name for one in entry.judged}
    others = [(name, value) for name, value in entry.values if name not in judged]
    again = next((one.number for one in checks if one.entry.about == entry.id), 0)
    check = on_site.checks.get(entry.what)
    return CheckMade(
        check=entry.what,
        text=check.text if check else entry.what,
        mark=entry.mark,
        values=tuple(_value(entry.what, one, on_site) for one in entry.judged),
        with_values=", ".join(value_words(name, value) for name, value in others),
        met=entry.met is not False,
        note=entry.text,
        photos=entry.photos,
        told=told_of(record),
        accepted=_answer(record, every),
        again=again,
    )


def _value(check: str, one: Judged, on_site: OnSite) -> CheckedValue:
    limit = on_site.limits.get(f"{check}.{one.name}")
    return CheckedValue(
        text=limit.text if limit else value_name(one.name),
        value=one.value,
        limit=one.limit,
        unit=one.unit,
        at_most=one.at_most,
        margin=one.margin,
        met=one.met,
    )


def _answer(record: Record, every: Sequence[Record]) -> Answer | None:
    """The last acceptance of a record."""
    found = [one for one in every if one.entry.kind == Kind.ACCEPTED and one.entry.about == record.entry.id]
    return Answer(told=told_of(found[-1]), reason=found[-1].entry.text) if found else None


def holds_passed(records: Sequence[Record], on_site: OnSite) -> tuple[HoldPassed, ...]:
    """What was said at hold points, in order."""
    return tuple(
        HoldPassed(
            point=record.entry.what,
            text=on_site.holds[record.entry.what].text if record.entry.what in on_site.holds else "",
            outcome=record.entry.outcome,
            reason=record.entry.text,
            told=told_of(record),
        )
        for record in records
        if record.entry.kind == Kind.HOLD
    )


def deviations_told(records: Sequence[Record]) -> tuple[Deviation, ...]:
    """What stands elsewhere than drawn, and damage."""
    return tuple(
        Deviation(
            what=record.entry.what if record.entry.kind == Kind.DEVIATION else f"damage: {record.entry.what}",
            mark=record.entry.mark,
            values=", ".join(value_words(name, value) for name, value in record.entry.values),
            note=record.entry.text,
            photos=record.entry.photos,
            told=told_of(record),
            accepted=_answer(record, records),
        )
        for record in records
        if record.entry.kind in (Kind.DEVIATION, Kind.DAMAGE)
    )


def photos_shown(records: Sequence[Record], there: frozenset[str], on_site: OnSite) -> Iterator[PhotoShown]:
    """Every photo once, with what it was taken for; ``there`` are the digests of the files that came."""
    seen: set[str] = set()
    for record in records:
        entry = record.entry
        check = on_site.checks.get(entry.what)
        what = check.text if check else entry.what or str(entry.kind)
        words = ", ".join(filter(None, (what, entry.mark.rpartition("/")[2], entry.text)))
        for digest in entry.photos:
            if digest not in seen:
                seen.add(digest)
                missing = digest not in there
                yield PhotoShown(digest=digest, caption=words, record=record.number, missing=missing)


def notes_told(records: Sequence[Record]) -> tuple[str, ...]:
    """Notes of the site in their order."""
    return tuple(
        f"{told.time}, {told.by}: {record.entry.text}"
        for record in records
        if record.entry.kind == Kind.NOTE and record.entry.text
        for told in [told_of(record)]
    )


def value_name(name: str) -> str:
    """A value's name in words, without its unit."""
    return name.rpartition("_")[0].replace("_", " ") or name


def value_words(name: str, value: float) -> str:
    """A value with its unit, both as its name says.

    >>> value_words("x_mm", 1235.0), value_words("full_yes", 1)
    ('x 1235 mm', 'full: yes')
    """
    unit = name.rpartition("_")[2]
    if unit == YES:
        return f"{value_name(name)}: {'yes' if value else 'no'}"
    return f"{value_name(name)} {value:g} {_UNITS.get(unit, unit)}"
