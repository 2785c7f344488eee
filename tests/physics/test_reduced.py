"""Reduced families: bounds hold for designs that were never solved, and are near the full solves."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from tests.physics.sections import strap_wall, stud_wall

from innerleaf.errors import InputError
from innerleaf.physics.conduction import solve
from innerleaf.physics.grid import Floats
from innerleaf.physics.reduced import Family, Reduced, Shapes
from innerleaf.physics.reduced_build import build
from innerleaf.physics.reduced_bytes import from_bytes, to_bytes

STEEL = 0.0006


def stud_shapes(parameters: Floats) -> Shapes:
    """Wall thickness and conductivity, wool conductivity, depth, board thickness, pitch."""
    wall, wall_conductivity, wool, depth, board, pitch = parameters.T
    zero = np.zeros(len(parameters))
    x = [zero - pitch / 2, zero, zero + STEEL, zero + 0.05 - STEEL, zero + 0.05, zero + pitch / 2]
    y = [0.0, STEEL, 0.006]
    lining = [*y, *(depth - each for each in reversed(y)), depth + board]
    return Shapes(
        lines=(np.stack(x, axis=1), np.stack([zero, *(wall + each for each in lining)], axis=1)),
        conductivities={
            "wall 0": wall_conductivity,
            "cavity": wool,
            "steel": zero + 50.0,
            "board": zero + 0.25,
        },
        resistances={"inside": zero + 0.13, "outside": zero + 0.04},
    )


FRAMED = Family(
    template=stud_wall(),
    low=np.array([0.15, 0.3, 0.030, 0.05, 0.0125, 0.4]),
    high=np.array([0.45, 1.2, 0.045, 0.10, 0.0300, 0.625]),
    shapes=stud_shapes,
)


@pytest.fixture(scope="module")
def framed() -> Reduced:
    return build(FRAMED, designs=60, fields=10, accuracy=0.003)


def unseen(family: Family, count: int) -> Floats:
    rng = np.random.default_rng(5)
    drawn: Floats = family.low + rng.random((count, len(family.low))) * (family.high - family.low)
    return drawn


def test_bounds_hold_full_solves_and_the_middle_is_near(framed: Reduced) -> None:
    designs = unseen(FRAMED, 8)
    found = framed.bounds(designs)

    for index, design in enumerate(designs):
        full = solve(FRAMED.section(design.tolist()), accuracy=3e-4)
        coupling = full.coupling(["inside"], ["outside"])
        assert found.low[index] <= coupling.middle <= found.high[index]
        assert found.middle[index] == pytest.approx(coupling.middle, rel=5e-4)
        assert found.factor[index] == pytest.approx(full.surface("inside").least / 20, abs=4e-3)


def test_the_template_itself(framed: Reduced) -> None:
    """The design the grid was made for has about the gap that was asked for."""
    found = framed.bounds(np.array([[0.24, 0.77, 0.035, 0.05, 0.0125, 0.6]]))
    full = solve(FRAMED.template, accuracy=3e-4).coupling(["inside"], ["outside"])

    assert found.low[0] <= full.middle <= found.high[0]
    assert found.high[0] / found.low[0] - 1 < 0.006


def test_many_designs_are_the_same_designs(framed: Reduced) -> None:
    """In parts or one by one, the same bounds."""
    designs = unseen(FRAMED, 5000)
    found = framed.bounds(designs)

    assert framed.bounds(designs[4321:4322]).low[0] == pytest.approx(found.low[4321], rel=1e-12)
    assert np.all(found.low < found.high)
    assert framed.size < 1_000_000


def test_a_family_in_three_dimensions() -> None:
    """A strap of any conductivity through insulation of any depth."""

    def shapes(parameters: Floats) -> Shapes:
        depth, steel = parameters.T
        zero = np.zeros(len(parameters))
        z = [zero, zero + 0.24, 0.24 + depth, 0.2525 + depth]
        return Shapes(
            lines=(
                np.stack([zero, zero + 0.02, zero + 0.3], axis=1),
                np.stack([zero, zero + 0.001, zero + 0.3], axis=1),
                np.stack(z, axis=1),
            ),
            conductivities={
                "brick": zero + 0.77,
                "insulation": zero + 0.035,
                "board": zero + 0.25,
                "steel": steel,
            },
            resistances={"inside": zero + 0.13, "outside": zero + 0.04},
        )

    family = Family(
        template=strap_wall(), low=np.array([0.04, 15.0]), high=np.array([0.12, 60.0]), shapes=shapes
    )
    found = build(family, designs=12, fields=6, accuracy=0.01).bounds(np.array([[0.1, 20.0]]))
    full = solve(family.section([0.1, 20.0]), accuracy=0.002).coupling(["inside"], ["outside"])

    assert found.low[0] <= full.middle <= found.high[0]
    assert found.middle[0] == pytest.approx(full.middle, rel=1e-3)


def test_designs_outside_the_family_are_refused(framed: Reduced) -> None:
    with pytest.raises(InputError, match="parameters: given"):
        framed.bounds(np.array([[0.24, 0.77, 0.035, 0.05, 0.0125, 0.9]]))


def test_kept_bytes_give_the_same_answers(framed: Reduced) -> None:
    designs = unseen(FRAMED, 5)
    data = to_bytes(framed)

    again = from_bytes(FRAMED, data).bounds(designs)

    assert len(data) < 1_000_000
    assert to_bytes(from_bytes(FRAMED, data)) == data
    assert np.array_equal(again.low, framed.bounds(designs).low)
    with pytest.raises(InputError, match="stored family"):
        from_bytes(replace(FRAMED, template=stud_wall(depth=75)), data)
