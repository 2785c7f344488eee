"""Solid walls: layers as one plate, mass, refusals."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from innerleaf.errors import InputError
from innerleaf.physics.sound.heavy import (
    Layer,
    bonded,
    critical_frequency,
    heavy_reduction_index,
    plateau,
)
from innerleaf.physics.sound.leaf import Leaf, packet
from innerleaf.physics.sound.radiation import AIR, free_efficiency

PLASTER = Layer(thickness=0.015, density=1200.0, wave_speed=1600.0, loss_factor=0.01)
BRICK = Layer(thickness=0.24, density=1800.0, wave_speed=2500.0, loss_factor=0.015)


def test_a_layer_sliced_is_one_plate() -> None:
    slices = [Layer(thickness=0.08, density=1800.0, wave_speed=2500.0, loss_factor=0.015)] * 3

    assert bonded(slices).bending_stiffness == pytest.approx(bonded([BRICK]).bending_stiffness)
    assert bonded(slices).wave_speed == pytest.approx(2500.0)
    assert bonded([BRICK]).critical_frequency == pytest.approx(float(critical_frequency(0.24, 2500.0)))


def test_plaster_on_both_faces_stiffens_and_either_order_is_the_same() -> None:
    wall = bonded([PLASTER, BRICK, PLASTER])

    assert wall.mass == pytest.approx(0.24 * 1800 + 0.03 * 1200)
    assert wall.bending_stiffness > bonded([BRICK]).bending_stiffness
    assert bonded([PLASTER, BRICK]).bending_stiffness == pytest.approx(
        bonded([BRICK, PLASTER]).bending_stiffness
    )


def test_bonded_layers_bend_more_stiffly_than_sliding_ones() -> None:
    board = Leaf(mass=9.0, critical_frequency=2600.0, loss_factor=0.02)
    sliding = packet([board, board])
    layer = Layer(thickness=0.0125, density=720.0, wave_speed=2010.0, loss_factor=0.02)

    assert sliding.critical_frequency == pytest.approx(2600.0)
    assert sliding.bending_stiffness == pytest.approx(2 * board.bending_stiffness)
    assert bonded([layer, layer]).critical_frequency == pytest.approx(bonded([layer]).critical_frequency / 2)


@given(st.lists(st.floats(5, 20), min_size=1, max_size=4))
def test_order_of_boards_does_not_matter(masses: list[float]) -> None:
    boards = [Leaf(mass=mass, critical_frequency=20000 / mass, loss_factor=0.02) for mass in masses]

    one, other = packet(boards, 0.01), packet(boards[::-1], 0.01)
    assert one.row() == pytest.approx(other.row())


def test_twice_the_mass_is_six_decibels() -> None:
    bands = [500.0, 1000.0]
    at = {"critical_frequency": 100.0, "total_loss": [0.03, 0.02], "sides": (4.0, 2.5)}
    light = heavy_reduction_index(bands, mass=200.0, **at)  # type: ignore[arg-type]
    heavy = heavy_reduction_index(bands, mass=400.0, **at)  # type: ignore[arg-type]

    assert heavy - light == pytest.approx([6.02, 6.02], abs=0.01)


def test_plateau_is_an_upper_bound_that_grows_with_loss() -> None:
    """ISO 12354-1 annex B: 20 lg(1.1 ρ cL/(4 Z0)) where the loss factor is 0.02."""
    expected = 20 * np.log10(1.1 * 600 * 1900 / (4 * AIR.impedance))

    assert float(plateau(600.0, 1900.0, 0.02)) == pytest.approx(expected)
    assert float(plateau(600.0, 1900.0, 0.2)) == pytest.approx(expected + 10)


def test_radiation_tends_to_one_far_above_the_critical_frequency() -> None:
    assert free_efficiency([1e4, 1e5], 100.0, 4.0, 2.5) == pytest.approx([1.0, 1.0], abs=0.01)


@pytest.mark.parametrize("field", ["thickness", "density", "wave_speed", "loss_factor"])
@pytest.mark.parametrize("value", [0.0, -1.0, float("nan"), float("inf")])
def test_layers_that_cannot_be(field: str, value: float) -> None:
    good = {"thickness": 0.1, "density": 1000.0, "wave_speed": 2000.0, "loss_factor": 0.01}

    with pytest.raises(InputError, match=field):
        Layer(**{**good, field: value})


def test_no_layers() -> None:
    with pytest.raises(InputError, match="at least one layer"):
        bonded([])
    with pytest.raises(InputError, match="at least one layer"):
        packet([])
    with pytest.raises(InputError, match="friction"):
        packet([Leaf(mass=9.0, critical_frequency=2600.0, loss_factor=0.02)], friction=-1.0)
