"""Heat details against what others computed, and against what any detail must do."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

import pytest

from innerleaf.design.buildup import Depth, Layer, transmittance
from innerleaf.design.details import (
    OUTSIDE,
    ROOM,
    Block,
    Bridge,
    Detail,
    Steel,
    abutment,
    bracket_point,
    corner_into_room,
    corner_of_room,
    member_line,
    reveal,
    stop,
)
from innerleaf.design.heat import RSE, RSI, assess, bracket_extra
from innerleaf.physics.conduction import solve

BRICK = Layer("brick", 0.24, 0.77)
STUD_50 = Steel(0.05, 0.05, 0.0006, 0.006, 1, channel=False, conductivity=50.0)
STUD_75 = Steel(0.075, 0.05, 0.0006, 0.006, 1, channel=False, conductivity=50.0)
CHANNEL = Steel(0.027, 0.06, 0.0006, 0.006, 1, channel=True, conductivity=50.0)
LINED = Depth((BRICK,), (), (Layer("wool", 0.05, 0.035),), (Layer("board", 0.0125, 0.25),))
THICKER = Depth((BRICK,), (), (Layer("wool", 0.075, 0.035),), (Layer("board", 0.025, 0.25),))
HELD_OFF = Depth((BRICK,), (Layer("wool", 0.03, 0.035),), LINED.frame, LINED.boards)
SLAB = Block("slab", 0.2, 0.12, 2.0)
FRAME = Block("timber", 0.07, 0.0, 0.13)

# A computed table of C studs in linings on 240 mm brick, pitch 600 mm (two-dimensional, U +-0.0002).
COMPUTED = [
    ("studs against the wall", LINED, STUD_50, 0.6775, 0.5101, 0.1004),
    ("75 mm studs, two boards", THICKER, STUD_75, 0.5282, 0.3670, 0.0967),
    ("studs held off the wall by wool", HELD_OFF, STUD_50, 0.3972, 0.3549, 0.0253),
]


@pytest.mark.parametrize(("case", "depth", "steel", "u_with", "u_without", "psi"), COMPUTED)
def test_stud_lines_against_computed_table(
    case: str, depth: Depth, steel: Steel, u_with: float, u_without: float, psi: float
) -> None:
    """U within 0.2 % and psi within 0.001 W/(m·K) of an independent calculation."""
    line = assess(member_line(depth, steel, 0.6))

    assert transmittance(depth.layers, RSI, RSE) == pytest.approx(u_without, abs=5e-5), case
    assert u_without + line.extra / 0.6 == pytest.approx(u_with, rel=2e-3)
    assert line.extra == pytest.approx(psi, abs=1e-3)


def test_corner_of_two_walls_has_the_shape_factor_of_handbooks() -> None:
    """Edge of adjoining walls: S = 0.54 in textbooks, 0.559 by conformal mapping (both from memory)."""
    plain = Depth((Layer("brick", 0.3, 1.0),))
    detail = corner_of_room(plain, STUD_50)

    coupling = solve(detail.section(0.0, 0.0)).flow(ROOM).middle
    plane = sum(length / depth.thickness for depth, length in detail.plane)

    assert coupling - plane == pytest.approx(0.559, abs=0.002)


def test_a_bare_wall_that_goes_on_loses_nothing_more() -> None:
    """Without a lining there is no free end: its psi is nought."""
    assert assess(stop(LINED.bare(), STUD_50)).extra == pytest.approx(0.0, abs=1e-6)


DETAILS = [
    member_line(LINED, STUD_50, 0.6),
    member_line(HELD_OFF, CHANNEL, 0.6),
    abutment(LINED, STUD_50, SLAB),
    stop(LINED, STUD_50),
    reveal(LINED, STUD_50, FRAME, 0.12, lined=True),
    reveal(LINED, STUD_50, FRAME, 0.12, lined=False),
    corner_of_room(LINED, STUD_50),
    corner_into_room(LINED, STUD_50),
]


@pytest.mark.parametrize("detail", DETAILS, ids=lambda detail: detail.title)
def test_heat_in_is_heat_out(detail: Detail) -> None:
    """What the room gives, the outside gets, and the interval on it is narrow."""
    solution = solve(detail.section(RSI, RSE))

    assert solution.flow(ROOM).middle == pytest.approx(-solution.flow(OUTSIDE).middle, rel=1e-9)
    assert solution.gap <= 1e-3


@pytest.mark.parametrize("build", [partial(abutment, block=SLAB), stop, corner_of_room])
def test_slicing_a_layer_changes_nothing(build: Callable[[Depth, Steel], Detail]) -> None:
    """A layer cut in three equal ones is the same wall."""
    third = Layer("brick", BRICK.thickness / 3, BRICK.conductivity)
    sliced = Depth((third, third, third), LINED.behind, LINED.frame, LINED.boards)

    whole, parts = assess(build(LINED, STUD_50)), assess(build(sliced, STUD_50))

    assert parts.extra == pytest.approx(whole.extra, abs=whole.half + parts.half)
    assert parts.frsi == pytest.approx(whole.frsi, abs=1e-3)


def test_lining_the_wall_makes_the_slab_edge_worse() -> None:
    """Insulation that stops at a slab: more heat at the edge than before, a corner colder than the field."""
    lined, bare = assess(abutment(LINED, STUD_50, SLAB)), assess(abutment(LINED.bare(), STUD_50, SLAB))
    field = 1 - 0.25 * transmittance(LINED.layers, 0.25, RSE)

    assert lined.extra > bare.extra
    assert lined.frsi < field


def test_lining_the_reveal_keeps_it_warmer() -> None:
    """A lined reveal is warmer at the window frame than a bare one."""
    lined = assess(reveal(LINED, STUD_50, FRAME, 0.12, lined=True))
    bare = assess(reveal(LINED, STUD_50, FRAME, 0.12, lined=False))

    assert lined.frsi > bare.frsi
    assert lined.extra < bare.extra


def test_a_bracket_adds_heat_and_more_through_less_wool() -> None:
    """chi is positive, known to a few per cent, and falls with the depth of insulation it crosses."""
    bridge = Bridge(0.03, 0.001, 0.006, 0.05)
    frame = (Layer("air", 0.027, 0.15),)
    thin, thick = (
        Depth((BRICK,), (Layer("wool", deep, 0.035),), frame, LINED.boards) for deep in (0.06, 0.12)
    )

    chi_thin, half_thin = bracket_extra(thin, CHANNEL, bridge, 0.6, 1.2)
    chi_thick, _ = bracket_extra(thick, CHANNEL, bridge, 0.6, 1.2)

    assert chi_thin > chi_thick > 0
    assert bracket_point(thin, CHANNEL, bridge, 0.6, 1.2).section(RSI, RSE).dimensions == 3
    assert half_thin < 0.5 * chi_thin
