"""Stud linings and a strap, computed by an independent finite-volume program on two and three grids.

Published nowhere; extrapolated, said to be good to 0.0002 W/(m²·K) and 0.02 K, chi to 6e-5 W/K and 0.06 K.
"""

from __future__ import annotations

import pytest
from tests.physics.sections import strap_wall, stud_wall

from innerleaf.physics.bridges import bridge_of_boxes, temperature_factor, u_value
from innerleaf.physics.conduction import solve
from innerleaf.physics.section import Section

BRICK = (240, 0.77)
S1 = stud_wall()
S3 = stud_wall(depth=75, board=25)
S4 = stud_wall((BRICK, (30, 0.035)))
S6 = stud_wall((BRICK, (20, 0.020 / 0.18)))
S7 = stud_wall(((200, 2.0),), depth=100, thickness=0.7, pitch=400, cavity=0.032, board=25)


@pytest.mark.parametrize(
    ("section", "pitch", "u", "psi", "least"),
    [
        pytest.param(S1, 0.6, 0.6775, 0.1004, 15.07, id="S1"),
        pytest.param(S3, 0.6, 0.5282, 0.0967, 16.52, id="S3"),
        pytest.param(S4, 0.6, 0.3972, 0.0253, 17.99, id="S4"),
        pytest.param(S6, 0.6, 0.5735, 0.0638, 16.41, id="S6"),
        pytest.param(S7, 0.4, 0.6182, 0.1328, 16.07, id="S7"),
    ],
)
def test_stud_linings(section: Section, pitch: float, u: float, psi: float, least: float) -> None:
    found = solve(section)
    interval = u_value(found.coupling(["inside"], ["outside"]), pitch)

    assert interval.gap <= 0.001
    assert interval.middle == pytest.approx(u, abs=2.5e-4)
    assert bridge_of_boxes(found, ["stud"], ["inside"], ["outside"]).value == pytest.approx(psi, abs=2e-4)
    assert found.surface("inside").least == pytest.approx(least, abs=0.02)


@pytest.mark.parametrize("section", [S1, S7])
def test_a_default_solve_is_as_good_as_60_000_cells(section: Section) -> None:
    """U within 0.01 %, fRsi within 0.0005 of a solve with more than ten times the cells."""
    plain, fine = solve(section), solve(section, accuracy=8e-5)

    assert fine.grid.cells > 40_000
    assert plain.flow("inside").middle == pytest.approx(fine.flow("inside").middle, rel=1e-4)
    factors = [temperature_factor(each.surface("inside").least, 20, 0) for each in (plain, fine)]
    assert factors[0] == pytest.approx(factors[1], abs=5e-4)


def test_one_strap_through_insulation() -> None:
    """chi 0.00414 W/K by extrapolation: reached within 0.3 % on fewer than 15,000 cells of a quarter."""
    found = solve(strap_wall(), accuracy=0.001)
    bridge = bridge_of_boxes(found, ["strap"], ["inside"], ["outside"], times=4)

    assert found.grid.cells < 15_000
    assert bridge.value == pytest.approx(0.00414, rel=3e-3)
    assert bridge.interval.low < 0.00414 < bridge.interval.high
    assert bridge.reference.middle / 0.36 == pytest.approx(0.44524, abs=5e-6)
    assert found.surface("inside").least == pytest.approx(15.51, abs=0.06)
