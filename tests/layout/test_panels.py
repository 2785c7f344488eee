"""Where a wall is divided: movement joints, columns, doors as high as the room."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.layout.plain import BRACKETED, FREE, PRACTICE, codes, door, obstacle, plan, wall, window

from innerleaf.layout.panels import EndKind, Panel, movement_joint_ways, panels_of
from innerleaf.layout.pieces import Role, RunKind
from innerleaf.layout.setting import setting_for
from innerleaf.layout.zone import Zone
from innerleaf.survey.wall import Meets, ObstacleKind, Wall, Way

GREATEST = 15_000  # from memory: DIN 18181
GAP = 20  # common practice, no source

quick = settings(max_examples=150, deadline=None, derandomize=True, database=None)


def ways(some: Wall) -> list[list[int]]:
    return movement_joint_ways(setting_for(some, PRACTICE), Zone(some))


def panels(some: Wall, joints: list[int] | None = None) -> list[Panel]:
    return panels_of(setting_for(some, PRACTICE), Zone(some), joints or [])


def lengths(some: Wall, joints: list[int]) -> list[int]:
    return [b - a for a, b in pairwise((0, *joints, some.length_mm))]


@quick
@given(st.integers(600, 80_000))
def test_no_stretch_is_longer_than_the_rule_and_no_joint_is_spare(length: int) -> None:
    """From memory: DIN 18181, a movement joint at most every 15 m; a joint costs two studs and a bead."""
    bare = wall(length)

    for joints in ways(bare):
        assert max(lengths(bare, joints)) <= GREATEST
        assert len(joints) == -(-length // GREATEST) - 1


@quick
@given(
    st.integers(16_000, 45_000),
    st.lists(st.integers(1, 200), max_size=4),
    st.lists(st.integers(1, 44), max_size=2),
)
def test_joints_of_the_building_are_taken_over(length: int, doors: list[int], own: list[int]) -> None:
    """Where the building moves the lining must move; the stretches between are divided as needed."""
    found = tuple(sorted({x * 1000 for x in own if x * 1000 < length}))
    some = wall(
        length,
        openings=tuple(window(x * 200, id=f"N{x}") for x in sorted({*doors}) if x * 200 + 1200 < length),
        building_joints_mm=found,
    )

    for joints in ways(some):
        assert set(found) <= set(joints)
        assert max(lengths(some, joints)) <= GREATEST


@pytest.mark.parametrize("x", [10_000, 10_500, 11_000, 11_300])
def test_a_joint_moves_aside_for_an_opening(x: int) -> None:
    """No joint of any kind in line with a jamb: it goes to the nearest place that is clear."""
    some = wall(22_000, openings=(door(x),))

    for (joint,) in ways(some):
        assert joint <= x - 150 or joint >= x + 1000 + 150
    assert "L501" not in codes(plan(some))


def test_both_ways_round_are_offered_where_they_differ() -> None:
    """A door just beside the middle: the joint may go to its left or to its right, one from either end."""
    three = wall(33_000, openings=(window(10_500, 2000, id="N1"),))

    there = ways(three)
    mirrored = ways(wall(33_000, openings=(window(33_000 - 12_500, 2000, id="N1"),)))

    assert sorted([33_000 - x for x in way][::-1] for way in mirrored) == sorted(there)


def test_a_wall_of_one_piece_is_one_panel() -> None:
    """Boards keep 5 mm from masonry at both ends."""
    assert panels(wall(6000)) == [Panel(0, 6000, EndKind.STRUCTURE, EndKind.STRUCTURE, 5, 5995)]


def test_a_window_does_not_divide_the_wall_and_a_door_to_the_head_does() -> None:
    """Only what interrupts the lining from floor to head parts two panels."""
    assert len(panels(wall(openings=(window(2000),)))) == 1
    assert len(panels(wall(openings=(door(2000, height=2050),)))) == 1
    high = panels(wall(openings=(door(2000, height=2600),)))
    assert [(p.x0, p.x1, p.left, p.right) for p in high] == [
        (0, 2000, EndKind.STRUCTURE, EndKind.OPENING),
        (3000, 6000, EndKind.OPENING, EndKind.STRUCTURE),
    ]


def test_boards_end_flush_with_an_opening_and_clear_of_a_column() -> None:
    """The corner bead of a reveal needs the board there; against a column there is a sealed gap."""
    column = obstacle(ObstacleKind.COLUMN, 4000, 0, 300, 2600)

    first, middle, last = panels(wall(openings=(door(2000, height=2600),), obstacles=(column,)))

    assert (first.board_x1, middle.board_x0) == (2000, 3000)
    assert (middle.right, last.left) == (EndKind.OBSTACLE, EndKind.OBSTACLE)
    assert (middle.board_x1, last.board_x0) == (4000 - 5, 4300 + 5)


def test_a_movement_joint_parts_two_panels_by_its_gap() -> None:
    """Frame and boards stop on either side; nothing bridges the joint."""
    left, right = panels(wall(22_000), [11_000])

    assert (left.x1, right.x0) == (11_000 - GAP // 2, 11_000 + GAP // 2)
    assert left.right == right.left == EndKind.MOVEMENT


@pytest.mark.parametrize(
    ("meets", "kind"), [(Meets.OPEN, EndKind.FREE), (Meets.PARTITION, EndKind.STRUCTURE)]
)
def test_ends_are_what_they_meet(meets: Meets, kind: EndKind) -> None:
    """A free end has a bead and no gap, an end against structure a gap and sealant."""
    (panel,) = panels(wall(meets=(Meets.SLAB, meets, Meets.SLAB, Meets.MASONRY)))

    assert panel.right == kind


def test_a_gable_without_eaves_ends_in_a_point() -> None:
    """Nothing upright is there to be fixed to."""
    roof = wall(outline=((0, 0), (6000, 0), (3000, 2600)), meets=(Meets.SLAB, Meets.ROOF, Meets.ROOF))

    (panel,) = panels(roof)

    assert panel.left == panel.right == EndKind.POINT


@pytest.mark.parametrize("way", [BRACKETED, FREE])
def test_nothing_bridges_a_movement_joint(way: Way) -> None:
    """A bar or a board across the joint would hold together what must move apart; wool ends in its middle."""
    some = plan(wall(22_000, way=way))
    (joint,) = some.movement_joints_mm

    for bar in some.bars:
        assert max(bar.ax_mm, bar.bx_mm) <= joint - GAP / 2 or min(bar.ax_mm, bar.bx_mm) >= joint + GAP / 2
    for board in some.boards:
        xs = [x for x, _ in board.ring]
        assert max(xs) <= joint - GAP / 2 or min(xs) >= joint + GAP / 2
    for slab in some.slabs:
        xs = [x for x, _ in slab.ring]
        assert max(xs) <= joint or min(xs) >= joint


@pytest.mark.parametrize("way", [BRACKETED, FREE])
def test_a_movement_joint_has_a_stud_on_either_side_and_a_bead_over_it(way: Way) -> None:
    """Each side holds its own boards; the bead covers the gap over its whole height."""
    some = plan(wall(22_000, way=way))
    (joint,) = some.movement_joints_mm

    beside = [m for m in some.members if m.role == Role.MOVEMENT]
    (bead,) = [run for run in some.runs if run.kind == RunKind.MOVEMENT_BEAD]

    assert len(beside) == 2
    assert beside[0].x_mm + beside[0].face_mm / 2 == joint - GAP / 2
    assert beside[1].x_mm - beside[1].face_mm / 2 == joint + GAP / 2
    assert (bead.ax_mm, bead.bx_mm, bead.length_mm) == (joint, joint, 2600)
