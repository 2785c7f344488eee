"""The elevation that a lining covers, and plain questions about it.

A *span* is a stretch of a plumb line (or of every plumb line in a strip) that is free. Rings are
counter-clockwise; coordinates stay integers wherever the geometry is level or plumb.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import floor

from innerleaf.layout.pieces import Ring
from innerleaf.layout.setting import FREE_ENDS, Setting
from innerleaf.survey.wall import Meets, ObstacleKind, OpeningKind, Wall

Span = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Blocker:
    """A rectangle that the lining leaves free: an opening, or a column or beam it stops at."""

    id: str
    x0: int
    y0: int
    x1: int
    y1: int
    opening: bool
    window: bool  # has a sill to be lined
    lined: bool


@dataclass(frozen=True, slots=True)
class Level:
    """A stretch of floor, head or opening edge along which a track or head member runs."""

    kind: str  # "floor", "head", "over" (a blocker), "under" (a blocker)
    of: str  # blocker id, "" for the outline
    ax: float
    ay: float
    bx: float
    by: float
    meets: Meets | None
    opening: bool = False


def blockers_of(wall: Wall, *, faced: bool = False) -> tuple[Blocker, ...]:
    """Openings, columns and beams, left to right; ``faced``: as the boards of the face end at them."""
    found = [
        Blocker(
            o.id, o.x_mm, o.sill_mm, o.right_mm, o.head_mm, True, o.kind != OpeningKind.DOOR, o.reveal_lined
        )
        for o in (opening.faced if faced else opening for opening in wall.openings)
    ]
    found += [
        Blocker(o.id, o.x_mm, o.y_mm, o.x_mm + o.width_mm, o.y_mm + o.height_mm, False, False, False)
        for o in wall.obstacles
        if o.kind in (ObstacleKind.COLUMN, ObstacleKind.BEAM)
    ]
    return tuple(sorted(found, key=lambda b: (b.x0, b.y0, b.id)))


def y_at(a: Sequence[float], b: Sequence[float], x: float) -> float:
    """Height of the line a-b at x; a whole number stays an integer."""
    if a[1] == b[1]:
        return a[1]
    y = a[1] + (b[1] - a[1]) * (x - a[0]) / (b[0] - a[0])
    return int(y) if float(y).is_integer() else y


def spans_over(rings: Iterable[Ring], xa: float, xb: float) -> list[Span]:
    """Spans inside the rings (even-odd) at every x of the strip ``xa .. xb``, bottom up.

    With ``xa == xb`` the plumb line itself, seen from both sides.
    """
    rings = list(rings)
    if xa == xb:
        xa, xb = xa - 0.5, xb + 0.5
    cuts = sorted({xa, xb} | {x for ring in rings for x, _ in ring if xa < x < xb})
    free: list[Span] | None = None
    for u, v in zip(cuts, cuts[1:], strict=False):
        crossing = []
        for ring in rings:
            for a, b in zip(ring, ring[1:] + ring[:1], strict=True):
                if a[0] != b[0] and min(a[0], b[0]) <= u and max(a[0], b[0]) >= v:
                    yu, yv = y_at(a, b, u), y_at(a, b, v)
                    crossing.append((yu + yv, yu, yv))
        crossing.sort()
        here = [
            (max(low[1], low[2]), min(top[1], top[2]))
            for low, top in zip(crossing[::2], crossing[1::2], strict=True)
        ]
        free = here if free is None else intersect(free, here)
    return [span for span in free or [] if span[1] > span[0]]


def intersect(one: Iterable[Span], two: Sequence[Span]) -> list[Span]:
    """Stretches that lie in both lists."""
    return [(max(a[0], b[0]), min(a[1], b[1])) for a in one for b in two if min(a[1], b[1]) > max(a[0], b[0])]


def subtract(spans: Iterable[Span], low: float, high: float) -> list[Span]:
    """Spans without the stretch ``low .. high``."""
    left: list[Span] = []
    for a, b in spans:
        if high <= a or low >= b:
            left.append((a, b))
            continue
        if a < low:
            left.append((a, low))
        if high < b:
            left.append((high, b))
    return left


class Zone:
    """The outline of a wall with what blocks its frame (``blockers``) and its boards (``faces``)."""

    __slots__ = ("blockers", "faces", "outline", "rectangle", "wall", "x0", "x1", "y0", "y1")

    def __init__(self, wall: Wall) -> None:
        self.wall = wall
        self.outline: Ring = wall.outline
        self.blockers = blockers_of(wall)
        self.faces = blockers_of(wall, faced=True)
        xs, ys = [x for x, _ in wall.outline], [y for _, y in wall.outline]
        self.x0, self.x1, self.y0, self.y1 = min(xs), max(xs), min(ys), max(ys)
        self.rectangle = len(wall.outline) == 4 and all(
            x in (self.x0, self.x1) and y in (self.y0, self.y1) for x, y in wall.outline
        )

    def clear(self, xa: float, xb: float) -> list[Span]:
        """Spans free of the outline's edges and of every blocker over the strip ``xa .. xb``."""
        if self.rectangle:
            spans: list[Span] = [(self.y0, self.y1)] if xa >= self.x0 and xb <= self.x1 else []
        else:
            spans = spans_over([self.outline], xa, xb)
        for b in self.blockers:
            if (b.x0 < xb and xa < b.x1) or (xa == xb and b.x0 < xa < b.x1):
                spans = subtract(spans, b.y0, b.y1)
        return spans

    def room_beside(self, blocker: Blocker) -> bool:
        """Whether anything of the wall is left above or below a blocker, anywhere along it."""
        low, high = max(blocker.x0, self.x0), min(blocker.x1, self.x1)
        lines = {low + 0.5, high - 0.5, (low + high) / 2, *(x for x, _ in self.outline if low < x < high)}
        return any(self.clear(x, x) for x in lines)

    def levels(self, xa: float, xb: float) -> list[Level]:
        """Floor, head and opening edges between ``xa`` and ``xb``, merged into straight stretches."""
        cuts = {xa, xb} | {x for x, _ in self.outline}
        for b in self.blockers:
            cuts |= {b.x0, b.x1}
        ordered = sorted(x for x in cuts if xa <= x <= xb)
        found: list[Level] = []
        for u, v in zip(ordered, ordered[1:], strict=False):
            for level in self._levels_of_strip(u, v):
                _join(found, level)
        return found

    def _levels_of_strip(self, u: float, v: float) -> list[Level]:
        edges = []
        for i, (a, b) in enumerate(zip(self.outline, self.outline[1:] + self.outline[:1], strict=True)):
            if a[0] != b[0] and min(a[0], b[0]) <= u and max(a[0], b[0]) >= v:
                edges.append((y_at(a, b, u) + y_at(a, b, v), i, a, b))
        edges.sort(key=lambda e: e[:2])
        levels = []
        for low, top in zip(edges[::2], edges[1::2], strict=True):
            walls = (("floor", low), ("head", top))
            here = [
                b
                for b in self.blockers
                if b.x0 <= u and b.x1 >= v and 2 * b.y0 < top[0] and 2 * b.y1 > low[0]
            ]
            for kind, (_, i, a, b) in walls:
                covered = any(
                    k.y0 <= min(y_at(a, b, u), y_at(a, b, v)) and k.y1 >= max(y_at(a, b, u), y_at(a, b, v))
                    for k in here
                )
                if not covered:
                    levels.append(Level(kind, "", u, y_at(a, b, u), v, y_at(a, b, v), self.wall.meets[i]))
            for k in here:
                if 2 * k.y1 < top[0]:
                    levels.append(Level("over", k.id, u, k.y1, v, k.y1, None, k.opening))
                if 2 * k.y0 > low[0]:
                    levels.append(Level("under", k.id, u, k.y0, v, k.y0, None, k.opening))
        return levels

    def uprights(self) -> list[tuple[float, float, float, bool, Meets]]:
        """Plumb edges of the outline: (x, y low, y high, interior lies to the right, what it meets)."""
        found = []
        for i, (a, b) in enumerate(zip(self.outline, self.outline[1:] + self.outline[:1], strict=True)):
            if a[0] == b[0] and a[1] != b[1]:
                found.append((a[0], min(a[1], b[1]), max(a[1], b[1]), b[1] < a[1], self.wall.meets[i]))
        return found


