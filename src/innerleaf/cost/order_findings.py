"""What the walls need that nobody has given a price for."""

from __future__ import annotations

from collections import defaultdict

from innerleaf.cost.model import Order
from innerleaf.findings import Finding
from innerleaf.takeoff.model import Takeoff

_UNITS = {"mm": (1e3, "m"), "mm2": (1e6, "m²"), "piece": (1, "pieces"), "kg": (1, "kg")}


def price_findings(order: Order, takeoff: Takeoff) -> tuple[Finding, ...]:
    """One finding for each article without a price, on each wall that needs it, as built."""
    amounts: dict[tuple[str, str], float] = defaultdict(float)
    units: dict[str, str] = {}
    for line in takeoff.lines:
        if line.item in order.no_price:
            units[line.item] = line.unit
            for share in line.by_wall:
                amounts[share.place, line.item] += share.quantity
    return tuple(
        Finding(
            code="B101",
            wall=wall,
            rule="no_price",
            text=f"{article}: {_amount(amount, units[article])} without a price, in no sum",
            remedy="ask for a price and put it into the firm's price list or supply list",
        )
        for (wall, article), amount in amounts.items()
        if amount
    )


def _amount(amount: float, unit: str) -> str:
    by, name = _UNITS[unit]
    if unit == "piece":
        return "1 piece" if amount == 1 else f"{amount:,.0f} pieces"
    return f"{amount / by:,.1f} {name}"
