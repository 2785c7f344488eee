"""What is to be scheduled, as numbers: activities, crews, lags, calendars; and what comes back.

Time is counted in slots of working time, of whatever length the caller chose: slot t runs from moment t to
moment t + 1, and an activity that starts at s and takes d slots ends at moment s + d. Nights and weekends on
which nobody works are no slots at all. What runs on by the clock meanwhile (drying) comes as a table from
slots to slots. Crews that do not work in every slot have a calendar.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from enum import Enum
from functools import cached_property

from innerleaf.errors import InputError

Steps = int | tuple[tuple[int, int], ...]
"""Units over time: one number, or (from slot, units), ascending, the first from slot 0, the last for ever."""


class Kind(Enum):
    """From where a lag is counted."""

    FINISH_START = "finish to start"
    START_START = "start to start"


@dataclass(frozen=True, slots=True, kw_only=True)
class Activity:
    """One piece of work.

    It is never interrupted, except by slots that its calendar leaves out. ``duration`` counts slots of
    that calendar. A ``fixed`` activity is done or under way: it stands where it is, and its own past is not
    judged (lags and crews among fixed activities may be broken), but others are held to it.
    """

    name: str
    duration: int
    demand: tuple[tuple[int, int], ...] = ()
    """(number of the resource, units) as long as it is worked on."""
    calendar: int | None = None
    """Number in ``Network.calendars``; None: every slot."""
    release: int = 0
    """It starts at this slot or later."""
    due: int | None = None
    """It ends at this moment or before. Kept before all else; missed only where no schedule was found."""
    fixed: int | None = None
    place: str = ""
    """Room, for the returns of a crew; "": counts nowhere."""
    crew: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Resource:
    """A crew or plant of some units; ``extra`` units beyond cost ``price`` for each slot and unit."""

    name: str
    capacity: Steps
    extra: Steps = 0
    price: int = 0


@dataclass(frozen=True, slots=True)
class Arc:
    """What must be kept between two activities.

    FINISH_START: start[after] >= ready(end[before]) + lag, where ready is the moment itself, or what the
    table ``drying`` says. START_START: start[after] >= start[before] + lag. A negative lag from start to
    start, against the order of work, is a greatest lag: Arc(b, a, -8, START_START) says that b starts
    at most 8 slots after a.
    """

    before: int
    after: int
    lag: int = 0
    kind: Kind = Kind.FINISH_START
    drying: int | None = None
    """Number in ``Network.drying``, only from finish to start."""


@dataclass(frozen=True, kw_only=True)
class Network:
    """A whole programme.

    ``calendars``: for each calendar one truth for each slot up to ``horizon`` (work is possible).
    ``drying``: for each class a nondecreasing table, entry e (0 to ``horizon``) the first slot at which
    what follows may start when the coat is finished at moment e; an entry beyond ``horizon`` is allowed.
    Nothing ends after ``horizon``; None: long enough for everything one after the other, allowed where no
    calendar, table of drying or resource without units at the end asks for a number.
    ``patience``: gaps up to so many slots between two visits of a crew do not count as a return.

    Raises
    ------
    InputError
        A number points nowhere, is negative, or a table has the wrong length or falls.
    """

    activities: tuple[Activity, ...]
    resources: tuple[Resource, ...] = ()
    arcs: tuple[Arc, ...] = ()
    calendars: tuple[tuple[bool, ...], ...] = ()
    drying: tuple[tuple[int, ...], ...] = ()
    horizon: int | None = None
    patience: int = 0

    def __post_init__(self) -> None:
        for fault in _faults(self):
            raise fault

    @cached_property
    def slots(self) -> int:
        """Number of slots: ``horizon``, or enough for everything one after the other."""
        if self.horizon is not None:
            return self.horizon
        longest = [0] * len(self.activities)
        for arc in self.arcs:
            longest[arc.before] = max(longest[arc.before], arc.lag)
        work = sum(each.duration for each in self.activities) + sum(longest)
        last = max((max(each.release, (each.fixed or 0)) for each in self.activities), default=0)
        steps = max((step for each in self.resources for step, _ in as_steps(each.capacity)), default=0)
        return work + max(last, steps)


@dataclass(frozen=True, slots=True, kw_only=True)
class Objective:
    """What a schedule costs: the sum of its measures times these weights; least is best.

    One far above the others makes an order of importance. Lateness against ``Activity.due`` always comes
    before everything else.
    """

    finish: int = 1
    """For each slot until the last activity has ended."""
    returns: int = 0
    """For each time that a crew comes back to a place (see `Measures.returns`)."""
    overtime: int = 0
    """For each unit of the price of extra capacity."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Measures:
    """A schedule in figures."""

    late: int
    """Sum of slots by which activities miss ``due``."""
    finish: int
    """Moment at which the last activity ends."""
    returns: int
    """Visits of a crew to a place beyond the first one. A visit is a run of its activities there without a
    gap (longer than ``Network.patience`` slots); where a coat has to dry, a return cannot be helped."""
    overtime: int
    """Units above normal capacity, slot by slot, times their price."""

    def cost(self, objective: Objective) -> int:
        """Weighted sum, without lateness."""
        return (
            objective.finish * self.finish
            + objective.returns * self.returns
            + objective.overtime * self.overtime
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """The best schedule found, beside what no schedule can beat.

    ``starts``: slot of each activity, empty if none was found. ``cost`` by the objective, ``bound`` below
    the cost of every schedule, ``finish_bound`` below the finish of every schedule. ``proven``: cost equals
    bound and nothing is late, or it is proven that there is no schedule. ``why`` it stopped, in words.
    ``schedules`` built on the way.
    """

    starts: tuple[int, ...]
    measures: Measures
    cost: int
    bound: int
    finish_bound: int
    proven: bool
    why: str
    schedules: int = 0
    bounds: tuple[tuple[str, int], ...] = field(default=())
    """Each bound of the finish by name, the working behind ``finish_bound``."""

    @property
    def gap(self) -> float:
        """Cost / bound - 1; 0 where both are 0, infinite where nothing was found."""
        if not self.starts:
            return 0.0 if self.proven else float("inf")
        return self.cost / self.bound - 1 if self.bound > 0 else (0.0 if self.cost <= 0 else float("inf"))


Watch = Callable[[Answer], bool]
"""Told of each better schedule (and now and then besides); False asks to stop."""


def as_steps(units: Steps) -> tuple[tuple[int, int], ...]:
    """The same as steps, also where one number was given."""
    return ((0, units),) if isinstance(units, int) else units


def _faults(network: Network) -> Iterator[InputError]:
    """Everything that makes a network meaningless."""
    if network.horizon is None and (network.calendars or network.drying):
        yield InputError(
            "horizon", given=None, accepted="a number of slots, as there are calendars or tables"
        )
    for resource in network.resources:
        yield from _resource_faults(resource)
    for number, calendar in enumerate(network.calendars):
        if len(calendar) != network.horizon:
            yield InputError(
                f"calendar {number}", given=f"{len(calendar)} slots", accepted=f"{network.horizon} slots"
            )
    for number, table in enumerate(network.drying):
        if network.horizon is None or len(table) != network.horizon + 1:
            yield InputError(
                f"drying table {number}", given=f"{len(table)} entries", accepted="one more than slots"
            )
        if any(ready < moment for moment, ready in enumerate(table)) or _falls(table):
            yield InputError(
                f"drying table {number}", given="ready before it ends, or falling", accepted="rising entries"
            )
    for each in network.activities:
        yield from _activity_faults(each, network)
    for arc in network.arcs:
        yield from _arc_faults(arc, network)


def _falls(table: Sequence[int]) -> bool:
    return any(later < earlier for earlier, later in zip(table, table[1:], strict=False))


def _resource_faults(resource: Resource) -> Iterator[InputError]:
    for units in (resource.capacity, resource.extra):
        steps = as_steps(units)
        slots = [slot for slot, _ in steps]
        if not steps or slots[0] != 0 or slots != sorted(set(slots)) or min(u for _, u in steps) < 0:
            yield InputError(
                f"units of {resource.name}", given=units, accepted="steps from slot 0 on, 0 units or more"
            )
    if resource.price < 0:
        yield InputError(f"price of {resource.name}", given=resource.price, accepted="0 or more")


def _activity_faults(each: Activity, network: Network) -> Iterator[InputError]:
    if each.duration < 0:
        yield InputError(f"duration of {each.name}", given=each.duration, accepted="0 slots or more")
    if each.release < 0 or (each.fixed is not None and each.fixed < 0):
        yield InputError(f"start of {each.name}", given=each.release, accepted="slot 0 or later")
    if each.calendar is not None and not 0 <= each.calendar < len(network.calendars):
        yield InputError(f"calendar of {each.name}", given=each.calendar, accepted="one there is")
    numbers = [number for number, _ in each.demand]
    if len(set(numbers)) < len(numbers):
        yield InputError(f"demand of {each.name}", given=each.demand, accepted="each resource once")
    for number, units in each.demand:
        if not 0 <= number < len(network.resources) or units < 0:
            yield InputError(
                f"demand of {each.name}",
                given=(number, units),
                accepted="a resource there is, 0 units or more",
            )


def _arc_faults(arc: Arc, network: Network) -> Iterator[InputError]:
    count = len(network.activities)
    if not (0 <= arc.before < count and 0 <= arc.after < count) or arc.before == arc.after:
        yield InputError("arc", given=(arc.before, arc.after), accepted="two activities there are")
    elif arc.drying is not None and (
        arc.kind is Kind.START_START or not 0 <= arc.drying < len(network.drying)
    ):
        yield InputError(
            f"drying before {network.activities[arc.after].name}",
            given=arc.drying,
            accepted="a table there is, from finish to start",
        )
