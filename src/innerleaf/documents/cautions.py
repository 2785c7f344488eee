"""Cautions that go with a wall: when each applies, and what it says.

They follow from what the plan holds, so they cannot be forgotten on a sheet. Common practice of the
trade, no source; local codes and licensed practice govern.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from innerleaf.layout.pieces import WallPlan

REACH_MM = 2000  # above this, work is at height (common practice, no source)


@dataclass(frozen=True, slots=True)
class Caution:
    """One caution and when it applies."""

    topic: str
    text: str
    applies: Callable[[WallPlan], bool]


def _always(_plan: WallPlan) -> bool:
    return True


CLOSING = Caution(
    "Closing the wall",
    "Insulation and closing of the wall only after cables and pipes are in and tested.",
    lambda plan: bool(plan.wall.lining.insulation or plan.wall.lining.membrane),
)
CAUTIONS = (
    Caution(
        "Old coatings and fillers",
        "Have the old wall surveyed for asbestos and lead paint before anything is drilled, scraped or cut.",
        _always,
    ),
    Caution(
        "Cables and pipes",
        "Trace live cables and pipes behind the surface before drilling; isolate what cannot be avoided.",
        _always,
    ),
    CLOSING,
    Caution(
        "Damp",
        "Do not line a wall that is damp: find and cure the cause first, and let the wall dry.",
        _always,
    ),
    Caution(
        "Heavy boards",
        "Boards and bundles are heavy: two persons or a lifting aid; store flat, spread over joists.",
        lambda plan: bool(plan.boards),
    ),
    Caution(
        "Steel edges",
        "Cut steel is sharp: cut-resistant gloves, eye protection, deburr ends.",
        lambda p: bool(p.bars),
    ),
    Caution(
        "Dust",
        "Sanding, cutting and drilling make harmful dust: extraction at the tool and a fitting mask.",
        _always,
    ),
    Caution(
        "Mineral fibres",
        "Handling wool: gloves, goggles, mask, covered skin; keep the room aired.",
        lambda plan: bool(plan.slabs) or bool(plan.wall.lining.insulation),
    ),
    Caution(
        "Work at height",
        "Use a platform with guard rails for work above reach; keep ladders for access only.",
        lambda plan: plan.wall.height_mm > REACH_MM,
    ),
    Caution(
        "Flues and heat sources",
        "Keep the lining's clear distance from flues and heat sources; ask before boxing one in.",
        _always,
    ),
    Caution(
        "Fire and load-bearing",
        "Fire-rated and load-bearing walls need a tested system and a licensed designer;"
        " these sheets prove neither.",
        _always,
    ),
    Caution(
        "What these sheets are",
        "Structural, fire, electrical and moisture decisions follow local codes and licensed practice."
        " These sheets are a basis for such decisions, not a substitute.",
        _always,
    ),
)


def cautions_for(plans: Iterable[WallPlan]) -> list[Caution]:
    """The cautions that apply to at least one of the walls, in their order."""
    walls = list(plans)
    return [caution for caution in CAUTIONS if any(caution.applies(plan) for plan in walls)]
