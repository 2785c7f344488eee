"""Trial layouts: each frame under each number of layers set out once on the wall, for its quantities."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from innerleaf.design.choice.bill import Bill, Losses, bill_of, losses_of
from innerleaf.design.choice.criteria import Ints
from innerleaf.design.choice.options import Options
from innerleaf.layout.pieces import WallPlan
from innerleaf.layout.plan import plan_wall
from innerleaf.practice.model import Practice
from innerleaf.survey.wall import Wall, Way
from innerleaf.takeoff import take_off


@dataclass(frozen=True, slots=True)
class Trial:
    """One frame set out with one of its linings, and the bill of that."""

    plan: WallPlan
    bill: Bill


@dataclass(frozen=True, slots=True, eq=False)
class Trials:
    """All trials of a wall; ``of`` says which serves each option, shape (options,)."""

    trials: tuple[Trial, ...]
    of: Ints


def set_trials(wall: Wall, options: Options, practice: Practice) -> Trials:
    """Set out each (frame, number of board layers) once, with insulation and membrane where any have it.

    Offcuts are those of the first trial with boards of that width. Where members stand, and what is screwed
    and sealed, hardly depends on what lies in the cavity; the finalists are set out with their own.
    """
    layers = options.layers[options.packet]
    keys, of = np.unique(np.stack([options.system, layers]), axis=1, return_inverse=True)
    of = of.reshape(-1)
    full = (options.between > 0).astype(int) + (options.behind > 0) + (options.membrane_given > 0)
    order = np.lexsort((np.arange(len(of)), -full, of))
    firsts = order[np.searchsorted(of[order], np.arange(keys.shape[1]))]
    trials = []
    losses: dict[tuple[Way, int], Losses] = {}
    for option in firsts:
        plan = plan_wall(options.wall(wall, int(option)), practice)
        system = options.systems[options.system[option]]
        key = system.way, system.board_width_mm
        if key not in losses:
            losses[key] = losses_of(take_off([plan], practice), practice)
        trials.append(Trial(plan, bill_of(plan, practice, losses[key])))
    return Trials(tuple(trials), of)
