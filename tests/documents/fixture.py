"""Walls set out by hand for the tests of drawings: plain, but with one of everything.

All of it is invented. The layout engine is not used, so that drawings are tested on their own.
"""

from __future__ import annotations

from dataclasses import fields, replace

from innerleaf.findings import Finding
from innerleaf.layout.pieces import (
    Bar,
    BoardPiece,
    BracketPlace,
    BuildUp,
    Cutout,
    FixingLine,
    Gaps,
    GridChoice,
    Member,
    MembraneStrip,
    Penetration,
    Ring,
    Role,
    Run,
    RunKind,
    ScrewLine,
    Slab,
    WallPlan,
)
from innerleaf.practice.model import (
    Board,
    Bracket,
    Insulation,
    Material,
    Membrane,
    Practice,
    Profile,
    ProfileUse,
    Rules,
    Screw,
)
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
    Targets,
    Wall,
    Way,
)

SOURCE = "invented for the tests"


def practice() -> Practice:
    """A catalogue just large enough for the walls below."""

    def profile(name: str, use: ProfileUse, depth: int, face: int) -> Profile:
        return Profile(
            id=name, use=use, depth_mm=depth, face_mm=face, sheet_mm=0.6, lip_mm=6, stock_lengths_mm=(4000,),
            mass_kg_m=0.7, fits="", splice_overlap_mm=0, greatest_height_mm=0, source=SOURCE,
        )  # fmt: skip

    def board(name: str) -> Board:
        return Board(
            id=name, type="A", thickness_mm=12.5, width_mm=1200, lengths_mm=(2500, 2600, 3000), mass_kg_m2=9,
            conductivity_w_mk=0.25, for_wet_rooms=False, source=SOURCE,
        )  # fmt: skip

    def material(name: str, conductivity: float) -> Material:
        return Material(
            id=name, density_kg_m3=1000, conductivity_w_mk=conductivity, mu_dry=10, mu_wet=10, heat_j_kgk=1000,
            source=SOURCE,
        )  # fmt: skip

    return Practice(
        id="test", title="Practice for tests", display_unit="mm", rules=Rules(**{f.name: 1 for f in fields(Rules)}),
        rule_notes=(),
        profiles={
            "C75": profile("C75", ProfileUse.STUD, 75, 50),
            "U75": profile("U75", ProfileUse.TRACK, 75, 40),
            "C27": profile("C27", ProfileUse.CHANNEL, 27, 60),
            "U28": profile("U28", ProfileUse.PERIMETER, 28, 27),
        },
        boards={"A12": board("A12"), "D12": board("D12")},
        insulation={
            "wool-60": Insulation(
                id="wool-60", thickness_mm=60, width_mm=610, length_mm=1200, density_kg_m3=20, conductivity_w_mk=0.035,
                source=SOURCE,
            ),
        },
        brackets={"short": Bracket(id="short", reach_min_mm=20, reach_max_mm=80, mass_kg=0.06, source=SOURCE)},
        membranes={
            "film": Membrane(id="film", width_mm=1500, length_mm=50000, sd_m=100, lap_mm=100, source=SOURCE),
        },
        screws={
            "25": Screw(id="25", length_mm=25, pack=1000, source=SOURCE),
            "35": Screw(id="35", length_mm=35, pack=1000, source=SOURCE),
        },
        consumables={},
        materials={m: material(m, c) for m, c in (("brick", 0.7), ("concrete", 2.0), ("lime-plaster", 0.8))},
    )  # fmt: skip


def a_lining(way: Way = Way.STUD_AND_TRACK) -> Lining:
    """Two layers on 75 mm studs, or on bracketed channels."""
    stud = way is Way.STUD_AND_TRACK
    return Lining(
        id="L1", way=way, profile="C75" if stud else "C27", bays_per_board=2, build=MemberBuild.SINGLE,
        boards=("A12", "D12"), insulation=(InsulationLayer(item="wool-60", place=InsulationPlace.BETWEEN),),
        membrane="film", bracket="" if stud else "short", gap_mm=20, tiled=False, finish="Q2",
    )  # fmt: skip


