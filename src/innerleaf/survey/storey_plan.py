"""Storeys on plan: every room with its outline at its place, those without a place beside the others.

Plan coordinates are whole millimetres, x to the right, y up. A room that the job gives a place stands there.
The others are put beside it by what is known of them: outer walls look the way they face and away from other
rooms, a room that a side names lies beyond that side, and the whole stays compact. No such room overlaps
another. Flats are planned one by one, places counted within the flat, and then set side by side.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import groupby
from math import cos, hypot, inf, radians, sin

from innerleaf.job.model import Job, JobRoom, JobWall
from innerleaf.job.outline import Point, Rect, box_of
from innerleaf.survey.polygons import overlap
from innerleaf.survey.room_outline import PlanSide, RoomOutline, outline_of

GAP_MM = 200  # drawn between rooms that nobody gave a place, for the wall between them: of our own choice
_BETWEEN_FLATS_MM = 600
_MOST_TRIED = 40  # rooms of one group beyond this number are set in rows
_ROW_MM = 40_000
_BESIDE_MM = 500  # rooms beside one another share at least so much
_OUTER = ("outside", "ground")


@dataclass(frozen=True, kw_only=True)
class PlacedRoom:
    """A room on plan. ``given``: the job says where; else it was put there.

    ``shift`` is how far its flat was moved: a place in the job is without it.
    """

    room: JobRoom
    outline: RoomOutline
    x_mm: int = 0
    y_mm: int = 0
    turn_deg: float = 0.0
    given: bool = False
    shift: Point = (0, 0)

    def at(self, point: tuple[float, float]) -> Point:
        """A point of the room's own coordinates on plan."""
        c, s = cos(radians(self.turn_deg)), sin(radians(self.turn_deg))
        x, y = point
        return round(self.x_mm + x * c + y * s), round(self.y_mm - x * s + y * c)

    @cached_property
    def ring(self) -> tuple[Point, ...]:
        """The corners on plan, clockwise."""
        return tuple(self.at(point) for point in self.outline.ring)

    @cached_property
    def box(self) -> Rect:
        """The upright rectangle round it."""
        return box_of(self.ring)

    def along(self, side: PlanSide, distance_mm: float) -> Point:
        """A point of a side on plan, so far from its left end."""
        part = distance_mm / side.length_mm
        return self.at(
            (side.a[0] + (side.b[0] - side.a[0]) * part, side.a[1] + (side.b[1] - side.a[1]) * part)
        )

    def moved(self, dx_mm: int, dy_mm: int) -> PlacedRoom:
        """The same room elsewhere."""
        return replace(self, x_mm=self.x_mm + dx_mm, y_mm=self.y_mm + dy_mm)


@dataclass(frozen=True, slots=True, kw_only=True)
class StoreyPlan:
    """The rooms of one storey. ``north_deg``: where north is, clockwise from up the plan; None: not said.

    ``clashes`` are pairs of rooms, by id, that the job puts over one another.
    """

    storey: str
    rooms: tuple[PlacedRoom, ...]
    north_deg: float | None
    clashes: tuple[tuple[str, str], ...]

    @property
    def box(self) -> Rect:
        """The upright rectangle round all rooms."""
        return _around([one.box for one in self.rooms])


def is_surveyed(job: Job) -> bool:
    """Whether the job says of any room where it lies, or gives sides."""
    return any(room.plan is not None or room.sides for room in job.rooms)


def plan_storeys(job: Job) -> tuple[StoreyPlan, ...]:
    """All storeys that rooms with an outline lie on, in the order of deliveries or of the job."""
    walls = {wall.id: wall for wall in job.walls}
    of_room: dict[str, list[JobWall]] = {}
    for wall in job.walls:
        of_room.setdefault(wall.room.id, []).append(wall)
    placed = []
    for room in job.rooms:
        outline = outline_of(room, of_room.get(room.id, []))
        if outline:
            placed.append(_given(room, outline))
    up = _direction_of_up(placed, walls)
    turned = [one if one.given else replace(one, turn_deg=_turn(one, walls, up or 0.0)) for one in placed]
    storeys = sorted(dict.fromkeys(one.room.storey for one in turned), key=_order(job.buying.storeys))
    return tuple(
        _storey(name, [one for one in turned if one.room.storey == name], walls, up) for name in storeys
    )


def _order(named: Sequence[str]) -> Callable[[str], int]:
    return lambda storey: named.index(storey) if storey in named else len(named)


def _given(room: JobRoom, outline: RoomOutline) -> PlacedRoom:
    place = room.plan
    if place is None:
        return PlacedRoom(room=room, outline=outline)
    return PlacedRoom(room=room, outline=outline, x_mm=place.x, y_mm=place.y, turn_deg=place.turn, given=True)


