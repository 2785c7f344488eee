"""One wall with its lining in space: every piece as a few solids between two depths.

A solid stands on a trapezoid of the elevation (plumb left and right ends) and reaches from ``near`` to
``far``, counted from the old wall's reference plane into the room. Edges are the outlines that pieces really
have, at one depth. Steel is drawn thicker than it is; everything else is true to the layout.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field

from innerleaf.documents.buildup import BuildLayers, build_layers
from innerleaf.documents.framing import bar_corners
from innerleaf.layout.pieces import FACE, Bar, BoardPiece, BracketPlace, Ring, Role, WallPlan
from innerleaf.practice.model import Practice
from innerleaf.survey.wall import InsulationPlace, Opening, OpeningKind, Wall, Way

STEEL_MM = 3.0  # drawn thickness of steel
_OLD_MM = (60.0, 600.0)  # least and greatest drawn thickness of an old wall
_BRACKET_HIGH_MM = 40.0
_LEAF_MM, _FRAME_MM = 40.0, 55.0  # of doors and windows, as drawn
_PLATE_MM = 100.0  # height of a backing plate where nothing says it

OLD, WINDOWS, DOORS = "old", "windows", "doors"
INSULATION, BRACKETS, FRAME, SCREWS = "insulation", "brackets", "frame", "screws"


@dataclass(frozen=True, slots=True)
class Solid:
    """A prism over a trapezoid: ``low`` and ``high`` at its left and at its right end. [mm]"""

    x0: float
    x1: float
    low0: float
    low1: float
    high0: float
    high1: float
    near: float
    far: float


@dataclass(frozen=True, slots=True)
class Edge:
    """An outline at a depth. [mm]"""

    depth: float
    ring: Ring


@dataclass(slots=True)
class Layer:
    """What is switched together; ``step`` is its place in the order of building."""

    name: str
    step: int
    solids: list[Solid] = field(default_factory=list)
    edges: list[Edge] = field(default_factory=list)
    points: list[tuple[float, float, float]] = field(default_factory=list)  # x, y, depth of screws


def layers_of_wall(plan: WallPlan, practice: Practice) -> list[Layer]:
    """A wall set out, layer by layer from the old wall into the room."""
    depths = build_layers(plan, practice)
    return [
        *bare(plan.wall),
        Layer(INSULATION, 1, *_insulation(plan, depths)),
        Layer(BRACKETS, 1, list(_brackets(plan, depths))),
        Layer(FRAME, 2, *_frame(plan, depths)),
        *_boards(plan, depths, practice),
        Layer(SCREWS, 3 + len(depths.boards), points=list(_screws(plan, depths))),
    ]


def bare(wall: Wall) -> list[Layer]:
    """The old wall alone, with its windows and doors."""
    deep = old_depth(wall)
    holes = [_ring_of(one) for one in wall.openings if one.kind is not OpeningKind.NICHE]
    solids = [Solid(*part, -deep, 0.0) for part in trapezoids([wall.outline, *holes])]
    edges = [Edge(0.0, ring) for ring in (wall.outline, *(_ring_of(one) for one in wall.openings))]
    windows, doors = Layer(WINDOWS, 0), Layer(DOORS, 0)
    for one in wall.openings:
        far = -float(one.reveal_mm)
        if one.kind is OpeningKind.DOOR:
            doors.solids.append(_box(one.x_mm, one.right_mm, one.sill_mm, one.head_mm, far - _LEAF_MM, far))
            doors.edges.append(Edge(far, _ring_of(one)))
            solids.append(_box(one.x_mm, one.right_mm, one.sill_mm - _LEAF_MM, one.sill_mm, -deep, 0))
        elif one.kind is OpeningKind.WINDOW:
            windows.solids += _window(one)
            windows.edges += [Edge(far, _ring_of(one)), Edge(far, _pane(one))]
    return [Layer(OLD, 0, solids, edges), windows, doors]


def old_depth(wall: Wall) -> float:
    """Drawn thickness of the old wall: as surveyed, and at least as deep as its reveals. [mm]"""
    said = sum(layer.thickness_mm for layer in wall.construction)
    reveals = max((one.reveal_mm + _FRAME_MM for one in wall.openings), default=0.0)
    return min(max(said, reveals, _OLD_MM[0]), max(_OLD_MM[1], reveals))


Part = tuple[float, float, float, float, float, float]  # x0, x1, low0, low1, high0, high1


def trapezoids(rings: Iterable[Sequence[tuple[float, float]]]) -> list[Part]:
    """The area of an outline less its holes, cut plumb at every corner."""
    sides = [
        (a, b) if a[0] < b[0] else (b, a)
        for ring in rings
        for a, b in zip(ring, (*ring[1:], ring[0]), strict=True)
        if a[0] != b[0]
    ]
    xs = sorted({x for side in sides for x, _ in side})
    found: list[Part] = []
    for x0, x1 in zip(xs, xs[1:], strict=False):
        over = [(_at(side, x0), _at(side, x1)) for side in sides if side[0][0] <= x0 and side[1][0] >= x1]
        over.sort(key=lambda one: one[0] + one[1])
        for low, high in zip(over[::2], over[1::2], strict=True):
            if high[0] + high[1] > low[0] + low[1]:
                found.append((x0, x1, low[0], low[1], high[0], high[1]))
    return found


def _at(side: tuple[tuple[float, float], tuple[float, float]], x: float) -> float:
    (ax, ay), (bx, by) = side
    return ay + (by - ay) * (x - ax) / (bx - ax)


def _ring_of(opening: Opening) -> Ring:
    x, y, right, head = opening.x_mm, opening.sill_mm, opening.right_mm, opening.head_mm
    return ((x, y), (right, y), (right, head), (x, head))


def _box(x0: float, x1: float, low: float, high: float, near: float, far: float) -> Solid:
    return Solid(x0, x1, low, low, high, high, near, far)


def _pane(opening: Opening) -> Ring:
    wide = min(_FRAME_MM, opening.width_mm / 4, opening.height_mm / 4)
    x, right = opening.x_mm + wide, opening.right_mm - wide
    sill, head = opening.sill_mm + wide, opening.head_mm - wide
    return ((x, sill), (right, sill), (right, head), (x, head))


def _window(opening: Opening) -> Iterator[Solid]:
    """The frame of a window behind its reveal, and its pane."""
    x, right, sill, head = opening.x_mm, opening.right_mm, opening.sill_mm, opening.head_mm
    (left, low), _, (end, high), _ = _pane(opening)
    far = -float(opening.reveal_mm)
    near = far - _FRAME_MM
    yield _box(x, left, sill, head, near, far)
    yield _box(end, right, sill, head, near, far)
    yield _box(left, end, sill, low, near, far)
    yield _box(left, end, high, head, near, far)
    yield _box(left, end, low, high, near + 20, near + 28)


def _insulation(plan: WallPlan, depths: BuildLayers) -> tuple[list[Solid], list[Edge]]:
    solids, edges = [], []
    for slab in plan.slabs:
        if slab.plane != FACE:
            continue
        layer, place = depths.insulation[slab.layer - 1]
        start, end = layer.start_mm, layer.end_mm
        if place is InsulationPlace.BEHIND:
            end = min(end, depths.frame_back_mm)
        inner = (start + STEEL_MM, end - STEEL_MM) if place is InsulationPlace.BETWEEN else (start, end)
        solids += [Solid(*part, *inner) for part in trapezoids([slab.ring])]
        edges.append(Edge(inner[1], slab.ring))
    return solids, edges


def _brackets(plan: WallPlan, depths: BuildLayers) -> Iterator[Solid]:
    """Two legs and a foot; legs end inside the channel."""
    faces = {member.mark: member.face_mm for member in plan.members}
    tip = depths.frame_front_mm - 2 * STEEL_MM
    for place in plan.brackets:
        half = faces[place.member] / 2 + STEEL_MM
        yield from _bracket(place, half, tip)


def _bracket(place: BracketPlace, half: float, tip: float) -> Iterator[Solid]:
    low, high = place.y_mm - _BRACKET_HIGH_MM / 2, place.y_mm + _BRACKET_HIGH_MM / 2
    left, right = place.x_mm - half, place.x_mm + half
    yield _box(left - STEEL_MM, left, low, high, 0, tip)
    yield _box(right, right + STEEL_MM, low, high, 0, tip)
    yield _box(left, right, low, high, 0, STEEL_MM)


def _frame(plan: WallPlan, depths: BuildLayers) -> tuple[list[Solid], list[Edge]]:
    solids: list[Solid] = []
    edges: list[Edge] = []
    bracketed = plan.wall.lining.way is Way.BRACKETED
    for bar in plan.bars:
        corners = bar_corners(bar, _PLATE_MM if bar.role is Role.BACKING and not bar.face_mm else 0.0)
        solids += _bar(bar, corners, depths.frame_back_mm, depths.frame_front_mm, channel=bracketed)
        edges.append(Edge(depths.frame_front_mm, tuple(corners)))
    return solids, edges


def _bar(
    bar: Bar, corners: Sequence[tuple[float, float]], back: float, front: float, *, channel: bool
) -> Iterator[Solid]:
    """A bar of open section: plates at its flanges and its web."""
    whole = trapezoids([corners])
    if bar.role is Role.BACKING:
        yield from (Solid(*part, front - STEEL_MM, front) for part in whole)
        return
    yield from (Solid(*part, front - STEEL_MM, front) for part in whole)
    if bar.ax_mm == bar.bx_mm:
        yield from _upright(corners, back, front - STEEL_MM, channel=channel)
        if not channel or bar.role is Role.SIDE_TRACK:
            yield from (Solid(*part, back, back + STEEL_MM) for part in whole)
        return
    yield from (Solid(*part, back, back + STEEL_MM) for part in whole)
    a, b, c, d = corners
    web = (
        [(d[0], d[1] - STEEL_MM), (c[0], c[1] - STEEL_MM), c, d]
        if bar.role in (Role.HEAD_TRACK, Role.SILL)
        else [a, b, (b[0], b[1] + STEEL_MM), (a[0], a[1] + STEEL_MM)]
    )
    yield from (Solid(*part, back + STEEL_MM, front - STEEL_MM) for part in trapezoids([web]))


def _upright(
    corners: Sequence[tuple[float, float]], back: float, front: float, *, channel: bool
) -> Iterator[Solid]:
    """The web of a stud at its left; both sides of a channel."""
    (right, _), (_, top), (left, top_left), (_, foot_left) = corners
    low, high = max(foot_left, corners[0][1]), min(top, top_left)
    yield _box(left, left + STEEL_MM, low, high, back, front)
    if channel:
        yield _box(right - STEEL_MM, right, low, high, back, front)


def _boards(plan: WallPlan, depths: BuildLayers, practice: Practice) -> Iterator[Layer]:
    """One layer after the other; boards of reveals go with the first."""
    by_layer: dict[int, list[BoardPiece]] = defaultdict(list)
    for board in plan.boards:
        by_layer[board.layer if board.plane == FACE else 0].append(board)
    for number, layer in enumerate(depths.boards, 1):
        made = Layer(f"boards-{number}", 2 + number)
        for board in by_layer[number]:
            rings = [board.ring, *board.holes]
            made.solids += [Solid(*part, layer.start_mm, layer.end_mm) for part in trapezoids(rings)]
            made.edges += [Edge(layer.end_mm, ring) for ring in rings]
        if number == 1:
            for board in by_layer[0]:
                thick = practice.boards[board.item].thickness_mm
                made.solids += _in_reveal(plan, board, thick, _deepest(by_layer[0], board.plane))
        yield made


def _deepest(boards: Sequence[BoardPiece], plane: str) -> float:
    return max(x for board in boards if board.plane == plane for x, _ in board.ring)


def _in_reveal(plan: WallPlan, board: BoardPiece, thick: float, deepest: float) -> Iterator[Solid]:
    """A board of a reveal; strips on what the lining stops at belong to other walls and are not shown."""
    name, _, side = board.plane.rpartition(" ")
    opening = next((one.faced for one in plan.wall.openings if one.id == name), None)
    if opening is None:
        return
    xs, ys = [x for x, _ in board.ring], [y for _, y in board.ring]
    total = plan.build_up.total_mm
    near, far = min(xs) - deepest + total, max(xs) - deepest + total
    low, high = opening.sill_mm + min(ys), opening.sill_mm + max(ys)
    start, end = opening.x_mm + thick + min(ys), opening.x_mm + thick + max(ys)
    if side == "left":
        yield _box(opening.x_mm, opening.x_mm + thick, low, high, near, far)
    elif side == "right":
        yield _box(opening.right_mm - thick, opening.right_mm, low, high, near, far)
    elif side == "head":
        yield _box(start, end, opening.head_mm - thick, opening.head_mm, near, far)
    elif side == "sill":
        yield _box(start, end, opening.sill_mm, opening.sill_mm + thick, near, far)
    else:
        back = -float(opening.reveal_mm)
        yield _box(opening.x_mm + min(xs), opening.x_mm + max(xs), low, high, back, back + thick)


def _screws(plan: WallPlan, depths: BuildLayers) -> Iterator[tuple[float, float, float]]:
    for line in plan.screws:
        face = depths.boards[line.layer - 1].end_mm
        for place in line.places_mm:
            yield (line.at_mm, place, face) if line.upright else (place, line.at_mm, face)
