"""Heat details against what others computed, and against what any detail must do."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import partial

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from innerleaf.design.buildup import Depth, Layer, transmittance
from innerleaf.design.heat.assess import RSE, RSI, assess, assess_bracket, bracket_extra, warm_side
from innerleaf.design.heat.details import (
    APART,
    OUTSIDE,
    ROOM,
    Block,
    Bridge,
    Detail,
    Steel,
    bracket_point,
    member_line,
)
from innerleaf.design.heat.details_edges import (
    Cover,
    abutment,
    corner_into_room,
    corner_of_room,
    niche,
    obstacle,
    reveal,
    roof_edge,
    stop,
)
from innerleaf.physics.conduction import solve
from innerleaf.physics.conduction_cut import foot_cut
from innerleaf.physics.section import Box, Region

BRICK = Layer("brick", 0.24, 0.77)
STUD_50 = Steel(0.05, 0.05, 0.0006, 0.006, 1, channel=False, conductivity=50.0)
STUD_75 = Steel(0.075, 0.05, 0.0006, 0.006, 1, channel=False, conductivity=50.0)
CHANNEL = Steel(0.027, 0.06, 0.0006, 0.006, 1, channel=True, conductivity=50.0)
LINED = Depth((BRICK,), (), (Layer("wool", 0.05, 0.035),), (Layer("board", 0.0125, 0.25),))
THICKER = Depth((BRICK,), (), (Layer("wool", 0.075, 0.035),), (Layer("board", 0.025, 0.25),))
HELD_OFF = Depth((BRICK,), (Layer("wool", 0.03, 0.035),), LINED.frame, LINED.boards)
SLAB = Block("slab", 0.2, 0.12, 2.0)
FRAME = Block("timber", 0.07, 0.0, 0.13)
ROOF = Block("roof", 0.16, 0.0, 0.04)
COLUMN = Block("column", 0.2, 0.0, 2.0)
BOARD, FOAM = Layer("board", 0.0125, 0.25), Layer("foam", 0.02, 0.026, insulating=True)
BOARDED, COVERED = Cover(BOARD), Cover(BOARD, FOAM)

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
    reveal(LINED, STUD_50, FRAME, 0.12),
    reveal(LINED, STUD_50, FRAME, 0.12, BOARDED),
    reveal(LINED, STUD_50, FRAME, 0.12, COVERED, 0.02),
    abutment(LINED, STUD_50, SLAB, Cover(BOARD, FOAM, 0.5)),
    niche(LINED, STUD_50, 0.12, 0.4),
    niche(LINED, STUD_50, 0.12, 0.4, COVERED, 0.02),
    roof_edge(LINED, STUD_50, ROOF),
    obstacle(LINED, STUD_50, COLUMN, 0.11, 0.18),
    obstacle(LINED, STUD_50, COLUMN, 0.11, 0.03),
    corner_of_room(LINED, STUD_50),
    corner_into_room(LINED, STUD_50),
]


@pytest.mark.parametrize("detail", DETAILS, ids=lambda detail: detail.title)
def test_heat_in_is_heat_out(detail: Detail) -> None:
    """What the room gives, the outside gets, and the interval on it is narrow."""
    solution = solve(detail.section(RSI, RSE))
    inwards = [solution.flow(name).middle for name in (ROOM, APART)[: 1 + bool(detail.apart)]]

    assert sum(inwards) == pytest.approx(-solution.flow(OUTSIDE).middle, rel=1e-9)
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
    lined = assess(reveal(LINED, STUD_50, FRAME, 0.12, BOARDED))
    bare = assess(reveal(LINED, STUD_50, FRAME, 0.12))

    assert lined.frsi > bare.frsi
    assert lined.extra < bare.extra


def test_a_bracket_adds_heat_and_more_through_less_wool() -> None:
    """chi is positive, known to a few per cent, and falls with the depth of insulation it crosses."""
    bridge = Bridge(0.03, 0.001, 0.006, 0.05)
    frame = (Layer("air", 0.027, 0.15),)
    thin, thick = (
        Depth((BRICK,), (Layer("wool", deep, 0.035),), frame, LINED.boards) for deep in (0.06, 0.12)
    )

    through_thin = bracket_extra(thin, CHANNEL, bridge, 0.6, 1.2)
    through_thick = bracket_extra(thick, CHANNEL, bridge, 0.6, 1.2)

    assert through_thin.chi > through_thick.chi > 0
    assert bracket_point(thin, CHANNEL, bridge, 0.6, 1.2).section(RSI, RSE).dimensions == 3
    assert through_thin.half < 0.5 * through_thin.chi


BRIDGE = Bridge(0.03, 0.001, 0.006, 0.05)
ON_BRACKETS = Depth((BRICK,), (Layer("wool", 0.06, 0.035),), (Layer("air", 0.027, 0.15),), LINED.boards)


def test_the_drawn_cut_through_a_bracket_is_the_solved_one() -> None:
    """Its mirror images are alike, and it is coldest where the whole is."""
    each = assess_bracket(ON_BRACKETS, CHANNEL, BRIDGE, 0.6, 1.2)
    x, _ = each.solution.grid.lines
    warmth = each.solution.temperature

    assert each.unit == "W/K"
    assert x[0] == pytest.approx(-0.3)
    assert np.allclose(x, -x[::-1])
    assert np.allclose(warmth, warmth[::-1], atol=1e-12)
    room = warmth[:, -1]
    assert float(room.min()) == pytest.approx(each.frsi, abs=1e-9)
    assert each.frsi < assess(member_line(ON_BRACKETS, CHANNEL, 0.6)).frsi
    assert each.solution.grid.conductivity.shape == (warmth.shape[0] - 1, warmth.shape[1] - 1)


def test_a_section_without_a_bracket_is_cut_as_the_section_in_two_dimensions() -> None:
    """Nothing varies up the channel alone, so the cut holds the temperatures of the plane section."""
    section = bracket_point(ON_BRACKETS, CHANNEL, BRIDGE, 0.6, 1.2).section(RSI, RSE).without(["bracket"])
    cut = foot_cut(solve(section, accuracy=0.006))
    plane = solve(member_line(ON_BRACKETS, CHANNEL, 0.6).section(RSI, RSE), accuracy=0.001)

    for point in ((0.0, ON_BRACKETS.thickness), (0.0, 0.2), (0.29, ON_BRACKETS.thickness), (0.1, 0.1)):
        i, j = (int(np.argmin(abs(line - at))) for line, at in zip(cut.grid.lines, point, strict=True))
        place = (float(cut.grid.lines[0][i]), float(cut.grid.lines[1][j]))
        assert cut.temperature[i, j] == pytest.approx(plane.temperature_at(place), abs=2e-3)


def test_endless_insulation_in_a_reveal_is_an_adiabatic_reveal() -> None:
    """As its conductivity goes to nought, the room meets the wall's face and the frame alone."""
    sealed = Cover(Layer("seal", 0.0125, 1e-7), Layer("foam", 0.02, 1e-7))
    covered = reveal(LINED, STUD_50, FRAME, 0.12, sealed, 0.02)
    (room,) = covered.room
    closed = replace(covered, room=(Region(low=room.low, high=room.high, facing=("+y",)),))

    through, without = (solve(each.section(RSI, RSE)).flow(OUTSIDE).middle for each in (covered, closed))

    assert through == pytest.approx(without, rel=1e-4)