def a_wall(name: str = "W-03", way: Way = Way.STUD_AND_TRACK, *, gable: bool = False) -> Wall:
    """A brick wall 4800 × 2650 with a window, a door, sockets, a radiator and a hung cupboard."""
    outline = ((0, 0), (4800, 0), (4800, 2650), (0, 2650))
    meets: tuple[Meets, ...] = (Meets.SCREED, Meets.PARTITION, Meets.SLAB, Meets.MASONRY)
    if gable:
        outline = ((0, 0), (4800, 0), (4800, 1400), (2400, 3300), (0, 1400))  # type: ignore[assignment]
        meets = (Meets.SCREED, Meets.PARTITION, Meets.ROOF, Meets.ROOF, Meets.MASONRY)
    window = Opening(
        id="O1", kind=OpeningKind.WINDOW, x_mm=900, sill_mm=900, width_mm=1310, height_mm=1250, reveal_mm=180,
        reveal_lined=True,
    )  # fmt: skip
    door = Opening(
        id="O2", kind=OpeningKind.DOOR, x_mm=3300, sill_mm=0, width_mm=885, height_mm=2010, reveal_mm=0,
        reveal_lined=False,
    )  # fmt: skip
    return Wall(
        id=name, name="north wall", room="Bedroom 2", storey="first floor", other_side="outside", outline=outline,
        meets=meets, head_moves=False, openings=() if gable else (window, door),
        obstacles=(
            Obstacle(id="R1", kind=ObstacleKind.RADIATOR, x_mm=1000, y_mm=150, width_mm=1100, height_mm=600,
                     projection_mm=100, mass_kg=32),
        ),
        boxes=(
            Box(id="E1", x_mm=450, y_mm=300, diameter_mm=68, count=2, pitch_mm=71),
            Box(id="E2", x_mm=4330, y_mm=1050, diameter_mm=68, count=1, pitch_mm=71),
        ),
        loads=(HungLoad(id="H1", x_mm=2350, y_mm=1900 if not gable else 1500, width_mm=800, mass_kg=40, depth_mm=180),),
        construction=(
            ExistingLayer(material="lime-plaster", thickness_mm=20),
            ExistingLayer(material="brick", thickness_mm=365),
            ExistingLayer(material="lime-plaster", thickness_mm=15),
        ),
        offsets=None, building_joints_mm=(), wet_room=False, questions=("Asbestos survey not yet reported.",),
        lining=a_lining(way), targets=Targets(),
    )  # fmt: skip


def _top(wall: Wall, x: float) -> float:
    ring = wall.outline
    heights = [
        ay + (by - ay) * (x - ax) / (bx - ax)
        for (ax, ay), (bx, by) in zip(ring, (*ring[1:], ring[0]), strict=True)
        if bx != ax and min(ax, bx) <= x <= max(ax, bx)
    ]
    return max(heights)


