"""What a programme is made of: operations with their hours, what they wait for, and when they are done."""

from __future__ import annotations

from dataclasses import dataclass

from innerleaf.programme.hours import Hours

OURS, TRADE, HOLD = "ours", "other trade", "hold point"


@dataclass(frozen=True, slots=True, kw_only=True)
class Operation:
    """One piece of work in one wall, or in a room as a whole (``wall`` is "").

    ``who`` are those who do or release it where no crew of ours does. ``hours`` of people are those of the
    price; ``minutes`` is how long others take. ``plant`` names what it needs of it.
    """

    id: str
    step: str
    kind: str  # ours, other trade, hold point
    room: str  # id
    storey: str
    hours: Hours
    wall: str = ""
    skill: str = ""
    who: str = ""
    other_hours: int = 0  # of people the price does not hold [hundredths of an hour]
    minutes: int = 0
    area_m2: float = 0.0
    above_reach: bool = False
    heavy: bool = False  # pieces that one person does not lift
    mass_kg: float = 0.0  # brought in
    plant: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class After:
    """An operation waits for another; ``coat`` names what has to dry between them, "" for nothing."""

    before: str
    after: str
    coat: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Timed:
    """An operation with its place in time. Times are local, year-month-day and hours:minutes.

    ``crew`` numbers alike crews from 1 (frame-1, frame-2); ``dry_at`` is when its coat is dry, "" where
    nothing dries; ``state`` is "planned", "started" or "done".
    """

    id: str
    step: str
    kind: str
    room: str
    room_name: str
    storey: str
    wall: str
    crew: str
    people: int
    hours: float
    start: str
    end: str
    dry_at: str
    state: str
    after: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class CallOff:
    """A delivery as the programme needs it: on site on ``on``, called off on ``call_on`` at the latest."""

    delivery: str
    supplier: str
    storey: str
    phase: str
    mass_kg: float
    places: int
    on: str
    agreed: bool
    lead_days: int
    call_on: str
    first_used_by: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CrewWork:
    """What a crew does over the programme: hours, days it is there, hours beyond the day."""

    crew: str
    skills: str
    people: int
    operations: int
    hours: float
    days: int
    busy: float  # share of its working time from its first operation to its last
    overtime_hours: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Against:
    """An operation against the baseline: days later (below 0: earlier), by working days."""

    id: str
    room_name: str
    planned: str
    now: str
    state: str
    days: int


@dataclass(frozen=True, slots=True, kw_only=True)
class ProgrammeFinding:
    """Something to see to. ``room`` is a name, "" for the whole job."""

    code: str
    room: str
    operation: str
    text: str
    remedy: str

    def __str__(self) -> str:
        where = " · ".join(part for part in (self.room, self.operation) if part)
        return f"{self.code}{f' · {where}' if where else ''} · {self.text} · {self.remedy}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Programme:
    """A whole programme, in order of time.

    ``finish`` is the end of the last operation, ``finish_bound`` a time before which no lawful order of the
    same work ends; ``gap`` compares the two in working time from the start. ``today`` is "" at first.
    """

    start: str
    finish: str
    finish_bound: str
    days: tuple[str, ...]  # all that are worked, and working days between them
    working_days: int
    bound_days: int
    gap: float
    proven: bool
    stopped_by: str
    returns: int
    overtime_hours: float
    hours: float
    today: str
    operations: tuple[Timed, ...]
    crews: tuple[CrewWork, ...]
    call_offs: tuple[CallOff, ...]
    findings: tuple[ProgrammeFinding, ...]
    against: tuple[Against, ...]
    basis: tuple[str, ...]
