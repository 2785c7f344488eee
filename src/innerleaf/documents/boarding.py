"""The board elevation of one layer: pieces with marks and sizes, joints, cut-outs, screws."""

from __future__ import annotations

from innerleaf.documents.dimensions import Stop, draw_heading, draw_levels, draw_running_row, part_of
from innerleaf.documents.existing import draw_breaks
from innerleaf.documents.labels import Labels
from innerleaf.documents.sheet import (
    BOX,
    BOX_THIN,
    FRAME_BEHIND,
    JOINT_BEHIND,
    MOVEMENT,
    OPENING,
    OPENING_THIN,
    OUTLINE_THIN,
    SCREW,
    Hatch,
    Place,
    Rect,
    Sheet,
    board_pen,
    text_width,
)
from innerleaf.documents.view import LEFT_MM, NORMAL, SMALL, Space, View, short
from innerleaf.layout.pieces import BoardPiece, Ring, WallPlan
from innerleaf.survey.wall import Wall

SPACE = Space(below=31, above=18)
_CLEAR_MM = 0.5  # white round words, which hides what lies below
_HATCHES = (Hatch.BOARD_1, Hatch.BOARD_2, Hatch.BOARD_3)


def layers_of(plan: WallPlan) -> list[int]:
    """The board layers that have pieces on the wall's face, first on the frame first."""
    return sorted({board.layer for board in plan.boards if board.plane == "face"})


_Span = tuple[float, float]


def draw_boarding(sheet: Sheet, plan: WallPlan, layer: int, view: View, *, screws: bool = True) -> None:
    """The boards of one layer as an elevation seen from the room."""
    wall, seen = plan.wall, view.seen(plan.wall)
    labels = Labels(seen)
    sheet.clip((seen[0] - 0.5, seen[1] - 1, seen[2] + 0.5, seen[3] + 4))
    boards = [b for b in _faces(plan, layer) if _reaches(b, view)]
    _draw_openings(sheet, view, wall, labels)
    _draw_boards(sheet, view, plan, layer, boards)
    if screws:
        _draw_screws(sheet, view, plan, layer)
    _draw_cutouts(sheet, view, boards, labels)
    for x in plan.movement_joints_mm:
        ys = [y for _, y in wall.outline]
        sheet.line(MOVEMENT, view.at(x, min(ys)), view.at(x, max(ys) + 60))
    sheet.polygon(OUTLINE_THIN, [view.ring(wall.outline)])
    for board in boards:
        _name_board(sheet, view, board, short(board.mark, wall.id), labels)
    sheet.clip(None)
    draw_breaks(sheet, view, wall)
    _dimension(sheet, view, plan, boards)
    draw_levels(sheet, view, wall, seen[2] + 19)
    last = layer == max(layers_of(plan))
    seat = " (seen)" if last else " on the frame" if layer == 1 else ""
    heading = f"Boards, layer {layer}{seat}{part_of(view)}"
    draw_heading(sheet, (seen[0] - LEFT_MM + 4, seen[1] - SPACE.below + 3), heading, view.scale)


def _faces(plan: WallPlan, layer: int) -> list[BoardPiece]:
    return [b for b in plan.boards if b.layer == layer and b.plane == "face"]


def _draw_openings(sheet: Sheet, view: View, wall: Wall, labels: Labels) -> None:
    for opening in (opening.faced for opening in wall.openings):
        if not view.near(opening.x_mm, opening.right_mm):
            continue
        box = view.box(opening.x_mm, opening.sill_mm, opening.right_mm, opening.head_mm)
        sheet.rect(OPENING, box, Hatch.WHITE)
        sheet.line(OPENING_THIN, (box[0], box[1]), (box[2], box[3]))
        sheet.line(OPENING_THIN, (box[0], box[3]), (box[2], box[1]))
        labels.take(box)


def _draw_boards(sheet: Sheet, view: View, plan: WallPlan, layer: int, boards: list[BoardPiece]) -> None:
    """The boards; behind them the middle of the studs and the joints of the layer below."""
    pen, hatch = board_pen(layer), _HATCHES[(layer - 1) % len(_HATCHES)]
    for board in boards:
        sheet.polygon(pen, [view.ring(ring) for ring in (board.ring, *board.holes)], hatch)
    for member in plan.members:
        if view.near(member.x_mm, member.x_mm):
            sheet.line(
                FRAME_BEHIND, view.at(member.x_mm, member.bottom_mm), view.at(member.x_mm, member.top_mm)
            )
    for below in _faces(plan, layer - 1):
        if _reaches(below, view):
            for a, b in _upright_edges(below.ring):
                sheet.line(JOINT_BEHIND, view.at(*a), view.at(*b))


