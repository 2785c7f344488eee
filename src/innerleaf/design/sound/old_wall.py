"""The old wall of a plan as sound sees it: one solid leaf, or two with wool between them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import Final

from innerleaf.design.sound.cavity_wall import cavity_wall
from innerleaf.design.sound.model import Solid, SolidLayer, solid_wall
from innerleaf.errors import InputError
from innerleaf.practice.acoustics import Acoustics, Workmanship
from innerleaf.practice.model import Practice
from innerleaf.survey.wall import ExistingLayer

# Lighter layers of an old wall are taken as insulation or air, which no sound wave carries across as in a
# solid: common practice, no source. [kg/m³]
SOLID_FROM: Final = 200.0
_TWO_LEAVES: Final = [True, False, True]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class OldWall:
    """The wall without lining; its leaf is the one that a lining stands before."""

    solid: Solid
    leaves: int  # 1 or 2


def old_wall(
    construction: Sequence[ExistingLayer], practice: Practice, acoustics: Acoustics, at: Workmanship
) -> OldWall:
    """From the layers of the job, outside first.

    Raises
    ------
    InputError
        There is no solid layer; soft layers other than wool between two solid leaves; a material without
        acoustic figures.
    """
    runs = [(firm, list(run)) for firm, run in groupby(construction, lambda each: is_solid(each, practice))]
    if [firm for firm, _ in runs] == [True]:
        return OldWall(solid=solid_wall(_layers(runs[0][1], practice), acoustics, at), leaves=1)
    if not any(firm for firm, _ in runs):
        accepted = "the layers of the old wall, one of them solid"
        raise InputError("construction", given="none that is solid", accepted=accepted)
    gap = [layer for firm, run in runs if not firm for layer in run]
    if [firm for firm, _ in runs] != _TWO_LEAVES or any(
        each.material not in acoustics.fibres for each in gap
    ):
        given = ", ".join(layer.material for layer in gap)
        accepted = f"solid layers alone, or two leaves with {' or '.join(acoustics.fibres)} between them"
        raise InputError("construction, soft layers", given=given, accepted=accepted)
    far, near = _layers(runs[0][1], practice), _layers(runs[2][1], practice)
    depth = sum(layer.thickness_mm for layer in gap)
    solid = cavity_wall(
        solid_wall(far, acoustics, at),
        solid_wall(near, acoustics, at),
        solid_wall([*far, *near], acoustics, at),
        acoustics,
        at,
        depth_mm=depth,
        fill_mm=depth,
    )
    return OldWall(solid=solid, leaves=2)


def is_solid(layer: ExistingLayer, practice: Practice) -> bool:
    """Whether sound goes through it as through a solid."""
    return practice.materials[layer.material].density_kg_m3 >= SOLID_FROM


def _layers(run: Sequence[ExistingLayer], practice: Practice) -> list[SolidLayer]:
    return [
        SolidLayer(
            material=layer.material,
            thickness_mm=layer.thickness_mm,
            mass_kg_m2=practice.materials[layer.material].density_kg_m3 * layer.thickness_mm / 1000,
        )
        for layer in run
    ]
