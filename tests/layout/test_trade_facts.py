"""Facts of the trade, asked of an everyday wall on the default metric set, both ways to build.

Each number stands here as the trade says it, with how it is known, not as the practice set has it.
"""

from __future__ import annotations

from itertools import pairwise
from math import hypot

import pytest
import shapely
from tests.layout.plain import (
    BRACKETED,
    FREE,
    PRACTICE,
    bars_of,
    everyday_wall,
    item,
    lining,
    load,
    obstacle,
    plan,
    ring_area,
    runs_of,
    standing_at,
    wall,
)

from innerleaf.layout.pieces import BoardPiece, Role, RunKind, WallPlan
from innerleaf.practice.model import ConsumableUse
from innerleaf.survey.wall import InsulationLayer, InsulationPlace, Meets, MemberBuild, ObstacleKind, Way

both = pytest.mark.parametrize("way", [BRACKETED, FREE])


@pytest.fixture(scope="module")
def plans() -> dict[Way, WallPlan]:
    """The everyday wall set out both ways."""
    return {way: plan(everyday_wall(way)) for way in (BRACKETED, FREE)}


def heights(piece: BoardPiece) -> tuple[float, float]:
    ys = [y for _, y in piece.ring]
    return min(ys), max(ys)


# --- frame ----------------------------------------------------------------------------------------


def test_brackets_at_most_1500_apart_up_a_channel(plans: dict[Way, WallPlan]) -> None:
    """Common practice, no source: farther apart the channel bends when somebody leans on the wall."""
    some = plans[BRACKETED]

    for member in some.members:
        up = sorted(b.y_mm for b in some.brackets if b.member == member.mark)
        assert all(b - a <= 1500 for a, b in pairwise(up))


def test_brackets_at_most_600_apart_along_the_wall(plans: dict[Way, WallPlan]) -> None:
    """Common practice, no source. Only an opening may lie between, where there is no lining to hold."""
    some = plans[BRACKETED]
    gaps = [(o.x_mm - 60, o.right_mm + 60) for o in some.wall.openings]

    xs = sorted({b.x_mm for b in some.brackets})

    assert xs[0] <= 600
    assert 6000 - xs[-1] <= 600
    for a, b in pairwise(xs):
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
    """Common practice, no source: a stud as long as the room is high cannot be turned in between the tracks."""
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
    """Common practice, no source: sound goes where air goes. As long as the profile and wide enough for it."""
    some = plans[way]
    strips = {run.note: run for run in runs_of(some, RunKind.SEALING_STRIP)}

    tracks = bars_of(some, Role.FLOOR_TRACK, Role.HEAD_TRACK)
    ends = [m for m in some.members if m.role in (Role.END, Role.SIDE_TRACK)]

    assert set(strips) == {piece.mark for piece in (*tracks, *ends)}
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

    assert not any(a < 5200 and 4200 < b for a, b in covered)
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


# --- boards ---------------------------------------------------------------------------------------


@both
def test_vertical_joints_lie_on_the_middle_of_a_stud(plans: dict[Way, WallPlan], way: Way) -> None:
    """Both boards need steel behind their edge."""
    some = plans[way]
    middles = {member.x_mm for member in some.members}

    assert all(x in middles for layer in some.vertical_joints_mm for x in layer)


@both
def test_joints_of_the_second_layer_are_a_bay_away_from_the_first(
    plans: dict[Way, WallPlan], way: Way
) -> None:
    """From memory: DIN 18181, one stud bay or 400."""
    first, second = plans[way].vertical_joints_mm

    assert min(abs(a - b) for a in first for b in second) >= 400


@both
def test_no_joint_within_150_of_a_jamb(plans: dict[Way, WallPlan], way: Way) -> None:
    """From memory: DIN 18181, a joint in line with a jamb cracks."""
    some = plans[way]

    for layer in some.vertical_joints_mm:
        for x in layer:
            assert all(abs(x - jamb) >= 150 for o in some.wall.openings for jamb in (o.x_mm, o.right_mm))


