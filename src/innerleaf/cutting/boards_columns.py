"""Column generation over boards: how cheaply, if boards came in fractions, and a proof of it.

As ``columns`` does for bars, with the table of ``boards_table`` for pricing. Patterns may hold more of a type
than is wanted, so the bound holds for every plan by score and snap, notches used as offcuts. Every pricing
gives a bound, finished or not (Farley, Operations Research 38, 1990, 922-923; from memory).
"""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, inf

import numpy as np

from innerleaf.cutting.boards_job import Ints, Job
from innerleaf.cutting.boards_leaves import wanted_only
from innerleaf.cutting.boards_limits import BoardLimits
from innerleaf.cutting.boards_master import Groups, Master
from innerleaf.cutting.boards_pool import BoardPool
from innerleaf.cutting.boards_table import MOST_VALUE, fill, points_of
from innerleaf.cutting.boards_trace import best_of, fullest
from innerleaf.cutting.program import Floats

_UNIT = 1 << 22  # the dearest board costs about this much where prices are whole numbers
_SMOOTH, _LESS_SMOOTH = 0.6, 0.2
_ENOUGH = 1e-6  # of the dearest board: patterns that gain less are not worth having
_DONE = 1e-5  # a mixture is known to about this share
_ROUNDING = 1e-13


@dataclass(frozen=True, slots=True)
class Mixture:
    """Boards in fractions: ``x`` by number of the pattern in the pool, prices of the types, and a bound.

    ``finished``: the mixture is the cheapest there is, and the bound is its cost.
    """

    x: dict[int, float]
    prices: Floats
    value: float
    bound: int
    rounds: int
    finished: bool


def mix(
    job: Job,
    demand: Ints,
    limit: Ints,
    pool: BoardPool,
    limits: BoardLimits,
    *,
    rounds: int,
    enough: float = inf,
    wanted: bool = False,
    groups: Groups | None = None,
) -> Mixture:
    """The cheapest mixture of patterns for a demand; what is missing in the pool is added to it.

    A type that no pattern of the pool holds counts as not cut. Stops when the bound reaches ``enough``.
    ``wanted``: only of patterns that hold no more than is wanted, which are dearer but round better; the
    bound holds all the same. ``groups``: of types whose prices keep their proportions; the mixture is then
    one of the groups, and the bound holds for the types.
    """
    points = points_of(job.shapes, int(job.sheets.length.max()))
    cells = len(points) * int(job.sheets.width.max() + 1)
    master = Master(job, demand, limit, pool, wanted=wanted, groups=groups)
    scale = max(1.0, _UNIT / max(1, int(job.sheets.price.max())))
    centre = job.net * float((job.sheets.price / job.areas).min())
    proved: float = 0
    smooth, done, stuck = 0.0, 0, False
    while True:
        moved = master.solve()
        finished = stuck or proved >= master.value * (1 - _DONE)
        if finished or proved >= enough or done >= rounds or cells > limits.cells or not limits.go_on():
            break
        done += 1
        smooth = _SMOOTH if moved else max(0.0, smooth - _LESS_SMOOTH)
        inner = smooth * centre + (1 - smooth) * master.prices
        value = _whole_values(job, np.where(demand > 0, inner, 0.0) * scale)
        table = fill(job.shapes, value, job.sheets, points)
        bound, shrink = _bound(job, demand, limit, value, best_of(table, job.sheets), scale)
        if bound > proved:
            proved, centre = bound, inner * shrink
        dearer = (job.sheets.price + master.premium) * scale
        least = np.ceil(dearer + _ENOUGH * _UNIT).astype(np.int64)
        added = 0
        for k, leaves in fullest(table, job.shapes, value, job.sheets, least):
            for sheet, useful in wanted_only(job, [(k, leaves)], demand) if wanted else [(k, leaves)]:
                added += pool.add(sheet, useful)
        stuck = added == 0 and smooth == 0.0 and master.settled
    return Mixture(
        x=master.amounts(),
        prices=master.prices,
        value=master.value,
        bound=_up(proved, job.step),
        rounds=done,
        finished=finished,
    )


def _up(value: float, step: int) -> int:
    """The least multiple of ``step`` that is no less, for a value known to about 1e-15 of itself."""
    return ceil(value / step - _ROUNDING * max(1.0, abs(value / step))) * step


def _whole_values(job: Job, prices: Floats) -> Ints:
    """Prices of the types as whole values of the shapes, small enough for the table."""
    net = np.maximum(1, job.net)
    most = float((prices / net).max()) * float(job.areas.max())
    shrink = min(1.0, MOST_VALUE / most) if most > 0 else 1.0
    by_type = np.floor(prices * shrink).astype(np.int64)
    return np.ascontiguousarray(by_type[job.shapes.type])


def _bound(job: Job, demand: Ints, limit: Ints, value: Ints, best: Ints, scale: float) -> tuple[float, float]:
    """What no plan can go below, by these values shrunk until no board is worth more than it costs.

    What a board with a limit gains is taken off once for each of them. Also by how much they were shrunk.
    """
    price = job.sheets.price * scale
    endless = (limit < 0) & (best > 0)
    shrink = float((price[endless] / best[endless]).min()) if endless.any() else 1.0
    by_type = np.zeros(len(demand))
    by_type[job.shapes.type] = value
    gains = np.maximum(0.0, shrink * best - price)[limit >= 0] * limit[limit >= 0]
    return (shrink * float(by_type @ demand) - float(gains.sum())) / scale, shrink
