"""A schedule as people read it: times of the clock, numbered crews, hours, drying, call-offs."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import cached_property

from innerleaf.programme import steps
from innerleaf.programme.build import Built, working_day_before
from innerleaf.programme.clock import SLOT_MIN
from innerleaf.programme.engine.measures import end_of, worked_slots
from innerleaf.programme.engine.network import Answer, Network
from innerleaf.programme.model import OURS, CallOff, CrewWork, Operation, Timed

PLANNED, STARTED, DONE = "planned", "started", "done"


@dataclass(frozen=True)
class Scheduled:
    """A programme with the slot that each operation starts at."""

    built: Built
    network: Network
    answer: Answer

    @property
    def operations(self) -> tuple[Operation, ...]:
        """In the order of the slots given."""
        return self.built.work.operations

    @cached_property
    def ends(self) -> tuple[int, ...]:
        """Moment at which each operation ends."""
        work = zip(self.network.activities, self.answer.starts, strict=True)
        return tuple(end_of(self.network, each, start) for each, start in work)

    @cached_property
    def place(self) -> Mapping[str, int]:
        """Number of each operation."""
        return {one.id: number for number, one in enumerate(self.operations)}

    def begin(self, number: int) -> datetime:
        """When an operation begins."""
        return self.built.clock.begin(self.answer.starts[number])

    def end(self, number: int) -> datetime:
        """When an operation ends."""
        return self.built.clock.end(self.ends[number])

    def dry_at(self, number: int) -> datetime | None:
        """When the coat of an operation is dry; None where it puts on none."""
        one = self.operations[number]
        coat = steps.coat_kind(one.step)
        if not coat:
            return None
        clock = self.built.clock
        ready = self.built.waits(coat, one.storey).ready(clock.minutes(self.end(number)))
        return clock.at(ready)

    def state(self, number: int) -> str:
        """Planned, started or done."""
        past = self.built.past.get(self.operations[number].id)
        return PLANNED if past is None else STARTED if past.done is None else DONE

    @cached_property
    def crew(self) -> tuple[str, ...]:
        """Who does each operation, alike crews told apart by their number."""
        names = [self.built.team_of[one.id] for one in self.operations]
        free: dict[str, list[tuple[int, str]]] = {}  # by team: end of the last work and its room, by crew
        for number in sorted(range(len(names)), key=lambda n: (self.answer.starts[n], self.ends[n], n)):
            team = self.built.teams[names[number]]
            if team.kind != OURS or team.count == 1:
                continue
            crews = free.setdefault(team.id, [(0, "")] * team.count)
            room, start = self.operations[number].room, self.answer.starts[number]
            able = [k for k, (until, _) in enumerate(crews) if until <= start] or list(range(team.count))
            chosen = min(able, key=lambda k: (crews[k][1] != room, -crews[k][0], k))
            crews[chosen] = (max(self.ends[number], crews[chosen][0]), room)
            names[number] = f"{team.id}-{chosen + 1}"
        return tuple(names)

    def people(self, number: int) -> int:
        """How many of ours work on an operation."""
        return self.built.teams[self.built.team_of[self.operations[number].id]].people

    def slots(self, number: int) -> Sequence[int]:
        """Slots in which an operation is worked on."""
        return worked_slots(self.network, self.network.activities[number], self.answer.starts[number])


def timed_operations(found: Scheduled) -> tuple[Timed, ...]:
    """All operations in order of time."""
    after: dict[str, list[str]] = {}
    for link in found.built.work.links:
        after.setdefault(link.after, []).append(link.before)
    made = []
    for number, one in enumerate(found.operations):
        dry = found.dry_at(number)
        made.append(
            Timed(
                id=one.id,
                step=one.step,
                kind=one.kind,
                room=one.room,
                room_name=found.built.work.rooms[one.room].name,
                storey=one.storey,
                wall=one.wall,
                crew=found.crew[number] if one.kind == OURS else one.who,
                people=found.people(number),
                hours=(one.hours.total + one.other_hours) / 100,
                start=stamp(found.begin(number)),
                end=stamp(found.end(number)),
                dry_at=stamp(dry) if dry else "",
                state=found.state(number),
                after=tuple(after.get(one.id, ())),
            )
        )
    return tuple(sorted(made, key=lambda one: (one.start, one.end, found.place[one.id])))


def stamp(when: datetime) -> str:
    """A time as it stands in plan.json: 2026-03-02 07:00."""
    return when.strftime("%Y-%m-%d %H:%M")


def crew_work(found: Scheduled) -> tuple[CrewWork, ...]:
    """What every crew of ours does."""
    built, made = found.built, []
    for team in built.teams.values():
        if team.kind != OURS:
            continue
        usual, there = built.clock.truth(team.usual), built.clock.truth(team.days)
        names = [team.id] if team.count == 1 else [f"{team.id}-{k + 1}" for k in range(team.count)]
        for name in names:
            mine = [number for number, crew in enumerate(found.crew) if crew == name]
            slots = sorted({slot for number in mine for slot in found.slots(number)})
            days = {built.clock.begin(slot).date() for slot in slots}
            span = sum(there[slots[0] : slots[-1] + 1]) if slots else 0
            over = sum(not usual[slot] for slot in slots)
            hours = sum(found.operations[n].hours.total + found.operations[n].other_hours for n in mine)
            made.append(
                CrewWork(
                    crew=name,
                    skills=", ".join(team.skills),
                    people=team.people,
                    operations=len(mine),
                    hours=hours / 100,
                    days=len(days),
                    busy=round(len(slots) / span, 3) if span else 0.0,
                    overtime_hours=round(over * SLOT_MIN / 60 * team.people, 2),
                )
            )
    return tuple(made)


def call_offs(found: Scheduled) -> tuple[CallOff, ...]:
    """Every delivery on the day that the work needs it, or on the day agreed."""
    built, made = found.built, []
    phases = {"frame": (steps.BRING_FRAME,), "boards": (steps.BRING_BOARDS,)}
    for delivery in built.order.deliveries if built.order else ():
        wanted = phases.get(delivery.phase, (steps.BRING_FRAME, steps.BRING_BOARDS))
        uses = [
            number
            for number, one in enumerate(found.operations)
            if one.step in wanted and one.kind == OURS and delivery.storey in ("", one.storey)
        ]
        if not uses:
            continue
        first = min(uses, key=lambda number: (found.answer.starts[number], number))
        agreed = built.agreed_day(delivery.storey, delivery.phase)
        on = agreed or found.begin(first).date()
        made.append(
            CallOff(
                delivery=delivery.id,
                supplier=delivery.supplier,
                storey=delivery.storey,
                phase=delivery.phase,
                mass_kg=delivery.mass_kg,
                places=delivery.places,
                on=on.isoformat(),
                agreed=agreed is not None,
                lead_days=delivery.order_by_days,
                call_on=working_day_before(on, delivery.order_by_days, built.usual_days).isoformat(),
                first_used_by=found.operations[first].id,
            )
        )
    return tuple(sorted(made, key=lambda one: (one.call_on, one.on, one.delivery)))