@both
def test_boards_are_notched_in_one_piece_round_the_jambs(plans: dict[Way, WallPlan], way: Way) -> None:
    """An L at the door, an L or U at the window: the board at each corner is one piece with that corner in it."""
    some = plans[way]

    for layer in (1, 2):
        for opening in some.wall.openings:
            for jamb in (opening.x_mm, opening.right_mm):
                (notched,) = [
                    p
                    for p in some.boards
                    if p.layer == layer
                    and p.plane == "face"
                    and (jamb, opening.head_mm) in (*p.ring, *(v for hole in p.holes for v in hole))
                ]
                xs = [x for x, _ in notched.ring]
                assert len(notched.ring) > 4 or notched.holes
                assert min(xs) <= jamb - 150
                assert max(xs) >= jamb + 150


@both
def test_boards_stop_10_above_the_floor(plans: dict[Way, WallPlan], way: Way) -> None:
    """From memory: DIN 18181: a wet screed or a mop must not reach the core."""
    assert min(heights(piece)[0] for piece in plans[way].boards if piece.plane == "face") == 10


@both
def test_boards_cover_the_wall_less_openings_and_gaps(plans: dict[Way, WallPlan], way: Way) -> None:
    """6000 x 2600 less 5 mm at ends and head, 10 at the floor, the window and the door: in each layer."""
    expected = 5990 * 2585 - 1200 * 1200 - 1000 * (2050 - 10)

    for layer in (1, 2):
        assert _tiled(plans[way], layer) == expected


def _tiled(some: WallPlan, layer: int) -> float:
    return sum(
        ring_area(p.ring) - sum(abs(ring_area(hole)) for hole in p.holes)
        for p in some.boards
        if p.layer == layer and p.plane == "face"
    )


@both
def test_no_strip_under_300(plans: dict[Way, WallPlan], way: Way) -> None:
    """Common practice, no source (200 to 300): a sliver breaks and is hardly held."""
    assert min(p.width_mm for p in plans[way].boards if p.plane == "face") >= 300


@both
def test_the_socket_is_cut_out_of_every_layer_and_listed(plans: dict[Way, WallPlan], way: Way) -> None:
    """Boarded over, nobody finds it again; it pierces the vapour control layer and has to be sealed."""
    some = plans[way]

    cut = [(p.layer, c.of, c.x_mm, c.y_mm) for p in some.boards for c in p.cutouts]

    assert cut == [(1, "B1", 3300, 300), (2, "B1", 3300, 300)]
    assert [(p.of, p.x_mm, p.y_mm, p.pierces_membrane) for p in some.penetrations] == [
        ("B1", 3300, 300, True)
    ]


def test_a_pipe_is_cut_out_with_room_for_sealant() -> None:
    """A pipe of 60 mm gets a hole 10 mm wider (common practice, no source)."""
    some = plan(wall(obstacles=(obstacle(ObstacleKind.PIPE, 2670, 300, 60, 60),)))

    assert {(c.x_mm, c.y_mm, c.diameter_mm) for p in some.boards for c in p.cutouts} == {(2700, 330, 70)}
    assert [p.of for p in some.penetrations] == ["O1"]


def test_reveal_boards_are_as_deep_as_the_reveal_and_the_lining(plans: dict[Way, WallPlan]) -> None:
    """From the window frame to the new face: 180 mm of old reveal and the whole depth of the lining."""
    some = plans[FREE]
    depth = 180 + some.build_up.total_mm

    sizes = {p.plane: (p.width_mm, p.length_mm) for p in some.boards if p.plane != "face"}

    assert sizes == {
        "N1 left": (depth, 1200),
        "N1 right": (depth, 1200),
        "N1 head": (depth, 1200),
        "N1 sill": (depth, 1200),
    }


