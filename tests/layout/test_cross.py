"""Cross joints where the wall is higher than the longest board (3000 mm in the default set)."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise, product

import pytest
from tests.layout.plain import BRACKETED, FREE, PRACTICE, RULES, box, codes, lining, plan, wall, window

from innerleaf.layout.cross import Column, Division, divide_columns
from innerleaf.layout.pieces import BoardPiece, WallPlan
from innerleaf.layout.setting import Setting, setting_for
from innerleaf.layout.zone import Blocker
from innerleaf.survey.wall import Way

STAGGER = 400  # from memory: DIN 18181
HEAD_CLEAR = 150  # from memory: DIN 18181
LONGEST = 3000


def tall_plan(way: Way = BRACKETED, layers: int = 2, length: int = 6000) -> WallPlan:
    """A wall 4.6 m high."""
    return plan(wall(length, 4600, way, layers))


def ends(piece: BoardPiece) -> tuple[float, float, float, float]:
    """(left, right, low, high) of a piece."""
    xs, ys = [x for x, _ in piece.ring], [y for _, y in piece.ring]
    return min(xs), max(xs), min(ys), max(ys)


def cross_joints(some: WallPlan, layer: int) -> list[tuple[float, float, float]]:
    """(left, right, y) wherever one piece of a layer ends on another."""
    pieces = [ends(p) for p in some.boards if p.layer == layer and p.plane == "face"]
    tops = {(left, right, high) for left, right, _, high in pieces}
    return sorted({(left, right, low) for left, right, low, _ in pieces} & tops)


@pytest.mark.parametrize("layers", [1, 2, 3])
@pytest.mark.parametrize("way", [BRACKETED, FREE])
def test_neighbouring_boards_never_meet_in_a_cross(way: Way, layers: int) -> None:
    """From memory: DIN 18181, cross joints of boards side by side at least 400 apart."""
    some = tall_plan(way, layers)

    for layer in range(1, layers + 1):
        joints = cross_joints(some, layer)
        assert len(joints) >= 5  # every column of a wall 4.6 m high has one
        for one, two in product(joints, joints):
            if one[1] == two[0]:
                assert abs(one[2] - two[2]) >= STAGGER


@pytest.mark.parametrize("layers", [2, 3])
def test_no_cross_joint_lies_over_one_of_the_layer_below(layers: int) -> None:
    """From memory: DIN 18181, successive layers staggered as well."""
    some = tall_plan(layers=layers)

    for layer in range(2, layers + 1):
        for left, right, y in cross_joints(some, layer):
            for left_below, right_below, y_below in cross_joints(some, layer - 1):
                if left_below < right and left < right_below:
                    assert abs(y - y_below) >= STAGGER


def test_every_piece_fits_a_board_that_can_be_bought() -> None:
    """A piece longer or wider than its board cannot be cut from it."""
    for piece in tall_plan().boards:
        assert piece.length_mm <= piece.stock_length_mm <= LONGEST
        assert piece.width_mm <= PRACTICE.boards[piece.item].width_mm
        assert piece.length_mm >= RULES.piece_height_min_mm


@pytest.mark.parametrize(("sill", "height"), [(800, 1400), (900, 2000), (1500, 1500), (2000, 900)])
def test_no_cross_joint_in_line_with_a_head_or_sill(sill: int, height: int) -> None:
    """From memory: DIN 18181, no joint in line with a lintel, beside the opening, at least 150 clear."""
    opening = window(2200, sill=sill, height=height)
    some = plan(wall(6000, 4600, BRACKETED, 2, openings=(opening,)))

    beside = [
        (left, right, y)
        for layer in (1, 2)
        for left, right, y in cross_joints(some, layer)
        if left <= opening.right_mm and right >= opening.x_mm
    ]
    assert beside
    for _, _, y in beside:
        assert abs(y - opening.sill_mm) >= HEAD_CLEAR
        assert abs(y - opening.head_mm) >= HEAD_CLEAR
    assert not codes(some) & {"L202", "L204", "L205", "L206"}


def test_a_full_height_board_is_taken_where_one_can_be_bought() -> None:
    """At 3 m there is no cross joint; at 3.1 m there must be one."""
    assert not cross_joints(plan(wall(6000, 3000)), 1)
    assert cross_joints(plan(wall(6000, 3100)), 1)


def setting_of_height(height: int, layers: int = 1) -> Setting:
    return setting_for(wall(6000, height, BRACKETED, layers), PRACTICE)


def columns_of(heights: list[int]) -> list[Column]:
    return [Column(600 * k, 600 * (k + 1), 10, 10 + height) for k, height in enumerate(heights)]


def missed(joints: list[tuple[int, ...]]) -> int:
    """By how much joints of columns side by side are too near, summed."""
    return sum(max(0, STAGGER - abs(a - b)) for one, two in pairwise(joints) for a in one for b in two)


@pytest.mark.parametrize(
    "heights", [[4000], [4600, 4600], [3200, 3400, 3600], [5900] * 3, [3100, 5900, 3100]]
)
def test_no_other_heights_stagger_better(heights: list[int]) -> None:
    """Every pair of heights on a grid of 100 mm tried for up to three columns.

    The choice is made among a few sensible heights; if a finer choice could miss less, they are too few.
    """
    columns = columns_of(heights)

    ours = divide_columns(setting_of_height(max(heights)), columns, [], [], 1)

    best = min(
        missed(list(choice))
        for choice in product(
            *(_every_division(c, len(d.joints)) for c, d in zip(columns, ours, strict=True))
        )
    )
    assert missed([d.joints for d in ours]) <= best
    assert sum(d.stagger_mm for d in ours) == missed([d.joints for d in ours])


def _every_division(column: Column, joints: int) -> list[tuple[int, ...]]:
    low, high = int(column.low), int(column.high)
    places = range(low + 300, high - 299, 100)
    return [
        way
        for way in product(places, repeat=joints)
        if all(300 <= b - a <= LONGEST for a, b in pairwise((low, *way, high)))
    ]


def test_joints_of_the_layer_below_are_kept_clear_of() -> None:
    """With a joint at 2000 below, the next layer's lies at 1600 or less, or at 2400 or more."""
    columns = columns_of([4600])
    below = [(columns[0], Division((2000,), 0, 0, 0, 0))]

    (ours,) = divide_columns(setting_of_height(4600, 2), columns, below, [], 2)

    assert abs(ours.joints[0] - 2000) >= STAGGER
    assert ours.layer_mm == 0


