"""The problem as arrays: pieces that the search cannot tell apart are one type, sizes in a common unit."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import reduce
from itertools import chain
from math import gcd
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from innerleaf.cutting.boards import BoardDemand, BoardProblem, BoardStock, Notch

Ints = NDArray[np.int64]


class Shapes(NamedTuple):
    """How a type can lie: as it is, and across if it may. Shape s has notches start[s] to start[s + 1].

    ``edges``: how many factory edges it needs.
    """

    type: Ints
    width: Ints
    length: Ints
    edges: Ints
    start: Ints
    notch_width: Ints
    notch_length: Ints


class Sheets(NamedTuple):
    """The boards: sizes, factory edges (1 left, 2 right, 3 both), price, and limit (-1: without end)."""

    width: Ints
    length: Ints
    edges: Ints
    price: Ints
    limit: Ints


class Leaves(NamedTuple):
    """What is cut from one board: shape, corner, side, and the leaf and its notch that it comes from.

    Corners are measured from the board's or, where ``host`` is not -1, from the notch's. ``side`` is 2
    for a piece whose one factory edge must lie to the right, else 0 or 1.
    """

    shape: Ints
    x: Ints
    y: Ints
    side: Ints
    host: Ints
    notch: Ints


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """A problem as the search sees it.

    ``demand[t]`` pieces of type t are wanted: those of ``demands[t]``. ``used_notches[t]`` are the notches
    of each of its demands in the order of the shapes. ``stocks[k]`` stand behind sheet k. ``unit``: mm
    across and along that one step of the arrays stands for.
    """

    shapes: Shapes
    sheets: Sheets
    demand: Ints
    demands: tuple[tuple[BoardDemand, ...], ...]
    stocks: tuple[tuple[BoardStock, ...], ...]
    unit: tuple[int, int]
    net: Ints  # area of a piece of each type, in mm2

    @property
    def areas(self) -> Ints:
        """Area of each sheet. [mm2]"""
        return np.array([s[0].width_mm * s[0].length_mm for s in self.stocks])

    @property
    def step(self) -> int:
        """The greatest number that every cost is a multiple of."""
        return gcd(*self.sheets.price.tolist()) or 1


def job_of(problem: BoardProblem) -> Job:
    """Gather equal pieces and boards; order them by size, so that the order given does not matter."""
    least = problem.least_strip_mm
    by_type: dict[tuple[object, ...], list[BoardDemand]] = {}
    for demand in sorted(problem.demands, key=lambda d: (-d.length_mm, -d.width_mm, d.mark)):
        if demand.count:
            sizes = tuple((n.width_mm, n.length_mm) for n in usable_notches(demand, least))
            edges = demand.left + demand.right
            key = -demand.length_mm, -demand.width_mm, edges, demand.turns, sizes, demand.net_mm2
            by_type.setdefault(key, []).append(demand)
    groups = [by_type[key] for key in sorted(by_type, key=str)]
    groups.sort(key=lambda g: (-g[0].length_mm, -g[0].width_mm))
    by_stock: dict[tuple[int, ...], list[BoardStock]] = {}
    for stock in sorted(problem.stocks, key=lambda s: (s.length_mm, s.width_mm, s.price, s.mark)):
        key_ = (
            stock.length_mm,
            stock.width_mm,
            stock.left + 2 * stock.right,
            stock.price,
            stock.limit is None,
        )
        by_stock.setdefault(key_, []).append(stock)
    unit = _unit(groups, [key[1] for key in by_stock], least)
    return Job(
        shapes=_shapes(groups, unit, least),
        sheets=_sheets(by_stock, unit),
        demand=np.array([sum(d.count for d in g) for g in groups], np.int64),
        demands=tuple(tuple(g) for g in groups),
        stocks=tuple(tuple(stocks) for stocks in by_stock.values()),
        unit=unit,
        net=np.array([g[0].net_mm2 for g in groups], np.int64),
    )


def usable_notches(demand: BoardDemand, least_mm: int) -> list[Notch]:
    """The notches worth cutting from, always in the same order whatever the piece."""
    big = [n for n in demand.notches if min(n.width_mm, n.length_mm) >= least_mm]
    return sorted(big, key=lambda n: (n.width_mm, n.length_mm, n.y_mm, n.x_mm))


def _unit(groups: list[list[BoardDemand]], board_widths: Iterable[int], least: int) -> tuple[int, int]:
    """The common measures of all sizes: what is cut lies on this grid, wherever it is cut."""
    firsts = [g[0] for g in groups]
    notches = [n for d in firsts for n in usable_notches(d, least)]
    across = reduce(gcd, chain((d.width_mm for d in firsts), (n.width_mm for n in notches), board_widths), 0)
    along = reduce(gcd, chain((d.length_mm for d in firsts), (n.length_mm for n in notches)), 0)
    if any(d.turns for d in firsts):
        across = along = gcd(across, along)
    return across or 1, along or 1


def _shapes(groups: list[list[BoardDemand]], unit: tuple[int, int], least: int) -> Shapes:
    across, along = unit
    rows: list[tuple[int, int, int, int]] = []
    notches: list[list[tuple[int, int]]] = []
    for t, (first, *_) in enumerate(groups):
        size = first.width_mm // across, first.length_mm // along
        inner = [(n.width_mm // across, n.length_mm // along) for n in usable_notches(first, least)]
        rows.append((t, *size, first.left + first.right))
        notches.append(inner)
        if first.turns and size[0] != size[1]:
            rows.append((t, size[1], size[0], 0))
            notches.append([(b, a) for a, b in inner])
    table = np.array(rows, np.int64).reshape(-1, 4)
    flat = np.array(list(chain.from_iterable(notches)), np.int64).reshape(-1, 2)
    start = np.concatenate([[0], np.cumsum([len(n) for n in notches], dtype=np.int64)])
    columns = [np.ascontiguousarray(table[:, c]) for c in range(4)]
    return Shapes(
        columns[0],
        columns[1],
        columns[2],
        columns[3],
        start.astype(np.int64),
        flat[:, 0].copy(),
        flat[:, 1].copy(),
    )


def _sheets(by_stock: dict[tuple[int, ...], list[BoardStock]], unit: tuple[int, int]) -> Sheets:
    across, along = unit
    limits = [
        -1 if endless else sum(s.limit or 0 for s in stocks) for (*_, endless), stocks in by_stock.items()
    ]
    keys = np.array(list(by_stock), np.int64)
    return Sheets(
        keys[:, 1] // across,
        keys[:, 0] // along,
        keys[:, 2].copy(),
        keys[:, 3].copy(),
        np.array(limits, np.int64),
    )
