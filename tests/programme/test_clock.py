"""Slots of work and the time of the clock, for any calendar."""

from __future__ import annotations

from datetime import date, datetime, timedelta

from hypothesis import given, settings
from hypothesis import strategies as st

from innerleaf.programme.build import working_day_after, working_day_before
from innerleaf.programme.clock import WEEKDAYS, Clock, WorkDays

MONDAY = date(2026, 3, 2)
HOURS = st.sampled_from([((420, 720), (750, 930)), ((1320, 1440),), ((0, 300),), ((480, 1020),)])
CALENDARS = st.builds(
    WorkDays,
    hours=HOURS,
    days=st.sets(st.sampled_from(WEEKDAYS), min_size=1).map(lambda days: tuple(sorted(days))),
    off=st.frozensets(st.integers(0, 20).map(lambda n: MONDAY + timedelta(days=n)), max_size=6),
)


def test_a_week_of_eight_hours_has_240_slots_and_a_holiday_none() -> None:
    days = WorkDays(hours=((420, 720), (750, 930)), days=WEEKDAYS[:5], off=frozenset({date(2026, 3, 4)}))
    clock = Clock(MONDAY, 7, (days,))

    assert clock.slots == 4 * 48
    assert clock.begin(0) == datetime(2026, 3, 2, 7)
    assert clock.end(30) == datetime(2026, 3, 2, 12)
    assert clock.begin(30) == datetime(2026, 3, 2, 12, 30)
    assert clock.begin(96) == datetime(2026, 3, 5, 7)  # Tuesday is over, Wednesday off
    assert clock.slot_from(datetime(2026, 3, 4, 9)) == 96
    assert clock.moment_of(datetime(2026, 3, 4, 9)) == 96


def test_overtime_makes_days_longer_only_while_it_lasts() -> None:
    usual = WorkDays(hours=((420, 930),), days=WEEKDAYS[:5])
    longer = WorkDays(hours=((420, 930),), days=WEEKDAYS[:5], longer=(60, date(2026, 3, 3), date(2026, 3, 3)))
    clock = Clock(MONDAY, 3, (usual, longer))

    assert sum(clock.truth(longer)) - sum(clock.truth(usual)) == 6
    assert clock.slots == sum(clock.truth(longer))


@settings(max_examples=40, deadline=None)
@given(st.lists(CALENDARS, min_size=1, max_size=3))
def test_nobody_works_on_a_day_off_or_at_night(everyone: list[WorkDays]) -> None:
    clock = Clock(MONDAY, 21, tuple(everyone))
    truths = [clock.truth(who) for who in everyone]

    for slot, start in enumerate(clock.starts):
        when = clock.begin(slot)
        works = [truth[slot] for truth in truths]
        assert any(works)
        for who, there in zip(everyone, works, strict=True):
            inside = any(begin <= start % 1440 < end for begin, end in who.hours)
            on = WEEKDAYS[when.weekday()] in who.days and when.date() not in who.off
            assert there == (inside and on)


@settings(max_examples=40, deadline=None)
@given(CALENDARS, st.integers(0, 40))
def test_times_and_slots_lead_back_to_each_other(days: WorkDays, number: int) -> None:
    clock = Clock(MONDAY, 28, (days,))
    if not clock.slots:
        return
    slot = number % clock.slots

    assert clock.slot_from(clock.begin(slot)) == slot
    assert clock.moment_of(clock.end(slot + 1)) == slot + 1
    assert clock.end(slot + 1) - clock.begin(slot) == timedelta(minutes=10)


@given(CALENDARS, st.integers(0, 12))
def test_working_days_on_and_back(days: WorkDays, number: int) -> None:
    after = working_day_after(MONDAY, number, days)
    between = [MONDAY + timedelta(days=n) for n in range(1, (after - MONDAY).days + 1)]

    assert sum(bool(days.of(day)) for day in between) == number
    assert working_day_before(after, number, days) <= MONDAY or number == 0
