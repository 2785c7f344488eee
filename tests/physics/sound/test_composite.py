"""Walls of parts: laws, values by hand, and what is refused."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from innerleaf.errors import InputError
from innerleaf.physics.sound.composite import composite, gap, joint, small_element, surface
from innerleaf.physics.sound.ratings import fine_weighted_reduction_index

insulations = st.floats(10.0, 70.0)
areas = st.floats(0.1, 50.0)


def test_a_door_in_a_wall_by_hand() -> None:
    """(10·10^-5.5 + 2·10^-3.2)/12 is 10^-3.97."""
    whole = composite([surface("wall", [55.0], 10.0), surface("door", [32.0], 2.0)])

    assert whole.rw == pytest.approx(39.67, abs=0.005)
    assert whole.limiting.name == "door"
    assert whole.at_best == pytest.approx(55 + 10 * np.log10(1.2))


@given(insulations, areas, areas)
def test_a_wall_cut_in_two_is_the_same_wall(r: float, one: float, other: float) -> None:
    cut = composite([surface("left", [r], one), surface("right", [r], other)])

    assert cut.rw == pytest.approx(r)
    assert cut.shares == pytest.approx([100 * one / (one + other), 100 * other / (one + other)])


@given(insulations, insulations, areas, areas)
def test_the_whole_lies_between_its_parts(r: float, worse: float, one: float, other: float) -> None:
    whole = composite([surface("a", [r], one), surface("b", [worse], other)])

    assert min(r, worse) - 1e-9 <= whole.rw <= max(r, worse) + 1e-9


def test_small_elements_count_over_ten_square_metres() -> None:
    """A vent of Dn,e 40 in a tight wall of 10 m²: R 40; two of them: 37."""
    tight = surface("wall", [90.0], 10.0)

    assert composite([tight, small_element("vent", [40.0])]).rw == pytest.approx(40, abs=0.01)
    assert composite([tight, small_element("vents", [40.0], 2)]).rw == pytest.approx(37, abs=0.02)


def test_joints_count_by_their_length() -> None:
    """Ten metres of Rs 50 in 10 m²: R 50."""
    assert composite([surface("wall", [90.0], 10.0), joint("joint", [50.0], 10.0)]).rw == pytest.approx(
        50, abs=0.01
    )


def test_a_gap_of_a_thousandth_ends_at_30_db() -> None:
    """However good the wall: 2 mm along 5 m in 10 m²."""
    leaky = composite([surface("wall", [90.0], 10.0), gap("gap under the board", 0.002 * 5)])

    assert leaky.rw == pytest.approx(30, abs=0.01)
    assert leaky.sentence().startswith(
        "Rw 30.0 dB: gap under the board lets 100 % of the sound through; without"
    )


def test_bands_are_rated_after_they_are_added() -> None:
    """The single-number sum is an approximation; by band the rating of the sum counts."""
    wall, door = np.linspace(35, 70, 21), np.linspace(20, 40, 21)
    whole = composite([surface("wall", wall, 8.0), surface("door", door, 2.0)])
    by_hand = -10 * np.log10((8 * 10 ** (-wall / 10) + 2 * 10 ** (-door / 10)) / 10)

    assert whole.r == pytest.approx(by_hand)
    assert whole.rw == fine_weighted_reduction_index(by_hand)
    assert sum(whole.shares) == pytest.approx(100)


def test_one_value_holds_for_every_band() -> None:
    whole = composite([surface("wall", [50.0] * 21, 10.0), gap("gap", 0.001)])

    assert whole.r == pytest.approx([-10 * np.log10(1e-5 + 1e-4)] * 21)


def test_a_wall_of_one_part() -> None:
    alone = composite([surface("wall", [50.0], 10.0)])

    assert alone.at_best == np.inf
    assert alone.sentence() == "Rw 50.0 dB: wall lets 100 % of the sound through."


def test_walls_that_cannot_be() -> None:
    with pytest.raises(InputError, match=r"accepted: a part with an area"):
        composite([gap("gap", 0.01)])
    with pytest.raises(InputError, match=r"accepted: a part with an area"):
        composite([])
    with pytest.raises(InputError, match=r"door, values: given 16, accepted: 1 or 21"):
        composite([surface("wall", [50.0] * 21, 10.0), surface("door", [30.0] * 16, 2.0)])
    with pytest.raises(InputError, match=r"door, area: given -1"):
        surface("door", [30.0], -1.0)
    with pytest.raises(InputError, match=r"vent, number: given 0"):
        small_element("vent", [40.0], 0)
    with pytest.raises(InputError, match=r"joint, insulation: given \[\]"):
        joint("joint", [], 2.0)
