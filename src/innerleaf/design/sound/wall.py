"""Sound of one wall as set out: predicted from its layers before and after lining, and judged.

As in a laboratory: what goes round the wall counts only where the job says what surrounds it.
"""

from __future__ import annotations

from typing import Final

from innerleaf.design.sound.case import SoundCase, sound_case
from innerleaf.design.sound.flanks import Surroundings, surroundings_of
from innerleaf.design.sound.model import (
    BoardLayer,
    Solid,
    SolidLayer,
    board_packet,
    lined_wall,
    solid_wall,
)
from innerleaf.design.sound.verdicts import Predicted, Sound, judge_sound, promised_gain
from innerleaf.errors import InputError
from innerleaf.layout.pieces import WallPlan
from innerleaf.physics.sound.flanking import SeparatingWall
from innerleaf.physics.sound.leaf import Leaf
from innerleaf.physics.sound.lining_effect import LiningEffect, effect_of_lining
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
        base, boards = _base(case, acoustics), _boards(case, acoustics)
    except InputError as error:
        return f"sound is not judged: {error}"
    if case.soft:
        return "sound is not judged: soft layers part the old wall, which the model takes as solid"
    predicted = _predicted(case, base, boards, acoustics)
    rw = float(fine_weighted_reduction_index(predicted.bare))
    wool = acoustics.fibres["mineral-wool"]
    resistivity = wool.flow_resistivity(case.fill_density) if case.fill else 0.0
    rooms = surroundings_of(around, case.wall_mass) if around and around.flanks else None
    effect = _effect(plan.wall.id, rw, promised_gain(predicted), rooms) if rooms else None
    wall, beyond = plan.wall, plan.wall.other_side in _ROOM_BEYOND
    estimate = case.estimate(rw, resistivity)
    return judge_sound(wall.id, wall.targets, predicted, estimate, effect, rooms, beyond=beyond)


def _base(case: SoundCase, acoustics: Acoustics) -> Solid:
    layers = [
        SolidLayer(
            material=layer.material,
            thickness_mm=layer.thickness * 1000,
            mass_kg_m2=layer.thickness * layer.density,
        )
        for layer in case.wall
    ]
    return solid_wall(layers, acoustics, acoustics.workmanship[_LABORATORY])


def _boards(case: SoundCase, acoustics: Acoustics) -> Leaf:
    layers = [
        BoardLayer(kind=board.type, thickness_mm=board.thickness_mm, mass_kg_m2=board.mass_kg_m2)
        for board in case.boards
    ]
    return board_packet(layers, acoustics)


def _predicted(case: SoundCase, base: Solid, boards: Leaf, acoustics: Acoustics) -> Predicted:
    depth, fill = 1000 * case.cavity, 1000 * case.fill
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
    return Predicted(
        bare=tuple(base.index.tolist()),
        lined=tuple(lined(base.index, wall.construction, base=0).tolist()),
        reduction_uncertainty=spread,
        gain_uncertainty=spread,
        no_gain=wall.no_gain,
        working=(
            f"old wall {base.working}",
            f"boards {boards.mass:.1f} kg/m², cavity {depth:.0f} mm with {fill:.0f} mm wool, frame:"
            f" {wall.frame.id}, resonance {wall.resonance:.0f} Hz",
        ),
    )


def _effect(name: str, rw: float, gain: float, rooms: Surroundings) -> LiningEffect:
    wall = SeparatingWall(name=f"wall {name}", r=(rw,), area=rooms.area)
    return effect_of_lining(wall, rooms.junctions, improvement=(gain,), side="receiving")
