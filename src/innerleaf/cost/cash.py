"""When money goes out and comes in, by plain phases; an estimate, net of tax.

Labour, plant, overhead and the like go out evenly, week by week; so does the risk allowance, as if needed.
Deliveries come evenly over the work, all for one storey and phase together, the first on its first day, and
are paid so many days later. Money comes in by the stages of payment, so many days after each is due. Day 0 is
the first day of work; days are those of the calendar.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import ceil

from innerleaf.cost.model import Order
from innerleaf.cost.price_model import DELIVERY, LABOUR, MATERIAL, Price
from innerleaf.cost.price_money import exact, share_out
from innerleaf.practice.rates import FirmRates


@dataclass(frozen=True, slots=True, kw_only=True)
class CashEvent:
    """Money in (above 0) or out on a day, and all money up to then. [hundredths]"""

    day: int
    text: str
    amount: int
    after: int


@dataclass(frozen=True, slots=True, kw_only=True)
class CashFlow:
    """All events in order; ``lowest`` is the least money there ever is, on ``lowest_day``."""

    events: tuple[CashEvent, ...]
    lowest: int
    lowest_day: int
    working: str


def cash_flow(price: Price, order: Order, rates: FirmRates) -> CashFlow:
    """The cash flow of a price; its events add up to the margin."""
    moves = [*_weekly(price, rates), *_material(price, order, rates), *_stages(price, rates)]
    moves.sort(key=lambda move: (move[0], move[2] > 0, move[1]))  # on one day money goes out first
    events, money, lowest, lowest_day = [], 0, 0, 0
    for day, text, amount in moves:
        money += amount
        events.append(CashEvent(day=day, text=text, amount=amount, after=money))
        if money < lowest:
            lowest, lowest_day = money, day
    pay, paid = rates.figure("days until clients pay"), rates.figure("days until suppliers are paid")
    working = (
        f"clients pay {pay:g} days after a stage is due, suppliers are paid {paid:g} days after delivery,"
        " labour and all else at the end of each week; net of tax; an estimate"
    )
    return CashFlow(events=tuple(events), lowest=lowest, lowest_day=lowest_day, working=working)


def _calendar(working_day: int, rates: FirmRates) -> int:
    """The day of the calendar of a day of work, both from 0; the work begins with a week."""
    week = int(rates.figure("days of a week"))
    return working_day // week * 7 + working_day % week


def _weekly(price: Price, rates: FirmRates) -> Iterator[tuple[int, str, int]]:
    week = int(rates.figure("days of a week"))
    days = max(1, price.crew.days)
    in_weeks = [min(week, days - start) for start in range(0, days, week)]
    labour = price.part(LABOUR)
    bought = price.part(MATERIAL) + price.part(DELIVERY)
    rest = price.cost - labour - bought
    for text, total in (("labour", labour), ("plant, site, overhead and risk", rest)):
        for number, part in enumerate(share_out(total, [float(n) for n in in_weeks])):
            if part:
                last = _calendar(number * week + in_weeks[number] - 1, rates)
                yield last, f"{text}, week {number + 1}", -part


def _material(price: Price, order: Order, rates: FirmRates) -> Iterator[tuple[int, str, int]]:
    later = int(rates.figure("days until suppliers are paid"))
    by_delivery: dict[str, int] = {delivery.id: delivery.charge for delivery in order.deliveries}
    ahead = {delivery.id: delivery.order_by_days for delivery in order.deliveries}
    for line in order.lines:
        by_delivery[line.delivery] = by_delivery.get(line.delivery, 0) + line.total
    drop = {delivery.id: (delivery.storey, delivery.phase) for delivery in order.deliveries}
    drops = list(dict.fromkeys(drop.get(name, (name, "")) for name in by_delivery))
    for delivery, total in by_delivery.items():
        if total:
            number = drops.index(drop.get(delivery, (delivery, "")))
            working_day = price.crew.days * number // len(drops)
            arrives = _calendar(working_day, rates)
            ordered = _calendar(working_day - ahead.get(delivery, 0), rates)
            text = f"material, delivery {delivery} of day {arrives}, ordered by day {ordered}"
            yield arrives + later, text, -total


def _stages(price: Price, rates: FirmRates) -> Iterator[tuple[int, str, int]]:
    stages = list(rates.payments.values())
    pay, ahead = int(rates.figure("days until clients pay")), int(rates.figure("days from order to start"))
    amounts = share_out(price.net, [stage.percent for stage in stages])
    for stage, amount in zip(stages, amounts, strict=True):
        if stage.done_percent == 0:
            due = -ahead
        else:
            done = ceil(price.crew.days * exact(stage.done_percent) / 100)
            due = _calendar(max(0, done - 1), rates)
        if amount:
            yield due + pay, f"{stage.id}: {stage.percent:g} % of the price, due on day {due}", amount
