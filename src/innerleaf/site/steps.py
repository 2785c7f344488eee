"""The work on one wall, step by step, in the order in which it is done; only what its layout has.

The words are those of the programme, so that a day's operations and a wall's steps speak of the same work.
"""

from __future__ import annotations

from typing import Final

from innerleaf.layout.pieces import WallPlan
from innerleaf.programme import steps
from innerleaf.takeoff.count import COATS, SKIMMED

SERVICES: Final = "services in and tested"  # by others: cables, pipes


def steps_of(plan: WallPlan) -> tuple[str, ...]:
    """The steps of a wall in their order."""
    finish = plan.wall.lining.finish
    coats, layers = COATS[finish], len(plan.wall.lining.boards)
    found = [steps.MARK_OUT, steps.TRACKS]
    found += [steps.BRACKETS] if plan.brackets else []
    found += [steps.FRAME]
    found += [SERVICES] if plan.penetrations else []
    found += [steps.INSULATION] if plan.slabs else []
    found += [steps.VAPOUR] if plan.membrane else []
    for layer in range(1, layers + 1):
        found.append(steps.board_layer(layer))
        found += [steps.fill(layer)] if layer < layers and coats else []
    found += [steps.coat(number) for number in range(1, coats + 1)]
    found += [steps.SKIM] if finish in SKIMMED else []
    found += [steps.SANDING] if coats else []
    return (*found, steps.PRIME)


def layer_of(step: str) -> int:
    """The board layer that a step puts up; 0 for another step."""
    start = steps.board_layer(0).rpartition(" ")[0]
    return int(step.rpartition(" ")[2]) if step.startswith(start) else 0
