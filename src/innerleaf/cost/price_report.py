"""A price with all that is said about it: changes, what it is most sensitive to, cash flow, risk."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from innerleaf.cost.cash import CashFlow, cash_flow
from innerleaf.cost.price import price_of
from innerleaf.cost.price_model import Price, PriceBasis
from innerleaf.cost.risk import RiskRange, risk_range
from innerleaf.cost.what_if import Changed, Rebuy, Sensitivity, sensitivities, usual, what_if


@dataclass(frozen=True, slots=True, kw_only=True)
class PriceReport:
    """The price of a job, shared out among its walls, and what could become of it."""

    price: Price
    changes: tuple[Changed, ...]
    sensitivities: tuple[Sensitivity, ...]
    cash: CashFlow
    risk: RiskRange


def report_of(basis: PriceBasis, words: Sequence[str] = (), rebuy: Rebuy | None = None) -> PriceReport:
    """Reckon a price and what could become of it; without ``words`` of changes, the usual ones.

    A supplier is left out only where it can be bought from others (``rebuy``).

    Raises
    ------
    InputError
        Words that say no change; currencies that differ.
    """
    price = price_of(basis)
    asked = tuple(words) or tuple(each for each in usual(basis) if rebuy or not each.startswith("without "))
    return PriceReport(
        price=price,
        changes=what_if(basis, asked, rebuy)[1],
        sensitivities=sensitivities(basis),
        cash=cash_flow(price, basis.order, basis.rates),
        risk=risk_range(price, basis.rates),
    )
