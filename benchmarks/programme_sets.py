"""Networks to schedule: readers of stored sets, and a building of linings drawn from a seed."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from random import Random

from innerleaf.programme.engine.measures import end_of
from innerleaf.programme.engine.network import Activity, Arc, Kind, Network, Resource

DAY = 16  # half hours


def read_sm(text: str) -> Network:
    """A file of PSPLIB in the form `.sm`."""
    links, rest = text.split("PRECEDENCE RELATIONS:")[1].split("REQUESTS/DURATIONS:")
    work, units = rest.split("RESOURCEAVAILABILITIES:")
    arcs = [Arc(row[0] - 1, after - 1) for row in _rows(links, 3) for after in row[3:]]
    activities = [_activity(row[0], row[2], row[3:]) for row in _rows(work, 4)]
    return _network(activities, arcs, next(_rows(units, 1)))


def read_sch(text: str) -> Network:
    """A file of ProGen/max: lags from start to start, negative ones greatest."""
    lines = [[int(word) for word in re.findall(r"-?\d+", line)] for line in text.splitlines() if line.strip()]
    count = lines[0][0] + 2
    arcs = []
    for row in lines[1 : count + 1]:
        many = row[2]
        pairs = zip(row[3 : 3 + many], row[3 + many : 3 + 2 * many], strict=True)
        arcs += [Arc(row[0], after, lag, Kind.START_START) for after, lag in pairs]
    activities = [_activity(row[0], row[2], row[3:]) for row in lines[count + 1 : 2 * count + 1]]
    return _network(activities, arcs, lines[2 * count + 1])


def read_trade(path: Path) -> Network:
    """A stored programme of linings."""
    stored = json.loads(path.read_text("utf-8"))
    pairs = zip(stored["duration"], stored["demand"], strict=True)
    activities = [_activity(number, duration, units) for number, (duration, units) in enumerate(pairs)]
    return _network(activities, [Arc(*arc) for arc in stored["arcs"]], stored["capacity"])


def _rows(text: str, least: int) -> Iterator[list[int]]:
    """Lines of numbers only."""
    for line in text.splitlines():
        words = line.split()
        if len(words) >= least and all(word.isdigit() for word in words):
            yield [int(word) for word in words]


def _activity(number: int, duration: int, units: list[int]) -> Activity:
    needs = tuple((resource, many) for resource, many in enumerate(units) if many)
    return Activity(name=f"{number}", duration=duration, demand=needs)


def _network(activities: list[Activity], arcs: list[Arc], units: list[int]) -> Network:
    resources = tuple(Resource(name=f"R{n}", capacity=many) for n, many in enumerate(units))
    return Network(activities=tuple(activities), resources=resources, arcs=tuple(arcs))


CREWS = ("frame", "service", "board", "joint", "paint")
STEPS = (  # crew, half hours for each 10 m² of lining, drying after it
    (0, 0.8, False), (0, 1.5, False), (1, 1.2, False), (2, 2.5, False), (2, 2.0, False),
    (3, 1.2, True), (3, 0.8, True), (3, 0.7, False), (4, 0.8, False),
)  # fmt: skip


def building(rooms: int, seed: int) -> Network:
    """Rooms of linings, invented: nine operations each, coats that dry over night, storeys one by one.

    Slots are half working hours, 16 a day; a coat takes 12 to 30 hours by the clock.
    """
    random = Random(f"programme/{rooms}/{seed}")
    activities: list[Activity] = []
    arcs: list[Arc] = []
    for room in range(rooms):
        size, release = random.uniform(8, 45), DAY // 2 * (room // max(1, rooms // 8))
        drying, before = random.randrange(2), None
        for crew, rate, dries in STEPS:
            if (crew, rate) == (2, 2.0) and random.random() < 0.3:
                continue
            if before is not None:
                arcs.append(Arc(before, len(activities), drying=drying if activities[-1].due == 0 else None))
            before = len(activities)
            activities.append(
                Activity(
                    name=f"{room}/{crew}",
                    duration=max(1, round(size / 10 * rate)),
                    demand=((crew, 1),),
                    release=release,
                    due=0 if dries else None,
                    place=f"{room}",
                    crew=CREWS[crew],
                )
            )
    people = max(1, rooms // 50)
    resources = tuple(
        Resource(name=name, capacity=people * many) for name, many in zip(CREWS, (2, 1, 3, 2, 1), strict=True)
    )
    horizon = DAY * (60 + 4 * rooms // people)
    return Network(
        activities=tuple(replace(each, due=None) for each in activities),
        resources=resources,
        arcs=tuple(arcs),
        drying=tuple(_dry(horizon, hours) for hours in (14, 26)),
        horizon=horizon,
    )


def _dry(horizon: int, hours: int) -> tuple[int, ...]:
    """First slot after so many hours by the clock; work from 8 to 16, each day."""
    table = []
    for end in range(horizon + 1):
        day, slot = divmod(max(0, end - 1), DAY)
        ready = day * 48 + slot + 1 + 2 * hours + 16 * (end > 0)  # half hours by the clock
        morning, late = divmod(ready, 48)
        table.append(morning * DAY + min(DAY, max(0, late - 16)))
    return tuple(max(end, ready) for end, ready in enumerate(table))


def changed(network: Network, starts: tuple[int, ...], today: int) -> Network:
    """The same in mid-work: what began before today stands, and a third of the rest takes longer."""
    activities = []
    for number, (each, start) in enumerate(zip(network.activities, starts, strict=True)):
        if start < today:
            activities.append(replace(each, fixed=start))
        else:
            longer = number % 27 < 9 and each.duration > 0
            longer_by = 1 if longer else 0
            activities.append(
                replace(each, release=max(each.release, today), duration=each.duration + longer_by)
            )
    spare = 2 * (network.horizon or network.slots) if not network.drying else network.horizon
    return replace(network, activities=tuple(activities), horizon=spare)


def finish(network: Network, starts: tuple[int, ...]) -> int:
    """Moment of the last end."""
    return max(end_of(network, each, start) for each, start in zip(network.activities, starts, strict=True))