def _draw_screws(sheet: Sheet, view: View, plan: WallPlan, layer: int) -> None:
    dots: list[Place] = []
    left, bottom, scale = view.left_mm, view.bottom_mm, view.scale
    for line in plan.screws:
        if line.layer != layer:
            continue
        if line.upright:
            if view.near(line.at_mm, line.at_mm):
                x = left + line.at_mm / scale
                dots += [(x, bottom + y / scale) for y in line.places_mm]
        else:
            y = bottom + line.at_mm / scale
            dots += [(left + x / scale, y) for x in line.places_mm if view.near(x, x)]
    if dots:
        sheet.dots(SCREW, dots)


def _reaches(board: BoardPiece, view: View) -> bool:
    xs = [x for x, _ in board.ring]
    return view.near(min(xs), max(xs))


def _upright_edges(ring: Ring) -> list[tuple[tuple[float, float], tuple[float, float]]]:
    return [(a, b) for a, b in zip(ring, (*ring[1:], ring[0]), strict=True) if a[0] == b[0]]


def _draw_cutouts(sheet: Sheet, view: View, boards: list[BoardPiece], labels: Labels) -> None:
    seen: set[str] = set()
    for board in boards:
        for cut in board.cutouts:
            x, y = view.at(cut.x_mm, cut.y_mm)
            radius = cut.diameter_mm / 2 / view.scale
            sheet.circle(BOX, (x, y), radius, Hatch.WHITE)
            sheet.line(BOX_THIN, (x - radius - 0.6, y), (x + radius + 0.6, y))
            sheet.line(BOX_THIN, (x, y - radius - 0.6), (x, y + radius + 0.6))
            labels.take((x - radius - 0.6, y - radius - 0.6, x + radius + 0.6, y + radius + 0.6))
    for board in boards:
        for cut in board.cutouts:
            if cut.of in seen:
                continue
            seen.add(cut.of)
            x, y = view.at(cut.x_mm, cut.y_mm)
            half = cut.diameter_mm / 2 / view.scale
            words = f"{cut.of} Ø{cut.diameter_mm}"
            at = labels.place_near(words, SMALL, (x - half, y - half, x + half, y + half), clear=_CLEAR_MM)
            if at:
                sheet.text(at, words, SMALL, masked=True)


def _name_board(sheet: Sheet, view: View, board: BoardPiece, mark: str, labels: Labels) -> None:
    """Mark and size of a board inside it, upright when it is narrow, by its mark alone when it is small."""
    x0, y0, x1, y1 = _inner_box(board)
    left, bottom, right, top = view.box(max(x0, view.start_mm), y0, min(x1, view.end_mm), y1)
    if right - left < 1.0 and (x0 < view.start_mm or x1 > view.end_mm):
        return  # named in the part that shows more of it
    size = f"{board.width_mm:.0f} × {board.length_mm:.0f}"
    x, y = (left + right) / 2, (bottom + top) / 2
    for words, letters in ((f"{mark}  {size}", NORMAL), (mark, NORMAL), (mark, SMALL * 0.8)):
        long = text_width(words, letters)
        for upright in (False, True):
            if long + 1 > ((top - bottom) if upright else (right - left)):
                continue
            tries = _places_inside((left, bottom, right, top), long, letters, upright=upright)
            at = labels.place(words, letters, tries, upright=upright, clear=_CLEAR_MM)
            if at:
                sheet.text(at, words, letters, upright=upright, masked=True)
                return
    # nowhere inside: outside, beside its middle
    for reach in range(2, 40, 2):
        tries = [(x, top + reach), (x, bottom - reach), (right + reach + 2, y), (left - reach - 2, y)]
        at = labels.place(mark, SMALL * 0.8, tries, clear=_CLEAR_MM)
        if at:
            sheet.line(BOX_THIN, (x, y), at)
            sheet.text(at, mark, SMALL * 0.8, masked=True)
            return


