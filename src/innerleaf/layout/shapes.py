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


class Area:
    """A region of the elevation that can be cut into cells."""

    __slots__ = ("_shape",)

    def __init__(self, ring: Ring, without: Iterable[Box] = ()) -> None:
        shape: Any = shapely.Polygon(ring)
        boxes = [shapely.box(*box) for box in without]
        if boxes:
            shape = shape.difference(shapely.union_all(boxes))
        self._shape = shape

    def parts(self) -> list[Part]:
        """The region as rings with holes."""
        return _parts(self._shape)

    def cells(self, boxes: Sequence[Box]) -> list[list[Part]]:
        """What each box cuts out of the region."""
        if not boxes:
            return []
        lows_highs = list(zip(*boxes, strict=True))
        cut = shapely.intersection(self._shape, shapely.box(*lows_highs))
        return [_parts(shape) for shape in cut]


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
    points = [(whole(x), whole(y)) for x, y in coords][:-1]
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
