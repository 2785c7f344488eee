"""Laws that any steady conduction solve keeps, whatever the section."""

from __future__ import annotations

import random
from dataclasses import replace

import numpy as np
import pytest
from tests.physics.sections import (
    ANY,
    box,
    inside_outside,
    mirrored,
    plane,
    stud_wall,
    surrounding,
)

from innerleaf.physics.bridges import bridge_of_boxes, bridge_of_parts, temperature_factor, u_value
from innerleaf.physics.conduction import solve
from innerleaf.physics.conduction_answer import Solution
from innerleaf.physics.conduction_nodes import gap_by_interval
from innerleaf.physics.grid import feature_lines
from innerleaf.physics.layers import layer_temperatures, layers_resistance
from innerleaf.physics.section import Box, Region, Section

LAYERS = ((240.0, 0.77), (60.0, 0.035), (12.5, 0.25))


def slab(dimensions: int, axis: int) -> Section:
    """Three layers across an axis, 700 mm wide along the others."""
    boxes, at = [], 0.0
    for index, (thickness, _) in enumerate(LAYERS):
        spans = [(0.0, 700.0)] * dimensions
        spans[axis] = (at, at + thickness)
        boxes.append(box(f"layer {index}", *spans))
        at += thickness
    return Section(
        conductivities={f"layer {index}": layer[1] for index, layer in enumerate(LAYERS)},
        boxes=tuple(boxes),
        surroundings=inside_outside(axis, at, 0, dimensions),
    )


@pytest.mark.parametrize(("dimensions", "axis"), [(2, 0), (2, 1), (3, 0), (3, 1), (3, 2)])
def test_a_slab_is_the_layered_formula(dimensions: int, axis: int) -> None:
    """One-dimensional heat flow in two and three dimensions, to rounding."""
    resistance = 0.17 + float(layers_resistance([d / 1000 for d, _ in LAYERS], [c for _, c in LAYERS]))
    surface = layer_temperatures([0.13, resistance - 0.13], 20, 0)[1]

    found = solve(slab(dimensions, axis))
    u = u_value(found.coupling(["inside"], ["outside"]), 0.7 ** (dimensions - 1))

    assert u.low == pytest.approx(1 / resistance, rel=1e-8)
    assert u.high == pytest.approx(1 / resistance, rel=1e-8)
    assert found.surface("inside").least == pytest.approx(surface, abs=1e-6)
    assert found.surface("inside").greatest == pytest.approx(surface, abs=1e-6)


def test_the_interval_holds_what_finer_grids_find() -> None:
    """Each interval lies inside the one of the coarser grid, as bounds must."""
    section = stud_wall()
    coarse, fine, finest = (
        solve(section, accuracy=accuracy).coupling(["inside"], ["outside"]) for accuracy in (0.02, 1e-3, 2e-4)
    )

    assert coarse.low < fine.low < finest.low < finest.high < fine.high < coarse.high
    assert fine.gap <= 1e-3
    assert fine.middle == pytest.approx(finest.middle, rel=1e-4)


def test_the_gap_is_where_it_is_said_to_be() -> None:
    """What sends lines to an interval sums to the distance of the bounds, exactly (Prager and Synge)."""
    section = stud_wall()
    solution = solve(section, accuracy=0.01)
    resistances = [each.surface_resistance for each in section.surroundings]
    parts = gap_by_interval(
        solution.grid, solution.temperature, solution.across, resistances, section.temperatures
    )

    distance = 20**2 * float((solution.node_form - solution.flux_form)[0, 0])

    assert sum(float(part.sum()) for part in parts) == pytest.approx(distance, rel=1e-6)


def test_heat_in_is_heat_out_in_every_cell() -> None:
    solution = solve(stud_wall())
    left_over = sum(np.diff(flow, axis=axis) for axis, flow in enumerate(solution.across))

    assert np.abs(left_over).max() < 1e-9 * solution.flow("inside").middle
    assert solution.balance < 1e-9


@pytest.mark.parametrize("axis", [0, 1])
def test_a_mirrored_section_has_mirrored_answers(axis: int) -> None:
    section = stud_wall()
    plain, turned = solve(section), solve(mirrored(section, axis))
    least, other = plain.surface("inside"), turned.surface("inside")

    assert turned.flow("inside").middle == pytest.approx(plain.flow("inside").middle, rel=1e-9)
    assert other.least == pytest.approx(least.least, abs=1e-7)
    assert other.least_at[axis] == pytest.approx(-least.least_at[axis], abs=1e-9)


