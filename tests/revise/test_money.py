"""Two prices held together: a difference reckoned by hand, and sums that must agree."""

from __future__ import annotations

from dataclasses import replace

import pytest
from tests.cost.by_hand import basis_of, two_walls

from innerleaf.cost.price import price_of
from innerleaf.errors import InputError
from innerleaf.revise.figures import money_held_together

SILL = {"extras": [{"text": "new sill", "quantity": 2, "each": 85.5, "wall": "W-02", "reason": "by hand"}]}


def test_two_more_sills_by_hand() -> None:
    """171.00 of cost; 12 % overhead on it; a margin of 8 % of the price: (171.00 + 20.52) × 8 / 92 = 16.65.

    Typed from the rates of the practice set; labour, and the risk that hangs on it, stay. Each step is
    rounded in both prices, so a step may be a hundredth off.
    """
    before, after = price_of(basis_of(two_walls())), price_of(basis_of(two_walls(), SILL))

    held = money_held_together(before, after)
    steps = {step.what: step.change for step in held.steps}

    assert {part.what: part.change for part in held.parts if part.change} == {"extra": 171_00}
    assert held.sum_of("direct cost").change == 171_00
    assert steps["overhead"] == pytest.approx(20_52, abs=1)
    assert steps["margin"] == pytest.approx(16_65, abs=1)
    net = held.sum_of("net").change - steps["rounding"]
    assert net == pytest.approx(171_00 + 20_52 + 16_65, abs=2)
    assert held.sum_of("gross").change == pytest.approx(held.sum_of("net").change * 1.2, abs=1)  # 20 % tax
    assert held.days.change == 0
    assert all(figure.change == 0 for figure in held.hours)


def test_walls_add_up_to_the_net_price() -> None:
    held = money_held_together(price_of(basis_of(two_walls())), price_of(basis_of(two_walls(), SILL)))

    assert sum(figure.change for figure in held.walls) == held.sum_of("net").change
    own = {figure.what: figure.change for figure in held.walls}
    assert own["W-02"] > 171_00 > own["W-01"]


def test_other_currencies_are_refused() -> None:
    price = price_of(basis_of(two_walls()))

    with pytest.raises(InputError, match="currency of the later price: given 'USD', accepted: EUR"):
        money_held_together(price, replace(price, currency="USD"))
