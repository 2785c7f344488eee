"""Between which slots each activity can start, by lags and calendars alone, compiled."""

# numba ships no types, and its decorator hides those below it
# mypy: disable-error-code="untyped-decorator, no-any-return, import-untyped"

from __future__ import annotations

from typing import Any

import numpy as np
from numba import njit

from innerleaf.programme.engine.grid import Ints
from innerleaf.programme.engine.serial import earliest_by_arcs, first_slot, last_slot, latest_by_arcs


@njit(cache=True, nogil=True)
def ends_from(g: Any, starts: Ints, ends: Ints) -> None:
    """Ends of activities, where they have starts."""
    for i in range(len(starts)):
        ends[i] = starts[i]
        if starts[i] >= 0 and g.duration[i] > 0:
            c = g.calendar[i]
            k = g.before[c, min(starts[i], g.slots)] + g.duration[i] - 1
            ends[i] = g.nth[c, k] + 1 if k < g.slots else g.slots + 1


@njit(cache=True, nogil=True)
def earliest(g: Any, order: Ints, starts: Ints) -> bool:
    """Raise starts (fixed ones, or -1 or a guess from below) as lags and calendars want. False: no way."""
    ends = np.zeros_like(starts)
    ends_from(g, starts, ends)
    for _ in range(len(order) + 2):
        same = True
        for i in order:
            at = first_slot(g, i, max(starts[i], earliest_by_arcs(g, i, starts, ends)), g.done, g.most)
            if at < 0:
                return False
            if at > starts[i]:
                same = False
                starts[i] = at
                ends[i] = at
                if g.duration[i] > 0:
                    c = g.calendar[i]
                    ends[i] = g.nth[c, g.before[c, at] + g.duration[i] - 1] + 1
        if same:
            return True
    return False


@njit(cache=True, nogil=True)
def latest(g: Any, order: Ints, end: int, starts: Ints) -> bool:
    """Last starts if all ends at the moment ``end`` or before; ``starts`` begin beyond all slots or lower."""
    for _ in range(len(order) + 2):
        same = True
        for n in range(len(order) - 1, -1, -1):
            i = order[n]
            last, by = latest_by_arcs(g, i, starts, min(end, g.due[i]))
            at = last_slot(g, i, min(starts[i], last), by, g.done, g.most)
            if at < g.release[i]:
                return False
            if at < starts[i]:
                same = False
                starts[i] = at
        if same:
            return True
    return False
