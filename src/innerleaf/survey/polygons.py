"""Whether two simple polygons with whole coordinates share any area."""

from __future__ import annotations

from collections.abc import Sequence

from innerleaf.job.outline import Point, edges


def overlap(a: Sequence[Point], b: Sequence[Point]) -> bool:
    """Whether two simple polygons share area; sides that only touch do not count.

    Exact for whole numbers: each side is cut where the other polygon meets it, and the middles of the parts
    are looked at.
    """
    return _reaches_in(a, b) or _reaches_in(b, a) or _inner_point_inside(a, b) or _inner_point_inside(b, a)


def _reaches_in(a: Sequence[Point], b: Sequence[Point]) -> bool:
    """Whether a side of ``a`` runs through the inside of ``b``."""
    for start, end in edges(a):
        cuts = sorted({0.0, 1.0, *_cuts(start, end, b)})
        for low, high in zip(cuts, cuts[1:], strict=False):
            middle = (low + high) / 2
            x = start[0] + (end[0] - start[0]) * middle
            y = start[1] + (end[1] - start[1]) * middle
            if high - low > 1e-9 and contains(b, (x, y)):
                return True
    return False


def _cuts(p: Point, q: Point, ring: Sequence[Point]) -> list[float]:
    """Where a side is met by the sides of a polygon, as parts of its length."""
    dx, dy = q[0] - p[0], q[1] - p[1]
    found = []
    for a, b in edges(ring):
        ex, ey = b[0] - a[0], b[1] - a[1]
        across = dx * ey - dy * ex
        if across:
            t = ((a[0] - p[0]) * ey - (a[1] - p[1]) * ex) / across
            if 0 < t < 1:
                found.append(t)
        else:
            found += [
                t
                for x, y in (a, b)
                if 0 < (t := ((x - p[0]) * dx + (y - p[1]) * dy) / (dx * dx + dy * dy)) < 1
            ]
    return found


def contains(ring: Sequence[Point], point: tuple[float, float]) -> bool:
    """Whether a point lies inside a polygon, not on its sides."""
    x, y = point
    inside = False
    for (ax, ay), (bx, by) in edges(ring):
        cross = (bx - ax) * (y - ay) - (by - ay) * (x - ax)
        size = abs(bx - ax) + abs(by - ay)
        on_line = abs(cross) <= 1e-6 * max(1, size)
        if (
            on_line
            and min(ax, bx) - 1e-6 <= x <= max(ax, bx) + 1e-6
            and min(ay, by) - 1e-6 <= y <= max(ay, by) + 1e-6
        ):
            return False
        if (ay > y) != (by > y) and x < ax + (y - ay) * (bx - ax) / (by - ay):
            inside = not inside
    return inside


def _inner_point_inside(a: Sequence[Point], b: Sequence[Point]) -> bool:
    """Whether some point within ``a`` lies in ``b``: for polygons of one and the same outline."""
    for n, (x, y) in enumerate(a):
        (px, py), (qx, qy) = a[n - 1], a[(n + 1) % len(a)]
        point = (x / 2 + px / 4 + qx / 4, y / 2 + py / 4 + qy / 4)
        if contains(a, point) and contains(b, point):
            return True
    return False
