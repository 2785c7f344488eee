"""Whether a schedule keeps what the network says; written apart from whatever finds schedules."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence

from innerleaf.programme.engine.network import Activity, Arc, Kind, Network, Steps


def check(network: Network, starts: Sequence[int]) -> tuple[str, ...]:
    """Every rule that a schedule breaks, in words: lags, crews, calendars, releases, dues, fixed starts.

    What fixed activities break among themselves is past and not said.
    """
    if len(starts) != len(network.activities):
        return (f"{len(starts)} starts for {len(network.activities)} activities",)
    work = [_work(network, each, start) for each, start in zip(network.activities, starts, strict=True)]
    return (
        *_own_faults(network, starts, work),
        *_lag_faults(network, starts, work),
        *_crew_faults(network, work),
    )


def _work(network: Network, activity: Activity, start: int) -> list[int]:
    """Slots worked in; fewer than the duration where the calendar ends too soon."""
    slots: list[int] = []
    slot = start
    while len(slots) < activity.duration and slot < network.slots:
        if slot >= 0 and (activity.calendar is None or network.calendars[activity.calendar][slot]):
            slots.append(slot)
        slot += 1
    return slots


def _end(start: int, slots: Sequence[int]) -> int:
    return slots[-1] + 1 if slots else start


def _own_faults(network: Network, starts: Sequence[int], work: Sequence[Sequence[int]]) -> Iterator[str]:
    for each, start, slots in zip(network.activities, starts, work, strict=True):
        end = _end(start, slots)
        if each.fixed is not None:
            if start != each.fixed:
                yield f"{each.name} starts at {start}, but is fixed at {each.fixed}"
            continue
        if start < each.release or start < 0:
            yield f"{each.name} starts at {start}, before its release {each.release}"
        if each.due is not None and end > each.due:
            yield f"{each.name} ends at {end}, after it is due at {each.due}"
        if len(slots) < each.duration or end > network.slots:
            yield f"{each.name} starts at {start} and does not end within {network.slots} slots"
        if slots and slots[0] != start:
            yield f"{each.name} starts at {start}, when its calendar {each.calendar} has no work"


def _lag_faults(network: Network, starts: Sequence[int], work: Sequence[Sequence[int]]) -> Iterator[str]:
    for arc in network.arcs:
        before, after = network.activities[arc.before], network.activities[arc.after]
        if after.fixed is not None and (before.fixed is not None or not is_greatest_lag(arc)):
            continue  # what is done was not held up by what was not
        if arc.kind is Kind.START_START:
            ready = starts[arc.before]
        else:
            ready = _end(starts[arc.before], work[arc.before])
            if arc.drying is not None and ready <= network.slots:
                ready = network.drying[arc.drying][ready]
        if starts[arc.after] < ready + arc.lag:
            yield f"{after.name} starts at {starts[arc.after]}, {before.name} allows {ready + arc.lag}"


def is_greatest_lag(arc: Arc) -> bool:
    """Says how long after ``after`` its ``before`` may start."""
    return arc.kind is Kind.START_START and arc.lag < 0


def _crew_faults(network: Network, work: Sequence[Sequence[int]]) -> Iterator[str]:
    used: dict[tuple[int, int], int] = defaultdict(int)
    judged: set[tuple[int, int]] = set()
    for each, slots in zip(network.activities, work, strict=True):
        for number, units in each.demand:
            for slot in slots if units else ():
                used[number, slot] += units
                if each.fixed is None:
                    judged.add((number, slot))
    for number, resource in enumerate(network.resources):
        there = [
            normal + extra
            for normal, extra in zip(
                _unrolled(resource.capacity, network.slots),
                _unrolled(resource.extra, network.slots),
                strict=True,
            )
        ]
        for slot, most in enumerate(there):
            if (number, slot) in judged and used[number, slot] > most:
                yield f"slot {slot}: {used[number, slot]} of {resource.name} needed, {most} there"


def _unrolled(units: Steps, slots: int) -> list[int]:
    """Units slot by slot."""
    if isinstance(units, int):
        return [units] * slots
    result: list[int] = []
    for (begin, many), (end, _) in zip(units, (*units[1:], (slots, 0)), strict=True):
        result += [many] * (max(end, begin) - begin)
    return result[:slots]
