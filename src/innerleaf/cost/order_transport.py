"""Which pack covers which need: the transport problem of an order."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from scipy.optimize import linprog
from scipy.sparse import coo_array

from innerleaf.cost.order_problem import OrderProblem, Packs

Use = tuple[int, int, int, int]  # choice, delivery it came with (-1: in hand), need, delivery it is needed in


def served(problem: OrderProblem, packs: Packs, misfit: Sequence[Sequence[float]]) -> dict[Use, int] | None:
    """How much of each need each pack covers; None: the packs do not cover the needs.

    ``misfit`` says, by choice and need, how badly they go together, in steps of 1 or more. The least misfit
    is taken, and then what came early is used early.
    """
    sources = [
        (number, -1 if choice.limit is not None else drop, choice.pack * count)
        for number, (choice, of) in enumerate(zip(problem.choices, packs, strict=True))
        for drop, count in enumerate(of)
        if count
    ]
    wants = [
        (need, drop, amount)
        for need, row in enumerate(problem.needs)
        for drop, amount in enumerate(row)
        if amount
    ]
    arcs, costs = [], []
    for at, (number, came, _) in enumerate(sources):
        serves = problem.choices[number].serves
        for to, (need, drop, _) in enumerate(wants):
            if came <= drop and need in serves:
                arcs.append((at, to))
                waits = (drop - came) / (2 * problem.drops + 2)  # squared: first come, first used
                costs.append(misfit[number][need] + waits * waits / 2)
    flows = transport([amount for _, _, amount in sources], [w[2] for w in wants], arcs, costs)
    if flows is None:
        return None
    return {
        (sources[at][0], sources[at][1], wants[to][0], wants[to][1]): amount
        for (at, to), amount in zip(arcs, flows, strict=True)
        if amount
    }


def transport(
    supplies: Sequence[int],
    wants: Sequence[int],
    arcs: Sequence[tuple[int, int]],
    costs: Sequence[float],
) -> list[int] | None:
    """Whole amounts on arcs from supplies to wants that cover all wants at least cost; None if none do.

    The matrix is totally unimodular, so a corner of the linear program is whole.
    """
    if not wants:
        return [0] * len(arcs)
    if not arcs:
        return None
    count = len(arcs)
    ends = np.array(arcs)
    one = np.ones(count)
    along = np.arange(count)
    out = coo_array((one, (ends[:, 0], along)), shape=(len(supplies), count)).tocsr()
    into = coo_array((one, (ends[:, 1], along)), shape=(len(wants), count)).tocsr()
    answer = linprog(costs, A_ub=out, b_ub=supplies, A_eq=into, b_eq=wants, method="highs-ds")
    if answer.x is None:
        return None
    amounts = np.rint(answer.x).astype(np.int64)
    if (into @ amounts != np.array(wants)).any() or (out @ amounts > np.array(supplies)).any():
        return None
    return [int(amount) for amount in amounts]
