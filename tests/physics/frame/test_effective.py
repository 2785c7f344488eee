"""Laws of effective sections; the worked example of the standard stands in tests/validation."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from innerleaf.errors import InputError
from innerleaf.physics.frame.effective import Steel, bending, compression, web_pressed
from innerleaf.physics.frame.section import c_shape, properties

STRENGTHS = st.floats(120e6, 500e6)


def stud(sheet: float = 0.0006, lip: float = 0.006):  # type: ignore[no-untyped-def]
    return c_shape(0.0738, 0.050, sheet, lip=lip, other_flange=0.0488)


@settings(max_examples=40, deadline=None)
@given(st.floats(0.0005, 0.002), STRENGTHS, st.booleans())
def test_never_more_than_the_whole_section(sheet: float, strength: float, first: bool) -> None:
    """Area and moment lie below those of the whole section; the factors lie between 0 and 1."""
    shape, steel = stud(sheet), Steel(yield_strength=strength)
    whole = properties(shape)

    bent = bending(shape, sheet, steel, flange_1_pressed=first)
    pressed = compression(shape, sheet, steel)

    assert bent.area <= float(whole.area) * 1.001  # middle lines, corners counted as sharp
    assert bent.second_moment <= float(whole.i_major) * 1.001
    assert pressed.area <= bent.area * (1 + 1e-9)
    assert 0 < bent.steps["chi_d"] <= 1
    assert 0 < bent.steps["rho_web"] <= 1


@settings(max_examples=40, deadline=None)
@given(STRENGTHS, st.floats(1.01, 2.0))
def test_stronger_steel_bears_more_with_less_of_the_section(strength: float, factor: float) -> None:
    shape = stud()
    soft, hard = (bending(shape, 0.0006, Steel(yield_strength=strength * f)) for f in (1.0, factor))

    assert hard.area <= soft.area * (1 + 1e-9)
    assert hard.resistance >= soft.resistance


def test_a_stocky_section_is_whole() -> None:
    """Thick sheet of mild steel does not buckle: what is left is the section along its middle lines."""
    shape, steel = c_shape(0.060, 0.030, 0.002, lip=0.010), Steel(yield_strength=140e6)
    whole = properties(shape)

    bent, even, channel = (
        bending(shape, 0.002, steel),
        compression(shape, 0.002, steel),
        web_pressed(shape, 0.002, steel),
    )

    assert bent.steps["chi_d"] == bent.steps["rho_web"] == 1
    assert bent.area == even.area == pytest.approx(float(whole.area), rel=1e-9)
    assert bent.second_moment == pytest.approx(float(whole.i_major), rel=5e-3)
    assert channel.second_moment == pytest.approx(float(whole.i_minor), rel=2e-2)
    assert even.centre == pytest.approx(0.029)
    assert even.resistance == pytest.approx(140e6 * even.area)


def test_equal_flanges_bear_alike_either_way() -> None:
    shape, steel = c_shape(0.0738, 0.050, 0.0006, lip=0.006), Steel(yield_strength=280e6)

    ways = [bending(shape, 0.0006, steel, flange_1_pressed=first).resistance for first in (True, False)]

    assert ways[0] == pytest.approx(ways[1])


def test_a_lip_helps() -> None:
    steel = Steel(yield_strength=280e6)

    assert bending(stud(), 0.0006, steel).resistance > bending(stud(lip=0.0), 0.0006, steel).resistance


@pytest.mark.parametrize(
    ("shape", "reason"),
    [
        (c_shape(0.100, 0.050, 0.0006, lip=0.012), "flange b/t"),
        (c_shape(0.100, 0.030, 0.0006, lip=0.005), "lip c/b"),
        (c_shape(0.100, 0.030, 0.0006, lip=0.020), "lip c/b"),
        (c_shape(0.400, 0.030, 0.0006, lip=0.010), "web h/t"),
        (c_shape(0.100, 0.030, 0.0006, lip=0.010, radius=0.004), "inner radius"),
        (c_shape(0.100, 0.040, 0.0006), "flange b/t"),
    ],
)
def test_what_the_standard_does_not_cover_is_said(shape, reason: str) -> None:  # type: ignore[no-untyped-def]
    found = bending(shape, 0.0006, Steel(yield_strength=235e6))

    assert not found.in_scope
    assert any(said.startswith(reason) for said in found.outside)
    assert bending(c_shape(0.100, 0.030, 0.0006, lip=0.010), 0.0006, Steel(yield_strength=235e6)).in_scope


@pytest.mark.parametrize(
    "wrong",
    [
        lambda: Steel(yield_strength=0.0),
        lambda: Steel(yield_strength=float("nan")),
        lambda: bending(stud(), 0.0007, Steel(yield_strength=235e6)),
        lambda: bending(stud(), 0.0, Steel(yield_strength=235e6)),
        lambda: bending(c_shape([0.07, 0.1], 0.05, 0.0006), 0.0006, Steel(yield_strength=235e6)),
    ],
)
def test_nonsense_is_refused(wrong) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(InputError, match="accepted"):
        wrong()
