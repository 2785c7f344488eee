"""The beam against an independent finite-element beam and closed forms, and laws that any beam keeps."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from innerleaf.errors import InputError
from innerleaf.physics.frame.beam import (
    RIGID,
    Action,
    Bent,
    Couple,
    Force,
    Load,
    Spread,
    Support,
    bend,
    both_states,
)

if TYPE_CHECKING:
    from numpy.typing import NDArray

LONG, EI = 3.0, 20_000.0


@dataclass(frozen=True)
class Put:
    """Something put on the member: a force, a couple, or an even load from ``at`` to ``end``."""

    kind: str
    at: float
    end: float
    size: float

    @property
    def load(self) -> Load:
        if self.kind == "spread":
            return Spread(self.at, self.end, self.size)
        return Force(self.at, self.size) if self.kind == "force" else Couple(self.at, self.size)


@dataclass(frozen=True)
class Case:
    """A member of 3 m; supports and loads stand at multiples of 50 mm, where a fine beam has nodes."""

    supports: tuple[tuple[float, float], ...]
    loads: tuple[Put, ...]

    def beam(self) -> Bent:
        return bend(LONG, EI, [Support(*s) for s in self.supports], [put.load for put in self.loads])


places = st.integers(0, 60).map(lambda k: k * 0.05)
sizes = st.floats(-500, 500, allow_nan=False).map(lambda v: round(v, 3))
springs = st.one_of(st.just(RIGID), st.floats(1e4, 1e7))
supports = st.lists(st.tuples(places, springs), min_size=2, max_size=6, unique_by=lambda s: s[0])
loads = st.lists(
    st.builds(
        lambda kind, a, b, size: Put(kind, min(a, b), max(a, b), size),
        st.sampled_from(["force", "couple", "spread"]),
        places,
        places,
        sizes,
    ),
    min_size=1,
    max_size=5,
)
cases = st.builds(lambda s, q: Case(tuple(s), tuple(q)), supports, loads)


def by_elements(case: Case) -> NDArray[np.float64]:
    """Deflections at every 50 mm: Hermite beam elements with exact fixed-end forces, written here anew."""
    h, n = 0.05, 61
    k = EI / h**3 * np.array(
        [[12, 6 * h, -12, 6 * h], [6 * h, 4 * h**2, -6 * h, 2 * h**2],
         [-12, -6 * h, 12, -6 * h], [6 * h, 2 * h**2, -6 * h, 4 * h**2]]
    )  # fmt: skip
    whole, right = np.zeros((2 * n, 2 * n)), np.zeros(2 * n)
    for e in range(n - 1):
        whole[2 * e : 2 * e + 4, 2 * e : 2 * e + 4] += k
    for put in case.loads:
        if put.kind == "spread":
            for e in range(round(put.at / h), round(put.end / h)):
                right[2 * e : 2 * e + 4] += put.size * h * np.array([1 / 2, h / 12, 1 / 2, -h / 12])
        else:
            right[2 * round(put.at / h) + (put.kind == "couple")] += put.size
    held = []
    for at, spring in case.supports:
        node = 2 * round(at / h)
        if np.isinf(spring):
            held.append(node)
        else:
            whole[node, node] += spring
    free = [i for i in range(2 * n) if i not in held]
    found = np.zeros(2 * n)
    found[free] = np.linalg.solve(whole[np.ix_(free, free)], right[free])
    return found[::2]


@settings(max_examples=60, deadline=None)
@given(cases)
def test_as_a_beam_of_elements(case: Case) -> None:
    """Both are exact at the nodes, so they agree to the rounding of the element matrix."""
    expected = by_elements(case)
    found = case.beam().deflection(np.linspace(0, LONG, 61))

    assert found == pytest.approx(expected, abs=1e-6 * np.abs(expected).max() + 1e-12)


@settings(max_examples=60, deadline=None)
@given(cases)
def test_peaks_are_peaks(case: Case) -> None:
    """No place of a fine comb has more than the peak, and the peak is there where it says."""
    member, comb = case.beam(), np.linspace(0, LONG, 2401)
    for peak, curve in (
        (member.greatest_moment(), member.moment),
        (member.greatest_shear(), member.shear),
        (member.greatest_deflection(), member.deflection),
    ):
        assert np.abs(curve(comb)).max() <= abs(peak.value) * (1 + 1e-9) + 1e-9
    deflection = member.greatest_deflection()
    assert member.deflection(deflection.at) == pytest.approx(float(deflection.value), abs=1e-15)
    moment = member.greatest_moment()
    sides = [float(member.moment(moment.at, side)) for side in (-1, 0, 1)]
    assert float(moment.value) == pytest.approx(min(sides, key=lambda m: abs(m - moment.value)), abs=1e-6)


@settings(max_examples=60, deadline=None)
@given(cases)
def test_supports_give_back_what_is_put_on(case: Case) -> None:
    """Forces and moments about the foot are in balance, springs give way by force over stiffness."""
    member = case.beam()
    force = moment = 0.0
    for put in case.loads:
        if put.kind == "couple":
            moment += put.size
            continue
        whole = put.size * (put.end - put.at if put.kind == "spread" else 1)
        force += whole
        moment += whole * ((put.at + put.end) / 2 if put.kind == "spread" else put.at)
    at = np.array([place for place, _ in case.supports])
    stiffness = np.array([spring for _, spring in case.supports])

    assert member.reactions.sum() == pytest.approx(force, abs=1e-6)
    assert (member.reactions * at).sum() == pytest.approx(moment, abs=1e-6)
    assert member.deflection(at) == pytest.approx(member.reactions / stiffness, abs=1e-9)
    assert abs(member.moment(0.0, -1)) < 1e-6
    assert abs(member.moment(LONG, 1)) < 1e-6


@settings(max_examples=40, deadline=None)
@given(supports, places, places)
def test_maxwell(held: list[tuple[float, float]], here: float, there: float) -> None:
    """What a force here moves there, a force there moves here."""

    def moved(at: float, seen: float) -> float:
        return float(bend(LONG, EI, [Support(*s) for s in held], [Force(at, 100.0)]).deflection(seen))

    assert moved(here, there) == pytest.approx(moved(there, here), abs=1e-10)


@settings(max_examples=40, deadline=None)
@given(cases)
def test_stiffer_gives_no_more(case: Case) -> None:
    """A force moves its own place less where a support or the member is stiffer."""
    (at, spring), *rest = case.supports
    assume(spring < RIGID)
    load = [Force(at, 100.0)]

    def given_way(stiffness: float, factor: float = 1.0) -> float:
        held = [Support(at, stiffness), *(Support(*s) for s in rest)]
        return float(bend(LONG, EI * factor, held, load).deflection(at))

    first = given_way(spring)
    assert given_way(2 * spring) <= first + 1e-12
    if all(np.isinf(s) for _, s in rest):
        assert given_way(spring, 2.0) <= first + 1e-12


def test_many_members_at_once_as_one_by_one() -> None:
    """Lengths, stiffness, places and loads as arrays give what each member gives alone."""
    lengths, ei = np.array([2.5, 2.6, 3.5]), np.array([[9e3], [2e4]])
    head = Support(lengths, 1e5)
    together = bend(lengths, ei, [Support(0), head], [Force(0.9, 300.0), Spread(0.0, lengths, 90.0)])

    assert together.reactions.shape == (2, 3, 2)
    for row, stiffness in enumerate(ei[:, 0]):
        for column, length in enumerate(lengths):
            loads: list[Load] = [Force(0.9, 300.0), Spread(0.0, length, 90.0)]
            alone = bend(length, stiffness, [Support(0), Support(length, 1e5)], loads)
            for name in ("greatest_moment", "greatest_deflection", "greatest_shear", "greatest_sag"):
                whole, one = getattr(together, name)(), getattr(alone, name)()
                assert whole.value[row, column] == pytest.approx(float(one.value), rel=1e-9)
                assert whole.at[row, column] == pytest.approx(float(one.at), abs=1e-6)


def test_closed_forms() -> None:
    """Text book: even load on one span, on two spans, and a cantilever beyond a support."""
    q = 150.0
    one = bend(LONG, EI, [Support(0), Support(LONG)], [Spread(0, LONG, q)])
    assert float(one.greatest_moment().value) == pytest.approx(q * LONG**2 / 8)
    assert float(one.greatest_moment().at) == pytest.approx(LONG / 2)
    assert float(one.greatest_deflection().value) == pytest.approx(5 * q * LONG**4 / 384 / EI)
    assert float(one.greatest_sag().value) == pytest.approx(5 * q * LONG**3 / 384 / EI)

    two = bend(LONG, EI, [Support(0), Support(LONG / 2), Support(LONG)], [Spread(0, LONG, q)])
    half = LONG / 2
    assert two.reactions == pytest.approx([3 / 8 * q * half, 10 / 8 * q * half, 3 / 8 * q * half])
    assert float(two.greatest_moment().value) == pytest.approx(-q * half**2 / 8)
    assert abs(float(two.greatest_deflection().value)) == pytest.approx(q * half**4 / EI / 184.6, rel=1e-3)

    over = bend(LONG, EI, [Support(0), Support(2.0)], [Force(LONG, 100.0)])
    assert float(over.greatest_moment().value) == pytest.approx(-100.0)
    assert float(over.greatest_deflection().value) == pytest.approx(100 * 1.0**2 * LONG / 3 / EI)
    assert float(over.greatest_sag().value) == pytest.approx(100 * LONG / 3 / EI / 2.0)


def test_a_couple_is_a_pair_of_forces() -> None:
    """Two forces 2 mm apart, seen from afar; between its sides the moment jumps by the couple."""
    held = [Support(0), Support(LONG)]
    couple = bend(LONG, EI, held, [Couple(1.2, 50.0)])
    pair = bend(LONG, EI, held, [Force(1.201, 25_000.0), Force(1.199, -25_000.0)])

    assert couple.reactions == pytest.approx(pair.reactions, rel=1e-6)
    assert float(couple.deflection(2.0)) == pytest.approx(float(pair.deflection(2.0)), rel=1e-4)
    assert float(couple.moment(1.2, 1) - couple.moment(1.2, -1)) == pytest.approx(50.0)


def test_load_factors_belong_to_their_action() -> None:
    states = both_states(
        LONG,
        EI,
        [Support(0), Support(LONG)],
        [
            Action(loads=(Spread(0, LONG, 100.0),), ultimate=1.35),
            Action(loads=(Force(1.5, 300.0),), service=0.5),
        ],
    )

    assert states.ultimate.reactions.sum() == pytest.approx(1.35 * 300 + 1.5 * 300)
    assert states.service.reactions.sum() == pytest.approx(300 + 0.5 * 300)


def test_no_load_no_peak() -> None:
    nothing = bend(LONG, EI, [Support(0), Support(LONG)], [])

    assert float(nothing.greatest_moment().value) == 0
    assert float(nothing.greatest_deflection().value) == 0


@pytest.mark.parametrize(
    "wrong",
    [
        lambda: bend(0.0, EI, [Support(0), Support(0)], []),
        lambda: bend(LONG, float("nan"), [Support(0), Support(LONG)], []),
        lambda: bend(LONG, EI, [Support(0)], []),
        lambda: bend(LONG, EI, [Support(1.0), Support(1.0)], []),
        lambda: bend(LONG, EI, [Support(1.0, 1e4), Support(1.0, 1e4)], []),
        lambda: bend(LONG, EI, [Support(0), Support(1.0), Support(1.0)], []),
        lambda: bend(LONG, EI, [Support(0), Support(3.1)], []),
        lambda: bend(LONG, EI, [Support(0), Support(LONG, 0.0)], []),
        lambda: bend(LONG, EI, [Support(0), Support(LONG)], [Force(-0.1, 1.0)]),
        lambda: bend(LONG, EI, [Support(0), Support(LONG)], [Force(1.0, float("inf"))]),
    ],
)
def test_nonsense_is_refused(wrong) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(InputError, match="accepted"):
        wrong()
