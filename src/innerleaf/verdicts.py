"""Verdicts: a requirement, met or not, with the figures that say so and the way they were reached."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Verdict:
    """One requirement, met or not, with the figures that say so.

    ``working`` are the lines an inspector can redo by hand; ``source`` is a standard and clause, or
    whoever asked for it. ``uncertainty`` is a standard uncertainty of ``value`` (0 where none is known);
    ``risk`` is how likely the limit is missed by the scatter assumed (None: not estimated).
    """

    requirement: str
    value: float
    limit: float
    unit: str
    at_most: bool  # True: value <= limit is good
    working: tuple[str, ...]
    source: str
    uncertainty: float = 0.0
    risk: float | None = None

    @property
    def margin(self) -> float:
        """How far inside the limit; negative when missed. [unit]"""
        return self.limit - self.value if self.at_most else self.value - self.limit

    @property
    def met(self) -> bool:
        """Whether the requirement is met."""
        return self.margin >= 0
