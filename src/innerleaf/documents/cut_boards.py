"""A board of the cut list as a drawing: pieces, cuts in their order, figures from the lower left corner."""

from __future__ import annotations

from collections.abc import Sequence

from innerleaf.documents.cut_model import (
    BoardPart,
    BoardPattern,
    Left,
    Ring,
    letter_of,
    marks_of,
    number_ranges,
    places_of,
)
from innerleaf.documents.cut_paper import (
    BOUND,
    EDGE,
    HEAD,
    KEPT,
    LETTERS,
    LINE_MM,
    SAW,
    SCORE,
    Words,
    draw_ball,
    draw_list,
    shortened,
    wrapped,
)
from innerleaf.documents.dimensions import Stop, draw_running_row
from innerleaf.documents.labels import Labels
from innerleaf.documents.sheet import Hatch, Pen, Place, Rect, Sheet, text_width
from innerleaf.documents.view import View

SCALES = (10, 20, 25, 40, 50, 75, 100)
_HEAD_MM, _BESIDE_MM, _BELOW_MM, _AFTER_MM = 5.0, 13.0, 12.5, 4.0
_LIST_MM = 3.5  # between board and list
_LEAST_LIST_MM, _INDENT_MM = 40.0, 4.0
_CLEAR_MM = 1.6  # of words on what is left over, from line to line
_SIDE = Pen("BOARD", 0.1, grey=0.75)  # of a piece: the cuts are drawn over it
_LEADER = Pen("DIM", 0.13)


def board_scale(width_mm: int, stock_mm: int, width: float, height: float) -> int:
    """The largest scale at which a board with its figures and list fits the paper given."""
    room = width - _BESIDE_MM - _LIST_MM - _LEAST_LIST_MM
    tall = height - _HEAD_MM - _BELOW_MM - _AFTER_MM
    return next((s for s in SCALES if width_mm / s <= room and stock_mm / s <= tall), SCALES[-1])


def _list_width(board: BoardPattern, width: float, scale: int) -> float:
    return width - _BESIDE_MM - board.width_mm / scale - _LIST_MM


def board_lines(board: BoardPattern, width: float) -> list[Words]:
    """What stands beside the drawing: where each piece goes, what is written on the offcuts kept."""
    lines = [Words("order", f"may come as {board.comes_as}")] if board.comes_as else []
    for k, part in enumerate(board.parts):
        size, marks = _size(part), marks_of(part.pieces)
        beside = f"{size}   {marks}"
        if text_width(beside, LETTERS) < width - _INDENT_MM:
            lines.append(Words(letter_of(k), beside))
        else:
            lines += [Words(letter_of(k), size), Words("", marks)]
        notes = [places_of(part.pieces)]
        if part.host >= 0:
            notes.append(f"out of the notch of {letter_of(part.host)}")
        if part.turned_deg:
            notes.append(f"turned by {'half' if part.turned_deg == 180 else 'a quarter'}")
        boxed = [piece for piece in part.pieces if piece.boxes]
        if boxed:
            notes.append("holes for boxes" + (f" in {marks_of(boxed)}" if len(part.pieces) > 1 else ""))
        said = " · ".join(note for note in notes if note)
        lines += [Words("", said)] if said else []
    for left in board.lefts:
        if left.kept:
            size = f"{left.width_mm} × {left.length_mm}"
            lines.append(Words("keep", f"{size}: write {', '.join(left.kept)} on it"))
    return wrapped(lines, width, _INDENT_MM)


def board_height(board: BoardPattern, width: float, scale: int) -> float:
    """Paper that a board takes with all that stands round it. [mm]"""
    lines = len(board_lines(board, _list_width(board, width, scale))) * LINE_MM
    drawing = board.stock_mm / scale + (_BELOW_MM if _across(board) else 0.0)
    return _HEAD_MM + max(drawing if board.steps else 0.0, lines) + _AFTER_MM


