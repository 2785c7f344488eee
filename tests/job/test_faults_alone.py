"""One bad value is one fault: what rests on it is not judged, and what does not is told all the same."""

from __future__ import annotations

import copy
import json
from typing import Any

import pytest
import yaml
from tests.job.test_hostile import places
from tests.job.two_rooms import HEAD, TWO_ROOMS, faults, one_wall

from innerleaf.job.starter import starter_text

WALL = "wall W-01 (bedroom 2), field "
RECTANGLE = "type: outer\nlength: 3000"
HIGH_WINDOW = "openings: [{kind: window, width: 1000, height: 1000, sill: 1900, x: 500}]"


def heads(text: str) -> list[str]:
    """What the faults are about and what was given."""
    return [fault.split(", accepted")[0] for fault in faults(text)]


@pytest.mark.parametrize(
    ("fields", "alone"),
    [
        pytest.param(
            f"{RECTANGLE}\noffsets: {{x: [0, 1500, 3000], y: [0], rows: [[0, 800, 0]]}}",
            "offsets.rows[0][1]: given 800",
            id="a row is as long as before",
        ),
        pytest.param(
            f"{RECTANGLE}\noffsets: {{x: [0, far, 3000], y: [0], rows: [[0, 8, 0]]}}",
            "offsets.x[1]: given 'far'",
            id="places of a survey keep their number and are not put in order",
        ),
        pytest.param(
            f"{RECTANGLE}\noffsets: {{x: [0, 3000], y: [0, 900], rows: [[0, 1], 5]}}",
            "offsets.rows[1]: given 5",
            id="a row that is none counts as a row",
        ),
        pytest.param(
            "type: outer\noutline: [[0, 0], [3000, 0], [3000, high], [0, 2600]]\n"
            "edges: [screed, masonry, concrete slab, masonry]\n"
            "openings: [{kind: window, width: 1000, height: 1000, sill: 900, x: 1900}]",
            "outline[2]: given [3000, 'high']",
            id="nothing lies outside an outline with a bad corner",
        ),
        pytest.param(
            "type: outer\noutline: [[0, 0], [3000, 0], [3000, 2600]]\nedges: [screed, wall, roof slope]",
            "edges[1]: given 'wall'",
            id="words for sides keep their number",
        ),
        pytest.param(
            f"type: outer\nlength: 3000\nheight: tall\n{HIGH_WINDOW}",
            "height: given 'tall'",
            id="the height of the room does not stand in for a bad one",
        ),
        pytest.param(
            "lining: quiet\nlength: 3000\nheight: 5000\nlining_changes: {build: dubble}",
            "lining_changes.build: given 'dubble'",
            id="how high a stud may be is not asked of a build unknown",
        ),
        pytest.param(
            f"{RECTANGLE}\nobstacles: [{{kind: pip, x: 300, height: 50}}]",
            "obstacles[0].kind: given 'pip'",
            id="what an unknown obstacle needs is not asked",
        ),
        pytest.param(
            "type: outer\nlength: 3000\nheight: 5000\ndado: low\nlining: quiet",
            "dado: given 'low'",
            id="how high a wall stands with a bad dado is not known",
        ),
    ],
)
def test_what_rests_on_a_bad_value_of_a_wall_is_not_told(fields: str, alone: str) -> None:
    assert heads(one_wall(fields)) == [WALL + alone]


