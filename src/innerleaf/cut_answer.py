"""What answers of `innerleaf cut` for programs have in common, whether bars or sheets were cut."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, Protocol

Money = Callable[[float], float | int]


class Asked(Protocol):
    """A file as far as its money goes; prices count in 10 to the power of minus ``decimals``."""

    @property
    def priced(self) -> bool:
        """Whether the file has prices; without them a bar or sheet costs its size."""

    @property
    def decimals(self) -> int:
        """Decimals that prices are reckoned with."""


class Plan(Protocol):
    """A plan as far as its quality goes."""

    @property
    def cost(self) -> int:
        """What it costs."""

    @property
    def bound(self) -> int:
        """No plan costs less."""

    @property
    def gap(self) -> float:
        """What it costs beyond the bound, as a share."""

    @property
    def stopped_by(self) -> str:
        """Why the search stopped."""

    @property
    def seed(self) -> int:
        """Of the search."""


def money_of(asked: Asked) -> Money:
    """Turns what a plan reckons with into money as the file writes it, or leaves a size as it is."""
    unit = 10**asked.decimals if asked.priced else 1
    return lambda value: value / unit if unit > 1 else round(value)


def quality(asked: Asked, plan: Plan) -> dict[str, Any]:
    """How good a plan is, at the head of an answer."""
    money = money_of(asked)
    return {
        "ok": True,
        "cost": money(plan.cost),
        "bound": money(plan.bound),
        "gap": round(plan.gap, 8),
        "stopped_by": plan.stopped_by,
        "seed": plan.seed,
        "priced": asked.priced,
    }
