"""Cut sketches: every board that is more than a plain rectangle, with its own running dimensions."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace

from innerleaf.documents.dimensions import Stop, draw_heading, draw_running_row
from innerleaf.documents.schedule import board_note, mark_ranges
from innerleaf.documents.sheet import BOX, BOX_THIN, FINE, HEAVY, Pen, Rect, Sheet, text_width
from innerleaf.documents.svg import SvgSheet
from innerleaf.documents.view import SMALL, View, short
from innerleaf.layout.pieces import BoardPiece, Cutout, Ring, WallPlan

SCALE = 50
_LEFT, _BELOW, _ABOVE, _RIGHT = 15.0, 15.0, 6.0, 4.0  # paper round a board
_HEADING_MM = 11.0
_EDGE, _BOUND = Pen("BOARD", FINE), Pen("BOARD", HEAVY)


@dataclass(frozen=True, slots=True)
class Sketch:
    """Boards of one shape: the marks that share it, and a board moved to the origin that shows it."""

    marks: str
    layer: int
    board: BoardPiece


def _to_origin(board: BoardPiece) -> BoardPiece:
    left, foot = min(x for x, _ in board.ring), min(y for _, y in board.ring)

    def move(ring: Ring) -> Ring:
        return tuple((round(x - left, 1), round(y - foot, 1)) for x, y in ring)

    cutouts = tuple(
        Cutout("", round(c.x_mm - left, 1), round(c.y_mm - foot, 1), c.diameter_mm) for c in board.cutouts
    )
    return replace(
        board, mark="", ring=move(board.ring), holes=tuple(move(r) for r in board.holes), cutouts=cutouts
    )


def sketches_of(plan: WallPlan) -> list[Sketch]:
    """The shapes of a wall's boards that need a sketch, layer by layer; like shapes once."""
    groups: dict[tuple[object, ...], list[BoardPiece]] = {}
    for board in plan.boards:
        if board.plane == "face" and board_note(board):
            moved = _to_origin(board)
            key = (
                board.layer,
                moved.item,
                moved.ring,
                moved.holes,
                moved.cutouts,
                board.left_bound,
                board.right_bound,
            )
            groups.setdefault(key, []).append(board)
    return [
        Sketch(
            mark_ranges(short(b.mark, plan.wall.id) for b in boards), boards[0].layer, _to_origin(boards[0])
        )
        for boards in groups.values()
    ]


def draw_sketch(sheet: Sheet, sketch: Sketch, view: View) -> None:
    """One cut board, seen from the room, dimensioned from its lower left corner."""
    board = sketch.board
    xs, ys = [x for x, _ in board.ring], [y for _, y in board.ring]
    left, bottom, _, top = view.box(0, 0, max(xs), max(ys))
    sheet.polygon(_EDGE, [view.ring(ring) for ring in (board.ring, *board.holes)])
    for a, b in zip(board.ring, (*board.ring[1:], board.ring[0]), strict=True):
        bound = (board.left_bound and a[0] == b[0] == 0) or (board.right_bound and a[0] == b[0] == max(xs))
        if bound:
            sheet.line(_BOUND, view.at(*a), view.at(*b))
    for cut in board.cutouts:
        x, y = view.at(cut.x_mm, cut.y_mm)
        radius = cut.diameter_mm / 2 / view.scale
        sheet.circle(BOX, (x, y), radius)
        sheet.line(BOX_THIN, (x - radius - 0.6, y), (x + radius + 0.6, y))
        sheet.line(BOX_THIN, (x, y - radius - 0.6), (x, y + radius + 0.6))
    across = {x for ring in (board.ring, *board.holes) for x, _ in ring} | {c.x_mm for c in board.cutouts}
    up = {y for ring in (board.ring, *board.holes) for _, y in ring} | {c.y_mm for c in board.cutouts}
    draw_running_row(
        sheet, view, [Stop(x) for x in across if x > 0], axis="x", foot=bottom - 0.6, base=bottom - 3.5
    )
    draw_running_row(
        sheet,
        view,
        [Stop(y) for y in up if y > 0],
        axis="y",
        foot=left - 0.6,
        base=left - 3.5,
        within=(bottom, top + 4),
    )
    sheet.text((left - _LEFT + 0.5, top + _ABOVE - 2), _heading(sketch), SMALL, "start", bold=True)


def _heading(sketch: Sketch) -> str:
    held = Counter(cut.diameter_mm for cut in sketch.board.cutouts)
    return sketch.marks + "".join(f" · {n} × Ø{d}" for d, n in held.items())


def _paper(sketch: Sketch) -> tuple[float, float]:
    """Width and height a sketch takes, with its words."""
    xs, ys = [x for x, _ in sketch.board.ring], [y for _, y in sketch.board.ring]
    named = text_width(_heading(sketch), SMALL, bold=True) + 2
    return max(max(xs) / SCALE + _LEFT + _RIGHT, named), max(ys) / SCALE + _BELOW + _ABOVE


def draw_sketches(sheet: Sheet, sketches: Sequence[Sketch], box: Rect) -> list[Sketch]:
    """Sketches in rows inside ``box`` under a heading; returns those that did not fit."""
    left, bottom, right, top = box
    y = top - _HEADING_MM
    x, tall = left, 0.0
    for k, sketch in enumerate(sketches):
        width, height = _paper(sketch)
        if x + width > right:
            x, y, tall = left, y - tall, 0.0
        if y - height < bottom:
            return list(sketches[k:])
        if k == 0:
            draw_heading(sheet, (left, top - 6), "Cut to shape", SCALE)
        draw_sketch(sheet, sketch, View(SCALE, x + _LEFT, y - height + _BELOW))
        x, tall = x + width + 1, max(tall, height)
    return []


def sketch_svg(sketch: Sketch) -> str:
    """A sketch as a small drawing of its own."""
    sheet = SvgSheet(*_paper(sketch))
    draw_sketch(sheet, sketch, View(SCALE, _LEFT, _BELOW))
    return sheet.svg()
