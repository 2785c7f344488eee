"""ISO 12354-1:2017 table L.3, three solid elements, read second-hand in data of an open library."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from innerleaf.physics.sound.bands import THIRDS
from innerleaf.physics.sound.heavy import heavy_reduction_index
from innerleaf.physics.sound.leaf import limp_panel
from innerleaf.physics.sound.radiation import AIR_OF_ISO_12354, forced_efficiency, free_efficiency

Element = dict[str, Any]
ELEMENTS: list[Element] = json.loads((Path(__file__).parent / "sound_elements.json").read_text("utf-8"))
BANDS = np.array(THIRDS, float)
each_element = pytest.mark.parametrize("element", ELEMENTS, ids=lambda element: element["element"])


@each_element
def test_radiation(element: Element) -> None:
    """To the digits printed; the free efficiency within 0.005."""
    l1, l2 = element["l1_l2"]

    free = free_efficiency(BANDS, element["fc"], l1, l2, AIR_OF_ISO_12354)
    forced = forced_efficiency(BANDS, l1, l2, AIR_OF_ISO_12354)
    assert free == pytest.approx(np.array(element["sigma"]), abs=5e-3)
    assert forced == pytest.approx(np.array(element["sigma_forced"]), abs=1e-3)


@each_element
def test_reduction_index(element: Element) -> None:
    """Rounding apart, in the bands above 1.25 fc and on the plateau; near and below fc the annex averages."""
    index = heavy_reduction_index(
        BANDS,
        mass=element["mass"],
        critical_frequency=element["fc"],
        total_loss=element["eta_tot"],
        sides=(element["l1_l2"][0], element["l1_l2"][1]),
        density=element["rho"],
        wave_speed=element["cL"],
        air=AIR_OF_ISO_12354,
    )

    difference = index - np.array(element["R_situ"])
    above = 1.25 * element["fc"] <= BANDS / 1.13  # the whole of the band
    assert np.abs(difference[above]).max() <= 0.06
    assert np.abs(difference).max() <= 4.5


# ISO 15186-3 table A.1: limp panel of 10 kg/m² and 10 m² at 23 °C, read second-hand.
@pytest.mark.parametrize(
    ("frequency", "printed"), [(50, 10.7), (63, 11.9), (80, 13.4), (100, 14.8), (125, 16.3), (160, 17.9)]
)
def test_limp_panel(frequency: float, printed: float) -> None:
    assert float(limp_panel(frequency, 10.0, 10**0.5, 10**0.5)) == pytest.approx(printed, abs=0.25)
