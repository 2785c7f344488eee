"""How sure the cost is: exact sums against draws, the triangular density against its textbook moments."""

from __future__ import annotations

from dataclasses import replace
from math import sqrt
from statistics import fmean, pstdev

import pytest
from tests.cost.by_hand import basis_of, rates, two_walls

from innerleaf.cost.price import price_of
from innerleaf.cost.risk import _drawn, _moments, _parts, risk_range
from innerleaf.practice.rates import SPREADS, FirmRates, Spread

PRICE = price_of(basis_of(two_walls()))


def spread(**by_name: tuple[float, float]) -> FirmRates:
    """The rates with no spread but some."""
    given = dict.fromkeys(SPREADS, (0.0, 0.0)) | {
        name.replace("_", " "): values for name, values in by_name.items()
    }
    return replace(
        rates(),
        spread={
            name: Spread(id=name, low=low, high=high, source="test") for name, (low, high) in given.items()
        },
    )


def test_one_input_has_the_moments_of_a_triangle() -> None:
    """Mean (a + b + c) / 3 and variance (a² + b² + c² - ab - ac - bc) / 18, of -10, 0 and 25 %."""
    told = risk_range(PRICE, spread(minutes=(-10, 25)))
    labour = PRICE.part("labour")
    a, b, c = -0.10, 0.25, 0.0

    assert told.mean - told.reckoned == pytest.approx(labour * (a + b + c) / 3, abs=0.01)
    variance = (a * a + b * b + c * c - a * b - a * c - b * c) / 18
    assert told.deviation == pytest.approx(labour * sqrt(variance), abs=0.01)


def test_operations_of_their_own_even_out() -> None:
    """The same spread for each operation apart varies the sum less than one common to all."""
    common = risk_range(PRICE, spread(minutes=(-20, 20)))
    apart = risk_range(PRICE, spread(each_operation=(-20, 20)))

    assert apart.deviation < 0.5 * common.deviation


def test_draws_and_exact_sums_agree() -> None:
    """The mean of 20,000 draws within four of its standard errors; their deviation within 3 %."""
    parts = _parts(PRICE, rates().spread)
    drawn = _drawn(parts, 20_000, 7)
    told = risk_range(PRICE, rates(), draws=10)
    fixed = told.reckoned - sum(share.reckoned for share in told.shares)

    assert fmean(drawn) + fixed == pytest.approx(told.mean, abs=4 * told.deviation / sqrt(20_000))
    assert pstdev(drawn) == pytest.approx(told.deviation, rel=0.03)


def test_four_in_five_draws_lie_in_the_range() -> None:
    told = risk_range(PRICE, rates())
    again = risk_range(PRICE, rates())

    assert told == again
    assert told.low < told.mean < told.high
    assert told.high - told.low == pytest.approx(2 * 1.2816 * told.deviation, rel=0.1)  # nearly normal
    assert 0 < told.covered <= 1


def test_what_is_sure_has_no_spread() -> None:
    told = risk_range(PRICE, spread())

    assert (told.mean, told.deviation, told.low, told.high) == (
        told.reckoned,
        0,
        told.reckoned,
        told.reckoned,
    )
    assert told.covered == 1


def test_moments_of_nothing() -> None:
    assert _moments(()) == (1.0, 1.0)
