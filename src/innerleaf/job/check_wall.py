"""Geometric nonsense on one wall: things outside it, in each other's way, or in the wrong order."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from itertools import combinations

from innerleaf.job.faults import Report, Said
from innerleaf.job.model import JobBox, JobObstacle, JobOpening, JobWall
from innerleaf.job.outline import Rect, box_of, holds, is_rectangle, overlap
from innerleaf.reading import Place


def check_wall(report: Report, wall: JobWall) -> None:
    """All that can be said of a wall without knowing what can be bought."""
    look = _Look(report, wall)
    look.marks()
    look.openings()
    look.obstacles()
    look.boxes()
    look.loads()
    look.offsets()
    look.joints()


class _Look:
    def __init__(self, report: Report, wall: JobWall) -> None:
        self.report = report
        self.wall = wall
        self.around = box_of(wall.outline)
        self.openings_at = [(opening, opening_rect(opening)) for opening in wall.openings]
        self.stops = [(o, obstacle_rect(o)) for o in wall.obstacles if o.kind in ("column", "beam")]

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
        deep = sum(layer.thickness for layer in self.wall.construction)
        for opening, rect in self.openings_at:
            at: Place = ("openings", opening.index)
            if not holds(self.wall.outline, rect):
                self.say(at, given=_extent(rect), accepted=self.inside)
            for stop, other in self.stops:
                if overlap(rect, other):
                    accepted = f"a place clear of {stop.id} ({_extent(other)})"
                    self.say(at, given=_extent(rect), accepted=accepted)
            if deep and opening.reveal_mm > deep:
                accepted = f"{deep:.12g} mm or less, the thickness of the wall"
                self.say((*at, "reveal"), given=opening.reveal_mm, accepted=accepted)
        for (first, rect), (second, other) in combinations(self.openings_at, 2):
            if overlap(rect, other):
                accepted = f"a place clear of {first.id} ({_extent(rect)})"
                self.say(("openings", second.index), given=_extent(other), accepted=accepted)

    def obstacles(self) -> None:
        for obstacle in self.wall.obstacles:
            rect = obstacle_rect(obstacle)
            fits = (
                overlap(rect, self.around)
                if obstacle.kind in ("column", "beam")
                else holds(self.wall.outline, rect)
            )
            if not fits:
                self.say(("obstacles", obstacle.index), given=_extent(rect), accepted=self.inside)

    def boxes(self) -> None:
        for box in self.wall.boxes:
            rect, at = box_rect(box), ("boxes", box.index)
            if not holds(self.wall.outline, rect):
                self.say(at, given=_extent(rect), accepted=self.inside)
            for name, other in self._in_the_way():
                if overlap(rect, other):
                    self.say(at, given=_extent(rect), accepted=f"a place clear of {name} ({_extent(other)})")

    def loads(self) -> None:
        for load in self.wall.loads:
            rect, at = (
                (load.x_mm, load.y_mm - 1, load.x_mm + load.width_mm, load.y_mm + 1),
                ("loads", load.index),
            )
            given = Said(f"{rect[0]} to {rect[2]} mm along, fixed {load.y_mm} mm up")
            if not holds(self.wall.outline, rect):
                self.say(at, given=given, accepted=self.inside)
            for name, other in self._in_the_way():
                if overlap(rect, other):
                    self.say(at, given=given, accepted=f"fixings clear of {name} ({_extent(other)})")

    def offsets(self) -> None:
        grid = self.wall.offsets
        if grid is None:
            return
        left, bottom, right, top = self.around
        if "dado" in self.wall.places:
            top = max(top, grid.y[-1])
        for axis, places, low, high in (("x", grid.x, left, right), ("y", grid.y, bottom, top)):
            if any(a >= b for a, b in zip(places, places[1:], strict=False)):
                self.say(("offsets", axis), given=list(places), accepted="places in rising order, none twice")
            elif places[0] < low or places[-1] > high:
                self.say(
                    ("offsets", axis), given=list(places), accepted=f"places on the wall, {low} to {high} mm"
                )
        if len(grid.rows) != len(grid.y):
            accepted = f"{len(grid.y)} rows, one for each height in y"
            self.say(("offsets", "rows"), given=Said(f"{len(grid.rows)} rows"), accepted=accepted)
        for index, row in enumerate(grid.rows):
            if len(row) != len(grid.x):
                accepted = f"{len(grid.x)} numbers, one for each place in x"
                self.say(("offsets", "rows", index), given=Said(f"{len(row)} numbers"), accepted=accepted)

    def joints(self) -> None:
        left, _, right, _ = self.around
        for index, x in enumerate(self.wall.building_joints_mm):
            if not left < x < right:
                accepted = f"a place between the ends of the wall, {left} to {right} mm"
                self.say(("building_joints", index), given=x, accepted=accepted)

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


def box_rect(box: JobBox) -> Rect:
    """Round the holes of a box and of those ganged with it."""
    half = (box.diameter_mm + 1) // 2
    right = box.x_mm + (box.count - 1) * box.pitch_mm
    return box.x_mm - half, box.y_mm - half, right + half, box.y_mm + half


def _extent(rect: Rect) -> Said:
    return Said(f"{rect[0]} to {rect[2]} mm along, {rect[1]} to {rect[3]} mm up")