def a_plan(name: str = "W-03", way: Way = Way.STUD_AND_TRACK, *, gable: bool = False) -> WallPlan:
    """The wall above, set out in a simple-minded way."""
    wall = a_wall(name, way, gable=gable)
    face = 50 if way is Way.STUD_AND_TRACK else 60
    places: list[tuple[float, Role]] = [(25, Role.END), (4775, Role.END)]
    for o in wall.openings:
        places += [(o.x_mm - face / 2, Role.JAMB), (o.right_mm + face / 2, Role.JAMB)]
    places += [
        (x, Role.GRID)
        for x in range(600, 4800, 600)
        if all(abs(x - p) >= face for p, _ in places)
    ]  # fmt: skip
    places.sort(key=lambda p: p[0])
    members: list[Member] = []
    bars: list[Bar] = []
    brackets: list[BracketPlace] = []
    for x, role in places:
        holes = [o for o in wall.openings if o.x_mm < x < o.right_mm]
        spans: list[tuple[float, float]] = [(5, _top(wall, x) - 10)]
        if holes:
            role = Role.CRIPPLE
            spans = [(5.0, holes[0].sill_mm - 40.0)] if holes[0].sill_mm else []
            spans.append((holes[0].head_mm + 40.0, _top(wall, x) - 10))
        for bottom, top in spans:
            mark = f"{name}-S{len(members) + 1:02d}"
            members.append(Member(mark, role, x, face, bottom, top))
            bars.append(
                Bar(f"{mark}a", mark, role, wall.lining.profile, x, bottom, x, top, face, round(top - bottom), 0, 0,
                    "stands in the tracks")
            )  # fmt: skip
            if way is Way.BRACKETED and top - bottom > 800:
                for y in range(300, int(top), 750):
                    brackets.append(
                        BracketPlace(
                            f"{name}-K{len(brackets) + 1:02d}", mark, "short", round(x), y, 30 + y % 7
                        )
                    )
    track = "U75" if way is Way.STUD_AND_TRACK else "U28"

    def level(
        mark: str, role: Role, ax: float, bx: float, y: float, item: str = track, by: float | None = None
    ) -> None:
        bars.append(
            Bar(
                f"{name}-{mark}",
                "",
                role,
                item,
                ax,
                y,
                bx,
                y if by is None else by,
                40,
                round(bx - ax),
                0,
                0,
                role.value,
            )
        )

    level("T1", Role.FLOOR_TRACK, 0, 3300 if wall.openings else 4800, 20)
    if wall.openings:
        level("T2", Role.FLOOR_TRACK, 4185, 4800, 20)
        level("T3", Role.HEAD_TRACK, 0, 4000, 2630)
        level("T4", Role.HEAD_TRACK, 4000, 4800, 2630)
    else:
        level("T3", Role.HEAD_TRACK, 0, 2400, 1380, by=3280)
        level("T4", Role.HEAD_TRACK, 2400, 4800, 3280, by=1380)
    for k, o in enumerate(wall.openings):
        level(f"H{k + 1}", Role.HEAD, o.x_mm, o.right_mm, o.head_mm + 20)
        if o.sill_mm:
            level(f"H{k + 1}s", Role.SILL, o.x_mm, o.right_mm, o.sill_mm - 20)
    level("P1", Role.BACKING, 2350, 3150, wall.loads[0].y_mm, "plate")

    boards: list[BoardPiece] = []
    screws: list[ScrewLine] = []
    joints: list[tuple[float, ...]] = []
    for layer, start in ((1, 1200), (2, 600)):
        edges = [0, *range(start, 4800, 1200), 4800]
        joints.append(tuple(float(x) for x in edges[1:-1]))
        for left, right in zip(edges, edges[1:], strict=False):
            hits = [o for o in wall.openings if o.x_mm < right and o.right_mm > left]
            ring: Ring = (
                (left, 10),
                (right, 10),
                (right, _top(wall, right) - 5),
                *(((2400, 3295),) if gable and left < 2400 < right else ()),
                (left, _top(wall, left) - 5),
            )
            rings: list[Ring] = [ring]
            if hits:
                rings = _around(left, right, 2645, hits)
            for r in rings:
                mark = f"{name}-B{layer}{len(boards) + 1:02d}"
                xs, ys = [x for x, _ in r], [y for _, y in r]
                cuts = tuple(
                    Cutout(b.id, b.x_mm + (k - (b.count - 1) / 2) * b.pitch_mm, b.y_mm, b.diameter_mm)
                    for b in wall.boxes
                    for k in range(b.count)
                    if left < b.x_mm < right and min(ys) < b.y_mm < max(ys)
                )
                boards.append(
                    BoardPiece(mark, layer, "face", wall.lining.boards[layer - 1], r, (), cuts, max(xs) - min(xs),
                               max(ys) - min(ys), 3000, True, True, "covers the frame")
                )  # fmt: skip
                for m in members:
                    if min(xs) <= m.x_mm <= max(xs):
                        foot, head = max(min(ys), m.bottom_mm) + 15, min(max(ys), m.top_mm) - 15
                        if head - foot > 100:
                            steps = tuple(range(round(foot), round(head), 250 if layer == 2 else 500))
                            screws.append(ScrewLine(mark, m.mark, layer, True, m.x_mm, steps, "25"))
    film: Ring = ((0, 0), (1500, 0), (1500, 1400), (0, 1400))
    slabs = tuple(
        Slab(
            f"{name}-N{k + 1:02d}",
            1,
            "wool-60",
            ((x, 10), (x + 600, 10), (x + 600, 1210), (x, 1210)),
            610,
            1200,
        )
        for k, x in enumerate(range(0, 4800, 600))
    )
    depth = 75 if way is Way.STUD_AND_TRACK else 27
    return WallPlan(
        wall=wall, practice="test",
        build_up=BuildUp(frame_back_mm=20, frame_depth_mm=depth, packet_mm=25, total_mm=45 + depth),
        grids=(GridChoice(0, 4800, 0, 600, 12, (0, 0, 3), "no sliver, fewest pieces"),),
        gaps=Gaps(10, 5, 5, 10),
        board_area=((((0, 10), (4800, 10), (4800, 2645), (0, 2645)), ()),) * 2,
        movement_joints_mm=(), vertical_joints_mm=tuple(joints), members=tuple(members), bars=tuple(bars),
        boards=tuple(boards), screws=tuple(screws), brackets=tuple(brackets),
        fixings=(FixingLine(f"{name}-T1", "anchor", tuple((x, 20.0) for x in range(100, 3300, 600))),),
        slabs=slabs, membrane=(MembraneStrip(f"{name}-M1", "film", film, (), 1500, 1500),),
        runs=(
            Run(RunKind.SEALING_STRIP, 0, 0, 0, 3300, 0, 3300, "strip-70"),
            Run(RunKind.JOINT_TAPERED, 2, 1800, 10, 1800, 2645, 2635, ""),
        ),
        penetrations=(Penetration("E1", 450, 300, True), Penetration("E2", 4330, 1050, True)),
        findings=(
            Finding(code="L201", wall=name, rule="jamb_clear_mm", text="joint 105 mm from the jamb of O2",
                    remedy="reinforce the corner with a jamb plate", x_mm=3195, y_mm=2010, layer=1, by_mm=45),
            Finding(code="L601", wall=name, rule="survey", text="moisture reading missing",
                    remedy="measure before work starts"),
        ),
    )  # fmt: skip