def draw_board(sheet: Sheet, board: BoardPattern, left: float, top: float, width: float, scale: int) -> None:
    """A board with its upper left corner at ``left, top``, its figures and its list included."""
    _draw_heading(sheet, board, left, top, width)
    lines = board_lines(board, _list_width(board, width, scale))
    if not board.steps:  # used whole
        draw_list(sheet, lines, (left, top - _HEAD_MM), _INDENT_MM)
        return
    foot = top - _HEAD_MM - board.stock_mm / scale
    view = View(scale, left + _BESIDE_MM, foot)
    whole = view.box(0, 0, board.width_mm, board.stock_mm)
    labels = Labels()
    sheet.rect(EDGE, whole, Hatch.TINT)
    for offcut in board.lefts:
        if offcut.kept:
            sheet.rect(KEPT, _box(view, offcut), Hatch.WHITE)
    for part in board.parts:
        sheet.polygon(_SIDE, [view.ring(ring) for ring in part.rings], Hatch.WHITE)
    sheet.rect(EDGE, whole)
    for x, bound in ((0, board.bound[0]), (board.width_mm, board.bound[1])):
        if bound:
            sheet.line(BOUND, view.at(x, 0), view.at(x, board.stock_mm))
    for step in board.steps:
        for ax, ay, bx, by in step.lines:
            sheet.line(SCORE if step.how == "score" else SAW, view.at(ax, ay), view.at(bx, by))
    for k, part in enumerate(board.parts):
        _name(sheet, view, board, k, part, labels)
    for offcut in board.lefts:
        _name_left(sheet, view, offcut, labels)
    _draw_balls(sheet, view, board, labels)
    _draw_figures(sheet, view, board, whole)
    draw_list(sheet, lines, (whole[2] + _LIST_MM, top - _HEAD_MM), _INDENT_MM)


def _draw_heading(sheet: Sheet, board: BoardPattern, left: float, top: float, width: float) -> None:
    times = len(board.numbers)
    size = f"{board.width_mm} × {board.stock_mm}"
    bold = f"{f'{times} × ' if times > 1 else ''}{board.item} {size}".strip()
    sheet.text((left, top - 2.2), bold, HEAD, "start", bold=True)
    what = "board" if board.item else "sheet"
    numbers = f"{what}{'s' * (times > 1)} {number_ranges(board.numbers)}"
    whole = "" if board.steps else "used whole, no cut"
    plain = " · ".join(t for t in (board.source, numbers, whole) if t)
    begin = text_width(bold, HEAD, bold=True) + 2.5
    sheet.text((left + begin, top - 2.2), shortened(plain, width - begin, LETTERS), LETTERS, "start")


def _box(view: View, left: Left) -> Rect:
    return view.box(left.x_mm, left.y_mm, left.x_mm + left.width_mm, left.y_mm + left.length_mm)


def _name(sheet: Sheet, view: View, board: BoardPattern, k: int, part: BoardPart, labels: Labels) -> None:
    """Letter and mark of a part inside it, in its largest clear rectangle; smaller where it is small."""
    inner = clear_box(part.rings, [p.rings[0] for p in board.parts if p.host == k])
    left, low, right, high = view.box(*inner)
    letter = letter_of(k)
    mark = f"{letter}  {part.pieces[0].mark}" if len(board.numbers) == 1 else f"{letter}  {_size(part)}"
    x, y = (left + right) / 2, (low + high) / 2
    for words, size in ((mark, LETTERS), (mark, 0.85 * LETTERS), (letter, LETTERS), (letter, 0.75 * LETTERS)):
        long = text_width(words, size, bold=True) + 0.8
        for upright in (False, True):
            across, up = (right - left, high - low)[:: -1 if upright else 1]
            if long <= across and size <= up + 0.3:
                at = labels.place(words, size, [(x, y)], upright=upright) or (x, y)
                sheet.text(at, words, size, upright=upright, bold=True)
                return
    labels.place(letter, 0.75 * LETTERS, [(x, y)])
    sheet.text((x, y), letter, 0.75 * LETTERS, bold=True)


def _size(part: BoardPart) -> str:
    return f"{part.width_mm:.0f} × {part.length_mm:.0f}"


def clear_box(rings: Sequence[Ring], others: Sequence[Ring]) -> Rect:
    """The largest rectangle between corner lines of a piece that is inside it and clear of ``others``.

    Where the piece is raked so much that no such rectangle is whole, its bounding one.
    """
    xs = sorted({x for ring in rings for x, _ in ring})
    ys = sorted({y for ring in rings for _, y in ring})
    best, area = (xs[0], ys[0], xs[-1], ys[-1]), 0.0
    if len(rings) == 1 and len(rings[0]) == 4 and not others and len(xs) == len(ys) == 2:
        return best
    xs, ys = _few(xs), _few(ys)
    for i, left in enumerate(xs):
        for right in xs[i + 1 :]:
            for j, low in enumerate(ys):
                for high in ys[j + 1 :]:
                    size = (right - left) * (high - low)
                    if size > area and _all_inside(rings, others, (left, low, right, high)):
                        best, area = (left, low, right, high), size
    return best


