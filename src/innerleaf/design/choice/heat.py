"""Heat of many options: clear field, members and brackets as trial layouts have them, and the coldest spot.

psi of a member and chi of a bracket come from a `HeatModel`; two serve: one that solves every different
section in full, and the reduced models. What edges do to the surface temperature is solved for a few
options and a plane is laid through these: an estimate, and called so.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Protocol

import numpy as np

from innerleaf.design.buildup import Depth, Layer, depth_of
from innerleaf.design.choice.criteria import Floats, Ints
from innerleaf.design.choice.cross import Cross, Slabs
from innerleaf.design.choice.options import Options
from innerleaf.design.choice.trial import Trial, Trials
from innerleaf.design.heat.assess import RSE, RSI, RSI_CORNER, assess, assess_bracket
from innerleaf.design.heat.details import ROOM, Bridge, Steel, member_line
from innerleaf.design.heat.edges import edges_of, merged
from innerleaf.design.heat.wall import lined_area, steel_of
from innerleaf.layout.pieces import Role, WallPlan
from innerleaf.layout.plan import plan_wall
from innerleaf.physics.conduction import solve
from innerleaf.practice.model import Practice
from innerleaf.survey.wall import Wall, Way

_OF_EDGES = (Role.END, Role.SIDE_TRACK, Role.EDGE)  # members that are part of an edge
_PARTS = 3  # of the linings by resistance; of each the thinnest, thickest and so on have their edges solved
_EDGE_ACCURACY = 0.002  # of the heat that passes; coarser grids read surfaces 0.02 too warm
_DIGITS = 9


@dataclass(frozen=True, slots=True, eq=False)
class Frames:
    """The steel in every option; ``steel`` and ``bridge`` are indices into the lists, -1 for no bracket.

    ``pitch`` along the wall and ``rise`` up it, both [m].
    """

    steels: tuple[Steel, ...]
    bridges: tuple[Bridge, ...]
    steel: Ints
    bridge: Ints
    pitch: Floats
    rise: float


@dataclass(frozen=True, slots=True, eq=False)
class Bridging:
    """What steel adds: psi [W/(m·K)] of a member, chi [W/K] of a bracket, with half of each interval.

    ``factor`` is the least surface temperature factor at a member or bracket.
    """

    psi: Floats
    psi_half: Floats
    chi: Floats
    chi_half: Floats
    factor: Floats


class HeatModel(Protocol):
    """Anything that tells what steel adds to linings; both arguments have one entry per lining.

    Without ``surfaces`` nobody asks for the factor, and it may be anything.
    """

    def __call__(self, cross: Cross, frames: Frames, *, surfaces: bool) -> Bridging:
        """psi, chi and the least factor of each lining."""
        ...


@dataclass(frozen=True, slots=True, eq=False)
class HeatFigures:
    """U as set out [W/(m²·K)], half of its interval, and the surface temperature factor of each option."""

    u: Floats
    u_half: Floats
    factor: Floats


def solved_in_full(cross: Cross, frames: Frames, *, surfaces: bool = True) -> Bridging:  # noqa: ARG001
    """Every lining solved on its own: slow, for a few and to judge quicker models by."""
    rows = []
    for option in range(len(frames.steel)):
        depth = depth_at(cross, option)
        steel, pitch = frames.steels[frames.steel[option]], float(frames.pitch[option])
        line = assess(member_line(depth, steel, pitch))
        chi, half, factor = 0.0, 0.0, line.frsi
        if frames.bridge[option] >= 0:
            bridge = frames.bridges[frames.bridge[option]]
            point = assess_bracket(depth, replace(steel, studs=1), bridge, pitch, frames.rise)
            chi, half, factor = point.extra, point.half, min(factor, point.frsi)
        rows.append((line.extra, line.half, chi, half, factor))
    return Bridging(*np.array(rows).T)


def depth_at(cross: Cross, option: int) -> Depth:
    """One option across its depth; neighbouring slabs of insulation are one layer."""

    def layers(*parts: tuple[str, Slabs]) -> tuple[Layer, ...]:
        found = []
        for name, slab in parts:
            thickness, resistance = float(slab.thickness[option]), float(slab.resistance[option])
            if thickness > 0:
                insulating = name not in ("air", "boards")
                found.append(Layer(name, thickness, thickness / resistance, insulating=insulating))
        return tuple(found)

    return Depth(
        cross.old,
        layers(("behind", cross.behind), ("air", cross.gap), ("between", cross.out)),
        layers(("air", cross.air), ("between", cross.inside)),
        layers(("boards", cross.boards)),
    )


def heat_many(
    wall: Wall,
    options: Options,
    cross: Cross,
    trials: Trials,
    practice: Practice,
    model: HeatModel,
    *,
    edges: bool,
) -> HeatFigures:
    """U and temperature factor of every option; ``edges`` counts the edges in the factor.

    Different sections are asked of the model once each.
    """
    frames = frames_of(options, trials, practice)
    columns = [frames.steel, frames.bridge, frames.pitch]
    columns += [part for slab in cross.lining for part in (slab.thickness, slab.resistance)]
    table = np.round(np.stack([np.asarray(c, float) for c in columns], axis=1), _DIGITS)
    _, first, of = np.unique(table, axis=0, return_index=True, return_inverse=True)
    few = replace(frames, steel=frames.steel[first], bridge=frames.bridge[first], pitch=frames.pitch[first])
    bridging = model(cross.only(first), few, surfaces=edges)
    back = of.reshape(-1)
    area, length, count = (
        np.array(each)[trials.of] for each in zip(*map(_amounts, trials.trials), strict=True)
    )
    line = length / area
    points = np.where(frames.bridge >= 0, count / area, 0.0)
    u = cross.transmittance() + bridging.psi[back] * line + bridging.chi[back] * points
    half = bridging.psi_half[back] * line + bridging.chi_half[back] * points
    factor = bridging.factor[back]
    if edges:
        factor = np.minimum(factor, edge_factors(wall, options, cross, practice))
    return HeatFigures(u, half, factor)


def frames_of(options: Options, trials: Trials, practice: Practice) -> Frames:
    """The steel of every option."""
    steels = []
    for number, system in enumerate(options.systems):
        option = int(np.argmax(options.system == number))
        plan = trials.trials[trials.of[option]].plan
        steels.append(replace(steel_of(plan, practice), studs=system.studs))
    named = [b for b in practice.brackets.values() if options.bracket in ("", b.id)]
    named.sort(key=lambda bracket: bracket.reach_max_mm)
    bracketed = np.array([system.way == Way.BRACKETED for system in options.systems])[options.system]
    bridge = np.full(len(options), -1)
    offs = np.unique(options.back_mm[bracketed])
    for off in offs:
        reach = next(
            (k for k, b in enumerate(named) if b.reach_min_mm <= off <= b.reach_max_mm), len(named) - 1
        )
        bridge[bracketed & (options.back_mm == off)] = reach
    return Frames(
        tuple(steels),
        tuple(
            Bridge(b.strap_mm / 1000, b.sheet_mm / 1000, b.anchor_mm / 1000, b.anchor_depth_mm / 1000)
            for b in named
        ),
        options.system,
        bridge,
        np.array([round(system.spacing_mm) / 1000 for system in options.systems])[options.system],
        practice.rules.bracket_spacing_max_mm / 1000,
    )


def _amounts(trial: Trial) -> tuple[float, float, int]:
    """Area [m²], length of members that are no part of an edge [m], number of brackets."""
    plan = trial.plan
    inner = [member for member in plan.members if member.role not in _OF_EDGES]
    usual = min((member.face_mm for member in inner), default=1)
    length = sum((m.top_mm - m.bottom_mm) * (m.face_mm / usual) for m in inner) / 1000
    return lined_area(plan.wall), length, len(plan.brackets)


def edge_factors(wall: Wall, options: Options, cross: Cross, practice: Practice) -> Floats:
    """The least temperature factor at any edge: solved for a few linings of each way to build.

    Between these a plane over the resistance of the lining (as 1/(0.5 + R)), its thickness and that of its
    first board, which lines reveals: an estimate, within 0.02 where it was tried.
    """
    first = [practice.boards[packet[0]].thickness_mm / 1000 for packet in options.packets]
    board = np.array(first)[options.packet]
    thick = np.sum([part.thickness for part in cross.lining], axis=0)
    table = np.stack([np.ones(len(board)), 1 / (0.5 + cross.resistance), thick, board], axis=1)
    factors = np.ones(len(options))
    bracketed = np.array([system.bracketed for system in options.systems])[options.system]
    for way in np.unique(bracketed):
        mine = np.flatnonzero(bracketed == way)
        order = mine[np.argsort(cross.resistance[mine], kind="stable")]
        anchors = sorted(
            {
                int(part[pick(column[part])])
                for part in np.array_split(order, _PARTS)
                if len(part)
                for column in (thick, board)
                for pick in (np.argmin, np.argmax)
            }
        )
        found = [_least_at_edges(plan_wall(options.wall(wall, k), practice), practice) for k in anchors]
        plane = np.linalg.lstsq(table[anchors], np.array(found), rcond=None)[0]
        factors[mine] = np.minimum(table[mine] @ plane, 1.0)
    return factors


def _least_at_edges(plan: WallPlan, practice: Practice) -> float:
    depth, steel = depth_of(plan, practice), steel_of(plan, practice)
    sections = [
        edge.after.section(RSI_CORNER, RSE, RSI) for edge in merged(edges_of(plan, practice, depth, steel))
    ]
    return min(
        (solve(section, accuracy=_EDGE_ACCURACY).surface(ROOM).least for section in sections), default=1.0
    )
