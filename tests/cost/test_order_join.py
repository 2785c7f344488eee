"""Small deliveries that come along with one before, against every way there is and against cases by hand."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from itertools import product
from math import ceil

from hypothesis import given, settings
from hypothesis import strategies as st
from tests.cost.test_order_solve import rules

from innerleaf.cost.order_join import JoinRule, Load, heads
from innerleaf.cost.order_problem import Choice, OrderProblem, Seller, arrivals, comes_with
from innerleaf.cost.order_solve import PROVED, cheapest_order

LOAD = st.builds(
    Load,
    worth=st.integers(0, 500).map(Fraction),
    opened_g=st.sampled_from((0, 600, 1500)).map(Fraction),
    used_g=st.sampled_from((0, 700, 1800)).map(Fraction),
    lead_days=st.integers(0, 3),
    comes=st.booleans(),
)


def cost_of(
    way: tuple[int, ...], loads: list[Load], rule: JoinRule, most_g: int
) -> tuple[int, int, Fraction] | None:
    """Lorries, deliveries and what comes early where delivery *n* comes with ``way[n]``; None: not lawful."""
    due = [n for n, load in enumerate(loads) if load.comes]
    for drop in due:
        head = way[drop]
        if head == drop:
            continue
        load = loads[drop]
        alone = [n for n in due if way[n] == n and n < drop and rule.places[n] == rule.places[drop]]
        if not alone or head != alone[-1] or load.worth > rule.up_to or load.lead_days > rule.lead_days:
            return None
    lorries, early = 0, Fraction(0)
    first = [n for n in due if way[n] == n]
    for head in first:
        mine = [loads[n] for n in due if way[n] == head and n != head]
        waiting = sum((load.opened_g for load in mine), Fraction(0))
        if waiting > rule.waiting_g:
            return None
        mass = loads[head].used_g + sum(load.used_g for load in mine)
        lorries += max(1, ceil(mass / most_g)) if most_g else 1
        early += waiting
    return lorries, len(first), early


@settings(max_examples=60, deadline=None)
@given(st.data(), st.sampled_from((0, 2000)))
def test_no_way_to_put_deliveries_together_is_better(data: st.DataObject, most_g: int) -> None:
    loads = data.draw(st.lists(LOAD, min_size=1, max_size=5))
    rule = data.draw(rules(len(loads)))
    found = heads(loads, rule, most_g)
    mine = cost_of(tuple(found.get(n, n) for n in range(len(loads))), loads, rule, most_g)
    ways = product(*(range(n + 1) if load.comes else (n,) for n, load in enumerate(loads)))
    costs = [cost for way in ways if (cost := cost_of(way, loads, rule, most_g)) is not None]

    assert mine == min(costs)


BAGS = Choice(seller=0, pack=1, serves=(0,), prices=((1, 100),), pack_g=25_000, lead_days=2)
RULE = JoinRule(up_to=300, waiting_g=60_000, lead_days=3, places=(0, 0, 0))
ALONE = OrderProblem(((10, 2, 9),), (BAGS,), (Seller(charge=50),))


def test_two_bags_come_along_with_ten() -> None:
    """Ten, two and nine bags at 1.00, 0.50 a lorry: two bags of 25 kg are worth no lorry of their own."""
    joined = replace(ALONE, join=RULE)
    plan = cheapest_order(joined)

    assert cheapest_order(ALONE).cost == 21 * 100 + 3 * 50
    assert (plan.cost, plan.bound, plan.stopped_by) == (21 * 100 + 2 * 50, 21 * 100 + 2 * 50, PROVED)
    assert comes_with(joined, plan.uses, 0) == {0: 0, 1: 0, 2: 2}
    assert arrivals(joined, plan, 0) == {0: 12, 2: 9}


def test_worth_storage_lead_time_and_place_keep_them_apart() -> None:
    apart = 21 * 100 + 3 * 50
    for kept in (
        replace(RULE, up_to=199),
        replace(RULE, waiting_g=49_999),
        replace(RULE, lead_days=1),
        replace(RULE, places=(0, 1, 1)),
    ):
        assert cheapest_order(replace(ALONE, join=kept)).cost == apart


def test_a_supplier_may_be_chosen_because_little_comes_along() -> None:
    """Eight bags, then one: 1.00 each and no charge, or 0.90 each and two lorries at 0.60; one is saved."""
    cheap = replace(BAGS, seller=1, prices=((1, 90),))
    problem = OrderProblem(((8, 1, 0),), (BAGS, cheap), (Seller(), Seller(charge=60)))

    assert cheapest_order(problem).cost == 9 * 100
    joined = replace(problem, join=replace(RULE, up_to=90))
    assert cheapest_order(joined).cost == 9 * 90 + 60
