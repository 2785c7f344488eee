"""The cheapest lawful order of a building's material: from quantities and offers to lines and deliveries."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from innerleaf.cost.deliver import deliveries_of
from innerleaf.cost.model import Order, OrderLine
from innerleaf.cost.order_choices import IN_HAND, PRICE_LIST, Item, items_of, problem_of
from innerleaf.cost.order_need import Drop, Need, drops_of, grain, needs_of
from innerleaf.cost.supply import Supply
from innerleaf.errors import InputError
from innerleaf.job.schema_buying import Buying
from innerleaf.practice.measures import measure_of
from innerleaf.practice.model import Practice
from innerleaf.practice.prices import PriceList
from innerleaf.takeoff.model import Takeoff

if TYPE_CHECKING:
    from innerleaf.cost.order_problem import OrderPlan

_LONGER: Final = 0.1  # misfit of a millimetre that a piece is longer than needed
_OTHER: Final = 5000.0  # of another article
_BOUGHT: Final = 1.0  # of what is bought against what is in hand


def order_for(
    takeoff: Takeoff,
    practice: Practice,
    supply: Supply,
    prices: PriceList,
    buying: Buying,
    storeys: Mapping[str, str],
) -> Order:
    """Everything a takeoff says must be bought, at least cost; ``storeys`` by wall, in the order of the job.

    Raises
    ------
    InputError
        The currencies of supply list and price list differ, or ``buying`` names a supplier that is not there.
    """
    currency = _currency(supply, prices)
    drops = drops_of(buying, storeys.values(), supply.phases)
    needs = needs_of(takeoff, practice, drops, storeys, supply.phases, buying.allowances)
    items, notes = items_of(needs, practice, supply, prices, buying)
    served = {n for item in items if item.limit is None for n in item.serves}
    unpriced = _unpriced(needs, served, takeoff)
    buyable = [need for number, need in enumerate(needs) if number in served]
    items, _ = items_of(buyable, practice, supply, prices, buying)
    lines: tuple[OrderLine, ...] = ()
    cost = bound = 0
    stopped_by = "nothing to buy"
    if buyable:
        from innerleaf.cost.order_solve import cheapest_order

        problem, sellers = problem_of(buyable, items, practice, supply, buying)
        plan = cheapest_order(problem)
        cost, bound, stopped_by = plan.cost, plan.bound, plan.stopped_by
        lines = _Lines(practice, supply, buyable, items, drops, sellers).of(problem, plan)
    deliveries = deliveries_of(lines, practice, supply, buying, drops)
    return Order(
        currency=currency,
        source=_source(lines, supply, prices),
        lines=lines,
        deliveries=deliveries,
        total=cost,
        lower_bound=bound,
        unpriced=unpriced,
        stopped_by=stopped_by,
        notes=tuple(notes),
    )
