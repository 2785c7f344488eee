"""The quick look at months of sun never passes what the hour by hour count refuses."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from innerleaf.errors import InputError
from innerleaf.job.sun import surely_possible
from innerleaf.physics.weather import monthly_means, sun_place, weather_from_means


@given(st.floats(-66, 66), st.floats(0.3, 0.85))
def test_what_surely_is_possible_is_below_four_fifths_of_the_sun_by_the_hour(
    latitude: float, share: float
) -> None:
    height, _, outside = sun_place(latitude, 0.0, 0.0)
    could = monthly_means(outside * np.maximum(height, 0.0))
    means = (share * could).tolist()
    if surely_possible(means, latitude):
        assert share < 0.8


def test_too_much_sun_is_left_to_the_exact_count() -> None:
    """Both refuse 150 W/m² in the winter of 51 degrees north."""
    assert not surely_possible([150.0] * 12, 51.0)
    with pytest.raises(InputError, match="sun"):
        weather_from_means(
            place="",
            latitude=51.0,
            temperature=[10.0] * 12,
            vapour_pressure=[900.0] * 12,
            seed=1,
            sun=[150.0] * 12,
            source="test",
        )
