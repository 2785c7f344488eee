"""Heat details of the edges of a lining: where it stops or turns, and what covers the edge.

x runs along the wall from the edge, y from the outside to the room; metres.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from math import inf

from innerleaf.design.buildup import Depth, Layer, thinned
from innerleaf.design.heat.details import (
    Block,
    Detail,
    Steel,
    conductivities_of,
    edge_steel,
    layers_of,
    reach,
)
from innerleaf.physics.section import Box, Region

_CLOSE = 1e-6  # keeps a region off the cut beside it [m]
_INTO_ROOM = 1.0  # how far what abuts is followed into the room, at least [m]
_PAST_STRIP = 0.5  # and beyond a strip of insulation on it [m]
_FRAME_SEEN = 0.08  # of a window's frame, beside what covers it [m]


@dataclass(frozen=True, slots=True)
class Cover:
    """What lies on a reveal or flank: a board, insulation under it or none; ``width`` of a strip. [m]"""

    board: Layer
    insulation: Layer | None = None
    width: float = 0.0

    @property
    def layers(self) -> tuple[Layer, ...]:
        """From what is covered outwards."""
        return (self.insulation, self.board) if self.insulation else (self.board,)

    @property
    def thick(self) -> float:
        """Of the insulation. [m]"""
        return self.insulation.thickness if self.insulation else 0.0


def abutment(depth: Depth, steel: Steel, block: Block, cover: Cover | None = None) -> Detail:
    """The lining stops at a block that meets the old wall; beyond its middle all is the same again.

    ``cover`` is a strip on the block, from the lining's face into the room.
    """
    length, half = reach(depth), block.thickness / 2
    start, face = depth.old_thickness - block.bearing, depth.thickness
    end = face + max(_INTO_ROOM, cover.width + _PAST_STRIP if cover else 0.0)
    boxes = [
        *layers_of(depth.old, -half, length),
        *layers_of(depth.layers, 0.0, length, skip=len(depth.old)),
        *(edge_steel(depth, steel) if depth.boards else ()),
        Box(material=block.name, low=(-half, start), high=(0.0, end)),
    ]
    at, strip = 0.0, face + (cover.width if cover else 0.0)
    for layer in cover.layers if cover else ():
        boxes.append(Box(material=layer.name, low=(at, face), high=(at + layer.thickness, strip)))
        at += layer.thickness
    return Detail(
        f"edge at a {block.name}" + (", insulated flank" if cover else ""),
        conductivities_of((*depth.layers, *(cover.layers if cover else ())), steel, _named(block)),
        tuple(boxes),
        (
            Region(low=(_CLOSE, face), high=(length, face)),
            Region(low=(0.0, face), high=(at, end - _CLOSE), facing=("+x", "+y")),
        ),
        (Region(low=(-half, 0.0), high=(length, 0.0)),),
        ((depth, length),),
    )


def stop(depth: Depth, steel: Steel) -> Detail:
    """The lining stops freely; the old wall goes on bare."""
    length, bare = reach(depth), depth.bare()
    boxes = [
        *layers_of(depth.old, -length, length),
        *layers_of(depth.layers, 0.0, length, skip=len(depth.old)),
        *(edge_steel(depth, steel) if depth.boards else ()),
    ]
    return Detail(
        "free end",
        conductivities_of(depth.layers, steel),
        tuple(boxes),
        (
            Region(low=(0.0, depth.thickness), high=(length, depth.thickness)),
            Region(low=(-length, depth.old_thickness), high=(0.0, depth.thickness), facing=("-x", "+y")),
        ),
        (Region(low=(-length, 0.0), high=(length, 0.0)),),
        ((depth, length), (bare, length)),
    )


def obstacle(depth: Depth, steel: Steel, block: Block, half: float, projection: float) -> Detail:
    """The lining stops at a column or beam that stands on the old wall; half of it, up to its middle.

    ``projection`` into the room; what lies behind it is counted with the edge. [m]
    """
    length = reach(depth)
    front, end = depth.old_thickness + projection, depth.thickness + _INTO_ROOM
    boxes = [
        *layers_of(depth.old, -half, length),
        *layers_of(depth.layers, 0.0, length, skip=len(depth.old)),
        *(edge_steel(depth, steel) if depth.boards else ()),
    ]
    if projection > 0:
        low, high = (-half, depth.old_thickness), (0.0, min(front, end))
        boxes.append(Box(material=block.name, low=low, high=high))
    top = inf if front < end else end - _CLOSE
    return Detail(
        f"edge at a {block.name}",
        conductivities_of(depth.layers, steel, _named(block)),
        tuple(boxes),
        (
            Region(
                low=(-half + _CLOSE, depth.old_thickness - _CLOSE),
                high=(length - _CLOSE, top),
                facing=("-x", "+x", "+y"),
            ),
        ),
        (Region(low=(-half, 0.0), high=(length, 0.0)),),
        ((depth, length),),
    )


def roof_edge(depth: Depth, steel: Steel, roof: Block) -> Detail:
    """The lining stops at a roof square to the wall; the old wall goes up to the roof's outside."""
    length, end = reach(depth), depth.thickness + _INTO_ROOM
    boxes = [
        *layers_of(depth.old, -roof.thickness, length),
        *layers_of(depth.layers, 0.0, length, skip=len(depth.old)),
        *(edge_steel(depth, steel) if depth.boards else ()),
        Box(material=roof.name, low=(-roof.thickness, depth.old_thickness), high=(0.0, end)),
    ]
    slope = Layer(roof.name, roof.thickness, roof.conductivity)
    return Detail(
        "edge at a roof",
        conductivities_of(depth.layers, steel, _named(roof)),
        tuple(boxes),
        (
            Region(low=(_CLOSE, depth.thickness), high=(length, depth.thickness)),
            Region(low=(0.0, depth.thickness), high=(0.0, end), facing=("+x",)),
        ),
        (
            Region(low=(-roof.thickness, 0.0), high=(length, 0.0), facing=("-y",)),
            Region(low=(-roof.thickness, 0.0), high=(-roof.thickness, end), facing=("-x",)),
        ),
        ((depth, length),),
        (((slope,), end - depth.thickness),),
    )


