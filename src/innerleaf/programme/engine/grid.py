"""The network as arrays, for compiled code."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from innerleaf.programme.engine.check import is_greatest_lag
from innerleaf.programme.engine.network import Arc, Kind, Network, Objective, Steps, as_steps

Ints = NDArray[np.int64]
FAR = 1 << 40  # beyond every slot


class Grid(NamedTuple):
    """Activities by number, slots by number; calendar 0 works always, drying class 0 dries at once.

    ``before[c, t]`` slots of calendar c before t; ``nth[c, k]`` its k-th slot (``slots`` where there is
    none). ``ready[k, e]`` and its inverse ``until[k, s]``: the last end that lets the next start at s, or
    -1. ``normal`` units cost nothing, ``most`` are there, ``done`` are taken by what is fixed. Needs of
    activity i: rows (resource, units) ``need_from[i]`` to ``need_from[i + 1]`` of ``need``. Likewise arcs
    that lead out of it and into it: rows (other, lag, drying class or -1 from start to start). ``free``:
    activities not fixed, in an order in which starts never fall along arcs; ``agrees``: that is so for all
    arcs; otherwise some set a greatest lag, or (``free`` empty) lags go round in circles. ``group``:
    activities by place and crew, each group from ``group_from[g]`` on.
    """

    slots: int
    duration: Ints
    calendar: Ints
    before: Ints
    nth: Ints
    release: Ints
    latest: Ints
    due: Ints
    fixed: Ints
    need_from: Ints
    need: Ints
    normal: Ints
    most: Ints
    price: Ints
    done: Ints
    ready: Ints
    until: Ints
    out_from: Ints
    out: Ints
    into_from: Ints
    into: Ints
    free: Ints
    agrees: bool
    group_from: Ints
    group: Ints
    patience: int
    weights: Ints


def grid_of(network: Network, objective: Objective) -> Grid:
    """Everything laid out; arcs into what is done are dropped, but for greatest lags, which limit starts."""
    slots = network.slots
    count = len(network.activities)
    works = np.ones((1 + len(network.calendars), slots), bool)
    for number, calendar in enumerate(network.calendars, 1):
        works[number] = calendar
    line_of = [0 if row.all() else number for number, row in enumerate(works)]
    before = np.zeros((len(works), slots + 1), np.int64)
    np.cumsum(works, axis=1, out=before[:, 1:])
    nth = np.full((len(works), slots + 1), slots, np.int64)
    for number, row in enumerate(works):
        there = np.flatnonzero(row)
        nth[number, : len(there)] = there
    ready = np.empty((1 + len(network.drying), slots + 1), np.int64)
    ready[0] = np.arange(slots + 1)
    for number, table in enumerate(network.drying, 1):
        ready[number] = np.minimum(table, slots + 1)
    until = np.stack([np.searchsorted(row, np.arange(slots + 1), side="right") - 1 for row in ready])
    fixed = np.array([-1 if a.fixed is None else a.fixed for a in network.activities], np.int64)
    latest = np.full(count, slots, np.int64)
    arcs = []
    for arc in network.arcs:
        if fixed[arc.after] < 0:
            arcs.append(arc)
        elif fixed[arc.before] < 0 and is_greatest_lag(arc):
            latest[arc.before] = min(latest[arc.before], fixed[arc.after] - arc.lag)
    need_from, need = _rows([a.demand for a in network.activities])
    out_from, out = _rows(_sides(arcs, count, out=True), 3)
    into_from, into = _rows(_sides(arcs, count, out=False), 3)
    group_from, group = _groups(network)
    normal = np.array([_unrolled(r.capacity, slots) for r in network.resources], np.int64)
    extra = np.array([_unrolled(r.extra, slots) for r in network.resources], np.int64)
    normal, extra = normal.reshape(-1, slots), extra.reshape(-1, slots)
    price = _column(r.price for r in network.resources)
    free, agrees = _ordered(arcs, fixed, [a.duration for a in network.activities])
    grid = Grid(
        slots=slots,
        duration=_column(a.duration for a in network.activities),
        calendar=_column(
            0 if a.calendar is None or not a.duration else line_of[a.calendar + 1] for a in network.activities
        ),
        before=before,
        nth=nth,
        release=_column(a.release for a in network.activities),
        latest=latest,
        due=_column(FAR if a.due is None else a.due for a in network.activities),
        fixed=fixed,
        need_from=need_from,
        need=need,
        normal=np.where(price[:, None] > 0, normal, normal + extra),
        most=normal + extra,
        price=price,
        done=np.zeros((len(network.resources), slots), np.int64),
        ready=ready,
        until=until,
        out_from=out_from,
        out=out,
        into_from=into_from,
        into=into,
        free=free,
        agrees=agrees,
        group_from=group_from,
        group=group,
        patience=network.patience,
        weights=np.array([objective.finish, objective.returns, objective.overtime], np.int64),
    )
    for each in np.flatnonzero(fixed >= 0):
        book(grid, int(each), int(fixed[each]), grid.done)
    return grid


def shortened(network: Network, slots: int) -> Network:
    """The same network with fewer slots; what is fixed must end within them."""
    return replace(
        network,
        horizon=slots,
        calendars=tuple(calendar[:slots] for calendar in network.calendars),
        drying=tuple(table[: slots + 1] for table in network.drying),
    )


def worked(grid: Grid, activity: int, start: int) -> Ints:
    """Slots in which it is worked on, as far as there are any."""
    line = int(grid.calendar[activity])
    first = int(grid.before[line, min(start, grid.slots)])
    there = grid.nth[line, first : first + int(grid.duration[activity])]
    return there[there < grid.slots]


def end_at(grid: Grid, activity: int, start: int) -> int:
    """Moment it ends at; one beyond all slots if it does not."""
    if not grid.duration[activity]:
        return start
    slots = worked(grid, activity, start)
    return int(slots[-1]) + 1 if len(slots) == grid.duration[activity] else grid.slots + 1


def book(grid: Grid, activity: int, start: int, used: Ints) -> None:
    """Put its needs into ``used``."""
    slots = worked(grid, activity, start)
    for resource, units in grid.need[grid.need_from[activity] : grid.need_from[activity + 1]]:
        used[resource, slots] += units


def _column(values: Iterable[int]) -> Ints:
    return np.fromiter(values, np.int64)


def _unrolled(units: Steps, slots: int) -> Ints:
    line = np.zeros(slots, np.int64)
    for slot, many in as_steps(units):
        line[slot:] = many
    return line


def _sides(arcs: Iterable[Arc], count: int, *, out: bool) -> list[list[tuple[int, ...]]]:
    lists: list[list[tuple[int, ...]]] = [[] for _ in range(count)]
    for arc in arcs:
        drying = -1 if arc.kind is Kind.START_START else 0 if arc.drying is None else arc.drying + 1
        here, there = (arc.before, arc.after) if out else (arc.after, arc.before)
        lists[here].append((there, arc.lag, drying))
    return lists


def _rows(lists: Any, wide: int = 2) -> tuple[Ints, Ints]:
    begins = np.zeros(len(lists) + 1, np.int64)
    np.cumsum([len(each) for each in lists], out=begins[1:])
    flat = [row for each in lists for row in each]
    return begins, np.array(flat, np.int64).reshape(-1, wide)


def _ordered(arcs: Iterable[Arc], fixed: Ints, duration: list[int]) -> tuple[Ints, bool]:
    """Activities not fixed, each after those whose start bounds its own from below."""
    waits = [0] * len(fixed)
    after: list[list[int]] = [[] for _ in waits]
    agrees = True
    for arc in arcs:
        if fixed[arc.before] >= 0:
            continue
        if arc.lag + (duration[arc.before] if arc.kind is Kind.FINISH_START else 0) < 0:
            agrees = False
            continue
        waits[arc.after] += 1
        after[arc.before].append(arc.after)
    order = [each for each in np.flatnonzero(fixed < 0).tolist() if not waits[each]]
    for each in order:  # grows
        for other in after[each]:
            waits[other] -= 1
            if not waits[other]:
                order.append(other)
    whole = len(order) == int((fixed < 0).sum())
    return np.array(order if whole else [], np.int64), agrees and whole


def _groups(network: Network) -> tuple[Ints, Ints]:
    groups: dict[tuple[str, str], list[tuple[int]]] = {}
    for number, each in enumerate(network.activities):
        if each.place and each.crew and each.duration:
            groups.setdefault((each.place, each.crew), []).append((number,))
    begins, rows = _rows(list(groups.values()), 1)
    return begins, rows[:, 0].copy()
