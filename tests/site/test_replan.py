"""What is measured flows back: nothing built is undone, and what is still to come has steel behind it."""

from __future__ import annotations

from dataclasses import replace
from random import Random
from typing import Any

import pytest
import shapely
from hypothesis import Phase, given, settings
from hypothesis import strategies as st
from tests.layout.plain import BRACKETED, FREE, PRACTICE, WALLS, everyday_wall, lining, plan, wall, window
from tests.site.told import DEVICES, entries, sealed, told

from innerleaf.layout.boards import box_of
from innerleaf.layout.built import plan_around
from innerleaf.layout.built_parts import Built, hung
from innerleaf.layout.pieces import FACE, BoardPiece, Role, WallPlan
from innerleaf.site.bearing import bearing_findings, kept_faults
from innerleaf.site.deviations import ADDED, BOARD, BOX, LEFT_OUT, MOVED, OPENING, PIPE
from innerleaf.site.records import Kind, Record
from innerleaf.site.replan import AsBuilt, as_built
from innerleaf.survey.wall import Wall

FEW = settings(max_examples=8, deadline=None, phases=[Phase.explicit, Phase.generate])
FRAMED = {"kind": Kind.DONE, "what": "frame", "wall": "W-01"}


def tick(board: BoardPiece) -> dict[str, Any]:
    return FRAMED | {"what": f"board layer {board.layer}", "mark": board.mark}


def found(what: str, mark: str = "", **values: float) -> dict[str, Any]:
    said = {"kind": Kind.DEVIATION, "wall": "W-01", "what": what, "mark": mark}
    return said | {"values": tuple(sorted(values.items()))}


def face(some: WallPlan, layer: int = 1) -> list[BoardPiece]:
    return [one for one in some.boards if one.plane == FACE and one.layer == layer]


def tiled(some: WallPlan) -> None:
    """Boards of each layer cover what boards are to cover, once."""
    area = shapely.union_all([shapely.Polygon(*part) for part in some.board_area])
    for layer in range(1, len(some.wall.lining.boards) + 1):
        pieces = [shapely.Polygon(one.ring, one.holes) for one in face(some, layer)]
        assert shapely.union_all(pieces).symmetric_difference(area).area < 10
        assert sum(one.area for one in pieces) == pytest.approx(area.area, abs=10)


@FEW
@given(WALLS)
def test_a_wall_built_as_drawn_stays_as_it_was_drawn(some: Wall) -> None:
    """The first law: what stands where it was drawn changes nothing, mark by mark.

    In walls higher than a board the next layer may divide its columns otherwise: where a cross joint of the
    hanging layer falls into an opening, no board tells of it.
    """
    drawn = plan(some)
    boards = tuple(hung(one, drawn) for one in drawn.boards if one.plane == FACE and one.layer == 1)
    marks = frozenset([*(one.mark for one in drawn.members), *(one.mark for one in drawn.boards)])
    for built in (Built(drawn.members), Built(drawn.members, boards)):
        again = plan_around(some, PRACTICE, drawn, built, marks)
        assert again.members == drawn.members
        longest = max(PRACTICE.boards[some.lining.boards[0]].lengths_mm)
        assert set(again.boards) == set(drawn.boards) or (built.boards and some.height_mm > longest)
        assert {one.piece for one in built.boards} <= set(again.boards)
        assert again.vertical_joints_mm == drawn.vertical_joints_mm


@FEW
@given(WALLS, st.integers(0, 10**6), st.sampled_from([-60, -35, -10, 10, 35, 60]))
def test_nothing_built_is_undone_and_every_edge_has_steel_behind_it(some: Wall, seed: int, by: int) -> None:
    drawn, rng = plan(some), Random(seed)
    assert bearing_findings(drawn, frozenset()) == ()
    studs = [one for one in drawn.members if one.role in (Role.GRID, Role.JOINT)]
    if not studs:
        return
    moved = rng.choice(studs)
    said = [FRAMED, found(MOVED, moved.mark, x_mm=moved.x_mm + by)]
    first = as_built(drawn, PRACTICE, told(*said))
    hangs = rng.sample(face(first.plan), min(3, len(face(first.plan))))
    other = rng.choice(first.plan.members)
    said += [*(tick(one) for one in hangs), found(MOVED, other.mark, x_mm=other.x_mm)]
    second = as_built(drawn, PRACTICE, told(*said))
    stands = [replace(one, x_mm=one.x_mm + by) if one.x_mm == moved.x_mm else one for one in drawn.members]
    for now, boards in ((first, []), (second, hangs)):
        assert kept_faults(now.plan, stands, boards) == ()
        assert {one.code for one in now.findings} <= {"W303"}
        tiled(now.plan)


def test_a_stud_moved_35_mm_takes_one_stud_more_and_no_board_changes() -> None:
    """A second stud beside the moved one carries the joint between them: what a foreman would do."""
    drawn = plan(everyday_wall(FREE))
    joint = next(one for one in drawn.members if one.x_mm == drawn.vertical_joints_mm[0][0])
    now = as_built(drawn, PRACTICE, told(FRAMED, found(MOVED, joint.mark, x_mm=joint.x_mm + 35)))
    assert set(now.plan.boards) == set(drawn.boards)
    (more,) = {one.mark for one in now.plan.members} - {one.mark for one in drawn.members}
    stud = next(one for one in now.plan.members if one.mark == more)
    assert stud.x_mm == joint.x_mm + 35 - 50
    assert [one.member for one in now.to_come.bars if one.member] == [more]
    assert now.findings == ()


