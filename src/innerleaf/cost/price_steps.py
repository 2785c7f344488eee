"""From direct cost to net price, step by step: overhead, risk, margin, discounts, rounding."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction

from innerleaf.cost.price_model import LABOUR, MATERIAL, Step
from innerleaf.cost.price_money import cents, exact, money, percent_of
from innerleaf.errors import InputError
from innerleaf.job.schema_pricing import MarginFields, Pricing
from innerleaf.practice.rates import FirmRates

_JOB = "as the job says"


def steps_of(parts: Mapping[str, int], rates: FirmRates, pricing: Pricing) -> tuple[tuple[Step, ...], int]:
    """The steps on the direct cost (its parts in hundredths), and the cost after overhead and risk.

    Raises
    ------
    InputError
        A margin or overhead of the whole price or more; discounts above the price.
    """
    ladder = _Ladder(sum(parts.values()))
    _overhead(ladder, rates, pricing)
    _risk(ladder, parts, rates, pricing)
    cost = ladder.sum
    _margin(ladder, rates, pricing)
    _discounts(ladder, rates, pricing)
    _rounding(ladder, rates)
    return tuple(ladder.steps), cost


class _Ladder:
    """Steps, each on the sum of those before."""

    def __init__(self, start: int) -> None:
        self.sum = start
        self.steps: list[Step] = []

    def add(self, name: tuple[str, str], amount: int, basis: str, source: str) -> None:
        """Take one step; its name is its kind and what people read."""
        kind, text = name
        self.sum += amount
        self.steps.append(
            Step(kind=kind, text=text, amount=amount, after=self.sum, basis=basis, source=source)
        )


def _overhead(ladder: _Ladder, rates: FirmRates, pricing: Pricing) -> None:
    general, name = rates.markups["overhead"], ("overhead", "overhead")
    if pricing.overhead is not None:
        percent, source = pricing.overhead, _JOB
    else:
        percent, source = general.percent, general.source
    if pricing.overhead is None and general.of == "price":
        amount = _of_price("overhead", ladder.sum, percent)
        ladder.add(name, amount, f"{percent:g} % of the sum after it", source)
    else:
        ladder.add(name, percent_of(ladder.sum, percent), f"{percent:g} % of the direct cost", source)


def _risk(ladder: _Ladder, parts: Mapping[str, int], rates: FirmRates, pricing: Pricing) -> None:
    of = {"labour": parts[LABOUR], "material": parts[MATERIAL], "cost": sum(parts.values())}
    for risk in rates.risk.values():
        basis = f"risk: {risk.percent:g} % of {'the direct cost' if risk.of == 'cost' else risk.of}"
        ladder.add(("risk", risk.id), percent_of(of[risk.of], risk.percent), basis, risk.source)
    for line in pricing.risks:
        ladder.add(("risk", line.text), cents(line.amount), f"risk: {line.reason}", _JOB)


def _margin(ladder: _Ladder, rates: FirmRates, pricing: Pricing) -> None:
    own, general = pricing.margin, rates.markups["margin"]
    margin = own or MarginFields.model_construct(percent=general.percent, of=general.of)
    source = _JOB if own else general.source
    if margin.of == "price":
        amount, of = _of_price("margin", ladder.sum, margin.percent), "the price before discounts"
    else:
        amount, of = percent_of(ladder.sum, margin.percent), "the cost"
    ladder.add(("margin", "margin"), amount, f"{margin.percent:g} % of {of}", source)


def _discounts(ladder: _Ladder, rates: FirmRates, pricing: Pricing) -> None:
    full, off = ladder.sum, 0
    for discount in pricing.discounts:
        if discount.percent is None:
            amount, basis = cents(discount.amount or 0.0), discount.reason
        else:
            amount = percent_of(full, discount.percent)
            basis = f"{discount.percent:g} % of the price before discounts: {discount.reason}"
        off += amount
        # discounts of 100 % together may be a hundredth each above it, because each is rounded
        ladder.add(("discount", discount.text), -min(amount, ladder.sum), basis, _JOB)
    if off > full + len(pricing.discounts):
        accepted = f"at most {money(full, rates.currency)} together, the price before discounts"
        raise InputError("pricing.discounts", given=money(off, rates.currency), accepted=accepted)


def _rounding(ladder: _Ladder, rates: FirmRates) -> None:
    to = rates.figures["price rounded to"]
    step = max(1, cents(to.value))
    rounded = (2 * ladder.sum + step) // (2 * step) * step
    basis = f"to whole {to.value:g}, halves up"
    ladder.add(("rounding", "rounding"), rounded - ladder.sum, basis, to.source)


def _of_price(name: str, cost: int, percent: float) -> int:
    """What is added so that it is so many per cent of the sum: cost × p / (100 - p)."""
    share = exact(percent)
    if share >= 100:
        accepted = "below 100 % of the price (or a share of the cost)"
        raise InputError(name, given=f"{percent:g} %", accepted=accepted)
    return cents(Fraction(cost, 100) * share / (100 - share))
