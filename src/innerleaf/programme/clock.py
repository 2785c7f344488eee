"""Working time and the time of the clock: slots in which somebody works, one after the other, and back.

A slot is ten minutes. Nights, breaks and days off are no slots at all; what runs on by the clock meanwhile
(drying) is brought back to slots by the clock's own times.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from functools import cached_property
from typing import Final

SLOT_MIN: Final = 10
WEEKDAYS: Final = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")

Stretches = tuple[tuple[int, int], ...]  # of a day [min from midnight]


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkDays:
    """When somebody works: hours of the day, days of the week, days off, first and last day.

    ``longer`` are hours beyond the usual ones, at the end of days (first, last; None: open).
    """

    hours: Stretches
    days: tuple[str, ...]
    off: frozenset[date] = frozenset()
    since: date | None = None
    until: date | None = None
    longer: tuple[int, date | None, date | None] | None = None  # [min]

    def of(self, day: date) -> Stretches:
        """The stretches worked on a day; none on a day off."""
        if WEEKDAYS[day.weekday()] not in self.days or day in self.off:
            return ()
        if (self.since and day < self.since) or (self.until and day > self.until):
            return ()
        if self.longer and _within(day, self.longer[1], self.longer[2]):
            begin, end = self.hours[-1]
            return (*self.hours[:-1], (begin, end + self.longer[0]))
        return self.hours


def _within(day: date, first: date | None, last: date | None) -> bool:
    return (first is None or first <= day) and (last is None or day <= last)


@dataclass(frozen=True)
class Clock:
    """The slots of a programme, from its first day on, for so many days of the calendar."""

    first: date
    days: int
    everyone: tuple[WorkDays, ...]
    """All who work: a slot is one in which any of them does."""

    @cached_property
    def starts(self) -> tuple[int, ...]:
        """When each slot begins. [min from midnight of the first day]"""
        found: list[int] = []
        for number in range(self.days):
            day = self.first + timedelta(days=number)
            worked = {minute for who in self.everyone for minute in _minutes(who.of(day))}
            found += [number * 1440 + minute for minute in sorted(worked)]
        return tuple(found)

    @property
    def slots(self) -> int:
        """How many slots there are."""
        return len(self.starts)

    def truth(self, who: WorkDays) -> tuple[bool, ...]:
        """For each slot whether somebody works in it."""
        of_day: dict[int, frozenset[int]] = {}
        found = []
        for start in self.starts:
            number, minute = divmod(start, 1440)
            if number not in of_day:
                day = self.first + timedelta(days=number)
                of_day[number] = frozenset(_minutes(who.of(day)))
            found.append(minute in of_day[number])
        return tuple(found)

    def begin(self, slot: int) -> datetime:
        """When a slot begins; beyond the last one, when the last one ends."""
        if slot >= self.slots:
            return self.at(self.starts[-1] + SLOT_MIN)
        return self.at(self.starts[slot])

    def end(self, moment: int) -> datetime:
        """When work that ends at a moment is done: the end of the slot before it."""
        return self.at(self.starts[moment - 1] + SLOT_MIN) if moment else self.begin(0)

    def at(self, minutes: int) -> datetime:
        """Minutes from midnight of the first day as a time."""
        return datetime.combine(self.first, time()) + timedelta(minutes=minutes)

    def minutes(self, when: datetime) -> int:
        """The other way round. [min]"""
        return round((when - datetime.combine(self.first, time())).total_seconds() / 60)

    def slot_from(self, when: datetime) -> int:
        """The first slot that begins at a time or after it; the number of slots where none does."""
        return bisect_left(self.starts, self.minutes(when))

    def moment_of(self, when: datetime) -> int:
        """The moment by which all that is worked before a time is done."""
        return bisect_left(self.starts, self.minutes(when))


def _minutes(stretches: Stretches) -> Iterator[int]:
    for begin, end in stretches:
        yield from range(begin, end, SLOT_MIN)


def days_of(texts: Sequence[str]) -> frozenset[date]:
    """Days as the job writes them."""
    return frozenset(map(date.fromisoformat, texts))


def worked_hours(who: WorkDays, days: Mapping[date, object]) -> float:
    """Hours of so many days together. [h]"""
    return sum(end - begin for day in days for begin, end in who.of(day)) / 60
