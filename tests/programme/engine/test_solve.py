"""Schedules against optima that are known, and against everything tried."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.programme.engine.networks import crew, least_cost, networks, works

from innerleaf.programme.engine.check import check
from innerleaf.programme.engine.measures import measure
from innerleaf.programme.engine.network import Activity, Arc, Kind, Network, Objective, Resource
from innerleaf.programme.engine.solve import solve

OBJECTIVES = st.sampled_from(
    (Objective(), Objective(finish=10, returns=1), Objective(finish=3, overtime=2), Objective(overtime=1))
)


def test_one_crew_works_one_after_the_other() -> None:
    """Work of 6 slots takes one crew 6 slots, and that is proven."""
    answer = solve(Network(activities=works(1, 2, 3), resources=(crew(),)), schedules=100)

    assert (answer.cost, answer.bound, answer.proven, answer.why) == (6, 6, True, "proved best")


def test_two_crews_share() -> None:
    """3, 3, 2, 2, 2 on two crews: 6, although the longest first give 7."""
    answer = solve(Network(activities=works(3, 3, 2, 2, 2), resources=(crew(2),)), schedules=3000)

    assert (answer.cost, answer.proven) == (6, True)


def test_coat_dries_over_night() -> None:
    """Slots 0-3 and 4-7 are two days; a coat that ends on the first day is dry on the second."""
    network = Network(
        activities=works(1, 1),
        resources=(crew(),),
        arcs=(Arc(0, 1, drying=0),),
        drying=((0, 4, 4, 4, 4, 8, 8, 8, 8),),
        horizon=8,
    )

    answer = solve(network, schedules=100)

    assert answer.starts == (0, 4)


def test_night_of_a_crew_is_no_end_of_work() -> None:
    """Three slots of work around two without the crew."""
    network = Network(
        activities=(Activity(name="a", duration=3, calendar=0),),
        calendars=((False, True, False, False, True, True),),
        horizon=6,
    )

    assert solve(network, schedules=10).measures.finish == 6


def test_greatest_lag_is_kept() -> None:
    """The second coat at most 3 slots after the first, while a long job holds the crew: the first waits."""
    network = Network(
        activities=works(1, 5, 1),
        resources=(crew(),),
        arcs=(Arc(0, 2, 2, Kind.START_START), Arc(2, 0, -3, Kind.START_START)),
    )

    answer = solve(network, schedules=20_000)

    assert not check(network, answer.starts)
    assert (answer.cost, answer.proven) == (8, True)


def test_no_schedule_is_said() -> None:
    """Two things that are to start at most a slot apart, but need the same man."""
    network = Network(
        activities=works(4, 4),
        resources=(crew(),),
        arcs=(Arc(0, 1, -1, Kind.START_START), Arc(1, 0, -1, Kind.START_START)),
    )

    answer = solve(network, schedules=100_000)

    assert (answer.starts, answer.proven) == ((), True)
    assert "no schedule" in answer.why


def test_returns_are_spared_at_equal_finish() -> None:
    """Two rooms, two pieces each, one crew: room by room."""
    activities = tuple(
        Activity(name=f"{n}", duration=1, demand=((0, 1),), place=f"room {n % 2}", crew="frame")
        for n in range(4)
    )
    network = Network(activities=activities, resources=(crew(),))

    answer = solve(network, Objective(finish=100, returns=1), schedules=20_000)

    assert (answer.measures.finish, answer.measures.returns) == (4, 0)


@pytest.mark.parametrize(("price", "finish", "overtime"), [(1, 2, 2), (9, 4, 0)])
def test_overtime_is_taken_where_it_pays(price: int, finish: int, overtime: int) -> None:
    """A slot of the finish costs 2: a second man at 1 a slot pays, one at 9 does not."""
    network = Network(activities=works(1, 1, 1, 1), resources=(crew(1, extra=1, price=price),))

    answer = solve(network, Objective(finish=2, overtime=1), schedules=20_000)

    assert (answer.measures.finish, answer.measures.overtime) == (finish, overtime)


def test_what_cannot_be_in_time_is_late_but_told() -> None:
    """A due that is too early is missed by as little as can be; everything else is kept."""
    late = Activity(name="late", duration=2, demand=((0, 1),), due=1)
    network = Network(activities=(*works(2, 2), late), resources=(crew(),))

    answer = solve(network, schedules=2000)

    assert (answer.measures.late, answer.starts[2]) == (1, 0)
    assert check(network, answer.starts) == ("late ends at 2, after it is due at 1",)


def test_what_is_done_stays() -> None:
    """A new schedule from an old one: what is done is not moved, though it broke a crew's number."""
    done = tuple(Activity(name=f"d{n}", duration=2, demand=((0, 1),), fixed=0) for n in range(2))
    network = Network(activities=(*done, *works(1, 1)), resources=(crew(),))

    answer = solve(network, schedules=100, hint=(0, 0, 2, 1))

    assert answer.starts[:2] == (0, 0)
    assert (answer.cost, check(network, answer.starts)) == (4, ())


@settings(max_examples=25, deadline=None)
@given(networks(), OBJECTIVES)
def test_against_everything_tried(network: Network, objective: Objective) -> None:
    """No schedule is cheaper than the least there is, and no bound above it."""
    least = least_cost(network, objective)

    answer = solve(network, objective, schedules=3000)

    faults = [fault for fault in check(network, answer.starts) if "due" not in fault] if answer.starts else []
    assert faults == []
    if least is None:
        assert not answer.starts or answer.measures.late
    elif answer.starts and not answer.measures.late:
        assert answer.bound <= least <= answer.cost
        if answer.proven:
            assert answer.cost == least
        if objective == Objective():
            assert answer.cost == least


@settings(max_examples=25, deadline=None)
@given(networks(greatest=True))
def test_greatest_lags_against_everything_tried(network: Network) -> None:
    """Likewise with greatest lags, where starting as early as can be is not always right."""
    least = least_cost(network, Objective())

    answer = solve(network, schedules=60_000)

    if least is None:
        assert not answer.starts or answer.measures.late
    else:
        assert check(network, answer.starts) == ()
        assert answer.bound <= least <= answer.cost
        assert not answer.proven or answer.cost == least


@given(st.integers(0, 5))
@settings(max_examples=3, deadline=None)
def test_the_same_each_time(seed: int) -> None:
    """The same seed and the same number of schedules give the same starts."""
    network = Network(activities=works(3, 1, 4, 1, 5, 9, 2, 6, 5, 3, 5), resources=(crew(3),))

    first, second = (solve(network, schedules=4000, seed=seed, workers=2) for _ in range(2))

    assert first.starts == second.starts
    assert first.measures == measure(network, first.starts)


def test_watch_may_stop() -> None:
    """The first schedule is there, and no more is done."""
    activities = tuple(
        Activity(name=f"{n}", duration=d, demand=((0, u),))
        for n, (d, u) in enumerate([(3, 2), (2, 3), (5, 2)] * 6)
    )
    network = Network(activities=activities, resources=(Resource(name="crew", capacity=((0, 4), (9, 3))),))

    answer = solve(network, seconds=60, watch=lambda _: False)

    assert answer.starts
    assert answer.why in ("asked to stop", "proved best")