def _few(places: list[float]) -> list[float]:
    """At most eight of many, the outer ones among them: for shapes that follow a curve."""
    step = -(-len(places) // 7)
    return [*places[:-1:step], places[-1]]


def _all_inside(rings: Sequence[Ring], others: Sequence[Ring], box: Rect) -> bool:
    left, low, right, high = box
    share = (0.02, 0.5, 0.98)
    spots = [(left + (right - left) * a, low + (high - low) * b) for a in share for b in share]
    return all(_inside(rings, *spot) and not _inside(others, *spot) for spot in spots)


def _inside(rings: Sequence[Ring], x: float, y: float) -> bool:
    inside = False
    for ring in rings:
        for (ax, ay), (bx, by) in zip(ring, (*ring[1:], ring[0]), strict=True):
            if (ay > y) != (by > y) and x < ax + (bx - ax) * (y - ay) / (by - ay):
                inside = not inside
    return inside


def _name_left(sheet: Sheet, view: View, left: Left, labels: Labels) -> None:
    box = _box(view, left)
    middle = (box[0] + box[2]) / 2, (box[1] + box[3]) / 2
    marks = left.kept[0] if len(left.kept) == 1 else f"{left.kept[0]} …" if left.kept else ""
    tries = (f"keep {marks}", marks) if left.kept else (f"waste {left.width_mm} × {left.length_mm}", "waste")
    for words in tries:
        long = text_width(words, LETTERS, bold=True) + _CLEAR_MM
        for upright in (False, True):
            across, up = (box[2] - box[0], box[3] - box[1])[:: -1 if upright else 1]
            if long <= across and up >= LETTERS + _CLEAR_MM:
                at = labels.place(words, LETTERS, [middle], upright=upright)
                if at:
                    sheet.text(at, words, LETTERS, upright=upright, bold=bool(left.kept))
                    return


_ALONG = (0.5, 0.3, 0.7, 0.15, 0.85, 0.4, 0.6, 0.22, 0.78, 0.08, 0.92)
_NEAR = tuple(
    (r * dx, r * dy)
    for r in (3.6, 5.4, 7.2)
    for dx, dy in ((1, 0), (-1, 0), (0, 1), (0, -1), (1, 1), (-1, 1))
)


def _draw_balls(sheet: Sheet, view: View, board: BoardPattern, labels: Labels) -> None:
    """Numbers of the cuts, each on its line where that is clear, else near it with a thin line to it."""
    for step in board.steps:
        lines = sorted(step.lines, key=lambda n: -(abs(n[2] - n[0]) + abs(n[3] - n[1])))
        on = [view.at(ax + (bx - ax) * t, ay + (by - ay) * t) for ax, ay, bx, by in lines for t in _ALONG]
        near = [((x + dx, y + dy), (x, y)) for x, y in on for dx, dy in _NEAR]
        tries: list[tuple[Place, Place]] = [*((at, at) for at in on), *near]
        at, line = next((t for t in tries if labels.free(_round(t[0]))), tries[0])
        labels.take(_round(at))
        if at != line:
            sheet.line(_LEADER, line, at)
        draw_ball(sheet, at, step.number)


def _round(at: Place) -> Rect:
    return at[0] - 1.6, at[1] - 1.6, at[0] + 1.6, at[1] + 1.6


def _across(board: BoardPattern) -> set[float]:
    """What is measured across the board, from its left edge. [mm]"""
    lines = [(step.how, line) for step in board.steps for line in step.lines]
    xs = {x for how, (ax, _, bx, _) in lines if how == "shape" or ax == bx for x in (ax, bx)}
    return {x for x in xs if 0 < x < board.width_mm}


def _along(board: BoardPattern) -> set[float]:
    """What is measured along the board, from its foot. [mm]"""
    lines = [(step.how, line) for step in board.steps for line in step.lines]
    ys = {y for how, (_, ay, _, by) in lines if how == "shape" or ay == by for y in (ay, by)}
    return {y for y in ys if 0 < y < board.stock_mm}


def _draw_figures(sheet: Sheet, view: View, board: BoardPattern, whole: Rect) -> None:
    """Below: what is measured across; at the left: along."""
    left, low, _, high = whole
    across, up = [Stop(x) for x in _across(board)], [Stop(y) for y in _along(board)]
    draw_running_row(sheet, view, across, axis="x", foot=low - 0.4, base=low - 2.8)
    draw_running_row(sheet, view, up, axis="y", foot=left - 0.4, base=left - 2.8, within=(low, high))
