"""Moist air: laws of the formulas, and what is refused."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from innerleaf.errors import InputError
from innerleaf.physics.moist_air import (
    dew_point,
    relative_humidity,
    saturation_pressure,
    saturation_slope,
    vapour_pressure,
)


@given(st.floats(-60, 100))
def test_dew_point_turns_saturation_round(celsius: float) -> None:
    assert dew_point(saturation_pressure(celsius)) == pytest.approx(celsius, abs=1e-9)


@given(st.floats(-50, 90).filter(lambda t: abs(t) > 0.01))
def test_slope_is_the_derivative(celsius: float) -> None:
    step = 1e-4
    by_difference = (saturation_pressure(celsius + step) - saturation_pressure(celsius - step)) / (2 * step)

    assert saturation_slope(celsius) == pytest.approx(by_difference, rel=1e-6)


def test_the_branches_meet_at_zero() -> None:
    assert saturation_pressure(-1e-9) == pytest.approx(saturation_pressure(0.0), rel=1e-9)
    assert np.all(np.diff(saturation_pressure(np.linspace(-5, 5, 101))) > 0)


def test_humidity_goes_there_and_back() -> None:
    assert relative_humidity(12.0, vapour_pressure(12.0, [0.2, 0.9])) == pytest.approx([0.2, 0.9])


@pytest.mark.parametrize("phi", [-0.1, 1.01, 55.0, float("nan")])
def test_humidity_in_percent_is_refused(phi: float) -> None:
    with pytest.raises(InputError, match=r"relative humidity: given .*, accepted: 0 to 1"):
        vapour_pressure(20.0, phi)


@pytest.mark.parametrize("celsius", [-300.0, 293.15, float("nan")])
def test_kelvin_is_refused(celsius: float) -> None:
    with pytest.raises(InputError, match=r"temperature: given .*, accepted: -100 to 120 °C"):
        saturation_pressure([20.0, celsius])


def test_no_dew_point_of_nothing() -> None:
    with pytest.raises(InputError, match=r"vapour pressure: given 0\.0"):
        dew_point([1000.0, 0.0])
