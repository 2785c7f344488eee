"""What can be found elsewhere than drawn, the values that say where, and the wall as it was found."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Final

from innerleaf.survey.wall import Obstacle, ObstacleKind, Opening, Wall

MOVED: Final = "stud moved"  # mark of the member; x_mm: its middle, from the datum
ADDED: Final = "stud added"
LEFT_OUT: Final = "stud left out"
OPENING: Final = "opening elsewhere"  # mark of the opening, any of its values
BOX: Final = "box elsewhere"  # mark of the box: its centre
BOARD: Final = "board hung elsewhere"  # mark of the board; x_mm: its left edge
PIPE: Final = "pipe found"  # a rectangle, from its lower left corner
DEVIATIONS: Final[Mapping[str, tuple[str, ...]]] = {
    MOVED: ("x_mm",),
    ADDED: ("x_mm",),
    LEFT_OUT: (),
    OPENING: ("x_mm", "sill_mm", "width_mm", "height_mm"),
    BOX: ("x_mm", "y_mm"),
    BOARD: ("x_mm",),
    PIPE: ("x_mm", "y_mm", "width_mm", "height_mm"),
}


def on_wall(wall: Wall, x_mm: float) -> bool:
    """Whether a place lies between the ends of a wall."""
    xs = [x for x, _ in wall.outline]
    return min(xs) <= x_mm <= max(xs)


def wall_as_found(wall: Wall, what: str, mark: str, values: Mapping[str, float]) -> Wall | None:
    """The wall with an opening or box elsewhere, or with a pipe; None if that cannot be on this wall."""
    whole = {name: round(value) for name, value in values.items()}
    if what == PIPE:
        number = sum(one.id.startswith("found-") for one in wall.obstacles) + 1
        pipe = Obstacle(
            id=f"found-{number}",
            kind=ObstacleKind.PIPE,
            x_mm=whole["x_mm"],
            y_mm=whole["y_mm"],
            width_mm=whole["width_mm"],
            height_mm=whole["height_mm"],
            projection_mm=0,
        )
        inside = _inside(wall, pipe.x_mm, pipe.y_mm, pipe.width_mm, pipe.height_mm)
        return replace(wall, obstacles=(*wall.obstacles, pipe)) if inside else None
    if what == BOX:
        if not _inside(wall, whole["x_mm"], whole["y_mm"], 1, 1):
            return None
        boxes = (
            replace(one, x_mm=whole["x_mm"], y_mm=whole["y_mm"]) if one.id == mark else one
            for one in wall.boxes
        )
        return replace(wall, boxes=tuple(boxes))
    openings = tuple(_elsewhere(one, whole) if one.id == mark else one for one in wall.openings)
    good = all(_inside(wall, one.x_mm, one.sill_mm, one.width_mm, one.height_mm) for one in openings)
    return replace(wall, openings=openings) if good and not _overlap(openings) else None


def _elsewhere(opening: Opening, values: Mapping[str, int]) -> Opening:
    return replace(
        opening,
        x_mm=values.get("x_mm", opening.x_mm),
        sill_mm=values.get("sill_mm", opening.sill_mm),
        width_mm=values.get("width_mm", opening.width_mm),
        height_mm=values.get("height_mm", opening.height_mm),
    )


def _inside(wall: Wall, x_mm: float, y_mm: float, width_mm: float, height_mm: float) -> bool:
    ys = [y for _, y in wall.outline]
    upright = min(ys) <= y_mm and y_mm + height_mm <= max(ys)
    return on_wall(wall, x_mm) and on_wall(wall, x_mm + width_mm) and upright and min(width_mm, height_mm) > 0


def _overlap(openings: tuple[Opening, ...]) -> bool:
    return any(
        a.x_mm < b.right_mm and b.x_mm < a.right_mm and a.sill_mm < b.head_mm and b.sill_mm < a.head_mm
        for number, a in enumerate(openings)
        for b in openings[number + 1 :]
    )
