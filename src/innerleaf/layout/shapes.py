"""Polygons: the only place of the layout that speaks to the geometry library."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

import shapely

from innerleaf.layout.pieces import Ring
from innerleaf.layout.zone import whole

Part = tuple[Ring, tuple[Ring, ...]]  # a ring with its holes
Box = tuple[float, float, float, float]

# Slivers of area below this are rounding noise of the clipping. [mm2]
_NOISE_MM2 = 1.0
_SAME_MM = 1e-6


class Area:
    """A region of the elevation that can be cut into cells.

    Most cells are plain rectangles clear of everything; those never reach the geometry library.
    """

    __slots__ = ("_bounds", "_holes", "_known", "_made", "_ring", "_without")

    def __init__(self, ring: Ring, without: Sequence[Box] = (), holes: Sequence[Ring] = ()) -> None:
        self._ring, self._without, self._holes = ring, tuple(without), tuple(holes)
        xs, ys = {x for x, _ in ring}, {y for _, y in ring}
        plain = len(ring) == 4 and len(xs) == 2 and len(ys) == 2 and not holes
        self._bounds: Box | None = (min(xs), min(ys), max(xs), max(ys)) if plain else None
        self._made: Any = None
        self._known: dict[Box, list[Part]] = {}  # cells cut by the geometry library: it takes its time

    @property
    def _shape(self) -> Any:
        if self._made is None:
            shape: Any = shapely.Polygon(self._ring, self._holes)
            if self._without:
                shape = shape.difference(shapely.union_all([shapely.box(*box) for box in self._without]))
            self._made = shape
        return self._made

    def parts(self) -> list[Part]:
        """The region as rings with holes."""
        if self._bounds and not self._without:
            return [(_rectangle(*self._bounds), ())]
        return _parts(self._shape)

    def cells(self, boxes: Sequence[Box]) -> list[list[Part]]:
        """What each box cuts out of the region."""
        cut = [self._plain_cell(box) for box in boxes]
        cut = [
            self._known.get(box) if parts is None else parts for box, parts in zip(boxes, cut, strict=True)
        ]
        rest = [k for k, parts in enumerate(cut) if parts is None]
        if rest:
            shapes = shapely.intersection(
                self._shape, shapely.box(*zip(*(boxes[k] for k in rest), strict=True))
            )
            for k, shape in zip(rest, shapes, strict=True):
                cut[k] = self._known[boxes[k]] = _parts(shape)
        return [parts or [] for parts in cut]

    def _plain_cell(self, box: Box) -> list[Part] | None:
        """A cell that is a rectangle or nothing; None if it takes real clipping."""
        if self._bounds is None:
            return None
        left, low = max(box[0], self._bounds[0]), max(box[1], self._bounds[1])
        right, high = min(box[2], self._bounds[2]), min(box[3], self._bounds[3])
        if right <= left or high <= low:
            return []
        if any(b[0] < right and left < b[2] and b[1] < high and low < b[3] for b in self._without):
            return None
        return [(_rectangle(left, low, right, high), ())]


def less(part: Part, taken: Sequence[Part]) -> list[Part]:
    """What is left of a part without others."""
    others = shapely.union_all([shapely.Polygon(*other) for other in taken])
    return _parts(shapely.Polygon(*part).difference(others))


def _rectangle(left: float, low: float, right: float, high: float) -> Ring:
    return ((left, low), (right, low), (right, high), (left, high))


def touches_disc(part: Part, x: float, y: float, radius: float) -> bool:
    """Whether a disc overlaps a part."""
    return bool(shapely.Polygon(part[0], part[1]).distance(shapely.Point(x, y)) < radius)


def area_mm2(part: Part) -> float:
    """Area of a ring less its holes."""
    return abs(_signed(part[0])) - sum(abs(_signed(hole)) for hole in part[1])


def _signed(ring: Sequence[Sequence[float]]) -> float:
    return sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(ring, [*ring[1:], ring[0]], strict=True)) / 2


def _parts(shape: Any) -> list[Part]:
    if shape.is_empty:
        return []
    found = []
    for polygon in shapely.get_parts(shape):
        if polygon.geom_type != "Polygon" or polygon.area < _NOISE_MM2:
            continue
        outer = _tidy(polygon.exterior.coords)
        holes = tuple(_tidy(hole.coords) for hole in polygon.interiors)
        found.append((outer, holes))
    return sorted(found, key=lambda part: (part[0][0][0], part[0][0][1]))


def _tidy(coords: Iterable[Sequence[float]]) -> Ring:
    """Counter-clockwise from the lower left, without points in a straight line, whole where whole."""
    points = _apart([(whole(x), whole(y)) for x, y in coords][:-1])
    kept = []
    for i, here in enumerate(points):
        before, after = points[i - 1], points[(i + 1) % len(points)]
        turn = (here[0] - before[0]) * (after[1] - here[1]) - (here[1] - before[1]) * (after[0] - here[0])
        if abs(turn) > 1e-6:
            kept.append(here)
    if _signed(kept) < 0:
        kept.reverse()
    start = min(range(len(kept)), key=lambda i: kept[i])
    return tuple(kept[start:] + kept[:start])


def _apart(points: list[tuple[float, float]]) -> list[tuple[float, float]]:
    """Points without those that are another one again, but for the noise of a subtraction."""
    return [
        here
        for before, here in zip([points[-1], *points], points, strict=False)
        if abs(before[0] - here[0]) + abs(before[1] - here[1]) > _SAME_MM
    ]
