"""Heat details of a lined wall, built from its real layers: what every detail is made of, members, brackets.

Every detail is a `Detail`: boxes of material with the faces that the room and the outside touch, and
what plane walls alone would let through between the same cuts. x runs along the wall, y from the outside
to the room, z up (3D only); metres.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import pi, sqrt

from innerleaf.design.buildup import Depth, Layer
from innerleaf.physics.section import Box, Region, Section, Surrounding

ROOM, OUTSIDE, APART = "room", "outside", "apart"
STEEL = "steel"


@dataclass(frozen=True, slots=True)
class Steel:
    """A profile as heat sees it: sizes in m."""

    depth: float
    face: float
    sheet: float
    lip: float
    studs: int
    channel: bool  # web towards the room, as in a bracketed lining
    conductivity: float


@dataclass(frozen=True, slots=True)
class Bridge:
    """A bracket as heat sees it: two straps, a foot and an anchor in the old wall; sizes in m."""

    strap: float
    sheet: float
    anchor: float
    anchor_depth: float


@dataclass(frozen=True, slots=True)
class Block:
    """Something that abuts or bears on the old wall: slab, side wall, partition, window frame."""

    name: str
    thickness: float
    bearing: float
    conductivity: float


@dataclass(frozen=True, slots=True)
class Detail:
    """A section without surface resistances yet, and the plane walls it is compared with.

    ``plane`` lists (depth, length along the wall) between the cuts, in internal dimensions; ``besides``
    are (layers, length) of things that are no wall, such as a window frame. ``apart`` are faces of such
    things towards the room: heat passes there, but how cold they get is judged by limits of their own.
    ``point`` marks a cut through something that adds heat at a point, not along a line.
    """

    title: str
    conductivities: tuple[tuple[str, float], ...]
    boxes: tuple[Box, ...]
    room: tuple[Region, ...]
    outside: tuple[Region, ...]
    plane: tuple[tuple[Depth, float], ...]
    besides: tuple[tuple[tuple[Layer, ...], float], ...] = ()
    apart: tuple[Region, ...] = ()
    point: bool = False

    def section(self, inside: float, outside: float, inside_apart: float | None = None) -> Section:
        """The section between 1 degC in the room and 0 outside. Surface resistances in m²·K/W."""
        surroundings = [Surrounding(name=ROOM, temperature=1.0, surface_resistance=inside, regions=self.room)]
        if self.apart:
            resistance = inside if inside_apart is None else inside_apart
            surroundings.append(
                Surrounding(name=APART, temperature=1.0, surface_resistance=resistance, regions=self.apart)
            )
        surroundings.append(
            Surrounding(name=OUTSIDE, temperature=0.0, surface_resistance=outside, regions=self.outside)
        )
        return Section(
            conductivities=dict(self.conductivities), boxes=self.boxes, surroundings=tuple(surroundings)
        )


def reach(depth: Depth) -> float:
    """How far a detail goes along the wall before the cut: ISO 10211 wants 1 m or three thicknesses. [m]"""
    return max(1.0, 3 * depth.thickness)


def member_line(depth: Depth, steel: Steel, pitch: float) -> Detail:
    """One member in the middle of one pitch."""
    left, right = -pitch / 2, pitch / 2
    boxes = [*layers_of(depth.layers, left, right), *_profile(depth, steel, 0.0)]
    return Detail(
        "member",
        conductivities_of(depth.layers, steel),
        tuple(boxes),
        (Region(low=(left, depth.thickness), high=(right, depth.thickness)),),
        (Region(low=(left, 0.0), high=(right, 0.0)),),
        ((depth, pitch),),
    )


def bracket_point(depth: Depth, steel: Steel, bridge: Bridge, pitch: float, rise: float) -> Detail:
    """A quarter of the cell round one bracket: half a pitch along, half a rise up. 3D.

    Boxes named "bracket" are what the bracket adds; without them the channel alone remains. The anchor
    is a square rod of the same section.
    """
    x1, z1 = pitch / 2, rise / 2
    start, end = depth.frame_start, depth.frame_end
    half, sheet, lip = steel.face / 2, steel.sheet, steel.lip
    rod = bridge.anchor * sqrt(pi) / 4  # half the side of the square
    foot, arm = depth.old_thickness, half + bridge.sheet
    boxes = [
        Box(material=box.material, low=(0.0, box.low[1], 0.0), high=(x1, box.high[1], z1))
        for box in layers_of(depth.layers, 0.0, x1)
    ]
    boxes += [
        Box(material=STEEL, low=(0.0, end - sheet, 0.0), high=(half, end, z1)),
        Box(material=STEEL, low=(half - sheet, start, 0.0), high=(half, end, z1)),
        Box(material=STEEL, low=(half - lip, start, 0.0), high=(half, start + sheet, z1)),
    ]
    for low, high in (
        ((half, foot, 0.0), (arm, end, bridge.strap / 2)),
        ((0.0, foot, 0.0), (arm, foot + bridge.sheet, bridge.strap / 2)),
        ((0.0, max(0.0, foot - bridge.anchor_depth), 0.0), (rod, foot, rod)),
    ):
        boxes.append(Box(material=STEEL, low=low, high=high, name="bracket"))
    return Detail(
        "bracket",
        conductivities_of(depth.layers, steel),
        tuple(boxes),
        (Region(low=(0.0, depth.thickness, 0.0), high=(x1, depth.thickness, z1)),),
        (Region(low=(0.0, 0.0, 0.0), high=(x1, 0.0, z1)),),
        (),
        point=True,
    )


def bracket_level(depth: Depth, steel: Steel, bridge: Bridge, pitch: float, rise: float) -> Detail:
    """What a level cut through the bracket shows, both sides of it, for drawings."""
    left, right = -pitch / 2, pitch / 2
    cut = [
        Box(material=box.material, low=(low, box.low[1]), high=(high, box.high[1]))
        for box in bracket_point(depth, steel, bridge, pitch, rise).boxes
        if box.low[2] <= 0.0
        for low, high in {(box.low[0], box.high[0]), (-box.high[0], -box.low[0])}
    ]
    return Detail(
        "bracket",
        conductivities_of(depth.layers, steel),
        tuple(sorted(cut, key=lambda box: (box.material == STEEL, box.low))),
        (Region(low=(left, depth.thickness), high=(right, depth.thickness)),),
        (Region(low=(left, 0.0), high=(right, 0.0)),),
        ((depth, pitch),),
        point=True,
    )


def layers_of(layers: Sequence[Layer], left: float, right: float, skip: int = 0) -> Iterable[Box]:
    """Plane layers from the outside on; the first ``skip`` are only counted."""
    at = 0.0
    for number, layer in enumerate(layers):
        if number >= skip:
            yield Box(material=layer.name, low=(left, at), high=(right, at + layer.thickness))
        at += layer.thickness


def _profile(depth: Depth, steel: Steel, at: float) -> Iterable[Box]:
    """The steel of one member, its web (its middle, for a channel) at x = ``at``."""
    start, end = depth.frame_start, depth.frame_end
    if steel.channel:
        half = steel.face / 2
        yield _steel(at - half, end - steel.sheet, at + half, end)
        for side in (-1, 1):
            leg = sorted((at + side * half, at + side * (half - steel.sheet)))
            lip = sorted((at + side * half, at + side * (half - steel.lip)))
            yield _steel(leg[0], start, leg[1], end)
            yield _steel(lip[0], start, lip[1], start + steel.sheet)
        return
    for side in (1, -1)[: steel.studs]:
        yield from _stud(start, end, steel, at, side)


def _stud(start: float, end: float, steel: Steel, at: float, side: int) -> Iterable[Box]:
    """A C stud whose web stands at ``at`` and whose flanges go to the right (1) or left (-1)."""

    def across(a: float, b: float) -> tuple[float, float]:
        low, high = sorted((at + side * a, at + side * b))
        return low, high

    web, flange, edge = (
        across(0, steel.sheet),
        across(0, steel.face),
        across(steel.face - steel.sheet, steel.face),
    )
    yield _steel(web[0], start, web[1], end)
    for a, b in ((start, start + steel.sheet), (end - steel.sheet, end)):
        yield _steel(flange[0], a, flange[1], b)
    if steel.lip > steel.sheet:
        for a, b in ((start, start + steel.lip), (end - steel.lip, end)):
            yield _steel(edge[0], a, edge[1], b)


def edge_steel(depth: Depth, steel: Steel) -> Iterable[Box]:
    """The track or last member at an edge: a U with its web against what the lining meets."""
    plain = Steel(steel.depth, min(steel.face, 0.05), steel.sheet, 0.0, 1, False, steel.conductivity)
    return _stud(depth.frame_start, depth.frame_end, plain, 0.0, 1)


def _steel(x0: float, y0: float, x1: float, y1: float) -> Box:
    return Box(material=STEEL, low=(x0, y0), high=(x1, y1))


def conductivities_of(
    layers: Sequence[Layer], steel: Steel, *more: tuple[str, float]
) -> tuple[tuple[str, float], ...]:
    """Conductivities by material, of layers, steel and what else there is. [W/(m·K)]"""
    known = {layer.name: layer.conductivity for layer in layers}
    known.update({STEEL: steel.conductivity, **dict(more)})
    return tuple(sorted(known.items()))
