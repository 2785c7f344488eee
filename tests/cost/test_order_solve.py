"""The cheapest order against every order there is, and against cases worked by hand."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from innerleaf.cost.order_join import JoinRule
from innerleaf.cost.order_problem import (
    Choice,
    OrderProblem,
    Seller,
    Uses,
    arrivals,
    broken_terms,
    lorries,
    whole_cost,
)
from innerleaf.cost.order_solve import PROVED, cheapest_order

FREE = Seller()


def ways(total: int, parts: int) -> Iterator[tuple[int, ...]]:
    """All ways to put a total together of so many parts."""
    if parts == 1:
        yield (total,)
        return
    for first in range(total + 1):
        for rest in ways(total - first, parts - 1):
            yield (first, *rest)


def by_force(problem: OrderProblem, extra: int) -> int:
    """The least cost of all lawful orders with at most so many packs more than what they cover takes."""
    serving = [
        [k for k, c in enumerate(problem.choices) if need in c.serves] for need in range(len(problem.needs))
    ]
    least = None
    for covered in product(
        *(ways(total, len(by)) for total, by in zip(problem.totals, serving, strict=True))
    ):
        uses: Uses = {
            (number, need): amount
            for need, (by, amounts) in enumerate(zip(serving, covered, strict=True))
            for number, amount in zip(by, amounts, strict=True)
            if amount
        }
        taken = [sum(a for (by, _), a in uses.items() if by == k) for k in range(len(problem.choices))]
        enough = [-(-amount // choice.pack) for amount, choice in zip(taken, problem.choices, strict=True)]
        more = [range(1 if choice.limit is not None else extra + 1) for choice in problem.choices]
        for added in product(*more):
            packs = tuple(a + b for a, b in zip(enough, added, strict=True))
            if not broken_terms(problem, packs, uses):
                cost = whole_cost(problem, packs, uses)
                least = cost if least is None else min(least, cost)
    assert least is not None
    return least


@st.composite
def problems(draw: st.DrawFn) -> OrderProblem:
    drops, count = draw(st.integers(1, 3)), draw(st.integers(1, 2))
    needs = tuple(tuple(draw(st.integers(0, 2)) for _ in range(drops)) for _ in range(count))
    sellers = tuple(
        Seller(
            charge=draw(st.sampled_from((0, 40, 90))),
            free_from=draw(st.sampled_from((0, 250, 400))),
            least_order=draw(st.sampled_from((0, 0, 150))),
            most_g=draw(st.sampled_from((0, 3000))),
        )
        for _ in range(2)
    )
    choices = [
        Choice(
            seller=0,
            pack=draw(st.integers(1, 3)),
            serves=(need,),
            prices=((1, draw(st.integers(90, 160))),),
            pack_g=900,
            lead_days=draw(st.integers(0, 2)),
        )
        for need in range(count)
    ]
    price = draw(st.integers(60, 200))
    choices.append(
        Choice(
            seller=1,
            pack=draw(st.integers(1, 4)),
            serves=tuple(range(draw(st.integers(1, count)))),
            prices=((1, price), (3, price - 30)) if draw(st.booleans()) else ((1, price),),
            least_packs=draw(st.integers(1, 2)),
            pack_g=1600,
        )
    )
    if draw(st.booleans()):
        choices.append(Choice(seller=0, pack=1, serves=(0,), limit=draw(st.integers(1, 2))))
    return OrderProblem(needs, tuple(choices), sellers, draw(st.one_of(st.none(), rules(drops))))


def rules(drops: int) -> st.SearchStrategy[JoinRule]:
    """What may come along: little worth, little mass, short lead times, to one of two places."""
    places = st.lists(st.integers(0, 1), min_size=drops, max_size=drops).map(sorted).map(tuple)
    return st.builds(
        JoinRule,
        up_to=st.sampled_from((100, 200, 400)),
        waiting_g=st.sampled_from((1000, 2000, 9000)),
        lead_days=st.integers(0, 2),
        places=places,
    )


@settings(max_examples=12, deadline=None)
@given(problems())
def test_no_order_of_all_there_are_is_cheaper(problem: OrderProblem) -> None:
    plan = cheapest_order(problem)

    assert not broken_terms(problem, plan.packs, plan.uses)
    assert plan.cost == whole_cost(problem, plan.packs, plan.uses)
    assert (plan.bound, plan.stopped_by) == (plan.cost, PROVED)
    least = by_force(problem, 3)
    assert plan.cost <= least  # more packs than three beyond the need may pay as well
    taken = [sum(a for (by, _), a in plan.uses.items() if by == k) for k in range(len(problem.choices))]
    beyond = [
        n - -(-a // c.pack) for n, a, c in zip(plan.packs, taken, problem.choices, strict=True) if not c.limit
    ]
    if max(beyond) <= 3:
        assert plan.cost == least


@settings(max_examples=5, deadline=None)
@given(problems(), st.randoms(use_true_random=False))
def test_the_cost_does_not_hang_on_the_order_of_the_offers(problem: OrderProblem, chance: object) -> None:
    turned = list(problem.choices)
    chance.shuffle(turned)  # type: ignore[attr-defined]

    assert cheapest_order(replace(problem, choices=tuple(turned))).cost == cheapest_order(problem).cost


@settings(max_examples=5, deadline=None)
@given(problems())
def test_packs_come_before_they_are_used_up(problem: OrderProblem) -> None:
    """By each delivery what has come holds at least the share that is used by then; all of it in the end."""
    plan = cheapest_order(problem)
    for number, choice in enumerate(problem.choices):
        if choice.limit is not None:
            continue
        come = arrivals(problem, plan, number)
        assert sum(come.values()) == plan.packs[number]
        comes = lorries(problem, plan.uses, choice.seller)
        assert all(comes[drop] for drop in come)
        for drop in range(problem.drops):
            used = sum(
                amount * sum(problem.needs[need][: drop + 1]) / problem.totals[need]
                for (by, need), amount in plan.uses.items()
                if by == number
            )
            assert choice.pack * sum(n for d, n in come.items() if d <= drop) >= used - 1e-9


def one(
    needs: tuple[tuple[int, ...], ...], *choices: Choice, sellers: tuple[Seller, ...] = (FREE, FREE)
) -> int:
    """The least cost."""
    return cheapest_order(OrderProblem(needs, choices, sellers)).cost


def test_small_packs_fill_up_what_large_ones_leave() -> None:
    """2300 screws: two boxes of 1000 at 9.70 and two packets of 200 at 2.55 are 24.50; three boxes 29.10."""
    box = Choice(seller=0, pack=1000, serves=(0,), prices=((1, 970),))
    packet = Choice(seller=0, pack=200, serves=(0,), prices=((1, 255),))

    assert one(((2300,),), box, packet) == 2 * 970 + 2 * 255
    assert one(((2700,),), box, packet) == 3 * 970  # four packets would be 10.20


@pytest.mark.parametrize(("needed", "cost"), [(8, 8 * 100), (9, 10 * 88), (10, 10 * 88), (11, 11 * 88)])
def test_one_pack_more_reaches_the_lower_price(needed: int, cost: int) -> None:
    """From 10 packs on each costs 0.88 instead of 1.00: nine alone would cost 9.00, ten cost 8.80."""
    offer = Choice(seller=0, pack=1, serves=(0,), prices=((1, 100), (10, 88)))

    assert one(((needed,),), offer) == cost


def test_a_least_order_is_filled_up_or_avoided() -> None:
    """Two at 1.00 where nothing below 5.00 is sold: five at 1.00, or two elsewhere at 2.40."""
    strict = Choice(seller=0, pack=1, serves=(0,), prices=((1, 100),))
    other = Choice(seller=1, pack=1, serves=(0,), prices=((1, 240),))
    sellers = (Seller(least_order=500), FREE)

    assert one(((2,),), strict, sellers=sellers) == 500
    assert one(((2,),), strict, other, sellers=sellers) == 480
    assert one(((3,),), strict, other, sellers=sellers) == 500


def test_a_delivery_is_paid_where_a_pack_is_opened() -> None:
    """Three storeys of four pieces each: packs of 10 are opened on the first and the third."""
    offer = Choice(seller=0, pack=10, serves=(0,), prices=((1, 300),))
    problem = OrderProblem(((4, 4, 4),), (offer,), (Seller(charge=50),))
    plan = cheapest_order(problem)

    assert plan.cost == 2 * 300 + 2 * 50
    assert arrivals(problem, plan, 0) == {0: 1, 2: 1}
    free = replace(problem, sellers=(Seller(charge=50, free_from=600),))
    assert cheapest_order(free).cost == 600


def test_heavy_goods_take_more_lorries() -> None:
    offer = Choice(seller=0, pack=1, serves=(0,), prices=((1, 10),), pack_g=1000)

    assert one(((7, 2),), offer, sellers=(Seller(charge=50, most_g=3000),)) == 9 * 10 + (3 + 1) * 50


def test_one_supplier_for_all_saves_a_delivery() -> None:
    """Each article is cheaper with its own supplier by 0.30, a delivery costs 0.50."""
    first = Choice(seller=0, pack=1, serves=(0,), prices=((1, 100),))
    second = Choice(seller=1, pack=1, serves=(1,), prices=((1, 100),))
    both = Choice(seller=1, pack=1, serves=(0,), prices=((1, 130),))
    sellers = (Seller(charge=50), Seller(charge=50))

    assert one(((1,), (1,)), first, second, both, sellers=sellers) == 280
    assert one(((2,), (1,)), first, second, both, sellers=sellers) == 400


def test_long_ones_stand_in_for_short_ones_and_the_van_comes_first() -> None:
    """Need 0 is shorter than need 1: what serves 1 serves both. Five of the long are in hand."""
    short = Choice(seller=0, pack=8, serves=(0,), prices=((1, 800),))
    long = Choice(seller=0, pack=8, serves=(0, 1), prices=((1, 900),))
    in_hand = Choice(seller=0, pack=1, serves=(0, 1), limit=5)

    assert one(((3,), (4,)), short, long) == 900
    assert one(((3,), (10,)), short, long, in_hand) == 900
    assert one(((3,), (2,)), short, long, in_hand) == 0


def test_a_favoured_supplier_may_cost_a_little_more() -> None:
    """His prices count 10 % less in the choice, and not at all in what is reported."""
    mine = Choice(seller=0, pack=1, serves=(0,), prices=((1, 105),))
    theirs = Choice(seller=1, pack=1, serves=(0,), prices=((1, 100),))
    problem = OrderProblem(((10,),), (mine, theirs), (Seller(favour=0.1), FREE))
    plan = cheapest_order(problem)

    assert (plan.cost, plan.bound) == (1050, 1000)
    assert cheapest_order(replace(problem, needs=((0,),))).cost == 0