@pytest.mark.parametrize(
    ("lining", "alone"),
    [
        pytest.param(
            "way: bracketed, profile: CD-60-27, boards: [board-A-12.5], gap: wide,"
            " insulation_behind: [wool-60]",
            ["gap: given 'wide'"],
            id="insulation behind a gap unknown",
        ),
        pytest.param(
            "way: stud and trac, profile: CW-75, boards: [board-A-12.5], bracket: bracket-20-75",
            ["way: given 'stud and trac'"],
            id="profile and bracket of a way unknown",
        ),
        pytest.param(
            "way: stud and track, profile: CD-60-27, spacing: 500, insulation: [wool-60],"
            " boards: [board-A-12.5, board-A-13, board A, board-A-12.5, board-A-12.5]",
            [
                "profile: given 'CD-60-27'",
                "spacing: given 500",
                "boards: given a list of 5",
                "boards[1]: given 'board-A-13'",
                "boards[2]: given 'board A'",
            ],
            id="a channel as a stud, a spacing of no board, five boards of which two are none",
        ),
        pytest.param(
            "way: bracketed, boards: [board-A-13, board A], gap: 300",
            [
                "profile: given nothing",
                "boards[0]: given 'board-A-13'",
                "boards[1]: given 'board A'",
                "gap: given 300",
            ],
            id="no profile, two bad boards, a gap too wide",
        ),
        pytest.param(
            "way: bracketed, profile: CD-60-27, boards: [], board_width: 1500",
            ["boards: given a list of 0", "board_width: given 1500"],
            id="no board, and a width that cannot be bought",
        ),
    ],
)
def test_every_fault_of_a_lining_is_told_and_none_that_follows(lining: str, alone: list[str]) -> None:
    text = one_wall(RECTANGLE, head=HEAD.replace("linings:\n", f"linings:\n  odd: {{{lining}}}\n"))

    assert sorted(heads(text)) == sorted(f"lining odd, field {fault}" for fault in alone)


def test_the_thickness_of_a_wall_is_unknown_with_a_layer_that_has_none() -> None:
    head = HEAD.replace("thickness: 365", "thickness: thick").replace("gypsum-plaster-1300", "plastr")
    window = "openings: [{type: casement, x: 900, sill: 850}]"

    assert heads(one_wall(f"{RECTANGLE}\n{window}", head=head)) == [
        "construction brick, field [0].thickness: given 'thick'",
        "construction brick, field [1].material: given 'plastr'",
    ]


def test_faults_that_stand_on_their_own_are_told_beside_a_bad_id_room_length_or_place() -> None:
    wall = """\
walls:
  - id: W 01
    room: [bed2]
    type: outer
    length: long
    openings:
      - {kind: window, x: left, width: 900, height: 900, sill: 900, reveal: 900}
      - {kind: window, x: 500, width: 900, height: 900, sill: 900}
      - {kind: window, x: 900, width: 900, height: 900, sill: 900}
    boxes: [{id: A, x: 300, y: low}, {id: A, x: 900}]
    lining_changes: {boards: [board-A-13], spacing: near}
"""

    assert [fault.split(", field ")[1] for fault in heads(HEAD + wall)] == [
        "id: given 'W 01'",
        "room: given ['bed2']",
        "length: given 'long'",
        "openings[0].x: given 'left'",
        "openings[0].reveal: given 900",
        "openings[2]: given 900 to 1800 mm along, 900 to 1800 mm up",
        "boxes[0].y: given 'low'",
        "boxes[1].y: given nothing",
        "boxes[1].id: given 'A'",
        "lining_changes.boards[0]: given 'board-A-13'",
        "lining_changes.spacing: given 'near'",
    ]


@pytest.mark.parametrize("text", [starter_text(), TWO_ROOMS], ids=["starter", "two rooms"])
@pytest.mark.parametrize("bad", ["???", 1e9, True])
def test_one_value_that_cannot_be_used_is_never_more_than_one_fault(text: str, bad: object) -> None:
    tree = yaml.safe_load(text)
    told: dict[Any, list[str]] = {}
    for place in places(tree)[1:]:
        changed = copy.deepcopy(tree)
        around = changed
        for step in place[:-1]:
            around = around[step]
        around[place[-1]] = bad
        told[place] = faults(json.dumps(changed))

    assert {place: said for place, said in told.items() if len(said) > 1} == {}
    assert sum(map(len, told.values())) > len(told) / 2


def test_walls_whose_room_has_a_bad_height_or_id_are_not_told_so() -> None:
    """Its walls lack no height, and their room is not unknown."""
    high = HEAD.replace('name: bedroom 2, storey: "1", height: 2600', "name: bedroom 2, height: tall")
    nameless = HEAD.replace("{id: bed2,", "{id: bed 2,")

    assert heads(one_wall(RECTANGLE, head=high)) == ["room bed2, field height: given 'tall'"]
    assert heads(one_wall(RECTANGLE, head=nameless)) == ["room bed 2, field id: given 'bed 2'"]


def test_a_bad_name_of_a_lining_does_not_make_it_unknown() -> None:
    assert heads(one_wall(RECTANGLE, head=HEAD.replace("  warm:", "  warm one:"))) == [
        "lining warm one: given 'warm one'"
    ]
