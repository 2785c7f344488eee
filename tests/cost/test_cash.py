"""Cash flow: what goes out and comes in is the whole price, on the days the rates say."""

from __future__ import annotations

from dataclasses import replace

from tests.cost.by_hand import basis_of, rates, two_walls

from innerleaf.cost.cash import CashFlow, cash_flow
from innerleaf.cost.price import price_of
from innerleaf.practice.rates import Figure, FirmRates, Stage

BASIS = basis_of(two_walls())


def flow(own: FirmRates, days: float = 0) -> CashFlow:
    """The flow of the two walls at some rates."""
    basis = replace(BASIS, rates=own, extra_days=days)
    return cash_flow(price_of(basis), basis.order, own)


def test_all_that_moves_is_the_margin() -> None:
    price = price_of(BASIS)
    told = flow(rates())

    assert sum(event.amount for event in told.events) == told.events[-1].after == price.margin
    assert sum(event.amount for event in told.events if event.amount > 0) == price.net
    assert [event.day for event in told.events] == sorted(event.day for event in told.events)
    assert told.lowest == min(event.after for event in told.events)


def test_days_are_those_of_the_rates() -> None:
    """Ordered 28 days ahead, paid 21 later; material 30 days after the first day; wages at the week's end."""
    told = {event.text.split(":")[0].split(",")[0]: event.day for event in flow(rates()).events}

    assert told["on order"] == -28 + 21
    assert told["on completion"] == 1 + 21  # two days of work: done on day 1
    assert told["material"] == 30
    material = next(event.text for event in flow(rates()).events if event.text.startswith("material"))
    assert material.endswith("delivery D1 of day 0, ordered by day -7")  # five working days are a week
    assert told["labour"] == 1


def test_what_comes_for_one_storey_and_phase_comes_together() -> None:
    """Two suppliers for the ground floor on day 0; of four days of work the first floor's comes on day 2."""
    first = BASIS.order.deliveries[0]
    others = (
        replace(first, id="D2", supplier="somebody"),
        replace(first, id="D3", storey="first floor", order_by_days=0),
    )
    order = replace(BASIS.order, deliveries=(first, *others))
    price = price_of(replace(BASIS, order=order, extra_days=2))
    texts = [event.text for event in cash_flow(price, order, rates()).events]

    assert price.crew.days == 4
    assert sum("of day 0" in text for text in texts) == 2
    assert "material, delivery D3 of day 2, ordered by day 2" in texts


def test_longer_work_is_paid_week_by_week() -> None:
    """Twelve days are weeks of 5, 5 and 2; the weekend is not worked: the twelfth day of work is day 15."""
    weeks = [event.day for event in flow(rates(), days=10).events if event.text.startswith("labour")]

    assert weeks == [4, 11, 15]


def test_paid_only_at_the_end_the_firm_lays_out_everything() -> None:
    """Without a deposit the lowest point is all cost, where suppliers are paid before the client pays."""
    late = replace(
        rates(),
        payments={"end": Stage(id="end", percent=100, done_percent=100, source="test")},
        figures={
            **rates().figures,
            "days until clients pay": Figure(id="days until clients pay", value=60, source="test"),
        },
    )
    told = flow(late)

    assert told.lowest == -price_of(replace(BASIS, rates=late)).cost
    assert told.lowest_day == 30
