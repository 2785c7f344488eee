"""Which offer covers which need, once it is known how much of each is bought."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np
from scipy.optimize import linprog
from scipy.sparse import coo_array

from innerleaf.cost.order_problem import OrderProblem, Uses


def uses_of(
    problem: OrderProblem,
    packs: Sequence[int],
    misfit: Sequence[Sequence[float]],
    arcs: Iterable[tuple[int, int]],
) -> Uses | None:
    """Whole amounts on ``arcs`` (choice, need) that cover all needs with the least misfit; None: none do.

    The rows are those of a transport problem, so a corner of the linear program is whole.
    """
    known = sorted(arc for arc in arcs if packs[arc[0]] and problem.totals[arc[1]])
    wants = [need for need, total in enumerate(problem.totals) if total]
    if not known:
        return None if wants else {}
    ends = np.array(known)
    one, along = np.ones(len(known)), np.arange(len(known))
    count = len(known)
    out = coo_array((one, (ends[:, 0], along)), shape=(len(packs), count)).tocsr()
    into = coo_array((one, (ends[:, 1], along)), shape=(len(problem.needs), count)).tocsr()[wants]
    there = np.array([choice.pack * n for choice, n in zip(problem.choices, packs, strict=True)])
    wanted = np.array([problem.totals[need] for need in wants])
    costs = [misfit[number][need] for number, need in known]
    answer = linprog(costs, A_ub=out, b_ub=there, A_eq=into, b_eq=wanted, method="highs-ds")
    if answer.x is None:
        return None
    amounts = np.rint(answer.x).astype(np.int64)
    if (into @ amounts != wanted).any() or (out @ amounts > there).any():
        return None
    return {arc: int(amount) for arc, amount in zip(known, amounts, strict=True) if amount}
