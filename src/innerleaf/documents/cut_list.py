"""The cut list of a takeoff: which bars and boards are cut alike, in which order, and what is kept of them.

In the order of the walls: a bar or board stands with the first of the walls that its pieces go to.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import count, groupby, pairwise
from operator import attrgetter
from typing import TYPE_CHECKING

from innerleaf.documents.comes_as import ComesAs, comes_as
from innerleaf.documents.cut_model import (
    BarPart,
    BarPattern,
    BoardPart,
    BoardPattern,
    Left,
    Line,
    Piece,
    Ring,
    Step,
)
from innerleaf.layout.pieces import FACE, FLANK, BoardPiece, WallPlan
from innerleaf.layout.reveals import kind_of
from innerleaf.practice.model import Rules
from innerleaf.takeoff.model import BoardCut, CutBar, CutBoard, CutPiece, Offcut, Takeoff

if TYPE_CHECKING:  # buying is loaded where a job buys
    from innerleaf.cost.model import Order

_TOLERANCE_MM = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class Kept:
    """An offcut worth keeping: what is written on it, what it is, which bar or board it is cut from.

    ``width_mm`` is 0 for bars. ``edges`` says which long edges of a board are factory edges.
    """

    mark: str
    item: str
    width_mm: int
    length_mm: int
    edges: str
    number: int


@dataclass(frozen=True, slots=True, kw_only=True)
class CutList:
    """All bars and boards of a job by the order of its ``walls``, and the offcuts that are kept."""

    walls: tuple[str, ...]
    bars: tuple[BarPattern, ...]
    boards: tuple[BoardPattern, ...]
    kept: tuple[Kept, ...]


def cut_list(
    plans: Sequence[WallPlan],
    takeoff: Takeoff,
    rules: Rules,
    order: Order | None = None,
    first_offcut: int = 1,
) -> CutList:
    """Gather what is cut alike for one wall, mark what is kept: K-1, K-2 and so on through the building.

    ``first_offcut``: the number to begin with, where others are written on offcuts already. With an ``order``
    bars and boards say in which other length they may come.
    """
    other = comes_as(order)
    places = {plan.wall.id: k for k, plan in enumerate(plans)}
    rooms = {plan.wall.id: plan.wall.room for plan in plans}
    headings = [" · ".join(t for t in (w.id, w.name, w.room) if t) for w in (plan.wall for plan in plans)]
    shapes = {board.mark: board for plan in plans for board in plan.boards}
    marks = (f"K-{number}" for number in count(first_offcut))
    kept: list[Kept] = []
    bars: dict[tuple[object, ...], BarPattern] = {}
    for bar in sorted(takeoff.bars, key=lambda b: (_first(b, places), b.item, b.stock_mm, b.number)):
        offcut: tuple[str, ...] = ()
        if bar.remainder_mm >= rules.bar_offcut_min_mm:
            offcut = (next(marks),)
            kept.append(_kept_bar(bar, offcut[0]))
        made = _bar(bar, offcut, takeoff.rates.kerf_mm, rooms, headings[_first(bar, places)], other)
        key = _bar_key(made)
        bars[key] = _joined_bars(bars[key], made) if key in bars else made
    boards: dict[tuple[object, ...], BoardPattern] = {}
    for board in sorted(takeoff.boards, key=lambda b: (_first(b, places), b.item, b.stock_mm, b.number)):
        lefts = []
        for offcut_ in board.offcuts:
            worth = _is_worth(offcut_, rules)
            mark = (next(marks),) if worth else ()
            kept += [_kept_board(board, offcut_, m) for m in mark]
            lefts.append(Left(offcut_.x_mm, offcut_.y_mm, offcut_.width_mm, offcut_.length_mm, mark))
        made_ = _board(board, tuple(lefts), rooms, shapes, headings[_first(board, places)], other)
        key = _board_key(made_)
        boards[key] = _joined_boards(boards[key], made_) if key in boards else made_
    return CutList(
        walls=tuple(places), bars=tuple(bars.values()), boards=tuple(boards.values()), kept=tuple(kept)
    )


def _first(cut: CutBar | CutBoard, order: Mapping[str, int]) -> int:
    return min(order[piece.wall] for piece in cut.pieces)


def _is_worth(offcut: Offcut, rules: Rules) -> bool:
    shorter, longer = sorted((offcut.width_mm, offcut.length_mm))
    return shorter >= rules.board_offcut_width_min_mm and longer >= rules.board_offcut_length_min_mm


def _kept_bar(bar: CutBar, mark: str) -> Kept:
    return Kept(mark=mark, item=bar.item, width_mm=0, length_mm=bar.remainder_mm, edges="", number=bar.number)


def _kept_board(board: CutBoard, offcut: Offcut, mark: str) -> Kept:
    edges = [side for side, bound in (("left", offcut.left_bound), ("right", offcut.right_bound)) if bound]
    return Kept(
        mark=mark,
        item=board.item,
        width_mm=offcut.width_mm,
        length_mm=offcut.length_mm,
        edges=" and ".join(edges) or "none",
        number=board.number,
    )


def _going(piece: CutPiece, rooms: Mapping[str, str]) -> Piece:
    return Piece(piece.mark, piece.wall, rooms[piece.wall], str(piece.use))


# --- bars -----------------------------------------------------------------------------------------


def _bar(
    bar: CutBar,
    kept: tuple[str, ...],
    kerf_mm: int,
    rooms: Mapping[str, str],
    heading: str,
    other: ComesAs,
) -> BarPattern:
    parts = [
        BarPart(
            length_mm=round(piece.length_mm),
            pieces=(_going(piece, rooms),),
            skew_a_deg=piece.skew_a_deg,
            skew_b_deg=piece.skew_b_deg,
        )
        for piece in bar.pieces
    ]
    return BarPattern(
        item=bar.item,
        stock_mm=bar.stock_mm,
        numbers=(bar.number,),
        kerf_mm=kerf_mm,
        parts=tuple(parts),
        rest_mm=bar.remainder_mm,
        kept=kept,
        source=bar.source,
        comes_as="" if bar.source else other.get((bar.item, bar.stock_mm), ""),
        heading=heading,
    )


def _bar_key(bar: BarPattern) -> tuple[object, ...]:
    shapes = tuple((part.length_mm, part.skew_a_deg, part.skew_b_deg) for part in bar.parts)
    return bar.heading, bar.item, bar.stock_mm, bar.source, shapes


def _joined_bars(some: BarPattern, other: BarPattern) -> BarPattern:
    parts = [replace(a, pieces=a.pieces + b.pieces) for a, b in zip(some.parts, other.parts, strict=True)]
    numbers, kept = some.numbers + other.numbers, some.kept + other.kept
    return replace(some, numbers=numbers, kept=kept, parts=tuple(parts))


# --- boards ---------------------------------------------------------------------------------------


def _board(
    board: CutBoard,
    lefts: tuple[Left, ...],
    rooms: Mapping[str, str],
    shapes: Mapping[str, BoardPiece],
    heading: str,
    other: ComesAs,
) -> BoardPattern:
    hosts = {piece.mark: k for k, piece in enumerate(board.pieces)}
    parts = [
        BoardPart(
            width_mm=piece.width_mm,
            length_mm=piece.length_mm,
            rings=placed_rings(shapes[piece.mark], piece),
            pieces=(_board_going(piece, rooms, shapes[piece.mark]),),
            turned_deg=piece.turned_deg,
            host=hosts[piece.within] if piece.within else -1,
        )
        for piece in board.pieces
    ]
    return BoardPattern(
        item=board.item,
        width_mm=board.width_mm,
        stock_mm=board.stock_mm,
        numbers=(board.number,),
        parts=tuple(parts),
        steps=steps_of(board.cuts, parts),
        lefts=lefts,
        source=board.source,
        comes_as="" if board.source else other.get((board.item, board.stock_mm), ""),
        heading=heading,
    )


def use_of(board: BoardPiece) -> str:
    """What a board serves as: its layer, and the reveal or flank it goes to."""
    if board.plane == FACE:
        return f"layer {board.layer}"
    return board.plane if kind_of(board.plane) == FLANK else f"reveal {board.plane}"


def _board_going(piece: CutPiece, rooms: Mapping[str, str], shape: BoardPiece) -> Piece:
    return Piece(piece.mark, piece.wall, rooms[piece.wall], use_of(shape), bool(shape.cutouts))


def placed_rings(shape: BoardPiece, piece: CutPiece) -> tuple[Ring, ...]:
    """Outline and holes of a piece as they lie on its board; round holes are cut later."""
    xs, ys = [x for x, _ in shape.ring], [y for _, y in shape.ring]
    left, low, right, top = min(xs), min(ys), max(xs), max(ys)

    def at(x: float, y: float) -> tuple[float, float]:
        if piece.turned_deg == 180:
            return round(piece.x_mm + right - x, 1), round(piece.y_mm + top - y, 1)
        return round(piece.x_mm + x - left, 1), round(piece.y_mm + y - low, 1)

    return tuple(tuple(at(x, y) for x, y in ring) for ring in (shape.ring, *shape.holes))


def steps_of(cuts: Iterable[BoardCut], parts: Sequence[BoardPart]) -> tuple[Step, ...]:
    """Cuts by number: the sides of one notch together, and last what is raked, piece by piece."""
    found: list[tuple[str, list[Line]]] = []
    for sawn, some in groupby(cuts, key=attrgetter("sawn")):
        lines = [(float(cut.ax_mm), float(cut.ay_mm), float(cut.bx_mm), float(cut.by_mm)) for cut in some]
        found += [("saw", chain) for chain in _chains(lines)] if sawn else [("score", [n]) for n in lines]
    for part in parts:
        raked = [
            (*a, *b)
            for ring in part.rings
            for a, b in pairwise((*ring, ring[0]))
            if abs(a[0] - b[0]) > _TOLERANCE_MM and abs(a[1] - b[1]) > _TOLERANCE_MM
        ]
        if raked:
            found.append(("shape", raked))
    return tuple(Step(number, how, tuple(lines)) for number, (how, lines) in enumerate(found, 1))


def _chains(lines: Iterable[Line]) -> list[list[Line]]:
    """Lines that go on where another ends, together: the sides of a notch."""
    chains: list[list[Line]] = []
    for line in lines:
        chain = next((c for c in chains if c[-1][2:] == line[:2]), None)
        if chain is None:
            chain = []
            chains.append(chain)
        chain.append(line)
        after = next((c for c in chains if c is not chain and c[0][:2] == line[2:]), None)
        if after is not None:
            chain += after
            chains.remove(after)
    return chains


def _board_key(board: BoardPattern) -> tuple[object, ...]:
    shapes = tuple((part.rings, part.turned_deg, part.host) for part in board.parts)
    return board.heading, board.item, board.width_mm, board.stock_mm, board.source, shapes, board.steps


def _joined_boards(some: BoardPattern, other: BoardPattern) -> BoardPattern:
    parts = [replace(a, pieces=a.pieces + b.pieces) for a, b in zip(some.parts, other.parts, strict=True)]
    lefts = [replace(a, kept=a.kept + b.kept) for a, b in zip(some.lefts, other.lefts, strict=True)]
    numbers = some.numbers + other.numbers
    return replace(some, numbers=numbers, parts=tuple(parts), lefts=tuple(lefts))
