"""Trades in words."""

from __future__ import annotations

import pytest

from innerleaf.design.choice.criteria import COST, SOUND_GAIN, THICKNESS, U_VALUE
from innerleaf.design.choice.explain import trade

CRITERIA = (THICKNESS, SOUND_GAIN, COST, U_VALUE)
NEXT = {"thickness": 112.0, "sound_gain": 9.0, "cost": 500.0, "u_value": 0.3}


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        (
            {"thickness": 100.0, "sound_gain": 6.0, "cost": 496.0},
            "12.0 mm thinner, 3.0 dB less sound improvement, 4.00 EUR cheaper",
        ),
        (
            {"thickness": 112.5, "cost": 500.01, "u_value": 0.29},
            "0.5 mm thicker, 0.01 EUR dearer, 0.010 W/(m²·K) less U-value",
        ),
        ({"sound_gain": 9.5}, "0.5 dB more sound improvement"),
        ({"cost": 500.001, "u_value": 0.3004}, "no difference"),
        ({"u_value": float("nan")}, "no difference"),
    ],
)
def test_a_trade_names_what_differs_with_its_unit(changes: dict[str, float], words: str) -> None:
    assert trade(NEXT | changes, NEXT, CRITERIA) == words
