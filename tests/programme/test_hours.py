"""The hours of a programme are those of the price, to the hundredth."""

from __future__ import annotations

from collections import Counter

import pytest
from tests.programme.house import basis, built, planned

from innerleaf.cost.labour import labour_of
from innerleaf.cost.price import price_of
from innerleaf.practice.rates import FITTER, HELPER, JOINTER
from innerleaf.programme.hours import hours_by_step
from innerleaf.programme.model import OURS


def test_each_trade_has_the_hours_of_the_price() -> None:
    crew = price_of(basis()).crew
    works = [one.hours for one in built().work.operations]

    assert sum(hours.fitter for hours in works) == round(crew.fitter_hours * 100)
    assert sum(hours.helper for hours in works) == round(crew.helper_hours * 100)
    assert sum(hours.jointer for hours in works) == round(crew.jointer_hours * 100)


def test_each_wall_has_the_hours_of_the_price() -> None:
    """The price rounds a wall's share of each line by money, the programme by hundredths of an hour."""
    (plans, takeoff), price = planned(), price_of(basis())
    found: Counter[str] = Counter()
    for (wall, _), hours in hours_by_step(plans, takeoff, labour_of(basis().work, basis().rates, {})).items():
        found[wall] += hours.total

    for priced in price.walls:
        assert found[priced.wall] / 100 == pytest.approx(priced.hours, abs=0.15)


def test_no_trade_does_what_another_is_paid_for() -> None:
    """Jointers do joints; fitters and helpers the rest."""
    for one in built().work.operations:
        if one.kind != OURS:
            assert one.hours.total == 0
        elif one.skill == "jointing":
            assert one.hours.fitter == 0
        else:
            assert one.hours.jointer == 0


def test_a_trade_of_the_price_is_one_of_the_hours() -> None:
    lines = labour_of(basis().work, basis().rates, {})

    assert {line.trade for line in lines} <= {FITTER, HELPER, JOINTER}
