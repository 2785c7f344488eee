"""The checker finds what is broken."""

from __future__ import annotations

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from tests.programme.engine.networks import crew, networks, works

from innerleaf.errors import InputError
from innerleaf.programme.engine.check import check
from innerleaf.programme.engine.network import Activity, Arc, Kind, Network, Resource
from innerleaf.programme.engine.solve import solve

DAY = (True, True, False, False) * 2


def network_with(**changes: object) -> Network:
    """Two activities of two slots one after the other on one crew."""
    given: dict[str, object] = {
        "activities": works(2, 2),
        "resources": (crew(),),
        "arcs": (Arc(0, 1),),
        "horizon": 8,
        **changes,
    }
    return Network(**given)  # type: ignore[arg-type]


def test_nothing_to_say() -> None:
    """One after the other is right."""
    assert check(network_with(), (0, 2)) == ()


@pytest.mark.parametrize(
    ("network", "starts", "words"),
    [
        (network_with(), (0, 1), "a1 starts at 1, a0 allows 2"),
        (network_with(arcs=()), (0, 1), "slot 1: 2 of crew needed, 1 there"),
        (network_with(arcs=(Arc(0, 1, 3),)), (0, 4), "a1 starts at 4, a0 allows 5"),
        (network_with(arcs=(Arc(1, 0, -3, Kind.START_START),)), (0, 4), "a0 starts at 0, a1 allows 1"),
        (
            network_with(drying=((0, 1, 4, 4, 4, 8, 8, 8, 8),), arcs=(Arc(0, 1, drying=0),)),
            (0, 3),
            "allows 4",
        ),
        (network_with(), (0, 7), "does not end within 8 slots"),
        (network_with(), (0,), "1 starts for 2 activities"),
        (network_with(resources=(Resource(name="r", capacity=((0, 1), (3, 0))),)), (0, 2), "slot 3"),
    ],
)
def test_what_is_broken_is_said(network: Network, starts: tuple[int, ...], words: str) -> None:
    """A lag, a crew, a coat that is wet, the end of time."""
    assert any(words in fault for fault in check(network, starts))


@pytest.mark.parametrize(
    ("activity", "start", "words"),
    [
        (Activity(name="a", duration=2, release=3), 2, "before its release 3"),
        (Activity(name="a", duration=2, due=4), 3, "after it is due at 4"),
        (Activity(name="a", duration=2, fixed=1), 3, "is fixed at 1"),
        (Activity(name="a", duration=1, calendar=0), 2, "has no work"),
        (Activity(name="a", duration=3, calendar=0, due=4), 0, "a ends at 5"),
    ],
)
def test_its_own_limits(activity: Activity, start: int, words: str) -> None:
    """Release, due, fixed start, calendar."""
    network = Network(activities=(activity,), calendars=(DAY,), horizon=8)

    assert any(words in fault for fault in check(network, (start,)))


@settings(max_examples=15, deadline=None)
@given(networks(), st.data())
def test_earlier_than_the_earliest_is_noticed(network: Network, data: st.DataObject) -> None:
    """A schedule in which one activity is pulled so far forward that its lags are broken."""
    answer = solve(network, schedules=50)
    assume(answer.starts and network.arcs)
    arc = data.draw(st.sampled_from(network.arcs))
    before, after = network.activities[arc.before], network.activities[arc.after]
    assume(after.fixed is None and before.duration + arc.lag > 0 and arc.kind is Kind.FINISH_START)

    starts = list(answer.starts)
    starts[arc.after] = starts[arc.before]

    assert any(fault.startswith(f"{after.name} starts at") for fault in check(network, starts))


@pytest.mark.parametrize(
    "changes",
    [
        {"arcs": (Arc(0, 7),)},
        {"arcs": (Arc(0, 0),)},
        {"arcs": (Arc(0, 1, drying=0),)},
        {"activities": works(-1, 2)},
        {"activities": (Activity(name="a", duration=1, demand=((3, 1),)), *works(1))},
        {"activities": (Activity(name="a", duration=1, calendar=0), *works(1))},
        {"calendars": ((True, False),)},
        {"drying": ((0, 1, 2, 3, 4, 5, 6, 8, 7),)},
        {"drying": ((0, 0, 2, 3, 4, 5, 6, 7, 8),)},
        {"drying": (tuple(range(9)),), "horizon": None},
        {"resources": (Resource(name="r", capacity=((1, 1),)),)},
        {"resources": (Resource(name="r", capacity=1, price=-1),)},
    ],
)
def test_senseless_networks_are_refused(changes: dict[str, object]) -> None:
    """Numbers that point nowhere, tables of the wrong length or that fall."""
    with pytest.raises(InputError):
        network_with(**changes)
