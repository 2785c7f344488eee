"""Round holes through a lining, for boxes and pipes, and which of them run into each other."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from innerleaf.job.model import JobBox, JobObstacle
from innerleaf.job.outline import Point, Rect, overlap


@dataclass(frozen=True, slots=True)
class Holes:
    """The holes of one thing, side by side. The first centre is doubled: half a millimetre stays whole."""

    id: str
    index: int  # of the thing in its list of the file
    pipe: bool
    rect: Rect  # round all of them [mm]
    centre_twice: Point  # of the first [mm / 2]
    diameter_mm: int
    count: int = 1
    pitch_mm: int = 0

    @property
    def centres_twice(self) -> list[Point]:
        """All centres. [mm / 2]"""
        x, y = self.centre_twice
        return [(x + 2 * n * self.pitch_mm, y) for n in range(self.count)]


def box_rect(box: JobBox) -> Rect:
    """Round the holes of a box and of those ganged with it."""
    half = (box.diameter_mm + 1) // 2
    right = box.x_mm + (box.count - 1) * box.pitch_mm
    return box.x_mm - half, box.y_mm - half, right + half, box.y_mm + half


def box_holes(box: JobBox) -> Holes:
    """One hole for each of the boxes ganged."""
    centre = 2 * box.x_mm, 2 * box.y_mm
    return Holes(box.id, box.index, False, box_rect(box), centre, box.diameter_mm, box.count, box.pitch_mm)


def pipe_hole(pipe: JobObstacle, clear_mm: int) -> Holes:
    """The hole of a pipe that passes through the lining, with what must stay clear round it."""
    diameter = max(pipe.width_mm, pipe.height_mm) + 2 * clear_mm
    x, y = 2 * pipe.x_mm + pipe.width_mm, 2 * pipe.y_mm + pipe.height_mm
    rect = (x - diameter) // 2, (y - diameter) // 2, -(-(x + diameter) // 2), -(-(y + diameter) // 2)
    return Holes(pipe.id, pipe.index, True, rect, (x, y), diameter)


def run_together(boxes: Sequence[Holes], pipes: Sequence[Holes]) -> Iterator[tuple[Holes, Holes]]:
    """Each box with what its holes run into: a pipe, or a box before it in the list."""
    near: list[Holes] = []
    for hole in sorted([*boxes, *pipes], key=lambda hole: hole.rect):  # from left to right
        near = [other for other in near if other.rect[2] > hole.rect[0]]
        for other in near:
            if overlap(hole.rect, other.rect) and _meet(hole, other):
                first, second = sorted((hole, other), key=lambda one: (not one.pipe, one.index))
                if not second.pipe:
                    yield second, first
        near.append(hole)


def _meet(a: Holes, b: Holes) -> bool:
    least = a.diameter_mm + b.diameter_mm  # twice the least distance of the centres
    return any(
        (ax - bx) ** 2 + (ay - by) ** 2 < least**2 for ax, ay in a.centres_twice for bx, by in b.centres_twice
    )
