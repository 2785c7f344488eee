"""A room with its linings as one still picture, seen from above a corner: for where nothing can be turned.

Walls between the eye and the room are left away. Walls farther off are drawn first, each layer by layer from
the old wall into the room; through the last boards the frame is still seen.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import cos, radians, sin

from innerleaf.documents.look import BRACKETS, DOORS, FRAME, INSULATION, OLD, WINDOWS, Solid
from innerleaf.documents.look_room import Place, RoomLook, WallInRoom

_TURN, _DOWN = radians(28), radians(30)
_WIDTH = 960.0
_SHOWN = (OLD, WINDOWS, DOORS, INSULATION, BRACKETS, FRAME)


def room_picture(look: RoomLook) -> str:
    """The picture as SVG; its classes are coloured by the page."""
    shapes = [
        *_floor(look.before, "lost"),
        *_floor(look.after, "floor"),
        *(shape for wall in sorted(_seen(look), key=_far, reverse=True) for shape in _wall(wall)),
    ]
    xs = [x for _, ring in shapes for x, _ in ring]
    ys = [y for _, ring in shapes for _, y in ring]
    scale = _WIDTH / max(1.0, max(xs) - min(xs))
    height = (max(ys) - min(ys)) * scale
    drawn = "".join(
        f'<path class="{name}" d="M'
        + "L".join(f"{(x - min(xs)) * scale:.0f} {(y - min(ys)) * scale:.0f}" for x, y in ring)
        + 'z"/>'
        for name, ring in shapes
    )
    box = f"-4 -4 {_WIDTH + 8:.0f} {height + 8:.0f}"
    return f'<svg class="still" viewBox="{box}" aria-hidden="true">{drawn}</svg>'


def lost_picture(look: RoomLook) -> str:
    """The floor on plan: what stays, and round it what the linings take."""
    xs, ys = [x for x, _ in look.before], [y for _, y in look.before]
    pad = 0.03 * max(max(xs) - min(xs), max(ys) - min(ys))
    width, height = max(xs) - min(xs) + 2 * pad, max(ys) - min(ys) + 2 * pad

    def path(ring: tuple[Place, ...]) -> str:
        return "M" + "L".join(f"{x - min(xs) + pad:.0f} {max(ys) - y + pad:.0f}" for x, y in ring) + "z"

    before, after = path(look.before), path(look.after)
    return (
        f'<svg class="lost-plan" viewBox="0 0 {width:.0f} {height:.0f}" aria-hidden="true">'
        f'<path class="lost" fill-rule="evenodd" d="{before}{after}"/><path class="floor" d="{after}"/></svg>'
    )


def _seen(look: RoomLook) -> Iterator[WallInRoom]:
    """Walls that show their inner face."""
    for wall in look.walls:
        inward = (wall.along[1], -wall.along[0])
        if inward[0] * sin(_TURN) + inward[1] * cos(_TURN) < -0.05:
            yield wall


def _far(wall: WallInRoom) -> float:
    x, y = wall.in_room(wall.length_mm / 2, 0)
    return x * sin(_TURN) + y * cos(_TURN)


def _onto(x: float, y: float, up: float) -> Place:
    """A point in space on the picture, y down."""
    aside = x * cos(_TURN) - y * sin(_TURN)
    away = x * sin(_TURN) + y * cos(_TURN)
    return aside, -up * cos(_DOWN) - away * sin(_DOWN)


def _floor(ring: tuple[Place, ...], name: str) -> Iterator[tuple[str, list[Place]]]:
    yield name, [_onto(x, y, 0) for x, y in ring]


def _wall(wall: WallInRoom) -> Iterator[tuple[str, list[Place]]]:
    last = max((layer.step for layer in wall.layers if layer.name.startswith("boards")), default=0)
    for layer in sorted(wall.layers, key=lambda one: one.step):
        if layer.name in _SHOWN or layer.step == last:
            name = "board" if layer.step == last and last else layer.name
            solids = sorted(layer.solids, key=lambda one: (one.far, one.x0))
            for solid in solids:
                yield name, _face(wall, solid)


def _face(wall: WallInRoom, solid: Solid) -> list[Place]:
    """The side of a solid that looks into the room."""
    left, right = wall.in_room(solid.x0, solid.far), wall.in_room(solid.x1, solid.far)
    return [
        _onto(*left, solid.low0),
        _onto(*right, solid.low1),
        _onto(*right, solid.high1),
        _onto(*left, solid.high0),
    ]
