"""The linear program and what pieces serve as: against a general solver, and by hand."""

from __future__ import annotations

from random import Random

import numpy as np
import pytest
from scipy.optimize import linprog
from scipy.sparse import csc_array

from innerleaf.cutting.boards import BoardDemand, BoardProblem, BoardStock, Notch
from innerleaf.cutting.boards_columns import mix
from innerleaf.cutting.boards_groups import groups_of
from innerleaf.cutting.boards_job import job_of
from innerleaf.cutting.boards_leaves import wanted_only
from innerleaf.cutting.boards_limits import BoardLimits
from innerleaf.cutting.boards_pool import BoardPool
from innerleaf.cutting.boards_serving import serves, sizes_of
from innerleaf.cutting.program import Columns, Program


@pytest.mark.parametrize("seed", range(12))
def test_the_program_finds_what_a_general_solver_finds(seed: int) -> None:
    """Rows that ask for at least, rows that allow at most, columns that take from one row for another."""
    draw = np.random.default_rng(seed)
    rows, limited, more = int(draw.integers(2, 30)), int(draw.integers(0, 3)), 90
    matrix = np.zeros((rows + limited, rows + more))
    matrix[:rows, :rows] = np.eye(rows)
    for c in range(rows, rows + more):
        kinds = draw.choice(rows, min(rows, 3), replace=False)
        matrix[kinds, c] = (
            draw.integers(1, 4, len(kinds)) if c % 4 else np.array([1.0, -1.0, 0.0])[: len(kinds)]
        )
        if limited and c % 5 == 0:
            matrix[rows + c % limited, c] = 1
    cost = np.concatenate([np.full(rows, 10.0), draw.uniform(0.5, 2, more)])
    right = np.concatenate([draw.integers(1, 9, rows), draw.integers(0, 4, limited)]).astype(float)
    sense = np.where(np.arange(rows + limited) < rows, -1.0, 1.0)
    sparse = csc_array(matrix)
    columns = Columns(
        sparse.indptr.astype(np.int64), sparse.indices.astype(np.int64), sparse.data.astype(float), cost
    )
    basis = np.where(
        np.arange(rows + limited) < rows, np.arange(rows + limited), -1 - np.arange(rows + limited)
    )
    program = Program(right, sense, basis, columns, tolerance=1e-9)
    while program.solve(columns):
        pass
    exact = linprog(cost, A_ub=sense[:, None] * matrix, b_ub=sense * right)

    assert program.value == pytest.approx(exact.fun, rel=1e-6)
    x = program.amounts(len(cost))
    assert cost @ x == pytest.approx(exact.fun, rel=1e-6)
    assert np.all(sense * (matrix @ x - right) <= 1e-6)


def job(*demands: BoardDemand) -> BoardProblem:
    stocks = tuple(BoardStock(width_mm=1200, length_mm=n, price=n * 1200) for n in (2000, 2600, 3000))
    return BoardProblem(demands=demands, stocks=stocks)


def test_a_piece_serves_as_a_smaller_one_of_no_more_edges() -> None:
    """Not one with a notch, for its notch may be cut from; not one without the edge that is needed."""
    notch = Notch(x_mm=0, y_mm=0, width_mm=100, length_mm=100)
    made = job_of(
        job(
            BoardDemand(mark="large", width_mm=600, length_mm=2000, left=True),
            BoardDemand(mark="notched", width_mm=600, length_mm=1900, left=True, notches=(notch,)),
            BoardDemand(mark="edged", width_mm=500, length_mm=1800, left=True),
            BoardDemand(mark="plain", width_mm=550, length_mm=1700),
        )
    )
    marks = [demands[0].mark for demands in made.demands]
    sizes = sizes_of(made)
    found = {
        (marks[t], marks[s]) for t in range(len(marks)) for s in range(len(marks)) if serves(t, s, sizes)
    }

    assert found == {("large", "notched"), ("large", "edged"), ("large", "plain")}


def test_a_place_too_many_is_taken_by_a_smaller_piece_at_its_edge() -> None:
    """Two places of 600 with the edge to either side, one piece of 600 and one of 500 wanted."""
    large = BoardDemand(mark="large", width_mm=600, length_mm=2000, right=True)
    small = BoardDemand(mark="small", width_mm=500, length_mm=1900, right=True)
    made = job_of(job(large, small))
    pool = BoardPool(made)
    twice = np.array([2, 0])
    mix(made, twice, made.sheets.limit, pool, BoardLimits(), rounds=20)
    board = next(p for p in pool.patterns if p.types == (0,) and p.counts == (2,))

    ((_, leaves),) = wanted_only(made, [(board.sheet, board.leaves)], np.array([1, 1]))
    at = {int(made.shapes.type[s]): int(x) for s, x in zip(leaves.shape, leaves.x, strict=True)}
    across = made.unit[0]

    assert sorted(at) == [0, 1]
    assert at[1] * across in (0, 1200 - 500)


def test_prices_by_group_give_a_bound_too() -> None:
    """Fewer prices never say more than a price for every kind of piece."""
    random = Random(3)
    demands = tuple(
        BoardDemand(
            mark=f"b{n}",
            width_mm=random.randrange(200, 1201),
            length_mm=random.randrange(900, 3001),
            left=n % 2 > 0,
        )
        for n in range(60)
    )
    made = job_of(job(*demands))
    each, few = (
        mix(made, made.demand, made.sheets.limit, BoardPool(made), BoardLimits(), rounds=200, groups=groups)
        for groups in (None, groups_of(made, 30))
    )

    assert each.finished
    assert 0.9 * each.bound < few.bound <= each.bound
