"""How high frames may stand and what may hang on them: the catalogue's limits and the calculation."""

from __future__ import annotations

from math import inf
from typing import Protocol

import numpy as np

from innerleaf.design.choice.criteria import Floats
from innerleaf.design.choice.options import System
from innerleaf.design.frame.heights import use_of
from innerleaf.design.frame.profile import bar_of
from innerleaf.design.frame.wall import USUAL_CASES
from innerleaf.physics.frame.heights import greatest_height
from innerleaf.practice.model import Practice
from innerleaf.practice.structure import structure_of
from innerleaf.survey.wall import MemberBuild

_MOST = 10.0  # m: heights beyond this are not looked at


class FrameModel(Protocol):
    """Anything that tells how high a frame may stand, with tiles or without. [mm]"""

    def __call__(self, system: System, practice: Practice, /, *, tiled: bool) -> float:
        """The greatest height; infinite where it is not limited."""
        ...


def catalogue_height(system: System, _practice: Practice, /, *, tiled: bool) -> float:  # noqa: ARG001
    """The greatest height that the catalogue gives the profile: a limit of plausibility."""
    profile = system.profile
    single = system.build == MemberBuild.SINGLE
    return float((profile.greatest_height_mm if single else profile.greatest_height_doubled_mm) or inf)


def calculated_height(system: System, practice: Practice, /, *, tiled: bool) -> float:
    """The less of the catalogue's limit and the calculation under the usual loads, for the finish.

    Channels are held by brackets whose distance is a rule, so only the catalogue limits them.
    """
    limit = catalogue_height(system, practice, tiled=tiled)
    if system.bracketed:
        return limit
    structure = structure_of(practice)
    bar = bar_of(system.profile, structure, system.studs)
    finish = structure.finishes["tiled" if tiled else "painted"]
    found = [
        greatest_height(
            bar.stiffness,
            bar.resistance,
            system.spacing_mm / 1000,
            finish.ratio,
            use_of(structure.cases[case]),
            _MOST,
        ).length
        for case in USUAL_CASES
    ]
    return min(limit, *(1000 * float(height) for height in found))


def hung_load_limits(packet_mm: Floats, practice: Practice) -> Floats:
    """What may be hung on a metre of lining, by the thickness of its boards. [N/m]"""
    rules = practice.rules
    thick = packet_mm >= rules.hung_load_packet_min_mm
    return np.where(thick, rules.hung_load_max_n_m, rules.hung_load_thin_max_n_m).astype(float)
