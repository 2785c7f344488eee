"""What boards can cost at all: sums of their prices."""

from __future__ import annotations

from collections.abc import Iterable
from math import gcd

_MOST = 20_000_000  # steps of the common divisor: a bit for each


def next_sum(bound: int, prices: Iterable[int]) -> int:
    """The least sum of prices, each as often as one likes, that is no less than a bound.

    Where that would take too much room: the least multiple of what divides all prices.
    """
    coins = sorted({price for price in prices if price > 0})
    step = gcd(*coins) or 1
    least = -(-bound // step)
    if not coins or least <= 0 or least > _MOST:
        return least * step
    coins = [coin // step for coin in coins]
    top = least + coins[0]  # one more of the cheapest reaches past the bound at last
    reached = 1
    for coin in coins:
        times = coin
        while times <= top:
            reached |= reached << times
            times *= 2
        reached &= (1 << (top + 1)) - 1
    above = reached >> least
    return (least + (above & -above).bit_length() - 1) * step
