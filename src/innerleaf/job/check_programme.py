"""The section ``programme``: rooms, storeys and crews that there are, days in order."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from innerleaf.job.faults import NOTHING, Report, Said, StandIn, one_of
from innerleaf.job.model import JobRoom
from innerleaf.job.schema import JobFile
from innerleaf.job.schema_programme import OUR_STEPS, WORKING_HOURS, CrewFields, Programme
from innerleaf.reading import Place

_AT: Place = ("programme",)


def check_programme(report: Report, file: JobFile, rooms: Iterable[JobRoom]) -> None:
    """Can a programme be made of what the job says?"""
    said = file.programme
    if said is None or report.is_spoilt(_AT, within=True):
        return
    _working_days(report, said)
    _crews(report, said)
    for number, other in enumerate(said.others):
        _length_of_stay(report, (*_AT, "others", number), other.hours, other.since, other.until)
    if said.finish_by is not None and said.finish_by < said.start:
        report.add((*_AT, "finish_by"), given=said.finish_by, accepted=f"{said.start}, the start, or later")
    _once(report, said)
    if any(map(report.is_unsure, (("rooms",), ("flats",)))):
        return
    known = {room.id for room in rooms}
    storeys = list(dict.fromkeys(room.storey for room in rooms if room.storey))
    _places(report, said, known, storeys)


def _working_days(report: Report, said: Programme) -> None:
    for place, hours in (
        ((*_AT, "hours"), said.hours or WORKING_HOURS),
        *(((*_AT, "crews", n, "hours"), crew.hours or ()) for n, crew in enumerate(said.crews)),
    ):
        if any(after[0] < before[1] for before, after in zip(hours, hours[1:], strict=False)):
            report.add(place, given=Said("stretches that meet or go back"), accepted="stretches in order")
    end = (said.hours or WORKING_HOURS)[-1][1]
    if said.overtime is not None and said.overtime.hours * 60 > 24 * 60 - end:
        left = (24 * 60 - end) / 60
        report.add((*_AT, "overtime", "hours"), given=said.overtime.hours, accepted=f"{left:g} h or less")


def _crews(report: Report, said: Programme) -> None:
    for number, crew in enumerate(said.crews):
        if not people_of(crew):
            accepted = "fitters, helpers, jointers or painters"
            report.add((*_AT, "crews", number), given=Said("a crew of nobody"), accepted=accepted)
        if crew.until is not None and crew.until < (crew.since or said.start):
            accepted = f"{crew.since or said.start} or later"
            report.add((*_AT, "crews", number, "until"), given=crew.until, accepted=accepted)
    have = {skill for crew in said.crews for skill in crew.skills}
    needed = ["framing", "boarding", "jointing"]
    if said.priming is not None and not said.priming.by:
        needed.append("painting")
    for skill in needed if said.crews else []:
        if skill not in have:
            report.add(
                (*_AT, "crews"), given=Said(f"no crew with the skill {skill}"), accepted="one at least"
            )
    known = [crew.id for crew in said.crews]
    for number, name in enumerate(said.overtime.crews if said.overtime else ()):
        if name not in known and not isinstance(name, StandIn):
            accepted = one_of(known, name, what="crews of the programme")
            report.add((*_AT, "overtime", "crews", number), given=name, accepted=accepted)


def people_of(crew: CrewFields) -> int:
    """How many work together in a crew."""
    return crew.fitters + crew.helpers + crew.jointers + crew.painters


def _length_of_stay(
    report: Report, place: Place, hours: float | None, since: str | None, until: str | None
) -> None:
    if (hours is None) == (since is None):
        given = NOTHING if hours is None else Said("both hours and fixed days")
        report.add(place, given=given, accepted="either `hours` in each room, or `since` and `until`")
    elif since is not None and (until is None or until < since):
        given = NOTHING if until is None else Said(until)
        report.add((*place, "until"), given=given, accepted=f"{since} or a later day")


def _once(report: Report, said: Programme) -> None:
    """Crews, trades, hold points and plant share their ids, and none is that of an operation of ours."""
    seen = {"close-up", "prime", *OUR_STEPS}
    for section in ("crews", "others", "hold_points", "plant"):
        for number, one in enumerate(getattr(said, section)):
            if one.id in seen and not isinstance(one.id, StandIn):
                accepted = "an id that nothing else in the programme has"
                report.add((*_AT, section, number, "id"), given=one.id, accepted=accepted)
            seen.add(one.id)


def _places(report: Report, said: Programme, rooms: set[str], storeys: Sequence[str]) -> None:
    """Rooms and storeys that are named."""
    for section in ("crews", "others", "hold_points", "access"):
        for number, one in enumerate(getattr(said, section)):
            place: Place = (*_AT, section, number)
            _known(report, (*place, "storeys"), one.storeys, storeys, "storeys of the rooms")
            _known(report, (*place, "rooms"), getattr(one, "rooms", ()), sorted(rooms), "ids of rooms")
            if section == "access" and not one.storeys and not one.rooms:
                report.add(place, given=NOTHING, accepted="`storeys` or `rooms` that it is about")
    for number, group in enumerate(said.open_to):
        _known(report, (*_AT, "open_to", number), group, sorted(rooms), "ids of rooms")
    for section in ("deliveries", "air"):
        for number, one in enumerate(getattr(said, section)):
            given = [one.storey] if one.storey else []
            _known(report, (*_AT, section, number), given, storeys, "storeys of the rooms", field="storey")


def _known(
    report: Report, place: Place, given: Sequence[str], known: Sequence[str], what: str, *, field: str = ""
) -> None:
    for number, name in enumerate(given):
        if name not in known and not isinstance(name, StandIn):
            at = (*place, field) if field else (*place, number)
            report.add(at, given=name, accepted=one_of(known, name, what=what))
