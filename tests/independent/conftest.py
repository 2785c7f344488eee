"""Plans to be spoilt: one set out by hand, four by the layout engine."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from tests.independent.check_plan import as_read
from tests.small_plan import Head, small_plan, small_wall

from innerleaf.layout.pieces import WallPlan
from innerleaf.layout.plan import plan_wall
from innerleaf.plan_file import plan_document
from innerleaf.practice.load import load_practice
from innerleaf.practice.model import Practice
from innerleaf.survey.wall import FlankInsulation, Meets, Obstacle, ObstacleKind, Wall, Way
from innerleaf.takeoff import take_off

Json = dict[str, Any]


@pytest.fixture(scope="module")
def practice() -> Practice:
    return load_practice()


def document_of(plans: list[WallPlan], practice: Practice) -> Json:
    document = plan_document(Head(), practice, plans, take_off(plans, practice))
    return as_read(document)


@pytest.fixture(scope="module")
def by_hand(practice: Practice) -> Json:
    return document_of([small_plan(practice)], practice)


@pytest.fixture(scope="module")
def planned(practice: Practice) -> Json:
    """By the layout engine: free-standing, bracketed, high with a rake and a column, stepped and jointed."""
    return document_of([plan_wall(wall, practice) for wall in walls()], practice)


def walls() -> list[Wall]:
    plain = small_wall()
    window = replace(
        plain.openings[0], reveal_lined=True, reveal_insulation="foam-20", reveal_insulation_mm=20
    )
    foam = FlankInsulation(item="foam-30", thickness_mm=30, width_mm=500)
    bracketed = replace(plain.lining, way=Way.BRACKETED, profile="CD-60-27", boards=("board-A-12.5",))
    high = replace(plain.lining, profile="CW-100", membrane="", boards=("board-A-12.5",))
    column = Obstacle(
        id="C1", kind=ObstacleKind.COLUMN, x_mm=3000, y_mm=0, width_mm=250, height_mm=9000, projection_mm=300
    )
    raked = replace(
        plain,
        id="W-03",
        outline=((0, 0), (6000, 0), (6000, 5200), (0, 7600)),
        meets=(Meets.SLAB, Meets.OPEN, Meets.ROOF, Meets.MASONRY),
        obstacles=(column,),
        lining=high,
        openings=(),
    )
    stepped = replace(
        plain,
        id="W-04",
        outline=((0, 0), (5000, 0), (5000, 2500), (3000, 2500), (3000, 6000), (0, 6000)),
        meets=(Meets.SLAB, Meets.MASONRY, Meets.SLAB, Meets.MASONRY, Meets.CEILING, Meets.MASONRY),
        head_moves=True,
        building_joints_mm=(4000,),
        openings=(replace(plain.openings[0], x_mm=800, width_mm=1000, sill_mm=3500, height_mm=1000),),
        lining=replace(high, boards=("board-A-12.5",) * 2),
    )
    insulated = replace(plain, id="W-05", lining=bracketed, openings=(window,), flank=foam)
    return [plain, replace(plain, id="W-02", lining=bracketed), raked, stepped, insulated]