def test_what_cannot_be_kept_is_said_and_how_far_it_is_missed() -> None:
    """Openings stacked so closely that no height is clear: the miss is the shortfall to the nearest line."""
    columns = columns_of([3300])  # a joint may stand at 310 .. 3010
    stack = [Blocker(f"N{y}", 0, y, 600, y + 100, True, True, False) for y in range(300, 3200, 200)]

    (ours,) = divide_columns(setting_of_height(3300), columns, [], stack, 1)

    nearest = [abs(y - level) for y in ours.joints for b in stack for level in (b.y0, b.y1)]
    assert ours.head_mm == sum(HEAD_CLEAR - d for d in nearest if d < HEAD_CLEAR) > 0


def test_a_cross_joint_keeps_out_of_a_socket_where_it_can() -> None:
    """A box in a joint has no board to be clamped to on one side."""
    some = plan(wall(4000, 4600, BRACKETED, 1, boxes=(box(900, 2000), box(2100, 2600))))

    for left, right, y in cross_joints(some, 1):
        for socket in some.wall.boxes:
            if left < socket.x_mm < right:
                assert abs(y - socket.y_mm) > socket.diameter_mm / 2


def test_noggings_lie_behind_the_cross_joints_of_a_single_layer_only() -> None:
    """Common practice, no source: a second layer bridges the joints of the first."""
    one, two = tall_plan(layers=1), tall_plan(layers=2)

    behind = {bar.ay_mm for bar in one.bars if bar.role == "nogging"}
    assert behind == {y for _, _, y in cross_joints(one, 1)}
    assert not [bar for bar in two.bars if bar.role == "nogging"]


@pytest.mark.parametrize("way", [BRACKETED, FREE])
def test_noggings_reach_from_member_to_member_across_the_joint(way: Way) -> None:
    """The whole joint is backed: members and noggings together cover it without a hole."""
    some = plan(wall(6000, 4600, lining=lining(way, 1, profile="CD-60-27" if way == BRACKETED else "CW-100")))

    for left, right, y in cross_joints(some, 1):
        steel = [(m.x_mm - m.face_mm / 2, m.x_mm + m.face_mm / 2) for m in some.members if m.top_mm > y]
        steel += [(b.ax_mm, b.bx_mm) for b in some.bars if b.role == "nogging" and b.ay_mm == y]
        at = left
        for a, b in sorted(steel):
            if a <= at:
                at = max(at, b)
        assert at >= right


def test_the_same_columns_give_the_same_joints_wherever_they_stand() -> None:
    """A wall counted from another floor level has its joints moved with it."""
    columns = columns_of([4600, 4600, 4600])
    lifted = [replace(c, low=c.low + 777, high=c.high + 777) for c in columns]

    here = divide_columns(setting_of_height(4600), columns, [], [], 1)
    there = divide_columns(setting_of_height(4600), lifted, [], [], 1)

    assert [tuple(y + 777 for y in d.joints) for d in here] == [d.joints for d in there]
