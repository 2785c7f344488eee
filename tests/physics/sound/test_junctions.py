"""Vibration reduction indices: laws they keep, values by hand, and what is refused."""

from __future__ import annotations

from typing import get_args

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from innerleaf.errors import InputError
from innerleaf.physics.sound.junctions import (
    Kind,
    corner_index,
    junction_indices,
    least_index,
    thickness_change_index,
)

masses = st.floats(20.0, 800.0)
KINDS: tuple[Kind, ...] = get_args(Kind)


@given(st.sampled_from(["rigid cross", "rigid T", "flexible flank"]), masses, masses)
def test_a_heavier_wall_blocks_the_flank_more(kind: Kind, wall: float, flank: float) -> None:
    """From M = -1.2 on, the vertex of the parabola."""
    if wall < flank / 10:
        return
    now = junction_indices(kind, wall_mass=wall, flank_mass=flank)
    heavier = junction_indices(kind, wall_mass=1.1 * wall, flank_mass=flank)

    assert heavier.flank_flank >= now.flank_flank


@given(st.sampled_from(["rigid cross", "rigid T", "flexible wall", "light facade"]), masses, masses)
def test_round_the_corner_wall_and_flank_can_change_places(kind: Kind, wall: float, flank: float) -> None:
    """K12 is K21."""
    there = junction_indices(kind, wall_mass=wall, flank_mass=flank)
    back = junction_indices(kind, wall_mass=flank, flank_mass=wall)

    assert there.flank_wall == pytest.approx(back.flank_wall)


def test_equal_masses_leave_the_constants() -> None:
    """M = 0, at 500 Hz where Δ1 is 6.0 dB."""
    found = {
        kind: junction_indices(kind, wall_mass=300, flank_mass=300)
        for kind in KINDS
        if kind != "double-leaf wall"
    }
    by_hand = {
        "rigid cross": (8.7, 8.7),
        "rigid T": (5.7, 5.7),
        "flexible flank": (17.7, 11.7),
        "flexible wall": (0.0, 11.7),
        "light facade": (5.0, 10.0),
        "double-leaf flank": (10.0, 10.0),
        "double-leaf both": (10.0, 10.0),
    }

    assert set(found) == set(by_hand)
    for kind, (straight, turning) in by_hand.items():
        assert found[kind].flank_flank == pytest.approx(straight, abs=0.05)  # type: ignore[index]
        assert found[kind].flank_wall == pytest.approx(turning, abs=0.05)  # type: ignore[index]


def test_a_light_double_leaf_wall_by_hand() -> None:
    """M = -1: 3.0 - 14.1 + 5.7 past the wall, 10 + 10 into it."""
    found = junction_indices("double-leaf wall", wall_mass=30, flank_mass=300)

    assert found.flank_flank == pytest.approx(-5.4)
    assert found.flank_wall == pytest.approx(20.0)


def test_flexible_layers_work_above_125_hz() -> None:
    """3 dB an octave for one, 6 dB for two, nothing below."""
    found = junction_indices("flexible flank", wall_mass=300, flank_mass=300, frequency=[63, 125, 250, 500])

    assert found.flank_flank - 5.7 == pytest.approx([0, 0, 6.0, 12.0], abs=0.05)
    assert found.flank_wall - 5.7 == pytest.approx([0, 0, 3.0, 6.0], abs=0.05)


def test_double_leaves_change_by_one_decibel_an_octave() -> None:
    octaves = junction_indices(
        "double-leaf flank", wall_mass=3000, flank_mass=300, frequency=[250, 500, 1000]
    )

    assert np.diff(octaves.flank_flank) == pytest.approx([-1.0, -1.0], abs=0.01)
    assert np.diff(octaves.flank_wall) == pytest.approx([1.0, 1.0], abs=0.01)


def test_a_light_facade_never_falls_below_5() -> None:
    assert junction_indices("light facade", wall_mass=50, flank_mass=300).flank_flank == 5.0


def test_corners_and_changes_of_thickness_by_hand() -> None:
    assert corner_index(300, 300) == -2.0
    assert corner_index(300, 30) == pytest.approx(12.0)
    assert corner_index(30, 300) == pytest.approx(12.0)
    assert thickness_change_index(300, 300) == pytest.approx(-5.0)
    assert thickness_change_index(30, 300) == pytest.approx(0.0)


def test_least_index_of_square_elements() -> None:
    """A wall and a floor of 10 m² along 4 m: 10 lg 0.8."""
    assert least_index(4.0, 10.0, 10.0) == pytest.approx(-0.97, abs=0.005)


def test_masses_by_the_row() -> None:
    rows = junction_indices("rigid T", wall_mass=[100, 200, 400], flank_mass=200).flank_flank

    assert rows.tolist() == [
        float(junction_indices("rigid T", wall_mass=mass, flank_mass=200).flank_flank)
        for mass in (100, 200, 400)
    ]


def test_junctions_that_cannot_be() -> None:
    with pytest.raises(InputError, match=r"junction: given 'soft', accepted: rigid cross"):
        junction_indices("soft", wall_mass=1, flank_mass=1)  # type: ignore[arg-type]
    with pytest.raises(InputError, match=r"mass of the flank: given 0"):
        junction_indices("rigid T", wall_mass=100, flank_mass=0)
    with pytest.raises(InputError, match=r"frequency: given nan"):
        junction_indices("rigid T", wall_mass=100, flank_mass=100, frequency=float("nan"))
    with pytest.raises(InputError, match=r"less than a third of the flank's mass"):
        junction_indices("double-leaf wall", wall_mass=150, flank_mass=300)
    for index in (corner_index, thickness_change_index):
        with pytest.raises(InputError, match=r"masses"):
            index(0, 100)
