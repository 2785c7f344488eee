"""Jobs of the store are read, changed and planned as the files they are made of."""

from __future__ import annotations

from typing import Any

import pytest
from tests.web.conftest import SMALL

from innerleaf.errors import FileFaults, InputError
from innerleaf.job.amend import field_of_wall
from innerleaf.job.read import read_job
from innerleaf.layout.plan import plan_wall
from innerleaf.store.history import asides, revisions
from innerleaf.store.model import ChangedMeanwhile
from innerleaf.web.demo import demo_files
from innerleaf.web.desk import JOB_FILE, Desk, Opened


def _alike(one: Opened, other: Opened) -> bool:
    """All but where the files lie."""
    walls = one.walls == other.walls and one.said == other.said
    written = list(one.job.walls) == list(other.job.walls)
    return walls and written and one.job.positions == other.job.positions and one.number == other.number


def test_a_job_comes_out_as_it_went_in(desk: Desk, demo: str) -> None:
    assert desk.files(demo) == {name: text for name, text in demo_files().items() if name in desk.files(demo)}
    assert {JOB_FILE, "our-practice.yaml", "prices.yaml"} <= set(desk.files(demo))


def test_a_job_of_the_store_reads_as_its_files(desk: Desk, demo: str) -> None:
    opened = desk.open(demo)
    from_disk = read_job(opened.file)
    assert from_disk == opened.job
    assert opened.practice.rules.bracket_spacing_max_mm == 1250  # what the firm's own file says


@pytest.mark.parametrize(
    ("wall", "field", "value"),
    [
        ("W1", "openings", [{"type": "sash", "x": 1500}]),
        ("W1", "boxes", [{"x": 3000, "y": 300}, {"x": 300, "y": 1050}]),
        ("W2", "length", "3.2 m"),
        ("W2", "lining", "choose"),
        ("W3", "lining", "warm"),
        ("W1", "name", "to the street"),
    ],
)
def test_a_quick_edit_is_what_reading_everything_again_gives(
    desk: Desk, small: str, wall: str, field: str, value: Any
) -> None:
    edited = desk.set_field(small, 1, wall, field, value, who="Ben")
    quick = desk.open(small)
    afresh = Desk(desk.engine, desk.folder / "again").open(small)
    assert _alike(quick, afresh)
    assert quick.number == edited.opened.number == 2
    assert field_of_wall(quick.said.value, quick.written(wall), field) == value
    surveyed = afresh.walls[wall]
    assert edited.plan == (plan_wall(surveyed, afresh.practice) if surveyed.lining.boards else None)
    again = desk.set_field(small, 2, wall, "name", "once more", who="Ben")
    assert _alike(desk.open(small), Desk(desk.engine, desk.folder / "third").open(small))
    assert again.opened.number == 3


@pytest.mark.parametrize(
    ("wall", "field", "value"),
    [
        ("F12-liv-5", "openings", [{"kind": "window", "x": 700, "width": 900, "height": 1000, "sill": 900}]),
        ("F21-bath-2", "boxes", [{"x": 700, "y": 300}]),
        ("F21-liv-3", "name", "moved"),
        ("F11-kit-1", "lining", "quiet"),
    ],
)
def test_a_quick_edit_of_a_flat_type_is_that_of_all_its_flats(
    desk: Desk, demo: str, wall: str, field: str, value: Any
) -> None:
    edited = desk.set_field(demo, 1, wall, field, value, who="Ben")
    afresh = Desk(desk.engine, desk.folder / "again").open(demo)
    assert _alike(desk.open(demo), afresh)
    assert edited.plan is not None
    assert edited.plan.wall == afresh.walls[wall]


def test_comments_of_the_person_stay(desk: Desk, small: str) -> None:
    desk.set_field(small, 1, "W1", "openings", [{"type": "sash", "x": 950}], who="Ben")
    assert desk.open(small).revision.text == SMALL.replace("x: 800", "x: 950")


def test_the_history_says_what_was_done(desk: Desk, small: str) -> None:
    desk.set_field(small, 1, "W2", "length", 3100, who="Ben")
    desk.bring_back(small, 1, who="Cas")
    told = [(line.number, line.who, line.what) for line in revisions(desk.engine, small)]
    assert told == [(3, "Cas", "revision 1 brought back"), (2, "Ben", "wall W2: length"), (1, "Ada", "")]


def test_an_edit_that_makes_no_job_is_refused_and_nothing_saved(desk: Desk, small: str) -> None:
    with pytest.raises(FileFaults, match="openings"):
        desk.set_field(small, 1, "W1", "openings", [{"type": "sash", "x": 99_999}], who="Ben")
    with pytest.raises(FileFaults):
        desk.write(small, 1, "format: 1\n", who="Ben", what="")
    assert desk.open(small).number == 1
    assert asides(desk.engine, small) == ()


def test_the_second_of_two_is_told_and_both_versions_are_kept(desk: Desk, small: str) -> None:
    desk.set_field(small, 1, "W1", "length", 4300, who="Ben")
    with pytest.raises(ChangedMeanwhile, match="Ben saved revision 2"):
        desk.set_field(small, 1, "W1", "length", 4400, who="Cas")
    assert desk.open(small).walls["W1"].length_mm == 4300
    assert "length: 4400" in asides(desk.engine, small)[0].text


def test_a_wall_to_be_chosen_is_not_set_out(desk: Desk, small: str) -> None:
    with pytest.raises(InputError, match="lining"):
        desk.plan(desk.open(small), "W3")
    with pytest.raises(InputError, match="wall: given 'W9'"):
        desk.plan(desk.open(small), "W9")


@pytest.mark.parametrize(
    "files",
    [
        {},
        {"a.yaml": SMALL, "b.yaml": SMALL},
        {JOB_FILE: "no job"},
        {JOB_FILE: SMALL, "../evil.yaml": "x: 1"},
        {JOB_FILE: SMALL.replace("practice: en_metric", "practice: en_metric\nfirm: {practice: none.yaml}")},
    ],
)
def test_files_that_make_no_job_are_refused(desk: Desk, files: dict[str, str]) -> None:
    with pytest.raises((InputError, FileFaults)):
        desk.take_in(files, who="Ada")
    assert desk.jobs() == ()


def test_two_jobs_of_one_name_are_told_apart(desk: Desk, small: str) -> None:
    desk.take_in({JOB_FILE: SMALL}, who="Ada")
    assert [job.name for job in desk.jobs()] == ["Three rooms (invented)", "Three rooms (invented) (2)"]