def reveal(
    depth: Depth, steel: Steel, frame: Block, recess: float, cover: Cover | None = None, strip: float = 0.0
) -> Detail:
    """The jamb, head or sill of a window whose frame stands ``recess`` behind the old wall's face.

    The frame is cut off 80 mm from what covers the jamb; what passes through it as a plane layer is taken
    out, and its own face is not judged. ``strip`` of the wall's face lies in front of the opening: over the
    insulation that the boards cover. [m]
    """
    length, thick = reach(depth), cover.thick if cover else 0.0
    inner = max(depth.old_thickness - recess, min(frame.thickness, depth.old_thickness))
    outer = max(inner - frame.thickness, 0.0)
    middle = (inner + outer) / 2
    cut, seen = -_FRAME_SEEN - thick, -thick - (cover.board.thickness if cover else 0.0)
    boxes = [
        *layers_of(depth.layers, 0.0, length),
        *(edge_steel(depth, steel) if depth.boards else ()),
        Box(material=frame.name, low=(cut, outer), high=(0.0, inner)),
        *(_side(depth, cover, inner, inner) if cover else ()),
    ]
    return Detail(
        _reveal_title("reveal", cover),
        conductivities_of((*depth.layers, *(cover.layers if cover else ())), steel, _named(frame)),
        tuple(boxes),
        (Region(low=(cut + _CLOSE, middle), high=(length - _CLOSE, inf), facing=("-x", "+y")),),
        (Region(low=(cut + _CLOSE, -inf), high=(length - _CLOSE, middle), facing=("-x", "-y")),),
        ((depth, length + strip),),
        (((Layer(frame.name, inner - outer, frame.conductivity),), seen - cut),),
        apart=(Region(low=(cut, inner), high=(seen, inner), facing=("+y",)),),
    )


