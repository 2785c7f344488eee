"""Bars: lawful always, cheapest on small cases, never below the bound."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from itertools import groupby

import pytest
from hypothesis import assume, example, given, settings
from hypothesis import strategies as st
from tests.cutting.problems import STOCKS, bars, least_cost, pieces, problems

from innerleaf.cutting.bars import BarDemand, BarPlan, BarProblem, BarStock, Keeping, Splice
from innerleaf.cutting.check_bars import check_bars
from innerleaf.cutting.cuts import Limits
from innerleaf.cutting.phases import BY_CLOCK, PHASED, PROVED, cut_bars
from innerleaf.errors import InputError

SHORT = Limits(rounds=60, nodes=30, branches=20)
quickly = settings(deadline=None, max_examples=60)


def cut(problem: BarProblem, limits: Limits = SHORT) -> BarPlan:
    return cut_bars(problem, limits)


@quickly
@given(problems())
def test_every_plan_is_lawful(problem: BarProblem) -> None:
    """A plan that loses a piece or overfills a bar sends the crew back to the merchant."""
    assert check_bars(cut(problem), problem) == []


@quickly
@given(problems(most=12, phases=3))
def test_every_plan_in_phases_is_lawful(problem: BarProblem) -> None:
    """What is cut on Monday comes from what arrives on Monday, and from what was kept."""
    assert check_bars(cut(problem), problem) == []


@quickly
@given(problems(most=8, phases=2, splices=True))
def test_every_plan_with_splices_is_lawful(problem: BarProblem) -> None:
    """Parts make up their piece with the overlap, none is too short, and the bound still holds."""
    assert check_bars(cut(problem), problem) == []


@quickly
@given(problems(most=3))
def test_bound_plan_and_brute_force(problem: BarProblem) -> None:
    """The bound is below the least cost there is; what is said to be cheapest is."""
    assume(sum(demand.count for demand in problem.demands) <= 6)
    plan = cut(problem)

    best = least_cost(problem) if problem.demands else 0

    assert plan.bound <= best <= plan.cost
    assert plan.stopped_by != PROVED or plan.cost == best


@settings(deadline=None, max_examples=40)
@given(st.lists(st.integers(200, 4000), min_size=1, max_size=7), st.integers(0, 5))
@example([200, 924, 1467, 1467, 3796], 5)  # the dives alone end 400 mm above
def test_small_orders_are_cut_at_least_cost(lengths: list[int], kerf: int) -> None:
    """Seven pieces are found cheapest whether or not it can be proved."""
    problem = BarProblem(demands=pieces(*lengths), stocks=bars(*STOCKS), kerf_mm=kerf)

    assert cut(problem).cost == least_cost(problem)


@quickly
@given(problems(), st.integers(1000, 6000), st.integers(500, 6000))
def test_more_stock_never_costs_more(problem: BarProblem, length: int, price: int) -> None:
    """One more length on offer can be left alone."""
    problem = replace(problem, keeping=None)
    offered = replace(problem, stocks=(*problem.stocks, BarStock(length_mm=length, price=price)))

    before, after = cut(problem), cut(offered)

    assert after.bound <= before.cost
    assert after.stopped_by != PROVED or after.cost <= before.cost


@quickly
@given(problems(most=12, phases=2, splices=True), st.randoms(use_true_random=False))
def test_order_of_asking_does_not_matter(problem: BarProblem, random: object) -> None:
    """The same order in other words gives the same cut list."""
    shuffle: Callable[[list[object]], None] = random.shuffle  # type: ignore[attr-defined]
    demands, stocks = list(problem.demands), list(problem.stocks)
    shuffle(demands)  # type: ignore[arg-type]
    shuffle(stocks)  # type: ignore[arg-type]

    assert cut(replace(problem, demands=tuple(demands), stocks=tuple(stocks))) == cut(problem)


@pytest.mark.parametrize(
    ("lengths", "bought"),
    [
        ([2590] * 10, 26000),  # each in the shortest bar that holds it
        ([1299, 1299, 1499, 1499], 5600),  # two bars, of two lengths
        ([2000, 1998], 4000),  # both, with the cut of 2 mm, from the longest
        ([2000, 1999], 5200),  # the cut takes the millimetre that is missing: two short bars
    ],
)
def test_small_cases_by_hand(lengths: list[int], bought: int) -> None:
    """Worked by hand with a cut of 2 mm."""
    assert cut(BarProblem(demands=pieces(*lengths), stocks=bars(*STOCKS), kerf_mm=2)).bought_mm == bought


def test_trimmed_ends_are_lost() -> None:
    """Two pieces of 1499 fill 3000 with a cut of 2 mm, but not once 1 mm is trimmed."""
    stock = BarStock(length_mm=3000, price=3000)
    whole = BarProblem(demands=pieces(1499, 1499), stocks=(stock,), kerf_mm=2)

    assert len(cut(whole).bars) == 1
    assert len(cut(replace(whole, stocks=(replace(stock, trim_mm=1),))).bars) == 2


def test_an_offcut_in_hand_saves_a_bar() -> None:
    """It is used where it fits and named in the plan."""
    stocks = (*bars(3000), BarStock(length_mm=1200, price=0, limit=1, mark="K-7"))

    plan = cut(BarProblem(demands=pieces(2900, 1150), stocks=stocks, kerf_mm=3))

    assert (plan.cost, plan.bound, plan.bought) == (3000, 3000, ((3000, 1),))
    assert [bar.source for bar in plan.bars if bar.length_mm == 1200] == ["K-7"]


def test_an_offcut_is_worth_what_it_would_be_kept_for() -> None:
    """A price of nothing does not make it free where keeping it pays: the bar of 600 is cheaper."""
    stocks = (
        BarStock(length_mm=2000, price=0, limit=1, mark="K-7"),
        BarStock(length_mm=600, price=700),
    )
    problem = BarProblem(demands=pieces(500), stocks=stocks, keeping=Keeping(least_mm=1600, worth_per_m=1000))

    assert [bar.length_mm for bar in cut(problem).bars] == [600]


def test_stock_that_does_not_suffice_is_said() -> None:
    """Two bars cannot give three long pieces."""
    stocks = (BarStock(length_mm=3000, price=1, limit=2),)

    with pytest.raises(InputError, match="stock limits: given 'bars for all but 1 of 3 pieces'"):
        cut(BarProblem(demands=pieces(2000, 2000, 2000), stocks=stocks))


def test_worth_of_remainders_moves_the_choice() -> None:
    """Kept at nearly its price, the long rest of a long bar beats the short bar of no rest."""
    stocks = (BarStock(length_mm=2000, price=2000), BarStock(length_mm=4000, price=3000))
    thrifty = BarProblem(demands=pieces(2000), stocks=stocks, keeping=Keeping(least_mm=600, worth_per_m=700))

    assert cut(replace(thrifty, keeping=None)).cost == 2000
    assert (cut(thrifty).cost, cut(thrifty).bars[0].remainder_mm) == (3000 - 1400, 2000)


def test_a_remainder_is_carried_to_the_next_phase() -> None:
    """One bar serves both days if the rest of Monday is long enough to be kept."""
    demands = (
        BarDemand(mark="mon", length_mm=1700, phase=1),
        BarDemand(mark="tue", length_mm=1200, phase=2),
    )
    problem = BarProblem(demands=demands, stocks=bars(3000), kerf_mm=3, keeping=Keeping(least_mm=600))

    kept = cut(problem)
    thrown = cut(replace(problem, keeping=Keeping(least_mm=1298)))

    assert [(bar.source, bar.phase) for bar in kept.bars] == [("bought", 1), ("rest of bar 1", 2)]
    assert (kept.cost, kept.stopped_by) == (3000, PROVED)
    assert [bar.source for bar in thrown.bars] == ["bought", "bought"]


def test_what_arrives_later_is_not_cut_before() -> None:
    """The cheap bar comes with the second delivery."""
    stocks = (BarStock(length_mm=3000, price=9, phase=1), BarStock(length_mm=3000, price=5, phase=2))
    demands = tuple(BarDemand(mark=f"p{n}", length_mm=2000, phase=n) for n in (1, 2))

    plan = cut(BarProblem(demands=demands, stocks=stocks))

    assert [bar.price for bar in plan.bars] == [9, 5]
    assert (plan.cost, plan.bound, plan.stopped_by) == (14, 10, PHASED)  # no search could do better


def test_a_long_track_is_made_of_two() -> None:
    """5,200 mm with 300 mm of overlap are 5,500 mm: the place of parting lets both bars be filled."""
    long = BarDemand(mark="T", length_mm=5200, splice=Splice(overlap_mm=300, least_mm=500))
    problem = BarProblem(demands=(long, *pieces(1250, 1250)), stocks=bars(4000), kerf_mm=0)

    plan = cut(problem)

    assert (len(plan.bars), plan.stopped_by) == (2, PROVED)
    assert sum(piece.length_mm for bar in plan.bars for piece in bar.pieces if piece.mark == "T") == 5500


def test_fewer_patterns_at_the_same_cost() -> None:
    """An invented order of 20 lengths: the bars stay, the settings of the stop fall by a third and more."""
    lengths = [201 + 97 * n for n in range(20)]
    demands = tuple(BarDemand(mark=f"p{n}", length_mm=n, count=10 + n % 37) for n in lengths)
    problem = BarProblem(demands=demands, stocks=bars(6000), kerf_mm=3)

    plain, few = cut(problem, Limits(few=0)), cut(problem)

    assert few.cost == plain.cost
    assert few.patterns <= 0.7 * plain.patterns


def test_equal_bars_stand_together_in_the_plan() -> None:
    """A pattern once set is cut to the end."""
    problem = BarProblem(demands=pieces(*[1299, 1499, 650] * 8), stocks=bars(*STOCKS), kerf_mm=2)
    alike = [tuple(piece.length_mm for piece in bar.pieces) for bar in cut(problem).bars]

    assert len([key for key, _ in groupby(alike)]) == len(set(alike))


def test_same_seed_same_plan_and_the_clock_is_named() -> None:
    """Counts stop the search in the same place; a clock that says no at once is the reason given."""
    problem = BarProblem(demands=pieces(*range(301, 1501, 7)), stocks=bars(2600, 4000), kerf_mm=3)

    assert cut(problem) == cut(problem)
    stopped = cut_bars(problem, Limits(go_on=lambda: False))
    assert check_bars(stopped, problem) == []
    assert stopped.stopped_by in (PROVED, BY_CLOCK)


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"demands": pieces(4001)}, "length of piece p1: given 4001, accepted: 1 to 4000 mm"),
        ({"kerf_mm": -1}, "kerf: given -1, accepted: 0 to 1000 mm"),
        ({"stocks": ()}, "stock lengths: given 'none', accepted: at least one"),
        ({"stocks": (BarStock(length_mm=3000, price=0),)}, "price of stock 3000: given 0"),
        ({"stocks": (BarStock(length_mm=3000, price=1, trim_mm=3000),)}, "trim of stock 3000: given 3000"),
        (
            {"stocks": (BarStock(length_mm=3000, price=1, limit=1, mark="rest of bar 1"),)},
            "mark of an offcut: given 'rest of bar 1'",
        ),
        ({"keeping": Keeping(least_mm=600, worth_per_m=1000)}, "worth of a metre kept: given 1000"),
    ],
)
def test_what_cannot_be_is_refused(change: dict[str, object], said: str) -> None:
    """Splicing is the layout's business unless it is allowed; cutting must not hide it."""
    with pytest.raises(InputError) as error:
        replace(BarProblem(demands=pieces(1000), stocks=bars(4000)), **change)  # type: ignore[arg-type]
    assert said in str(error.value)


def test_no_pieces_need_no_bars() -> None:
    """An empty order buys nothing."""
    plan = cut(BarProblem(demands=(), stocks=bars(3000)))

    assert (plan.bars, plan.cost, plan.bound, plan.gap) == ((), 0, 0, 0)
