"""What a schedule is like in figures, straight from the network."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence

from innerleaf.programme.engine.network import Activity, Measures, Network, as_steps


def end_of(network: Network, activity: Activity, start: int) -> int:
    """Moment at which an activity that starts at this slot ends; beyond the horizon if its calendar ends."""
    if activity.duration == 0 or activity.calendar is None:
        return start + activity.duration
    slots = worked_slots(network, activity, start)
    return slots[-1] + 1 if len(slots) == activity.duration else network.slots + 1


def worked_slots(network: Network, activity: Activity, start: int) -> Sequence[int]:
    """Slots in which an activity that starts at this slot is worked on."""
    if activity.calendar is None:
        return range(start, start + activity.duration)
    works = network.calendars[activity.calendar]
    slots: list[int] = []
    for slot in range(start, len(works)):
        if len(slots) == activity.duration:
            break
        if works[slot]:
            slots.append(slot)
    return slots


def measure(network: Network, starts: Sequence[int]) -> Measures:
    """Lateness, finish, returns and overtime of a schedule."""
    ends = [end_of(network, each, start) for each, start in zip(network.activities, starts, strict=True)]
    late = sum(
        max(0, end - each.due)
        for each, end in zip(network.activities, ends, strict=True)
        if each.due is not None
    )
    return Measures(
        late=late,
        finish=max(ends, default=0),
        returns=_returns(network, starts, ends),
        overtime=_overtime(network, starts),
    )


def _returns(network: Network, starts: Sequence[int], ends: Sequence[int]) -> int:
    visits: dict[tuple[str, str], list[tuple[int, int]]] = defaultdict(list)
    for each, start, end in zip(network.activities, starts, ends, strict=True):
        if each.place and each.crew and each.duration:
            visits[each.place, each.crew].append((start, end))
    returns = 0
    for spans in visits.values():
        spans.sort()
        until = spans[0][1]
        for start, end in spans[1:]:
            returns += start > until + network.patience
            until = max(until, end)
    return returns


def _overtime(network: Network, starts: Sequence[int]) -> int:
    if not any(resource.price for resource in network.resources):
        return 0
    used = units_used(network, starts)
    total = 0
    for number, resource in enumerate(network.resources):
        normal = as_steps(resource.capacity)
        if resource.price:
            total += resource.price * sum(
                max(0, units - units_at(normal, slot)) for slot, units in used[number].items()
            )
    return total


def units_used(network: Network, starts: Sequence[int]) -> list[dict[int, int]]:
    """Units in use of each resource, by slot."""
    used: list[dict[int, int]] = [defaultdict(int) for _ in network.resources]
    for each, start in zip(network.activities, starts, strict=True):
        for slot in worked_slots(network, each, start) if each.demand else ():
            for number, units in each.demand:
                used[number][slot] += units
    return used


def units_at(steps: tuple[tuple[int, int], ...], slot: int) -> int:
    """Units at a slot."""
    return next(units for begin, units in reversed(steps) if begin <= slot)