def test_corner_beads_where_a_reveal_is_lined_and_edge_beads_where_not(plans: dict[Way, WallPlan]) -> None:
    """Four edges of the window get corner beads; the two jambs and the head of the door edge beads."""
    some = plans[FREE]

    assert sum(r.length_mm for r in runs_of(some, RunKind.CORNER_BEAD)) == 4 * 1200
    assert sum(r.length_mm for r in runs_of(some, RunKind.EDGE_BEAD)) == 2 * 2050 + 1000


def test_an_outer_corner_gets_a_corner_bead_and_an_open_end_an_edge_bead() -> None:
    """Over the whole height, in the seen layer."""
    free = wall(meets=(Meets.SLAB, Meets.OUTER_CORNER, Meets.SLAB, Meets.OPEN))
    some = plan(free)

    (corner,), (edge,) = runs_of(some, RunKind.CORNER_BEAD), runs_of(some, RunKind.EDGE_BEAD)

    assert (corner.ax_mm, corner.bx_mm, corner.length_mm, corner.layer) == (6000, 6000, 2600, 2)
    assert (edge.ax_mm, edge.bx_mm, edge.length_mm, edge.layer) == (0, 0, 2600, 2)


# --- screws ---------------------------------------------------------------------------------------


@both
@pytest.mark.parametrize("layer, greatest", [(1, 750), (2, 250)])
def test_screw_spacing(plans: dict[Way, WallPlan], way: Way, layer: int, greatest: int) -> None:
    """Seen layer 250 (common practice, no source; from memory: DIN 18181), first layer 750 (from memory: likewise)."""
    some = plans[way]
    openings = [(o.sill_mm, o.head_mm) for o in some.wall.openings]

    for line in some.screws:
        if line.layer == layer:
            for a, b in pairwise(line.places_mm):
                across = any(a < sill and head < b for sill, head in openings)
                assert b - a <= greatest or across
            assert line.places_mm


@both
def test_a_single_layer_is_the_seen_one(way: Way) -> None:
    """With one layer there is no first layer that may be screwed at 750."""
    some = plan(wall(way=way, layers=1))

    assert all(b - a <= 250 for line in some.screws for a, b in pairwise(line.places_mm))


@both
def test_screws_keep_off_edges_and_bite_steel(plans: dict[Way, WallPlan], way: Way) -> None:
    """From memory: DIN 18181, 10 mm from a paper-bound edge, 15 mm from a cut edge; on the face of a member."""
    some = plans[way]
    boards = {piece.mark: piece for piece in some.boards}
    members = {member.mark: member for member in some.members}

    for line in some.screws:
        piece, member = boards[line.board], members[line.support]
        xs = [x for x, _ in piece.ring]
        low, high = heights(piece)
        assert line.at_mm - min(xs) >= (10 if piece.left_bound else 15)
        assert max(xs) - line.at_mm >= (10 if piece.right_bound else 15)
        assert abs(line.at_mm - member.x_mm) < member.face_mm / 2
        assert line.places_mm[0] >= max(low + 15, member.bottom_mm)
        assert line.places_mm[-1] <= min(high - 15, member.top_mm)


@both
def test_screws_go_10_into_the_steel(plans: dict[Way, WallPlan], way: Way) -> None:
    """From memory: DIN 18181: 25 mm for one board of 12.5, 35 mm for two."""
    assert {(line.layer, line.item) for line in plans[way].screws} == {(1, "screw-25"), (2, "screw-35")}


# --- what lies in the cavity ----------------------------------------------------------------------


@both
def test_wool_fills_the_cavity_without_gaps(plans: dict[Way, WallPlan], way: Way) -> None:
    """Slabs as they lie add up to the wall less its openings, to a square millimetre."""
    filled = sum(ring_area(slab.ring) for slab in plans[way].slabs)

    assert filled == pytest.approx(6000 * 2600 - 1200 * 1200 - 1000 * 2050, abs=1)


