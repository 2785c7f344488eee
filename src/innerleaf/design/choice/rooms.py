"""What linings do between the rooms on both sides, where the job says what surrounds the wall."""

from __future__ import annotations

import numpy as np

from innerleaf.design.choice.criteria import Floats
from innerleaf.design.choice.options import Options
from innerleaf.design.sound.wall import sound_of
from innerleaf.layout.plan import plan_wall
from innerleaf.practice.model import Practice
from innerleaf.survey.wall import Wall

_SOLVED = 7  # linings whose rooms are reckoned through, from the least gain to the greatest


def between_rooms(
    wall: Wall, options: Options, gain: Floats, practice: Practice
) -> tuple[Floats, Floats] | None:
    """Improvement of R'w and R'w itself, lined, of options that improve Rw by ``gain`` [dB].

    A few are reckoned through with all that goes round the wall, the others lie between these by their gain:
    an estimate, within 0.2 dB where it was tried. None where the job does not say what surrounds the wall.
    """
    if wall.separates is None or not wall.separates.flanks:
        return None
    order = np.argsort(gain, kind="stable")
    few = order[np.unique(np.linspace(0, len(order) - 1, _SOLVED).astype(int))]
    found: dict[float, tuple[float, float]] = {}
    for option in few:
        sound = sound_of(plan_wall(options.wall(wall, int(option)), practice), practice)
        if isinstance(sound, str) or sound.effect is None:
            return None
        found[float(gain[option])] = sound.effect.gain, sound.effect.after.rw
    at = sorted(found)
    rise, reduction = np.array([found[each] for each in at]).T
    return np.interp(gain, at, rise), np.interp(gain, at, reduction)
