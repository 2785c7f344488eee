"""A small wall set out by hand, independent of the layout: 3600 x 2500 with a window in the middle.

Two layers of 1200 board on CW 75 studs. Joints stand at 900, 1800, 2700 in the first layer and at
450, 1350, 2250, 3150 in the second; a stud under each, jamb studs beside the window.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

from innerleaf.layout.pieces import (
    Bar,
    BoardPiece,
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
from innerleaf.practice.model import ConsumableUse, Practice
from innerleaf.survey.wall import (
    Box,
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

LENGTH, HEIGHT, LEFT, RIGHT, SILL, HEAD = 3600, 2500, 1200, 2400, 900, 2100
X0, X1, Y0, Y1 = 5, 3595, 10, 2495  # what boards cover: gaps 5, 10 and 5 mm
JOINTS = ((900, 1800, 2700), (450, 1350, 2250, 3150))
FACE, STEEL = 50, "CW-75"
SCREWS = ("screw-25", "screw-35")
SPACING = (750, 250)
BAND = 15


@dataclass(frozen=True)
class Head:
    """What a plan file says of its job."""

    name: str = "House at the mill race (invented)"
    site_place: str = "Invented"
    firm: str = "Linings Ltd. (invented)"


def small_wall(wall: str = "W-01", room: str = "R1") -> Wall:
    """The wall as found and as asked for."""
    return Wall(
        id=wall,
        name="window wall",
        room=room,
        storey="ground",
        other_side="outside",
        outline=((0, 0), (LENGTH, 0), (LENGTH, HEIGHT), (0, HEIGHT)),
        meets=(Meets.SLAB, Meets.MASONRY, Meets.CEILING, Meets.PARTITION),
        head_moves=False,
        openings=(
            Opening(
                id="N1",
                kind=OpeningKind.WINDOW,
                x_mm=LEFT,
                sill_mm=SILL,
                width_mm=RIGHT - LEFT,
                height_mm=HEAD - SILL,
                reveal_mm=200,
                reveal_lined=False,
            ),
        ),
        obstacles=(),
        boxes=(Box(id="B1", x_mm=650, y_mm=300, diameter_mm=68, count=1, pitch_mm=71),),
        loads=(),
        construction=(),
        offsets=None,
        building_joints_mm=(),
        wet_room=False,
        questions=(),
        lining=Lining(
            id="L1",
            way=Way.STUD_AND_TRACK,
            profile=STEEL,
            bays_per_board=2,
            build=MemberBuild.SINGLE,
            boards=("board-A-12.5", "board-A-12.5"),
            insulation=(InsulationLayer(item="wool-75", place=InsulationPlace.BETWEEN),),
            membrane="membrane-PE-0.15",
            bracket="",
            gap_mm=10,
            tiled=False,
            finish="Q2",
        ),
        targets=Targets(),
    )


def small_plan(practice: Practice, wall: str = "W-01", room: str = "R1") -> WallPlan:
    """The wall set out."""
    members = _members(wall)
    tracks = _tracks(wall)
    boards = [board for layer in (1, 2) for board in _boards(wall, layer)]
    screws = [line for board in boards for line in _screws(board, members, tracks)]
    item = practice.consumable
    fixing = item(ConsumableUse.PERIMETER_FIXING).id
    return WallPlan(
        wall=small_wall(wall, room),
        practice=practice.id,
        build_up=BuildUp(10, 75, 25.0, 110.0),
        grids=(GridChoice(0, LENGTH, 450, 450, 1, (0,), "by hand"),),
        gaps=Gaps(10, 5, 5, 15),
        board_area=((_rectangle(X0, Y0, X1, Y1), (_rectangle(LEFT, SILL, RIGHT, HEAD),)),),
        movement_joints_mm=(),
        vertical_joints_mm=JOINTS,
        members=tuple(members),
        bars=(*tracks, *(_stud(member) for member in members)),
        boards=tuple(boards),
        screws=tuple(screws),
        brackets=(),
        fixings=(
            FixingLine(f"{wall}/F01", fixing, tuple((x, 0) for x in (100, 950, 1800, 2650, 3500))),
            FixingLine(f"{wall}/H01", fixing, tuple((x, HEIGHT) for x in (100, 950, 1800, 2650, 3500))),
        ),
        slabs=tuple(_slabs(wall)),
        membrane=(
            MembraneStrip(f"{wall}/V01", "membrane-PE-0.15", _rectangle(0, 0, 2000, 2500), (), 2000, 2700),
            MembraneStrip(f"{wall}/V02", "membrane-PE-0.15", _rectangle(1900, 0, 3600, 2500), (), 1700, 2700),
        ),
        runs=(
            Run(RunKind.SEALING_STRIP, 0, 0, 0, LENGTH, 0, LENGTH, item(ConsumableUse.SEALING_STRIP, 75).id),
            *_joints(),
            *_around(RunKind.PERIMETER, _rectangle(X0, Y0, X1, Y1)),
            *_around(RunKind.EDGE_BEAD, _rectangle(LEFT, SILL, RIGHT, HEAD)),
            Run(RunKind.MEMBRANE_LAP, 0, 1950, 0, 1950, HEIGHT, HEIGHT, ""),
        ),
        penetrations=(Penetration("B1", 650, 300, True),),
        findings=(),
    )


def _rectangle(x0: float, y0: float, x1: float, y1: float) -> Ring:
    return ((x0, y0), (x1, y0), (x1, y1), (x0, y1))


def _around(kind: RunKind, ring: Ring) -> list[Run]:
    """A run along every edge of a rectangle, in the seen layer."""
    return [
        Run(kind, 2, *a, *b, abs(a[0] - b[0]) + abs(a[1] - b[1]), "")
        for a, b in zip(ring, ring[1:] + ring[:1], strict=True)
    ]


def _joints() -> list[Run]:
    return [
        Run(RunKind.JOINT_TAPERED, layer, x, a, x, b, b - a, "")
        for layer, places in enumerate(JOINTS, 1)
        for x in places
        for a, b in ([(Y0, SILL), (HEAD, Y1)] if LEFT < x < RIGHT else [(Y0, Y1)])
    ]


def _slabs(wall: str) -> list[Slab]:
    """Bay by bay, 10 mm wider than the bay, no longer than 1200."""
    rows, beside = ((0, 1200), (1200, 2400), (2400, HEIGHT)), ((0, SILL), (HEAD, HEIGHT))
    bays = pairwise((0, 450, 900, LEFT, 1350, 1800, 2250, RIGHT, 2700, 3150, LENGTH))
    places = [(a, low, b, high) for a, b in bays for low, high in (beside if LEFT <= a < RIGHT else rows)]
    return [
        Slab(f"{wall}/W{number:02d}", 1, "wool-75", _rectangle(a, low, b, high), b - a + 10, high - low)
        for number, (a, low, b, high) in enumerate(places, 1)
    ]


def _members(wall: str) -> list[Member]:
    whole = {25: Role.END, LENGTH - 25: Role.END, LEFT - 25: Role.JAMB, RIGHT + 25: Role.JAMB}
    whole |= dict.fromkeys((450, 900, 2700, 3150), Role.GRID)
    places = [(x, role, 0, HEIGHT - 10) for x, role in whole.items()]
    for x in (1350, 1800, 2250):
        places += [(x, Role.CRIPPLE, 0, SILL - 10), (x, Role.CRIPPLE, HEAD, HEIGHT - 10)]
    ordered = sorted(places, key=lambda place: (place[0], place[2]))
    return [
        Member(f"{wall}/S{number:02d}", role, x, FACE, bottom, top)
        for number, (x, role, bottom, top) in enumerate(ordered, 1)
    ]


def _stud(m: Member) -> Bar:
    length = int(m.top_mm - m.bottom_mm)
    ends = (m.x_mm, m.bottom_mm, m.x_mm, m.top_mm)
    return Bar(m.mark, m.mark, m.role, STEEL, *ends, FACE, length, 0, 0, m.role.value)


def _tracks(wall: str) -> list[Bar]:
    lines = [
        ("F01", Role.FLOOR_TRACK, 0, LENGTH, 20, LENGTH),
        ("H01", Role.HEAD_TRACK, 0, LENGTH, HEIGHT - 20, LENGTH),
        ("P01", Role.SILL, LEFT, RIGHT, SILL - 20, RIGHT - LEFT + 300),
        ("L01", Role.HEAD, LEFT, RIGHT, HEAD + 20, RIGHT - LEFT + 300),
    ]
    return [
        Bar(f"{wall}/{mark}", "", role, "UW-75", a, y, b, y, 40, length, 0, 0, role.value)
        for mark, role, a, b, y, length in lines
    ]


def _boards(wall: str, layer: int) -> list[BoardPiece]:
    bounds = (X0, *JOINTS[layer - 1], X1)
    rings: list[Ring] = []
    for a, b in pairwise(bounds):
        if a >= LEFT and b <= RIGHT:
            rings += [_rectangle(a, Y0, b, SILL), _rectangle(a, HEAD, b, Y1)]
        elif a < LEFT < b:
            notch = ((b, SILL), (LEFT, SILL), (LEFT, HEAD), (b, HEAD))
            rings.append(((a, Y0), (b, Y0), *notch, (b, Y1), (a, Y1)))
        elif a < RIGHT < b:
            notch = ((a, HEAD), (RIGHT, HEAD), (RIGHT, SILL), (a, SILL))
            rings.append(((a, Y0), (b, Y0), (b, Y1), (a, Y1), *notch))
        else:
            rings.append(_rectangle(a, Y0, b, Y1))
    boards = []
    for number, ring in enumerate(rings, 1):
        width = max(x for x, _ in ring) - min(x for x, _ in ring)
        height = max(y for _, y in ring) - min(y for _, y in ring)
        stock = next(length for length in (2000, 2500) if length >= height)
        mark = f"{wall}/{layer}{number:02d}"
        left = min(x for x, _ in ring)
        cutouts = (Cutout("B1", 650, 300, 68),) if left < 650 < left + width else ()
        boards.append(
            BoardPiece(
                mark,
                layer,
                "face",
                "board-A-12.5",
                ring,
                (),
                cutouts,
                width,
                height,
                stock,
                False,
                False,
                "face",
            )
        )
    return boards


def _screws(board: BoardPiece, members: list[Member], tracks: list[Bar]) -> list[ScrewLine]:
    left, right = min(x for x, _ in board.ring), max(x for x, _ in board.ring)
    low, high = min(y for _, y in board.ring), max(y for _, y in board.ring)
    lines = []
    for m in members:
        x = min(max(m.x_mm, left + BAND), right - BAND)
        if abs(x - m.x_mm) > FACE / 2:
            continue
        beside = x + BAND <= LEFT or x - BAND >= RIGHT
        for a, b in [(low, high)] if beside else [(low, min(high, SILL)), (max(low, HEAD), high)]:
            a, b = max(a, m.bottom_mm) + BAND, min(b, m.top_mm) - BAND
            if b > a:
                places = _spread(int(a), int(b), SPACING[board.layer - 1])
                item = SCREWS[board.layer - 1]
                lines.append(ScrewLine(board.mark, m.mark, board.layer, True, x, places, item))
    return lines


def _spread(a: int, b: int, spacing: int) -> tuple[int, ...]:
    count = -(-(b - a) // spacing)
    return tuple(round(a + (b - a) * k / count) for k in range(count + 1))
