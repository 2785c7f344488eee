"""Facts of the trade about the frame, asked of an everyday wall, both ways to build.

Each number stands here as the trade says it, with how it is known, not as the practice set has it.
"""

from __future__ import annotations

from itertools import pairwise
from math import hypot

import pytest
from tests.layout.plain import (
    BRACKETED,
    FREE,
    PRACTICE,
    bars_of,
    lining,
    plan,
    runs_of,
    standing_at,
    wall,
)

from innerleaf.layout.pieces import Role, RunKind, WallPlan
from innerleaf.survey.wall import MemberBuild, Way

both = pytest.mark.parametrize("way", [BRACKETED, FREE])


def test_brackets_at_most_1500_apart_up_a_channel(plans: dict[Way, WallPlan]) -> None:
    """Common practice, no source: farther apart the channel bends when somebody leans on the wall."""
    some = plans[BRACKETED]

    for member in some.members:
        up = sorted(b.y_mm for b in some.brackets if b.member == member.mark)
        assert all(b - a <= 1500 for a, b in pairwise(up))


def test_brackets_at_most_600_apart_along_the_wall(plans: dict[Way, WallPlan]) -> None:
    """Common practice, no source. The perimeter channels up the ends are held by their fixings; only an
    opening, where there is no lining to hold, may lie between.
    """
    some = plans[BRACKETED]
    gaps = [(o.x_mm - 60, o.right_mm + 60) for o in some.wall.openings]
    ends = {m.x_mm for m in some.members if m.role == Role.SIDE_TRACK}

    held = sorted({b.x_mm for b in some.brackets} | ends)

    assert ends == {13.5, 6000 - 13.5}  # leg of 27 mm
    assert (held[0], held[-1]) == (min(ends), max(ends))
    for a, b in pairwise(held):
        assert b - a <= 600 or any(left <= a and b <= right for left, right in gaps)


@both
@pytest.mark.parametrize("y", [200, 1500, 2400])
def test_studs_at_most_600_apart(plans: dict[Way, WallPlan], way: Way, y: int) -> None:
    """Common practice, no source, for boards 1200 wide; under, beside and over the openings."""
    some = plans[way]
    through = [(o.x_mm, o.right_mm) for o in some.wall.openings if o.sill_mm < y < o.head_mm]

    for a, b in pairwise(standing_at(some, y)):
        in_opening = any(left < (a.x_mm + b.x_mm) / 2 < right for left, right in through)
        assert b.x_mm - a.x_mm <= 600 or in_opening


@both
def test_studs_and_channels_are_cut_10_to_15_short(plans: dict[Way, WallPlan], way: Way) -> None:
    """Common practice, no source: a longer stud cannot be turned in between the tracks."""
    for bar in bars_of(plans[way], Role.GRID, Role.END, Role.JAMB):
        if bar.by_mm > 2500 and bar.ay_mm == 0:
            assert 10 <= 2600 - bar.length_mm <= 15


@both
def test_jambs_head_and_sill_of_an_opening(plans: dict[Way, WallPlan], way: Way) -> None:
    """Jamb studs either side from floor to head, a track over a door, one over and one under a window."""
    some = plans[way]

    for opening in some.wall.openings:
        for jamb in (opening.x_mm, opening.right_mm):
            (stud,) = [
                m
                for m in some.members
                if m.role == Role.JAMB and jamb in (m.x_mm - m.face_mm / 2, m.x_mm + m.face_mm / 2)
            ]
            assert (stud.bottom_mm, stud.top_mm) == (0, 2590)
    assert sorted((b.role, b.purpose.split(",")[0]) for b in bars_of(some, Role.HEAD, Role.SILL)) == [
        (Role.HEAD, "head member of D1"),
        (Role.HEAD, "head member of N1"),
        (Role.SILL, "sill member of N1"),
    ]


@both
def test_head_members_are_turned_onto_the_jambs(plans: dict[Way, WallPlan], way: Way) -> None:
    """Both ends turned up 100 mm (common practice, no source): cut longer than the opening is wide."""
    for bar in bars_of(plans[way], Role.HEAD, Role.SILL):
        assert bar.length_mm == bar.bx_mm - bar.ax_mm + 2 * 100


@both
def test_cripples_stay_on_the_grid(plans: dict[Way, WallPlan], way: Way) -> None:
    """Short studs over and under openings carry the same joints as the studs beside them."""
    some = plans[way]
    (grid,) = some.grids
    joints = {x for layer in some.vertical_joints_mm for x in layer}

    cripples = [m for m in some.members if m.role == Role.CRIPPLE]

    assert {m.bottom_mm for m in cripples} >= {0, 2050, 2100}
    for member in cripples:
        assert (member.x_mm - grid.origin_mm) % 600 == 0 or member.x_mm in joints


@both
def test_fixings_1000_apart_at_floor_and_head_and_700_at_the_ends(
    plans: dict[Way, WallPlan], way: Way
) -> None:
    """A detailing handbook of dry construction, p. 15, after DIN 18183 (read)."""
    some = plans[way]
    of = {bar.mark: bar for bar in some.bars}

    seen = set()
    for line in some.fixings:
        role = of[line.bar].role
        seen.add(role)
        greatest = 1000 if role in (Role.FLOOR_TRACK, Role.HEAD_TRACK) else 700
        for a, b in pairwise(line.places_mm):
            assert hypot(b[0] - a[0], b[1] - a[1]) <= greatest
    assert seen == {Role.FLOOR_TRACK, Role.HEAD_TRACK, Role.SIDE_TRACK if way == BRACKETED else Role.END}


