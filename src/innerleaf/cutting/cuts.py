"""What a search finds and where it stops: shared by all its parts."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """Where the search stops. Counts, not seconds, so that it always stops in the same place.

    ``rounds`` of pricing in one mixture, ``nodes`` mixtures in the dives, ``branches`` of one integer
    program (0: none); fewer patterns are looked for in up to ``few`` steps where there are no more types
    than that. A plan within ``close`` of the bound, as a share of it, is good enough. ``go_on``
    may end the search earlier, by the clock; then two runs may differ.
    """

    rounds: int = 400
    nodes: int = 400
    branches: int = 20
    few: int = 60
    close: float = 0.0
    go_on: Callable[[], bool] = lambda: True


@dataclass(frozen=True, slots=True)
class Cut:
    """So many bars of one length cut alike: types and how many of each."""

    source: int
    types: tuple[int, ...]
    counts: tuple[int, ...]
    times: int
