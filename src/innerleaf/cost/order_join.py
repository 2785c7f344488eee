"""Small deliveries that come along with the one before: who comes with whom.

A delivery is small where the packs that it opens are worth little. It comes along with the last delivery of
the same supplier to the same place before it that comes by itself, if none of its goods has a long lead time
and not too much then lies waiting. ``docs/buying.md`` says how much that is.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import ceil


@dataclass(frozen=True, slots=True, kw_only=True)
class JoinRule:
    """What may come along: deliveries worth ``up_to`` or less, of goods ordered ``lead_days`` before or less.

    With one delivery no more than ``waiting_g`` come early. ``places`` says by delivery where it is set down.
    """

    up_to: int
    waiting_g: int
    lead_days: int
    places: tuple[int, ...]


@dataclass(slots=True)
class Load:
    """What a supplier brings for one delivery: worth and mass of the packs opened, their longest lead time.

    ``used_g`` is the mass of the share that is used in it, by which lorries are counted.
    """

    worth: Fraction = Fraction(0)
    opened_g: Fraction = Fraction(0)
    used_g: Fraction = Fraction(0)
    lead_days: int = 0
    comes: bool = False


def heads(loads: Sequence[Load], rule: JoinRule | None, most_g: int) -> dict[int, int]:
    """By each delivery of a supplier that is due, the one it comes with: fewest lorries, then deliveries.

    Among equals so that least comes early. ``most_g`` is what a lorry takes, 0: any.

    >>> rule = JoinRule(up_to=100, waiting_g=500, lead_days=5, places=(0, 0, 0))
    >>> heads([Load(Fraction(n), comes=True) for n in (900, 80, 700)], rule, 0)
    {0: 0, 1: 0, 2: 2}
    """
    due = [drop for drop, load in enumerate(loads) if load.comes]
    if rule is None:
        return {drop: drop for drop in due}
    found: dict[int, int] = {}
    for place in dict.fromkeys(rule.places[drop] for drop in due):
        found |= _grouped([drop for drop in due if rule.places[drop] == place], loads, rule, most_g)
    return dict(sorted(found.items()))


def _grouped(due: Sequence[int], loads: Sequence[Load], rule: JoinRule, most_g: int) -> dict[int, int]:
    """Neighbours put together at the least; the best for the first so many is built upon."""
    best: list[tuple[tuple[int, int, Fraction], dict[int, int]]] = [((0, 0, Fraction(0)), {})]
    for last in range(len(due)):
        ways = []
        for first in range(last, -1, -1):
            brought = due[first + 1 : last + 1]
            early = sum((loads[drop].opened_g for drop in brought), Fraction(0))
            if early > rule.waiting_g or (brought and not _is_small(loads[brought[0]], rule)):
                break  # those further back would bring more along
            (before, number, waiting), so_far = best[first]
            mass = loads[due[first]].used_g + sum(loads[drop].used_g for drop in brought)
            cost = (before + lorries_for(mass, most_g), number + 1, waiting + early)
            ways.append((cost, so_far | dict.fromkeys(due[first : last + 1], due[first])))
        best.append(min(ways, key=lambda way: way[0]))
    return best[-1][1]


def _is_small(load: Load, rule: JoinRule) -> bool:
    return load.worth <= rule.up_to and load.lead_days <= rule.lead_days


def lorries_for(mass_g: Fraction, most_g: int) -> int:
    """Lorries for a delivery that does come."""
    return max(1, ceil(mass_g / most_g)) if most_g else 1
