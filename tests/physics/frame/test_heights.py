"""Greatest heights and spans: against the beam itself, and monotone as a person expects."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from innerleaf.errors import InputError
from innerleaf.physics.frame.beam import Force, Spread, Support, bend
from innerleaf.physics.frame.heights import (
    CRITERIA,
    Use,
    greatest_height,
    greatest_span,
    height_by_line_load,
    height_by_pressure,
)

LINE, PRESSURE = Use(line_load=500.0), Use(pressure=240.0)
USES = st.sampled_from([LINE, Use(line_load=1000.0), PRESSURE, Use(line_load=500.0, pressure=240.0)])
STIFFNESS, RESISTANCE = st.floats(5e3, 1e5), st.floats(100.0, 1000.0)
SPACINGS, RATIOS = st.floats(0.3, 0.625), st.sampled_from([120.0, 240.0, 350.0])
MORE = st.floats(1.0, 3.0)
MOST = 10.0


def height(ei: float, bears: float, spacing: float, ratio: float, use: Use) -> float:
    return float(greatest_height(ei, bears, spacing, ratio, use, MOST).length)


@settings(max_examples=60, deadline=None)
@given(STIFFNESS, SPACINGS, RATIOS)
def test_at_its_height_the_stud_bends_by_the_limit(ei: float, spacing: float, ratio: float) -> None:
    """The beam at the height found deflects by exactly 1/ratio of it, under either load."""
    even = float(height_by_pressure(ei, 240.0 * spacing, ratio))
    bent = bend(even, ei, [Support(0), Support(even)], [Spread(0.0, even, 240.0 * spacing)])
    assert 1 / float(bent.greatest_sag().value) == pytest.approx(ratio, rel=1e-9)

    line = float(height_by_line_load(ei, 500.0 * spacing, 0.9, ratio, 100.0))
    bent = bend(line, ei, [Support(0), Support(line)], [Force(0.9, 500.0 * spacing)])
    assert 1 / float(bent.greatest_sag().value) == pytest.approx(ratio, rel=1e-9)


@settings(max_examples=60, deadline=None)
@given(RESISTANCE, SPACINGS)
def test_at_its_height_the_stud_bears_its_moment(bears: float, spacing: float) -> None:
    """Stiff enough not to bend, the height is where the moment with its factor is what the stud bears."""
    for use in (LINE, PRESSURE):
        found = greatest_height(1e12, bears, spacing, 240.0, use, MOST)
        high = float(found.length)
        load = Force(0.9, 500 * spacing) if use is LINE else Spread(0.0, high, 240 * spacing)
        if CRITERIA[int(found.governs)] == "moment":
            moment = bend(high, 1e12, [Support(0), Support(high)], [load]).greatest_moment()
            assert 1.5 * float(moment.value) == pytest.approx(bears, rel=1e-9)
        else:
            assert high == MOST


@settings(max_examples=80, deadline=None)
@given(STIFFNESS, RESISTANCE, SPACINGS, RATIOS, USES, MORE)
def test_better_never_lower(
    ei: float, bears: float, spacing: float, ratio: float, use: Use, more: float
) -> None:
    """Stiffer, stronger, closer together, a finish that bears more: never a lower height or lesser span."""
    for longest in (greatest_height, greatest_span):
        plain = float(longest(ei, bears, spacing, ratio, use, MOST).length)
        for better in (
            (ei * more, bears, spacing, ratio),
            (ei, bears * more, spacing, ratio),
            (ei, bears, spacing / more, ratio),
            (ei, bears, spacing, ratio / more),
        ):
            assert float(longest(*better, use, MOST).length) >= plain * (1 - 1e-9)


def test_both_loads_allow_no_more_than_either() -> None:
    both = Use(line_load=500.0, pressure=240.0)

    alone = [height(2e4, 400.0, 0.6, 240.0, use) for use in (LINE, PRESSURE)]

    assert height(2e4, 400.0, 0.6, 240.0, both) == pytest.approx(min(alone))


@pytest.mark.parametrize("bays", [1, 2, 3, 6, 20])
def test_a_channel_at_its_span_stands(bays: int) -> None:
    """Brackets at the distance found: no load in the middle of a bay goes beyond the limits."""
    ei, bears, spacing, ratio = 1440.0, 98.7, 0.6, 240.0
    span = float(greatest_span(ei, bears, spacing, ratio, LINE, MOST).length)
    places = [0.2 * span + k * span for k in range(bays + 1)]
    long = places[-1] + 0.2 * span
    held = [Support(0), *(Support(at) for at in places), Support(long)]

    used = []
    for at in places[:-1]:
        bent = bend(long, ei, held, [Force(at + span / 2, 500 * spacing)])
        sag, moment = float(bent.greatest_sag().value), float(bent.greatest_moment().value)
        used.append(max(sag * ratio, abs(moment) * 1.5 / bears))

    assert max(used) <= 1 + 1e-6
    assert max(used) > (1 - 1e-6 if bays > 10 else 0.8)


def test_many_at_once_as_one_by_one() -> None:
    ei, spacing = np.array([[9e3], [2e4]]), np.array([0.6, 0.4, 0.3])
    together = greatest_height(ei, 400.0, spacing, 240.0, LINE, MOST)

    assert together.length.shape == together.governs.shape == (2, 3)
    for i in range(2):
        for j in range(3):
            alone = height(ei[i, 0], 400.0, spacing[j], 240.0, LINE)
            assert together.length[i, j] == pytest.approx(alone)


@pytest.mark.parametrize(
    "wrong",
    [
        Use,
        lambda: Use(line_load=-1.0, pressure=2.0),
        lambda: Use(line_load=500.0, at=0.0),
        lambda: height_by_pressure(0.0, 100.0, 240.0),
        lambda: greatest_height(1e4, float("nan"), 0.6, 240.0, LINE, MOST),
        lambda: greatest_span(1e3, 100.0, 0.0, 240.0, LINE, MOST),
    ],
)
def test_nonsense_is_refused(wrong) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(InputError, match="accepted"):
        wrong()