def test_a_sliced_section_is_the_same_section() -> None:
    """Boxes cut into slices of the same material ask for the same grid and give the same numbers."""
    section = stud_wall()
    wall = section.boxes[0]
    slices = [
        replace(wall, low=(wall.low[0], 0.24 * k / 7), high=(wall.high[0], 0.24 * (k + 1) / 7))
        for k in range(7)
    ]
    sliced = replace(section, boxes=(*slices, *section.boxes[1:]))

    assert all(
        np.array_equal(a, b) for a, b in zip(feature_lines(section), feature_lines(sliced), strict=True)
    )
    assert solve(sliced).flow("inside") == solve(section).flow("inside")


def test_two_pitches_lose_twice_one() -> None:
    section = stud_wall()
    moved = [
        replace(each, low=(each.low[0] + 0.6, each.low[1]), high=(each.high[0] + 0.6, each.high[1]))
        for each in section.boxes
    ]
    both = solve(replace(section, boxes=(*section.boxes, *moved)))

    assert both.flow("inside").middle == pytest.approx(2 * solve(section).flow("inside").middle, rel=2e-4)


def test_temperatures_scale_and_shift() -> None:
    """The equation is linear: other temperatures give other flows in proportion."""
    section = stud_wall()
    inside, outside = section.surroundings
    other = replace(
        section, surroundings=(replace(inside, temperature=25.0), replace(outside, temperature=-15.0))
    )
    plain, colder = solve(section), solve(other)

    assert colder.flow("inside").middle == pytest.approx(2 * plain.flow("inside").middle, rel=1e-4)
    assert colder.surface("inside").least == pytest.approx(-15 + 2 * plain.surface("inside").least, abs=0.01)


def l_shape(*, beta: float = 15.0) -> Section:
    """A corner in plan with a partition, three surroundings."""
    return Section(
        conductivities={"leaf": 0.8, "wool": 0.035},
        boxes=(
            box("leaf", (0, 1200), (0, 1200)),
            box("wool", (100, 1200), (100, 1200)),
            box("leaf", (160, 1200), (160, 1200)),
            box(None, (200, 1200), (200, 1200)),
            box("leaf", (200, 1200), (600, 700)),
        ),
        surroundings=(
            surrounding("alpha", 20, 0.13, Region(low=(0.2, 0.7), high=(1.19, 1.19))),
            surrounding("beta", beta, 0.13, Region(low=(0.2, 0.2), high=(1.19, 0.6))),
            surrounding("outside", 0, 0.04, plane(0, 0), plane(1, 0)),
        ),
    )


def test_three_surroundings() -> None:
    """Flows follow from the coupling coefficients and lie in intervals that finer grids keep."""
    coarse, fine = solve(l_shape(), accuracy=0.01), solve(l_shape(), accuracy=2e-4)
    names = ["alpha", "beta", "outside"]
    temperatures = dict(zip(names, l_shape().temperatures, strict=True))

    for name in names:
        by_coupling = sum(
            coarse.mutual_coupling(name, other).middle * (temperatures[name] - temperatures[other])
            for other in names
            if other != name
        )
        assert coarse.flow(name).middle == pytest.approx(by_coupling, rel=1e-9)
        assert coarse.flow(name).low <= fine.flow(name).low <= fine.flow(name).high <= coarse.flow(name).high
    assert sum(coarse.flow(name).middle for name in names) == pytest.approx(0, abs=1e-9)
    there, back = coarse.mutual_coupling("alpha", "beta"), coarse.mutual_coupling("beta", "alpha")
    assert (there.low, there.high) == pytest.approx((back.low, back.high), rel=1e-12)


def test_mutual_couplings_do_not_depend_on_temperatures() -> None:
    one, other = (solve(l_shape(beta=beta), accuracy=1e-3) for beta in (15.0, -5.0))

    for pair in (("alpha", "beta"), ("alpha", "outside"), ("beta", "outside")):
        first, second = one.mutual_coupling(*pair), other.mutual_coupling(*pair)
        assert first.low <= second.high
        assert second.low <= first.high
        assert first.middle == pytest.approx(second.middle, rel=1e-3)


def random_section(seed: int, dimensions: int) -> Section:
    """Blocks of conductivities over four decades, some taken away, between two faces."""
    pick = random.Random(seed)
    conductivities = {f"m{k}": 10 ** pick.uniform(-1.5, 2) for k in range(4)}
    boxes: list[Box] = [box("m0", *[(0, 100)] * dimensions)]
    for _ in range(6):
        spans = [tuple(sorted(pick.sample(range(0, 101, 10), 2))) for _ in range(dimensions)]
        boxes.append(box(pick.choice([*conductivities]), *((float(a), float(b)) for a, b in spans)))
    hole = [(float(a), float(a + 20)) for a in (pick.randrange(20, 60, 10) for _ in range(dimensions))]
    boxes.append(box(None, *hole))
    return Section(
        conductivities=conductivities, boxes=tuple(boxes), surroundings=inside_outside(0, 100, 0, dimensions)
    )


