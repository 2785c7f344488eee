"""Running dimensions, level marks, scale bars and headings."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import inf

from innerleaf.documents.labels import spread
from innerleaf.documents.sheet import (
    DIM,
    FINE,
    HAIR,
    THIN,
    Anchor,
    Axis,
    Hatch,
    Pen,
    Place,
    Sheet,
    text_width,
)
from innerleaf.documents.view import LARGE, ROW, SMALL, View
from innerleaf.survey.wall import Wall


@dataclass(frozen=True, slots=True)
class Stop:
    """One stop of a running dimension; ``note`` is written after the figure (the mark it belongs to)."""

    at_mm: float
    note: str = ""


def figure(value: float) -> str:
    """A length as drawings write it: whole millimetres."""
    return f"{value:.0f}"


def draw_running_row(
    sheet: Sheet,
    view: View,
    stops: Sequence[Stop],
    *,
    axis: Axis,
    foot: float,
    base: float,
    origin_mm: float = 0,
    within: tuple[float, float] | None = None,
) -> None:
    """Running dimensions from one datum: a circle at zero, each stop once.

    ``foot`` is where the thin lines to the stops begin, ``base`` where the dimension line lies; both on
    paper, across ``axis``. Stops nearer to each other than the words allow are fanned out,
    ``within`` limits on paper where they fit.
    """
    merged: dict[str, Stop] = {}
    for stop in sorted(stops, key=lambda s: s.at_mm):
        if axis == "x" and not view.has(stop.at_mm):
            continue
        words = figure(stop.at_mm - origin_mm)
        known = merged.get(words)
        notes = ", ".join(n for n in ((known.note if known else ""), stop.note) if n)
        merged[words] = Stop(known.at_mm if known else stop.at_mm, notes)
    if not merged:
        return
    along = 0 if axis == "x" else 1
    on_paper = [view.at(s.at_mm, s.at_mm)[along] for s in merged.values()]
    whole = axis == "y" or view.has(origin_mm)
    origin = view.at(origin_mm, origin_mm)[along]
    begin = origin if whole else view.at(max(view.start_mm, origin_mm), 0)[0]
    away = 1 if base > foot else -1
    start, end = min([begin, *on_paper]), max([begin, *on_paper])

    def point(run: float, across: float) -> Place:
        return (run, across) if axis == "x" else (across, run)

    sheet.line(DIM, point(start, base), point(end, base))
    if whole:
        sheet.circle(Pen(DIM.layer, FINE), point(origin, base), 0.9)
    pushed_to = spread(on_paper, ROW, *(within or (-inf, inf)))
    for (words, stop), run, pushed in zip(merged.items(), on_paper, pushed_to, strict=True):
        end_at = point(pushed, base + 3.4 * away)
        sheet.running(axis, point(origin, base), point(run, foot), base, end_at, words)
        if stop.note:
            beyond = base + (3.4 + 2 + view.note_mm) * away
            anchor: Anchor = "start" if away > 0 else "end"
            sheet.text(point(pushed, beyond), stop.note, SMALL, anchor, upright=axis == "x")


def draw_levels(sheet: Sheet, view: View, wall: Wall, x: float) -> None:
    """Level marks at floor and top, beside the elevation at paper ``x``."""
    top = max(y for _, y in wall.outline)
    for level, words in ((0, "±0"), (top, f"+{top}")):
        y = view.at(0, level)[1]
        pen = Pen(DIM.layer, HAIR)
        sheet.line(pen, (x - 2, y), (x + 10, y))
        sheet.polygon(Pen(DIM.layer, FINE), [[(x, y), (x + 1.5, y + 2.2), (x - 1.5, y + 2.2)]])
        sheet.text((x + 2.4, y + 1.7), words, SMALL, "start")


def draw_scale_bar(sheet: Sheet, scale: int, at: Place) -> None:
    """A bar of alternating fields, and the scale in figures."""
    unit = {10: 100, 20: 250, 25: 250, 50: 500, 100: 1000}.get(scale, 10 * scale)
    x, y = at
    step = unit / scale
    pen = Pen(DIM.layer, THIN)
    for k in range(4):
        sheet.rect(
            pen, (x + k * step, y, x + (k + 1) * step, y + 1.1), Hatch.BLACK if k % 2 == 0 else Hatch.WHITE
        )
    for k in (0, 2, 4):
        words = figure(k * unit / 1000) if (k * unit) % 1000 == 0 else f"{k * unit / 1000:g}"
        sheet.text((x + k * step, y + 2.7), words + (" m" if k == 4 else ""), SMALL)


def part_of(view: View) -> str:
    """Which part of a long wall a view shows, for its heading."""
    if view.start_mm == -inf and view.end_mm == inf:
        return ""
    start = "0" if view.start_mm == -inf else figure(view.start_mm)
    end = "the end" if view.end_mm == inf else figure(view.end_mm)
    return f", {start} to {end}"


def draw_heading(sheet: Sheet, at: Place, words: str, scale: int) -> None:
    """Name of a drawing with its scale, underlined, its bottom left at ``at``; the scale bar beside it."""
    x, y = at
    named = f"{words} · 1:{scale}"
    sheet.text((x, y + 2), named, LARGE, "start", bold=True)
    width = text_width(named, LARGE, bold=True)
    sheet.line(Pen(DIM.layer, 0.5), (x, y - 1), (x + width, y - 1))
    draw_scale_bar(sheet, scale, (x + width + 12, y))
