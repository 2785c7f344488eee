"""Money and figures of a price, exact: amounts in whole hundredths, figures as the decimals they are written.

A figure that people read is rounded first, half up, and what follows is reckoned from the rounded one:
whoever has the printed sheet reaches every sum to the hundredth.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from math import floor


def exact(figure: float) -> Fraction:
    """The decimal a figure is written as.

    >>> exact(0.1) + exact(0.2) == exact(0.3)
    True
    """
    return Fraction(repr(figure))


def half_up(value: Fraction, digits: int) -> Fraction:
    """Rounded to so many decimals, halves away from zero.

    >>> float(half_up(exact(2.345), 2)), float(half_up(exact(-2.345), 2))
    (2.35, -2.35)
    """
    scale = 10**digits
    whole = floor(abs(value) * scale + Fraction(1, 2))
    return Fraction(-whole if value < 0 else whole, scale)


def figure(value: Fraction | float, digits: int) -> float:
    """A figure as it is printed and reckoned on with."""
    return float(half_up(value if isinstance(value, Fraction) else exact(float(value)), digits))


def cents(amount: Fraction | float) -> int:
    """Whole hundredths of an amount of money, halves away from zero; a float is taken as it is written.

    >>> cents(exact(3.1) * exact(46.0)), cents(1.005), cents(10), cents(-1.005)
    (14260, 101, 1000, -101)
    """
    return int(half_up(amount if isinstance(amount, Fraction) else exact(amount), 2) * 100)


def percent_of(amount: int, percent: float) -> int:
    """So many per cent of an amount. [hundredths]"""
    return cents(Fraction(amount, 100) * exact(percent) / 100)


def share_out(total: int, weights: Sequence[float]) -> tuple[int, ...]:
    """An amount among some, in proportion to their weights, to the hundredth: the sum is the amount.

    Hundredths that rounding down leaves go to the largest remainders, the first in order where they are
    equal; without any weight all count alike.

    >>> share_out(100, [1, 1, 1]), share_out(-5, [1, 3])
    ((34, 33, 33), (-1, -4))
    """
    if not weights:
        return ()
    if total < 0:
        return tuple(-part for part in share_out(-total, weights))
    if not any(weight > 0 for weight in weights):
        weights = [1.0] * len(weights)
    parts = [max(0, round(weight * 10**9)) for weight in weights]  # whole numbers: sums know no order
    if not any(parts):
        parts = [int(weight > 0) for weight in weights]
    whole = sum(parts)
    shares = [total * part // whole for part in parts]
    rests = [(-(total * part % whole), number) for number, part in enumerate(parts)]
    for _, number in sorted(rests)[: total - sum(shares)]:
        shares[number] += 1
    return tuple(shares)


def money(amount: int, currency: str = "") -> str:
    """An amount as people read it.

    >>> money(123456789, "EUR"), money(-5)
    ('1,234,567.89 EUR', '-0.05')
    """
    whole, rest = divmod(abs(amount), 100)
    text = f"{'-' if amount < 0 else ''}{whole:,}.{rest:02}"
    return f"{text} {currency}" if currency else text
