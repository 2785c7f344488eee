"""Mould index: the published shape of the model, and what is refused.

No table of the papers was at hand: these are laws the model must keep, and times worked by hand from
its formula.
"""

from __future__ import annotations

from math import exp, log

import numpy as np
import pytest

from innerleaf.errors import InputError
from innerleaf.physics.mould import (
    CLASSES,
    MEDIUM,
    RESISTANT,
    SENSITIVE,
    VERY_SENSITIVE,
    Sensitivity,
    critical_humidity,
    mould_index,
)

YEAR = 8760


def held(celsius: float, phi: float, kind: Sensitivity, hours: int = YEAR) -> np.ndarray:
    return mould_index(np.full(hours, celsius), np.full(hours, phi), kind)


def test_pine_at_22_degrees_and_97_percent() -> None:
    """First growth after exp(-0.68 ln 22 - 13.9 ln 97 + 66.02) = 1.39 weeks."""
    weeks = exp(-0.68 * log(22) - 13.9 * log(97) + 66.02)
    first = int(np.argmax(held(22.0, 0.97, VERY_SENSITIVE) >= 1)) / 24 / 7

    assert weeks == pytest.approx(1.39, abs=0.01)
    assert first == pytest.approx(weeks, rel=0.01)


def test_nothing_grows_below_the_critical_humidity() -> None:
    assert held(20.0, 0.79, VERY_SENSITIVE).max() == 0
    assert held(-2.0, 0.99, VERY_SENSITIVE).max() == 0
    assert held(20.0, 0.84, MEDIUM).max() == 0


def test_more_humidity_is_never_better() -> None:
    ends = [held(18.0, phi, SENSITIVE)[-1] for phi in (0.8, 0.85, 0.9, 0.95, 1.0)]

    assert ends == sorted(ends)


def test_classes_in_their_order() -> None:
    ends = [held(20.0, 0.95, kind)[-1] for kind in CLASSES]

    assert ends == sorted(ends, reverse=True)


@pytest.mark.parametrize("kind", CLASSES)
def test_growth_stops_at_the_most_a_humidity_can_bring(kind: Sensitivity) -> None:
    """At 100 % that is A + B - C."""
    a, b, c = kind.most
    end = held(22.0, 1.0, kind, 20 * YEAR)[-1]

    assert end <= a + b - c + 1e-3
    if kind is not RESISTANT:  # it takes longer
        assert end == pytest.approx(a + b - c, abs=0.05)


def test_drying_goes_back_as_published() -> None:
    """Six hours at 0.00133, a pause to a day, then 0.000667 an hour; by half for sensitive surfaces."""
    dry = np.full(48, 0.4)
    index = mould_index(np.full(48, 20.0), dry, SENSITIVE, start=2.0)

    assert 2.0 - index[5] == pytest.approx(0.5 * 6 * 0.00133)
    assert index[23] == pytest.approx(index[5])
    assert index[23] - index[47] == pytest.approx(0.5 * 24 * 0.000667)


def test_places_together_are_the_places_alone() -> None:
    rng = np.random.default_rng(2)
    t, phi = rng.uniform(-5, 30, (500, 3)), rng.uniform(0.6, 1.0, (500, 3))
    together = mould_index(t, phi, SENSITIVE)

    assert together[:, 1] == pytest.approx(mould_index(t[:, 1], phi[:, 1], SENSITIVE))


def test_critical_humidity_rises_when_cold() -> None:
    assert np.all(np.diff(critical_humidity(np.linspace(0.5, 19, 50), SENSITIVE)) <= 1e-9)
    assert critical_humidity(0.0, SENSITIVE) == 100


def test_hours_that_cannot_be() -> None:
    with pytest.raises(InputError, match=r"equal shapes"):
        mould_index([20.0], [0.5, 0.6], SENSITIVE)
    with pytest.raises(InputError, match=r"numbers, 0 or more"):
        mould_index([20.0], [float("nan")], SENSITIVE)
    with pytest.raises(InputError, match=r"mould index at the start: given 7"):
        mould_index([20.0], [0.9], SENSITIVE, start=7)
