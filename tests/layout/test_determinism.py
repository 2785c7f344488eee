"""A plan depends on its wall and the practice alone, and every piece has a mark of its own."""

from __future__ import annotations

import pickle
from collections import Counter
from dataclasses import replace

import pytest
from hypothesis import given, settings
from tests.layout.plain import BRACKETED, FREE, WALLS, everyday_wall, plan, wall

from innerleaf.errors import InputError
from innerleaf.layout.pieces import WallPlan
from innerleaf.survey.wall import Wall, Way

both = pytest.mark.parametrize("way", [BRACKETED, FREE])
some_walls = settings(max_examples=40, deadline=None, derandomize=True, database=None)


def marks(some: WallPlan) -> list[str]:
    """Marks of everything that is cut or placed one by one, members left out (bars carry theirs)."""
    kinds = (some.bars, some.boards, some.brackets, some.slabs, some.membrane)
    return [piece.mark for pieces in kinds for piece in pieces]


@some_walls
@given(WALLS)
def test_marks_are_unique(some: Wall) -> None:
    """Two pieces with one mark: one of them is cut, the other is missed."""
    layout = plan(some)

    assert not [mark for mark, count in Counter(marks(layout)).items() if count > 1]
    assert len({member.mark for member in layout.members}) == len(layout.members)


@some_walls
@given(WALLS)
def test_what_refers_to_a_mark_finds_it(some: Wall) -> None:
    """Screws name a board and a support, brackets a member, fixings a bar: all of them are there."""
    layout = plan(some)
    members = {member.mark for member in layout.members}
    bars = {bar.mark for bar in layout.bars}
    boards = {board.mark for board in layout.boards}

    assert {line.board for line in layout.screws} <= boards
    assert {line.support for line in layout.screws} <= members | bars
    assert {bracket.member for bracket in layout.brackets} <= members
    assert {line.bar for line in layout.fixings} <= bars
    assert {bar.member for bar in layout.bars} == members | {""}


def test_another_wall_changes_no_mark() -> None:
    """Pieces ordered months ago keep their marks, whatever is planned between."""
    alone = plan(everyday_wall(FREE))

    plan(wall(22_000, id="W-02"))
    plan(wall(1200, way=BRACKETED, id="W-03"))

    assert plan(everyday_wall(FREE)) == alone


@both
def test_a_wall_of_another_name_has_the_same_pieces(way: Way) -> None:
    """The name goes into the marks and nowhere else."""
    here = plan(everyday_wall(way))
    there = plan(replace(everyday_wall(way), id="X-99"))

    assert [mark.replace("X-99", "W-01") for mark in marks(there)] == marks(here)
    assert [bar.length_mm for bar in there.bars] == [bar.length_mm for bar in here.bars]
    assert [board.ring for board in there.boards] == [board.ring for board in here.boards]


@both
def test_marks_say_what_a_piece_is(way: Way) -> None:
    """The wall, a stroke, a letter for the kind, a number along the wall."""
    letters = {mark.removeprefix("W-01/")[0] for mark in marks(plan(everyday_wall(way)))}

    assert letters == set("FHSLPBRIM") | (set("K") if way == BRACKETED else set())


@both
def test_members_are_numbered_from_left_to_right(way: Way) -> None:
    """S01 stands at the datum."""
    members = plan(everyday_wall(way)).members

    assert [member.mark for member in members] == [f"W-01/S{k:02d}" for k in range(1, len(members) + 1)]
    assert [member.x_mm for member in members] == sorted(member.x_mm for member in members)


def test_a_plan_survives_the_way_to_another_process() -> None:
    """Walls are planned in parallel; what comes back is what was made."""
    there = plan(everyday_wall(BRACKETED))

    assert pickle.loads(pickle.dumps(there)) == there


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"profile": "CW-1"}, "lining.profile"),
        ({"profile": "UW-75"}, "lining.profile"),
        ({"boards": ("cardboard",)}, "lining.boards"),
        ({"boards": ()}, "lining.boards"),
        ({"boards": ("board-A-12.5", "board-A-12.5x1250")}, "lining.boards"),
        ({"bays_per_board": 1}, "lining.spacing"),
        ({"way": BRACKETED, "profile": "CD-60-27", "bracket": "bracket-0"}, "lining.bracket"),
    ],
)
def test_what_cannot_be_set_out_is_refused_by_wall_and_field(change: dict[str, object], field: str) -> None:
    """The person reads which wall, which field, what was given and what is accepted."""
    some = wall()
    wrong = replace(some, lining=replace(some.lining, **change))  # type: ignore[arg-type]

    with pytest.raises(InputError, match=r"^wall W-01 \(R-01\), " + field + ": given .*, accepted: "):
        plan(wrong)
