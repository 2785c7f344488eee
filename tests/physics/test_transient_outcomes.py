"""What a run of years is asked: water by year, frost, humidity behind the insulation."""

from __future__ import annotations

import numpy as np
import pytest
from tests.physics.walls_wet import invented_year, lined_wall

from innerleaf.errors import InputError
from innerleaf.physics.hygro_grid import build_grid
from innerleaf.physics.hygro_outcomes import (
    freezing_turns,
    frost_hours,
    seen_at,
    worst_in_layer,
    year_by_year,
)
from innerleaf.physics.mould import SENSITIVE, mould_index
from innerleaf.physics.transient import TransientRun, run

YEAR = 8760
BEHIND = int(build_grid(lined_wall()).first[3])  # outer face of the wool


@pytest.fixture(scope="module")
def years() -> TransientRun:
    return run(lined_wall(), invented_year(), hours=4 * YEAR, watch=(0, BEHIND))


def test_years_come_to_a_balance(years: TransientRun) -> None:
    told = year_by_year(years)

    assert told.at_end.shape == (4, 6)
    assert told.periodic_from in (2, 3, 4)
    assert np.all(told.most >= told.mean)
    assert np.abs(told.yearly_change).max() < 0.05
    assert told.at_end[-1] == pytest.approx(years.layer_water()[-1])


def test_frost_is_counted_at_the_face(years: TransientRun) -> None:
    t, phi = seen_at(years, 0)

    assert frost_hours(years) == np.count_nonzero(t < 0)
    assert 0 < frost_hours(years, water_from=150.0) < frost_hours(years)
    assert 0 < freezing_turns(years) < frost_hours(years)
    assert frost_hours(years, BEHIND) <= frost_hours(years)
    assert phi.max() <= 1


def test_lining_raises_the_mould_index_behind_it(years: TransientRun) -> None:
    """The face behind the insulation is colder and damper than the room face was before."""
    before = run(lined_wall()[:3], invented_year(), hours=YEAR, watch=(-1,))
    index = mould_index(*seen_at(years, BEHIND), SENSITIVE)

    assert index[-1] >= mould_index(*seen_at(before, before.watched[0]), SENSITIVE)[-1]
    assert worst_in_layer(years, 2).max() > 0


def test_what_was_not_watched_is_not_told(years: TransientRun) -> None:
    with pytest.raises(InputError, match=r"watched node: given 3, accepted: one of"):
        frost_hours(years, 3)
    with pytest.raises(InputError, match=r"run: given '48 hours"):
        year_by_year(run(lined_wall(), invented_year(), hours=48))
