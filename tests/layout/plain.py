"""Plain invented walls for the tests beside it, and short ways to ask a plan about its pieces."""

from __future__ import annotations

from random import Random
from typing import Any

import shapely
from hypothesis import strategies as st
from tests.layout.walls import random_wall

from innerleaf.layout.pieces import Bar, Member, Ring, Role, Run, RunKind, WallPlan
from innerleaf.layout.plan import plan_wall
from innerleaf.practice.load import load_practice
from innerleaf.practice.model import ConsumableUse
from innerleaf.survey.wall import (
    Box,
    HungLoad,
    InsulationLayer,
    InsulationPlace,
    Lining,
    Meets,
    MemberBuild,
    Obstacle,
    ObstacleKind,
    Opening,
    OpeningKind,
    Targets,
    Wall,
    Way,
)

PRACTICE = load_practice()
RULES = PRACTICE.rules
BOARD = "board-A-12.5"
BRACKETED, FREE = Way.BRACKETED, Way.STUD_AND_TRACK


def lining(way: Way = FREE, layers: int = 2, **changes: Any) -> Lining:
    """Two layers of 1200 board on members at 600, wool between them, a vapour control layer."""
    wanted: dict[str, Any] = {
        "id": "plain",
        "way": way,
        "profile": "CD-60-27" if way == BRACKETED else "CW-75",
        "bays_per_board": 2,
        "build": MemberBuild.SINGLE,
        "boards": (BOARD,) * layers,
        "insulation": (InsulationLayer(item="wool-50", place=InsulationPlace.BETWEEN),),
        "membrane": "membrane-PE-0.15",
        "bracket": "",
        "gap_mm": 20,
        "tiled": False,
        "finish": "Q2",
    }
    return Lining(**(wanted | changes))


def wall(length: int = 6000, height: int = 2600, way: Way = FREE, layers: int = 2, **changes: Any) -> Wall:
    """A bare rectangle between masonry, from slab to slab."""
    found: dict[str, Any] = {
        "id": "W-01",
        "name": "plain wall",
        "room": "R-01",
        "storey": "0",
        "other_side": "outside",
        "outline": ((0, 0), (length, 0), (length, height), (0, height)),
        "meets": (Meets.SLAB, Meets.MASONRY, Meets.SLAB, Meets.MASONRY),
        "head_moves": False,
        "openings": (),
        "obstacles": (),
        "boxes": (),
        "loads": (),
        "construction": (),
        "offsets": None,
        "building_joints_mm": (),
        "wet_room": False,
        "questions": (),
        "lining": lining(way, layers),
        "targets": Targets(),
    }
    return Wall(**(found | changes))


def window(x: int, width: int = 1200, sill: int = 900, height: int = 1200, **changes: Any) -> Opening:
    """A window whose reveal is lined."""
    found: dict[str, Any] = {"id": "N1", "kind": OpeningKind.WINDOW, "reveal_mm": 180, "reveal_lined": True}
    return Opening(**(found | changes), x_mm=x, sill_mm=sill, width_mm=width, height_mm=height)


def door(x: int, width: int = 1000, height: int = 2050, **changes: Any) -> Opening:
    """A door whose reveal is not lined."""
    found: dict[str, Any] = {"id": "D1", "kind": OpeningKind.DOOR, "reveal_mm": 100, "reveal_lined": False}
    return Opening(**(found | changes), x_mm=x, sill_mm=0, width_mm=width, height_mm=height)


def obstacle(kind: ObstacleKind, x: int, y: int, width: int, height: int) -> Obstacle:
    """A column, beam, pipe or radiator that stands 100 out of the wall."""
    return Obstacle(id="O1", kind=kind, x_mm=x, y_mm=y, width_mm=width, height_mm=height, projection_mm=100)


def box(x: int, y: int = 300, count: int = 1) -> Box:
    """A socket."""
    return Box(id="B1", x_mm=x, y_mm=y, diameter_mm=68, count=count, pitch_mm=71)


def load(x: int, y: int, width: int = 600, mass: float = 15) -> HungLoad:
    """A cupboard."""
    return HungLoad(id="H1", x_mm=x, y_mm=y, width_mm=width, mass_kg=mass, depth_mm=200)


def everyday_wall(way: Way, layers: int = 2) -> Wall:
    """6 x 2.6 m with a window, a door and a socket: the wall that the facts of the trade are asked of."""
    openings = (window(1500), door(4200))
    return wall(way=way, layers=layers, openings=openings, boxes=(box(3300),))


def plan(some: Wall) -> WallPlan:
    """The wall set out by the default metric set."""
    return plan_wall(some, PRACTICE)


def bars_of(some: WallPlan, *roles: Role) -> list[Bar]:
    """Bars that serve as one of these."""
    return [bar for bar in some.bars if bar.role in roles]


def runs_of(some: WallPlan, kind: RunKind) -> list[Run]:
    """Runs of one kind."""
    return [run for run in some.runs if run.kind == kind]


def standing_at(some: WallPlan, y: float) -> list[Member]:
    """Members that a level line crosses, left to right."""
    return sorted((m for m in some.members if m.bottom_mm < y < m.top_mm), key=lambda m: m.x_mm)


def codes(some: WallPlan) -> set[str]:
    """Codes of the findings of a plan."""
    return {finding.code for finding in some.findings}


def lawful(some: Wall) -> bool:
    """Whether all openings lie inside the outline; other walls are refused before a layout is asked for."""
    outline = shapely.Polygon(some.outline)
    boxes = [shapely.box(o.x_mm, o.sill_mm, o.right_mm, o.head_mm) for o in some.openings]
    return all(outline.covers(box) for box in boxes)


# Random lawful walls: rectangles, gables, rakes and steps with all that can be on them.
WALLS = st.integers(0, 10**9).map(lambda seed: random_wall(Random(seed))).filter(lawful)


def ring_area(ring: Ring) -> float:
    """Area inside a ring, by the shoelace formula. [mm2]"""
    return sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(ring, ring[1:] + ring[:1], strict=True)) / 2


def item(use: ConsumableUse, width_mm: int = 0) -> str:
    """The consumable that the default set has for a use."""
    return PRACTICE.consumable(use, width_mm).id