def _storey(name: str, rooms: list[PlacedRoom], walls: dict[str, JobWall], up: float | None) -> StoreyPlan:
    groups: list[list[PlacedRoom]] = []
    for _, some in groupby(sorted(rooms, key=lambda one: one.room.flat), key=lambda one: one.room.flat):
        groups.append(_put_group(list(some), walls))
    together = _set_side_by_side(groups)
    order = {one.room.id: number for number, one in enumerate(rooms)}
    together.sort(key=lambda one: order[one.room.id])
    clashes = tuple(pair for group in groups for pair in _clashes([one for one in group if one.given]))
    north = None if up is None else -up
    return StoreyPlan(storey=name, rooms=tuple(together), north_deg=north, clashes=clashes)


def _clashes(rooms: Sequence[PlacedRoom]) -> Iterator[tuple[str, str]]:
    for number, a in enumerate(rooms):
        for b in rooms[number + 1 :]:
            if overlap(a.ring, b.ring):
                yield a.room.id, b.room.id


def _oriented(one: PlacedRoom, walls: dict[str, JobWall]) -> list[tuple[float, float]]:
    """How its walls are turned in the room, and what they face by the compass; longest first. [degrees]"""
    found: list[tuple[float, float, float]] = []
    for side in one.outline.sides:
        for lined in side.walls:
            faces = walls[lined.wall].orientation
            if faces is not None:
                found.append((float(lined.start_mm - lined.end_mm), side.turn_deg, float(faces)))
    return [(turn, faces) for _, turn, faces in sorted(found)]


def _direction_of_up(rooms: Sequence[PlacedRoom], walls: dict[str, JobWall]) -> float | None:
    """Where up the plan looks, from north: as given places have it, else along walls, nearest to north."""
    votes: Counter[float] = Counter()
    for one in rooms:
        for turn, faces in _oriented(one, walls)[:1]:
            votes[(faces - turn - one.turn_deg) % 360 if one.given else faces % 90] += (
                1000 if one.given else 1
            )
    if not votes:
        return None
    up = votes.most_common(1)[0][0]
    if any(one.given and _oriented(one, walls) for one in rooms):
        return up if up <= 180 else up - 360
    return up if up <= 45 else up - 90


def _turn(one: PlacedRoom, walls: dict[str, JobWall], up: float) -> float:
    """How a room is turned so that its walls look where they face, in quarters of a turn."""
    for turn, faces in _oriented(one, walls)[:1]:
        return float(round((faces - turn - up) / 90) * 90 % 360)
    return 0.0


def _put_group(rooms: list[PlacedRoom], walls: dict[str, JobWall]) -> list[PlacedRoom]:
    """Rooms that are planned together: those with a place stay, the others are put beside them."""
    done = [one for one in rooms if one.given]
    free = [one for one in rooms if not one.given]
    if len(rooms) > _MOST_TRIED:
        return [*done, *_in_rows(free, under=done)]
    outer = {one.room.id: _outer_directions(one, walls) for one in rooms}
    while free:
        taken = {two.room.id for two in done}
        named = {side.beyond for two in done for side in two.outline.sides}
        known = [o for o in free if o.room.id in named or any(s.beyond in taken for s in o.outline.sides)]
        one = (known or free)[0]
        free.remove(one)
        spots = _spots(one, done)
        best = min(range(len(spots)), key=lambda n: (_cost(spots[n], done, outer), n))
        done.append(spots[best])
    return done


