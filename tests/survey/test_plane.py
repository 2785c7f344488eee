"""The surveyed face: what the frame has to clear, and what a bracket has to reach."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.job.two_rooms import TWO_ROOMS, one_wall, read

from innerleaf.practice.load import load_practice
from innerleaf.survey.build import survey
from innerleaf.survey.plane import greatest_offset_mm, least_offset_mm, offset_at, wall_offset_mm
from innerleaf.survey.wall import OffsetGrid

GRID = OffsetGrid(xs_mm=(0, 1000, 3000), ys_mm=(0, 2000), offsets_mm=((0, 10, 4), (20, 30, -6)))
SURVEYED = (
    "type: outer\nlength: 3000\noffsets: {x: [0, 1000, 3000], y: [0, 2000], rows: [[0, 10, 4], [20, 30, -6]]}"
)


@pytest.mark.parametrize(
    ("x", "y", "offset"),
    [
        (0, 0, 0),
        (1000, 0, 10),
        (3000, 2000, -6),
        (500, 0, 5),
        (0, 1000, 10),
        (500, 1000, 15),
        (2000, 2000, 12),
    ],
)
def test_between_the_places_of_the_grid_the_face_is_interpolated(x: float, y: float, offset: float) -> None:
    assert offset_at(GRID, x, y) == pytest.approx(offset)


def test_beyond_the_grid_the_nearest_place_counts() -> None:
    assert offset_at(GRID, -50, -50) == 0
    assert offset_at(GRID, 9000, 9000) == -6
    assert offset_at(GRID, 1000, 9000) == 30


def test_one_place_is_survey_enough() -> None:
    assert offset_at(OffsetGrid(xs_mm=(500,), ys_mm=(900,), offsets_mm=((7,),)), 0, 2600) == 7


def test_without_a_survey_the_face_is_flat() -> None:
    wall = survey(read(TWO_ROOMS), load_practice())[0]

    assert (wall_offset_mm(wall, 500, 500), greatest_offset_mm(wall), least_offset_mm(wall)) == (0, 0, 0)


@given(st.floats(-500, 3500), st.floats(-500, 2600))
def test_no_place_is_above_the_greatest_or_below_the_least_offset(x: float, y: float) -> None:
    wall = survey(read(one_wall(SURVEYED)), load_practice())[0]

    assert greatest_offset_mm(wall) == 30
    assert least_offset_mm(wall) == -6
    assert -6 - 1e-9 <= wall_offset_mm(wall, x, y) <= 30 + 1e-9
