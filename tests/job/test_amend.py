"""A page changes one field of one wall; the rest of the job file stays as it was written."""

from __future__ import annotations

import difflib
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from innerleaf.job.amend import differences, field_of_wall, set_field_of_wall
from innerleaf.job.model import JobWall
from innerleaf.job.read import read_job_text
from innerleaf.reading import read_text
from innerleaf.writing import changed, one_line

DEMO = Path(__file__).parents[2] / "examples" / "demo" / "job.yaml"
TEXT = DEMO.read_text(encoding="utf-8")
READ = read_text(TEXT, "job.yaml").checked()
VALUE = READ.value
JOB = read_job_text(TEXT, DEMO)


def _wall(name: str) -> JobWall:
    return next(wall for wall in JOB.walls if wall.id == name)


def _after(name: str, field: str, new: Any) -> str:
    return changed(TEXT, READ, set_field_of_wall(VALUE, _wall(name), field, new))[0]


def _diff(after: str) -> list[str]:
    lines = difflib.unified_diff(TEXT.splitlines(), after.splitlines(), n=0, lineterm="")
    return [line.replace(" ", "") for line in lines if line[0] in "+-" and line[:3] not in ("+++", "---")]


def test_a_door_moved_changes_one_number_in_one_line() -> None:
    openings = field_of_wall(VALUE, _wall("G-12"), "openings")
    after = _after("G-12", "openings", [openings[0] | {"x": 550}])
    assert _diff(after) == [
        "--{type:door-wide,x:400,reveal:120,reveal_lined:true}",
        "+-{type:door-wide,x:550,reveal:120,reveal_lined:true}",
    ]
    moved = next(wall for wall in read_job_text(after, DEMO).walls if wall.id == "G-12")
    assert [opening.x_mm for opening in moved.openings] == [550]


def test_a_new_socket_is_one_new_line() -> None:
    boxes = field_of_wall(VALUE, _wall("G-11"), "boxes")
    after = _after("G-11", "boxes", [boxes[0], {"type": "socket", "x": 3000}, *boxes[1:]])
    assert _diff(after) == ["+-{type:socket,x:3000}"]


def test_a_field_from_the_type_is_written_into_the_wall_and_the_type_stays() -> None:
    wall = _wall("G-12")
    assert wall.places["construction"][0] == "wall_types"
    after = _after("G-12", "construction", "street-brick")
    assert _diff(after) == ["+construction:street-brick"]
    walls = {wall.id: wall for wall in read_job_text(after, DEMO).walls}
    assert walls["G-12"].construction != wall.construction
    assert all(
        walls[other.id].construction == other.construction for other in JOB.walls if other.id != "G-12"
    )


@pytest.mark.parametrize("field", ["openings", "length", "name", "questions"])
def test_the_same_again_changes_nothing(field: str) -> None:
    assert set_field_of_wall(VALUE, _wall("G-10"), field, field_of_wall(VALUE, _wall("G-10"), field)) == ()


ITEMS = st.fixed_dictionaries({"x": st.integers(0, 3)}, optional={"y": st.integers(0, 3), "t": st.text("ab")})
ANY = st.none() | st.integers(0, 3) | ITEMS | st.lists(ITEMS | st.integers(0, 2) | st.none(), max_size=4)


@given(old=ANY, new=ANY)
def test_differences_turn_the_old_into_the_new(old: Any, new: Any) -> None:
    text = f"a: 1\nb: {one_line(old)}\n"
    _, after = changed(text, read_text(text, "x").checked(), differences(("b",), old, new))
    assert after.value == ({"a": 1, "b": new} if new is not None or old is None else {"a": 1})
