"""Networks of the literature; data/README.md says whose they are and what is known of them."""

from __future__ import annotations

from pathlib import Path

import pytest
from benchmarks.programme_sets import building, changed, read_sch, read_sm

from innerleaf.programme.engine.check import check
from innerleaf.programme.engine.solve import solve

DATA = Path(__file__).parent / "data"


@pytest.mark.parametrize(("name", "optimum"), [("j301_8", 53), ("j309_9", 63), ("j3029_1", 85)])
def test_psplib_is_solved_and_proven(name: str, optimum: int) -> None:
    """The optimum of the library's table, and the proof."""
    network = read_sm((DATA / f"{name}.sm").read_text("utf-8"))

    answer = solve(network, schedules=500_000)

    assert check(network, answer.starts) == ()
    assert (answer.cost, answer.bound, answer.proven) == (optimum, optimum, True)


def test_greatest_lags_are_solved_and_proven() -> None:
    """Lags that may not be exceeded."""
    network = read_sch((DATA / "PSP99.SCH").read_text("utf-8"))

    answer = solve(network, schedules=500_000)

    assert check(network, answer.starts) == ()
    assert (answer.cost, answer.proven) == (95, True)


def test_building_is_near_its_bound_and_replanned() -> None:
    """Thirty rooms within 8 % of the bound after few schedules; in mid-work what has begun stands."""
    network = building(30, 1)
    first = solve(network, schedules=4000)
    later = changed(network, first.starts, first.measures.finish // 2)

    again = solve(later, schedules=500, hint=first.starts)

    assert check(network, first.starts) == ()
    assert first.gap < 0.08
    assert check(later, again.starts) == ()
    begun = [n for n, each in enumerate(later.activities) if each.fixed is not None]
    assert begun
    assert [again.starts[n] for n in begun] == [first.starts[n] for n in begun]
