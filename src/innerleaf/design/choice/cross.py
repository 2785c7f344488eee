"""Options across their depth as arrays in SI, as `design.buildup` cuts one lining."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields

import numpy as np

from innerleaf.design.buildup import Layer
from innerleaf.design.choice.criteria import Flags, Floats, Ints
from innerleaf.design.choice.options import Options
from innerleaf.design.heat.assess import RSE, RSI
from innerleaf.physics.layers import air_layer_resistance
from innerleaf.practice.model import Practice
from innerleaf.survey.plane import greatest_offset_mm
from innerleaf.survey.wall import Wall

_THIN = 1e-9  # m, no layer


@dataclass(frozen=True, slots=True, eq=False)
class Slabs:
    """One layer of every option: thickness [m] and thermal resistance [m²·K/W], 0 where there is none."""

    thickness: Floats
    resistance: Floats


@dataclass(frozen=True, slots=True, eq=False)
class Cross:
    """The lining of every option across its depth, from the old wall to the room.

    ``behind`` insulation, ``gap`` air, ``out`` insulation between members that stands out behind them;
    then, in the depth of the frame, ``air`` and ``inside`` insulation; then the boards. ``old`` is the wall
    that all have in common, outside first.
    """

    old: tuple[Layer, ...]
    behind: Slabs
    gap: Slabs
    out: Slabs
    air: Slabs
    inside: Slabs
    boards: Slabs

    @property
    def lining(self) -> tuple[Slabs, ...]:
        """Its layers in order."""
        return (self.behind, self.gap, self.out, self.air, self.inside, self.boards)

    @property
    def resistance(self) -> Floats:
        """Of the lining clear of members. [m²·K/W]"""
        return np.asarray(sum((part.resistance for part in self.lining), np.zeros(1)))

    def transmittance(self) -> Floats:
        """U clear of members. [W/(m²·K)]"""
        old = sum(layer.resistance for layer in self.old)
        return np.asarray(1 / (RSI + old + self.resistance + RSE))

    def only(self, keep: Flags | Ints) -> Cross:
        """Some of the options."""
        parts = {
            field.name: Slabs(
                getattr(self, field.name).thickness[keep], getattr(self, field.name).resistance[keep]
            )
            for field in fields(self)
            if field.name != "old"
        }
        return Cross(self.old, **parts)


def cross_of(wall: Wall, options: Options, practice: Practice) -> Cross:
    """Cut the options, at the frame's nominal distance."""
    old = tuple(
        Layer(layer.material, layer.thickness_mm / 1000, practice.materials[layer.material].conductivity_w_mk)
        for layer in wall.construction
    )
    depth = options.of_system("depth_mm")
    behind = _stack(options.stacks, practice)[options.behind].T
    inside, out = _split(options, practice, depth)
    back = options.back_mm / 1000
    gap = back - behind[0] - out[0]
    air = depth / 1000 - inside[0]
    whole = np.round(np.maximum(gap, 0.0) + np.maximum(air, 0.0), 9)
    kinds, of = np.unique(whole, return_inverse=True)
    per_metre = np.array([air_layer_resistance(each) / each if each > _THIN else 0.0 for each in kinds])
    boards = np.array(
        [
            (
                sum(practice.boards[name].thickness_mm for name in packet) / 1000,
                sum(
                    practice.boards[name].thickness_mm / 1000 / practice.boards[name].conductivity_w_mk
                    for name in packet
                ),
            )
            for packet in options.packets
        ]
    )[options.packet].T
    return Cross(
        old,
        Slabs(*behind),
        _air(gap, per_metre[of]),
        Slabs(*out),
        _air(air, per_metre[of]),
        Slabs(*inside),
        Slabs(*boards),
    )


def thickness_of(wall: Wall, options: Options, practice: Practice) -> Floats:
    """From the old wall's reference plane to the face, as the layout counts it. [mm]"""
    packet = [sum(practice.boards[name].thickness_mm for name in each) for each in options.packets]
    assert (options.back_mm >= greatest_offset_mm(wall)).all()
    return np.asarray(options.back_mm + options.of_system("depth_mm") + np.array(packet)[options.packet])


def _air(thickness: Floats, per_metre: Floats) -> Slabs:
    there = np.where(thickness > _THIN, thickness, 0.0)
    return Slabs(there, there * per_metre)


def _stack(stacks: Sequence[Sequence[str]], practice: Practice) -> Floats:
    """Thickness [m] and resistance [m²·K/W] of each stack."""
    slabs = practice.insulation
    return np.array(
        [
            (
                sum(slabs[name].thickness_mm for name in stack) / 1000,
                sum(slabs[name].thickness_mm / 1000 / slabs[name].conductivity_w_mk for name in stack),
            )
            for stack in stacks
        ]
    )


def _split(options: Options, practice: Practice, depth: Floats) -> tuple[Floats, Floats]:
    """Insulation between members, counted from the boards back: what fits the frame, what stands out."""
    kinds, of = np.unique(np.stack([options.between, depth.astype(np.int64)]), axis=1, return_inverse=True)
    parts = []
    for stack, deep in kinds.T:
        left, inside, out = deep / 1000, [0.0, 0.0], [0.0, 0.0]
        for name in reversed(options.stacks[stack]):
            slab = practice.insulation[name]
            thickness = slab.thickness_mm / 1000
            within = min(thickness, left)
            left -= within
            for part, share in ((inside, within), (out, thickness - within)):
                part[0] += share
                part[1] += share / slab.conductivity_w_mk
        parts.append((inside, out))
    table = np.array(parts)[of.reshape(-1)]
    return table[:, 0].T, table[:, 1].T
