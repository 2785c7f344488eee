"""What the order brings in place of the stock that the cut plan was made for, in words for the foreman."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import TYPE_CHECKING

if TYPE_CHECKING:  # buying is loaded where a job buys
    from innerleaf.cost.model import Order

ComesAs = Mapping[tuple[str, int], str]  # words by item and stock length [mm]


def comes_as(order: Order | None) -> ComesAs:
    """How each stock may come that the order covers by another length or article, with its deliveries.

    Only some of the bars or boards of a stock may come so: the cuts stay, the rest is longer.
    """
    found: dict[tuple[str, int], dict[str, dict[str, None]]] = {}
    for line in order.lines if order else ():
        for other in line.stands_in:
            name = (
                f"{line.article} {line.length_mm}" if other.article != line.article else f"{line.length_mm}"
            )
            names = found.setdefault((other.article, other.length_mm), {})
            names.setdefault(name, {})[line.delivery or "in hand"] = None
    return {
        stock: " or ".join(_told(name, list(d)) for name, d in names.items())
        for stock, names in found.items()
    }


def without_places(words: str) -> str:
    """The lengths alone, for a label, which has little room.

    >>> without_places("3000 (order D1, D5) or 4000 (in hand)")
    '3000 or 4000'
    """
    return re.sub(r" \([^)]*\)", "", words)


def _told(name: str, places: list[str]) -> str:
    """One length with where it comes from.

    >>> _told("3000", ["D1", "D5"]), _told("3000", ["in hand"])
    ('3000 (order D1, D5)', '3000 (in hand)')
    """
    ordered = [place for place in places if place != "in hand"]
    told = [f"order {', '.join(ordered)}"] if ordered else []
    return f"{name} ({'; '.join([*(['in hand'] if len(ordered) < len(places) else []), *told])})"
