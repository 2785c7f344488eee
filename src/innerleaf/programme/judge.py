"""What is to be seen to in a programme: air, dust, days missed, stacks of boards, what was done too soon."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from datetime import timedelta

from innerleaf.programme import steps
from innerleaf.programme.answer import DONE, PLANNED, Scheduled, stamp
from innerleaf.programme.build import Built
from innerleaf.programme.drying import Air, faults_of_air, hours_to_dry
from innerleaf.programme.model import HOLD, OURS, Operation, ProgrammeFinding

_COMPARED_C, _COMPARED_RH = 20.0, 50.0  # air that longer waits are told against


def findings_of(found: Scheduled) -> tuple[ProgrammeFinding, ...]:
    """Everything, by code and in order of time."""
    order = sorted(range(len(found.operations)), key=lambda n: (found.answer.starts[n], n))
    made = [
        *_air(found, order),
        *_dust(found, order),
        *_missed(found, order),
        *_heavy(found.built),
        *_stacks(found.built),
        *_past(found, order),
    ]
    return tuple(sorted(made, key=lambda one: one.code))


def _air(found: Scheduled, order: Sequence[int]) -> Iterator[ProgrammeFinding]:
    """Air too cold or too damp while a coat is put on or dries: said once for each period and storey."""
    built = found.built
    hit: dict[tuple[str, Air, bool], list[int]] = {}
    for number in order:
        one = found.operations[number]
        coat = steps.coat_kind(one.step)
        dry = found.dry_at(number)
        if dry is None or not built.drying.coats[coat].thickness_mm or found.state(number) == DONE:
            continue
        begin, end = (built.clock.minutes(when) for when in (found.begin(number), dry))
        airs = built.airs(one.storey)
        for air, after in zip(airs, (*airs[1:], None), strict=True):
            if air.since < end and (after is None or after.since > begin):
                for cold in (True, False):
                    if _wrong(built, air, cold=cold):
                        hit.setdefault((one.storey, air, cold), []).append(number)
    for (storey, air, cold), numbers in hit.items():
        yield _of_air(found, storey, air, numbers, cold=cold)


def _wrong(built: Built, air: Air, *, cold: bool) -> bool:
    limits = built.drying.air
    return air.temperature < limits.least_c if cold else air.humidity > limits.most_rh


def _of_air(
    found: Scheduled, storey: str, air: Air, numbers: Sequence[int], *, cold: bool
) -> ProgrammeFinding:
    built = found.built
    coat = built.drying.coats["coat"]
    here = hours_to_dry(built.drying, coat, air.temperature, air.humidity)
    usual = hours_to_dry(built.drying, coat, _COMPARED_C, _COMPARED_RH)
    rooms = list(dict.fromkeys(_room(found, found.operations[number]) for number in numbers))
    more = f" and {len(rooms) - 4} more rooms" if len(rooms) > 4 else ""
    fault = next(words for words in faults_of_air(built.drying, air) if ("°C" in words) == cold)
    since = built.clock.at(air.since).date()
    return ProgrammeFinding(
        code="P101" if cold else "P102",
        room=storey,
        operation=f"{len(numbers)} coats",
        text=f"air {air.basis} from {since}: {fault}; a coat dries in {here:.0f} h, in {usual:.0f} h at"
        f" {_COMPARED_C:g} °C and {_COMPARED_RH:g} % ({', '.join(rooms[:4])}{more})",
        remedy="heat two days before, through and until dry, without hot air on the boards; setting compound"
        if cold
        else "dry the air and change it, wet trades first; setting compound",
    )


def _room(found: Scheduled, one: Operation) -> str:
    return found.built.work.rooms[one.room].name


def _dust(found: Scheduled, order: Sequence[int]) -> Iterator[ProgrammeFinding]:
    """Sanding while a coat is wet in a room that is open to it."""
    for group in found.built.said.open_to:
        inside = [number for number in order if found.operations[number].room in group]
        sanding = [n for n in inside if found.operations[n].step == steps.SANDING and _ahead(found, n)]
        for number in sanding:
            for wet in inside:
                one, other = found.operations[number], found.operations[wet]
                dry = found.dry_at(wet)
                if dry is None or other.room == one.room or other.step.startswith("fill "):
                    continue
                if found.begin(number) < dry and found.begin(wet) < found.end(number):
                    yield ProgrammeFinding(
                        code="P103",
                        room=_room(found, one),
                        operation=one.id,
                        text=f"dust of sanding at {stamp(found.begin(number))} beside wet {other.step} in"
                        f" {_room(found, other)}, dry at {stamp(dry)}, and no door between",
                        remedy="close the opening with film, or sand with extraction another day",
                    )


def _ahead(found: Scheduled, number: int) -> bool:
    return found.state(number) != DONE


def _missed(found: Scheduled, order: Sequence[int]) -> Iterator[ProgrammeFinding]:
    """Days of others, or of the client, that are not met."""
    for number in order:
        due = found.network.activities[number].due
        if due is None or found.ends[number] <= due:
            continue
        one = found.operations[number]
        wanted = found.built.clock.end(due)
        late = (found.end(number).date() - wanted.date()).days
        yield ProgrammeFinding(
            code="P104",
            room=_room(found, one),
            operation=one.id,
            text=f"done at {stamp(found.end(number))}, wanted by {stamp(wanted)}: {late} days late",
            remedy="more people, overtime, an earlier start, or another day",
        )


def _heavy(built: Built) -> Iterator[ProgrammeFinding]:
    """Boards too heavy for one person in the hands of a crew of one."""
    rooms: dict[str, list[str]] = {}
    for one in built.work.operations:
        if one.heavy and one.kind == OURS and built.teams[built.team_of[one.id]].people < 2:
            rooms.setdefault(built.team_of[one.id], []).append(built.work.rooms[one.room].name)
    for crew, names in rooms.items():
        yield ProgrammeFinding(
            code="P105",
            room=", ".join(dict.fromkeys(names)),
            operation=crew,
            text="pieces of board too heavy for one person, and the crew is one person",
            remedy="a second person or a board lift",
        )


def _stacks(built: Built) -> Iterator[ProgrammeFinding]:
    """More boards brought into a room at once than its floor bears in one place."""
    for one in built.work.operations:
        lift = built.job.buying.lifts.get(one.storey)
        if one.step != steps.BRING_BOARDS or lift is None or not lift.floor_kg:
            continue
        if one.mass_kg > lift.floor_kg:
            places = -(-one.mass_kg // lift.floor_kg)
            yield ProgrammeFinding(
                code="P106",
                room=built.work.rooms[one.room].name,
                operation=one.id,
                text=f"{one.mass_kg:.0f} kg of boards, the floor bears {lift.floor_kg:g} kg in one place",
                remedy=f"set them down in {places:.0f} places on bearers near walls, or bring some later",
            )


def _past(found: Scheduled, order: Sequence[int]) -> Iterator[ProgrammeFinding]:
    """What was begun before its hold point was passed, or on a coat that was not dry."""
    begun = {one.id: number for number, one in enumerate(found.operations) if found.state(number) != PLANNED}
    before: Mapping[str, list[str]] = _before(found.built)
    for number in order:
        one = found.operations[number]
        if one.id not in begun:
            continue
        for name in before.get(one.id, ()):
            earlier = found.place[name]
            other = found.operations[earlier]
            if other.kind == HOLD and (name not in begun or found.end(earlier) > found.begin(number)):
                yield ProgrammeFinding(
                    code="P107",
                    room=_room(found, one),
                    operation=one.id,
                    text=f"begun at {stamp(found.begin(number))}, {other.step} not passed by {other.who}",
                    remedy="open it up for the check, or have it released by name with a reason",
                )
            dry = found.dry_at(earlier)
            if name in begun and dry is not None and found.begin(number) + timedelta(minutes=1) < dry:
                yield ProgrammeFinding(
                    code="P108",
                    room=_room(found, one),
                    operation=one.id,
                    text=f"begun at {stamp(found.begin(number))}, {other.step} not dry before {stamp(dry)}",
                    remedy="look for cracks and shrinkage under the lamp before the next coat",
                )


def _before(built: Built) -> Mapping[str, list[str]]:
    found: dict[str, list[str]] = {}
    for link in built.work.links:
        found.setdefault(link.after, []).append(link.before)
    return found
