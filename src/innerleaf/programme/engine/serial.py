"""Schedules built one activity after the other, compiled: forward, backward, and what they cost."""

# numba ships no types, and its decorator hides those below it
# mypy: disable-error-code="untyped-decorator, no-any-return, import-untyped"

from __future__ import annotations

from typing import Any, Final

import numpy as np
from numba import njit

from innerleaf.programme.engine.grid import Ints

LATE: Final = 1 << 42  # a slot of lateness, in cost
NONE: Final = 1 << 62  # the cost of no schedule


@njit(cache=True, nogil=True)
def finish_of(g: Any, i: int, start: int) -> int:
    """Moment at which it ends; beyond all slots if its calendar ends first."""
    d = g.duration[i]
    if d == 0:
        return start
    c = g.calendar[i]
    if c == 0:
        return start + d
    k = g.before[c, start] + d - 1
    return g.nth[c, k] + 1 if k < g.slots else g.slots + 1


@njit(cache=True, nogil=True)
def earliest_by_arcs(g: Any, i: int, starts: Ints, ends: Ints) -> int:
    """Slot from which on those that are scheduled (start not negative) let it start."""
    at = g.release[i]
    for a in range(g.into_from[i], g.into_from[i + 1]):
        j = g.into[a, 0]
        if starts[j] < 0:
            continue
        drying = g.into[a, 2]
        moment = starts[j] if drying < 0 else g.ready[drying, min(ends[j], g.slots)]
        at = max(at, moment + g.into[a, 1])
    return at


@njit(cache=True, nogil=True)
def latest_by_arcs(g: Any, i: int, starts: Ints, end: int) -> tuple[int, int]:
    """Last start and last end that those that are scheduled, and the moment ``end``, allow."""
    last = g.latest[i]
    for a in range(g.out_from[i], g.out_from[i + 1]):
        j = g.out[a, 0]
        if starts[j] < 0:
            continue
        drying = g.out[a, 2]
        moment = starts[j] - g.out[a, 1]
        if drying < 0:
            last = min(last, moment)
        elif moment < 0:
            end = -1
        else:
            end = min(end, g.until[drying, min(moment, g.slots)])
    return last, end


@njit(cache=True, nogil=True)
def _first(
    d: int, k: int, c: int, whole: int, nth: Ints, begin: int, end: int, need: Ints, used: Ints, most: Ints
) -> int:
    """Number, among the slots of a calendar from the k-th on, of the first start with room for d; or -1."""
    run = 0
    while k < whole:
        slot = nth[c, k] if c else k
        for n in range(begin, end):
            if used[need[n, 0], slot] + need[n, 1] > most[need[n, 0], slot]:
                run = -1
                break
        run += 1
        if run == d:
            return k - d + 1
        k += 1
    return -1


@njit(cache=True, nogil=True)
def first_slot(g: Any, i: int, at: int, used: Ints, most: Ints) -> int:
    """First start from ``at`` on at which its needs are there; -1 if there is none."""
    d, c = g.duration[i], g.calendar[i]
    if d == 0:
        return at if at <= g.slots else -1
    if at >= g.slots:
        return -1
    begin, end = g.need_from[i], g.need_from[i + 1]
    k = _first(d, g.before[c, at], c, g.before[c, g.slots], g.nth, begin, end, g.need, used, most)
    return k if k < 0 else g.nth[c, k]


@njit(cache=True, nogil=True)
def _last(
    d: int, k: int, c: int, last: int, nth: Ints, begin: int, end: int, need: Ints, used: Ints, most: Ints
) -> int:
    """Last start, not after ``last`` and ending with the k-th slot of a calendar or before; or -1."""
    run = 0
    while k >= 0:
        slot = nth[c, k] if c else k
        for n in range(begin, end):
            if used[need[n, 0], slot] + need[n, 1] > most[need[n, 0], slot]:
                run = -1
                break
        run += 1
        if run >= d and slot <= last:
            return slot
        k -= 1
    return -1


