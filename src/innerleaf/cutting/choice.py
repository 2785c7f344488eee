"""The best whole numbers for patterns that are known: an integer program, made anew each time."""

from __future__ import annotations

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import coo_array

from innerleaf.cutting.columns import Batch, Floats, Ints, Pool


def best_choice(
    batch: Batch, pool: Pool, kept: Ints, *, least: int, below: int, branches: int
) -> Floats | None:
    """How often to cut each pattern so that all is cut at a cost below ``below``; None if not found.

    ``kept`` are the patterns to choose from, ``least`` a bound on the cost. The solver stops after so many
    branches. A piece may serve as a shorter one, as in ``columns``.
    """
    cost = pool.cost(batch)[kept].astype(float)
    types = len(batch.demand)
    lengths = np.diff(pool.start)
    picked = np.repeat(np.isin(np.arange(len(pool)), kept), lengths)
    column = np.repeat(np.arange(len(kept)), lengths[kept])
    order = np.arange(types - 1)
    trade = len(kept) + order
    row = np.concatenate([pool.row[picked], order, order + 1])
    column = np.concatenate([column, trade, trade])
    entry = np.concatenate([pool.count[picked].astype(float), -np.ones(types - 1), np.ones(types - 1)])
    wide = len(kept) + types - 1
    constraints = [
        LinearConstraint(coo_array((entry, (row, column)), (types, wide)).tocsr(), batch.demand, np.inf)
    ]
    price = np.concatenate([cost, np.zeros(types - 1)])
    constraints.append(LinearConstraint(price[None, :], least, below - batch.step))
    limited = np.flatnonzero(batch.limit >= 0)
    if len(limited):
        uses = np.zeros((len(limited), wide))
        uses[:, : len(kept)] = pool.source[kept] == limited[:, None]
        constraints.append(LinearConstraint(uses, 0, batch.limit[limited]))
    answer = milp(
        price / max(1.0, float(cost.max())),
        integrality=np.concatenate([np.ones(len(kept)), np.zeros(types - 1)]),
        bounds=Bounds(0, np.inf),
        constraints=constraints,
        options={"node_limit": branches, "mip_rel_gap": 0.0},
    )
    if answer.x is None:
        return None
    times = np.zeros(len(pool))
    times[kept] = np.round(answer.x[: len(kept)])
    return times
