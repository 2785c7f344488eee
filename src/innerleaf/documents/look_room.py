"""A room with its linings in space, and how much floor they take."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import hypot

from innerleaf.documents.look import OLD, Edge, Layer, Solid, bare, layers_of_wall, old_depth
from innerleaf.layout.pieces import WallPlan
from innerleaf.practice.model import Practice
from innerleaf.survey.room_outline import PlanSide, RoomOutline
from innerleaf.survey.wall import Wall

_UNLINED_MM = 120.0  # drawn thickness of a side without a wall of the job
_HEIGHT_MM = 2_500.0  # drawn where no wall of the room says one
_STRAIGHT_ON = 0.02  # sides that differ less in direction (about a degree) are taken for one line

Place = tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class WallInRoom:
    """A wall on a side of a room. ``origin`` is where x = 0 lies in the room's coordinates.

    The room lies to the right of the direction ``along``. ``wall`` is "" where the side has none.
    """

    wall: str
    origin: Place
    along: Place
    length_mm: float
    layers: tuple[Layer, ...]

    def in_room(self, x_mm: float, depth_mm: float) -> Place:
        """A point of the wall, so far along it and so deep into the room, in the room's coordinates."""
        (ox, oy), (ux, uy) = self.origin, self.along
        return ox + ux * x_mm + uy * depth_mm, oy + uy * x_mm - ux * depth_mm


@dataclass(frozen=True, slots=True, kw_only=True)
class RoomLook:
    """Everything that is shown of a room, and its outlines ``before`` and ``after`` it is lined."""

    walls: tuple[WallInRoom, ...]
    before: tuple[Place, ...]
    after: tuple[Place, ...]
    height_mm: float

    @property
    def before_m2(self) -> float:
        """Floor between the old walls."""
        return area_m2(self.before)

    @property
    def after_m2(self) -> float:
        """Floor between the linings."""
        return area_m2(self.after)


def look_of_room(
    outline: RoomOutline, walls: Mapping[str, Wall], plans: Mapping[str, WallPlan], practice: Practice
) -> RoomLook:
    """A room of these walls; those without a plan are shown as they are found."""
    known = [walls[lined.wall] for side in outline.sides for lined in side.walls if lined.wall in walls]
    heights = [float(wall.height_mm) for wall in known] or [_HEIGHT_MM]
    placed: list[WallInRoom] = []
    for side, after in zip(outline.sides, (*outline.sides[1:], outline.sides[0]), strict=True):
        here = _on_side(side, walls, plans, practice, min(heights))
        if here:
            _close_corner(here[-1], side, after, walls)
        placed += here
    depths = {id_: plan.build_up.total_mm for id_, plan in plans.items()}
    return RoomLook(
        walls=tuple(placed),
        before=tuple(outline.ring),
        after=lined_outline(outline, depths),
        height_mm=max(heights),
    )


def _on_side(
    side: PlanSide,
    walls: Mapping[str, Wall],
    plans: Mapping[str, WallPlan],
    practice: Practice,
    height: float,
) -> list[WallInRoom]:
    """The walls of a side, and plain ones where it has none."""
    along = _direction(side)
    found: list[WallInRoom] = []
    at = 0.0
    for lined in side.walls:
        wall = walls.get(lined.wall)
        if wall is None:
            continue
        if lined.start_mm > at:
            found.append(_plain(side, along, at, lined.start_mm, height))
        left = min(x for x, _ in wall.outline)
        start = lined.start_mm - left
        plan = plans.get(lined.wall)
        layers = layers_of_wall(plan, practice) if plan else bare(wall)
        origin = (side.a[0] + along[0] * start, side.a[1] + along[1] * start)
        found.append(
            WallInRoom(
                wall=wall.id, origin=origin, along=along, length_mm=wall.length_mm, layers=tuple(layers)
            )
        )
        at = lined.end_mm
    if side.length_mm - at > 1:
        found.append(_plain(side, along, at, side.length_mm, height))
    return found


