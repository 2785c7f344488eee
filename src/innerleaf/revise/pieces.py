"""The pieces of a wall in one form, so that two plans of it can be held against each other."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from math import hypot
from typing import Final

from innerleaf.layout.pieces import FACE, Bar, BoardPiece, BracketPlace, MembraneStrip, Ring, Slab, WallPlan

BAR, BOARD, BRACKET, SLAB, MEMBRANE = "bar", "board", "bracket", "slab", "membrane strip"
KINDS: Final = (BAR, BOARD, BRACKET, SLAB, MEMBRANE)
"""Kinds of pieces, in the order of the work on the drawings."""
_SMALL_MM: Final = 30.0  # a bracket is drawn and compared as a square of this half width

Box = tuple[float, float, float, float]  # left, bottom, right, top


@dataclass(frozen=True, slots=True)
class Piece:
    """One piece: what it is (``what``: its role or layer), its place, and its shape apart from its place.

    ``plane`` is "face" for what the elevation shows. Lengths in mm; ``shape`` holds everything that is cut.
    """

    wall: str
    mark: str
    kind: str
    what: str
    item: str
    plane: str
    box: Box
    shape: tuple[object, ...]
    size: str  # in words

    @property
    def place(self) -> tuple[object, ...]:
        """Where it is, beside the mark: two equal places of equal shapes are one piece that stayed."""
        return self.plane, *(round(value, 1) for value in self.box)

    def away_mm(self, other: Piece) -> float:
        """How far apart the middles of two pieces are. [mm]"""
        (ax, ay), (bx, by) = _middle(self.box), _middle(other.box)
        return hypot(ax - bx, ay - by)

    def overlap(self, other: Piece) -> float:
        """What two pieces share of the area that both take, 0 to 1."""
        if self.plane != other.plane:
            return 0.0
        wide = min(self.box[2], other.box[2]) - max(self.box[0], other.box[0])
        tall = min(self.box[3], other.box[3]) - max(self.box[1], other.box[1])
        if wide <= 0 or tall <= 0:
            return 0.0
        return wide * tall / (_area(self.box) + _area(other.box) - wide * tall)


def pieces_of(plan: WallPlan) -> tuple[Piece, ...]:
    """Every piece with a mark: bars, boards, brackets, slabs and strips of membrane."""
    wall = plan.wall.id
    return tuple(_all(plan, wall))


def _all(plan: WallPlan, wall: str) -> Iterator[Piece]:
    for bar in plan.bars:
        yield _bar(bar, wall)
    for board in plan.boards:
        yield _board(board, wall)
    for bracket in plan.brackets:
        yield _bracket(bracket, wall)
    for slab in plan.slabs:
        yield _slab(slab, wall)
    for strip in plan.membrane:
        yield _strip(strip, wall)


def _bar(bar: Bar, wall: str) -> Piece:
    half = bar.face_mm / 2 or 1.0
    upright = bar.ax_mm == bar.bx_mm
    aside, up = (half, 0.0) if upright else (0.0, half)
    left, right = sorted((bar.ax_mm, bar.bx_mm))
    bottom, top = sorted((bar.ay_mm, bar.by_mm))
    rise = round(bar.by_mm - bar.ay_mm, 1), round(bar.bx_mm - bar.ax_mm, 1)
    skew = f", cut {bar.skew_a_deg:g}/{bar.skew_b_deg:g}°" if bar.skew_a_deg or bar.skew_b_deg else ""
    return Piece(
        wall=wall,
        mark=bar.mark,
        kind=BAR,
        what=bar.role.value,
        item=bar.item,
        plane=FACE,
        box=(left - aside, bottom - up, right + aside, top + up),
        shape=(bar.length_mm, round(bar.skew_a_deg, 2), round(bar.skew_b_deg, 2), *rise, bar.face_mm),
        size=f"{bar.length_mm}{skew}",
    )


def _board(board: BoardPiece, wall: str) -> Piece:
    box = _box(board.ring)
    cuts = tuple(
        sorted((round(c.x_mm - box[0], 1), round(c.y_mm - box[1], 1), c.diameter_mm) for c in board.cutouts)
    )
    holes = tuple(_moved(ring, box) for ring in board.holes)
    more = f", {len(cuts)} cut-out{'s' * (len(cuts) > 1)}" if cuts else ""
    shaped = ", to shape" if len(board.ring) > 4 or holes else ""
    return Piece(
        wall=wall,
        mark=board.mark,
        kind=BOARD,
        what=f"layer {board.layer}" if board.plane == FACE else f"{board.plane}, layer {board.layer}",
        item=board.item,
        plane=board.plane,
        box=box,
        shape=(_moved(board.ring, box), holes, cuts, board.left_bound, board.right_bound),
        size=f"{board.width_mm:.0f} × {board.length_mm:.0f}{shaped}{more}",
    )


def _bracket(bracket: BracketPlace, wall: str) -> Piece:
    x, y = bracket.x_mm, bracket.y_mm
    return Piece(
        wall=wall,
        mark=bracket.mark,
        kind=BRACKET,
        what="bracket",
        item=bracket.item,
        plane=FACE,
        box=(x - _SMALL_MM, y - _SMALL_MM, x + _SMALL_MM, y + _SMALL_MM),
        shape=(bracket.projection_mm,),
        size=f"projects {bracket.projection_mm}",
    )


def _slab(slab: Slab, wall: str) -> Piece:
    box = _box(slab.ring)
    return Piece(
        wall=wall,
        mark=slab.mark,
        kind=SLAB,
        what=f"layer {slab.layer}",
        item=slab.item,
        plane=slab.plane,
        box=box,
        shape=(_moved(slab.ring, box), slab.width_mm, slab.length_mm),
        size=f"{slab.width_mm} × {slab.length_mm}",
    )


def _strip(strip: MembraneStrip, wall: str) -> Piece:
    box = _box(strip.ring)
    return Piece(
        wall=wall,
        mark=strip.mark,
        kind=MEMBRANE,
        what="vapour control",
        item=strip.item,
        plane=FACE,
        box=box,
        shape=(_moved(strip.ring, box), tuple(_moved(ring, box) for ring in strip.holes)),
        size=f"{strip.width_mm} × {strip.length_mm}",
    )


def _box(ring: Ring) -> Box:
    xs, ys = [x for x, _ in ring], [y for _, y in ring]
    return min(xs), min(ys), max(xs), max(ys)


def _moved(ring: Ring, box: Box) -> tuple[tuple[float, float], ...]:
    """A ring from its own lower left corner, from its least vertex on."""
    points = [(round(x - box[0], 1), round(y - box[1], 1)) for x, y in ring]
    first = points.index(min(points))
    return tuple(points[first:] + points[:first])


def _middle(box: Box) -> tuple[float, float]:
    return (box[0] + box[2]) / 2, (box[1] + box[3]) / 2


def _area(box: Box) -> float:
    return (box[2] - box[0]) * (box[3] - box[1])


def around(boxes: Iterable[Box]) -> Box:
    """The rectangle round some rectangles, at least one."""
    lefts, bottoms, rights, tops = zip(*boxes, strict=True)
    return min(lefts), min(bottoms), max(rights), max(tops)
