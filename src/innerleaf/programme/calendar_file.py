"""The programme for calendars of phones and offices (RFC 5545): an entry for a crew in a room on a day."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import UTC, date, datetime, timedelta
from typing import TYPE_CHECKING
from uuid import NAMESPACE_URL, uuid5

from innerleaf.programme.model import HOLD, OURS, Programme, Timed

if TYPE_CHECKING:
    from icalendar import Event


def calendar_bytes(programme: Programme, project: str, place: str) -> bytes:
    """The calendar file; the same programme gives the same bytes. Times are local to the site."""
    from icalendar import Calendar

    made = Calendar()
    made.add("prodid", "-//innerleaf//programme//EN")
    made.add("version", "2.0")
    made.add("x-wr-calname", project)
    for entry in (*_work(programme, project, place), *_deliveries(programme, project, place)):
        made.add_component(entry)
    text: bytes = made.to_ical()
    return text


def _work(programme: Programme, project: str, place: str) -> Iterator[Event]:
    """A crew in a room on one day: one entry with its operations."""
    by_day: dict[tuple[str, str, str], list[Timed]] = {}
    for one in programme.operations:
        key = (one.start[:10], one.crew, one.room) if one.kind == OURS else (one.start, one.crew, one.id)
        by_day.setdefault(key, []).append(one)
    for key, work in by_day.items():
        first = work[0]
        steps = list(dict.fromkeys(one.step for one in work))
        lines = [
            f"{one.start[11:]}-{one.end[11:] if one.end[:10] == one.start[:10] else one.end} {one.step}"
            + (f" {one.wall}" if one.wall else "")
            for one in work
        ]
        what = f"HOLD POINT {first.step}" if first.kind == HOLD else ", ".join(steps)
        yield _entry(
            uid=f"{project}/{'/'.join(key)}",
            begin=datetime.fromisoformat(first.start),
            end=datetime.fromisoformat(max(one.end for one in work)),
            summary=f"{first.crew}: {what}, {first.room_name}",
            lines=lines,
            place=", ".join(part for part in (first.room_name, first.storey, place) if part),
        )


def _deliveries(programme: Programme, project: str, place: str) -> Iterator[Event]:
    for one in programme.call_offs:
        where = ", ".join(part for part in (one.storey, one.phase) if part) or "building"
        for day, what in ((one.call_on, "call off"), (one.on, "on site")):
            begin = date.fromisoformat(day)
            yield _entry(
                uid=f"{project}/{one.delivery}/{what}",
                begin=begin,
                end=begin + timedelta(days=1),
                summary=f"{what}: delivery {one.delivery}, {where}",
                lines=[one.supplier, f"{one.mass_kg:,.0f} kg"],
                place=place,
            )


def _entry(*, uid: str, begin: date, end: date, summary: str, lines: Sequence[str], place: str) -> Event:
    from icalendar import Event

    made = Event()
    made.add("uid", f"{uuid5(NAMESPACE_URL, f'innerleaf:{uid}')}@innerleaf.invalid")
    made.add("dtstamp", datetime(2000, 1, 1, tzinfo=UTC))  # no clock: the same programme, the same bytes
    made.add("dtstart", begin)
    made.add("dtend", end)
    made.add("summary", summary)
    made.add("description", "\n".join(lines))
    if place:
        made.add("location", place)
    return made
