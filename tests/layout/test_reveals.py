"""What covers reveals and flanks: boards that do not share corners, and insulation under them."""

from __future__ import annotations

from dataclasses import replace
from random import Random
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.layout.plain import BRACKETED, obstacle, plan, wall, window
from tests.layout.test_invariants import broken_promises
from tests.layout.walls import random_wall

from innerleaf.layout.pieces import RunKind
from innerleaf.survey.wall import FlankInsulation, Meets, ObstacleKind, OpeningKind, Wall

STRIP = FlankInsulation(item="foam-30", thickness_mm=30, width_mm=500)


@pytest.mark.parametrize("kind", list(OpeningKind))
def test_reveal_boards_do_not_share_corners(kind: OpeningKind) -> None:
    """Head and sill between the sides, two boards of 12.5 shorter; a niche's sides in front of its back."""
    opening = window(1500, kind=kind, sill=0 if kind == OpeningKind.DOOR else 900)
    some = plan(wall(openings=(opening,)))
    depth = 180 + some.build_up.total_mm

    sizes = {p.plane.removeprefix("N1 "): (p.width_mm, p.length_mm) for p in some.boards if p.plane != "face"}

    assert sizes.pop("back", None) == ((1200, 1200) if kind == OpeningKind.NICHE else None)
    # The back of a niche takes 12.5 of the depth; cut sizes are whole millimetres.
    deep = depth - 12 if kind == OpeningKind.NICHE else depth
    assert sizes.pop("left") == sizes.pop("right") == (deep, 1200)
    assert sizes.pop("head") == (deep, 1175)
    assert sizes.pop("sill", None) == (None if kind == OpeningKind.DOOR else (deep, 1175))
    assert not sizes


def test_insulation_makes_the_opening_narrower() -> None:
    """30 mm and a board of 12.5 on both sides of 1200: the head's board is 1200 - 60 - 25 long."""
    opening = window(1500, reveal_insulation="foam-30", reveal_insulation_mm=30)
    some = plan(wall(openings=(opening,)))
    depth = round(180 + some.build_up.total_mm)
    boards = {p.plane: (p.width_mm, p.length_mm) for p in some.boards if p.plane != "face"}
    slabs = {s.plane: (s.width_mm, s.length_mm) for s in some.slabs if s.plane != "face"}
    behind_boards = depth - round(some.build_up.packet_mm)

    assert [boards[f"N1 {side}"] for side in ("left", "head")] == [(depth, 1140), (depth, 1115)]
    insulated_sides = [slabs[f"N1 {side}"] for side in ("left", "head")]
    assert insulated_sides == [(behind_boards, 1200), (behind_boards, 1140)]
    assert boards.keys() == slabs.keys()
    (_, (hole,)) = some.board_area[0]
    assert sorted({x for x, _ in hole}) == [1530, 2670]
    assert sorted({y for _, y in hole}) == [930, 2070]


def test_a_door_keeps_its_floor_and_a_niche_gets_its_back_insulated() -> None:
    foam: dict[str, Any] = {"reveal_insulation": "foam-20", "reveal_insulation_mm": 20}
    doorway = plan(wall(openings=(window(1500, kind=OpeningKind.DOOR, sill=0, height=2000, **foam),)))
    recess = plan(wall(openings=(window(1500, kind=OpeningKind.NICHE, **foam),)))

    assert {s.plane for s in doorway.slabs} == {"face", "N1 left", "N1 right", "N1 head"}
    assert doorway.wall.openings[0].faced.sill_mm == 0
    back = [s for s in recess.slabs if s.plane == "N1 back"]
    assert sum(s.width_mm * s.length_mm for s in back) == 1200 * 1200


def test_strips_lie_on_all_that_holds_them_but_floors() -> None:
    """Sides run the full height, the strip overhead fits between what lies on them (30 and 12.5 each)."""
    some = plan(wall(flank=STRIP, meets=(Meets.SLAB, Meets.MASONRY, Meets.SLAB, Meets.INNER_CORNER)))
    area = {
        plane: sum(s.width_mm * s.length_mm for s in some.slabs if s.plane == plane)
        for plane in {s.plane for s in some.slabs} - {"face"}
    }

    assert area == {"edge 2 flank": 500 * 2600, "edge 3 flank": 500 * (6000 - 43)}
    beads = [run for run in some.runs if run.kind == RunKind.EDGE_BEAD and run.note.endswith("flank")]
    assert [run.length_mm for run in beads] == [2600, 6000]


def test_a_column_divides_the_strip_overhead() -> None:
    column = obstacle(ObstacleKind.COLUMN, 2000, 0, 300, 2600)
    some = plan(wall(flank=STRIP, obstacles=(column,)))
    lengths = {
        plane: max(y for s in some.slabs if s.plane == plane for _, y in s.ring)
        for plane in {s.plane for s in some.slabs}
    }

    assert lengths["edge 3 part 1 flank"] == 6000 - 2300 - 43
    assert lengths["edge 3 part 2 flank"] == 2000 - 43


def insulated(wall: Wall, thickness: int) -> Wall:
    """The wall with every reveal lined over insulation, and strips on its flanks."""
    foam: dict[str, Any] = {"reveal_insulation": f"foam-{thickness}", "reveal_insulation_mm": thickness}
    openings = tuple(replace(opening, reveal_lined=True, **foam) for opening in wall.openings)
    return replace(wall, openings=openings, flank=STRIP)


@settings(max_examples=40, deadline=None, derandomize=True)
@given(st.integers(0, 10**9), st.sampled_from((20, 30, 40)))
def test_every_promise_is_kept_on_insulated_walls(seed: int, thickness: int) -> None:
    """Boards tile the face up to the narrower openings, reveals and flanks are covered, sums are right."""
    assert broken_promises(insulated(random_wall(Random(seed)), thickness)) == []


def test_members_stand_as_without_insulation() -> None:
    """Boards stand out over the jamb by the insulation; the steel stays where it was."""
    opening = window(1500)
    covered = replace(opening, reveal_insulation="foam-30", reveal_insulation_mm=30)
    bare, warm = (plan(wall(way=BRACKETED, layers=1, openings=(o,))) for o in (opening, covered))

    jambs = [sorted(m.x_mm for m in some.members if m.role == "jamb stud") for some in (bare, warm)]
    assert jambs[0] == jambs[1] != []
