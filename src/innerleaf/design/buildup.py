"""The wall across its depth, before and after lining, in SI units and ready for physics.

From the outside to the room: the layers of the old wall, what lies between it and the frame, the depth
of the frame with what lies between its members, the boards.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from innerleaf.errors import InputError
from innerleaf.layout.pieces import WallPlan
from innerleaf.physics.layers import air_layer_resistance
from innerleaf.practice.model import Board, Insulation, Practice
from innerleaf.survey.wall import InsulationPlace


@dataclass(frozen=True, slots=True)
class Layer:
    """A plane layer; of an air layer the conductivity stands for its resistance. [m], [W/(m·K)]"""

    name: str
    thickness: float
    conductivity: float
    insulating: bool = False  # bought as insulation, for the lining

    @property
    def resistance(self) -> float:
        """d / lambda. [m²·K/W]"""
        return self.thickness / self.conductivity


@dataclass(frozen=True, slots=True)
class Depth:
    """A wall across its depth. ``frame`` is empty for a wall that is not lined.

    ``behind`` and ``frame`` are listed from the old wall towards the room; ``frame`` is what lies
    between two members.
    """

    old: tuple[Layer, ...]
    behind: tuple[Layer, ...] = ()
    frame: tuple[Layer, ...] = ()
    boards: tuple[Layer, ...] = ()

    @property
    def layers(self) -> tuple[Layer, ...]:
        """All layers clear of members, outside first."""
        return (*self.old, *self.behind, *self.frame, *self.boards)

    @property
    def old_thickness(self) -> float:
        """Of the old wall. [m]"""
        return sum(layer.thickness for layer in self.old)

    @property
    def frame_start(self) -> float:
        """Where the frame begins, from the outside. [m]"""
        return self.old_thickness + sum(layer.thickness for layer in self.behind)

    @property
    def frame_end(self) -> float:
        """Where the frame ends and the boards begin. [m]"""
        return self.frame_start + sum(layer.thickness for layer in self.frame)

    @property
    def thickness(self) -> float:
        """Of the whole wall. [m]"""
        return sum(layer.thickness for layer in self.layers)

    def bare(self) -> Depth:
        """The old wall alone."""
        return Depth(self.old)


def depth_of(plan: WallPlan, practice: Practice, projection_mm: float | None = None) -> Depth:
    """The wall of a plan across its depth; with ``projection_mm`` where its frame stands so far off.

    Where a bump leaves less room than insulation is thick, it is squeezed there. Air layers get the
    resistance of ISO 6946 for their whole thickness and horizontal flow; where air behind the frame and air
    within it meet, they are one layer.

    Raises
    ------
    InputError
        The old wall has no layers, or insulation is thicker than the room for it.
    """
    wall = plan.wall
    if not wall.construction:
        raise InputError("construction", given="none", accepted="the layers of the old wall, outside first")
    old = tuple(
        Layer(layer.material, layer.thickness_mm / 1000, practice.materials[layer.material].conductivity_w_mk)
        for layer in wall.construction
    )
    back, deep = plan.build_up.frame_back_mm / 1000, plan.build_up.frame_depth_mm / 1000
    behind = _insulation(plan, practice, InsulationPlace.BEHIND)
    between = _insulation(plan, practice, InsulationPlace.BETWEEN)
    if projection_mm is not None:
        back = projection_mm / 1000
        behind = _squeezed(behind, back)
        between = _squeezed(between, back + deep - _thickness(behind))
    thick_behind, thick_between = _thickness(behind), _thickness(between)
    if thick_behind + thick_between > back + deep + 1e-9 or thick_behind > back + 1e-9:
        raise InputError(
            "lining.insulation",
            given=f"{1000 * thick_behind:.0f} mm behind, {1000 * thick_between:.0f} mm between members",
            accepted=f"{1000 * back:.0f} mm behind, {1000 * (back + deep):.0f} mm in all",
        )
    # What is thicker than the frame stands out behind it.
    inside, standing_out = _split(between, deep)
    behind_air, frame_air = back - thick_behind - _thickness(standing_out), deep - _thickness(inside)
    air = behind_air + frame_air
    conductivity = air / air_layer_resistance(air) if air > 1e-9 else 0.0
    boards = tuple(board_layer(practice.boards[name]) for name in wall.lining.boards)
    return Depth(
        old,
        (*behind, *_air(behind_air, conductivity), *standing_out),
        (*_air(frame_air, conductivity), *inside),
        boards,
    )


def _insulation(plan: WallPlan, practice: Practice, place: InsulationPlace) -> tuple[Layer, ...]:
    items = [practice.insulation[each.item] for each in plan.wall.lining.insulation if each.place == place]
    return tuple(insulation_layer(item) for item in items)


def insulation_layer(item: Insulation) -> Layer:
    """Insulation that can be bought, as a layer."""
    return Layer(item.id, item.thickness_mm / 1000, item.conductivity_w_mk, insulating=True)


def board_layer(board: Board) -> Layer:
    """A board, as a layer."""
    return Layer(board.id, board.thickness_mm / 1000, board.conductivity_w_mk)


def _thickness(layers: Iterable[Layer]) -> float:
    return sum(layer.thickness for layer in layers)


def _split(layers: Sequence[Layer], deep: float) -> tuple[tuple[Layer, ...], tuple[Layer, ...]]:
    """Layers counted from the boards back: what fits into the depth of the frame, and what stands out."""
    inside: list[Layer] = []
    outside: list[Layer] = []
    left = deep
    for layer in reversed(layers):
        within = min(layer.thickness, left)
        left -= within
        if within > 1e-9:
            inside.insert(0, replace(layer, thickness=within))
        if layer.thickness - within > 1e-9:
            outside.insert(0, replace(layer, thickness=layer.thickness - within))
    return tuple(inside), tuple(outside)


def _squeezed(layers: Sequence[Layer], room: float) -> tuple[Layer, ...]:
    """Layers in no more room than there is. [m]"""
    share = min(1.0, room / _thickness(layers)) if layers else 1.0
    return tuple(replace(layer, thickness=layer.thickness * share) for layer in layers)


def thinned(layers: Sequence[Layer], recess: float) -> tuple[Layer, ...]:
    """Layers of a wall, outside first, without ``recess`` metres of the inside.

    Raises
    ------
    InputError
        Nothing is left.
    """
    left = _thickness(layers) - recess
    if not left > 1e-6:
        raise InputError("niche, depth", given=f"{1000 * recess:.0f} mm", accepted="less than the old wall")
    kept: list[Layer] = []
    for layer in layers:
        within = min(layer.thickness, left)
        left -= within
        if within > 1e-9:
            kept.append(replace(layer, thickness=within))
    return tuple(kept)


def _air(thickness: float, conductivity: float) -> Iterable[Layer]:
    return (Layer("air", thickness, conductivity),) if thickness > 1e-9 else ()


def transmittance(layers: Sequence[Layer], inside: float, outside: float) -> float:
    """U of plane layers between surface resistances. [W/(m²·K)], [m²·K/W]"""
    return 1 / (inside + sum(layer.resistance for layer in layers) + outside)
