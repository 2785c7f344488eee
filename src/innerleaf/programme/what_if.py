"""What if there were one more jointer, two days lost, cold rooms? The job changed by plain words.

A comma joins changes that come together; `check_words` refuses words that say none.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Final

from innerleaf.errors import InputError
from innerleaf.job.schema_programme import Access, AirPeriod, CrewFields, Overtime
from innerleaf.programme.build import Built, working_day_after
from innerleaf.programme.crews import crews_of

_NUMBERS: Final = {
    word: number
    for number, word in enumerate(
        ("one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten"), 1
    )
}
_COUNT: Final = rf"(?P<count>{'|'.join(_NUMBERS)}|[0-9]{{1,3}})"
_DATE: Final = r"(?P<day>[0-9]{4}-[0-9]{2}-[0-9]{2})"
_FIGURE: Final = r"[-+]?[0-9]+(?:\.[0-9]+)?"
_PEOPLE: Final = ("fitter", "helper", "jointer", "painter")

ACCEPTED: Final = (
    "one more fitter, helper, jointer or painter; one more crew NAME; without crew NAME; two days lost (or of"
    " rain), with from 2026-03-10; start 2026-03-09; overtime 2 h; deliveries 3 days late; NAME open from"
    " 2026-03-30 (a storey or a room); air 8 °C 85 %; minutes +10 %"
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """A programme after a change, against the one without it. Days are working days."""

    words: str
    finish: str
    days_later: int
    working_days: int
    bound_days: int
    returns: int
    overtime_hours: float
    findings: int


def check_words(words: Iterable[str]) -> None:
    """Refuse words that say no change whatever the job is.

    Raises
    ------
    InputError
        They say none; names of crews, storeys and rooms are not looked up.
    """
    for text in words:
        for part in _parts(text):
            if not any(pattern.fullmatch(part) for pattern, _ in _CHANGES):
                raise InputError("what if", given=part, accepted=ACCEPTED)


def changed(built: Built, words: str) -> Built:
    """The programme with what words say of it.

    Raises
    ------
    InputError
        Words that say no change, or name a crew, storey or room that there is not.
    """
    for part in _parts(words):
        for pattern, change in _CHANGES:
            if found := pattern.fullmatch(part):
                built = change(built, found)
                break
        else:
            raise InputError("what if", given=part, accepted=ACCEPTED)
    return built


def _parts(text: str) -> list[str]:
    parts = [part.strip() for part in text.split(",") if part.strip()]
    if not parts:
        raise InputError("what if", given=text, accepted=ACCEPTED)
    return parts


def _count(found: re.Match[str]) -> int:
    word = found["count"].lower()
    return _NUMBERS.get(word) or int(word)


def _said(built: Built, **fields: object) -> Built:
    return replace(built, said=built.said.model_copy(update=fields))


def _crew_list(built: Built) -> list[CrewFields]:
    return list(crews_of(built.said, built.rates))


def _more_people(built: Built, found: re.Match[str]) -> Built:
    """People alone in their crew make a crew more; others join the smallest crew of their trade."""
    trade = f"{found['trade'].lower()}s"
    crews = _crew_list(built)
    having = [number for number, crew in enumerate(crews) if getattr(crew, trade)]
    if not having:
        raise InputError(
            "what if", given=found[0], accepted=f"a trade that some crew has; no crew has {trade}"
        )
    at = min(having, key=lambda number: (_people(crews[number]), number))
    crew = crews[at]
    if _people(crew) == getattr(crew, trade) == 1:
        crews[at] = crew.model_copy(update={"count": crew.count + _count(found)})
    else:
        crews[at] = crew.model_copy(update={trade: getattr(crew, trade) + _count(found)})
    return _said(built, crews=tuple(crews))


def _people(crew: CrewFields) -> int:
    return sum(getattr(crew, f"{trade}s") for trade in _PEOPLE)


def _named_crew(built: Built, name: str) -> tuple[list[CrewFields], int]:
    crews = _crew_list(built)
    for number, crew in enumerate(crews):
        if crew.id.lower() == name.lower():
            return crews, number
    known = ", ".join(crew.id for crew in crews)
    raise InputError("what if, crew", given=name, accepted=f"one of {known}")


def _more_crews(built: Built, found: re.Match[str]) -> Built:
    crews, at = _named_crew(built, found["crew"])
    crews[at] = crews[at].model_copy(update={"count": crews[at].count + _count(found)})
    return _said(built, crews=tuple(crews))


def _without(built: Built, found: re.Match[str]) -> Built:
    crews, at = _named_crew(built, found["crew"])
    gone = crews.pop(at)
    left = {skill for crew in crews for skill in crew.skills}
    missing = [one.skill for one in built.work.operations if one.skill and one.skill not in left]
    if missing:
        accepted = f"a crew that others can stand in for; only {gone.id} does {missing[0]}"
        raise InputError("what if, without crew", given=gone.id, accepted=accepted)
    return _said(built, crews=tuple(crews))


def _lost(built: Built, found: re.Match[str]) -> Built:
    """Working days on which nobody works, from a day on; left out: from today, or the start."""
    begin = built.progress.today if built.progress else date.fromisoformat(built.said.start)
    day = _day(found["day"]) if found["day"] else begin
    lost = [
        working_day_after(day - timedelta(days=1), k, built.usual_days) for k in range(1, _count(found) + 1)
    ]
    return _said(built, days_off=(*built.said.days_off, *(one.isoformat() for one in lost)))


def _start(built: Built, found: re.Match[str]) -> Built:
    return _said(built, start=_day(found["day"]).isoformat())


def _overtime(built: Built, found: re.Match[str]) -> Built:
    hours = float(found["hours"])
    left = (24 * 60 - built.usual_days.hours[-1][1]) / 60
    if not 0.5 <= hours <= left:
        raise InputError("what if, overtime", given=found["hours"], accepted=f"0.5 to {left:g} h")
    since = built.progress.today.isoformat() if built.progress else None
    return _said(built, overtime=Overtime.model_construct(hours=hours, crews=(), since=since, until=None))


def _late(built: Built, found: re.Match[str]) -> Built:
    later = _count(found)
    deliveries = tuple(
        day.model_copy(
            update={"on": working_day_after(date.fromisoformat(day.on), later, built.usual_days).isoformat()}
        )
        for day in built.said.deliveries
    )
    built = _said(built, deliveries=deliveries)
    return replace(built, late_deliveries=built.late_deliveries + later)


def _open(built: Built, found: re.Match[str]) -> Built:
    name = found["place"].strip()
    rooms = [room for room in built.work.rooms.values() if name in (room.id, room.name)]
    storeys = {room.storey for room in built.work.rooms.values()}
    if not rooms and name not in storeys:
        raise InputError("what if", given=name, accepted=f"a room, or one of {', '.join(sorted(storeys))}")
    entry = Access.model_construct(
        storeys=(name,) if name in storeys else (),
        rooms=tuple(room.id for room in rooms),
        since=_day(found["day"]).isoformat(),
        reason="what if",
    )
    return _said(built, access=(*built.said.access, entry))


def _air(built: Built, found: re.Match[str]) -> Built:
    temperature, humidity = float(found["t"]), float(found["rh"])
    if not (-20 <= temperature <= 45 and 0 <= humidity <= 100):
        raise InputError("what if, air", given=found[0], accepted="-20 to 45 °C and 0 to 100 %")
    since = built.progress.today.isoformat() if built.progress else built.said.start
    entry = AirPeriod.model_construct(
        since=since, temperature=temperature, humidity=humidity, storey="", basis="assumed"
    )
    before = tuple(air for air in built.said.air if air.since < since)
    return _said(built, air=(*before, entry))


def _minutes(built: Built, found: re.Match[str]) -> Built:
    percent = float(found["percent"].replace("−", "-"))
    if percent <= -100:
        raise InputError("what if", given=found[0], accepted="above -100 %")
    return replace(built, times=built.times * (1 + percent / 100))


def _day(text: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise InputError("what if", given=text, accepted="a day such as 2026-03-09") from None


def _pattern(text: str) -> re.Pattern[str]:
    return re.compile(text, re.IGNORECASE)


_CHANGES: Final[tuple[tuple[re.Pattern[str], Callable[[Built, re.Match[str]], Built]], ...]] = (
    (_pattern(rf"{_COUNT} more (?P<trade>{'|'.join(_PEOPLE)})s?"), _more_people),
    (_pattern(rf"{_COUNT} more crews? (?P<crew>\S+)"), _more_crews),
    (_pattern(r"without crew (?P<crew>\S+)"), _without),
    (_pattern(rf"{_COUNT} days? (?:lost|of rain|of frost)(?: from {_DATE})?"), _lost),
    (_pattern(rf"start {_DATE}"), _start),
    (_pattern(r"overtime (?P<hours>[0-9]+(?:\.[0-9]+)?) ?h"), _overtime),
    (_pattern(rf"deliveries {_COUNT} days? late"), _late),
    (_pattern(rf"(?P<place>.+) open from {_DATE}"), _open),
    (_pattern(rf"air (?P<t>{_FIGURE}) ?°?C (?P<rh>{_FIGURE}) ?%"), _air),
    (_pattern(r"minutes (?P<percent>[-+−][0-9]+(?:\.[0-9]+)?) ?%"), _minutes),
)


COLD: Final = "air 8 °C 85 %"


def usual(built: Built) -> tuple[str, ...]:
    """Changes worth a look for any job."""
    crews = _crew_list(built)
    trades = [trade for trade in _PEOPLE if any(getattr(crew, f"{trade}s") for crew in crews)]
    people = [f"one more {trade}" for trade in trades if trade != "painter"]
    return (*people, "two days lost", "overtime 1 h", "deliveries 3 days late", "minutes +10 %", COLD)
