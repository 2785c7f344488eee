"""The values of ISO 6946 for lined walls, against a computed table, and their marks."""

from __future__ import annotations

import pytest

from innerleaf.design.buildup import Depth, Layer, transmittance
from innerleaf.design.heat.assess import RSE, RSI
from innerleaf.design.heat.details import Bridge, Steel
from innerleaf.design.heat.layered import Layered, layered


def wool(thickness: float, conductivity: float = 0.035) -> Layer:
    return Layer("wool", thickness, conductivity, insulating=True)


BRICK = Layer("brick", 0.24, 0.77)
BOARD = Layer("board", 0.0125, 0.25)
AIR = Layer("air", 0.02, 0.02 / 0.18)


def stud(depth: float, sheet: float = 0.0006) -> Steel:
    return Steel(depth, 0.05, sheet, 0.006, 1, channel=False, conductivity=50.0)


# C studs in linings, computed by others with the web as the steel path: upper and lower limit, combined U.
S1 = (Depth((BRICK,), (), (wool(0.05),), (BOARD,)), stud(0.05), 0.6)
S3 = (Depth((BRICK,), (), (wool(0.075),), (BOARD, BOARD)), stud(0.075), 0.6)
S4 = (Depth((BRICK,), (wool(0.03),), (wool(0.05),), (BOARD,)), stud(0.05), 0.6)
S6 = (Depth((BRICK,), (AIR,), (wool(0.05),), (BOARD,)), stud(0.05), 0.6)
S7 = (
    Depth((Layer("concrete", 0.2, 2.0),), (), (wool(0.1, 0.032),), (BOARD, BOARD)),
    stud(0.1, 0.0007),
    0.4,
)
COMPUTED = {
    "S1": (S1, (1.955, 1.1202, 0.6504)),
    "S3": (S3, (2.7146, 1.4644, 0.4786)),
    "S4": (S4, (2.8145, 1.9773, 0.4174)),
    "S6": (S6, (2.136, 1.3002, 0.5820)),
    "S7": (S7, (3.4444, 1.2072, 0.4300)),
}


def beside(case: tuple[Depth, Steel, float]) -> Layered:
    depth, steel, pitch = case
    return layered(depth, steel, pitch, 0.0, None, RSI, RSE)


@pytest.mark.parametrize("name", COMPUTED)
def test_combined_method_against_computed_table(name: str) -> None:
    """Both limits and U to the last digit given; the ratio tells where the standard stops."""
    case, (upper, lower, u_value) = COMPUTED[name]
    found = beside(case)

    assert found.upper == pytest.approx(upper, rel=2e-4)
    assert found.lower == pytest.approx(lower, rel=2e-4)
    assert found.combined == pytest.approx(u_value, abs=1e-4)
    assert any("metal" in reason for reason in found.combined_fails)
    assert any("1.5" in reason for reason in found.combined_fails) == (upper / lower > 1.5)


def test_the_plane_value_is_that_of_the_layers_and_never_holds() -> None:
    found = beside(S1)

    assert found.plane == pytest.approx(transmittance(S1[0].layers, RSI, RSE))
    assert found.plane_fails


def test_straps_bridge_what_lies_behind_the_frame() -> None:
    """Two brackets to the square metre, each two straps of 30 x 1 mm: 0.00012 of the area, by hand."""
    channel = Steel(0.027, 0.06, 0.0006, 0.006, 1, channel=True, conductivity=50.0)
    frame = Layer("air", 0.027, 0.027 / 0.18)
    depth = Depth((BRICK,), (wool(0.06),), (frame,), (BOARD,))
    found = layered(depth, channel, 0.6, 2.0, Bridge(0.03, 0.001, 0.006, 0.05), RSI, RSE)
    share, legs = 2 * 2 * 0.03 * 0.001, 2 * 0.0006 / 0.6
    fixed = RSI + RSE + 0.24 / 0.77 + 0.0125 / 0.25
    through = 1 / ((1 - share) / (0.06 / 0.035) + share / (0.06 / 50))
    beyond = 1 / ((1 - legs) / 0.18 + legs / (0.027 / 50))

    assert found.lower == pytest.approx(fixed + through + beyond)
    assert found.combined_fails[0].startswith("metal bridges the insulation (ISO 6946:2017 6.7.2")


def test_steel_in_air_alone_bridges_no_insulation() -> None:
    """Studs that stand before the wool leave it whole; the ratio of the limits still counts."""
    depth = Depth((BRICK,), (wool(0.06),), (Layer("air", 0.05, 0.05 / 0.18),), (BOARD,))
    found = layered(depth, stud(0.05), 0.6, 0.0, None, RSI, RSE)

    assert not any("metal" in reason for reason in found.combined_fails)
