"""From operations to the numbers of the engine: slots, crews, waits; and what came back as times."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta
from functools import cached_property
from math import ceil
from typing import Final

from innerleaf.cost.model import Order
from innerleaf.job.model import Job
from innerleaf.job.schema_programme import WORKING_HOURS, Programme
from innerleaf.practice.drying import Drying, load_drying
from innerleaf.practice.rates import FirmRates
from innerleaf.programme import steps
from innerleaf.programme.clock import SLOT_MIN, Clock, WorkDays, days_of
from innerleaf.programme.crews import Team, share_rooms, teams_of
from innerleaf.programme.drying import Air, Waiting, waiting
from innerleaf.programme.engine import network as engine
from innerleaf.programme.model import OURS, Operation
from innerleaf.programme.operations import Network
from innerleaf.programme.progress import Past, Progress

FINISH_WEIGHT: Final = 100  # of one slot later, against returns to rooms
_SPARE_DAYS: Final = 21  # of the calendar beyond what the work is reckoned to need
_PATIENCE_H: Final = 2  # a crew away from a room for no longer has not left it


@dataclass(frozen=True)
class Built:
    """A programme in slots, ready to be scheduled."""

    job: Job
    said: Programme
    work: Network
    rates: FirmRates
    order: Order | None
    progress: Progress | None = None
    times: float = 1.0  # of the hours that everything of ours takes
    late_deliveries: int = 0  # working days later than suppliers say
    spans: int = 1  # of time to find room in
    least_wait_min: int = 0  # between coats, by a rule of the practice

    @cached_property
    def drying(self) -> Drying:
        """How coats dry; those that dry by the air wait as long as the practice wants at least."""
        known = load_drying()
        least = self.least_wait_min / 60
        coats = {
            name: replace(coat, least_h=max(coat.least_h, least)) if coat.thickness_mm else coat
            for name, coat in known.coats.items()
        }
        return replace(known, coats=coats)

    @cached_property
    def teams(self) -> Mapping[str, Team]:
        """Everybody who works, by id."""
        return {team.id: team for team in teams_of(self.said, self.rates)}

    @cached_property
    def team_of(self) -> Mapping[str, str]:
        """Who does each operation."""
        ours = share_rooms(self.work.operations, self.teams.values())
        return {one.id: ours.get(one.id, one.id.rpartition("/")[2]) for one in self.work.operations}

    @cached_property
    def first(self) -> date:
        """The first day of all."""
        days = [date.fromisoformat(self.said.start)]
        days += [date.fromisoformat(o.since) for o in self.said.others if o.since is not None]
        days += [past.started.date() for past in self.past.values()]
        return min(days)

    @property
    def past(self) -> Mapping[str, Past]:
        """What was begun, by operation."""
        return self.progress.past if self.progress else {}

    @cached_property
    def durations(self) -> tuple[int, ...]:
        """Slots of each operation, rounded so that what a crew does in a room comes out right."""
        owed: dict[tuple[str, str], float] = {}
        found = []
        for one in self.work.operations:
            team = self.teams[self.team_of[one.id]]
            if one.kind != OURS:
                found.append(max(1, ceil(one.minutes / SLOT_MIN)))
                continue
            minutes = (one.hours.total + one.other_hours) * self.times * 60 / 100 / team.people
            key = (one.room, team.id)
            exact = minutes / SLOT_MIN + owed.get(key, 0.0)
            slots = max(1, round(exact))
            owed[key] = exact - slots
            found.append(slots)
        return tuple(found)

    @cached_property
    def clock(self) -> Clock:
        """Slots for as many days as the work can need; ``spans`` times as many where that was too little."""
        of_team: dict[str, float] = {}
        of_room: dict[str, float] = {}
        plant = {item.id: item.count for item in self.said.plant}
        for one, slots in zip(self.work.operations, self.durations, strict=True):
            team = self.teams[self.team_of[one.id]]
            weeks = (
                slots * SLOT_MIN / sum(end - begin for begin, end in team.days.hours) / len(team.days.days)
            )
            of_team[team.id] = of_team.get(team.id, 0.0) + weeks / team.count
            for item in one.plant:
                of_team[item] = of_team.get(item, 0.0) + weeks / plant[item]
            of_room[one.room] = of_room.get(one.room, 0.0) + weeks
        weeks = 1.5 * max(of_team.values(), default=0.0) + max(of_room.values(), default=0.0)
        last = max([self.first, *self._days_named()])
        days = ceil(weeks * 7) + len(self.said.days_off) + self._longest_wait_days() + _SPARE_DAYS
        everyone = tuple(dict.fromkeys(team.days for team in self.teams.values()))
        return Clock(self.first, (last - self.first).days + days * self.spans, everyone)

    def _days_named(self) -> Iterator[date]:
        texts = [self.said.start, *(a.since for a in self.said.access), *(d.on for d in self.said.deliveries)]
        texts += [other.until for other in self.said.others if other.until is not None]
        texts += [crew.since for crew in self.said.crews if crew.since is not None]
        yield from map(date.fromisoformat, texts)
        if self.progress:
            yield self.progress.today
        for one in self.work.operations:
            yield self._brought_from(one)

    def _longest_wait_days(self) -> int:
        """Days that one room may wait for its coats in the worst air named."""
        airs = self.airs("")
        hours = max((max(waiting(self.drying, coat, airs).hours) for coat in self.drying.coats), default=0.0)
        return ceil(hours / 24) * 6

    def airs(self, storey: str) -> tuple[Air, ...]:
        """The air of a storey, period by period; before the first named, and without any, the usual."""
        usual = self.drying.air
        found = [Air(since=0, temperature=usual.usual_c, humidity=usual.usual_rh, basis="assumed")]
        named = [air for air in self.said.air if not air.storey or not storey or air.storey == storey]
        for air in sorted(named, key=lambda air: (air.since, air.storey != "")):
            since = (date.fromisoformat(air.since) - self.first).days * 1440
            made = Air(
                since=max(0, since), temperature=air.temperature, humidity=air.humidity, basis=air.basis
            )
            if made.since <= found[-1].since:
                found.pop()
            found.append(made)
        return tuple(replace(air, since=0) if number == 0 else air for number, air in enumerate(found))

    def waits(self, coat: str, storey: str) -> Waiting:
        """How a coat dries on a storey."""
        return waiting(self.drying, coat, self.airs(storey))

    def network(self) -> engine.Network:
        """Everything as the engine takes it; activities in the order of the operations."""
        clock = self.clock
        number = {one.id: at for at, one in enumerate(self.work.operations)}
        calendars = _Tables(clock)
        activities = tuple(
            self._activity(one, slots, calendars)
            for one, slots in zip(self.work.operations, self.durations, strict=True)
        )
        dries = _Drying(self)
        arcs = []
        for link in self.work.links:
            before, after = number[link.before], number[link.after]
            if activities[after].fixed is not None and link.after not in self.past:
                continue  # others on fixed days: what they wait for is due before them
            storey = self.work.operations[before].storey
            table = dries.number(link.coat, storey) if link.coat else None
            arcs.append(engine.Arc(before, after, drying=table))
        return engine.Network(
            activities=activities,
            resources=tuple(self._resources()),
            arcs=tuple(arcs),
            calendars=calendars.all(),
            drying=dries.all(),
            horizon=clock.slots,
            patience=_PATIENCE_H * 60 // SLOT_MIN,
        )

    def objective(self) -> engine.Objective:
        """Days against returns, as the job weighs them."""
        of_day = sum(end - begin for begin, end in self.usual_days.hours) / SLOT_MIN
        return engine.Objective(
            finish=FINISH_WEIGHT, returns=round(FINISH_WEIGHT * of_day * self.said.a_return)
        )

    def _resources(self) -> Iterator[engine.Resource]:
        for team in self.teams.values():
            yield engine.Resource(name=team.id, capacity=team.count)
        for item in self.said.plant:
            yield engine.Resource(name=item.id, capacity=item.count)

    @cached_property
    def _resource(self) -> Mapping[str, int]:
        names = (*self.teams, *(item.id for item in self.said.plant))
        return {name: number for number, name in enumerate(names)}

    def _activity(self, one: Operation, slots: int, calendars: _Tables) -> engine.Activity:
        team = self.teams[self.team_of[one.id]]
        demand = tuple((self._resource[name], 1) for name in (team.id, *one.plant))
        place, crew = (one.room, team.id) if one.kind == OURS else ("", "")
        past = self.past.get(one.id)
        if past is not None:
            begin = min(self.clock.slot_from(past.started), self.clock.slots - 1)
            length, still = self._length_of_past(one, past, begin, slots)
            return engine.Activity(
                name=one.id,
                duration=length,
                demand=demand if still else (),
                fixed=begin,
                place=place,
                crew=crew,
            )
        fixed = self._fixed_days(one)
        if fixed:
            begin, end = fixed
            return engine.Activity(name=one.id, duration=max(1, end - begin), fixed=begin)
        return engine.Activity(
            name=one.id,
            duration=slots,
            demand=demand,
            calendar=calendars.number(team.days),
            release=self.clock.slot_from(self._from(one)),
            due=self._due(one),
            place=place,
            crew=crew,
        )

    def _length_of_past(self, one: Operation, past: Past, begin: int, slots: int) -> tuple[int, bool]:
        """Slots from its start to its end, and whether work is left."""
        if past.done is not None:
            return max(1, self.clock.moment_of(past.done) - begin), False
        assert self.progress is not None
        now = self.clock.slot_from(datetime.combine(self.progress.today, time()))
        worked = max(0, now - begin)
        left = ceil(slots * past.left) if past.left is not None else max(1, slots - worked)
        return worked + left, True

    def _fixed_days(self, one: Operation) -> tuple[int, int] | None:
        other = next((each for each in self.said.others if one.id.endswith(f"/{each.id}")), None)
        if other is None or other.since is None or other.until is None:
            return None
        begin = self.clock.slot_from(datetime.combine(date.fromisoformat(other.since), time()))
        after = date.fromisoformat(other.until) + timedelta(days=1)
        return begin, self.clock.moment_of(datetime.combine(after, time()))

    def _from(self, one: Operation) -> datetime:
        """The earliest time an operation may start at."""
        days = [date.fromisoformat(self.said.start), self._brought_from(one)]
        days += [
            date.fromisoformat(access.since)
            for access in self.said.access
            if one.room in access.rooms or one.storey in access.storeys
        ]
        if self.progress:
            days.append(self.progress.today)
        return datetime.combine(max(days), time())

    def _brought_from(self, one: Operation) -> date:
        """The first day that the material of an operation can be there."""
        phase = {steps.BRING_FRAME: "frame", steps.BRING_BOARDS: "boards"}.get(one.step, "")
        start = date.fromisoformat(self.said.start)
        if not phase or one.kind != OURS:
            return start
        agreed = self.agreed_day(one.storey, phase)
        if agreed is not None:
            return agreed
        ordered = self.job.buying.order_date
        if not ordered or self.order is None:
            return start
        leads = [
            delivery.order_by_days
            for delivery in self.order.deliveries
            if delivery.storey in ("", one.storey) and delivery.phase in ("", phase)
        ]
        wait = max(leads, default=0) + self.late_deliveries
        return working_day_after(date.fromisoformat(ordered), wait, self.usual_days)

    def agreed_day(self, storey: str, phase: str) -> date | None:
        """The day agreed for a delivery; None where none is. The latest, where several are."""
        agreed = [
            date.fromisoformat(day.on)
            for day in self.said.deliveries
            if (not day.storey or not storey or day.storey == storey)
            and (day.phase is None or not phase or day.phase == phase)
        ]
        return max(agreed, default=None)

    @property
    def usual_days(self) -> WorkDays:
        """Working days of the programme, without what is said of single crews."""
        said = self.said
        return WorkDays(hours=said.hours or WORKING_HOURS, days=said.days, off=days_of(said.days_off))

    def _due(self, one: Operation) -> int | None:
        """The moment an operation has to be done by: others come, or the client's day."""
        moments = []
        for other in self.said.others:
            name = f"{one.room}/{other.id}"
            if other.since and any(link.before == one.id and link.after == name for link in self.work.links):
                begin = datetime.combine(date.fromisoformat(other.since), time())
                moments.append(self.clock.moment_of(begin))
        if self.said.finish_by and not any(link.before == one.id for link in self.work.links):
            after = date.fromisoformat(self.said.finish_by) + timedelta(days=1)
            moments.append(self.clock.moment_of(datetime.combine(after, time())))
        return min(moments, default=None)


