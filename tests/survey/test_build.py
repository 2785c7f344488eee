"""The walls of a job as everything after works on them."""

from __future__ import annotations

import pytest
from tests.job.two_rooms import HEAD, TWO_ROOMS, one_wall, read

from innerleaf.errors import FileFaults
from innerleaf.job.starter import starter_text
from innerleaf.practice.load import load_practice
from innerleaf.survey.build import given_walls, open_walls, survey
from innerleaf.survey.wall import (
    UNCHOSEN,
    Box,
    ExistingLayer,
    InsulationLayer,
    InsulationPlace,
    Lining,
    Meets,
    MemberBuild,
    Opening,
    OpeningKind,
    Targets,
    Wall,
    Way,
)

PRACTICE = load_practice()


def only_wall(text: str) -> Wall:
    return survey(read(text), PRACTICE)[0]


def test_a_wall_is_complete() -> None:
    assert only_wall(TWO_ROOMS) == Wall(
        id="W-01",
        name="street side",
        room="bedroom 2",
        storey="1",
        other_side="outside",
        outline=((0, 0), (4200, 0), (4200, 2600), (0, 2600)),
        meets=(Meets.SCREED, Meets.MASONRY, Meets.SLAB, Meets.MASONRY),
        head_moves=False,
        openings=(
            Opening(
                id="window-1",
                kind=OpeningKind.WINDOW,
                x_mm=1500,
                sill_mm=850,
                width_mm=1200,
                height_mm=1350,
                reveal_mm=180,
                reveal_lined=False,
            ),
        ),
        obstacles=(),
        boxes=(Box(id="box-1", x_mm=600, y_mm=300, diameter_mm=68, count=2, pitch_mm=71),),
        loads=(),
        construction=(
            ExistingLayer(material="brick-1800", thickness_mm=365),
            ExistingLayer(material="gypsum-plaster-1300", thickness_mm=15),
        ),
        offsets=None,
        building_joints_mm=(),
        wet_room=False,
        questions=(),
        lining=Lining(
            id="warm",
            way=Way.BRACKETED,
            profile="CD-60-27",
            bays_per_board=2,
            build=MemberBuild.SINGLE,
            boards=("board-A-12.5",),
            insulation=(InsulationLayer(item="wool-60", place=InsulationPlace.BEHIND),),
            membrane="",
            bracket="",
            gap_mm=60,
            tiled=False,
            finish="Q2",
        ),
        targets=Targets(u_value_w_m2k=0.4),
    )


@pytest.mark.parametrize(
    ("changes", "bays"),
    [
        ("{}", 2),
        ("{spacing: 400}", 3),
        ("{spacing: 300}", 4),
        ("{tiled: true}", 3),
        ("{spacing: 600, tiled: true}", 2),
    ],
)
def test_the_members_divide_the_board(changes: str, bays: int) -> None:
    """Without a spacing, by the fewest bays that the practice set allows; closer under tiles."""
    assert (
        only_wall(one_wall(f"type: outer\nlength: 3000\nlining_changes: {changes}")).lining.bays_per_board
        == bays
    )


def test_boards_of_1250_take_members_at_625_or_417() -> None:
    fields = "type: outer\nlength: 3000\nlining_changes: {{boards: [board-A-12.5x1250], spacing: {}}}"

    assert [only_wall(one_wall(fields.format(spacing))).lining.bays_per_board for spacing in (625, 417)] == [
        2,
        3,
    ]


def test_two_rooms_of_one_name_are_told_apart() -> None:
    text = TWO_ROOMS.replace("name: bathroom", "name: bedroom 2")

    assert [wall.room for wall in survey(read(text), PRACTICE)] == ["bedroom 2 (bed2)", "bedroom 2 (bath)"]


def test_insulation_counts_from_the_old_wall() -> None:
    text = one_wall("type: outer\nlength: 3000\nlining_changes: {gap: 80, insulation: [wool-40]}")

    assert [layer.place for layer in only_wall(text).lining.insulation] == [
        "behind the frame",
        "between members",
    ]


def test_a_lining_that_nobody_chose_is_refused_and_every_such_wall_is_named() -> None:
    text = HEAD + (
        "walls:\n"
        "  - {id: W-01, room: bed2, type: outer, length: 3000}\n"
        "  - {id: W-02, room: bath, type: outer, length: 3000, lining: choose}\n"
    )

    with pytest.raises(FileFaults) as error:
        survey(read(text), PRACTICE)

    assert error.value.faults == (
        "mill.yaml:20: wall W-02 (bathroom), field lining: given 'choose', accepted: the name of a lining,"
        " or to have one chosen first.",
    )


def test_open_walls_come_with_what_is_settled_of_their_lining() -> None:
    """What `lining_changes` says beside `choose` is settled, the rest is free."""
    text = HEAD + (
        "walls:\n"
        "  - {id: W-01, room: bed2, type: outer, length: 3000}\n"
        "  - {id: W-02, room: bath, type: outer, length: 3000, lining: choose,\n"
        "     lining_changes: {tiled: true, finish: Q1, membrane: none, boards: [board-H-12.5], gap: 40}}\n"
    )
    ((wall, wish),) = open_walls(read(text), PRACTICE)

    assert (wall.id, wall.lining) == ("W-02", UNCHOSEN)
    assert (wish.tiled, wish.finish, wish.membrane, wish.gap_mm) == (True, "Q1", "", 40)
    assert (wish.boards, wish.way, wish.insulation) == (("board-H-12.5",), None, None)
    assert [wall.id for wall in given_walls(read(text), PRACTICE)] == ["W-01"]


def test_a_chosen_lining_is_taken_over() -> None:
    text = HEAD + "walls:\n  - {id: W-02, room: bath, type: outer, length: 3000, lining: choose}\n"
    job = read(text)
    lining = only_wall(text.replace("choose", "warm")).lining

    (wall,) = survey(job, PRACTICE, {"W-02": lining})

    assert wall.lining == lining


def test_the_starter_gives_both_ways_to_build() -> None:
    assert {wall.lining.way for wall in survey(read(starter_text()), PRACTICE)} == set(Way)
