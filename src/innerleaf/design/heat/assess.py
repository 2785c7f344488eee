"""Details solved: what each adds to the plane walls, and its coldest spot in the room.

Flows are solved with the usual surface resistance, surface temperatures with the cautious one. A building
asks for few details, so each is solved once.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import lru_cache

from innerleaf.design.buildup import Depth, transmittance
from innerleaf.design.heat.details import OUTSIDE, ROOM, Bridge, Detail, Steel, bracket_level, bracket_point
from innerleaf.physics.conduction import solve
from innerleaf.physics.conduction_answer import Solution
from innerleaf.physics.conduction_cut import foot_cut
from innerleaf.physics.grid import Lines
from innerleaf.physics.layers import SURFACE_RESISTANCES

# Surface resistances, horizontal flow (ISO 6946). [m²·K/W]
RSI, RSE = SURFACE_RESISTANCES["horizontal"]
# Of opaque inner surfaces, for the surface temperature factor (ISO 13788); of window frames it is RSI.
RSI_CORNER = 0.25

# Interval wanted on the heat of a bracket's cell. The middle of chi, a difference on one grid, is then within
# 0.5 % of fine solves; its guaranteed interval, from both solves, is some ten times wider.
_BRACKET_GAP = 0.006
# How far the coldest spot may still move when the grid is refined, of one kelvin between the sides.
_COLDEST_MOVES = 1e-3


@dataclass(frozen=True, slots=True)
class Assessed:
    """A solved detail: what it adds to the plane walls, and its coldest spot in the room.

    ``extra`` is psi [W/(m·K)], or chi [W/K] of a point, known to within ``half``; ``frsi`` is the surface
    temperature factor at ``coldest`` [m]; ``solution`` is the solve it was read from, for drawings.
    """

    detail: Detail
    extra: float
    half: float
    frsi: float
    coldest: tuple[float, ...]
    solution: Solution = field(compare=False, repr=False)

    @property
    def unit(self) -> str:
        """Of ``extra``."""
        return "W/K" if self.detail.point else "W/(m·K)"


@dataclass(frozen=True, slots=True)
class Point:
    """chi of one bracket and half the width of its interval [W/K], with the grid it was solved on."""

    chi: float
    half: float
    lines: Lines = field(compare=False, repr=False)


@lru_cache(maxsize=4096)
def assess(detail: Detail) -> Assessed:
    """Solve a detail in two dimensions."""
    flow = solve(detail.section(RSI, RSE)).flow(OUTSIDE) * -1
    plane = sum(length * transmittance(depth.layers, RSI, RSE) for depth, length in detail.plane)
    plane += sum(length * transmittance(layers, RSI, RSE) for layers, length in detail.besides)
    solution = warm_side(detail)
    surface = solution.surface(ROOM)
    return Assessed(detail, flow.middle - plane, flow.half, surface.least, surface.least_at, solution)


@lru_cache(maxsize=4096)
def warm_side(detail: Detail) -> Solution:
    """The detail solved for its surface temperatures alone."""
    return solve(detail.section(RSI_CORNER, RSE, RSI), kelvin=_COLDEST_MOVES)


@lru_cache(maxsize=1024)
def bracket_extra(depth: Depth, steel: Steel, bridge: Bridge, pitch: float, rise: float) -> Point:
    """chi of one bracket: with it less without it on one grid, and half the width of the interval."""
    section = bracket_point(depth, steel, bridge, pitch, rise).section(RSI, RSE)
    bridged = solve(section, accuracy=_BRACKET_GAP)
    alone = solve(section.without(["bracket"]), lines=bridged.grid.lines)
    with_it, without = bridged.flow(ROOM), alone.flow(ROOM)
    return Point(4 * (with_it.middle - without.middle), 4 * (with_it.half + without.half), bridged.grid.lines)


@lru_cache(maxsize=256)
def assess_bracket(depth: Depth, steel: Steel, bridge: Bridge, pitch: float, rise: float) -> Assessed:
    """One bracket: chi, and the coldest spot of its cell; its solution is the level cut through it."""
    point = bracket_extra(depth, steel, bridge, pitch, rise)
    section = bracket_point(depth, steel, bridge, pitch, rise).section(RSI_CORNER, RSE)
    whole = solve(section, lines=point.lines)
    surface, cut = whole.surface(ROOM), foot_cut(whole)
    level = bracket_level(depth, steel, bridge, pitch, rise)
    return Assessed(level, point.chi, point.half, surface.least, surface.least_at[:2], cut)
