"""Which pack covers which need: a flow through the stock of each offer, delivery by delivery."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import coo_array

from innerleaf.cost.order_problem import OrderProblem, Packs

Arc = tuple[int, int, int]  # choice, need, delivery in which it is needed
_Row = tuple[list[int], float, float]  # numbers of arcs, and what their flows sum up to: from, to


def uses_of(problem: OrderProblem, packs: Packs, misfit: Sequence[Sequence[float]]) -> dict[Arc, int] | None:
    """How much of each choice covers each need in each delivery, with the least misfit all together.

    ``misfit`` says, by choice and need, how badly they go together. None: the packs do not cover the needs,
    or a pack or more of an offer would be left over between two deliveries. The rows are those of flows in a
    network, so a corner of the linear program is whole.
    """
    arcs = [
        (number, need, drop)
        for number, (choice, of) in enumerate(zip(problem.choices, packs, strict=True))
        if any(of)
        for need in choice.serves
        for drop, amount in enumerate(problem.needs[need])
        if amount
    ]
    rows = _demand_rows(problem, arcs) + _stock_rows(problem, packs, arcs)
    if any(not numbers and low > 0 for numbers, low, _ in rows):
        return None
    if not arcs:
        return {}
    flows = _flows(rows, [misfit[number][need] for number, need, _ in arcs])
    return None if flows is None else {arc: flow for arc, flow in zip(arcs, flows, strict=True) if flow}


def _demand_rows(problem: OrderProblem, arcs: Sequence[Arc]) -> list[_Row]:
    into: dict[tuple[int, int], list[int]] = defaultdict(list)
    for at, (_, need, drop) in enumerate(arcs):
        into[need, drop].append(at)
    return [
        (into[need, drop], amount, amount)
        for need, row in enumerate(problem.needs)
        for drop, amount in enumerate(row)
        if amount
    ]


def _stock_rows(problem: OrderProblem, packs: Packs, arcs: Sequence[Arc]) -> list[_Row]:
    """No more is used than has come; less than a pack is left over until the last delivery of a family."""
    out: dict[int, list[int]] = defaultdict(list)
    for at, (number, _, _) in enumerate(arcs):
        out[number].append(at)
    rows = []
    for number, (choice, of) in enumerate(zip(problem.choices, packs, strict=True)):
        if not any(of):
            continue
        last = problem.last[problem.family_of[choice.serves[0]]]
        for drop in range(problem.drops):
            come = choice.pack * (sum(of) if choice.limit is not None else sum(of[: drop + 1]))
            least = 0 if choice.limit is not None or drop >= last else come - choice.pack + 1
            rows.append(([at for at in out[number] if arcs[at][2] <= drop], float(least), float(come)))
    return rows


def _flows(rows: Sequence[_Row], costs: Sequence[float]) -> list[int] | None:
    """Whole flows at least cost, or None if there are none."""
    row = np.repeat(np.arange(len(rows)), [len(numbers) for numbers, _, _ in rows])
    column = np.array([at for numbers, _, _ in rows for at in numbers], dtype=np.int64)
    matrix = coo_array((np.ones(len(column)), (row, column)), shape=(len(rows), len(costs))).tocsc()
    low, high = np.array([r[1] for r in rows]), np.array([r[2] for r in rows])
    answer = milp(np.array(costs), constraints=LinearConstraint(matrix, low, high), bounds=Bounds(0, np.inf))
    if answer.x is None:
        return None
    flows = np.rint(answer.x)
    sums = matrix @ flows
    if (sums < low).any() or (sums > high).any():
        return None
    return [int(flow) for flow in flows]
