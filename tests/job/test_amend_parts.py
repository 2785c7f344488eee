"""Rooms and walls copied, renamed, taken away: the job stays whole, and what was not touched as it was."""

from __future__ import annotations

import difflib
from pathlib import Path

import pytest

from innerleaf.errors import InputError
from innerleaf.job import amend_parts as amend
from innerleaf.job.model import Job
from innerleaf.job.read import read_job_text
from innerleaf.reading import read_text
from innerleaf.writing import Change, changed

TEXT = """\
# Invented.
format: 1
site: {name: Three rooms (invented)}
constructions: {brick: [{material: brick-1800, thickness: 240}]}
linings: {warm: {way: stud and track, profile: CW-75, boards: [board-A-12.5], insulation: [wool-60]}}
choose:
  align: [[W1, W2], [W1, W3]] # in line
rooms:
  - id: living # the large one
    height: 2600
    sides: [{wall: W1}, {length: 3000, beyond: kitchen}, {length: 4200}, {wall: W2}]
  - {id: kitchen, height: 2500, sides: [{length: 900, beyond: living}, {length: 900}, {length: 900}]}
walls:
  - {id: W1, room: living, construction: brick, lining: warm, length: 4200} # street
  - {id: W2, room: living, construction: brick, lining: warm, length: 3000}
  - id: W3
    room: kitchen
    construction: brick
    lining: warm
    length: 900
"""
READ = read_text(TEXT, "job.yaml").checked()


def _after(changes: tuple[Change, ...]) -> tuple[str, Job]:
    text, _ = changed(TEXT, READ, changes)
    return text, read_job_text(text, Path("job.yaml"))


def _lines(text: str) -> list[str]:
    lines = difflib.unified_diff(TEXT.splitlines(), text.splitlines(), n=0, lineterm="")
    return [line for line in lines if line[0] in "+-" and line[:3] not in ("+++", "---")]


def test_a_wall_renamed_is_renamed_wherever_it_is_spoken_of() -> None:
    text, job = _after(amend.renamed_wall(READ.value, "W1", "street"))
    assert [wall.id for wall in job.walls] == ["street", "W2", "W3"]
    assert text == TEXT.replace("W1", "street")


def test_a_room_renamed_takes_its_walls_along() -> None:
    text, job = _after(amend.renamed_room(READ.value, "kitchen", "galley"))
    assert text == TEXT.replace("kitchen", "galley")
    assert [wall.room.id for wall in job.walls] == ["living", "living", "galley"]


def test_a_wall_copied_is_one_line_more_and_equal_but_for_its_id() -> None:
    text, job = _after(amend.copied_wall(READ.value, "W3", "W4"))
    assert len(_lines(text)) == 1
    three, four = (next(wall for wall in job.walls if wall.id == name) for name in ("W3", "W4"))
    assert (four.room, four.construction) == (three.room, three.construction)


def test_a_room_copied_brings_its_walls_and_speaks_of_its_own() -> None:
    text, job = _after(amend.copied_room(READ.value, "living", "parlour"))
    assert [wall.id for wall in job.walls] == ["W1", "W2", "W3", "parlour-1", "parlour-2"]
    assert "beyond: kitchen" not in "".join(line for line in _lines(text) if "parlour" in line)
    assert all(line.startswith("+") for line in _lines(text))


def test_a_wall_taken_away_leaves_its_length_to_the_side() -> None:
    text, job = _after(amend.without_wall(READ.value, "W1"))
    assert [wall.id for wall in job.walls] == ["W2", "W3"]
    assert "{length: 4200}, {length: 3000, beyond: kitchen}" in text
    assert "W1" not in text


def test_a_room_taken_away_takes_its_walls() -> None:
    text, job = _after(amend.without_room(READ.value, "kitchen"))
    assert [wall.id for wall in job.walls] == ["W1", "W2"]
    assert "kitchen" not in text
    assert "# the large one" in text


@pytest.mark.parametrize("change", [amend.without_wall, amend.without_room])
def test_what_is_not_there_is_said(change: object) -> None:
    with pytest.raises(InputError, match="one of"):
        change(READ.value, "W9")  # type: ignore[operator]


def test_an_id_is_given_once() -> None:
    with pytest.raises(InputError, match="an id that no other has"):
        amend.copied_wall(READ.value, "W1", "W2")