def _spots(one: PlacedRoom, done: Sequence[PlacedRoom]) -> list[PlacedRoom]:
    """Free places beside the rooms there, flush with an edge or in the middle of one."""
    if not done:
        left, _, _, top = one.box
        return [one.moved(-left, -top)]
    left, low, right, high = one.box
    wide, tall = right - left, high - low
    boxes = [two.box for two in done]
    found = []
    for a, b, c, d in boxes:
        for x in (a, (a + c - wide) // 2, c - wide):
            found += [(x, d + GAP_MM), (x, b - GAP_MM - tall)]
        for y in (d - tall, (b + d - tall) // 2, b):
            found += [(c + GAP_MM, y), (a - GAP_MM - wide, y)]
    free = [(x, y) for x, y in found if not any(_near((x, y, x + wide, y + tall), box) for box in boxes)]
    if not free:  # right of everything there is always room
        around = _around(boxes)
        free = [(around[2] + GAP_MM, around[3] - tall)]
    return [one.moved(x - left, y - low) for x, y in free]


def _near(a: Rect, b: Rect) -> bool:
    """Whether two rectangles are nearer than the wall between rooms."""
    return a[0] < b[2] + GAP_MM and b[0] < a[2] + GAP_MM and a[1] < b[3] + GAP_MM and b[1] < a[3] + GAP_MM


_RIGHT, _DOWN, _LEFT, _UP = range(4)


def _outer_directions(one: PlacedRoom, walls: dict[str, JobWall]) -> frozenset[int]:
    """Where the outer walls of a room look on plan."""
    return frozenset(
        _looks(one, side)
        for side in one.outline.sides
        if any(walls[lined.wall].other_side in _OUTER for lined in side.walls)
    )


def _looks(one: PlacedRoom, side: PlanSide) -> int:
    """Where the far face of a side looks: to the left of its direction."""
    return round((side.turn_deg + one.turn_deg - 90) / 90) % 4


def _cost(
    one: PlacedRoom, done: Sequence[PlacedRoom], outer: dict[str, frozenset[int]]
) -> tuple[int, int, float]:
    """Rooms not beyond the sides that name them, outer walls behind rooms, and how far all is spread."""
    apart = hidden = 0
    for two in done:
        lies = _beside(one.box, two.box)
        for a, b, way in ((one, two, lies), (two, one, _opposite(lies))):
            wanted = {_looks(a, side) for side in a.outline.sides if side.beyond == b.room.id}
            apart += bool(wanted) and way not in wanted
            hidden += _in_front(a.box, b.box, outer[a.room.id])
    left, low, right, high = _around([one.box, *(two.box for two in done)])
    centre = (one.box[0] + one.box[2] - left - right) / 2, (one.box[1] + one.box[3] - low - high) / 2
    return apart, hidden, max(right - left, high - low) + (right - left + high - low) / 4 + hypot(*centre) / 8


def _beside(a: Rect, b: Rect) -> int | None:
    """Where ``b`` lies of ``a`` if they stand side by side; None if they do not."""
    if min(a[3], b[3]) - max(a[1], b[1]) >= _BESIDE_MM:
        if 0 <= b[0] - a[2] <= 2 * GAP_MM:
            return _RIGHT
        if 0 <= a[0] - b[2] <= 2 * GAP_MM:
            return _LEFT
    if min(a[2], b[2]) - max(a[0], b[0]) >= _BESIDE_MM:
        if 0 <= b[1] - a[3] <= 2 * GAP_MM:
            return _UP
        if 0 <= a[1] - b[3] <= 2 * GAP_MM:
            return _DOWN
    return None


def _opposite(way: int | None) -> int | None:
    return None if way is None else (way + 2) % 4


def _in_front(a: Rect, b: Rect, directions: frozenset[int]) -> int:
    """In how many of the directions ``b`` stands before ``a``, however far."""
    level = min(a[3], b[3]) > max(a[1], b[1])
    upright = min(a[2], b[2]) > max(a[0], b[0])
    there = {
        _RIGHT: level and b[0] >= a[2],
        _LEFT: level and b[2] <= a[0],
        _UP: upright and b[1] >= a[3],
        _DOWN: upright and b[3] <= a[1],
    }
    return sum(there[way] for way in directions)


def _in_rows(rooms: Sequence[PlacedRoom], under: Sequence[PlacedRoom]) -> list[PlacedRoom]:
    """One after the other in rows, below what has a place."""
    x, top = 0, (_around([one.box for one in under])[1] - GAP_MM if under else 0)
    tall, done = 0, []
    for one in rooms:
        left, low, right, high = one.box
        if x and x + right - left > _ROW_MM:
            x, top, tall = 0, top - tall - GAP_MM, 0
        done.append(one.moved(x - left, top - high))
        x, tall = x + right - left + GAP_MM, max(tall, high - low)
    return done


def _set_side_by_side(groups: Sequence[list[PlacedRoom]]) -> list[PlacedRoom]:
    """Groups in rows; the first one that has places of its own stays where it is."""
    if not groups:
        return []
    loose = [group for group in groups if not group[0].room.flat]
    done = [one for group in loose for one in group]
    flats = [group for group in groups if group[0].room.flat]
    start, top = 0, 0
    if done:
        left, _, right, high = _around([one.box for one in done])
        start, top = right + _BETWEEN_FLATS_MM, high
    x, lowest, end = start, inf, max(start + _ROW_MM, _ROW_MM)
    for group in flats:
        left, low, right, high = _around([one.box for one in group])
        if x > start and x + right - left > end:
            x, top, lowest = start, round(lowest) - _BETWEEN_FLATS_MM, inf
        shift = (x - left, top - high)
        done += [replace(one.moved(*shift), shift=shift) for one in group]
        x, lowest = x + right - left + _BETWEEN_FLATS_MM, min(lowest, top - (high - low))
    return done


def _around(boxes: Sequence[Rect]) -> Rect:
    lefts, lows, rights, highs = zip(*boxes, strict=True)
    return min(lefts), min(lows), max(rights), max(highs)