CONDUCTIVITIES = st.floats(0.02, 0.2)


@settings(max_examples=12, deadline=None)
@given(thin=st.floats(0.005, 0.025), more=st.floats(0.002, 0.015), recess=st.floats(0.05, 0.16))
def test_thicker_insulation_never_makes_a_reveal_colder(thin: float, more: float, recess: float) -> None:
    """As long as it is thin beside the frame; 0.0005 is what two grids may differ by."""
    factors = [
        warm_side(reveal(LINED, STUD_50, FRAME, recess, Cover(BOARD, Layer("foam", thick, 0.026))))
        .surface(ROOM)
        .least
        for thick in (thin, thin + more)
    ]

    assert factors[1] >= factors[0] - 5e-4


@settings(max_examples=12, deadline=None)
@given(one=CONDUCTIVITIES, other=CONDUCTIVITIES, thick=st.floats(0.01, 0.06))
def test_better_insulation_never_makes_a_reveal_colder(one: float, other: float, thick: float) -> None:
    """Of the same thickness. No such law holds on flanks: what a strip covers gets colder, and so does the
    slab beyond its end.
    """

    def warmth(conductivity: float) -> float:
        cover = Cover(BOARD, Layer("foam", thick, conductivity))
        return warm_side(reveal(LINED, STUD_50, FRAME, 0.12, cover)).surface(ROOM).least

    better, worse = sorted((one, other))
    assert warmth(better) >= warmth(worse) - 5e-4


