"""Holes through the lining: round, and each clear of the others."""

from __future__ import annotations

import pytest
from tests.job.two_rooms import faults, one_wall

WALL = "wall W-01 (bedroom 2), field "
RECTANGLE = "type: outer\nlength: 3000"
RISER = (
    "for a pipe through the lining; a pipe that runs up or along the wall is written as a column or beam,"
    " at which the lining stops, or not at all if it stays behind the lining."
)


@pytest.mark.parametrize(
    ("size", "said"),
    [
        (
            "width: 40, height: 2600",
            f"height: given 2600, accepted: 80 mm or less, twice the width, {RISER}",
        ),
        (
            "width: 2000, height: 15",
            f"width: given 2000, accepted: 30 mm or less, twice the height, {RISER}",
        ),
    ],
)
def test_a_pipe_that_runs_along_the_wall_is_no_hole(size: str, said: str) -> None:
    """Its hole would be a circle as wide as the pipe is long."""
    fields = f"{RECTANGLE}\nobstacles: [{{kind: pipe, x: 300, {size}}}]\nboxes: [{{x: 330, y: 1300}}]"

    assert faults(one_wall(fields)) == [f"{WALL}obstacles[0].{said}"]


def test_a_pipe_twice_as_high_as_wide_passes_at_a_slant() -> None:
    fields = f"{RECTANGLE}\nobstacles: [{{kind: pipe, x: 300, y: 300, width: 40, height: 80}}]"

    assert faults(one_wall(fields)) == []


@pytest.mark.parametrize(
    ("boxes", "said"),
    [
        (
            "{x: 300, y: 300}, {x: 340, y: 330}",
            "boxes[1]: given 306 to 374 mm along, 296 to 364 mm up, accepted: a place where box-2 is clear of"
            " box-1 (266 to 334 mm along, 266 to 334 mm up).",
        ),
        (
            "{id: A, x: 300, y: 300, count: 3}, {id: B, x: 460, y: 300}",
            "boxes[1]: given 426 to 494 mm along, 266 to 334 mm up, accepted: a place where B is clear of"
            " A (266 to 476 mm along, 266 to 334 mm up).",
        ),
        (
            "{x: 1000, y: 1000}",
            "boxes[0]: given 966 to 1034 mm along, 966 to 1034 mm up, accepted: a place where box-1 is"
            " clear of pipe-1 with its hole (1030 to 1080 mm along, 975 to 1025 mm up).",
        ),
        (
            "{x: 300, y: 300, count: 2, diameter: 74}",
            "boxes[0].pitch: given 71, accepted: 74 mm or more, the diameter of one hole.",
        ),
    ],
)
def test_holes_that_run_into_each_other(boxes: str, said: str) -> None:
    pipe = "obstacles: [{kind: pipe, x: 1035, y: 980, width: 40, height: 40}]"

    assert faults(one_wall(f"{RECTANGLE}\n{pipe}\nboxes: [{boxes}]")) == [WALL + said]


def test_holes_side_by_side_and_corner_to_corner_are_two_holes() -> None:
    """The squares round the last two overlap, the circles do not."""
    boxes = "{x: 300, y: 300}, {x: 368, y: 300}, {x: 900, y: 300}, {x: 950, y: 350}"

    assert faults(one_wall(f"{RECTANGLE}\nboxes: [{boxes}]")) == []
