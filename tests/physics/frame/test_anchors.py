"""Anchors and fixings: sums that can be redone by hand."""

from __future__ import annotations

import numpy as np
import pytest

from innerleaf.errors import InputError
from innerleaf.physics.frame.anchors import (
    anchors_needed,
    anchors_that_fit,
    check,
    couple_force,
    fixing_shear,
    pulls,
    screw_pull,
)
from innerleaf.physics.frame.beam import Couple, Force, Support, bend


def test_the_couple_of_the_greatest_hung_load() -> None:
    """DIN 18183-1 with DIN 4103-1: 0.4 kN on a metre at 0.3 m over an arm of 0.3 m makes 0.4 kN twice."""
    force = float(couple_force(400.0, 0.3, 0.3))
    pair = [Force(2.0, -force), Force(1.7, force)]
    stud, held = 2.6, [Support(0), Support(2.6)]

    assert force == pytest.approx(400.0)
    reactions = bend(stud, 2e4, held, pair).reactions
    assert reactions == pytest.approx(bend(stud, 2e4, held, [Couple(1.85, -120.0)]).reactions)


def test_what_presses_pulls_nothing() -> None:
    assert pulls([30.0, -20.0, 0.0]).tolist() == [0.0, 20.0, 0.0]


def test_a_check_has_both_factors() -> None:
    found = check(-200.0, 900.0, load_factor=1.5, safety=2.5)

    assert (float(found.force), float(found.allowed)) == (300.0, 360.0)
    assert float(found.used) == pytest.approx(300 / 360)


def test_fixings_share_along_the_track_but_never_less_than_one_member() -> None:
    """220 N each 0.6 m, fixings each metre: 220/0.6 N; each 0.3 m: still the whole of one stud."""
    assert fixing_shear(220.0, 0.6, np.array([1.0, 0.3])) == pytest.approx([220 / 0.6, 220.0])


def test_screws_and_cavity_anchors() -> None:
    assert float(screw_pull(240.0, 0.6, 0.25)) == pytest.approx(36.0)
    assert anchors_needed([245.0, 245.1, 392.0], 245.0).tolist() == [1, 2, 2]
    assert int(anchors_that_fit(0.3, 0.075)) == 5


@pytest.mark.parametrize(
    "wrong",
    [
        lambda: check(100.0, 0.0, load_factor=1.5, safety=2.5),
        lambda: check(float("nan"), 900.0, load_factor=1.5, safety=2.5),
        lambda: couple_force(100.0, 0.2, 0.0),
        lambda: fixing_shear(100.0, 0.6, 0.0),
        lambda: anchors_needed(100.0, -1.0),
        lambda: pulls(float("inf")),
    ],
)
def test_nonsense_is_refused(wrong) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(InputError, match="accepted"):
        wrong()
