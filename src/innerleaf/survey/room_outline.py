"""The outline of a room on plan: from its measured sides, else from the lengths of its walls.

Coordinates are the room's own: its first corner at the origin, its first side along x, y up, whole mm.
Sides run clockwise, as one walks along the walls turning to the right; the room lies to the right of each.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from math import atan2, degrees, hypot

from innerleaf.job.model import JobRoom, JobWall
from innerleaf.job.outline import Point, area_twice, box_of, edges, first_clash
from innerleaf.survey.closing import Side, close_room

# How far lengths of walls may miss closing and still be taken for the whole room: common practice, no source.
_MISS_MM, _MISS_SHARE = 50, 0.01
_DEPTHS_MM = (2_000, 5_000)  # least and greatest depth drawn where nobody said any: of our own choice
_SHORTEST_MM = 50  # of a side that is filled in


class Basis(StrEnum):
    """What an outline rests on, in the words that stand beside the drawing."""

    MEASURED = "measured"
    WALLS = "from lengths of walls, right angles taken"
    SKETCH = "sketch: not measured"


@dataclass(frozen=True, slots=True)
class Lined:
    """A wall on a side of a room, ``start_mm .. end_mm`` from the side's left end."""

    wall: str
    start_mm: int
    end_mm: int


@dataclass(frozen=True, slots=True)
class PlanSide:
    """One side of a room, from its left to its right end, with the walls on it. [mm]"""

    a: Point
    b: Point
    walls: tuple[Lined, ...] = ()
    beyond: str = ""  # id of the room on the other side

    @property
    def length_mm(self) -> float:
        """From end to end."""
        return hypot(self.b[0] - self.a[0], self.b[1] - self.a[1])

    @property
    def turn_deg(self) -> float:
        """Its direction, clockwise from pointing to the right."""
        return -degrees(atan2(self.b[1] - self.a[1], self.b[0] - self.a[0]))


@dataclass(frozen=True, slots=True, kw_only=True)
class RoomOutline:
    """The sides of a room in order, closed and without crossings.

    ``miss_mm`` is by how much measured sides missed closing; ``left_out`` are walls of the room on no side.
    """

    sides: tuple[PlanSide, ...]
    basis: Basis
    miss_mm: int = 0
    left_out: tuple[str, ...] = ()

    @property
    def ring(self) -> tuple[Point, ...]:
        """The corners, clockwise."""
        return tuple(side.a for side in self.sides)

    @property
    def area_m2(self) -> float:
        """Between the old walls."""
        return abs(area_twice(self.ring)) / 2e6


def outline_of(room: JobRoom, walls: Sequence[JobWall]) -> RoomOutline | None:
    """The outline of a room with these walls, in the order of the file; None where nothing is known of it."""
    measured = _measured(room, walls)
    if measured is not None:
        return measured
    if not walls:
        return None
    steps = [(_length_mm(wall), _turn_after(wall)) for wall in walls]
    return _from_walls(walls, steps) or _filled_in(walls, steps) or _rectangle(walls)


def _measured(room: JobRoom, walls: Sequence[JobWall]) -> RoomOutline | None:
    """Of the sides that the job gives; None if there are none, or they do not go round."""
    lengths = {wall.id: _length_mm(wall) for wall in walls}
    names = [_full(room, side.wall) for side in room.sides]
    sides = [
        Side(side.length or lengths.get(name, 0), side.turn)
        for side, name in zip(room.sides, names, strict=True)
    ]
    if not sides or not all(side.length_mm for side in sides):
        return None
    closing = close_room(sides)
    ring = [(round(x), round(y)) for x, y in closing.corners]
    if abs(closing.turned_deg) > 1 or not _sound(ring):
        return None
    on_side = [
        (Lined(name, 0, min(lengths[name], round(side.length_mm))),) if name in lengths else ()
        for side, name in zip(sides, names, strict=True)
    ]
    return RoomOutline(
        sides=tuple(
            PlanSide(a, b, lined, _full(room, said.beyond))
            for (a, b), lined, said in zip(edges(ring), on_side, room.sides, strict=True)
        ),
        basis=Basis.MEASURED,
        miss_mm=round(closing.miss_mm),
        left_out=tuple(wall.id for wall in walls if wall.id not in names),
    )


