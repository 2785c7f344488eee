"""Who works when: crews of ours, other trades, those who release; and which crew takes which room."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

from innerleaf.job.check_programme import people_of
from innerleaf.job.schema_programme import WORKING_HOURS, CrewFields, Overtime, Programme
from innerleaf.practice.rates import FITTER, HELPER, JOINTER, FirmRates
from innerleaf.programme import steps
from innerleaf.programme.clock import WorkDays, days_of
from innerleaf.programme.model import HOLD, OURS, Operation

USUAL_DAYS = ("monday", "tuesday", "wednesday", "thursday", "friday")


@dataclass(frozen=True, slots=True, kw_only=True)
class Team:
    """A crew of ours (so many alike), a trade, somebody who releases, or plant, as the schedule sees it.

    ``people`` is 0 where others do the work; ``usual`` are its working days without overtime.
    """

    id: str
    kind: str
    count: int
    people: int
    skills: tuple[str, ...]
    storeys: tuple[str, ...]
    days: WorkDays
    usual: WorkDays


def crews_of(said: Programme, rates: FirmRates) -> tuple[CrewFields, ...]:
    """The crews of the job; where it names none, one for frames and boards, one for joints, by the rates."""
    if said.crews:
        return said.crews
    fitters, helpers, jointers = (max(1, round(rates.crew[who].people)) for who in (FITTER, HELPER, JOINTER))
    framing = {"id": "frame", "skills": ["framing", "boarding"], "fitters": fitters, "helpers": helpers}
    jointing = {"id": "joints", "skills": ["jointing", "painting"], "jointers": jointers}
    return tuple(map(CrewFields.model_validate, (framing, jointing)))


def teams_of(said: Programme, rates: FirmRates) -> tuple[Team, ...]:
    """Everybody who has a place in the schedule, and plant, crews of ours first."""
    usual = WorkDays(hours=said.hours or WORKING_HOURS, days=said.days, off=days_of(said.days_off))
    found = []
    for crew in crews_of(said, rates):
        days = replace(
            usual,
            hours=crew.hours or usual.hours,
            days=crew.days or usual.days,
            off=usual.off | days_of(crew.days_off),
            since=_day(crew.since),
            until=_day(crew.until),
        )
        found.append(
            Team(
                id=crew.id,
                kind=OURS,
                count=crew.count,
                people=people_of(crew),
                skills=crew.skills,
                storeys=crew.storeys,
                days=_longer(days, said.overtime, crew.id),
                usual=days,
            )
        )
    found += [_others(other.id, other.at_once, other.days, usual) for other in said.others]
    found += [_others(hold.id, 1, hold.days, usual) for hold in said.hold_points]
    found.append(_others(CLOSE_UP_ID, 1, None, usual))
    if said.priming is not None and said.priming.by:
        found.append(_others(steps.PRIME, 1, None, usual))
    return tuple(found)


CLOSE_UP_ID = "close-up"


def _others(name: str, count: int, weekdays: tuple[str, ...] | None, usual: WorkDays) -> Team:
    days = replace(usual, days=weekdays or usual.days)
    return Team(id=name, kind=HOLD, count=count, people=0, skills=(), storeys=(), days=days, usual=days)


def _longer(days: WorkDays, overtime: Overtime | None, crew: str) -> WorkDays:
    if overtime is None or (overtime.crews and crew not in overtime.crews):
        return days
    return replace(days, longer=(round(overtime.hours * 6) * 10, _day(overtime.since), _day(overtime.until)))


def _day(text: str | None) -> date | None:
    return date.fromisoformat(text) if text else None


def share_rooms(operations: Sequence[Operation], teams: Iterable[Team]) -> Mapping[str, str]:
    """Crew of every operation of ours: room by room to whom has least to do for its size.

    Boards go to the crew that set the frames if it can; a crew that works on other storeys only is left out.
    """
    ours = [team for team in teams if team.kind == OURS]
    load = {team.id: 0.0 for team in ours}
    size = {team.id: team.count * team.people for team in ours}
    taken: dict[tuple[str, str], str] = {}
    found: dict[str, str] = {}
    by_room: dict[tuple[str, str], list[Operation]] = {}
    for one in operations:
        if one.kind == OURS:
            by_room.setdefault((one.room, one.skill), []).append(one)
    for (room, skill), work in by_room.items():
        skilled = [team for team in ours if skill in team.skills]
        able = [team for team in skilled if not team.storeys or work[0].storey in team.storeys] or skilled
        before = taken.get((room, steps.FRAMING)) if skill == steps.BOARDING else None
        hours = sum(one.hours.total + one.other_hours for one in work)
        if before and any(team.id == before for team in able):
            chosen = before
        else:
            chosen = min(able, key=lambda team: ((load[team.id] + hours) / size[team.id], team.id)).id
        load[chosen] += hours
        taken[room, skill] = chosen
        found |= {one.id: chosen for one in work}
    return found
