"""Small networks of every kind, and the least cost by trying everything."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import accumulate

from hypothesis import strategies as st

from innerleaf.programme.engine.check import check
from innerleaf.programme.engine.measures import measure
from innerleaf.programme.engine.network import Activity, Arc, Kind, Network, Objective, Resource

SLOTS = 9


def crew(units: int = 1, *, extra: int = 0, price: int = 0) -> Resource:
    """A crew with the same units all the time."""
    return Resource(name="crew", capacity=units, extra=extra, price=price)


def works(*durations: int, units: int = 1) -> tuple[Activity, ...]:
    """Work of the first crew."""
    return tuple(Activity(name=f"a{n}", duration=d, demand=((0, units),)) for n, d in enumerate(durations))


@st.composite
def networks(draw: st.DrawFn, *, most: int = 4, greatest: bool = False) -> Network:
    """Up to ``most`` activities on few slots: calendars, steps, extra units, drying, releases, fixed work."""
    count = draw(st.integers(1, most))
    calendars = tuple(
        tuple(draw(st.lists(st.sampled_from((True, True, False)), min_size=SLOTS, max_size=SLOTS)))
        for _ in range(draw(st.integers(0, 2)))
    )
    waits = draw(st.lists(st.integers(0, 2), min_size=SLOTS + 1, max_size=SLOTS + 1))
    drying = tuple(accumulate((end + wait for end, wait in enumerate(waits)), max))
    activities = tuple(
        Activity(
            name=f"a{number}",
            duration=draw(st.integers(0, 3)),
            demand=tuple((r, draw(st.integers(1, 2))) for r in range(2) if draw(st.booleans())),
            calendar=draw(st.sampled_from((None, *range(len(calendars))))),
            release=draw(st.integers(0, 2)),
            due=draw(st.sampled_from((None, None, SLOTS - 2))),
            fixed=draw(st.integers(0, 2)) if number == 0 and draw(st.booleans()) else None,
            place=draw(st.sampled_from(("", "room"))),
            crew="crew",
        )
        for number in range(count)
    )
    resources = (
        Resource(name="r0", capacity=2, extra=draw(st.integers(0, 1)), price=draw(st.integers(0, 2))),
        Resource(name="r1", capacity=((0, 2), (3, draw(st.integers(0, 2))), (6, 2))),
    )
    return Network(
        activities=activities,
        resources=resources,
        arcs=tuple(_arcs(draw, count, greatest)),
        calendars=calendars,
        drying=(drying,),
        horizon=SLOTS,
    )


def _arcs(draw: st.DrawFn, count: int, greatest: bool) -> Iterator[Arc]:
    for after in range(1, count):
        for before in range(after):
            kind = draw(st.sampled_from(("none", "none", "end", "dry", "start")))
            if kind == "end":
                yield Arc(before, after, draw(st.integers(-1 if greatest else 0, 1)))
            elif kind == "dry":
                yield Arc(before, after, drying=0)
            elif kind == "start":
                yield Arc(before, after, draw(st.integers(0, 2)), Kind.START_START)
                if greatest and draw(st.booleans()):
                    yield Arc(after, before, -draw(st.integers(2, 4)), Kind.START_START)


def least_cost(network: Network, objective: Objective) -> int | None:
    """Least cost of a schedule without faults; None: there is none."""
    costs = [
        measure(network, starts).cost(objective)
        for starts in _all_starts(network, ())
        if not check(network, starts)
    ]
    return min(costs, default=None)


def _all_starts(network: Network, first: tuple[int, ...]) -> Iterator[tuple[int, ...]]:
    """Starts that keep lags between activities that end to start, as far as they are among the first."""
    number = len(first)
    if number == len(network.activities):
        yield first
        return
    each = network.activities[number]
    least = max(
        (
            first[arc.before] + arc.lag
            for arc in network.arcs
            if arc.after == number and arc.before < number and each.fixed is None
        ),
        default=0,
    )
    slots = (each.fixed,) if each.fixed is not None else range(max(0, least, each.release), network.slots + 1)
    for slot in slots:
        yield from _all_starts(network, (*first, slot))
