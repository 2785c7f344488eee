"""Alternatives chosen for how they nest, held against every choice there is, each cut with all means."""

from __future__ import annotations

from itertools import product
from random import Random

import pytest

from innerleaf.cutting.boards import BoardDemand, BoardProblem, BoardStock, Notch
from innerleaf.cutting.boards_cut import cut_boards
from innerleaf.cutting.boards_limits import BoardLimits
from innerleaf.cutting.boards_swap import Alternative, choose_alternatives

STOCKS = tuple(BoardStock(width_mm=1200, length_mm=length, price=1200 * length) for length in (2000, 2500))


def problem(sizes: dict[str, tuple[int, int]], edged: frozenset[str] = frozenset()) -> BoardProblem:
    demands = [
        BoardDemand(mark=mark, width_mm=width, length_mm=length, left=mark in edged)
        for mark, (width, length) in sizes.items()
    ]
    return BoardProblem(demands=tuple(demands), stocks=STOCKS)


def cheapest(materials: list[BoardProblem], groups: list[list[Alternative]]) -> int:
    """The least cost over all choices."""
    return min(cost_of(materials, choice) for choice in product(*groups))


def cost_of(materials: list[BoardProblem], choice: tuple[Alternative, ...]) -> int:
    total = sum(each.price for each in choice)
    for number, material in enumerate(materials):
        wanted = tuple(
            BoardDemand(
                mark=d.mark,
                width_mm=d.width_mm,
                length_mm=d.length_mm,
                left=d.left,
                notches=d.notches,
                count=sum(each.counts[number].get(d.mark, 0) for each in choice),
            )
            for d in material.demands
        )
        total += cut_boards(
            BoardProblem(demands=wanted, stocks=STOCKS), BoardLimits(starts=10, repairs=2000, rounds=20)
        ).cost
    return total


def test_halves_that_fill_a_board_are_found() -> None:
    """Two walls with a strip each: 700 and 500 share a board, 700 and 700 do not."""
    material = problem({"wide": (700, 2500), "narrow": (500, 2500)})
    wide, narrow = Alternative(counts=({"wide": 1},)), Alternative(counts=({"narrow": 1},), price=10)

    found = choose_alternatives([material], [[wide, narrow], [wide, narrow]], steps=500)

    assert sorted(found.chosen) == [0, 1]
    assert found.cost == 1200 * 2500 + 10
    assert found.cost_of_first == 2 * 1200 * 2500


def test_what_an_alternative_costs_beside_boards_counts() -> None:
    material = problem({"wide": (700, 2500), "narrow": (500, 2500)})
    wide = Alternative(counts=({"wide": 1},))
    narrow = Alternative(counts=({"narrow": 1},), price=1200 * 2500 + 1)

    assert choose_alternatives([material], [[wide, narrow]] * 2, steps=500).chosen == (0, 0)


@pytest.mark.parametrize("seed", range(3))
def test_the_best_of_all_choices(seed: int) -> None:
    """Three walls, three layouts each, two materials: every choice cut, the search finds the cheapest."""
    draw = Random(seed)
    marks = [f"P{n}" for n in range(9)]
    materials = [
        problem(
            {mark: (draw.randrange(200, 1200, 50), draw.choice([1000, 1900, 2450])) for mark in marks},
            edged=frozenset(draw.sample(marks, 3)),
        )
        for _ in range(2)
    ]
    groups = [
        [
            Alternative(
                counts=tuple(
                    {mark: draw.randrange(1, 3) for mark in draw.sample(marks, 3)} for _ in range(2)
                ),
                price=draw.randrange(0, 200_000),
            )
            for _ in range(3)
        ]
        for _ in range(3)
    ]

    found = choose_alternatives(materials, groups, steps=4000)
    chosen = tuple(group[number] for group, number in zip(groups, found.chosen, strict=True))

    assert cost_of(materials, chosen) == cheapest(materials, groups)
    assert found.cost >= cost_of(materials, chosen)


def test_a_notch_serves_what_fits_into_it() -> None:
    material = BoardProblem(
        demands=(
            BoardDemand(
                mark="door",
                width_mm=1200,
                length_mm=2500,
                left=True,
                right=True,
                notches=(Notch(x_mm=300, y_mm=0, width_mm=900, length_mm=2000),),
            ),
            BoardDemand(mark="strip", width_mm=300, length_mm=1900),
            BoardDemand(mark="too wide", width_mm=950, length_mm=1900),
        ),
        stocks=STOCKS,
    )
    door = Alternative(counts=({"door": 1},))
    strips, wide = Alternative(counts=({"strip": 3},), price=1), Alternative(counts=({"too wide": 1},))

    found = choose_alternatives([material], [[door], [wide, strips]], steps=500)

    assert found.chosen == (0, 1)
    assert found.cost == 1200 * 2500 + 1


def test_the_same_again_and_nothing_at_all() -> None:
    material = problem({"wide": (700, 2500), "narrow": (500, 2500)})
    groups = [[Alternative(counts=({mark: 1},)) for mark in ("wide", "narrow")] for _ in range(5)]

    assert choose_alternatives([material], groups, steps=300, seed=3) == choose_alternatives(
        [material], groups, steps=300, seed=3
    )
    assert choose_alternatives([], [], steps=10).chosen == ()
    assert choose_alternatives([material], [[Alternative(counts=({},))]], steps=10).cost == 0
