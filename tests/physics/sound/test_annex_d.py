"""The estimate of annex D: where it does not hold, its floors, and what is refused."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from innerleaf.errors import InputError
from innerleaf.physics.sound.annex_d import (
    Estimate,
    anchored,
    both_sides,
    bound_by_lines,
    bound_by_points,
    estimate_on_layer,
    estimate_on_studs,
    glued_in_part,
    in_situ,
    on_heavy_wall,
    resonance_on_cavity,
    table_d1,
)

masses = st.floats(5.0, 600.0)


def on_studs(
    *, m2: float = 9.0, depth: float = 0.06, rw: float = 53, rigid: bool = False, resistivity: float = 6e3
) -> Estimate:
    return estimate_on_studs(m1=350, m2=m2, depth=depth, rw=rw, rigid=rigid, resistivity=resistivity)


@given(masses, masses, st.floats(0.01, 0.3))
def test_wall_and_lining_can_change_places(m1: float, m2: float, depth: float) -> None:
    """A spring between two masses does not know which is the wall."""
    assert resonance_on_cavity(depth, m1, m2) == pytest.approx(resonance_on_cavity(depth, m2, m1))


@given(masses, masses, st.floats(0.01, 0.3))
def test_four_times_the_depth_halves_the_resonance(m1: float, m2: float, depth: float) -> None:
    assert resonance_on_cavity(4 * depth, m1, m2) == pytest.approx(resonance_on_cavity(depth, m1, m2) / 2)


@given(st.floats(20, 60))
def test_a_higher_resonance_improves_no_more(rw: float) -> None:
    """Up to 1600 Hz; beyond, the table rises again."""
    improvements = table_d1(np.geomspace(30, 1700, 300), rw)

    assert np.all(np.diff(improvements) <= 0)
    assert improvements[-1] == -10


def test_both_variants_agree_at_the_middle_of_a_band() -> None:
    assert table_d1(125.0, 48.0, "exact") == table_d1(125.0, 48.0, "band")


def test_table_never_says_worse_up_to_160_hz() -> None:
    """With Rw 60 the formula alone would fall below 0 at 166 Hz."""
    assert table_d1(177.0, 60.0, "exact") == 0.0
    assert table_d1(178.0, 60.0, "exact") == -1.0


def test_floors_of_the_heavy_wall() -> None:
    assert on_heavy_wall(2000.0).tolist() == [-4, -4, -4]
    assert on_heavy_wall(2000.0, "mineral wool glued").tolist() == [-4, -4, -4]
    assert on_heavy_wall(2000.0, "foam glued").tolist() == [-3, -3, -3]


def test_render_systems_by_hand() -> None:
    """At 100 Hz lg f0 is 2."""
    wool = on_heavy_wall(100.0, "mineral wool glued")

    assert wool == pytest.approx([10.5, 8.0, 9.7])
    assert on_heavy_wall(100.0, "foam glued") == pytest.approx([10.0, 8.0, 5.0])
    assert anchored(wool) == pytest.approx([0.66 * 10.5 - 1.2, 0.62 * 8.0 - 1.3, 0.54 * 9.7 - 1.6])
    assert glued_in_part(wool, 40.0) == pytest.approx(wool)
    assert glued_in_part(wool, 100.0) == pytest.approx(wool - 3.0)


def test_laboratory_to_site_by_hand() -> None:
    """At 50 Hz the factor is 1.35·1.699 - 3.5 = -1.206; X ends at -10 and 7; the factor at 0."""
    assert in_situ(10.0, 50.0, 53.0) == 10.0
    assert in_situ(10.0, 50.0, 30.0) == pytest.approx(10 + 12.06, abs=0.01)
    assert in_situ(10.0, 50.0, 70.0) == pytest.approx(10 - 8.44, abs=0.01)
    assert in_situ(10.0, 1000.0, 40.0) == 10.0


def test_bounds_of_fixed_linings_by_hand() -> None:
    """Studs at 600 mm, board with fc 2500 Hz: 10 lg 1500 = 31.8; fixings at 600 mm: 20 lg 1500 = 63.5."""
    assert bound_by_lines(0.6, 2500.0) == pytest.approx(8.76, abs=0.01)
    assert bound_by_points(0.6, 2500.0) == pytest.approx(18.52, abs=0.01)


def test_an_estimate_that_holds_promises_the_least_of_its_variants() -> None:
    found = on_studs()

    assert found.does_not_hold == ()
    assert found.on_studs is not None
    assert found.gain_to_promise == min(found.delta_rw, found.delta_rw_exact, found.on_studs) > 0


@pytest.mark.parametrize(
    ("found", "reason"),
    [
        (on_studs(rigid=True), "the frame is fixed to the wall"),
        (on_studs(resistivity=0), "no absorber of 5 kPa·s/m² or more (given 0)"),
        (on_studs(rw=62), "Rw 62 dB of the bare wall"),
        (on_studs(depth=0.6, m2=60), "outside table D.1"),
        (estimate_on_layer(m1=350, m2=10, stiffness=20e6, rw=53), "above 160 Hz: no gain"),
    ],
)
def test_where_it_does_not_hold_no_gain_is_promised(found: Estimate, reason: str) -> None:
    assert any(reason in why for why in found.does_not_hold)
    assert found.gain_to_promise <= 0


def test_a_loss_stays_a_loss_where_the_estimate_does_not_hold() -> None:
    found = on_studs(depth=0.005, rigid=True)

    assert found.band > 160
    assert found.gain_to_promise == found.delta_rw < 0


def test_the_working_names_what_went_in() -> None:
    lines = "\n".join(on_studs(m2=8.5, depth=0.05).working)

    assert "0.111e6/0.05" in lines
    assert "f0 in its band 80 Hz" in lines
    assert "f0 as it is" in lines
    assert "about 350" not in lines
    assert "about 350" in "\n".join(
        estimate_on_studs(m1=150, m2=8, depth=0.05, rw=42, rigid=False, resistivity=6e3).working
    )


@given(st.floats(0, 20), st.floats(0, 20))
def test_two_linings_gain_more_than_the_better_one_and_less_than_their_sum(one: float, other: float) -> None:
    assert max(one, other) <= both_sides(one, other) <= one + other


def test_values_that_cannot_be() -> None:
    with pytest.raises(InputError, match=r"mass of the lining .*given 0"):
        on_studs(m2=0)
    with pytest.raises(InputError, match=r"depth of the cavity .*given -0.1"):
        on_studs(depth=-0.1)
    with pytest.raises(InputError, match=r"dynamic stiffness"):
        estimate_on_layer(m1=300, m2=10, stiffness=float("inf"), rw=50)
    with pytest.raises(InputError, match=r"Rw of the bare wall: given nan"):
        on_studs(rw=float("nan"))
    with pytest.raises(InputError, match=r"bands 31.5 to 5000 Hz"):
        table_d1(20.0, 50.0)
    with pytest.raises(InputError, match=r"glued part of the area: given 0"):
        glued_in_part([10.0] * 3, 0)
    with pytest.raises(InputError, match=r"spacing of the studs"):
        bound_by_lines(0, 2500)
    with pytest.raises(InputError, match=r"fc \[Hz\]"):
        bound_by_points(0.6, 0)
