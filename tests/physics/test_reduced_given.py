"""Given sections bound together against solves of each on fine grids of its own."""

from __future__ import annotations

import numpy as np
import pytest

from innerleaf.physics.conduction import solve
from innerleaf.physics.reduced_given import bounds_of_given
from innerleaf.physics.section import Box, Region, Section, Surrounding

WARM = 0.13
CAUTIOUS = 0.25


def finned(wool: float, board: float, pitch: float, conducts: float, *, warm: float = WARM) -> Section:
    """Brick, wool in two parts of one conductivity or two, a sheet of steel through one, board."""
    brick = 0.24
    ends = [0.0, brick, brick + wool / 2, brick + wool, brick + wool + board]
    boxes = [
        Box(material=name, low=(0.0, low), high=(pitch, high))
        for name, low, high in zip(("brick", "behind", "between", "board"), ends, ends[1:], strict=False)
    ]
    boxes.append(Box(material="steel", low=(0.0, ends[2]), high=(0.004, ends[3])))
    inside = Region(low=(0.0, ends[4]), high=(pitch, ends[4]))
    outside = Region(low=(0.0, 0.0), high=(pitch, 0.0))
    return Section(
        conductivities={
            "brick": 0.8,
            "behind": 0.035,
            "between": conducts,
            "board": 0.25,
            "steel": 50.0,
        },
        boxes=tuple(boxes),
        surroundings=(
            Surrounding(name="room", temperature=1.0, surface_resistance=warm, regions=(inside,)),
            Surrounding(name="outside", temperature=0.0, surface_resistance=0.04, regions=(outside,)),
        ),
    )


SIZES = [
    (wool, board, pitch, conducts)
    for wool in (0.04, 0.08, 0.16)
    for board in (0.0125, 0.025)
    for pitch in (0.2, 0.3)
    for conducts in (0.032, 0.035)
]


def test_bounds_hold_each_fine_solve_and_middles_are_near() -> None:
    """Also where neighbours conduct alike in some of them: 0.05 % of heat, 0.002 of the factor."""
    found = bounds_of_given(
        [finned(*sizes) for sizes in SIZES], cautious=CAUTIOUS, accuracy=0.002, spread=0.004, kelvin=0.002
    )
    for k in range(0, len(SIZES), 5):
        fine = solve(finned(*SIZES[k]), accuracy=2e-4).flow("room").middle
        cold = solve(finned(*SIZES[k], warm=CAUTIOUS), kelvin=2e-4).surface("room").least
        assert found.low[k] <= fine <= found.high[k]
        assert found.middle[k] == pytest.approx(fine, rel=5e-4)
        assert found.factor[k] == pytest.approx(cold, abs=2e-3)
    assert ((found.high - found.low) / found.middle).max() < 0.01


def test_the_order_of_sections_changes_nothing_that_can_be_read() -> None:
    sections = [finned(*sizes) for sizes in SIZES[::3]]
    options = {"cautious": CAUTIOUS, "accuracy": 0.004, "spread": 0.004, "kelvin": 0.004}
    one, other = bounds_of_given(sections, **options), bounds_of_given(sections[::-1], **options)

    assert np.allclose(one.middle, other.middle[::-1], rtol=5e-4)


def test_one_section_alone() -> None:
    found = bounds_of_given(
        [finned(*SIZES[0])], cautious=CAUTIOUS, accuracy=0.002, spread=0.004, kelvin=0.002
    )

    assert found.middle[0] == pytest.approx(solve(finned(*SIZES[0])).flow("room").middle, rel=1e-3)