def _join(found: list[Level], new: Level) -> None:
    """Append, or lengthen the stretch that the new one continues in a straight line."""
    for k in range(len(found) - 1, -1, -1):
        old = found[k]
        if (
            old.bx == new.ax
            and old.by == new.ay
            and (old.kind, old.of, old.meets) == (new.kind, new.of, new.meets)
        ):
            straight = (old.by - old.ay) * (new.bx - new.ax) == (new.by - new.ay) * (old.bx - old.ax)
            sloped_alike = (
                abs((old.by - old.ay) / (old.bx - old.ax) - (new.by - new.ay) / (new.bx - new.ax)) < 1e-9
            )
            if straight or sloped_alike:
                found[k] = Level(old.kind, old.of, old.ax, old.ay, new.bx, new.by, old.meets, old.opening)
                return
    found.append(new)


def edge_gap_mm(setting: Setting, a: Sequence[float], b: Sequence[float], meets: Meets) -> int:
    """Gap between the boards and one outline edge; plumb edges horizontally, others plumb."""
    if meets in FREE_ENDS:
        return 0
    if a[0] == b[0]:
        return setting.gaps.side_mm
    return setting.gaps.floor_mm if b[0] > a[0] else setting.gaps.head_mm


def board_ring(setting: Setting) -> Ring:
    """The outline moved in by the gaps: what boards may cover, openings not yet taken out."""
    wall = setting.wall
    ring = wall.outline
    lines = []
    for a, b, meets in zip(ring, ring[1:] + ring[:1], wall.meets, strict=True):
        gap = edge_gap_mm(setting, a, b, meets)
        if a[0] == b[0]:
            shift = gap if b[1] < a[1] else -gap  # going down: interior to the right
            lines.append(((a[0] + shift, a[1]), (b[0] + shift, b[1])))
        else:
            shift = gap if b[0] > a[0] else -gap
            lines.append(((a[0], a[1] + shift), (b[0], b[1] + shift)))
    moved: list[tuple[float, float]] = []
    for before, here in zip([lines[-1], *lines[:-1]], lines, strict=True):
        crossing = _crossing(before, here)
        moved.extend([crossing] if crossing else [before[1], here[0]])
    return tuple(moved)


Line = tuple[tuple[float, float], tuple[float, float]]


def _crossing(one: Line, two: Line) -> tuple[float, float] | None:
    """Where two lines cross; None when they are parallel and apart."""
    (ax, ay), (bx, by) = one
    (cx, cy), (dx, dy) = two
    if ax == bx and cx == dx:
        return one[1] if ax == cx else None
    if ax == bx:
        return ax, y_at(two[0], two[1], ax)
    if cx == dx:
        return cx, y_at(one[0], one[1], cx)
    cross = (bx - ax) * (dy - cy) - (by - ay) * (dx - cx)
    if cross == 0:
        return one[1] if one[1] == two[0] else None
    t = ((cx - ax) * (dy - cy) - (cy - ay) * (dx - cx)) / cross
    return whole(ax + t * (bx - ax)), whole(ay + t * (by - ay))


def nearest(value: float) -> int:
    """The nearest whole millimetre, halves upwards: the same wherever the wall lies along the axis."""
    return floor(value + 0.5)


def whole(value: float) -> float:
    """An integer where the value is one up to rounding noise."""
    near = round(value)
    return near if abs(value - near) < 1e-6 else value