def _from_walls(walls: Sequence[JobWall], steps: Sequence[tuple[int, int]]) -> RoomOutline | None:
    """Of walls that go all the way round with right angles."""
    if len(walls) < 4 or sum(turn for _, turn in steps) != 360:
        return None
    closing = close_room([Side(length, turn) for length, turn in steps])
    ring = [(round(x), round(y)) for x, y in closing.corners]
    if closing.miss_mm > max(_MISS_MM, _MISS_SHARE * closing.around_mm) or not _sound(ring):
        return None
    return RoomOutline(
        sides=tuple(
            PlanSide(a, b, (Lined(wall.id, 0, length),))
            for (a, b), wall, (length, _) in zip(edges(ring), walls, steps, strict=True)
        ),
        basis=Basis.WALLS,
        miss_mm=round(closing.miss_mm),
    )


def _filled_in(walls: Sequence[JobWall], steps: Sequence[tuple[int, int]]) -> RoomOutline | None:
    """Of walls in a row, and sides that lead back to where the first began."""
    points: list[Point] = [(0, 0)]
    heading = 0
    for length, turn in steps:
        dx, dy = _DIRECTIONS[heading % 360]
        points.append((points[-1][0] + dx * length, points[-1][1] + dy * length))
        heading += turn
    for back in _ways_back(points):
        ring = [*points, *back]
        if _sound(ring) and all(hypot(b[0] - a[0], b[1] - a[1]) >= _SHORTEST_MM for a, b in edges(ring)):
            on_side = [(Lined(wall.id, 0, length),) for wall, (length, _) in zip(walls, steps, strict=True)]
            sides = [PlanSide(a, b) for a, b in edges(ring)]
            lined = [PlanSide(side.a, side.b, on) for side, on in zip(sides, on_side, strict=False)]
            return RoomOutline(sides=(*lined, *sides[len(lined) :]), basis=Basis.SKETCH)
    return None


_DIRECTIONS: Mapping[int, Point] = {0: (1, 0), 90: (0, -1), 180: (-1, 0), 270: (0, 1)}


def _ways_back(points: Sequence[Point]) -> Iterator[list[Point]]:
    """Corners between the last point and the first, right-angled, the shortest way first."""
    x, y = points[-1]
    if len(points) > 3 and (x == 0 or y == 0):
        yield []
    yield [(0, y)]
    yield [(x, 0)]
    left, low, right, high = box_of(points)
    deep = min(max(round(0.75 * (right - left)), _DEPTHS_MM[0]), _DEPTHS_MM[1])
    for level in (low if low < y else low - deep, high + deep):
        yield [(x, level), (0, level)]
    for level in (left - deep, right + deep):
        yield [(level, y), (level, 0)]


def _rectangle(walls: Sequence[JobWall]) -> RoomOutline:
    """A rectangle with the walls along its four sides by turns, as long as they need."""
    on_side: list[list[Lined]] = [[], [], [], []]
    for number, wall in enumerate(walls):
        row = on_side[number % 4]
        start = row[-1].end_mm if row else 0
        row.append(Lined(wall.id, start, start + _length_mm(wall)))
    needs = [row[-1].end_mm if row else 0 for row in on_side]
    wide, deep = max(needs[0], needs[2]), max(needs[1], needs[3])
    wide = wide or _DEPTHS_MM[0]
    deep = deep or min(max(round(0.75 * wide), _DEPTHS_MM[0]), _DEPTHS_MM[1])
    ring = [(0, 0), (wide, 0), (wide, -deep), (0, -deep)]
    return RoomOutline(
        sides=tuple(PlanSide(a, b, tuple(row)) for (a, b), row in zip(edges(ring), on_side, strict=True)),
        basis=Basis.SKETCH,
    )


def _sound(ring: Sequence[Point]) -> bool:
    """Whether corners make a room: without crossings, walked clockwise."""
    return len(ring) > 2 and first_clash(ring) is None and area_twice(ring) < 0


def _length_mm(wall: JobWall) -> int:
    left, _, right, _ = box_of(wall.outline)
    return right - left


def _turn_after(wall: JobWall) -> int:
    """How one turns at the right end of a wall: to the left at a corner that points into the room."""
    right = max(x for x, _ in wall.outline)
    ends = zip(edges(wall.outline), wall.meets, strict=True)
    outer = any(a[0] == b[0] == right and word == "external corner" for (a, b), word in ends)
    return -90 if outer else 90


def _full(room: JobRoom, name: str | None) -> str:
    """The id of a wall or room that a side names; in a flat, with the flat's."""
    return f"{room.flat}-{name}" if name and room.flat else name or ""