def _close_corner(wall: WallInRoom, side: PlanSide, after: PlanSide, walls: Mapping[str, Wall]) -> None:
    """The old walls meet also outside: a post as thick as both where a side ends in a right angle."""
    u, v = _direction(side), _direction(after)
    if u[0] * v[1] - u[1] * v[0] > -0.99:
        return
    first = after.walls[0].wall if after.walls and after.walls[0].start_mm == 0 else ""
    deep = old_depth(walls[first]) if first in walls else _UNLINED_MM
    old = next(layer for layer in wall.layers if layer.name == OLD)
    end = max(old.solids, key=lambda one: one.x1)
    old.solids.append(Solid(end.x1, end.x1 + deep, end.low1, end.low1, end.high1, end.high1, end.near, 0.0))


def _plain(side: PlanSide, along: Place, start: float, end: float, height: float) -> WallInRoom:
    long = end - start
    ring = ((0.0, 0.0), (long, 0.0), (long, height), (0.0, height))
    solid = Solid(0, long, 0, 0, height, height, -_UNLINED_MM, 0)
    return WallInRoom(
        wall="",
        origin=(side.a[0] + along[0] * start, side.a[1] + along[1] * start),
        along=along,
        length_mm=long,
        layers=(Layer(OLD, 0, [solid], [Edge(0.0, ring)]),),
    )


def _direction(side: PlanSide) -> Place:
    length = side.length_mm
    return (side.b[0] - side.a[0]) / length, (side.b[1] - side.a[1]) / length


def lined_outline(outline: RoomOutline, depths_mm: Mapping[str, float]) -> tuple[Place, ...]:
    """The outline that linings of these depths, by wall, leave of a room; the old one if they leave none."""
    strips: list[tuple[Place, Place, Place, float]] = []  # from, to, direction, depth
    for side in outline.sides:
        along = _direction(side)
        for start, end, depth in _depths(side, depths_mm):
            a, b = ((side.a[0] + along[0] * at, side.a[1] + along[1] * at) for at in (start, end))
            strips.append((a, b, along, depth))
    points: list[Place] = []
    for before, strip in zip([strips[-1], *strips], strips, strict=False):
        points += _corner(before[2], before[3], strip[0], strip[2], strip[3])
    ring = tuple(points)
    old = area_m2(outline.ring)
    return ring if 0 < _signed_m2(ring) <= old + 1e-9 else tuple(outline.ring)


def _depths(side: PlanSide, depths_mm: Mapping[str, float]) -> list[tuple[float, float, float]]:
    """(from, to, depth) along a side, neighbours of one depth joined."""
    parts: list[tuple[float, float, float]] = []
    at = 0.0
    for lined in side.walls:
        parts.append((at, lined.start_mm, 0.0))
        parts.append((lined.start_mm, lined.end_mm, depths_mm.get(lined.wall, 0.0)))
        at = lined.end_mm
    parts.append((at, side.length_mm, 0.0))
    joined: list[tuple[float, float, float]] = []
    for start, end, depth in parts:
        if end - start <= 1:
            continue
        if joined and joined[-1][2] == depth:
            joined[-1] = (joined[-1][0], end, depth)
        else:
            joined.append((start, end, depth))
    return joined


def _corner(u: Place, deep: float, at: Place, v: Place, deep_after: float) -> list[Place]:
    """Where a strip ``deep`` along ``u`` meets the next one, which starts at ``at`` and goes along ``v``."""
    a = (at[0] + u[1] * deep, at[1] - u[0] * deep)
    b = (at[0] + v[1] * deep_after, at[1] - v[0] * deep_after)
    across = u[0] * v[1] - u[1] * v[0]
    if abs(across) < _STRAIGHT_ON:
        return [a, b] if hypot(a[0] - b[0], a[1] - b[1]) > 1e-6 else [a]
    t = ((b[0] - a[0]) * v[1] - (b[1] - a[1]) * v[0]) / across
    return [(a[0] + u[0] * t, a[1] + u[1] * t)]


def _signed_m2(ring: tuple[Place, ...]) -> float:
    """Positive for a ring walked clockwise."""
    ends = zip(ring, (*ring[1:], ring[0]), strict=True)
    return -sum(ax * by - bx * ay for (ax, ay), (bx, by) in ends) / 2e6


def area_m2(ring: tuple[Place, ...]) -> float:
    """The area of a ring in mm."""
    return abs(_signed_m2(ring))
