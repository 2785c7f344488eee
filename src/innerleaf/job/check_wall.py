"""Geometric nonsense on one wall: things outside it, in each other's way, or in the wrong order."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import replace
from itertools import combinations

from innerleaf.job.faults import Report, Said
from innerleaf.job.holes import box_holes, box_rect, pipe_hole, run_together
from innerleaf.job.model import JobBox, JobObstacle, JobOpening, JobWall
from innerleaf.job.outline import Rect, box_of, holds, is_rectangle, overlap
from innerleaf.reading import Place


def check_wall(report: Report, wall: JobWall, *, pipe_clear_mm: int) -> None:
    """All that can be said of a wall without knowing what can be bought.

    ``pipe_clear_mm`` goes round a pipe that passes through the lining. What rests on a value that cannot
    be used is not said.
    """
    look = _Look(report, wall)
    look.marks()
    look.openings()
    look.reveals()
    look.obstacles()
    look.boxes()
    look.holes(pipe_clear_mm)
    look.loads()
    look.offsets()
    look.joints()


LONGEST_PIPE = 2  # times as high as wide (or as wide as high) a pipe through the lining may be: at a slant

_SIZE = {"width", "height"}
_PLACE = {"x", "y"}
_GANG = {"count", "pitch"}


class _Look:
    def __init__(self, report: Report, wall: JobWall) -> None:
        self.report = report
        self.wall = wall
        self.around = box_of(wall.outline) if wall.outline else (0, 0, 0, 0)
        self.openings_at = [
            (opening, opening_rect(opening))
            for opening in wall.openings
            if not opening.doubtful & {"x", "sill", *_SIZE} and "dado" not in wall.doubtful
        ]
        placed = [o for o in wall.obstacles if not o.doubtful & {"kind", *_PLACE, *_SIZE}]
        self.runs = [o for o in placed if runs_along(o)]
        self.obstacles_at = [(o, obstacle_rect(o)) for o in placed if not runs_along(o)]
        self.stops = [(o, rect) for o, rect in self.obstacles_at if o.kind in ("column", "beam")]
        boxes = [_sound(box) for box in wall.boxes if not box.doubtful & {*_PLACE, "diameter"}]
        self.boxes_at = [(box, box_rect(box)) for box in boxes]

    def say(self, steps: Place, *, given: object, accepted: str) -> None:
        place = self.wall.at(str(steps[0]), *steps[1:])
        self.report.add(place, given=given, accepted=accepted, subject=self.wall.place, steps=steps)

    @property
    def inside(self) -> str:
        left, bottom, right, top = self.around
        slope = "" if is_rectangle(self.wall.outline) else ", within the slopes and steps of the outline"
        return f"a place on the wall ({left} to {right} mm along, {bottom} to {top} mm up{slope})"

    def marks(self) -> None:
        wall = self.wall
        things: Iterable[tuple[str, str, int]] = [
            *(("openings", o.id, o.index) for o in wall.openings),
            *(("obstacles", o.id, o.index) for o in wall.obstacles),
            *(("boxes", b.id, b.index) for b in wall.boxes),
            *(("loads", load.id, load.index) for load in wall.loads),
        ]
        seen: Counter[str] = Counter()
        for kind, mark, index in things:
            seen[mark.lower()] += 1
            if seen[mark.lower()] > 1:
                self.say((kind, index, "id"), given=mark, accepted="an id used once on the wall")

    def openings(self) -> None:
        for opening, rect in self.openings_at:
            at: Place = ("openings", opening.index)
            self._on_the_wall(at, rect)
            for stop, other in self.stops:
                if overlap(rect, other):
                    accepted = f"a place clear of {stop.id} ({_extent(other)})"
                    self.say(at, given=_extent(rect), accepted=accepted)
        for (first, rect), (second, other) in combinations(self.openings_at, 2):
            if overlap(rect, other):
                accepted = f"a place clear of {first.id} ({_extent(rect)})"
                self.say(("openings", second.index), given=_extent(other), accepted=accepted)

    def reveals(self) -> None:
        deep = sum(layer.thickness for layer in self.wall.construction)
        if not deep or "construction" in self.wall.doubtful:
            return
        for opening in self.wall.openings:
            if opening.reveal_mm > deep:
                accepted = f"{deep:.12g} mm or less, the thickness of the wall"
                self.say(("openings", opening.index, "reveal"), given=opening.reveal_mm, accepted=accepted)

    def obstacles(self) -> None:
        for obstacle, rect in self.obstacles_at:
            at: Place = ("obstacles", obstacle.index)
            if obstacle.kind not in ("column", "beam"):
                self._on_the_wall(at, rect)
            elif self.wall.outline and not overlap(rect, self.around):
                self.say(at, given=_extent(rect), accepted=self.inside)
        for pipe in self.runs:
            sizes = [("width", pipe.width_mm), ("height", pipe.height_mm)]
            (short, least), (long, given) = sorted(sizes, key=lambda size: size[1])
            accepted = (
                f"{LONGEST_PIPE * least} mm or less, twice the {short}, for a pipe through the lining; a pipe"
                " that runs up or along the wall is written as a column or beam, at which the lining stops,"
                " or not at all if it stays behind the lining"
            )
            self.say(("obstacles", pipe.index, long), given=given, accepted=accepted)

    def boxes(self) -> None:
        for box, rect in self.boxes_at:
            at: Place = ("boxes", box.index)
            self._on_the_wall(at, rect)
            for name, other in self._in_the_way():
                if overlap(rect, other):
                    self.say(at, given=_extent(rect), accepted=f"a place clear of {name} ({_extent(other)})")
        for box in self.wall.boxes:
            if box.count > 1 and box.pitch_mm < box.diameter_mm and not box.doubtful & _GANG:
                accepted = f"{box.diameter_mm} mm or more, the diameter of one hole"
                self.say(("boxes", box.index, "pitch"), given=box.pitch_mm, accepted=accepted)

    def holes(self, pipe_clear_mm: int) -> None:
        """Do the holes of a box run into those of another, or of a pipe?"""
        pipes = [pipe_hole(pipe, pipe_clear_mm) for pipe, _ in self.obstacles_at if pipe.kind == "pipe"]
        boxes = [box_holes(box) for box, _ in self.boxes_at]
        for box, other in run_together(boxes, pipes):
            with_hole = " with its hole" if other.pipe else ""
            accepted = f"a place where {box.id} is clear of {other.id}{with_hole} ({_extent(other.rect)})"
            self.say(("boxes", box.index), given=_extent(box.rect), accepted=accepted)

    def loads(self) -> None:
        for load in self.wall.loads:
            if load.doubtful & {*_PLACE, "width"}:
                continue
            rect, at = (
                (load.x_mm, load.y_mm - 1, load.x_mm + load.width_mm, load.y_mm + 1),
                ("loads", load.index),
            )
            given = Said(f"{rect[0]} to {rect[2]} mm along, fixed {load.y_mm} mm up")
            self._on_the_wall(at, rect, given)
            for name, other in self._in_the_way():
                if overlap(rect, other):
                    self.say(at, given=given, accepted=f"fixings clear of {name} ({_extent(other)})")

    def offsets(self) -> None:
        grid = self.wall.offsets
        if grid is None:
            return
        at = self.wall.at("offsets")
        left, bottom, right, top = self.around
        if "dado" in self.wall.places:
            top = max(top, grid.y[-1])
        for axis, places, low, high in (("x", grid.x, left, right), ("y", grid.y, bottom, top)):
            if self.report.is_spoilt((*at, axis)):
                continue
            if any(a >= b for a, b in zip(places, places[1:], strict=False)):
                self.say(("offsets", axis), given=list(places), accepted="places in rising order, none twice")
            elif self.wall.outline and (places[0] < low or places[-1] > high):
                self.say(
                    ("offsets", axis), given=list(places), accepted=f"places on the wall, {low} to {high} mm"
                )
        if len(grid.rows) != len(grid.y):
            accepted = f"{len(grid.y)} rows, one for each height in y"
            self.say(("offsets", "rows"), given=Said(f"{len(grid.rows)} rows"), accepted=accepted)
        for index, row in enumerate(grid.rows):
            if len(row) != len(grid.x) and not self.report.is_spoilt((*at, "rows", index)):
                accepted = f"{len(grid.x)} numbers, one for each place in x"
                self.say(("offsets", "rows", index), given=Said(f"{len(row)} numbers"), accepted=accepted)

    def joints(self) -> None:
        left, _, right, _ = self.around
        for index, x in enumerate(self.wall.building_joints_mm):
            if self.wall.outline and not left < x < right:
                accepted = f"a place between the ends of the wall, {left} to {right} mm"
                self.say(("building_joints", index), given=x, accepted=accepted)

    def _on_the_wall(self, at: Place, rect: Rect, given: Said | None = None) -> None:
        if self.wall.outline and not holds(self.wall.outline, rect):
            self.say(at, given=given or _extent(rect), accepted=self.inside)

    def _in_the_way(self) -> Iterator[tuple[str, Rect]]:
        for opening, rect in self.openings_at:
            yield opening.id, rect
        for stop, rect in self.stops:
            yield stop.id, rect


def opening_rect(opening: JobOpening) -> Rect:
    """The hole in the wall."""
    x, sill = opening.x_mm, opening.sill_mm
    return x, sill, x + opening.width_mm, sill + opening.height_mm


def obstacle_rect(obstacle: JobObstacle) -> Rect:
    """What it takes of the elevation."""
    x, y = obstacle.x_mm, obstacle.y_mm
    return x, y, x + obstacle.width_mm, y + obstacle.height_mm


def runs_along(obstacle: JobObstacle) -> bool:
    """Is this a pipe too long one way to pass through the lining by a round hole?"""
    width, height = obstacle.width_mm, obstacle.height_mm
    return obstacle.kind == "pipe" and max(width, height) > LONGEST_PIPE * min(width, height)


def _sound(box: JobBox) -> JobBox:
    """A box as far as its place is sure: the first alone, if those ganged with it are not."""
    unsure = box.doubtful & _GANG or box.pitch_mm < box.diameter_mm
    return replace(box, count=1) if unsure else box


def _extent(rect: Rect) -> Said:
    return Said(f"{rect[0]} to {rect[2]} mm along, {rect[1]} to {rect[3]} mm up")
