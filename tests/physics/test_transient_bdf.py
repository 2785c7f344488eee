"""The solver against a general-purpose one on the same equations, written a second time."""

from __future__ import annotations

import numpy as np
import pytest
from benchmarks.transient import BDF_START, bdf
from tests.physics.walls_wet import invented_year, lined_wall

from innerleaf.physics.hygro_grid import build_grid
from innerleaf.physics.transient import run


def test_bdf_at_a_tight_tolerance_gives_the_same_water() -> None:
    """A rainy day and night in autumn. 3e-8 of the water is found between them."""
    climate, hours, cells = invented_year(), 24, 30
    fine = run(lined_wall(), climate, hours=hours, start_hour=BDF_START, every=1, parts=32, cells=cells)
    theirs = bdf(build_grid(lined_wall(), cells), climate, fine, hours, 1e-6)

    assert np.ptp(theirs) > 0.05
    assert fine.layer_water().sum(axis=1) == pytest.approx(theirs, rel=1e-6)
