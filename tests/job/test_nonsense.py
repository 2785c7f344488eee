"""What cannot be on a wall, or in a lining, is a fault of the job file."""

from __future__ import annotations

import pytest
from tests.job.two_rooms import HEAD, faults, one_wall

WALL = "wall W-01 (bedroom 2), field "
RECTANGLE = "type: outer\nlength: 3000"
GABLE = "type: outer\noutline: [[0, 0], [4000, 0], [4000, 1000], [2000, 3000], [0, 1000]]"
ON_RECTANGLE = "accepted: a place on the wall (0 to 3000 mm along, 0 to 2600 mm up)."
ON_GABLE = (
    "accepted: a place on the wall (0 to 4000 mm along, 0 to 3000 mm up, within the slopes and steps of the"
    " outline)."
)
WINDOW = "kind: window, width: 1000, height: 1000"
CROSSING = "accepted: corners in order round the wall, whose sides meet only at the corners."


@pytest.mark.parametrize(
    ("fields", "said"),
    [
        pytest.param(
            f"{RECTANGLE}\nopenings: [{{{WINDOW}, sill: 900, x: 2500}}]",
            f"openings[0]: given 2500 to 3500 mm along, 900 to 1900 mm up, {ON_RECTANGLE}",
            id="an opening past the end of the wall",
        ),
        pytest.param(
            f"{RECTANGLE}\nopenings: [{{{WINDOW}, sill: 1700, x: 500}}]",
            f"openings[0]: given 500 to 1500 mm along, 1700 to 2700 mm up, {ON_RECTANGLE}",
            id="an opening through the ceiling",
        ),
        pytest.param(
            f"{GABLE}\nopenings: [{{{WINDOW}, sill: 900, x: 500}}]",
            f"openings[0]: given 500 to 1500 mm along, 900 to 1900 mm up, {ON_GABLE}",
            id="an opening through the slope of a gable",
        ),
        pytest.param(
            f"{RECTANGLE}\nopenings: [{{{WINDOW}, sill: 900, x: 500}}, {{{WINDOW}, sill: 900, x: 1400}}]",
            "openings[1]: given 1400 to 2400 mm along, 900 to 1900 mm up, accepted: a place clear of window-1"
            " (500 to 1500 mm along, 900 to 1900 mm up).",
            id="openings that overlap",
        ),
        pytest.param(
            f"{RECTANGLE}\nopenings: [{{{WINDOW}, sill: 900, x: 500}}]\n"
            "obstacles: [{kind: column, x: 1400, width: 300, projection: 80}]",
            "openings[0]: given 500 to 1500 mm along, 900 to 1900 mm up, accepted: a place clear of column-1"
            " (1400 to 1700 mm along, 0 to 2600 mm up).",
            id="an opening behind a column",
        ),
        pytest.param(
            f"{RECTANGLE}\nopenings: [{{{WINDOW}, sill: 900, x: 500, reveal: -50}}]",
            "openings[0].reveal: given -50, accepted: 0 mm or more.",
            id="a negative reveal",
        ),
        pytest.param(
            f"{RECTANGLE}\nopenings: [{{{WINDOW}, sill: 900, x: 500, reveal: 400}}]",
            "openings[0].reveal: given 400, accepted: 380 mm or less, the thickness of the wall.",
            id="a reveal deeper than the wall",
        ),
        pytest.param(
            f"{RECTANGLE}\nboxes: [{{x: 20, y: 300}}]",
            f"boxes[0]: given -14 to 54 mm along, 266 to 334 mm up, {ON_RECTANGLE}",
            id="a box over the end of the wall",
        ),
        pytest.param(
            f"{RECTANGLE}\nopenings: [{{{WINDOW}, sill: 900, x: 500}}]\nboxes: [{{x: 1500, y: 1000}}]",
            "boxes[0]: given 1466 to 1534 mm along, 966 to 1034 mm up, accepted: a place clear of window-1"
            " (500 to 1500 mm along, 900 to 1900 mm up).",
            id="a box in an opening",
        ),
        pytest.param(
            f"{RECTANGLE}\nloads: [{{x: 2500, y: 1500, width: 800, mass: 20, depth: 150}}]",
            f"loads[0]: given 2500 to 3300 mm along, fixed 1500 mm up, {ON_RECTANGLE}",
            id="a hung load past the end of the wall",
        ),
        pytest.param(
            f"{RECTANGLE}\nobstacles: [{{kind: radiator, x: 2500, y: 100, width: 800, height: 600}}]",
            f"obstacles[0]: given 2500 to 3300 mm along, 100 to 700 mm up, {ON_RECTANGLE}",
            id="a radiator past the end of the wall",
        ),
        pytest.param(
            f"{RECTANGLE}\nobstacles: [{{kind: column, x: 3000, width: 300}}]",
            f"obstacles[0]: given 3000 to 3300 mm along, 0 to 2600 mm up, {ON_RECTANGLE}",
            id="a column beside the wall",
        ),
        pytest.param(
            f"{RECTANGLE}\nobstacles: [{{kind: pipe, x: 300, y: 100, height: 50}}]",
            "obstacles[0].width: given nothing, accepted: the width of the pipe in mm.",
            id="a pipe without a size",
        ),
        pytest.param(
            f"{RECTANGLE}\noffsets: {{x: [0, 3000], y: [0, 2600], rows: [[0, 1], [2]]}}",
            "offsets.rows[1]: given 1 numbers, accepted: 2 numbers, one for each place in x.",
            id="a ragged survey",
        ),
        pytest.param(
            f"{RECTANGLE}\noffsets: {{x: [0, 3000], y: [0, 2600], rows: [[0, 1]]}}",
            "offsets.rows: given 1 rows, accepted: 2 rows, one for each height in y.",
            id="a survey that lacks a row",
        ),
        pytest.param(
            f"{RECTANGLE}\noffsets: {{x: [0, 3100], y: [0], rows: [[0, 1]]}}",
            "offsets.x: given [0, 3100], accepted: places on the wall, 0 to 3000 mm.",
            id="a survey beside the wall",
        ),
        pytest.param(
            f"{RECTANGLE}\noffsets: {{x: [0, 900, 600], y: [0], rows: [[0, 1, 2]]}}",
            "offsets.x: given [0, 900, 600], accepted: places in rising order, none twice.",
            id="a survey out of order",
        ),
        pytest.param(
            f"{RECTANGLE}\nbuilding_joints: [1500, 3000]",
            "building_joints[1]: given 3000, accepted: a place between the ends of the wall, 0 to 3000 mm.",
            id="a building joint at the end of the wall",
        ),
        pytest.param(
            f"{RECTANGLE}\nbuilding_joints: [3000, 1500]",
            "building_joints[0]: given 3000, accepted: a place between the ends of the wall, 0 to 3000 mm.",
            id="a building joint at the end of the wall, said before another",
        ),
        pytest.param(
            f"{RECTANGLE}\nboxes: [{{id: A, x: 300, y: 300}}, {{id: a, x: 900, y: 300}}]",
            "boxes[1].id: given 'a', accepted: an id used once on the wall.",
            id="a mark used twice",
        ),
        pytest.param(
            "type: outer\noutline: [[0, 0], [3000, 2000], [3000, 0], [0, 2000]]",
            f"outline: given side 1 crossing or touching side 3, {CROSSING}",
            id="an outline that crosses itself",
        ),
        pytest.param(
            "type: outer\noutline: [[0, 0], [3000, 0], [1000, 0]]",
            f"outline: given corners in one line, {CROSSING}",
            id="an outline without area",
        ),
        pytest.param(
            "type: outer\noutline: [[0, 0], [3000, 0], [3000, 0], [0, 2000]]",
            f"outline: given corner 2 twice in a row, {CROSSING}",
            id="a corner given twice",
        ),
        pytest.param(
            "type: outer\noutline: [[0, 0], [50, 0], [50, 2000], [0, 2000]]",
            "outline: given 50 by 2000 mm, accepted: 100 to 100000 mm each way.",
            id="an outline too narrow to be a wall",
        ),
        pytest.param(
            "type: outer\nlength: 3000\noutline: [[0, 0], [3000, 0], [3000, 2000]]",
            "length: given both length and outline, accepted: either an outline, or length and height.",
            id="two shapes at once",
        ),
        pytest.param(
            "type: outer\noutline: [[0, 0], [3000, 0], [3000, 2000]]\nedges: [screed, masonry]",
            "edges: given 2 words, accepted: 3 words, one for each side of the outline.",
            id="too few words for the sides",
        ),
        pytest.param(
            "type: outer\noutline: [[0, 0], [3000, 0], [3000, 2000], [1500, 900], [0, 2000]]\ndado: 1000",
            "dado: given 1000, accepted: a height between 0 and 2000 mm at which the lining stays in"
            " one piece.",
            id="a dado that cuts the lining in two",
        ),
        pytest.param(
            "lining: quiet\nlength: 3000\nheight: 3600",
            "height: given 3600 mm for the tallest stud, accepted: 3500 mm or less with single"
            " CW-75; high enough:"
            " CW-100.",
            id="a stud too high for its profile",
        ),
        pytest.param(
            "lining: quiet\nlength: 3000\nheight: 5000",
            "height: given 5000 mm for the tallest stud, accepted: 3500 mm or less with single"
            " CW-75; high enough:"
            " doubled CW-100.",
            id="a stud too high for every single profile",
        ),
        pytest.param(
            "lining: quiet\nlength: 3000\nheight: 9 m",
            "height: given 9000 mm for the tallest stud, accepted: 3500 mm or less with single"
            " CW-75; no profile"
            " of the practice set is high enough.",
            id="a stud too high for every profile",
        ),
        pytest.param(
            "lining: warm\nlength: 3000\nconstruction: brik",
            "construction: given 'brik', accepted: one of the names under constructions: brick (did you mean"
            " brick?).",
            id="an unknown construction",
        ),
        pytest.param(
            "lining: wram\nlength: 3000",
            "lining: given 'wram', accepted: one of the names under linings: warm, quiet, choose"
            " (did you mean"
            " warm?).",
            id="an unknown lining",
        ),
        pytest.param(
            "length: 3000",
            "lining: given nothing, accepted: one of the names under linings: warm, quiet, choose.",
            id="no lining at all",
        ),
        pytest.param(
            "lining: warm",
            "length: given nothing, accepted: the length of the wall in mm (or an outline).",
            id="no length",
        ),
    ],
)
def test_nonsense_on_a_wall(fields: str, said: str) -> None:
    assert faults(one_wall(fields)) == [WALL + said]


