"""Quantities, purchases, money and hours of two plans, line by line. Money is in hundredths."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from math import fsum
from typing import TypeVar

from innerleaf.cost.price_model import Price
from innerleaf.errors import InputError
from innerleaf.takeoff.model import Takeoff

Key = TypeVar("Key")


@dataclass(frozen=True, slots=True)
class Figure:
    """One figure of both plans; ``unit`` as of a takeoff, "h" or "d", or "money" (hundredths)."""

    group: str
    what: str
    unit: str
    before: float
    after: float

    @property
    def change(self) -> float:
        """After less before. [unit]"""
        return round(self.after - self.before, 3)


@dataclass(frozen=True, slots=True, kw_only=True)
class Money:
    """Two prices held together; ``walls`` are net prices by wall, ``steps`` the way from cost to price."""

    currency: str
    parts: tuple[Figure, ...]
    steps: tuple[Figure, ...]
    walls: tuple[Figure, ...]
    sums: tuple[Figure, ...]
    hours: tuple[Figure, ...]
    days: Figure

    def sum_of(self, what: str) -> Figure:
        """One of the sums: direct cost, cost, net, tax or gross."""
        return next(figure for figure in self.sums if figure.what == what)


def quantities_held_together(before: Takeoff, after: Takeoff) -> tuple[Figure, ...]:
    """Every quantity as built, by group, item and use; equal ones as well."""
    sides = [
        {(line.group, line.item, line.use, line.unit): line.quantity for line in side.lines}
        for side in (before, after)
    ]
    return tuple(
        Figure(group, f"{item}, {use}" if use else item, unit, *both)
        for (group, item, use, unit), both in _both(*sides).items()
    )


def purchases_held_together(before: Takeoff, after: Takeoff) -> tuple[Figure, ...]:
    """Packs that would be bought for each plan, were nothing there: by article and length, or size."""
    sides = [
        _summed(
            ((bought.group, f"{bought.item} {pack.size:g}"), float(pack.count))
            for bought in side.purchases
            for pack in bought.packs
        )
        for side in (before, after)
    ]
    return tuple(Figure(group, what, "piece", *both) for (group, what), both in _both(*sides).items())


def money_held_together(before: Price, after: Price) -> Money:
    """Two prices, part by part.

    Raises
    ------
    InputError
        The prices are in different currencies.
    """
    if before.currency != after.currency:
        raise InputError(
            "currency of the later price", given=after.currency, accepted=f"{before.currency}, as the earlier"
        )
    sides = before, after
    parts = _both(*({part.part: float(part.total) for part in side.parts} for side in sides))
    steps = _both(*(_summed((step.text, step.amount) for step in side.steps) for side in sides))
    walls = _both(*({wall.wall: float(wall.net) for wall in side.walls} for side in sides))
    hours = _both(*(_summed(((line.work, line.trade), line.hours) for line in side.labour) for side in sides))
    sums = ("direct", "direct cost"), ("cost", "cost"), ("net", "net"), ("vat", "tax"), ("gross", "gross")
    return Money(
        currency=after.currency,
        parts=tuple(Figure("part", name, "money", *both) for name, both in parts.items()),
        steps=tuple(Figure("step", name, "money", *both) for name, both in steps.items()),
        walls=tuple(Figure("wall", name, "money", *both) for name, both in walls.items()),
        sums=tuple(
            Figure("sum", name, "money", float(getattr(before, key)), float(getattr(after, key)))
            for key, name in sums
        ),
        hours=tuple(Figure(trade, work, "h", *both) for (work, trade), both in hours.items()),
        days=Figure("site", "days on site", "d", float(before.crew.days), float(after.crew.days)),
    )


def _summed(pairs: Iterable[tuple[Key, float]]) -> dict[Key, float]:
    found: dict[Key, list[float]] = {}
    for key, amount in pairs:
        found.setdefault(key, []).append(amount)
    return {key: fsum(amounts) for key, amounts in found.items()}


def _both(before: Mapping[Key, float], after: Mapping[Key, float]) -> dict[Key, tuple[float, float]]:
    """Figures of both sides by key: the order of the later, what only the earlier has at its place after."""
    keys = dict.fromkeys([*after, *before])
    return {key: (before.get(key, 0.0), after.get(key, 0.0)) for key in keys}
