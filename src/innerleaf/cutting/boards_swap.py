"""Which of several sets of pieces to cut: of each group one alternative, chosen for how all nest together.

Ruin and recreate over boards of several materials at once (as `boards_mend`, see there). A step either only
fills a few boards anew, or exchanges the alternative of one group: boards that hold what is no longer
wanted are emptied, and what is wanted instead is filled in. Alternatives may also cost something beside
their boards. What comes out is the choice; how to cut it is then asked of `boards_cut` with all its means.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from innerleaf.cutting.boards import BoardProblem
from innerleaf.cutting.boards_fit import Boards, Pieces, Spots
from innerleaf.cutting.boards_job import Ints, Job, Shapes, Sheets, job_of
from innerleaf.cutting.boards_swap_kernel import Book, begin_plan, cost_of, nothing_yet, search

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
    chosen = np.array(begin or [0] * len(groups), np.int64) + first[:-1]
    prices = np.array([each.price for each in flat], np.int64)
    parts = [_part(problem, number, flat, first) for number, problem in enumerate(materials)]
    book = _book([part for part in parts if part.most.sum()], chosen)
    if book is None:
        return Swapped(chosen=tuple((chosen - first[:-1]).tolist()), cost=0, cost_of_first=0)
    begin_plan(book, seed, _STARTS)
    best, cost = chosen.copy(), int(cost_of(book)) + int(prices[chosen].sum())
    ruin = nothing_yet(len(book.wanted), len(book.kinds))
    lowest = search(book, ruin, first[:-1], np.diff(first), prices, chosen, best, cost, steps, seed)
    return Swapped(chosen=tuple((best - first[:-1]).tolist()), cost=int(lowest), cost_of_first=cost)


@dataclass(frozen=True, slots=True)
class _Part:
    """One material: its job, what each alternative wants of which type, how many of a type at most."""

    job: Job
    rows: list[list[tuple[int, int]]]
    most: Ints


def _part(problem: BoardProblem, number: int, flat: Sequence[Alternative], first: Ints) -> _Part:
    job = job_of(problem)
    type_of = {d.mark: t for t, demands in enumerate(job.demands) for d in demands}
    rows: list[list[tuple[int, int]]] = []
    for each in flat:
        by_type: dict[int, int] = {}
        for mark, count in each.counts[number].items():
            by_type[type_of[mark]] = by_type.get(type_of[mark], 0) + count
        rows.append(sorted(by_type.items()))
    return _Part(job, rows, _most_wanted(rows, first, len(job.demand)))


def _most_wanted(rows: Sequence[Sequence[tuple[int, int]]], first: Ints, types: int) -> Ints:
    """How many of each type there can be at once."""
    most = np.zeros(types, np.int64)
    for a, b in pairwise(first.tolist()):
        of_group: dict[int, int] = {}
        for row in rows[a:b]:
            for t, count in row:
                of_group[t] = max(of_group.get(t, 0), count)
        for t, count in of_group.items():
            most[t] += count
    return most


def _book(parts: Sequence[_Part], chosen: Ints) -> Book | None:
    """All materials in one book, sizes in millimetres, nothing placed yet; none where there is nothing."""
    if not parts:
        return None
    shapes = _shapes([part.job for part in parts])
    most = np.concatenate([part.most for part in parts])
    types = np.concatenate([[0], np.cumsum([len(part.most) for part in parts])])
    first = np.concatenate([[0], np.cumsum(most)]).astype(np.int64)
    n = int(first[-1])
    wanted, now = np.zeros(n, np.int64), np.full((8, n), -1, np.int64)
    for part, before in zip(parts, types.tolist(), strict=False):
        counts = np.zeros(len(part.most), np.int64)
        for alternative in chosen.tolist():
            for t, count in part.rows[alternative]:
                counts[t] += count
        for t, count in enumerate(counts.tolist(), before):
            wanted[first[t] : first[t] + count] = 1
    rows = [
        [(t + before, c) for t, c in row]
        for part, before in zip(parts, types, strict=False)
        for row in part.rows
    ]
    ends = np.concatenate([[0], np.cumsum([len(row) for row in rows])]).astype(np.int64)
    each = len(rows) // len(parts)
    sheets, kinds = _sheets([part.job for part in parts])
    lines = [np.zeros(n, np.int64) for _ in range(2)]
    return Book(
        pieces=Pieces(
            np.repeat(np.arange(len(most)), most), np.searchsorted(shapes.type, np.arange(len(most) + 1))
        ),
        shapes=shapes,
        sheets=sheets,
        kinds=kinds,
        net=np.concatenate([part.job.net for part in parts]),
        least=np.array([_least(part.job) for part in parts]),
        now=now,
        spots=Spots(*now),
        boards=Boards(np.full(n, -1), np.full(n, -1), np.full(int(kinds.max()), -1)),
        wanted=wanted,
        first=first,
        base=first[types],
        live=lines[0],
        place=np.full(n, -1),
        slots=lines[1],
        counts=np.zeros((len(parts), 2), np.int64),
        starts=np.array([ends[k * each : (k + 1) * each + 1] for k in range(len(parts))]),
        types=np.array([t for row in rows for t, _ in row], np.int64),
        times=np.array([c for row in rows for _, c in row], np.int64),
    )


def _shapes(jobs: Sequence[Job]) -> Shapes:
    """The shapes of all materials one after the other, in millimetres."""
    columns: list[list[Ints]] = [[] for _ in Shapes._fields]
    types = notches = 0
    for job in jobs:
        s, (across, along) = job.shapes, job.unit
        made = (
            s.type + types,
            s.width * across,
            s.length * along,
            s.edges,
            s.start[:-1] + notches,
            s.notch_width * across,
            s.notch_length * along,
        )
        for column, part in zip(columns, made, strict=True):
            column.append(part)
        types, notches = types + len(job.demand), notches + len(s.notch_width)
    columns[4].append(np.array([notches]))
    return Shapes(*(np.concatenate(column) for column in columns))


def _sheets(jobs: Sequence[Job]) -> tuple[Sheets, Ints]:
    """A line of sheets for each material, in millimetres, and how many of its entries count."""
    kinds = np.array([len(job.sheets.price) for job in jobs], np.int64)
    tables = [np.full((len(jobs), int(kinds.max())), fill, np.int64) for fill in (0, 0, 0, 0, -1)]
    for k, job in enumerate(jobs):
        s, (across, along) = job.sheets, job.unit
        for table, line in zip(tables, (s.width * across, s.length * along, s.edges, s.price), strict=False):
            table[k, : kinds[k]] = line
    return Sheets(*tables), kinds


def _least(job: Job) -> tuple[int, int]:
    across, along = job.unit
    return int(job.shapes.width.min()) * across, int(job.shapes.length.min()) * along
