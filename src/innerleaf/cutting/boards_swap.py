"""Which of several sets of pieces to cut: of each group one alternative, chosen for how all nest together.

Ruin and recreate over boards of several materials at once (as `boards_mend`, see there). A step either only
fills a few boards anew, or exchanges the alternative of one group: boards that hold what is no longer
wanted are emptied, and what is wanted instead is filled in. Alternatives may also cost something beside
their boards. What comes out is the choice; how to cut it is then asked of `boards_cut` with all its means.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from innerleaf.cutting.boards import BoardProblem
from innerleaf.cutting.boards_fit import Boards, Pieces, Spots
from innerleaf.cutting.boards_job import Ints, Job, job_of
from innerleaf.cutting.boards_swap_kernel import Material, Ruin, begin_plan, cost_of, search

_STARTS = 6  # first plans by best fit, of which the cheapest is taken


@dataclass(frozen=True, slots=True, kw_only=True)
class Alternative:
    """One set of pieces: for each material how many of which mark; ``price``: what it costs beside boards."""

    counts: tuple[Mapping[str, int], ...]
    price: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Swapped:
    """The alternative of each group, its cost in the plan met by the search, and that of the first ones."""

    chosen: tuple[int, ...]
    cost: int
    cost_of_first: int


def choose_alternatives(
    materials: Sequence[BoardProblem],
    groups: Sequence[Sequence[Alternative]],
    *,
    steps: int,
    seed: int = 0,
    begin: Sequence[int] = (),
) -> Swapped:
    """Choose one alternative of each group such that boards and alternatives together cost little.

    ``materials`` name every piece that may be wanted, counts not looked at; boards without limits. The
    search begins with ``begin``, or the first of each group, and answers with nothing dearer.
    """
    flat = [each for group in groups for each in group]
    first = np.concatenate([[0], np.cumsum([len(group) for group in groups], dtype=np.int64)])
    sizes = np.diff(first)
    chosen = np.array(begin or [0] * len(groups), np.int64) + first[:-1]
    prices = np.array([each.price for each in flat], np.int64)
    made = [_material(problem, number, flat, first, chosen) for number, problem in enumerate(materials)]
    made = [each for each in made if len(each.pieces.type)]
    if not made or not len(groups):
        return Swapped(chosen=tuple((chosen - first[:-1]).tolist()), cost=0, cost_of_first=0)
    for each in made:
        begin_plan(each, seed, _STARTS)
    best = chosen.copy()
    cost = sum(cost_of(each) for each in made) + int(prices[chosen].sum())
    ruins = tuple(_ruin(each) for each in made)
    lowest = search(tuple(made), ruins, first[:-1], sizes, prices, chosen, best, cost, steps, seed)
    return Swapped(chosen=tuple((best - first[:-1]).tolist()), cost=int(lowest), cost_of_first=cost)


def _material(
    problem: BoardProblem, number: int, flat: Sequence[Alternative], first: Ints, chosen: Ints
) -> Material:
    job = job_of(problem)
    type_of = {d.mark: t for t, demands in enumerate(job.demands) for d in demands}
    rows: list[list[tuple[int, int]]] = []
    for each in flat:
        by_type: dict[int, int] = {}
        for mark, count in each.counts[number].items():
            by_type[type_of[mark]] = by_type.get(type_of[mark], 0) + count
        rows.append(sorted(by_type.items()))
    most = _most_wanted(rows, first, len(job.demand))
    pieces = Pieces(
        np.repeat(np.arange(len(most)), most),
        np.searchsorted(job.shapes.type, np.arange(len(most) + 1)),
    )
    n = len(pieces.type)
    start = np.concatenate([[0], np.cumsum(most)]).astype(np.int64)
    wanted = np.zeros(n, np.int64)
    for alternative in chosen.tolist():
        for t, count in rows[alternative]:
            begin = start[t] + int(wanted[start[t] : start[t + 1]].sum())
            wanted[begin : begin + count] = 1
    now = np.full((8, n), -1, np.int64)
    return Material(
        pieces=pieces,
        shapes=job.shapes,
        sheets=job.sheets,
        net=job.net,
        least=_least(job),
        now=now,
        spots=Spots(*now),
        boards=Boards(np.full(n, -1), np.full(n, -1), job.sheets.limit.copy()),
        wanted=wanted,
        first=start,
        live=np.zeros(n, np.int64),
        place=np.full(n, -1),
        slots=np.zeros(n, np.int64),
        counts=np.zeros(2, np.int64),
        starts=np.concatenate([[0], np.cumsum([len(row) for row in rows], dtype=np.int64)]),
        types=np.array([t for row in rows for t, _ in row], np.int64),
        times=np.array([c for row in rows for _, c in row], np.int64),
    )


def _most_wanted(rows: Sequence[Sequence[tuple[int, int]]], first: Ints, types: int) -> Ints:
    """How many of each type there can be at once."""
    most = np.zeros(types, np.int64)
    for a, b in zip(first[:-1].tolist(), first[1:].tolist(), strict=True):
        of_group: dict[int, int] = {}
        for row in rows[a:b]:
            for t, count in row:
                of_group[t] = max(of_group.get(t, 0), count)
        for t, count in of_group.items():
            most[t] += count
    return most


def _least(job: Job) -> Ints:
    return np.array([job.shapes.width.min(initial=1 << 30), job.shapes.length.min(initial=1 << 30)])


def _ruin(material: Material) -> Ruin:
    n = len(material.pieces.type)
    return Ruin(
        np.zeros((3, n), np.int64),
        np.zeros(n, np.int64),
        np.zeros(n, np.int64),
        np.zeros(n, np.int64),
        np.zeros(5, np.int64),
        np.zeros(n, np.int64),
        np.zeros((8, n), np.int64),
    )
