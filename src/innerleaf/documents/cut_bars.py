"""A bar of the cut list as a drawing: pieces as they come off, cuts from the left end, what is kept."""

from __future__ import annotations

from itertools import groupby
from math import radians, tan

from innerleaf.documents.cut_model import BarPart, BarPattern, letter_of, marks_of, number_ranges, places_of
from innerleaf.documents.cut_paper import (
    EDGE,
    FIGURES_MM,
    HEAD,
    KEPT,
    LETTERS,
    LINE_MM,
    Words,
    draw_ball,
    draw_figures,
    draw_list,
    fitting,
    shortened,
    wrapped,
)
from innerleaf.documents.schedule import end_cut
from innerleaf.documents.sheet import Hatch, Pen, Sheet, text_width

SCALES = (10, 20, 25, 40, 50, 75, 100, 200)
_HEAD_MM, _BALLS_MM, _BAR_MM, _AFTER_MM = 4.8, 3.6, 5.6, 3.6
_INDENT_MM = 15.0  # of a list: where the marks begin
_SLANT_MOST_MM = 6.0  # of a skew end on paper
_CUT = Pen("CUT", 0.5)
_CLEAR_MM = 1.6  # of words on what is left over, from line to line
_EDGE_MM = 1.0  # paper right of the longest bar


def bar_scale(stock_mm: int, width: float) -> int:
    """The largest scale at which a bar of this length fits ``width`` of paper."""
    return next((s for s in SCALES if stock_mm / s <= width - _EDGE_MM), SCALES[-1])


def bar_lines(bar: BarPattern, width: float) -> list[Words]:
    """What stands below the drawing: where each piece goes, what is written on the remainder."""
    lines = [Words("order", f"may come as {bar.comes_as}")] if bar.comes_as else []
    numbered = enumerate(bar.parts)
    for (length, a, b), some in groupby(numbered, key=lambda n: _shape(n[1])):
        parts = list(some)
        letters = dict.fromkeys(letter_of(k) for k in (parts[0][0], parts[-1][0]))
        pieces = [piece for _, part in parts for piece in part.pieces]
        said = " · ".join(t for t in (marks_of(pieces), places_of(pieces), end_cut(a, b)) if t)
        lines.append(Words(f"{'–'.join(letters)}  {length}", said))
    if bar.kept:
        lines.append(Words(f"rest {bar.rest_mm}", f"keep, write {', '.join(bar.kept)} on it"))
    return wrapped(lines, width, _INDENT_MM)


def _shape(part: BarPart) -> tuple[int, float, float]:
    return part.length_mm, part.skew_a_deg, part.skew_b_deg


def bar_height(bar: BarPattern, width: float) -> float:
    """Paper that a bar takes with all that stands round it. [mm]"""
    drawing = _BALLS_MM + _BAR_MM + FIGURES_MM if bar.cuts else 0.0
    return _HEAD_MM + drawing + len(bar_lines(bar, width)) * LINE_MM + _AFTER_MM


def draw_bar(sheet: Sheet, bar: BarPattern, left: float, top: float, width: float, scale: int) -> None:
    """A bar with its upper left corner at ``left, top``."""
    _draw_heading(sheet, bar, left, top, width)
    if not bar.cuts:  # used whole
        draw_list(sheet, bar_lines(bar, width), (left, top - _HEAD_MM), _INDENT_MM)
        return
    high = top - _HEAD_MM - _BALLS_MM
    low = high - _BAR_MM
    right = left + bar.stock_mm / scale
    sheet.rect(EDGE, (left, low, right, high), Hatch.TINT)
    for k, (part, span) in enumerate(zip(bar.parts, bar.spans, strict=True)):
        _draw_part(
            sheet, bar, part, letter_of(k), (left + span[0] / scale, left + span[1] / scale), low, high
        )
    _draw_rest(sheet, bar, right - bar.rest_mm / scale, right, low, high)
    for cut in bar.cuts:
        at = left + cut.at_mm / scale
        sheet.line(_CUT, (at, low - 0.8), (at, high + 0.7))
    last = left - 9.0
    for cut in bar.cuts:
        last = max(left + cut.at_mm / scale, last + 3.3)
        draw_ball(sheet, (last, high + 2.2), cut.number)
    places = [(left + cut.at_mm / scale, str(cut.at_mm)) for cut in bar.cuts]
    draw_figures(sheet, places, low, (left, left + width))
    draw_list(sheet, bar_lines(bar, width), (left, low - FIGURES_MM), _INDENT_MM)


def _draw_heading(sheet: Sheet, bar: BarPattern, left: float, top: float, width: float) -> None:
    times = len(bar.numbers)
    bold = f"{f'{times} × ' if times > 1 else ''}{bar.item} {bar.stock_mm}".strip()
    sheet.text((left, top - 2.2), bold, HEAD, "start", bold=True)
    bars = f"bar{'s' * (times > 1)} {number_ranges(bar.numbers)}"
    rest = f"rest {bar.rest_mm} {'kept' if bar.kept else 'waste'}" if bar.rest_mm else ""
    rest = rest if bar.cuts else "used whole, no cut"
    plain = " · ".join(t for t in (bar.source, bars, rest) if t)
    begin = text_width(bold, HEAD, bold=True) + 2.5
    sheet.text((left + begin, top - 2.2), shortened(plain, width - begin, LETTERS), LETTERS, "start")


def _draw_part(
    sheet: Sheet,
    bar: BarPattern,
    part: BarPart,
    letter: str,
    span: tuple[float, float],
    low: float,
    high: float,
) -> None:
    start, end = span
    a, b = _slant(part.skew_a_deg, high - low), _slant(part.skew_b_deg, high - low)
    # the right side of an upright bar lies below when its foot lies to the left
    ring = [
        (start + max(0.0, a), low),
        (end + min(0.0, b), low),
        (end - max(0.0, b), high),
        (start - min(0.0, a), high),
    ]
    sheet.polygon(EDGE, [ring], Hatch.WHITE)
    if a:  # cut on the piece
        sheet.line(_CUT, ring[0], ring[3])
    if b:
        sheet.line(_CUT, ring[1], ring[2])
    first = part.pieces[0].mark
    tries = (
        [f"{letter}  {first}", letter] if len(bar.numbers) == 1 else [f"{letter}  {part.length_mm}", letter]
    )
    room = end - start - 1.2 - abs(a) - abs(b)
    words = fitting(tries, room, LETTERS)
    if words:
        sheet.text(((start + end + a / 2 - b / 2) / 2, (low + high) / 2), words, LETTERS, bold=True)


def _slant(degrees: float, height: float) -> float:
    """How far a skew end leans on paper; steeper than the paper shows it where bars are drawn broad."""
    if not degrees:
        return 0.0
    lean = min(_SLANT_MOST_MM, height * tan(radians(min(abs(degrees), 80.0))))
    return lean if degrees > 0 else -lean


def _draw_rest(sheet: Sheet, bar: BarPattern, start: float, end: float, low: float, high: float) -> None:
    if not bar.rest_mm:
        return
    marks = bar.kept[0] if len(bar.kept) == 1 else f"{bar.kept[0]} …" if bar.kept else ""
    if bar.kept:
        sheet.rect(KEPT, (start, low, end, high), Hatch.WHITE)
    tries = [f"keep {marks}", marks] if bar.kept else [f"waste {bar.rest_mm}", "waste"]
    words = fitting(tries, end - start - _CLEAR_MM, LETTERS)
    if words:
        sheet.text(((start + end) / 2, (low + high) / 2), words, LETTERS, bold=bool(bar.kept))
