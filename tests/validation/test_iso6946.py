"""ISO 6946: worked values of a building code's guide and of hand calculations.

The values are from memory and were recomputed from the formulas (the guide printed 0.48 W/(m²·K)).
"""

from __future__ import annotations

import math

import pytest

from innerleaf.errors import InputError
from innerleaf.physics.layers import (
    SURFACE_RESISTANCES,
    Layer,
    air_gap_correction,
    air_layer_resistance,
    combined_method,
    corrected_u,
    fixings_correction,
    ventilated_resistance,
)


def test_lining_on_battens_of_approved_document_l1() -> None:
    """Approved Document L1 (England and Wales) 2002, appendix B, example 1: 0.48 W/(m²·K)."""
    wall = [
        Layer.plain(0.05),
        Layer(paths=((0.92, 0.038 * 23.809523), (0.08, 0.038 / 0.13))),
        Layer(paths=((0.934, 0.1 / 0.11), (0.066, 0.1 / 0.88))),
        Layer.plain(0.18),
        Layer.plain(0.102 / 0.77),
    ]

    found = combined_method(wall)

    assert found.upper == pytest.approx(2.2022, abs=5e-4)
    assert found.lower == pytest.approx(1.9292, abs=5e-4)
    assert found.u_value == pytest.approx(0.4841, abs=5e-4)
    assert 100 * found.error == pytest.approx(6.61, abs=0.02)
    assert found.does_not_hold == ()


def test_wool_between_battens_on_brick() -> None:
    """Hand calculation: limits 1.7313 and 1.6293, U 0.5951, error 3.03 %."""
    wall = [
        Layer.plain(0.05),
        Layer(paths=((0.9, 0.05 / 0.035), (0.1, 0.05 / 0.13))),
        Layer.plain(0.2 / 0.7),
    ]

    found = combined_method(wall)

    assert found.upper == pytest.approx(1.7313, abs=5e-4)
    assert found.lower == pytest.approx(1.6293, abs=5e-4)
    assert found.u_value == pytest.approx(0.5951, abs=5e-4)


def test_corrections_of_a_brick_wall_with_fixings() -> None:
    """Hand calculation: 240 brick, 90 wool, board, four steel fixings of 4 mm per m²."""
    insulation = 0.09 / 0.035
    total = 0.24 / 0.77 + insulation + 0.05 + 0.17

    fixings = fixings_correction(
        conductivity=50,
        section=math.pi * 0.002**2,
        per_area=4,
        insulation_thickness=0.09,
        insulation=insulation,
        total=total,
    )

    assert total == pytest.approx(3.1031, abs=1e-4)
    assert fixings == pytest.approx(0.01534, abs=1e-5)
    assert air_gap_correction(1, insulation, total) == pytest.approx(0.00687, abs=1e-5)
    assert air_gap_correction(2, insulation, total) == pytest.approx(0.02747, abs=1e-5)
    assert air_gap_correction(0, insulation, total) == 0
    assert corrected_u(1 / total, fixings) == pytest.approx(1 / total + fixings)
    assert corrected_u(1 / total, 0.029 / total) == 1 / total


def test_the_method_says_where_it_does_not_hold() -> None:
    """Metal studs: the standard excludes them, and the limits lie too far apart as well."""
    stud = 0.0006 / 0.6
    wall = [
        Layer.plain(0.0125 / 0.25),
        Layer(paths=((1 - stud, 0.05 / 0.035), (stud, 0.05 / 50)), metal=True),
        Layer.plain(0.24 / 0.77),
    ]

    found = combined_method(wall)

    assert found.u_value == pytest.approx(0.6504, abs=5e-4)  # computed for case S1, 4 % below the true value
    assert found.does_not_hold == (
        "metal bridges the insulation",
        "upper limit / lower limit is 1.75, above 1.5",
    )


@pytest.mark.parametrize(
    ("thickness", "up", "horizontal", "down"),
    [(0.005, 0.11, 0.11, 0.11), (0.025, 0.16, 0.18, 0.19), (0.05, 0.16, 0.18, 0.21), (0.3, 0.16, 0.18, 0.23)],
)
def test_air_layers(thickness: float, up: float, horizontal: float, down: float) -> None:
    """ISO 6946 table of air layers, from memory."""
    assert air_layer_resistance(thickness, "up") == up
    assert air_layer_resistance(thickness, "horizontal") == horizontal
    assert air_layer_resistance(thickness, "down") == down


def test_ventilation_between_its_limits() -> None:
    assert ventilated_resistance(400e-6, 3.0, 2.0) == 3.0
    assert ventilated_resistance(750e-6, 3.0, 2.0) == pytest.approx(2.75)
    assert ventilated_resistance(2000e-6, 3.0, 2.0) == 2.0


def test_surface_resistances() -> None:
    assert SURFACE_RESISTANCES["horizontal"] == (0.13, 0.04)


@pytest.mark.parametrize(
    "wrong",
    [
        lambda: Layer(paths=((0.5, 1.0), (0.4, 1.0))),
        lambda: Layer(paths=((1.0, -1.0),)),
        lambda: combined_method([]),
        lambda: combined_method([Layer.plain(1)], surface_inside=-0.1),
        lambda: combined_method([Layer(paths=((0.5, 0.0), (0.5, 1.0)))], surface_inside=0, surface_outside=0),
        lambda: air_layer_resistance(0.31),
        lambda: air_layer_resistance(float("nan")),
        lambda: air_gap_correction(1, 3.0, 2.0),
        lambda: ventilated_resistance(-1, 3.0, 2.0),
    ],
)
def test_nonsense_is_refused(wrong) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(InputError, match="accepted"):
        wrong()
