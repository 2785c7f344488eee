"""What a building's linings are chosen by, as the job states it under ``choose``."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Final

import numpy as np

from innerleaf.design.choice.criteria import BY_KEY, CARBON, COST, FLOOR, HOURS, Criterion, Figures, Floats
from innerleaf.errors import InputError

WEIGHTED: Final = "weighted"
# By the word of the job file; thickness counts as the floor it takes, so that long walls count more.
OBJECTIVES: Final[Mapping[str, Criterion]] = {
    "cost": COST,
    "thickness": FLOOR,
    "hours": HOURS,
    "carbon": CARBON,
}
WEIGHTS: Final = ("cost", "hours", "floor", "carbon", "mass", "waste")


@dataclass(frozen=True, slots=True, kw_only=True)
class Choose:
    """How to choose: what to make least, and what variety costs in the same unit.

    ``weights`` (for ``weighted``) say what one unit of each figure is worth. ``align`` lists groups of walls
    whose faces had better lie in one plane.
    """

    objective: str = "cost"
    weights: Mapping[str, float] = field(default_factory=dict)
    most_systems: int | None = None
    another_system: float = 0.0
    another_profile: float = 0.0
    another_board_width: float = 0.0
    another_face: float = 0.0
    align: tuple[tuple[str, ...], ...] = ()

    def __post_init__(self) -> None:
        if self.objective not in (*OBJECTIVES, WEIGHTED):
            accepted = ", ".join((*OBJECTIVES, WEIGHTED))
            raise InputError("choose.objective", given=self.objective, accepted=accepted)
        if (self.objective == WEIGHTED) != bool(self.weights):
            accepted = "with objective weighted, and only then: " + ", ".join(WEIGHTS)
            raise InputError("choose.weights", given=dict(self.weights), accepted=accepted)

    @property
    def step(self) -> float:
        """Resolution of what is made least."""
        return OBJECTIVES[self.objective].step if self.objective in OBJECTIVES else 0.01

    def show(self, value: float) -> str:
        """A value of the objective in words."""
        if self.objective in OBJECTIVES:
            return OBJECTIVES[self.objective].show(value)
        return f"{value:.2f} (weighted)"

    @property
    def criteria(self) -> tuple[Criterion, ...]:
        """The figures it rests on."""
        if self.objective in OBJECTIVES:
            return (OBJECTIVES[self.objective],)
        return tuple(BY_KEY[key] for key in self.weights)

    def values(self, figures: Figures) -> Floats:
        """What is made least, for every option; infinite where a figure is not known."""
        if self.objective in OBJECTIVES:
            total = figures[OBJECTIVES[self.objective]]
        else:
            parts = [weight * figures[BY_KEY[key]] for key, weight in sorted(self.weights.items())]
            total = np.sum(parts, axis=0)
        return np.where(np.isfinite(total), np.round(total / self.step) * self.step, np.inf)
