"""What covers reveals and flanks: boards, and the insulation under them.

A reveal board runs from the frame of the window (or from the board on the back of a niche) to the face of
the lining; the face boards end flush with what lies under it, a corner bead covers the edge. The boards
of one opening do not share corners: left and right run the full height, head and sill fit between them.
Insulation lies between the old reveal and the board, up to the back of the face boards, which cover its
edge; a flank strip lies on what the lining stops at, from the lining's face into the room.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import ceil, floor, hypot

from innerleaf.layout.pieces import FACE, FLANK, BoardPiece, Ring, Run, RunKind, Slab
from innerleaf.layout.setting import Setting
from innerleaf.layout.zone import Span, blockers_of, subtract, whole
from innerleaf.practice.model import Board, ConsumableUse, Practice
from innerleaf.survey.wall import Opening, OpeningKind, Wall

_Point = tuple[float, float]
_Plane = tuple[str, int, int]  # name, depth across, length along
_Cell = tuple[Ring, int, int]  # ring in the plane, width, length


def line_reveals(setting: Setting) -> list[BoardPiece]:
    """One layer of the innermost board on every reveal to be lined and on every insulated flank."""
    board = setting.boards[0]
    pieces: list[BoardPiece] = []
    for plane, across, along in _board_planes(setting):
        for ring, width, length in _cells(across, along, board.width_mm, max(board.lengths_mm)):
            pieces.append(_board(setting, board, plane, ring, width, length, len(pieces) + 1))
    return pieces


def insulate_reveals(setting: Setting, practice: Practice) -> list[Slab]:
    """Insulation under the boards of reveals and flanks, in pieces no larger than a slab."""
    pieces: list[Slab] = []
    for name, (plane, across, along) in _insulated_planes(setting):
        item = practice.insulation[name]
        for ring, width, length in _cells(across, along, item.width_mm, item.length_mm):
            mark = f"{setting.wall.id}/Q{len(pieces) + 1:02d}"
            pieces.append(Slab(mark, 1, name, ring, width, length, plane))
    return pieces


def bead_flanks(setting: Setting, practice: Practice) -> list[Run]:
    """An edge bead where the strip on a flank ends in the room, drawn at the edge it belongs to."""
    item = practice.consumable(ConsumableUse.EDGE_BEAD).id
    return [
        Run(
            RunKind.EDGE_BEAD, len(setting.boards), *a, *b, round(hypot(b[0] - a[0], b[1] - a[1])), item, name
        )
        for name, a, b in flank_stretches(setting.wall)
    ]


def kind_of(plane: str) -> str:
    """Where a piece of a plane lies: "face", "reveal" or "flank"."""
    return plane if plane == FACE else FLANK if plane.endswith(f" {FLANK}") else "reveal"


def _board_planes(setting: Setting) -> Iterator[_Plane]:
    board = setting.boards[0].thickness_mm
    for opening in setting.wall.openings:
        if opening.reveal_lined:
            backed = board if opening.kind == OpeningKind.NICHE else 0
            deep = opening.reveal_mm - _backing_mm(opening) + setting.build_up.total_mm - backed
            yield from _sides(opening, opening.faced, ceil(deep), board)
    yield from _flanks(setting)


def _insulated_planes(setting: Setting) -> Iterator[tuple[str, _Plane]]:
    """(item, plane) of all insulation on reveals and flanks."""
    frame_front = setting.build_up.frame_back_mm + setting.build_up.frame_depth_mm
    for opening in setting.wall.openings:
        if opening.reveal_insulation:
            deep = opening.reveal_mm - _backing_mm(opening) + frame_front
            for plane in _sides(opening, opening, deep, opening.reveal_insulation_mm):
                yield opening.reveal_insulation, plane
    if setting.wall.flank:
        for plane in _flanks(setting):
            yield setting.wall.flank.item, plane


def _backing_mm(opening: Opening) -> int:
    """Insulation on the back of a niche: its sides begin in front of it."""
    return opening.reveal_insulation_mm if opening.kind == OpeningKind.NICHE else 0


def _sides(opening: Opening, hole: Opening, depth: int, thick: float) -> Iterator[_Plane]:
    """The surfaces round a hole, of an opening or what is left of it, each covered ``thick``."""
    between = floor(hole.width_mm - 2 * thick)
    yield f"{opening.id} left", depth, hole.height_mm
    yield f"{opening.id} right", depth, hole.height_mm
    yield f"{opening.id} head", depth, between
    if opening.kind != OpeningKind.DOOR:
        yield f"{opening.id} sill", depth, between
    if opening.kind == OpeningKind.NICHE:
        yield f"{opening.id} back", hole.width_mm, hole.height_mm


def _flanks(setting: Setting) -> Iterator[_Plane]:
    """Strips along the edges; plumb ones run the full height, others fit between them."""
    wall = setting.wall
    if wall.flank is None:
        return
    ring, flanked = wall.outline, wall.flanked
    cover = wall.flank.thickness_mm + setting.boards[0].thickness_mm
    beside = {p for n in flanked if ring[n][0] == ring[(n + 1) % len(ring)][0] for p in _ends(wall, n)}
    for name, a, b in flank_stretches(wall):
        length = hypot(b[0] - a[0], b[1] - a[1])
        if a[0] != b[0]:
            length -= cover * sum(end in beside for end in (a, b))
        if length >= 1:
            yield name, wall.flank.width_mm, floor(length)


def flank_stretches(wall: Wall) -> Iterator[tuple[str, _Point, _Point]]:
    """Edges whose flank is insulated, cut where an opening, column or beam reaches them: (name, from, to)."""
    blocked = [(k.x0, k.y0, k.x1, k.y1) for k in blockers_of(wall)]
    for number in wall.flanked:
        a, b = _ends(wall, number)
        free: list[Span] = [(0.0, 1.0)]
        for rect in blocked:
            within = _within(a, b, rect)
            free = subtract(free, *within) if within else free
        for part, (start, end) in enumerate(free, 1):
            name = f"edge {number + 1}" + (f" part {part}" if len(free) > 1 else "")
            yield f"{name} {FLANK}", _between(a, b, start), _between(a, b, end)


def _ends(wall: Wall, number: int) -> tuple[_Point, _Point]:
    return wall.outline[number], wall.outline[(number + 1) % len(wall.outline)]


def _between(a: _Point, b: _Point, share: float) -> _Point:
    return whole(a[0] + share * (b[0] - a[0])), whole(a[1] + share * (b[1] - a[1]))


def _within(a: _Point, b: _Point, rect: tuple[int, int, int, int]) -> Span | None:
    """The part of the line a-b that lies in a rectangle or along its side, as shares of its length."""
    low, high = 0.0, 1.0
    for axis in (0, 1):
        way, (near, far) = b[axis] - a[axis], (rect[axis], rect[axis + 2])
        if way == 0:
            if not near <= a[axis] <= far:
                return None
            continue
        first, last = sorted(((near - a[axis]) / way, (far - a[axis]) / way))
        low, high = max(low, first), min(high, last)
    return (low, high) if high > low else None


def _cells(across: int, along: int, widest: int, longest: int) -> Iterator[_Cell]:
    """A surface in pieces no wider and no longer than a board or slab."""
    columns, rows = ceil(across / widest), ceil(along / longest)
    for c in range(columns):
        for r in range(rows):
            x0, x1 = round(across * c / columns), round(across * (c + 1) / columns)
            y0, y1 = round(along * r / rows), round(along * (r + 1) / rows)
            yield ((x0, y0), (x1, y0), (x1, y1), (x0, y1)), x1 - x0, y1 - y0


def _board(
    setting: Setting, board: Board, plane: str, ring: Ring, width: int, length: int, number: int
) -> BoardPiece:
    of, _, side = plane.rpartition(" ")
    return BoardPiece(
        mark=f"{setting.wall.id}/R{number:02d}",
        layer=1,
        plane=plane,
        item=board.id,
        ring=ring,
        holes=(),
        cutouts=(),
        width_mm=width,
        length_mm=length,
        stock_length_mm=min(s for s in board.lengths_mm if s >= length),
        left_bound=False,
        right_bound=width == board.width_mm,
        purpose=f"covers the flank at {of}" if side == FLANK else f"lines the {side} of {of}",
    )