def test_a_strip_on_the_flank_saves_heat_and_warms_the_edge() -> None:
    """Against the same slab without one."""
    plain = assess(abutment(LINED, STUD_50, SLAB))
    strip = assess(abutment(LINED, STUD_50, SLAB, Cover(BOARD, FOAM, 0.5)))

    assert strip.frsi > plain.frsi
    assert strip.extra < plain.extra


def test_an_abutment_is_symmetric() -> None:
    """Half a slab, mirrored, is the whole slab with the same lining on both sides: twice the loss."""
    half = abutment(LINED.bare(), STUD_50, SLAB)
    mirrored = [
        Box(
            material=box.material, low=(-0.2 - box.high[0], box.low[1]), high=(-0.2 - box.low[0], box.high[1])
        )
        for box in half.boxes
    ]
    turned = tuple(
        Region(
            low=(-0.2 - region.high[0], region.low[1]),
            high=(-0.2 - region.low[0], region.high[1]),
            facing=("-x", "+y") if region.facing else (),
        )
        for region in half.room
    )
    (outside,) = half.outside
    wide = Region(low=(-0.2 - outside.high[0], 0.0), high=outside.high)
    both = replace(half, boxes=(*half.boxes, *mirrored), room=(*half.room, *turned), outside=(wide,))

    once, twice = (solve(each.section(RSI, RSE)).flow(OUTSIDE).middle for each in (half, both))

    assert twice == pytest.approx(2 * once, rel=1e-3)


def test_a_niche_without_depth_is_no_niche() -> None:
    """In the limit the old wall goes on bare: the free end of the lining."""
    shallow = assess(niche(LINED.bare(), STUD_50, 1e-5, 0.4))

    assert shallow.extra == pytest.approx(0.0, abs=1e-4)


def test_a_roof_as_thick_and_as_warm_as_the_wall_is_a_corner_of_the_room() -> None:
    """One material all round: psi of the handbook corner between two plane walls."""
    plain = Depth((Layer("brick", 0.3, 1.0),))
    edge = assess(roof_edge(plain, STUD_50, Block("brick", 0.3, 0.0, 1.0)))
    corner = assess(corner_of_room(plain, STUD_50))

    assert edge.extra == pytest.approx(corner.extra, abs=2e-3)
    assert edge.frsi == pytest.approx(corner.frsi, abs=1e-3)


def test_a_column_of_the_walls_own_material_that_stands_out_no_further_is_the_bare_wall() -> None:
    """Half a column of 110 mm flush with the old wall: the bare strip behind it, and no more."""
    bare = LINED.bare()
    flush = assess(obstacle(bare, STUD_50, COLUMN, 0.11, 0.0))

    assert flush.extra == pytest.approx(0.11 * transmittance(bare.layers, RSI, RSE), abs=1e-5)
