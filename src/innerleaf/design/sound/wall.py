"""Sound of one wall as set out: predicted from its layers before and after lining, and judged.

As in a laboratory: what goes round the wall counts only where the job says what surrounds it.
"""

from __future__ import annotations

from math import hypot
from typing import Final

import numpy as np

from innerleaf.design.sound.case import SoundCase, sound_case
from innerleaf.design.sound.flanks import Surroundings, surroundings_of
from innerleaf.design.sound.model import BoardLayer, board_packet, lined_wall
from innerleaf.design.sound.old_wall import OldWall, old_wall
from innerleaf.design.sound.rooms_by_band import heard_by_band
from innerleaf.design.sound.verdicts import Predicted, Rooms, Sound, judge_sound, promised_gain
from innerleaf.errors import InputError
from innerleaf.layout.pieces import WallPlan
from innerleaf.physics.sound.flanking import SeparatingWall
from innerleaf.physics.sound.leaf import Leaf
from innerleaf.physics.sound.lining_effect import effect_of_lining
from innerleaf.physics.sound.ratings import fine_weighted_reduction_index
from innerleaf.physics.sound.transmission import lined
from innerleaf.practice.acoustics import Acoustics, load_acoustics
from innerleaf.practice.model import Practice

_LABORATORY: Final = "laboratory"  # workmanship that the predictions were held against
_ROOM_BEYOND: Final = ("neighbour", "stair", "heated")


def sound_of(plan: WallPlan, practice: Practice) -> Sound | str:
    """Predict and judge the sound insulation of a lined wall; or say why it cannot be.

    Where the job says what surrounds the wall (`survey.separates`), what arrives in the next room is worked
    out as well.
    """
    acoustics, around = load_acoustics(), plan.wall.separates
    try:
        case = sound_case(plan, practice)
        at = acoustics.workmanship[_LABORATORY]
        old = old_wall(plan.wall.construction, practice, acoustics, at)
        boards = _boards(case, acoustics)
    except InputError as error:
        return f"sound is not judged: {error}"
    predicted = _predicted(case, old, boards, acoustics)
    rw = float(fine_weighted_reduction_index(predicted.bare))
    wool = acoustics.fibres["mineral-wool"]
    resistivity = wool.flow_resistivity(case.fill_density) if case.fill else 0.0
    wall, beyond = plan.wall, plan.wall.other_side in _ROOM_BEYOND
    rooms = None
    if around and around.flanks:
        flanks = surroundings_of(around, case.wall_mass, practice, acoustics)
        rooms = _rooms(wall.id, old, predicted, rw, flanks)
    estimate = case.estimate(rw, resistivity, old.solid.leaf.mass)
    return judge_sound(wall.id, wall.targets, predicted, estimate, rooms, beyond=beyond)


def _boards(case: SoundCase, acoustics: Acoustics) -> Leaf:
    layers = [
        BoardLayer(kind=board.type, thickness_mm=board.thickness_mm, mass_kg_m2=board.mass_kg_m2)
        for board in case.boards
    ]
    return board_packet(layers, acoustics)


def _predicted(case: SoundCase, old: OldWall, boards: Leaf, acoustics: Acoustics) -> Predicted:
    base, depth, fill = old.solid, 1000 * case.cavity, 1000 * case.fill
    wall = lined_wall(
        base.leaf,
        boards,
        acoustics,
        acoustics.workmanship[_LABORATORY],
        depth_mm=depth,
        fill_mm=fill,
        spacing_mm=1000 * case.spacing,
        bracketed=case.rigid,
    )
    spread = acoustics.uncertainty["lining-one-side"].rating_db
    of_wall = acoustics.uncertainty["solid" if old.leaves == 1 else "cavity-wall"].rating_db
    return Predicted(
        bare=tuple(base.index.tolist()),
        lined=tuple(lined(base.index, wall.construction, base=0).tolist()),
        reduction_uncertainty=hypot(of_wall, spread),
        gain_uncertainty=spread,
        no_gain=wall.no_gain,
        working=(
            f"old wall {base.working}",
            f"boards {boards.mass:.1f} kg/m², cavity {depth:.0f} mm with {fill:.0f} mm wool, frame:"
            f" {wall.frame.id}, resonance {wall.resonance:.0f} Hz",
        ),
    )


def _rooms(name: str, old: OldWall, predicted: Predicted, rw: float, flanks: Surroundings) -> Rooms:
    """What arrives in the next room: by single numbers, and by band where the flanks are known."""
    wall = SeparatingWall(name=f"wall {name}", r=(rw,), area=flanks.area)
    gain = promised_gain(predicted)
    single = effect_of_lining(wall, flanks.junctions, improvement=(gain,), side="receiving")
    by_band = np.subtract(predicted.lined, predicted.bare)
    if predicted.no_gain:
        by_band = np.minimum(by_band, 0.0)
    heard = heard_by_band(wall.name, old.solid, by_band.tolist(), flanks, one_leaf=old.leaves == 1)
    if isinstance(heard, str):
        return Rooms(effect=single, single=single, flanks=flanks, method=heard, working=flanks.working)
    return Rooms(
        effect=heard.effect,
        single=single,
        flanks=flanks,
        method="by third-octave band",
        working=(*flanks.working, *heard.working),
    )
