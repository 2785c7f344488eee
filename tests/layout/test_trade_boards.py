"""Facts of the trade about boards and screws, asked of an everyday wall, both ways to build.

Each number stands here as the trade says it, with how it is known, not as the practice set has it.
"""

from __future__ import annotations

from itertools import pairwise

import pytest
from tests.layout.plain import (
    BRACKETED,
    FREE,
    RULES,
    door,
    obstacle,
    plan,
    ring_area,
    runs_of,
    wall,
)

from innerleaf.layout.pieces import BoardPiece, RunKind, WallPlan
from innerleaf.survey.wall import Meets, ObstacleKind, Way

both = pytest.mark.parametrize("way", [BRACKETED, FREE])


def heights(piece: BoardPiece) -> tuple[float, float]:
    ys = [y for _, y in piece.ring]
    return min(ys), max(ys)


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
    """An L at the door, an L or U at the window: each corner lies within one piece."""
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
    """From the window frame to the new face: 180 mm of old reveal and the whole depth of the lining.

    Head and sill fit between left and right: two boards of 12.5 less.
    """
    some = plans[FREE]
    depth = 180 + some.build_up.total_mm

    sizes = {p.plane: (p.width_mm, p.length_mm) for p in some.boards if p.plane != "face"}

    assert sizes == {
        "N1 left": (depth, 1200),
        "N1 right": (depth, 1200),
        "N1 head": (depth, 1175),
        "N1 sill": (depth, 1175),
    }


def test_corner_beads_where_a_reveal_is_lined_and_edge_beads_where_not(plans: dict[Way, WallPlan]) -> None:
    """Four edges of the window get corner beads; jambs and head of the door edge beads."""
    some = plans[FREE]

    assert sum(r.length_mm for r in runs_of(some, RunKind.CORNER_BEAD)) == 4 * 1200
    assert (
        sum(r.length_mm for r in runs_of(some, RunKind.EDGE_BEAD))
        == 2 * (2050 - RULES.board_gap_floor_mm) + 1000
    )


def test_an_outer_corner_gets_a_corner_bead_and_an_open_end_an_edge_bead() -> None:
    """Over the height of the boards, in the seen layer; each corner counts with the wall that ends there."""
    free = wall(meets=(Meets.SLAB, Meets.OUTER_CORNER, Meets.SLAB, Meets.OPEN))
    some = plan(free)

    (corner,), (edge,) = runs_of(some, RunKind.CORNER_BEAD), runs_of(some, RunKind.EDGE_BEAD)

    height = 2600 - RULES.board_gap_floor_mm - RULES.board_gap_ceiling_mm
    assert (corner.ax_mm, corner.bx_mm, corner.length_mm, corner.layer) == (6000, 6000, height, 2)
    assert (edge.ax_mm, edge.bx_mm, edge.length_mm, edge.layer) == (0, 0, height, 2)
    begins = plan(wall(meets=(Meets.SLAB, Meets.MASONRY, Meets.SLAB, Meets.OUTER_CORNER)))
    assert not runs_of(begins, RunKind.CORNER_BEAD)


@both
@pytest.mark.parametrize(("layer", "greatest"), [(1, 750), (2, 250)])
def test_screw_spacing(plans: dict[Way, WallPlan], way: Way, layer: int, greatest: int) -> None:
    """250 in the seen layer (common practice, no source), 750 in the first (from memory: DIN 18181)."""
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
    """From memory: DIN 18181, 10 mm from a paper-bound edge, 15 from a cut edge; on a member's face."""
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


def test_only_edges_as_the_board_came_count_as_bound() -> None:
    """Beside a door higher than a board the lower pieces end at the jamb: that edge is cut, its core open."""
    some = plan(wall(4000, 4600, BRACKETED, 1, openings=(door(1500, 500, 3200),)))
    (grid,) = some.grids
    ends = {5, 3995, *some.vertical_joints_mm[0]}

    at_jamb = 0
    for piece in some.boards:
        xs = [x for x, _ in piece.ring]
        at_jamb += min(xs) == 2000 or max(xs) == 1500
        assert not piece.left_bound or min(xs) in ends
        assert not piece.right_bound or max(xs) in ends
    assert at_jamb
    assert (grid.from_mm, grid.to_mm) == (0, 4000)