def niche(
    depth: Depth, steel: Steel, recess: float, half: float, cover: Cover | None = None, strip: float = 0.0
) -> Detail:
    """The edge of a niche ``recess`` deep in the old wall, up to its middle ``half`` away. [m]

    ``strip`` as for a reveal. The plane wall behind the niche is taken out.
    """
    length = reach(depth)
    back = (*thinned(depth.old, recess), *(cover.layers if cover else ()))
    floor = depth.old_thickness - recess
    inner = floor + (cover.thick if cover else 0.0)
    boxes = [
        *layers_of(depth.layers, 0.0, length),
        *(edge_steel(depth, steel) if depth.boards else ()),
        *layers_of(back, -half, 0.0),
        *(_side(depth, cover, inner, inner + cover.board.thickness) if cover else ()),
    ]
    return Detail(
        _reveal_title("niche", cover),
        conductivities_of((*depth.layers, *back), steel),
        tuple(boxes),
        (Region(low=(-half + _CLOSE, _CLOSE), high=(length - _CLOSE, inf), facing=("-x", "+y")),),
        (Region(low=(-half, 0.0), high=(length, 0.0), facing=("-y",)),),
        ((depth, length + strip),),
        ((back, half),),
    )


def corner_of_room(depth: Depth, steel: Steel) -> Detail:
    """A corner of the room where two lined outer walls meet; both walls' shares are counted."""
    end = depth.thickness + reach(depth)
    boxes = []
    at = 0.0
    for layer in depth.layers:
        far = at + layer.thickness
        boxes.append(Box(material=layer.name, low=(at, at), high=(end, far)))
        boxes.append(Box(material=layer.name, low=(at, at), high=(far, end)))
        at = far
    inside = depth.thickness
    return Detail(
        "corner of the room",
        conductivities_of(depth.layers, steel),
        tuple(boxes),
        (
            Region(low=(inside, inside), high=(end, inside), facing=("+y",)),
            Region(low=(inside, inside), high=(inside, end), facing=("+x",)),
        ),
        (
            Region(low=(0.0, 0.0), high=(end, 0.0), facing=("-y",)),
            Region(low=(0.0, 0.0), high=(0.0, end), facing=("-x",)),
        ),
        ((depth, end - inside), (depth, end - inside)),
    )


def corner_into_room(depth: Depth, steel: Steel) -> Detail:
    """A corner of two lined outer walls that points into the room; both walls' shares are counted."""
    end, inside = -reach(depth), depth.thickness
    boxes = []
    at = 0.0
    for layer in depth.layers:
        far = at + layer.thickness
        boxes.append(Box(material=layer.name, low=(end, at), high=(far, far)))
        boxes.append(Box(material=layer.name, low=(at, end), high=(far, far)))
        at = far
    return Detail(
        "corner into the room",
        conductivities_of(depth.layers, steel),
        tuple(boxes),
        (
            Region(low=(end, inside), high=(inside, inside), facing=("+y",)),
            Region(low=(inside, end), high=(inside, inside), facing=("+x",)),
        ),
        (
            Region(low=(end, 0.0), high=(0.0, 0.0), facing=("-y",)),
            Region(low=(0.0, end), high=(0.0, 0.0), facing=("-x",)),
        ),
        ((depth, inside - end), (depth, inside - end)),
    )


def moved(detail: Detail, strip: float) -> Detail:
    """A detail of the old wall, its plane wall counted ``strip`` further like the lined one's. [m]"""
    depth, length = detail.plane[0]
    return replace(detail, plane=((depth, length + strip), *detail.plane[1:]))


def _side(depth: Depth, cover: Cover, insulated_from: float, boarded_from: float) -> Iterable[Box]:
    """What covers the side of an opening: a board, and insulation up to the face boards."""
    thick = cover.thick
    if cover.insulation:
        yield Box(material=cover.insulation.name, low=(-thick, insulated_from), high=(0.0, depth.frame_end))
        at = depth.frame_end
        for board in depth.boards:
            yield Box(material=board.name, low=(-thick, at), high=(0.0, at + board.thickness))
            at += board.thickness
    low, high = (-thick - cover.board.thickness, boarded_from), (-thick, depth.thickness)
    yield Box(material=cover.board.name, low=low, high=high)


def _reveal_title(what: str, cover: Cover | None) -> str:
    if cover is None:
        return f"bare {what}"
    return f"insulated {what}" if cover.insulation else f"lined {what}"


def _named(block: Block) -> tuple[str, float]:
    return block.name, block.conductivity
