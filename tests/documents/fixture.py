"""Walls for the tests of drawings: one of everything, all of it invented."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

from innerleaf.findings import Finding
from innerleaf.layout.pieces import WallPlan
from innerleaf.layout.plan import plan_wall
from innerleaf.practice.load import load_practice
from innerleaf.practice.model import Practice
from innerleaf.survey.wall import (
    Box,
    ExistingLayer,
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
    Point,
    Targets,
    Wall,
    Way,
)


@cache
def practice() -> Practice:
    """The metric set."""
    return load_practice("en_metric")


def a_lining(way: Way = Way.STUD_AND_TRACK) -> Lining:
    """Two layers on 75 mm studs, or on bracketed channels."""
    stud = way is Way.STUD_AND_TRACK
    return Lining(
        id="L1",
        way=way,
        profile="CW-75" if stud else "CD-60-27",
        bays_per_board=2,
        build=MemberBuild.SINGLE,
        boards=("board-A-12.5", "board-A-12.5"),
        insulation=(InsulationLayer(item="wool-50", place=InsulationPlace.BETWEEN),),
        membrane="membrane-PE-0.25",
        bracket="",
        gap_mm=20,
        tiled=False,
        finish="Q2",
    )


def a_wall(name: str = "W-03", way: Way = Way.STUD_AND_TRACK) -> Wall:
    """A brick wall 4800 × 2650 with a window, a door, sockets, a radiator and a hung cupboard."""
    return Wall(
        id=name,
        name="north wall",
        room="Bedroom 2",
        storey="first floor",
        other_side="outside",
        outline=((0, 0), (4800, 0), (4800, 2650), (0, 2650)),
        meets=(Meets.SCREED, Meets.PARTITION, Meets.SLAB, Meets.MASONRY),
        head_moves=False,
        openings=(
            Opening(
                id="O1",
                kind=OpeningKind.WINDOW,
                x_mm=900,
                sill_mm=900,
                width_mm=1310,
                height_mm=1250,
                reveal_mm=180,
                reveal_lined=True,
            ),
            Opening(
                id="O2",
                kind=OpeningKind.DOOR,
                x_mm=3300,
                sill_mm=0,
                width_mm=885,
                height_mm=2010,
                reveal_mm=0,
                reveal_lined=False,
            ),
        ),
        obstacles=(
            Obstacle(
                id="R1",
                kind=ObstacleKind.RADIATOR,
                x_mm=1000,
                y_mm=150,
                width_mm=1100,
                height_mm=600,
                projection_mm=100,
                mass_kg=32,
            ),
        ),
        boxes=(
            Box(id="E1", x_mm=450, y_mm=300, diameter_mm=68, count=2, pitch_mm=71),
            Box(id="E2", x_mm=4330, y_mm=1050, diameter_mm=68, count=1, pitch_mm=71),
        ),
        loads=(HungLoad(id="H1", x_mm=2350, y_mm=1900, width_mm=800, mass_kg=40, depth_mm=180),),
        construction=(
            ExistingLayer(material="lime-render", thickness_mm=20),
            ExistingLayer(material="brick-1800", thickness_mm=365),
            ExistingLayer(material="lime-render", thickness_mm=15),
        ),
        offsets=None,
        building_joints_mm=(),
        wet_room=False,
        questions=("Asbestos survey not yet reported.",),
        lining=a_lining(way),
        targets=Targets(),
    )


def bare(wall: Wall, outline: tuple[Point, ...], meets: tuple[Meets, ...]) -> Wall:
    """The wall with another outline and nothing on it but its sockets."""
    return replace(wall, outline=outline, meets=meets, openings=(), obstacles=(), loads=())


@cache
def a_plan(name: str = "W-03", way: Way = Way.STUD_AND_TRACK) -> WallPlan:
    """The wall above, set out."""
    return plan_wall(a_wall(name, way), practice())


@cache
def a_gable(name: str = "W-05") -> WallPlan:
    """A gable, set out."""
    outline = ((0, 0), (4800, 0), (4800, 1400), (2400, 3300), (0, 1400))
    meets = (Meets.SCREED, Meets.PARTITION, Meets.ROOF, Meets.ROOF, Meets.MASONRY)
    return plan_wall(bare(a_wall(name), outline, meets), practice())


@cache
def a_corridor(name: str = "W-09") -> WallPlan:
    """A wall of 22 m with movement joints, too long for one elevation on the paper."""
    outline = ((0, 0), (22000, 0), (22000, 2650), (0, 2650))
    wall = bare(
        a_wall(name, Way.BRACKETED), outline, (Meets.SCREED, Meets.PARTITION, Meets.SLAB, Meets.MASONRY)
    )
    return plan_wall(wall, practice())


def with_findings(plan: WallPlan, *findings: Finding) -> WallPlan:
    """The same plan with other findings."""
    return replace(plan, findings=findings)
