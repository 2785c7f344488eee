"""The shape of a job file where it speaks of the programme; `docs/programme.md` says what is made of it."""

from __future__ import annotations

from typing import Annotated, Final, Literal

from pydantic import Field

from innerleaf.job.schema_site import Part
from innerleaf.job.words import Day, Id, Line, Number, Stretch, Yes

SkillWord = Literal["framing", "boarding", "jointing", "painting"]
WeekdayWord = Literal["monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday"]
AirWord = Literal["assumed", "forecast", "measured"]
StepWord = Literal[
    "mark out",
    "strip and tracks",
    "brackets",
    "frame",
    "insulation",
    "vapour layer",
    "first board layer",
    "last board layer",
    "tape",
    "last coat",
    "sanding",
    "prime",
]
PhaseWord = Literal["frame", "boards"]

WORKING_HOURS: Final = ((420, 720), (750, 930))
"""Of a working day where the job says nothing; eight hours, invented. [min from midnight]"""

OUR_STEPS: Final = frozenset(
    ("mark-out", "bring-in-frame-and-insulation", "bring-in-boards", "tape", "coat-2", "coat-3", "skim")
) | {"sanding", "clear-up"}
"""Operations of a room: no trade or hold point has such an id."""

_Day = Annotated[str, Day()]
_Days = Annotated[tuple[_Day, ...], Field(max_length=400)]
_Stretches = Annotated[tuple[Annotated[tuple[int, int], Stretch()], ...], Field(min_length=1, max_length=6)]
_Weekdays = Annotated[tuple[WeekdayWord, ...], Field(min_length=1, max_length=7)]
_Ids = Annotated[tuple[Id, ...], Field(max_length=20_000)]
_Storeys = Annotated[tuple[Line, ...], Field(max_length=500)]
_Steps = Annotated[tuple[StepWord, ...], Field(max_length=12)]
_People = Annotated[int, Number(0, 50, whole=True)]
_Hours = Annotated[float, Number(0.1, 200, "h")]


class CrewFields(Part):
    """People who work together."""

    id: Id = Field(description="its mark on plans and lists")
    skills: Annotated[tuple[SkillWord, ...], Field(min_length=1, max_length=4)] = Field(
        description="what it does"
    )
    fitters: _People = Field(0, description="people: 0")
    helpers: _People = Field(0, description="people: 0")
    jointers: _People = Field(0, description="people: 0")
    painters: _People = Field(0, description="people: 0")
    count: Annotated[int, Number(1, 50, whole=True)] = Field(1, description="crews alike: 1")
    storeys: _Storeys = Field((), description="where it works; left out: everywhere")
    hours: _Stretches | None = Field(None, description="left out: those of the programme")
    days: _Weekdays | None = Field(None, description="left out: those of the programme")
    days_off: _Days = Field((), description="beside those of the programme")
    since: _Day | None = Field(None, description="its first day; left out: the start of the programme")
    until: _Day | None = Field(None, description="its last day; left out: as long as there is work")


class OtherTrade(Part):
    """Work of others in the rooms: so long in each room, or on fixed days."""

    id: Id = Field(description="its mark on plans and lists")
    name: Line = Field(description="what they do, such as cables and boxes")
    by: Line = Field("", description="who they are")
    after: StepWord | None = Field(None, description="what of ours has to be done; left out: nothing")
    before: StepWord = Field(description="what of ours has to wait for them")
    hours: _Hours | None = Field(None, description="in each room [h]")
    since: _Day | None = Field(None, description="first of their fixed days, in place of `hours`")
    until: _Day | None = Field(None, description="last of their fixed days")
    at_once: Annotated[int, Number(1, 100, whole=True)] = Field(
        1, description="rooms they work in at once: 1"
    )
    days: _Weekdays | None = Field(None, description="left out: those of the programme")
    rooms: _Ids = Field((), description="left out: all, or those of `storeys`")
    storeys: _Storeys = Field((), description="left out: all, or those of `rooms`")


