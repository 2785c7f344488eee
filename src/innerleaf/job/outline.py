"""Plain geometry of a wall's outline: integers in, exact answers out.

Points are (x, y) in mm, x to the right, y up. An edge belongs to its first vertex.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from typing import TypeVar

Point = tuple[int, int]
Rect = tuple[int, int, int, int]  # left, bottom, right, top
_Word = TypeVar("_Word", bound=str)


def area_twice(points: Sequence[Point]) -> int:
    """Twice the enclosed area; positive when the points run counter-clockwise. [mm²]"""
    return sum(ax * by - bx * ay for (ax, ay), (bx, by) in edges(points))


def edges(points: Sequence[Point]) -> list[tuple[Point, Point]]:
    """Each vertex with the next."""
    return list(zip(points, [*points[1:], points[0]], strict=True))


def first_clash(points: Sequence[Point]) -> tuple[int, int] | None:
    """Two edges that cross, touch or fold back on each other; None for a simple outline."""
    sides = edges(points)
    count = len(sides)
    for i, (a, b) in enumerate(sides):
        if a == b:
            return i, i
    for i, (a, b) in enumerate(sides):
        for j in range(i + 1, count):
            c, d = sides[j]
            if j == i + 1 or (i == 0 and j == count - 1):
                near, middle, far = (a, b, d) if j == i + 1 else (c, a, b)
                if _turn(near, middle, far) == 0 and _ahead(near, middle, far) < 0:
                    return i, j
            elif _meet(a, b, c, d):
                return i, j
    return None


def in_one_line(points: Sequence[Point]) -> bool:
    """Do all points lie on one line (or on one spot)?"""
    first = points[0]
    second = next((point for point in points if point != first), first)
    return all(_turn(first, second, point) == 0 for point in points)


def from_bottom_left(
    points: Sequence[Point], what: Sequence[_Word]
) -> tuple[tuple[Point, ...], tuple[_Word, ...]]:
    """The outline counter-clockwise from its bottom left vertex, with what each edge carries."""
    ring, carried = list(points), list(what)
    if area_twice(ring) < 0:
        ring.reverse()
        carried.reverse()
        carried = [*carried[1:], carried[0]]  # the edge from vertex i now leads to i - 1
    start = ring.index(min(ring))
    return tuple(ring[start:] + ring[:start]), tuple(carried[start:] + carried[:start])


def sides(points: Sequence[Point]) -> list[str]:
    """left, right, floor, ceiling or slope for each edge of a simple outline, by where its wall lies."""
    way = 1 if area_twice(points) > 0 else -1
    names = []
    for (ax, ay), (bx, by) in edges(points):
        dx, dy = way * (bx - ax), way * (by - ay)
        if dx == 0:
            names.append("right" if dy > 0 else "left")
        elif dx > 0:
            names.append("floor")
        else:
            names.append("ceiling" if dy == 0 else "slope")
    return names


def cut_at_height(
    points: Sequence[Point], what: Sequence[_Word], y: int, top: _Word
) -> tuple[tuple[Point, ...], tuple[_Word, ...]] | None:
    """The outline up to height ``y``; its new top edge carries ``top``. None: it falls into several parts."""
    ring: list[Point] = []
    carried: list[_Word] = []
    new_tops = 0
    for ((ax, ay), (bx, by)), edge in zip(edges(points), what, strict=True):
        if ay <= y:
            ring.append((ax, ay))
            carried.append(edge)
        if (ay <= y < by) or (by <= y < ay):
            x = ax + round(Fraction((y - ay) * (bx - ax), by - ay))
            leaves = ay <= y
            new_tops += leaves
            if leaves and (ax, ay) == (x, y):
                carried[-1] = top
            elif leaves:
                ring.append((x, y))
                carried.append(top)
            elif (bx, by) != (x, y):
                ring.append((x, y))
                carried.append(edge)
    return (tuple(ring), tuple(carried)) if new_tops <= 1 and len(ring) > 2 else None


def is_rectangle(points: Sequence[Point]) -> bool:
    """Is the outline the upright rectangle round its corners?"""
    left, bottom, right, top = box_of(points)
    return len(points) == 4 and {*points} == {(left, bottom), (right, bottom), (right, top), (left, top)}


def holds(points: Sequence[Point], rect: Rect) -> bool:
    """Does the rectangle lie inside the outline? It may touch it."""
    left, bottom, right, top = rect
    around = box_of(points)
    if left < around[0] or bottom < around[1] or right > around[2] or top > around[3]:
        return False
    if is_rectangle(points):
        return True
    if any(_enters(rect, a, b) for a, b in edges(points)):
        return False
    return inside(points, (Fraction(left + right, 2), Fraction(bottom + top, 2)))


def inside(points: Sequence[Point], point: tuple[Fraction | int, Fraction | int]) -> bool:
    """Does the point lie inside the outline or on it?"""
    x, y = point
    odd = False
    for (ax, ay), (bx, by) in edges(points):
        turn = (bx - ax) * (y - ay) - (by - ay) * (x - ax)
        if turn == 0 and min(ax, bx) <= x <= max(ax, bx) and min(ay, by) <= y <= max(ay, by):
            return True
        if (ay > y) != (by > y) and (turn > 0) == (by > ay):
            odd = not odd
    return odd


def greatest_chord(points: Sequence[Point]) -> float:
    """The longest upright line within the outline: the tallest member it can take. [mm]"""
    xs = sorted({x for x, _ in points})
    best = 0.0
    for left, right in zip(xs, xs[1:], strict=False):
        across = []
        for (ax, ay), (bx, by) in edges(points):
            if min(ax, bx) <= left and right <= max(ax, bx) and ax != bx:
                slope = (by - ay) / (bx - ax)
                across.append((ay + (left - ax) * slope, ay + (right - ax) * slope))
        across.sort(key=sum)
        for low, high in zip(across[::2], across[1::2], strict=True):
            best = max(best, high[0] - low[0], high[1] - low[1])
    return best


def box_of(points: Sequence[Point]) -> Rect:
    """The least upright rectangle round the points."""
    xs, ys = [x for x, _ in points], [y for _, y in points]
    return min(xs), min(ys), max(xs), max(ys)


def overlap(a: Rect, b: Rect) -> bool:
    """Do two rectangles share more than an edge?"""
    return a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]


def _turn(a: Point, b: Point, c: Point) -> int:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def _ahead(a: Point, b: Point, c: Point) -> int:
    """Positive when b to c goes on in the direction of a to b."""
    return (b[0] - a[0]) * (c[0] - b[0]) + (b[1] - a[1]) * (c[1] - b[1])


def _meet(a: Point, b: Point, c: Point, d: Point) -> bool:
    """Do the closed segments a-b and c-d share a point?"""
    turns = _turn(a, b, c), _turn(a, b, d), _turn(c, d, a), _turn(c, d, b)
    if not any(turns):
        return all(min(a[k], b[k]) <= max(c[k], d[k]) and min(c[k], d[k]) <= max(a[k], b[k]) for k in (0, 1))
    return turns[0] * turns[1] <= 0 and turns[2] * turns[3] <= 0


def _enters(rect: Rect, a: Point, b: Point) -> bool:
    """Does the segment pass through the open inside of the rectangle?"""
    if min(a[0], b[0]) >= rect[2] or max(a[0], b[0]) <= rect[0]:
        return False
    if min(a[1], b[1]) >= rect[3] or max(a[1], b[1]) <= rect[1]:
        return False
    start, end = Fraction(0), Fraction(1)
    for low, high, at, step in ((rect[0], rect[2], a[0], b[0] - a[0]), (rect[1], rect[3], a[1], b[1] - a[1])):
        if step == 0:
            if not low < at < high:
                return False
        else:
            first, last = sorted((Fraction(low - at, step), Fraction(high - at, step)))
            start, end = max(start, first), min(end, last)
    return start < end