@njit(cache=True, nogil=True)
def last_slot(g: Any, i: int, last: int, end: int, used: Ints, most: Ints) -> int:
    """Last start, not after ``last`` and ending at ``end`` or before, at which its needs are there; or -1."""
    d, c = g.duration[i], g.calendar[i]
    if d == 0:
        return min(last, end)
    if end <= 0 or last < 0:
        return -1
    begin, stop = g.need_from[i], g.need_from[i + 1]
    k = g.before[c, min(end, g.slots)] - 1
    return _last(d, k, c, last, g.nth, begin, stop, g.need, used, most)


@njit(cache=True, nogil=True)
def put(g: Any, i: int, start: int, sign: int, used: Ints) -> None:
    """Book its needs from this start on, or (sign -1) give them back."""
    c = g.calendar[i]
    first = g.before[c, min(start, g.slots)]
    for n in range(g.need_from[i], g.need_from[i + 1]):
        r = g.need[n, 0]
        units = sign * g.need[n, 1]
        for k in range(first, first + g.duration[i]):
            used[r, g.nth[c, k]] += units


@njit(cache=True, nogil=True)
def empty(g: Any, starts: Ints, ends: Ints, used: Ints) -> None:
    """Only what is fixed."""
    used[:] = g.done
    for i in range(len(starts)):
        starts[i] = g.fixed[i]
        ends[i] = finish_of(g, i, g.fixed[i]) if g.fixed[i] >= 0 else -1


@njit(cache=True, nogil=True)
def forward(g: Any, order: Ints, bold: Any, starts: Ints, ends: Ints, used: Ints) -> bool:
    """Each as early as it can, in this order; ``bold`` ones may use extra units. False: does not fit.

    The arrays stand in names of their own: reached through ``g`` in the loops they take three times as long.
    """
    empty(g, starts, ends, used)
    slots, duration, calendar, before, nth = g.slots, g.duration, g.calendar, g.before, g.nth
    need_from, need, normal, most = g.need_from, g.need, g.normal, g.most
    release, into_from, into, ready = g.release, g.into_from, g.into, g.ready
    for i in order:
        at = release[i]
        for a in range(into_from[i], into_from[i + 1]):
            j, drying = into[a, 0], into[a, 2]
            if starts[j] >= 0:
                moment = starts[j] if drying < 0 else ready[drying, ends[j]]
                at = max(at, moment + into[a, 1])
        d, c = duration[i], calendar[i]
        if at > slots:
            return False
        starts[i] = ends[i] = at
        if d == 0:
            continue
        begin, end = need_from[i], need_from[i + 1]
        k = _first(
            d, before[c, at], c, before[c, slots], nth, begin, end, need, used, most if bold[i] else normal
        )
        if k < 0:
            return False
        starts[i] = nth[c, k]
        ends[i] = nth[c, k + d - 1] + 1
        for n in range(begin, end):
            for m in range(k, k + d):
                used[need[n, 0], nth[c, m]] += need[n, 1]
    return True


@njit(cache=True, nogil=True)
def backward(g: Any, order: Ints, bold: Any, end: int, starts: Ints, ends: Ints, used: Ints) -> bool:
    """Each as late as it can, in this order, all before the moment ``end``. False: does not fit."""
    empty(g, starts, ends, used)
    slots, duration, calendar, before, nth = g.slots, g.duration, g.calendar, g.before, g.nth
    need_from, need, normal, most = g.need_from, g.need, g.normal, g.most
    release, latest, out_from, out, until = g.release, g.latest, g.out_from, g.out, g.until
    for i in order:
        last, by = latest[i], end
        for a in range(out_from[i], out_from[i + 1]):
            j, drying = out[a, 0], out[a, 2]
            if starts[j] >= 0:
                moment = starts[j] - out[a, 1]
                if moment < 0:
                    return False
                if drying < 0:
                    last = min(last, moment)
                else:
                    by = min(by, until[drying, min(moment, slots)])
        d, c = duration[i], calendar[i]
        if d == 0:
            start = min(last, by)
        elif by <= 0:
            return False
        else:
            begin, stop = need_from[i], need_from[i + 1]
            k = before[c, by] - 1
            start = _last(d, k, c, last, nth, begin, stop, need, used, most if bold[i] else normal)
        if start < release[i]:
            return False
        starts[i] = ends[i] = start
        if d == 0:
            continue
        first = before[c, start]
        ends[i] = nth[c, first + d - 1] + 1
        for n in range(need_from[i], need_from[i + 1]):
            for m in range(first, first + d):
                used[need[n, 0], nth[c, m]] += need[n, 1]
    return True


