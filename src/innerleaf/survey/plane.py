"""The old wall's face, as surveyed: how far it stands towards the room, anywhere on the wall.

Between the places of the grid the offset is interpolated in both directions (bilinearly), so it is
never above the greatest or below the least value of the grid. Beyond the grid the nearest value holds.
Without a survey the face is taken as flat, at 0.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence

from innerleaf.survey.wall import OffsetGrid, Wall


def offset_at(grid: OffsetGrid, x_mm: float, y_mm: float) -> float:
    """Offset of the face at a point of the elevation; positive into the room. [mm]"""
    column, along = _between(grid.xs_mm, x_mm)
    row, up = _between(grid.ys_mm, y_mm)
    low, high = grid.offsets_mm[row], grid.offsets_mm[min(row + 1, len(grid.ys_mm) - 1)]
    right = min(column + 1, len(grid.xs_mm) - 1)
    below = low[column] + (low[right] - low[column]) * along
    above = high[column] + (high[right] - high[column]) * along
    return below + (above - below) * up


def wall_offset_mm(wall: Wall, x_mm: float, y_mm: float) -> float:
    """Offset of the wall's face at a point; 0 without a survey. [mm]"""
    return offset_at(wall.offsets, x_mm, y_mm) if wall.offsets else 0.0


def greatest_offset_mm(wall: Wall) -> int:
    """The highest bump of the face: what the frame has to clear; 0 without a survey. [mm]"""
    return max(map(max, wall.offsets.offsets_mm)) if wall.offsets else 0


def least_offset_mm(wall: Wall) -> int:
    """The deepest hollow of the face: what a bracket has to reach; 0 without a survey. [mm]"""
    return min(map(min, wall.offsets.offsets_mm)) if wall.offsets else 0


def _between(places: Sequence[int], at: float) -> tuple[int, float]:
    """The place at or before a point, and how far on towards the next one it lies (0 to 1)."""
    index = max(0, min(bisect_right(places, at) - 1, len(places) - 1))
    if index == len(places) - 1:
        return index, 0.0
    return index, max(0.0, (at - places[index]) / (places[index + 1] - places[index]))
