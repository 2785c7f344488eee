"""Sound of one wall as set out: predicted from its layers before and after lining, and judged.

As in a laboratory: what goes round the wall counts only where the job says what surrounds it.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from innerleaf.design.acoustic_model import (
    BoardLayer,
    Solid,
    SolidLayer,
    board_packet,
    bridges,
    cavity,
    solid_wall,
)
from innerleaf.design.sound_case import SoundCase, sound_case
from innerleaf.design.sound_verdicts import Predicted, Sound, judge_sound, promised_gain
from innerleaf.errors import InputError
from innerleaf.layout.pieces import WallPlan
from innerleaf.physics.sound.construction import Construction, resonance
from innerleaf.physics.sound.flanking import Junction, SeparatingWall
from innerleaf.physics.sound.leaf import Leaf
from innerleaf.physics.sound.lining_effect import LiningEffect, effect_of_lining
from innerleaf.physics.sound.ratings import fine_weighted_reduction_index
from innerleaf.physics.sound.transmission import lined
from innerleaf.practice.acoustics import Acoustics, load_acoustics
from innerleaf.practice.model import Practice

_LABORATORY: Final = "laboratory"  # workmanship that the predictions were held against
_NO_GAIN_FROM: Final = 160.0  # Hz: ISO 12354-1 table D.1 has no gain from this resonance on


def sound_of(
    plan: WallPlan, practice: Practice, *, junctions: Sequence[Junction] = (), area: float | None = None
) -> Sound | str:
    """Predict and judge the sound insulation of a lined wall; or say why it cannot be.

    Parameters
    ----------
    plan : WallPlan
    practice : Practice
    junctions : sequence of Junction
        Where the wall meets flanks, with weighted indices; left out, nothing goes round the wall.
    area : float, optional
        Of the wall that both rooms share, for the flanks. [m²]

    Raises
    ------
    InputError
        Junctions without the area.
    """
    acoustics = load_acoustics()
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
    effect = _effect(plan.wall.id, rw, promised_gain(predicted), junctions, area) if junctions else None
    return judge_sound(plan.wall.id, plan.wall.targets, predicted, case.estimate(rw, resistivity), effect)


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
    at = acoustics.workmanship[_LABORATORY]
    frame = acoustics.frames["bracketed-channel" if case.rigid else "none"]
    depth, fill = 1000 * case.cavity, 1000 * case.fill
    hollow = cavity(depth, fill, acoustics)
    rim = acoustics.frames["rim-on-wall"]
    wall = Construction(
        leaves=(base.leaf, boards),
        cavities=(hollow,),
        bridges=(bridges(frame, rim, at, spacing_mm=1000 * case.spacing, depth_mm=depth),),
        area=at.width_m * at.height_m,
        leak=10 ** (-at.leak_db / 10),
    )
    f0 = resonance(hollow.depth, base.leaf.mass, boards.mass, filled=case.fill > case.cavity / 2)
    no_gain = []
    if frame.rigid_to_wall:
        no_gain.append("the frame is fixed to the wall")
    if f0 >= _NO_GAIN_FROM:
        no_gain.append(f"resonance at {f0:.0f} Hz, from 160 Hz on ISO 12354-1 table D.1 knows no gain")
    spread = acoustics.uncertainty["lining-one-side"].rating_db
    return Predicted(
        bare=tuple(base.index.tolist()),
        lined=tuple(lined(base.index, wall, base=0).tolist()),
        reduction_uncertainty=spread,
        gain_uncertainty=spread,
        no_gain=tuple(no_gain),
        working=(
            f"old wall {base.working}",
            f"boards {boards.mass:.1f} kg/m², cavity {depth:.0f} mm with {fill:.0f} mm wool, frame:"
            f" {frame.id}, resonance {f0:.0f} Hz",
        ),
    )


def _effect(
    name: str, rw: float, gain: float, junctions: Sequence[Junction], area: float | None
) -> LiningEffect:
    if area is None:
        raise InputError("area of the separating wall", given=area, accepted="above 0 m², with the junctions")
    wall = SeparatingWall(name=f"wall {name}", r=(rw,), area=area)
    return effect_of_lining(wall, junctions, improvement=(gain,), side="receiving")