@both
def test_sealing_strip_under_every_profile_that_touches_structure(
    plans: dict[Way, WallPlan], way: Way
) -> None:
    """Common practice, no source: sound goes where air goes. As long and as wide as the profile."""
    some = plans[way]
    strips = {run.note: run for run in runs_of(some, RunKind.SEALING_STRIP)}

    tracks = bars_of(some, Role.FLOOR_TRACK, Role.HEAD_TRACK)
    ends = [m for m in some.members if m.role in (Role.END, Role.SIDE_TRACK)]

    assert set(strips) == {bar.mark for bar in tracks} | {member.mark for member in ends}
    for bar in tracks:
        assert strips[bar.mark].length_mm == bar.length_mm
    for member in ends:
        assert strips[member.mark].length_mm == member.top_mm - member.bottom_mm
    depth = 28 if way == BRACKETED else 75
    width = {c.id: c.width_mm for c in PRACTICE.consumables.values()}
    assert all(width[run.item] >= depth for run in strips.values())


@both
def test_the_floor_track_stops_at_a_door_and_goes_under_a_window(
    plans: dict[Way, WallPlan], way: Way
) -> None:
    """Nobody wants to trip over a track."""
    covered = [(b.ax_mm, b.bx_mm) for b in bars_of(plans[way], Role.FLOOR_TRACK)]

    assert not any(a < 5200 and b > 4200 for a, b in covered)
    assert sum(b - a for a, b in covered) == 6000 - 1000


@pytest.mark.parametrize("profile", ["CW-75", "CW-100"])
def test_free_standing_linings_in_75_or_100_studs(profile: str) -> None:
    """Common practice, no source, where sound matters: a frame of its own, in tracks of its own depth."""
    some = plan(wall(lining=lining(FREE, profile=profile)))

    assert some.build_up.frame_depth_mm == int(profile[-3:].strip("-"))
    assert {bar.item for bar in some.bars} == {profile, profile.replace("CW", "UW")}
    assert not some.brackets


def test_tiles_on_one_layer_bring_studs_closer() -> None:
    """From memory: leaflet of a trade association, at most 417 under tiles on a single layer of 12.5 mm."""
    some = plan(wall(lining=lining(FREE, 1, tiled=True, bays_per_board=3)))

    assert all(b.x_mm - a.x_mm <= 417 for a, b in pairwise(standing_at(some, 1000)))


@both
def test_under_a_slab_that_moves_studs_and_boards_leave_room(way: Way) -> None:
    """15 mm of movement (common practice, no source), besides the 10 by which studs are cut short anyway."""
    some = plan(wall(way=way, head_moves=True))

    assert all(2600 - m.top_mm == 10 + 15 for m in some.members)
    assert max(y for piece in some.boards for _, y in piece.ring) <= 2600 - 15


@pytest.mark.parametrize("build", [MemberBuild.DOUBLED, MemberBuild.BOXED])
def test_doubled_and_boxed_studs_count_twice(build: MemberBuild) -> None:
    """Twice the steel in the takeoff: two bars to each member, of the same length."""
    some = plan(wall(lining=lining(build=build)))

    for member in some.members:
        lengths = [bar.length_mm for bar in some.bars if bar.member == member.mark]
        assert lengths == [2590, 2590]
    assert {m.face_mm for m in some.members} == {100 if build == MemberBuild.DOUBLED else 50}


def test_spliced_studs_overlap_and_alternate() -> None:
    """Studs of 7 m from 6 m stock overlap 750 (CW 75; from memory: DIN 18183-1), up and down in turn."""
    some = plan(wall(3000, 7000))
    lower = []
    for member in some.members:
        parts = sorted((b for b in some.bars if b.member == member.mark), key=lambda b: b.ay_mm)
        assert len(parts) == 2
        assert parts[0].by_mm - parts[1].ay_mm == 750
        assert parts[0].length_mm + parts[1].length_mm - 750 == 6990
        assert max(b.length_mm for b in parts) <= 6000
        lower.append(parts[0].length_mm)
    assert all(a != b for a, b in pairwise(lower))


def test_channels_are_joined_end_to_end_with_their_connectors() -> None:
    """CD 60/27 is not overlapped: the parts add up to the channel."""
    some = plan(wall(3000, 4600, BRACKETED))

    for member in some.members:
        if member.role != Role.SIDE_TRACK:
            parts = [b for b in some.bars if b.member == member.mark]
            assert sum(b.length_mm for b in parts) == 4590
            assert len(parts) == 2
            assert "connector" in parts[0].purpose


def test_every_bar_can_be_bought() -> None:
    """Nothing is longer than its profile's longest stock length."""
    for some in (plan(wall(22_000, 7000)), plan(wall(22_000, 4600, BRACKETED))):
        for bar in some.bars:
            assert bar.length_mm <= max(PRACTICE.profiles[bar.item].stock_lengths_mm)
            assert bar.length_mm >= 100