def test_boards_that_hang_stay_and_the_others_go_round_the_window_that_is_elsewhere() -> None:
    drawn = plan(everyday_wall(FREE))
    first = face(drawn)[0]
    now = as_built(drawn, PRACTICE, told(FRAMED, tick(first), found(OPENING, "N1", x_mm=1560)))
    assert now.plan.wall.openings[0].x_mm == 1560
    assert first in now.plan.boards
    tiled(now.plan)
    assert {one.code for one in now.findings} == {"W302"}  # the jamb stud that stood on the right is in it
    assert all(
        one.mark not in {old.mark for old in drawn.boards}
        for one in face(now.plan)
        if one not in drawn.boards
    )


def test_a_board_of_an_older_plan_ticked_off_late_hangs_as_it_was_drawn_there() -> None:
    """A tablet that was offline does not know of the deviation that another one entered."""
    drawn = plan(everyday_wall(FREE))
    old = next(one for one in face(drawn) if box_of(one.ring)[0] > 1000)
    moved = found(OPENING, "N1", x_mm=1560)
    assert old not in as_built(drawn, PRACTICE, told(FRAMED, moved)).plan.boards
    now = as_built(drawn, PRACTICE, told(FRAMED, moved, tick(old)))
    assert old in now.plan.boards
    assert old.mark in now.boards


def test_the_order_of_other_walls_does_not_matter() -> None:
    drawn = plan(everyday_wall(BRACKETED))
    stud = next(one for one in drawn.members if one.role == Role.GRID)
    mine = entries(DEVICES[0], [FRAMED, found(MOVED, stud.mark, x_mm=stud.x_mm + 20)])
    others = entries(DEVICES[1], [FRAMED | {"wall": "W-99"}, found(MOVED, "S", x_mm=5) | {"wall": "W-99"}])
    alone = as_built(drawn, PRACTICE, sealed(mine))
    assert as_built(drawn, PRACTICE, sealed([others[0], mine[0], others[1], mine[1]])) == alone


def _only(now: AsBuilt, code: str) -> None:
    assert [one.code for one in now.findings] == [code]


@pytest.mark.parametrize(
    "said",
    [
        found(MOVED, "W-01/S99", x_mm=100),
        found(MOVED, "W-01/S02"),
        found(ADDED, x_mm=99_000),
        found(OPENING, "N9", x_mm=100),
        found(OPENING, "N1", x_mm=5500),
        found(OPENING, "N1", x_mm=3600),  # into the door
        found("ceiling came down", x_mm=1),
        found(BOARD, "W-01/B9-01", x_mm=1),
        FRAMED | {"what": "board layer 1", "mark": "W-01/B1-77"},
    ],
)
def test_what_cannot_be_is_kept_and_said(said: dict[str, Any]) -> None:
    drawn = plan(everyday_wall(FREE))
    now = as_built(drawn, PRACTICE, told(said))
    assert now.plan == drawn
    _only(now, "W303")


def test_other_things_found_elsewhere() -> None:
    drawn = plan(everyday_wall(FREE))
    stud = next(one for one in drawn.members if one.role == Role.GRID)
    records: list[Record] = told(
        found(ADDED, x_mm=3000),
        found(LEFT_OUT, stud.mark),
        found(BOX, "B1", x_mm=3500, y_mm=400),
        found(PIPE, x_mm=5700, y_mm=300, width_mm=40, height_mm=40),
    )
    now = as_built(drawn, PRACTICE, records)
    assert 3000 in {one.x_mm for one in now.plan.members}
    assert stud.mark not in {one.mark for one in now.plan.members}
    assert {one.of for board in face(now.plan) for one in board.cutouts} == {"B1", "found-1"}
    assert any(one.x_mm == 3500 for board in face(now.plan) for one in board.cutouts)
    tiled(now.plan)


def test_a_board_hung_beside_its_stud_is_seen_and_gets_one() -> None:
    drawn = plan(wall(4000, lining=lining(FREE, 1)))
    board = face(drawn)[0]
    left, _, right, _ = box_of(board.ring)
    now = as_built(drawn, PRACTICE, told(FRAMED, found(BOARD, board.mark, x_mm=left + 12)))
    (hangs,) = [one for one in face(now.plan) if one.mark == board.mark]
    assert box_of(hangs.ring)[2] == right + 12
    assert any(one.mark not in {old.mark for old in drawn.members} for one in now.plan.members)


def test_a_plan_with_a_stud_taken_from_behind_a_joint_is_found_out() -> None:
    """The check knows nothing of the layout: steel taken away is missed."""
    drawn = plan(wall(4000, openings=(window(1500, 900),), lining=lining(FREE, 1)))
    joint = drawn.vertical_joints_mm[0][0]
    bare = replace(drawn, members=tuple(one for one in drawn.members if one.x_mm != joint))
    assert {one.code for one in bearing_findings(bare, frozenset())} == {"W301"}
    moved = tuple(replace(one, x_mm=one.x_mm + 60) if one.x_mm == joint else one for one in drawn.members)
    assert kept_faults(drawn, moved, [])


def test_what_is_built_is_not_to_come() -> None:
    drawn = plan(everyday_wall(BRACKETED))
    steps = ["strip and tracks", "brackets", "frame", "insulation", "vapour layer"]
    now = as_built(drawn, PRACTICE, told(*(FRAMED | {"what": step} for step in steps), tick(face(drawn)[0])))
    rest = now.to_come
    assert (rest.members, rest.brackets, rest.slabs, rest.membrane, rest.fixings) == ((), (), (), (), ())
    assert {one.role for one in rest.bars} <= {Role.BACKING, Role.NOGGING}
    assert len(rest.boards) == len(drawn.boards) - 1
    assert len({one.board for one in rest.screws}) == len({one.board for one in drawn.screws}) - 1
