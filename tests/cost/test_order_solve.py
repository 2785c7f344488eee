"""The cheapest order against every order there is, and against cases worked by hand."""

from __future__ import annotations

from dataclasses import replace
from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from innerleaf.cost.order_problem import (
    Choice,
    OrderProblem,
    Packs,
    Seller,
    broken_terms,
    lorries,
    whole_cost,
)
from innerleaf.cost.order_solve import PROVED, cheapest_order
from innerleaf.cost.order_transport import served


def covers(problem: OrderProblem, packs: Packs) -> bool:
    """By hand: every set of needs by every delivery finds enough that can serve it (Hall's condition)."""
    needs = range(len(problem.needs))
    for drops in product(range(-1, problem.drops), repeat=len(problem.needs)):
        # by a chain of time: need n up to delivery drops[n]; what serves one of them and has come in time
        wanted = sum(sum(problem.needs[n][: drops[n] + 1]) for n in needs)
        there = 0
        for choice, of in zip(problem.choices, packs, strict=True):
            latest = max((drops[n] for n in choice.serves), default=-1)
            if choice.limit is not None:
                there += choice.pack * sum(of) if latest >= 0 else 0
            else:
                there += choice.pack * sum(of[: latest + 1])
        if wanted > there:
            return False
    return True


def by_force(problem: OrderProblem, most: int) -> int:
    """The least cost among all lawful orders of at most so many packs of each choice in each delivery."""
    rows = []
    for choice in problem.choices:
        if choice.limit is not None:
            rows.append([(choice.limit,) + (0,) * (problem.drops - 1)])
        else:
            rows.append(list(product(range(most + 1), repeat=problem.drops)))
    costs = [
        whole_cost(problem, packs)
        for packs in product(*rows)
        if not broken_terms(problem, packs) and covers(problem, packs)
    ]
    return min(costs)


SELLERS = st.builds(
    Seller,
    charge=st.sampled_from((0, 40, 90)),
    free_from=st.sampled_from((0, 200, 350)),
    least_order=st.sampled_from((0, 0, 150)),
    most_g=st.sampled_from((0, 3000)),
)


@st.composite
def problems(draw: st.DrawFn) -> OrderProblem:
    drops = draw(st.integers(1, 2))
    count = draw(st.integers(1, 2))
    needs = tuple(tuple(draw(st.integers(0, 5)) for _ in range(drops)) for _ in range(count))
    sellers = tuple(draw(SELLERS) for _ in range(2))
    choices = []
    for need in range(count):
        price = draw(st.integers(90, 160))
        first = Choice(
            seller=0, pack=draw(st.integers(1, 3)), serves=(need,), prices=((1, price),), pack_g=900
        )
        choices.append(first)
    serves = tuple(range(draw(st.integers(1, count))))
    price = draw(st.integers(60, 200))
    steps = ((1, price), (3, price - 30)) if draw(st.booleans()) else ((1, price),)
    least = draw(st.integers(1, 2))
    choices.append(
        Choice(
            seller=1,
            pack=draw(st.integers(1, 4)),
            serves=serves,
            prices=steps,
            least_packs=least,
            pack_g=1600,
        )
    )
    if draw(st.booleans()):
        choices.append(Choice(seller=0, pack=1, serves=(0,), limit=draw(st.integers(1, 2))))
    return OrderProblem(needs, tuple(choices), sellers)


@settings(max_examples=25, deadline=None)
@given(problems())
def test_no_order_of_all_there_are_is_cheaper(problem: OrderProblem) -> None:
    plan = cheapest_order(problem)
    most = 5 if problem.drops == 1 else 4
    least = by_force(problem, most)

    assert not broken_terms(problem, plan.packs)
    assert covers(problem, plan.packs)
    assert plan.cost == whole_cost(problem, plan.packs)
    assert plan.bound <= plan.cost
    assert plan.stopped_by == PROVED
    assert plan.cost <= least
    if max(map(max, plan.packs)) <= most:
        assert plan.cost == least