class HoldPoint(Part):
    """A check that the next operation waits for until somebody releases it."""

    id: Id = Field(description="its mark on plans and lists")
    name: Line = Field(description="what is looked at, such as close-up inspection")
    by: Line = Field(description="who releases it")
    after: StepWord = Field(description="what has to be done")
    before: StepWord = Field(description="what waits")
    hours: _Hours = Field(0.5, description="for one room: 0.5 [h]")
    days: _Weekdays | None = Field(None, description="when they come; left out: days of the programme")
    rooms: _Ids = Field((), description="left out: all, or those of `storeys`")
    storeys: _Storeys = Field((), description="left out: all, or those of `rooms`")


class Access(Part):
    """When storeys or rooms are open to us."""

    storeys: _Storeys = Field((), description="which")
    rooms: _Ids = Field((), description="which")
    since: _Day = Field(description="the first day")
    reason: Line = Field("", description="why not sooner")


class DeliveryDay(Part):
    """A day that a delivery is agreed for."""

    storey: Line = Field("", description="left out: all")
    phase: PhaseWord | None = Field(None, description="frame or boards; left out: both")
    on: _Day = Field(description="the day")


class PlantItem(Part):
    """Plant that there is only so much of."""

    id: Id = Field(description="its mark on plans and lists")
    count: Annotated[int, Number(1, 100, whole=True)] = Field(1, description="how many: 1")
    steps: _Steps = Field((), description="what needs one")
    above_reach: Yes = Field(False, description="work above reach needs one: false")


class AirPeriod(Part):
    """The air inside from a day on, until the next entry."""

    since: _Day = Field(description="the first day")
    temperature: Annotated[float, Number(-20, 45, "°C")] = Field(description="[°C]")
    humidity: Annotated[float, Number(0, 100, "%")] = Field(description="relative [%]")
    storey: Line = Field("", description="left out: all")
    basis: AirWord = Field("assumed", description="assumed, forecast or measured: assumed")


class Overtime(Part):
    """Longer days."""

    hours: Annotated[float, Number(0.5, 8, "h")] = Field(description="more on each working day [h]")
    crews: _Ids = Field((), description="left out: all of ours")
    since: _Day | None = Field(None, description="left out: from the start")
    until: _Day | None = Field(None, description="left out: to the end")


class Priming(Part):
    """A coat of primer on all that is seen and not tiled."""

    minutes: Annotated[float, Number(0.1, 120, "min")] = Field(description="for a square metre [min]")
    by: Line = Field("", description="others who do it; left out: our crew with the skill painting")


class Programme(Part):
    """When who does what."""

    start: _Day = Field(description="first working day")
    finish_by: _Day | None = Field(None, description="day by which all must be done")
    hours: _Stretches | None = Field(
        None, description="of a working day; left out: 07:00-12:00 and 12:30-15:30"
    )
    days: _Weekdays = Field(
        ("monday", "tuesday", "wednesday", "thursday", "friday"), description="monday to friday"
    )
    days_off: _Days = Field((), description="holidays and other days on which nobody works")
    crews: Annotated[tuple[CrewFields, ...], Field(max_length=60)] = Field(
        (), description="left out: one for frames and boards and one for joints, as large as the rates say"
    )
    others: Annotated[tuple[OtherTrade, ...], Field(max_length=60)] = Field((), description="other trades")
    hold_points: Annotated[tuple[HoldPoint, ...], Field(max_length=60)] = Field(
        (), description="checks that work waits for"
    )
    access: Annotated[tuple[Access, ...], Field(max_length=500)] = Field((), description="left out: all open")
    deliveries: Annotated[tuple[DeliveryDay, ...], Field(max_length=500)] = Field(
        (), description="days agreed; left out: called off as the work needs them"
    )
    plant: Annotated[tuple[PlantItem, ...], Field(max_length=60)] = Field((), description="left out: enough")
    air: Annotated[tuple[AirPeriod, ...], Field(max_length=500)] = Field(
        (), description="inside; left out: usual air of the practice"
    )
    open_to: Annotated[
        tuple[Annotated[tuple[Id, ...], Field(min_length=2, max_length=100)], ...], Field(max_length=500)
    ] = Field((), description="groups of rooms without doors between them: dust goes from one to the other")
    priming: Priming | None = Field(None, description="left out: others prime, later")
    overtime: Overtime | None = Field(None, description="left out: none")
    a_return: Annotated[float, Number(0, 10, "d")] = Field(
        0.02, description="how many days later a crew may be done if it comes back to a room once less: 0.02"
    )
