"""Elements in the building: values by hand, laws, and what is refused."""

from __future__ import annotations

import numpy as np
import pytest

from innerleaf.errors import InputError
from innerleaf.physics.sound.bands import THIRDS
from innerleaf.physics.sound.in_situ import (
    absorption_length,
    edge_absorption,
    laboratory_loss,
    reduction_in_situ,
    structural_reverberation,
    total_loss,
)


def test_losses_of_the_laboratory_by_hand() -> None:
    """0.006 + 460/(485·√500) = 0.0484."""
    assert laboratory_loss(500.0, internal=0.006, mass=460) == pytest.approx(0.0484, abs=5e-5)


def test_a_free_plate_in_nothing_keeps_its_internal_loss() -> None:
    alone = total_loss(
        THIRDS,
        internal=0.01,
        mass=300,
        radiation=np.zeros(21),
        area=10,
        critical_frequency=100,
        edges=0.0,
    )

    assert alone.tolist() == [0.01] * 21


def test_an_edge_that_passes_everything_on_absorbs_no_more_than_everything() -> None:
    assert edge_absorption([-20.0, -20.0], [1000.0, 1000.0]) == 1.0


def test_stiffer_junctions_absorb_less() -> None:
    assert edge_absorption([[5.0], [10.0]], [[100.0], [100.0]]).tolist() == pytest.approx(
        [0.1**0.5 * 10**-0.5, 0.1**0.5 * 0.1]
    )


def test_absorption_length_does_not_know_the_path_it_came_by() -> None:
    """a = π² S η f/c0·√(1000/f) once Ts is put in; at 1 kHz and η 0.01: 2.9 m of 10 m²."""
    ts = structural_reverberation(1000.0, 0.01)

    assert absorption_length(1000.0, 10.0, ts) == pytest.approx(np.pi**2 * 10 * 0.01 * 1000 / 340)


def test_an_element_that_rings_half_as_long_insulates_3_db_more() -> None:
    assert reduction_in_situ(50.0, 0.2, 0.1) == pytest.approx(53.01, abs=0.005)
    assert reduction_in_situ(50.0, 0.2, 0.2) == 50.0


def test_values_that_cannot_be() -> None:
    with pytest.raises(InputError, match=r"mass: given 900, accepted: above 0 to 800"):
        laboratory_loss(500.0, internal=0.006, mass=900)
    with pytest.raises(InputError, match=r"loss factor: given 0"):
        structural_reverberation(500.0, 0.0)
    with pytest.raises(InputError, match=r"critical frequency"):
        edge_absorption([8.7], [0.0])
    with pytest.raises(InputError, match=r"area: given -1"):
        absorption_length(500.0, -1.0, 0.2)
