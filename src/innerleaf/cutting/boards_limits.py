"""Where the search for boards stops: counts, not seconds, so that it always stops in the same place."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class BoardLimits:
    """Where the search stops.

    ``starts`` plans by best fit with shuffled rules, the best of them mended ``repairs`` times (a few boards
    emptied and filled anew); ``rounds`` of pricing, none where the table of values would have more than
    ``cells`` entries. With more kinds of pieces than ``types`` only a bound is priced, in ``coarse_rounds``:
    sizes are rounded down to ``grid_mm``, and pieces of nearly one size share a price, in some ``groups``.
    ``dives`` from the mixture to whole boards, of at most ``steps`` each, with ``again`` pricings at every
    step; ``branches`` of one integer program. A plan within ``close`` of the bound, as a share of it, is good
    enough. ``go_on`` may end the search earlier, by the clock; then two runs may differ.
    """

    starts: int = 60
    repairs: int = 200_000
    rounds: int = 200
    cells: int = 20_000_000
    types: int = 1200
    grid_mm: int = 5
    groups: int = 600
    coarse_rounds: int = 60
    dives: int = 4
    steps: int = 60
    again: int = 8
    branches: int = 200
    close: float = 0.0
    go_on: Callable[[], bool] = lambda: True
