"""A laboratory's element in the building: by hand at one band, laws, and what is refused."""

from __future__ import annotations

import numpy as np
import pytest

from innerleaf.errors import InputError
from innerleaf.physics.sound.bands import THIRDS
from innerleaf.physics.sound.elements import element_in_building
from innerleaf.physics.sound.flanking import Element


def concrete(edges: float, mass: float = 460.0) -> Element:
    return element_in_building(
        "floor",
        np.full(21, 50.0),
        THIRDS,
        area=20.0,
        mass=mass,
        internal_loss=0.006,
        critical_frequency=100.0,
        radiation=np.ones(21),
        edges=edges,
    )


def test_by_hand_at_500_hz() -> None:
    """η here 0.006 + 2·438.6/(2π·500·460) + 340·2/(π²·20·√(500·100)) = 0.02201; there 0.04842."""
    found = concrete(edges=2.0)
    at = THIRDS.index(500)
    here, there = 0.006 + 0.000607 + 0.015406, 0.006 + 0.042416

    assert found.r[at] == pytest.approx(50 + 10 * np.log10(here / there), abs=0.01)
    assert found.absorption_length is not None
    assert found.absorption_length[at] == pytest.approx(
        np.pi**2 * 20 * 500 * here / 340 * np.sqrt(1000 / 500), rel=1e-3
    )


def test_edges_that_take_more_away_insulate_better() -> None:
    assert np.all(np.array(concrete(3.0).r) > np.array(concrete(1.0).r))


def test_spectra_of_other_bands_are_refused() -> None:
    with pytest.raises(InputError, match=r"16 rising frequencies"):
        element_in_building(
            "floor",
            np.full(16, 50.0),
            THIRDS,
            area=20.0,
            mass=460.0,
            internal_loss=0.006,
            critical_frequency=100.0,
            radiation=np.ones(21),
            edges=2.0,
        )


def test_too_heavy_for_the_laboratory_formula() -> None:
    with pytest.raises(InputError, match=r"mass: given 900"):
        concrete(1.0, mass=900.0)
