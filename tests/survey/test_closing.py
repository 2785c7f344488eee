"""A room measured side by side closes or says by how much it does not."""

from __future__ import annotations

from math import dist, isinf

import pytest
from hypothesis import given
from hypothesis import strategies as st

from innerleaf.survey.closing import Side, close_room


def _around(*lengths: int) -> list[Side]:
    return [Side(length) for length in lengths]


def test_a_room_that_closes() -> None:
    closing = close_room(_around(4200, 3100, 4200, 3100))
    assert closing.miss_mm == pytest.approx(0, abs=1e-9)
    assert isinf(closing.one_in) or closing.one_in > 1e9
    assert [(round(x), round(y)) for x, y in closing.corners] == [
        (0, 0),
        (4200, 0),
        (4200, -3100),
        (0, -3100),
    ]


def test_an_l_shaped_room_turns_left_once() -> None:
    sides = [Side(5000), Side(3000), Side(2000, -90), Side(1500), Side(3000), Side(4500)]
    closing = close_room(sides)
    assert closing.turned_deg == pytest.approx(0)
    assert closing.miss_mm == pytest.approx(0, abs=1e-9)
    assert closing.corners[4] == pytest.approx((3000, -4500))


def test_the_misclosure_is_shared_out_by_length() -> None:
    # By hand: 12 mm too long at the third side; round it is 14,612 mm, so the first side takes
    # 12 x 4200 / 14612 = 3.449 mm.
    closing = close_room(_around(4200, 3100, 4212, 3100))
    assert closing.miss == pytest.approx((-12, 0), abs=1e-9)
    assert closing.one_in == pytest.approx(14612 / 12)
    assert closing.changes_mm[0] == pytest.approx(12 * 4200 / 14612)
    assert closing.changes_mm[2] == pytest.approx(-12 * 4212 / 14612)


def test_a_turn_forgotten_is_said_and_not_spread() -> None:
    closing = close_room([Side(4000), Side(3000), Side(4000), Side(3000, 0)])
    assert closing.turned_deg == pytest.approx(-90)


SIDES = st.lists(
    st.builds(Side, st.integers(100, 9000), st.sampled_from([90.0, -90.0, 45.0, 60.0])),
    min_size=3,
    max_size=9,
)


@given(sides=SIDES)
def test_after_sharing_out_the_last_side_ends_at_the_first_corner(sides: list[Side]) -> None:
    closing = close_room(sides)
    corners = closing.corners
    lengths = [dist(a, b) for a, b in zip(corners, (*corners[1:], corners[0]), strict=True)]
    for length, side, change in zip(lengths, sides, closing.changes_mm, strict=True):
        assert length == pytest.approx(side.length_mm + change, abs=1e-6)
    assert max(map(abs, closing.changes_mm)) <= closing.miss_mm + 1e-6