def checked(solution: Solution) -> Solution:
    assert solution.balance < 1e-7
    assert np.linalg.eigvalsh(solution.node_form - solution.flux_form).min() > -1e-12
    warm, cold = solution.surface("inside"), solution.surface("outside")
    assert 0 <= cold.least <= warm.greatest <= 20
    return solution


@pytest.mark.parametrize("dimensions", [2, 3])
@pytest.mark.parametrize("seed", range(6))
def test_random_sections_keep_the_laws(seed: int, dimensions: int) -> None:
    section = random_section(seed, dimensions)
    coarse = checked(solve(section, accuracy=0.1, greatest_cells=20_000))
    fine = checked(solve(section, accuracy=0.02, greatest_cells=20_000))

    assert coarse.flow("inside").low <= fine.flow("inside").middle <= coarse.flow("inside").high


def test_thin_metal_in_metres_of_ground() -> None:
    """Cells 10 m long and fractions of a millimetre thin, conductivities over four decades."""
    section = Section(
        conductivities={"ground": 2.0, "foam": 0.022, "metal": 380.0, "slab": 2.3},
        boxes=(
            box("ground", (0, 20_000), (0, 15_000), (0, 20_000)),
            box("foam", (0, 4_300), (0, 3_300), (19_900, 20_000)),
            box("metal", (0, 4_000), (2_999.5, 3_000), (19_700, 19_950)),
            box("slab", (0, 4_000), (0, 3_000), (20_000, 20_150)),
        ),
        surroundings=(
            surrounding("outside", 0, 0.04, plane(2, 20_000, 3)),
            surrounding("inside", 20, 0.17, plane(2, 20_150, 3)),
        ),
    )
    solution = solve(section, accuracy=0.03)

    assert solution.gap <= 0.03
    assert solution.balance < 1e-6


def test_psi_by_both_ways() -> None:
    """A stud's psi is its section less the same without it, or less U·l of the layered wall."""
    solution = solve(stud_wall())
    coupling = solution.coupling(["inside"], ["outside"])
    plain = 1 / (0.17 + 0.24 / 0.77 + 0.05 / 0.035 + 0.0125 / 0.25)

    by_boxes = bridge_of_boxes(solution, ["stud"], ["inside"], ["outside"])
    by_parts = bridge_of_parts(coupling, [(plain, 0.6)])

    assert by_boxes.value == pytest.approx(by_parts.value, rel=1e-9)
    assert by_boxes.interval.low < by_boxes.value < by_boxes.interval.high


def test_temperature_factor() -> None:
    assert temperature_factor(12.5, 20, -5) == pytest.approx(0.7)


def test_points_on_the_surface_of_a_hole() -> None:
    """A point on a face next to nothing has the temperature of the material's side."""
    solution = solve(l_shape())

    assert 0 < solution.temperature_at((0.2, 0.5)) < 20


def test_surfaces_held_at_two_temperatures_that_meet() -> None:
    """The heat there grows without limit, so no interval is claimed; temperatures are still found."""
    square = Section(
        conductivities={"any": 1.0},
        boxes=(box("any", (0, 1000), (0, 1000)),),
        surroundings=(
            surrounding("warm", 20, 0, plane(1, 1000)),
            surrounding("cold", 0, 0, plane(0, 0), plane(0, 1000), plane(1, 0)),
        ),
    )
    solution = solve(square, points=[(0.5, 0.5)])

    assert not solution.bounded
    assert solution.flow("warm").high == ANY
    assert solution.temperature_at((0.5, 0.5)) == pytest.approx(5, abs=1e-6)  # a quarter, by symmetry


def corner_to_corner(metal: float, dimensions: int) -> Section:
    """Two bars that touch along an edge alone, in wool."""
    long = [(20.0, 80.0)] * (dimensions - 2)
    return Section(
        conductivities={"wool": 0.035, "metal": metal},
        boxes=(
            box("wool", *[(0.0, 100.0)] * dimensions),
            box("metal", (20, 50), (20, 50), *long),
            box("metal", (50, 80), (50, 80), *long),
        ),
        surroundings=inside_outside(1, 100, 0, dimensions),
    )


@pytest.mark.parametrize("metal", [3.5, 50.0])
def test_conductors_that_touch_along_an_edge_are_named_and_cost_little(metal: float) -> None:
    """The interval stays wide there; the same bars a corner further in need nothing of the kind."""
    found = solve(corner_to_corner(metal, 2))
    apart = solve(replace(corner_to_corner(metal, 2), boxes=corner_to_corner(metal, 2).boxes[:2]))

    assert found.edges == ((0.05, 0.05),)
    assert found.grid.cells <= 30_000
    assert found.gap < 0.035
    assert apart.edges == ()
    assert apart.gap <= 1e-3


def test_an_edge_in_space_is_named_by_its_middle() -> None:
    assert solve(corner_to_corner(50.0, 3), accuracy=0.5).edges == ((0.05, 0.05, 0.05),)
