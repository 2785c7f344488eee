"""Laws of the monthly method, many walls at once, and what is refused."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from innerleaf.errors import InputError
from innerleaf.physics.moist_air import saturation_pressure
from innerleaf.physics.monthly import (
    monthly_values,
    room_by_outside,
    room_pressure_of,
    surface_humidity,
    surface_year,
    vapour_excess,
)
from innerleaf.physics.monthly_condensate import CondensateYear, VapourLayer, condensate_year

OUTSIDE = np.array([-2.0, -1.0, 3.0, 8.0, 13.0, 16.0, 18.0, 17.0, 13.0, 8.0, 3.0, 0.0])
OUTSIDE_PRESSURE = 0.8 * saturation_pressure(OUTSIDE)
ROOM_PRESSURE = OUTSIDE_PRESSURE + vapour_excess(3, OUTSIDE)


def year_of(layers: list[VapourLayer], **changes: object) -> CondensateYear:
    climate: dict[str, object] = {
        "outside": OUTSIDE,
        "outside_pressure": OUTSIDE_PRESSURE,
        "room": 20.0,
        "room_pressure": ROOM_PRESSURE,
    }
    return condensate_year(layers, **(climate | changes))  # type: ignore[arg-type]


def lined(sd: float, wool: int = 1, brick: int = 1) -> list[VapourLayer]:
    return [
        *[VapourLayer(name="brick", resistance=0.24 / brick, sd=2.4 / brick)] * brick,
        *[VapourLayer(name="wool", resistance=2.0 / wool, sd=0.08 / wool)] * wool,
        VapourLayer(name="membrane", resistance=0.0, sd=sd),
        VapourLayer(name="board", resistance=0.05, sd=0.1),
    ]


@given(st.floats(0.01, 200), st.floats(1.0, 5.0))
@settings(max_examples=25, deadline=None)
def test_more_retarder_never_wets(sd: float, times: float) -> None:
    assert year_of(lined(sd * times)).peak[0] <= year_of(lined(sd)).peak[0] + 1e-9


@given(st.integers(1, 2), st.sampled_from([1, 2, 4]))
@settings(max_examples=8, deadline=None)
def test_slices_of_a_layer_change_nothing(brick: int, wool: int) -> None:
    """Slices that fall on the parts the standard splits into, or on the layer itself, are the same wall."""
    whole, sliced = year_of(lined(1.0)), year_of(lined(1.0, wool=wool, brick=brick))

    assert sliced.peak == pytest.approx(whole.peak, rel=1e-9)
    assert sliced.left == pytest.approx(whole.left, abs=1e-12)


def test_walls_together_are_the_walls_alone() -> None:
    layers = lined(1.0)
    sds = np.array([[2.4, 0.08, sd, 0.1] for sd in (0.1, 1.0, 5.0, 100.0)])
    together = year_of(layers, sds=sds)

    for row, sd in enumerate((0.1, 1.0, 5.0, 100.0)):
        alone = year_of(lined(sd))
        assert together.held[row] == pytest.approx(alone.held[0])
        assert together.start[row] == alone.start[0]
        assert together.dry_again[row] == alone.dry_again[0]


def test_no_water_is_made_or_lost() -> None:
    """What is held is what was gained, month by month, cut only where a face has run dry."""
    year = year_of(lined(0.5))
    expected = np.maximum(np.cumsum(year.gained[0], axis=0), 0.0)
    wet = year.held[0] > 0

    assert year.held[0][wet] == pytest.approx(expected[wet])
    assert np.all(year.held >= 0)


def test_a_tight_outer_face_gathers_from_year_to_year() -> None:
    tight = [VapourLayer(name="tiles", resistance=0.01, sd=500.0), *lined(0.1)]
    year = year_of(tight)

    assert year.left[0] > 0.1
    assert year.dry_again[0] == -2


def test_wet_in_every_month() -> None:
    """A cold store: the year begins anywhere and never dries."""
    year = year_of(lined(0.1), room=20.0, outside=np.full(12, -15.0), outside_pressure=np.full(12, 150.0))

    assert year.start[0] >= 0
    assert year.left[0] == pytest.approx(year.peak[0])


def test_surface_humidity_at_the_factor_is_the_limit() -> None:
    year = surface_year(OUTSIDE, ROOM_PRESSURE)
    humidity = surface_humidity(year.factor, OUTSIDE, ROOM_PRESSURE)

    assert humidity.max() == pytest.approx(0.8)
    assert int(humidity.argmax()) == year.critical


def test_room_by_outside_stays_within_its_ends() -> None:
    t, phi = room_by_outside([-30.0, 0.0, 15.0, 40.0], high_load=True)

    assert t == pytest.approx([20.0, 20.0, 22.5, 25.0])
    assert phi == pytest.approx([0.4, 0.5, 0.65, 0.7])
    assert room_pressure_of(20.0, 0.5) == pytest.approx(1168.5, abs=0.1)


def test_a_missing_month_is_named() -> None:
    outside = OUTSIDE.copy()
    outside[2] = np.nan

    with pytest.raises(InputError, match=r"outside temperature, March: given None, accepted: a number"):
        year_of(lined(1.0), outside=outside)
    with pytest.raises(InputError, match=r"given '11 values', accepted: twelve monthly values"):
        monthly_values("rain", range(11))


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        (
            {"resistance": -1.0, "sd": 1.0},
            "layer wool, thermal resistance: given -1.0, accepted: 0 m²·K/W or more",
        ),
        ({"resistance": 1.0, "sd": 0.0}, "layer wool, sd: given 0.0, accepted: above 0 m"),
        ({"resistance": 1.0, "sd": 0.04, "thickness": 0.05}, "at least its thickness of 0.05 m"),
        ({"resistance": 1.0, "sd": float("inf")}, "layer wool, sd: given inf"),
        ({"resistance": 1.0, "sd": 1.0, "thickness": -0.1}, "layer wool, thickness: given -0.1"),
    ],
)
def test_layers_that_cannot_be(fields: dict[str, float], words: str) -> None:
    with pytest.raises(InputError) as error:
        VapourLayer(name="wool", **fields)

    assert words in str(error.value)


def test_climates_that_cannot_be() -> None:
    with pytest.raises(InputError, match=r"humidity class: given 5, accepted: 1, 2, 3 or 4"):
        vapour_excess(5, OUTSIDE)
    with pytest.raises(InputError, match=r"humidity limit"):
        surface_year(OUTSIDE, ROOM_PRESSURE, limit=80)
    with pytest.raises(InputError, match=r"room temperature: .* above that outside"):
        surface_year(OUTSIDE, ROOM_PRESSURE, room=-10.0)
    with pytest.raises(InputError, match=r"layers: given"):
        year_of([])
    with pytest.raises(InputError, match=r"sd values: given .*one column for each of 4 layers"):
        year_of(lined(1.0), sds=[[1.0, 2.0]])