def test_a_window_right_under_the_slope_of_a_gable_is_none_of_it() -> None:
    touching = f"{GABLE}\nopenings: [{{kind: window, width: 1000, height: 1000, sill: 1500, x: 1500}}]"

    assert faults(one_wall(touching)) == []


def test_a_full_height_door_and_a_window_at_the_wall_end_are_no_nonsense() -> None:
    fields = f"{RECTANGLE}\nopenings: [{{kind: door, x: 0, width: 900, height: 2600}}]"

    assert faults(one_wall(fields)) == []


@pytest.mark.parametrize(
    ("lining", "said"),
    [
        pytest.param(
            "way: bracketed, profile: CW-75, boards: [board-A-12.5]",
            "profile: given 'CW-75', accepted: one of the channels of the practice set: CD-60-27.",
            id="a stud in a bracketed lining",
        ),
        pytest.param(
            "way: bracketed, profile: CD-60-27, boards: [board-A-13]",
            "boards[0]: given 'board-A-13', accepted: one of the boards of the practice set: board-A-9.5,"
            " board-A-12.5, board-A-15, board-H-12.5, board-D-12.5, board-F-12.5, board-A-9.5x1250,"
            " board-A-12.5x1250 and 4 more (did you mean board-A-15?).",
            id="a board nobody sells",
        ),
        pytest.param(
            "way: bracketed, profile: CD-60-27, boards: [board-A-12.5], board_width: 1500",
            "board_width: given 1500, accepted: 1200 mm, the width of board-A-12.5 (the widest board"
            " that can be"
            " bought has 1250 mm).",
            id="a board wider than can be bought",
        ),
        pytest.param(
            "way: bracketed, profile: CD-60-27, boards: [board-A-12.5, board-A-12.5x1250]",
            "boards[1]: given board-A-12.5x1250, 1250 mm wide, accepted: boards as wide as the first layer,"
            " 1200 mm.",
            id="layers of different widths",
        ),
        pytest.param(
            "way: bracketed, profile: CD-60-27, boards: [board-A-12.5], spacing: 500",
            "spacing: given 500, accepted: a whole part of the board width 1200 mm: 1200, 600, 400, 300 mm.",
            id="a spacing that boards do not end on",
        ),
        pytest.param(
            "way: stud and track, profile: CW-50, boards: [board-A-12.5], insulation: [wool-60]",
            "insulation: given 60 mm, accepted: 50 mm or less, the depth of CW-50.",
            id="insulation thicker than the studs are deep",
        ),
        pytest.param(
            "way: bracketed, profile: CD-60-27, boards: [board-A-12.5], gap: 50, insulation_behind:"
            " [wool-60]",
            "insulation_behind: given 60 mm, accepted: 50 mm or less, the gap behind the frame.",
            id="insulation thicker than the gap",
        ),
        pytest.param(
            "way: bracketed, profile: CD-60-27, boards: [board-A-12.5], gap: 100, bracket: bracket-20-75",
            "bracket: given bracket-20-75, which reaches 75 mm, accepted: a bracket that reaches"
            " over the gap of"
            " 100 mm (bracket-60-125).",
            id="a bracket too short for the gap",
        ),
        pytest.param(
            "way: bracketed, profile: CD-60-27, boards: [board-A-12.5], gap: 300",
            "gap: given 300, accepted: 200 mm or less, the reach of the longest bracket bracket-110-200.",
            id="a gap that no bracket reaches over",
        ),
        pytest.param(
            "way: stud and track, profile: CW-50, boards: [board-A-12.5], bracket: bracket-20-75",
            "bracket: given 'bracket-20-75', accepted: no bracket in a stud-and-track lining.",
            id="a bracket where nothing touches the wall",
        ),
        pytest.param(
            "way: bracketed, boards: [board-A-12.5]",
            "profile: given nothing, accepted: a value, it cannot be left out.",
            id="a lining not given in full",
        ),
    ],
)
def test_nonsense_in_a_lining(lining: str, said: str) -> None:
    text = one_wall(
        "type: outer\nlength: 3000", head=HEAD.replace("linings:\n", f"linings:\n  odd: {{{lining}}}\n")
    )

    assert faults(text) == [f"lining odd, field {said}"]
