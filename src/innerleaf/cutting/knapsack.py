"""The fullest bar: a bounded knapsack whose one table answers for every bar length at once.

Compiled on first use and kept on disk. Values are whole numbers, so that what a table says is exact and
a bound drawn from it needs no tolerance.
"""

# numba ships no types, and its decorator hides those below it
# mypy: disable-error-code="untyped-decorator, no-any-return, import-untyped"

from __future__ import annotations

from typing import Any

import numpy as np
from numba import njit
from numpy.typing import NDArray

Ints = NDArray[np.int64]
Table = tuple[Ints, NDArray[np.uint8], Ints, Ints]


@njit(cache=True)
def fill(weight: Ints, value: Ints, most: Ints, capacity: int) -> Table:
    """Fill the table: for each total weight up to ``capacity``, the greatest value that fits.

    Parameters
    ----------
    weight, value, most : int64, shape (n,)
        Of each type: weight (above 0), value, and how many may be taken at most. Types of no value are
        left out.
    capacity : greatest total weight

    Returns
    -------
    best : int64, shape (capacity + 1,)
        Greatest value of a choice of total weight at most j.
    took, part_type, part_times :
        Which bundles of equal pieces are in that choice; read by ``_choice``.

    Notes
    -----
    The copies of a type are bundled by 1, 2, 4, … and a rest, which makes every number up to ``most``;
    then each bundle is taken or not. Martello and Toth, Knapsack Problems, 1990, section 3.2 (from memory).
    """
    part_type, part_times = _bundles(weight, value, most, capacity)
    parts = len(part_type)
    took = np.empty((parts, capacity + 1), np.uint8)
    before, after = np.zeros(capacity + 1, np.int64), np.empty(capacity + 1, np.int64)
    for part in range(parts):
        w = part_times[part] * weight[part_type[part]]
        v = part_times[part] * value[part_type[part]]
        for j in range(w):
            after[j] = before[j]
            took[part, j] = 0
        for j in range(w, capacity + 1):
            with_it = before[j - w] + v
            more = with_it > before[j]
            after[j] = with_it if more else before[j]
            took[part, j] = more
        before, after = after, before
    return before, took, part_type, part_times


@njit(cache=True)
def _bundles(weight: Ints, value: Ints, most: Ints, capacity: int) -> tuple[Ints, Ints]:
    room = len(weight)
    for i in range(len(weight)):
        copies = min(most[i], capacity // weight[i])
        while copies > 1:
            copies //= 2
            room += 1
    part_type, part_times = np.empty(room, np.int64), np.empty(room, np.int64)
    parts = 0
    for i in range(len(weight)):
        left = min(most[i], capacity // weight[i]) if value[i] > 0 else 0
        times = 1
        while left > 0:
            part_type[parts] = i
            part_times[parts] = min(times, left)
            left -= part_times[parts]
            times *= 2
            parts += 1
    return part_type[:parts], part_times[:parts]


@njit(cache=True)
def _choice(table: Table, weight: Ints, j: int, counts: Ints) -> None:
    """Add to ``counts`` what the best choice of total weight at most ``j`` holds."""
    _, took, part_type, part_times = table
    for part in range(len(part_type) - 1, -1, -1):
        if took[part, j]:
            counts[part_type[part]] += part_times[part]
            j -= part_times[part] * weight[part_type[part]]


@njit(cache=True)
def _with_rest(best: Ints, capacity: int, worth: Ints) -> tuple[int, int]:
    """Greatest value of pieces and rest together, and the weight of the pieces.

    ``worth[s]`` is what a rest of weight s is worth; empty if rests are worth nothing.
    """
    if len(worth) == 0:
        return best[capacity], capacity
    value, at = best[capacity] + worth[0], capacity
    for j in range(capacity):
        here = best[j] + worth[capacity - j]
        if here > value:
            value, at = here, j
    return value, at


@njit(cache=True)
def fullest(best: Ints, capacity: Ints, worth: Ints) -> Ints:
    """Of each bar length: the greatest value of pieces and rest, int64 of shape (bar lengths,)."""
    values = np.empty(len(capacity), np.int64)
    for k in range(len(capacity)):
        values[k] = _with_rest(best, capacity[k], worth)[0]
    return values


@njit(cache=True)
def tightest(best: Ints, capacity: int, worth: Ints, price: int) -> tuple[int, int]:
    """The pair (price less the worth of the rest, value of the pieces) of least ratio, value above 0."""
    num, den = price, 0
    first = 0 if len(worth) else capacity
    for j in range(first, capacity + 1):
        if best[j] > 0:
            net = price - (worth[capacity - j] if len(worth) else 0)
            # compared as floats: a slip in the last digit picks a pair no worse than one part in 1e15
            if den == 0 or float(net) * float(den) < float(num) * float(best[j]):
                num, den = net, best[j]
    return num, den


@njit(cache=True)
def patterns(
    table: Table, weight: Ints, value: Ints, most: Ints, capacity: Ints, price: Ints, worth: Ints, least: int
) -> Any:
    """Bars worth more than they cost: the best of each length, and the best that holds each type.

    Returns
    -------
    source, start, type, count :
        Bar length of each pattern; where its entries begin; and per entry the type and how many of it.
        Only patterns whose value is above the price by more than ``least``.
    """
    n, lengths = len(weight), len(capacity)
    best = table[0]
    sources, starts = np.empty(n + lengths, np.int64), np.zeros(n + lengths + 1, np.int64)
    types, counts = np.empty(64 * (n + lengths), np.int64), np.empty(64 * (n + lengths), np.int64)
    one = np.zeros(n, np.int64)
    made = used = 0
    for want in range(-lengths, n):  # below 0: the best of a length; else the best that holds a type
        source, at = _best_source(best, weight, value, capacity, price, worth, least, want)
        if source < 0:
            continue
        one[:] = 0
        _choice(table, weight, at, one)
        if want >= 0:
            one[want] += 1
        entries = np.count_nonzero(one)
        if (want >= 0 and one[want] > most[want]) or used + entries > len(types) or entries == 0:
            continue
        for i in range(n):
            if one[i]:
                types[used], counts[used] = i, one[i]
                used += 1
        sources[made] = source
        made += 1
        starts[made] = used
    return sources[:made], starts[: made + 1], types[:used], counts[:used]


@njit(cache=True)
def _best_source(
    best: Ints, weight: Ints, value: Ints, capacity: Ints, price: Ints, worth: Ints, least: int, want: int
) -> tuple[int, int]:
    """The bar length that gains most beyond ``least``, -1 if none does, and the weight left to choose for."""
    if want >= 0 and value[want] == 0:
        return -1, 0
    first, last = (0, len(capacity)) if want >= 0 else (-1 - want, -want)
    taken, bonus = (weight[want], value[want]) if want >= 0 else (0, 0)
    source, gain, at = -1, least, 0
    for k in range(first, last):
        if capacity[k] >= taken:
            inside, j = _with_rest(best, capacity[k] - taken, worth)
            if inside + bonus - price[k] > gain:
                source, gain, at = k, inside + bonus - price[k], j
    return source, at
