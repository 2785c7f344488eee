"""The parts of the search for bars, each against trying everything."""

from __future__ import annotations

from itertools import combinations, product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.cutting.problems import bars

from innerleaf.cutting import knapsack
from innerleaf.cutting.assortment import choose_lengths
from innerleaf.cutting.bars import BarDemand, BarProblem
from innerleaf.cutting.bars_whole import left_over
from innerleaf.cutting.columns import Batch, Ints, Pool, relax
from innerleaf.cutting.cuts import Limits
from innerleaf.cutting.phases import cut_bars

types = st.lists(st.tuples(st.integers(1, 12), st.integers(0, 50), st.integers(1, 3)), min_size=1, max_size=5)


def whole(*numbers: int) -> Ints:
    return np.array(numbers, np.int64)


@settings(deadline=None)
@given(types, st.integers(12, 30))
def test_the_table_holds_the_best_of_every_weight(items: list[tuple[int, int, int]], capacity: int) -> None:
    """Every choice of copies is tried."""
    weight, value, most = (whole(*column) for column in zip(*items, strict=True))

    best = knapsack.fill(weight, value, most, capacity)[0]

    for j in range(capacity + 1):
        choices = product(*(range(n + 1) for n in most.tolist()))
        fitting = [c for c in choices if int(np.dot(c, weight)) <= j]
        assert best[j] == max(int(np.dot(c, value)) for c in fitting)


@settings(deadline=None)
@given(types, st.integers(12, 30))
def test_patterns_are_what_they_say(items: list[tuple[int, int, int]], capacity: int) -> None:
    """Each fits, holds no more than there is, and is worth more than it costs."""
    weight, value, most = (whole(*column) for column in zip(*items, strict=True))
    table = knapsack.fill(weight, value, most, capacity)

    source, start, kinds, counts = knapsack.patterns(
        table, weight, value, most, whole(capacity, capacity - 5), whole(20, 15), whole(), 0
    )

    for k in range(len(source)):
        kind, count = kinds[start[k] : start[k + 1]], counts[start[k] : start[k + 1]]
        assert count @ weight[kind] <= (capacity, capacity - 5)[source[k]]
        assert (count <= most[kind]).all()
        assert count @ value[kind] > (20, 15)[source[k]]


def test_the_relaxation_by_hand() -> None:
    """Chvátal's four widths in raws of 100: 452.25 (Linear Programming, 1983, chapter 13, from memory)."""
    batch = Batch(
        weight=whole(45, 36, 31, 14),
        demand=whole(97, 610, 395, 211),
        capacity=whole(100),
        price=whole(1),
        limit=whole(-1),
        worth=whole(),
    )

    mixed = relax(batch, Pool(4), Limits())

    assert mixed.value == pytest.approx(452.25)
    assert (mixed.bound, mixed.finished) == (453, True)
    assert mixed.prices @ batch.demand == pytest.approx(452.25)


@given(st.lists(st.tuples(st.integers(0, 4), st.integers(0, 4)), min_size=1, max_size=8))
def test_longer_pieces_too_many_serve_as_shorter_ones(rows: list[tuple[int, int]]) -> None:
    """Walk down the lengths with what is spare in hand."""
    demand, made = (whole(*column) for column in zip(*rows, strict=True))
    spare, missing = 0, []
    for wanted, there in rows:
        missing.append(max(0, wanted - there - spare))
        spare = max(0, spare + there - wanted)

    assert left_over(demand, made).tolist() == missing


@settings(deadline=None, max_examples=15)
@given(st.lists(st.integers(700, 2400), min_size=4, max_size=12))
def test_the_best_two_lengths_are_found(lengths: list[int]) -> None:
    """Choosing by fractional plans is near the best pair by whole ones: less than a bar apart."""
    offered = (2400, 2700, 3300, 4100, 5600)
    demands = tuple(BarDemand(mark=f"p{n}", length_mm=n, count=9) for n in lengths)
    problem = BarProblem(demands=demands, stocks=bars(*offered), kerf_mm=3)

    chosen = choose_lengths(problem, 2)

    pairs = [
        cut_bars(BarProblem(demands=demands, stocks=bars(*pair), kerf_mm=3), Limits(nodes=20, few=0)).cost
        for size in (1, 2)
        for pair in combinations(offered, size)
    ]
    ours = cut_bars(
        BarProblem(demands=demands, stocks=chosen.stocks, kerf_mm=3), Limits(nodes=20, few=0)
    ).cost
    assert ours <= min(pairs) + max(offered)
    assert chosen.bound <= min(pairs)