def _around(left: float, right: float, top: float, hits: list[Opening]) -> list[Ring]:
    """What is left of an upright strip when the openings are taken out (one opening a strip)."""
    o = hits[0]
    a, b = max(left, o.x_mm), min(right, o.right_mm)
    low, high = float(max(10, o.sill_mm)), float(o.head_mm)
    if a == left and b == right:
        above: Ring = ((left, high), (right, high), (right, top), (left, top))
        below: Ring = ((left, 10), (right, 10), (right, low), (left, low))
        return [above] if o.sill_mm == 0 else [below, above]
    if a > left and b == right:
        ring: list[tuple[float, float]] = [(left, 10)]
        ring += [(a, 10)] if o.sill_mm == 0 else [(right, 10), (right, low), (a, low)]
        return [(*ring, (a, high), (right, high), (right, top), (left, top))]
    if a == left:
        ring = [(b, 10)] if o.sill_mm == 0 else [(left, 10)]
        ring += [(right, 10), (right, top), (left, top), (left, high), (b, high)]
        ring += [] if o.sill_mm == 0 else [(b, low), (left, low)]
        return [tuple(ring)]
    if o.sill_mm == 0:
        return [
            ((left, 10), (a, 10), (a, high), (b, high), (b, 10), (right, 10), (right, top), (left, top)),
        ]
    return [((left, 10), (right, 10), (right, top), (left, top))]


def with_findings(plan: WallPlan, *findings: Finding) -> WallPlan:
    """The same plan with other findings."""
    return replace(plan, findings=findings)
