"""How sure the cost is: inputs with a lowest, likeliest and highest value, and what that makes of the sum.

Each input lies between its lowest and highest with a triangular density whose peak is the figure reckoned
with; inputs are independent, except that all minutes share one. Mean and deviation are exact sums; the range
in which the cost lies with 80 % and the chance that the price covers it come from draws with a fixed seed.
An estimate: it is as good as the spreads in the rates.
"""

from __future__ import annotations

import random
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import fsum, sqrt
from typing import Final

from innerleaf.cost.price_model import LABOUR, MATERIAL, PLANT, PRELIMINARIES, WASTE, Price
from innerleaf.practice.rates import FirmRates, Spread

# Sums drawn: the chance that the price covers the cost is known to 1 / √4000 = 0.016 (two deviations), and
# so many take a few hundredths of a second.
DRAWS: Final = 4000
SEED: Final = 0  # any number would do; fixed, so that the same price is told the same range every time


@dataclass(frozen=True, slots=True, kw_only=True)
class RiskShare:
    """A part of the cost that varies by inputs of its own. Money in hundredths.

    ``mean`` is what it comes to on average, ``deviation`` its standard deviation.
    """

    text: str
    reckoned: int
    mean: float
    deviation: float


@dataclass(frozen=True, slots=True, kw_only=True)
class RiskRange:
    """What direct cost and overhead may come to. Money in hundredths.

    ``covered`` is how often the net price covers it. The risk allowance of the price is no cost here: it
    stands against what is estimated here.
    """

    reckoned: int
    mean: float
    deviation: float
    low: float
    high: float
    covered: float
    draws: int
    seed: int
    shares: tuple[RiskShare, ...]
    working: str


@dataclass(frozen=True, slots=True)
class _Part:
    """Costs that vary together by the inputs ``common``, and each by ``own`` ones besides."""

    text: str
    costs: tuple[int, ...]
    common: tuple[Spread, ...]
    own: tuple[Spread, ...]


def risk_range(price: Price, rates: FirmRates, *, draws: int = DRAWS, seed: int = SEED) -> RiskRange:
    """The spread of the cost of a price."""
    parts = _parts(price, rates.spread)
    shares = tuple(_share(part) for part in parts)
    overhead = price.of_kind("overhead")
    reckoned = price.direct + overhead
    fixed = reckoned - sum(share.reckoned for share in shares)
    drawn = sorted(fixed + once for once in _drawn(parts, draws, seed))
    tenth = draws // 10
    return RiskRange(
        reckoned=reckoned,
        mean=round(fixed + fsum(share.mean for share in shares), 2),
        deviation=round(sqrt(fsum(share.deviation**2 for share in shares)), 2),
        low=round(drawn[tenth], 2),
        high=round(drawn[draws - 1 - tenth], 2),
        covered=round(sum(cost <= price.net for cost in drawn) / draws, 3),
        draws=draws,
        seed=seed,
        shares=shares,
        working=(
            "triangular densities of the rates, the figure reckoned with the likeliest; mean = figure ×"
            " (1 + (low + high) / 3); mean and deviation exact, range and chance from"
            f" {draws} draws with seed {seed}; an estimate"
        ),
    )


def _parts(price: Price, spread: Mapping[str, Spread]) -> list[_Part]:
    by_work: dict[str, int] = {}
    for line in price.labour:
        by_work[line.work] = by_work.get(line.work, 0) + line.total
    by_group: dict[str, int] = {}
    for other in price.lines:
        if other.part == MATERIAL:
            by_group[other.group] = by_group.get(other.group, 0) + other.total
    materials = [
        _Part(f"material, {group}", (total,), (), (spread["material prices"], spread["material needed"]))
        for group, total in by_group.items()
    ]
    on_site = (price.part(PLANT) + price.part(PRELIMINARIES),)
    return [
        _Part(LABOUR, tuple(by_work.values()), (spread["minutes"],), (spread["each operation"],)),
        *materials,
        _Part("plant and preliminaries", on_site, (), (spread["days"], spread["plant"])),
        _Part(WASTE, (price.part(WASTE),), (), (spread["waste"],)),
    ]


def _share(part: _Part) -> RiskShare:
    """Mean and deviation of a part: E(AB) = E(A) E(B) and E(A²B²) = E(A²) E(B²) for independent A and B."""
    mean_own, square_own = _moments(part.own)
    mean_common, square_common = _moments(part.common)
    whole = sum(part.costs)
    mean_sum = whole * mean_own
    square_sum = mean_sum**2 + sum(cost**2 for cost in part.costs) * (square_own - mean_own**2)
    mean = mean_common * mean_sum
    variance = max(0.0, square_common * square_sum - mean**2)
    return RiskShare(text=part.text, reckoned=whole, mean=round(mean, 2), deviation=round(sqrt(variance), 2))


def _moments(spreads: Sequence[Spread]) -> tuple[float, float]:
    """Mean and mean square of the product of 1 + x over inputs x, triangular with their peak at 0."""
    mean = square = 1.0
    for spread in spreads:
        low, high = spread.low / 100, spread.high / 100
        centre = 1 + (low + high) / 3
        mean *= centre
        square *= centre**2 + (low**2 + high**2 - low * high) / 18
    return mean, square


def _drawn(parts: Sequence[_Part], draws: int, seed: int) -> list[float]:
    """Sums drawn at random, the same for the same seed."""
    chance = random.Random(seed)  # noqa: S311 - a repeatable estimate, no secret

    def times(spreads: Sequence[Spread]) -> float:
        product = 1.0
        for spread in spreads:
            product *= 1 + chance.triangular(spread.low, spread.high, 0.0) / 100
        return product

    return [
        sum(times(part.common) * sum(cost * times(part.own) for cost in part.costs) for part in parts)
        for _ in range(draws)
    ]
