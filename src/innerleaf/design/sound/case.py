"""A lined wall as sound sees it: masses, cavity, its filling, what ties the lining to the wall; SI units."""

from __future__ import annotations

from dataclasses import dataclass

from innerleaf.design.sound.old_wall import SOLID_FROM
from innerleaf.errors import InputError
from innerleaf.layout.pieces import WallPlan
from innerleaf.physics.sound.annex_d import Estimate, estimate_on_studs
from innerleaf.practice.model import Board, Practice
from innerleaf.survey.wall import Way


@dataclass(frozen=True, slots=True, kw_only=True)
class SolidLayer:
    """A layer of the old wall. [m, kg/m³]"""

    material: str
    thickness: float
    density: float


@dataclass(frozen=True, slots=True, kw_only=True)
class SoundCase:
    """What the sound insulation of one lined wall rests on. [m, kg/m²]

    ``wall`` are the solid layers of the old wall, outside first.
    ``fill`` is how much of the cavity's depth is wool, ``fill_density`` the density of the lightest [kg/m³];
    foam that carries a board does not count.
    """

    wall: tuple[SolidLayer, ...]
    boards: tuple[Board, ...]
    cavity: float
    fill: float
    fill_density: float
    rigid: bool
    spacing: float

    @property
    def wall_mass(self) -> float:
        """Of the old wall."""
        return sum(layer.thickness * layer.density for layer in self.wall)

    @property
    def boards_mass(self) -> float:
        """Of the boards of the lining."""
        return sum(board.mass_kg_m2 for board in self.boards)

    def estimate(self, rw: float, resistivity: float, leaf_mass: float | None = None) -> Estimate:
        """The estimate of annex D, for the Rw of the old wall [dB] and the wool's resistivity [Pa·s/m²].

        ``leaf_mass`` is that of the leaf behind the lining, where the old wall has two. [kg/m²]
        """
        return estimate_on_studs(
            m1=self.wall_mass if leaf_mass is None else leaf_mass,
            m2=self.boards_mass,
            depth=self.cavity,
            rw=rw,
            rigid=self.rigid,
            resistivity=resistivity if self.fill else 0.0,
        )


def sound_case(plan: WallPlan, practice: Practice) -> SoundCase:
    """The wall of a plan.

    Raises
    ------
    InputError
        The job does not say what the old wall is made of, or all of it is soft.
    """
    wall, lining = plan.wall, plan.wall.lining
    layers = tuple(
        SolidLayer(
            material=layer.material,
            thickness=layer.thickness_mm / 1000,
            density=practice.materials[layer.material].density_kg_m3,
        )
        for layer in wall.construction
    )
    solid = [layer.density >= SOLID_FROM for layer in layers]
    if not any(solid):
        accepted = "the layers of the old wall, one of them solid"
        raise InputError("construction", given="none that is solid", accepted=accepted)
    boards = tuple(practice.boards[name] for name in lining.boards)
    insulation = [practice.insulation[each.item] for each in lining.insulation]
    wool = [item for item in insulation if not item.carries_board]
    cavity = (plan.build_up.frame_back_mm + plan.build_up.frame_depth_mm) / 1000
    fill = sum(item.thickness_mm for item in wool) / 1000
    return SoundCase(
        wall=tuple(layer for layer, firm in zip(layers, solid, strict=True) if firm),
        boards=boards,
        cavity=cavity,
        fill=min(fill, cavity),
        fill_density=min((item.density_kg_m3 for item in wool), default=0.0),
        rigid=lining.way == Way.BRACKETED,
        spacing=min(grid.spacing_mm for grid in plan.grids) / 1000,
    )
