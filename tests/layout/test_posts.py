"""Members that a wall asks for wherever the grid starts: at ends, jambs, steps and columns."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given, settings
from tests.layout.plain import (
    BRACKETED,
    FREE,
    PRACTICE,
    WALLS,
    bars_of,
    codes,
    door,
    lining,
    obstacle,
    plan,
    standing_at,
    wall,
    window,
)

from innerleaf.layout.panels import movement_joint_ways, panels_of
from innerleaf.layout.pieces import Role
from innerleaf.layout.posts import Post, fixed_posts
from innerleaf.layout.setting import setting_for
from innerleaf.layout.zone import Zone
from innerleaf.survey.wall import Meets, MemberBuild, ObstacleKind, Wall, Way

STUD = 50  # flange of CW studs

quick = settings(max_examples=150, deadline=None, derandomize=True, database=None)


def posts(some: Wall) -> tuple[list[Post], list[tuple[float, float]]]:
    """Posts and squeezed piers of all panels."""
    setting, zone = setting_for(some, PRACTICE), Zone(some)
    standing: list[Post] = []
    squeezed: list[tuple[float, float]] = []
    for panel in panels_of(setting, zone, movement_joint_ways(setting, zone)[0]):
        here, tight = fixed_posts(setting, zone, panel)
        standing += here
        squeezed += tight
    return standing, squeezed


@quick
@given(WALLS)
def test_no_two_posts_stand_in_one_another(some: Wall) -> None:
    """Two studs cannot be in one place; posts are listed left to right."""
    standing, _ = posts(some)

    assert all(a.right <= b.left for a, b in pairwise(standing))


@quick
@given(WALLS)
def test_every_jamb_has_a_stud_or_is_named_as_too_narrow(some: Wall) -> None:
    """The reveal's bead and the head member need a stud flush with each jamb."""
    standing, squeezed = posts(some)
    edges = {post.left for post in standing} | {post.right for post in standing}
    tight = {edge for pier in squeezed for edge in pier}

    for opening in some.openings:
        for jamb in (opening.x_mm, opening.right_mm):
            assert jamb in edges | tight | {0, some.length_mm}


def test_a_window_has_a_stud_flush_with_each_jamb() -> None:
    """Outside the opening, its face up to the line of the jamb."""
    standing, _ = posts(wall(openings=(window(2000, 1200),)))

    assert [(p.x, p.role) for p in standing] == [
        (25, Role.END),
        (2000 - 25, Role.JAMB),
        (3200 + 25, Role.JAMB),
        (6000 - 25, Role.END),
    ]


@pytest.mark.parametrize("pier", [STUD, 70, 99])
def test_a_pier_between_one_and_two_studs_takes_a_box_of_two(pier: int) -> None:
    """Two C studs pushed into one another are drawn out to the width of the pier."""
    some = wall(openings=(window(1000, 1000, id="N1"), window(2000 + pier, 1000, id="N2")))
    standing, squeezed = posts(some)

    (boxed,) = [p for p in standing if p.left == 2000]
    assert (boxed.right, boxed.studs, boxed.role) == (2000 + pier, 2, Role.JAMB)
    assert not squeezed
    assert "L103" not in codes(plan(some))


def test_a_boxed_pier_counts_two_studs_side_by_side() -> None:
    """Both are cut, one to either side of the pier's middle."""
    some = plan(wall(openings=(window(1000, 1000, id="N1"), window(2070, 1000, id="N2"))))

    (member,) = [m for m in some.members if m.x_mm - m.face_mm / 2 == 2000 and m.bottom_mm == 0]
    bars = [bar for bar in some.bars if bar.member == member.mark]

    assert [(bar.ax_mm - STUD / 2, bar.ax_mm + STUD / 2) for bar in bars] == [(2000, 2050), (2020, 2070)]


@pytest.mark.parametrize("pier", [1, 30, STUD - 1])
def test_a_pier_narrower_than_a_stud_takes_none_and_is_listed(pier: int) -> None:
    """No stud fits: the pier is lined from the reveals, and somebody has to know."""
    some = wall(openings=(window(1000, 1000, id="N1"), window(2000 + pier, 1000, id="N2")))

    assert posts(some)[1] == [(2000, 2000 + pier)]
    (found,) = [f for f in plan(some).findings if f.code == "L103"]
    assert found.x_mm == 2000
    assert f"{pier} mm" in found.text


def test_a_wide_pier_keeps_two_jamb_studs() -> None:
    """From two studs on each jamb has its own."""
    some = wall(openings=(window(1000, 1000, id="N1"), window(2000 + 2 * STUD, 1000, id="N2")))

    assert [p.x for p in posts(some)[0] if 2000 <= p.x <= 2100] == [2025, 2075]


@pytest.mark.parametrize(("way", "role"), [(BRACKETED, Role.SIDE_TRACK), (FREE, Role.END)])
def test_against_masonry_stands_a_perimeter_channel_or_an_end_stud(way: Way, role: Role) -> None:
    """In a bracketed lining the perimeter channel runs up the ends; its leg takes the boards."""
    standing, _ = posts(wall(way=way))

    assert [p.role for p in standing] == [role, role]


@pytest.mark.parametrize("way", [BRACKETED, FREE])
def test_at_a_free_end_stands_a_member_of_its_own(way: Way) -> None:
    """There is nothing to fix a perimeter channel to."""
    free = wall(way=way, meets=(Meets.SLAB, Meets.OPEN, Meets.SLAB, Meets.OUTER_CORNER))

    assert [p.role for p in posts(free)[0]] == [Role.END, Role.END]


def test_a_column_has_a_member_on_either_side() -> None:
    """Boards end at the column: their edges need steel, even where it does not reach the head."""
    column = obstacle(ObstacleKind.COLUMN, 3000, 0, 300, 2000)

    edge = [p for p in posts(wall(obstacles=(column,)))[0] if p.role == Role.EDGE]

    assert [p.x for p in edge] == [3000 - 25, 3300 + 25]


def test_a_step_of_the_head_has_a_member_under_the_higher_side() -> None:
    """The board of the higher part ends at the downstand."""
    step = wall(
        outline=((0, 0), (6000, 0), (6000, 2000), (3000, 2000), (3000, 2600), (0, 2600)),
        meets=(Meets.SLAB, Meets.MASONRY, Meets.SLAB, Meets.MASONRY, Meets.SLAB, Meets.MASONRY),
    )

    assert [p.x for p in posts(step)[0] if p.role == Role.EDGE] == [3000 - 25]


def test_doubled_members_are_two_studs_wide() -> None:
    """Two studs back to back give twice the face; each is cut."""
    double = wall(lining=lining(build=MemberBuild.DOUBLED), openings=(door(2500),))
    some = plan(double)

    assert {p.face for p in posts(double)[0]} == {2 * STUD}
    for member in some.members:
        assert len({bar.mark for bar in bars_of(some, member.role) if bar.member == member.mark}) == 2


def test_a_door_against_the_end_of_the_wall_leaves_no_room_for_a_stud() -> None:
    """A strip of 30 mm beside masonry takes no stud: the plan says so and goes on."""
    some = plan(wall(openings=(door(30),)))

    assert "L103" in codes(some)
    assert next(m.x_mm for m in standing_at(some, 1000)) == 1030 + STUD / 2