@njit(cache=True, nogil=True)
def order_of(g: Any, keys: Ints, order: Ints) -> None:
    """Free activities by rising key; those with equal keys as the arcs want it. Keys from 0 to ``slots``."""
    _by_key(g.free, keys, g.slots, order)


@njit(cache=True, nogil=True)
def _by_key(free: Ints, keys: Ints, slots: int, order: Ints) -> None:
    begins = np.zeros(slots + 3, np.int64)
    for i in free:
        begins[keys[i] + 1] += 1
    for t in range(slots + 2):
        begins[t + 1] += begins[t]
    for i in free:
        order[begins[keys[i]]] = i
        begins[keys[i]] += 1


@njit(cache=True, nogil=True)
def order_back(g: Any, ends: Ints, order: Ints) -> None:
    """Free activities by falling end; those that end together against the arcs."""
    free = g.free
    _by_key(free, ends, g.slots, order)
    many = len(free)
    for n in range(many // 2):
        order[n], order[many - 1 - n] = order[many - 1 - n], order[n]


@njit(cache=True, nogil=True)
def returns_of(g: Any, starts: Ints, ends: Ints) -> int:
    """Visits beyond the first of each group."""
    total = 0
    for group in range(len(g.group_from) - 1):
        members = g.group[g.group_from[group] : g.group_from[group + 1]].copy()
        _by_start(members, starts)
        until = ends[members[0]]
        for i in members[1:]:
            if starts[i] > until + g.patience:
                total += 1
            until = max(until, ends[i])
    return total


@njit(cache=True, nogil=True)
def _by_start(members: Ints, starts: Ints) -> None:
    for n in range(1, len(members)):
        i = members[n]
        k = n
        while k > 0 and starts[members[k - 1]] > starts[i]:
            members[k] = members[k - 1]
            k -= 1
        members[k] = i


@njit(cache=True, nogil=True)
def overtime_of(g: Any, used: Ints) -> int:
    """Units above normal times their price."""
    total = 0
    for r in range(len(g.price)):
        if g.price[r] > 0:
            for t in range(g.slots):
                total += max(0, used[r, t] - g.normal[r, t]) * g.price[r]
    return total


@njit(cache=True, nogil=True)
def cost_of(g: Any, starts: Ints, ends: Ints, used: Ints) -> int:
    """Cost by the weights; lateness before all."""
    finish = 0
    late = 0
    for i in range(len(ends)):
        finish = max(finish, ends[i])
        late += max(0, ends[i] - g.due[i])
    total = late * LATE + g.weights[0] * finish
    if g.weights[1] > 0:
        total += g.weights[1] * returns_of(g, starts, ends)
    if g.weights[2] > 0:
        total += g.weights[2] * overtime_of(g, used)
    return total


@njit(cache=True, nogil=True)
def gather(g: Any, starts: Ints, ends: Ints, used: Ints) -> None:
    """Move work later, where it then joins the next work of its crew at its place."""
    for group in range(len(g.group_from) - 1):
        members = g.group[g.group_from[group] : g.group_from[group + 1]].copy()
        _by_start(members, starts)
        for n in range(len(members) - 2, -1, -1):
            i = members[n]
            following = starts[members[n + 1]]
            if g.fixed[i] >= 0 or following <= ends[i] + g.patience:
                continue
            put(g, i, starts[i], -1, used)
            last, by = latest_by_arcs(g, i, starts, min(following, max(ends[i], g.due[i])))
            start = last_slot(g, i, last, by, used, g.normal)
            if start > starts[i] and finish_of(g, i, start) + g.patience >= following:
                starts[i] = start
                ends[i] = finish_of(g, i, start)
            put(g, i, starts[i], 1, used)
