"""`innerleaf check` says everything wrong at once, each with file, line, wall, field, given and accepted."""

from __future__ import annotations

from pathlib import Path

import pytest
from tests.job.two_rooms import HEAD, TWO_ROOMS, lines

from innerleaf.job.read import JobFaults, check_job, read_job

BAD = (
    HEAD
    + """\
walls:
  - id: W-03
    room: bed2
    type: outer
    length: 3000
    openings:
      - {kind: window, x: 500, width: 90, height: 900, sill: 900}
      - {type: casment, x: 800}
      - {type: casement, x: 2500}
    boxes:
      - {x: 400, y: 300}
      - {x: 1200}
  - id: W-04
    room: bed3
    lenght: 3000
    lining: warm
  - id: W-03
    room: bath
    type: outer
    length: 2.4 miles
"""
)


def test_each_sentence_and_line_stands_as_the_person_reads_it() -> None:
    assert lines(BAD) == [
        "mill.yaml:24: wall W-03 (bedroom 2), field openings[0].width: given 90, accepted: 200 mm or more.",
        "mill.yaml:25: wall W-03 (bedroom 2), field openings[1].type: given 'casment', accepted: one"
        " of the names"
        " under opening_types: casement (did you mean casement?).",
        "mill.yaml:26: wall W-03 (bedroom 2), field openings[2]: given 2500 to 3700 mm along, 850 to"
        " 2200 mm up,"
        " accepted: a place on the wall (0 to 3000 mm along, 0 to 2600 mm up).",
        "mill.yaml:29: wall W-03 (bedroom 2), field boxes[1].y: given nothing, accepted: a value,"
        " here or in its"
        " type.",
        "mill.yaml:31: wall W-04 (bed3), field room: given 'bed3', accepted: one of the ids of"
        " rooms: bed2, bath"
        " (did you mean bed2?).",
        "mill.yaml:32: wall W-04 (bed3), field lenght: given an unknown field, accepted: one of"
        " length, height,"
        " outline, dado, meets, edges, head_moves, other_side, construction, openings, obstacles,"
        " boxes, loads,"
        " offsets, building_joints, orientation, rain_exposure, wood_ends, damp, moisture_reading,"
        " anchor_pull, separates, wet,"
        " questions, flank_insulation, flank_width, lining, lining_changes, targets, type, id, name, room"
        " (did you mean length?).",
        "mill.yaml:34: wall W-03 (bathroom), field id: given 'W-03', accepted: an id used once (also"
        " in line 19).",
        "mill.yaml:37: wall W-03 (bathroom), field length: given '2.4 miles', accepted: a length up"
        " to 10 km such"
        " as 2600, 2.6 m, 24 in, 3/8 in or 9' 6 1/2\".",
    ]


def test_a_fault_has_its_parts_for_machines(tmp_path: Path) -> None:
    path = tmp_path / "job.yaml"
    path.write_text(BAD, encoding="utf-8")

    first = check_job(path)[0].as_dict()

    assert first == {
        "file": str(path),
        "line": 24,
        "column": 39,
        "wall": "W-03",
        "room": "bedroom 2",
        "field": "openings[0].width",
        "given": "90",
        "accepted": "200 mm or more",
        "sentence": f"{path}:24: wall W-03 (bedroom 2), field openings[0].width: given 90,"
        " accepted: 200 mm or more.",
    }


def test_reading_raises_what_checking_lists(tmp_path: Path) -> None:
    path = tmp_path / "job.yaml"
    path.write_text(BAD, encoding="utf-8")

    with pytest.raises(JobFaults) as error:
        read_job(path)

    assert list(error.value.details) == check_job(path)


def test_a_job_without_faults_has_none() -> None:
    assert lines(TWO_ROOMS) == []


def test_what_is_wrong_in_a_type_is_said_once_though_many_walls_use_it() -> None:
    text = TWO_ROOMS.replace("{way: bracketed, profile: CD-60-27", "{way: bracketed, profile: CD-60-72")

    assert lines(text) == [
        "mill.yaml:6: lining warm, field profile: given 'CD-60-72', accepted: one of the channels of"
        " the practice"
        " set: CD-60-27 (did you mean CD-60-27?)."
    ]


def test_a_field_that_is_given_wrongly_is_not_also_called_missing() -> None:
    text = TWO_ROOMS.replace("kind: window, width: 1200", "kind: windov, width: 1200")

    assert lines(text) == [
        "mill.yaml:9: opening type casement, field kind: given 'windov', accepted: one of window, door, niche"
        " (did you mean window?)."
    ]


def test_what_is_left_out_takes_only_its_own_wall_with_it() -> None:
    """A wall that is no wall, one whose room is no name, and one that can still be checked."""
    text = TWO_ROOMS.replace("walls:\n", "walls:\n  - 5\n  - {id: W-00, room: [], length: 3000}\n").replace(
        "x: 1500", "x: 3500"
    )

    assert [line.split(": given")[0] for line in lines(text)] == [
        "mill.yaml:19: wall 1 of the list",
        "mill.yaml:20: wall W-00, field lining",
        "mill.yaml:20: wall W-00, field room",
        "mill.yaml:27: wall W-01 (bedroom 2), field openings[0]",
    ]


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "mill.yaml:1: the file is empty."),
        ("format: 1\nsite: {name: a\n", "mill.yaml:3: this cannot be read: "),
        ("- 1\n", "mill.yaml:1: job: given [1], accepted: a group of fields (name: value)."),
        ("format: 1\n", "mill.yaml:1: site: given nothing, accepted: a value, it cannot be left out."),
        (
            "format: 2\nsite: {name: a}\n",
            "mill.yaml:1: job, field format: given 2, accepted: 1, the only version",
        ),
        ("site: {name: a}\n", "mill.yaml:1: job, field format: given nothing, accepted: a value, it cannot"),
        (
            "format: ~\nsite: ~\nlinings: ~\n",
            "mill.yaml:1: job, field format: given nothing, accepted: 1, the only version",
        ),
        (
            "format: 1\nsite: {}\n",
            "mill.yaml:2: site, field name: given nothing, accepted: a value, it cannot",
        ),
        (
            "format: 1\nsite: {name: a, practice: en_metrik}\n",
            "mill.yaml:2: site, field practice: given 'en_metrik'",
        ),
        (
            "format: 1\nsite: {name: a}\nfirm: {practice: no.yaml}\n",
            "mill.yaml:3: firm, field practice: given 'no",
        ),
        (
            "format: 1\nsite: {name: a, climate: {temperature: [1, 2]}}\n",
            "mill.yaml:2: site, field climate.temp",
        ),
        (
            "format: 1\nsite: {name: a}\nwalls: {}\n",
            "mill.yaml:3: job, field walls: given an empty group, accepted: a",
        ),
        (
            "format: 1\nsite: {name: a}\nwalls: [5]\n",
            "mill.yaml:3: wall 1 of the list: given 5, accepted: a group of",
        ),
        (
            "format: 1\nsite: {name: a}\nlinings: {a b: {}}\n",
            "mill.yaml:3: lining a b: given 'a b', accepted: a name",
        ),
    ],
)
def test_the_first_fault_of_a_file_that_is_no_job(text: str, said: str) -> None:
    assert lines(text)[0].startswith(said)
