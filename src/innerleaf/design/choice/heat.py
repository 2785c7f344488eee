"""Heat of many options: clear field, members and brackets as trial layouts have them, and the coldest spot.

psi of a member and chi of a bracket come from a `HeatModel`; two serve: one that solves every different
section in full, and the reduced models. What edges do to the surface temperature is solved for a few
options and interpolated over the resistance of the lining: an estimate, and called so.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Protocol

import numpy as np

from innerleaf.design.assess import RSE, RSI, RSI_CORNER, assess, assess_bracket
from innerleaf.design.buildup import Depth, Layer
from innerleaf.design.choice.criteria import Floats, Ints
from innerleaf.design.choice.cross import Cross, Slabs
from innerleaf.design.choice.options import Options
from innerleaf.design.choice.trial import Trial, Trials
from innerleaf.design.details import ROOM, Bridge, Steel, member_line
from innerleaf.design.heat import steel_of
from innerleaf.design.heat_edges import edges_of, merged
from innerleaf.layout.pieces import Role, WallPlan
from innerleaf.physics.conduction import solve
from innerleaf.practice.model import Practice
from innerleaf.survey.wall import Way

_OF_EDGES = (Role.END, Role.SIDE_TRACK, Role.EDGE)  # members that are part of an edge
_ANCHORS = 4  # options of each way whose edges are solved
_EDGE_ACCURACY = 0.02  # of the heat that passes; the temperature factor is then good to some 0.005
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
    """Anything that tells what steel adds to linings; both arguments have one entry per lining."""

    def __call__(self, cross: Cross, frames: Frames) -> Bridging:
        """psi, chi and the least factor of each lining."""
        ...


@dataclass(frozen=True, slots=True, eq=False)
class HeatFigures:
    """U as set out [W/(m²·K)], half of its interval, and the surface temperature factor of each option."""

    u: Floats
    u_half: Floats
    factor: Floats


def solved_in_full(cross: Cross, frames: Frames) -> Bridging:
    """Every lining solved on its own: slow, for finalists and to judge quicker models by."""
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
    options: Options, cross: Cross, trials: Trials, practice: Practice, model: HeatModel, *, edges: bool
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
    bridging = model(cross.only(first), few)
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
        factor = np.minimum(factor, edge_factors(options, cross, trials, practice))
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
    area = sum(_area(ring) - sum(map(_area, holes)) for ring, holes in plan.board_area) / 1e6
    inner = [member for member in plan.members if member.role not in _OF_EDGES]
    usual = min((member.face_mm for member in inner), default=1)
    length = sum((m.top_mm - m.bottom_mm) * (m.face_mm / usual) for m in inner) / 1000
    return area, length, len(plan.brackets)


def edge_factors(options: Options, cross: Cross, trials: Trials, practice: Practice) -> Floats:
    """The least temperature factor at any edge, interpolated over the resistance of the lining."""
    resistance = cross.resistance
    factors = np.ones(len(options))
    ways = np.array([list(Way).index(system.way) for system in options.systems])[options.system]
    for way in np.unique(ways):
        mine = np.flatnonzero(ways == way)
        order = mine[np.argsort(resistance[mine], kind="stable")]
        places = np.unique(np.linspace(0, len(order) - 1, _ANCHORS).round().astype(int))
        anchors = order[places]
        found = [
            _least_at_edges(trials.trials[trials.of[k]].plan, depth_at(cross, int(k)), practice)
            for k in anchors
        ]
        at, kept = np.unique(resistance[anchors], return_index=True)
        factors[mine] = np.interp(resistance[mine], at, np.array(found)[kept])
    return factors


def _least_at_edges(plan: WallPlan, depth: Depth, practice: Practice) -> float:
    details = [edge.after for edge in merged(edges_of(plan, practice, depth, steel_of(plan, practice)))]
    least = 1.0
    for detail in details:
        solution = solve(detail.section(RSI_CORNER, RSE, RSI), accuracy=_EDGE_ACCURACY)
        least = min(least, solution.surface(ROOM).least)
    return least


def _area(ring: Sequence[tuple[float, float]]) -> float:
    return abs(sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(ring, [*ring[1:], ring[0]], strict=True))) / 2
