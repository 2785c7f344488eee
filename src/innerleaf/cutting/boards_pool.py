"""The patterns met so far: boards, and what is cut from them."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field

from innerleaf.cutting.boards_job import Ints, Job, Leaves


@dataclass(frozen=True, slots=True)
class Pattern:
    """A board and what is cut from it: counts of types, and the leaves."""

    sheet: int
    types: tuple[int, ...]
    counts: tuple[int, ...]
    leaves: Leaves

    def within(self, demand: Ints) -> bool:
        """Whether it holds no more of any type than is wanted."""
        return all(n <= demand[t] for t, n in zip(self.types, self.counts, strict=True))


@dataclass(slots=True)
class BoardPool:
    """The patterns met so far; of equal ones the first."""

    job: Job
    patterns: list[Pattern] = field(default_factory=list)
    _seen: set[tuple[object, ...]] = field(default_factory=set)

    def add(self, sheet: int, leaves: Leaves) -> bool:
        """Take a board in; False if one like it is known, or nothing is cut from it."""
        made = sorted(Counter(self.job.shapes.type[leaves.shape].tolist()).items())
        key = sheet, *made
        if not made or key in self._seen:
            return False
        self._seen.add(key)
        types, counts = zip(*made, strict=True)
        self.patterns.append(Pattern(sheet, types, counts, leaves))
        return True