def _places_inside(box: Rect, long: float, letters: float, *, upright: bool) -> list[Place]:
    """Places for words round the middle of a rectangle, none so far from it that they leave it."""
    left, bottom, right, top = box
    across, up = right - left, top - bottom
    x, y = (left + right) / 2, (bottom + top) / 2
    wide, tall = (letters, long) if upright else (long, letters)
    far_x, far_y = max(0.0, (across - wide) / 2), max(0.0, (up - tall) / 2)
    if upright:
        moves = [(d * across, e) for e in (0.0, 6.0, -6.0) for d in (0, 0.2, -0.2, 0.35, -0.35)]
    else:
        moves = [(0.0, d * up) for d in (0, 0.1, -0.1, 0.2, -0.2, 0.3, -0.3, 0.4, -0.4)]
    return [(x + max(-far_x, min(far_x, dx)), y + max(-far_y, min(far_y, dy))) for dx, dy in moves]


def _inner_box(board: BoardPiece) -> Rect:
    """The largest rectangle inside the board that reaches from one of its corner heights to another."""
    rings = [board.ring, *board.holes]
    ys = sorted({y for ring in rings for _, y in ring})
    xs = [x for x, _ in board.ring]
    best, area = (min(xs), ys[0], max(xs), ys[-1]), 0.0
    if len(rings) == 1 and len(board.ring) == 4 and len(set(xs)) == len(ys) == 2:
        return best
    rows = [
        _common(spans_at(rings, low + 0.01), spans_at(rings, high - 0.01))
        for low, high in zip(ys, ys[1:], strict=False)
    ]
    for first in range(len(rows)):
        spans = rows[first]
        for last in range(first, len(rows)):
            spans = _common(spans, rows[last])
            for left, right in spans:
                size = (right - left) * (ys[last + 1] - ys[first])
                if size > area:
                    best, area = (left, ys[first], right, ys[last + 1]), size
    return best


def _common(some: list[_Span], others: list[_Span]) -> list[_Span]:
    """What two rows of spans have in common."""
    return [(max(a, c), min(b, d)) for a, b in some for c, d in others if min(b, d) > max(a, c)]


def spans_at(rings: list[Ring], y: float) -> list[tuple[float, float]]:
    """Where a level line at ``y`` runs inside the rings (holes among them): x from, x to."""
    cuts: list[float] = []
    for ring in rings:
        for (ax, ay), (bx, by) in zip(ring, (*ring[1:], ring[0]), strict=True):
            if (ay > y) != (by > y):
                cuts.append(ax + (bx - ax) * (y - ay) / (by - ay))
    cuts.sort()
    return list(zip(cuts[::2], cuts[1::2], strict=True))


def _dimension(sheet: Sheet, view: View, plan: WallPlan, boards: list[BoardPiece]) -> None:
    """Below: upright board edges. Above: boxes and opening edges. Left and right: level edges and boxes."""
    wall = plan.wall
    left, bottom, right, top = view.seen(wall)
    joints = {edge[0][0] for b in boards for edge in _upright_edges(b.ring)}
    notch = {x for o in wall.openings for x in (o.faced.x_mm, o.faced.right_mm)}
    draw_running_row(sheet, view, [Stop(x) for x in joints], axis="x", foot=bottom - 1, base=bottom - 6)
    cuts = {cut.x_mm for b in boards for cut in b.cutouts}
    if cuts | notch:
        draw_running_row(sheet, view, [Stop(x) for x in cuts | notch], axis="x", foot=top + 1, base=top + 5)
    level = {
        a[1] for b in boards for a, c in zip(b.ring, (*b.ring[1:], b.ring[0]), strict=True) if a[1] == c[1]
    }
    level |= {float(y) for _, y in wall.outline if y}
    draw_running_row(
        sheet,
        view,
        [Stop(y) for y in level],
        axis="y",
        foot=left - 1,
        base=left - 6,
        within=(bottom, top + 6),
    )
    heights = {cut.y_mm for b in boards for cut in b.cutouts}
    if heights:
        draw_running_row(
            sheet,
            view,
            [Stop(y) for y in heights],
            axis="y",
            foot=right + 1,
            base=right + 6,
            within=(bottom, top + 6),
        )
