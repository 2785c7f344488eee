"""A small building to price: two walls set out by hand, and an order that no solver made."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from functools import cache

from tests.small_plan import small_plan

from innerleaf.cost.model import Delivery, Order, OrderLine
from innerleaf.cost.price_lines import left_over_kg
from innerleaf.cost.price_model import PriceBasis
from innerleaf.job.schema_pricing import Pricing
from innerleaf.layout.pieces import WallPlan
from innerleaf.practice.load import load_practice
from innerleaf.practice.prices import load_prices
from innerleaf.practice.rates import FirmRates
from innerleaf.practice.rates_read import load_rates
from innerleaf.takeoff import Takeoff, take_off
from innerleaf.takeoff.work import work_of

PRACTICE = load_practice()
SUPPLIERS = ("Weir Street Supplies (invented)", "Mill Lane Boards (invented)")


@cache
def rates() -> FirmRates:
    """The rates of the practice set."""
    return load_rates(PRACTICE, load_prices(PRACTICE))


@cache
def two_walls() -> tuple[WallPlan, ...]:
    """The wall set out by hand, twice, in two rooms."""
    return small_plan(PRACTICE, "W-01", "R1"), small_plan(PRACTICE, "W-02", "R2")


def order_line(group: str, article: str, total: int, supplier: str, **more: object) -> OrderLine:
    """One line of an order in whole packs."""
    line = OrderLine(
        group=group,
        article=article,
        description="",
        supplier=supplier,
        code=f"no {article}",
        unit="piece",
        needed=1,
        allowance=0,
        allowance_reason="",
        in_hand=0,
        pack_size=1,
        pack_name="pack",
        packs=1,
        price_of_pack=total,
        price_break="",
        total=total,
        left_over=0,
        mass_kg=10,
        lead_days=5,
        delivery="D1",
        basis="by hand",
    )
    return replace(line, **more)  # type: ignore[arg-type]


def hand_order(takeoff: Takeoff) -> Order:
    """Everything a takeoff buys, a pack of each, at 3.10 for 100 pieces, a metre, a square metre, a kilo."""
    per = {"mm": 1e3, "mm2": 1e6, "piece": 100.0}
    lines = tuple(
        order_line(
            buy.group,
            buy.item,
            round(310 * buy.bought / per.get(buy.unit, 1.0)),
            SUPPLIERS[buy.group == "boards"],
            unit=buy.unit,
            needed=buy.net,
            pack_size=buy.bought,
            left_over=buy.bought - buy.net,
        )
        for buy in takeoff.purchases
    )
    deliveries = (
        Delivery(
            id="D1",
            supplier=SUPPLIERS[0],
            storey="ground",
            mass_kg=400,
            charge=6500,
            order_by_days=5,
            lifts=0,
            basis="one lorry",
        ),
    )
    total = sum(line.total for line in lines) + sum(delivery.charge for delivery in deliveries)
    return Order(
        currency="EUR",
        source="by hand",
        lines=lines,
        deliveries=deliveries,
        total=total,
        lower_bound=total,
        unpriced=(),
    )


def basis_of(
    plans: tuple[WallPlan, ...], pricing: Mapping[str, object] | None = None, own: FirmRates | None = None
) -> PriceBasis:
    """What the price of some walls rests on."""
    takeoff, firm = take_off(plans, PRACTICE), own or rates()
    return PriceBasis(
        work=work_of(
            plans,
            takeoff,
            PRACTICE,
            reach_mm=firm.figure("reach"),
            one_lifts_kg=firm.figure("board for one"),
            holds_from_mm=firm.figure("anchor holds from"),
        ),
        lines=takeoff.lines,
        left_kg=left_over_kg(takeoff),
        order=hand_order(takeoff),
        rates=firm,
        pricing=Pricing.model_validate(pricing or {}),
    )