def working_day_after(day: date, number: int, who: WorkDays) -> date:
    """So many working days on; ``who`` works on some days of the week without end."""
    while number > 0:
        day += timedelta(days=1)
        number -= bool(who.of(day))
    return day


def working_day_before(day: date, number: int, who: WorkDays) -> date:
    """So many working days back."""
    while number > 0:
        day -= timedelta(days=1)
        number -= bool(who.of(day))
    return day


class _Tables:
    """Calendars by number, each once; those that work in every slot need none."""

    def __init__(self, clock: Clock) -> None:
        self.clock, self.found = clock, dict[WorkDays, tuple[bool, ...]]()

    def number(self, days: WorkDays) -> int | None:
        if days not in self.found:
            self.found[days] = self.clock.truth(days)
        if all(self.found[days]):
            return None
        return self._listed().index(days)

    def _listed(self) -> list[WorkDays]:
        return [days for days, truth in self.found.items() if not all(truth)]

    def all(self) -> tuple[tuple[bool, ...], ...]:
        return tuple(self.found[days] for days in self._listed())


class _Drying:
    """Tables of drying by coat and storey, each once."""

    def __init__(self, built: Built) -> None:
        self.built, self.numbers = built, dict[tuple[str, tuple[Air, ...]], int]()
        self.tables: list[tuple[int, ...]] = []

    def number(self, coat: str, storey: str) -> int:
        key = (coat, self.built.airs(storey))
        if key not in self.numbers:
            self.numbers[key] = len(self.tables)
            self.tables.append(self._table(self.built.waits(coat, storey)))
        return self.numbers[key]

    def _table(self, wait: Waiting) -> tuple[int, ...]:
        clock = self.built.clock
        dry = [wait.ready(clock.minutes(clock.end(moment))) for moment in range(clock.slots + 1)]
        found, slot = [], 0
        for moment, minutes in enumerate(dry):
            slot = max(slot, moment)
            while slot < clock.slots and clock.starts[slot] < minutes:
                slot += 1
            found.append(slot)
        return tuple(found)

    def all(self) -> tuple[tuple[int, ...], ...]:
        return tuple(self.tables)
