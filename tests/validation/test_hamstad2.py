"""HAMSTAD benchmark 2: a layer dries to both sides at 20 °C; report R-02:8 (Hagentoft 2002), 3.2.

Profiles read and recomputed to 1e-4 kg/m³; those who took part scattered by 0.9, 0.3 and 0.1 kg/m³.
"""

from __future__ import annotations

import numpy as np
import pytest

from innerleaf.physics.hygro import tabulated
from innerleaf.physics.hygro_grid import WetLayer
from innerleaf.physics.transient import TransientRun, exposure, run
from innerleaf.physics.transient_kernel import AIR_PERMEABILITY

X = np.arange(21) / 100  # m
# kg/m³ at X
AFTER = {
    100: [
        19.5356, 43.644, 62.8553, 75.0545, 81.2271, 83.7155, 84.5148,
        84.7193, 84.761, 84.7677, 84.7685, 84.7679, 84.7623, 84.7276,
        84.5575, 83.8926, 81.8227, 76.6882, 66.5405, 50.5599, 30.5059,
    ],
    300: [
        19.5356, 33.8097, 47.0304, 58.3716, 67.3823, 74.0123, 78.5282,
        81.3703, 83.0086, 83.8367, 84.1147, 83.9483, 83.2873, 81.9357,
        79.5757, 75.8206, 70.306, 62.8107, 53.3768, 42.3795, 30.5059,
    ],
    1000: [
        19.5356, 27.2914, 34.8419, 41.9918, 48.5646, 54.4092, 59.4036,
        63.4561, 66.5036, 68.5088, 69.4563, 69.3502, 68.2114, 66.0777,
        63.0043, 59.0659, 54.3585, 49.0001, 43.1305, 36.9083, 30.5059,
    ],
}  # fmt: skip


@pytest.fixture(scope="module")
def drying() -> TransientRun:
    layer = tabulated(
        "benchmark 2",
        heat_capacity=5e5,
        water=lambda h: 116 / (1 + h / 0.118) ** 0.869,
        liquid=lambda h: 6e-10 * 116 / (1 + h / 0.118) ** 0.869,
        vapour=lambda h: np.full_like(h, 1e-15 / AIR_PERMEABILITY),
        conductivity=lambda h: np.full_like(h, 1e4),  # so that it stays at 20 °C while it dries
    )
    climate = exposure(
        outside=20.0,
        outside_humidity=0.45,
        outside_heat=1e8,
        outside_vapour=1e-3,
        inside=20.0,
        inside_humidity=0.65,
        inside_heat=1e8,
        inside_vapour=1e-3,
    )
    return run(
        [WetLayer(material=layer, thickness=0.2, x=tuple(0.0025 * np.arange(1, 80)))],
        climate,
        hours=1000,
        start_humidity=0.95,
        start_temperature=20.0,
        every=100,
    )


@pytest.mark.parametrize("hours", [100, 300, 1000])
def test_profile(drying: TransientRun, hours: int) -> None:
    """0.1 is asked for; 0.026, 0.009, 0.004 kg/m³ are found with 80 cells and hourly steps."""
    assert drying.water_at(0, X)[hours // 100] == pytest.approx(np.asarray(AFTER[hours]), abs=0.03)


def test_start_and_balance(drying: TransientRun) -> None:
    assert drying.water_at(0, X)[0] == pytest.approx(84.7687, abs=1e-3)
    assert abs(drying.balance.water_error) < 1e-9