@both
def test_slabs_are_cut_a_little_wider_than_the_bay(plans: dict[Way, WallPlan], way: Way) -> None:
    """So that they hold themselves; never wider than a slab is made."""
    for slab in plans[way].slabs:
        xs = [x for x, _ in slab.ring]
        assert max(xs) - min(xs) <= slab.width_mm <= 600


def test_two_layers_of_wool_each_fill_the_wall() -> None:
    """Behind the frame in courses with their joints shifted, between the members bay by bay."""
    layers = (
        InsulationLayer(item="wool-40", place=InsulationPlace.BEHIND),
        InsulationLayer(item="wool-75", place=InsulationPlace.BETWEEN),
    )
    some = plan(wall(lining=lining(FREE, insulation=layers)))

    for layer in (1, 2):
        area = sum(ring_area(s.ring) for s in some.slabs if s.layer == layer)
        assert area == pytest.approx(6000 * 2600, abs=1)
    assert some.build_up.frame_back_mm >= 40


@both
def test_the_vapour_control_layer_covers_the_wall_with_laps(plans: dict[Way, WallPlan], way: Way) -> None:
    """Strips of 2 m lapped by 100, each lap taped, all edges sealed: a hole of a millimetre counts."""
    some = plans[way]
    wanted = (
        shapely.box(0, 0, 6000, 2600) - shapely.box(1500, 900, 2700, 2100) - shapely.box(4200, 0, 5200, 2050)
    )
    strips = [shapely.Polygon(strip.ring, strip.holes) for strip in some.membrane]

    assert shapely.union_all(strips).symmetric_difference(wanted).area < 1
    doubled = sum(strip.area for strip in strips) - wanted.area
    laps = runs_of(some, RunKind.MEMBRANE_LAP)
    assert doubled == pytest.approx(100 * sum(run.length_mm for run in laps), rel=1e-6)
    sealed = sum(run.length_mm for run in runs_of(some, RunKind.MEMBRANE_SEAL))
    assert sealed == 2 * (6000 + 2600) + 4 * 1200 + 2 * 2050
    assert all(run.item == item(ConsumableUse.MEMBRANE_TAPE) for run in laps)


def test_a_backing_plate_spans_from_member_to_member_behind_a_hung_load() -> None:
    """Wherever its fixings are there is steel or a plate behind the board."""
    some = plan(wall(loads=(load(1700, 1400, 900),)))
    plates = sorted(bars_of(some, Role.BACKING), key=lambda bar: bar.ax_mm)

    faces = [(m.x_mm - m.face_mm / 2, m.x_mm + m.face_mm / 2) for m in standing_at(some, 1400)]
    covered = sorted([*faces, *((bar.ax_mm, bar.bx_mm) for bar in plates)])
    at = 1700.0
    for a, b in covered:
        if a <= at:
            at = max(at, b)
    assert at >= 2600
    assert {bar.ay_mm for bar in plates} == {1400}
    for bar in plates:
        assert bar.ax_mm in {right for _, right in faces}
        assert bar.bx_mm in {left for left, _ in faces}


def test_a_radiator_is_backed_near_its_top() -> None:
    """It hangs on the lining by its upper edge."""
    some = plan(wall(obstacles=(obstacle(ObstacleKind.RADIATOR, 2000, 150, 1000, 600),)))

    assert bars_of(some, Role.BACKING)
    assert all(150 < bar.ay_mm <= 750 for bar in bars_of(some, Role.BACKING))


# --- heads, splices, doubled studs ----------------------------------------------------------------


@both
def test_under_a_slab_that_moves_studs_and_boards_leave_room(way: Way) -> None:
    """15 mm of movement (common practice, no source), besides the 10 by which studs are cut short anyway."""
    some = plan(wall(way=way, head_moves=True))

    assert all(2600 - m.top_mm == 10 + 15 for m in some.members)
    assert max(heights(piece)[1] for piece in some.boards) <= 2600 - 15


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
