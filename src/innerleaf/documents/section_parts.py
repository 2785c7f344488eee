"""What horizontal and vertical sections share: insulation, break lines, names beside the drawing."""

from __future__ import annotations

from collections.abc import Sequence
from math import cos, pi

from innerleaf.documents.buildup import Layer
from innerleaf.documents.labels import spread
from innerleaf.documents.sheet import DIM, HAIR, INSULATION, OUTLINE_THIN, Hatch, Pen, Place, Rect, Sheet
from innerleaf.documents.view import ROW, SMALL

STRIP_MM = 3  # sealing strip as drawn


def draw_old_layer(sheet: Sheet, layer: Layer, box: Rect, *, upright: bool = False) -> None:
    """One layer of the old wall, hatched by its material."""
    soft = layer.hatch is Hatch.INSULATION
    sheet.rect(OUTLINE_THIN, box, Hatch.NONE if soft else layer.hatch)
    if soft:
        sheet.polyline(INSULATION, wave(box, upright=upright))


def wave(box: Rect, *, upright: bool = False) -> list[Place]:
    """The looped line that stands for insulation."""
    left, bottom, right, top = box
    if upright:
        return [(y, x) for x, y in wave((bottom, left, top, right))]
    thick = top - bottom
    loops = max(1, round((right - left) / max(2.0, thick * 0.34)))
    steps = 6
    return [
        (left + (right - left) * k / (loops * steps), bottom + thick * (0.5 - 0.5 * cos(pi * k / steps)))
        for k in range(loops * steps + 1)
    ]


def break_line(a: Place, b: Place) -> list[Place]:
    """A break line from ``a`` to ``b`` (upright or level), with one zig-zag in its middle."""
    mx, my = (a[0] + b[0]) / 2, (a[1] + b[1]) / 2
    if abs(a[0] - b[0]) < abs(a[1] - b[1]):
        sign = 1 if b[1] > a[1] else -1
        return [
            a,
            (mx, my - 2 * sign),
            (mx - 1.5, my - 0.7 * sign),
            (mx + 1.5, my + 0.7 * sign),
            (mx, my + 2 * sign),
            b,
        ]
    sign = 1 if b[0] > a[0] else -1
    return [
        a,
        (mx - 2 * sign, my),
        (mx - 0.7 * sign, my - 1.5),
        (mx + 0.7 * sign, my + 1.5),
        (mx + 2 * sign, my),
        b,
    ]


def draw_names(sheet: Sheet, marks: Sequence[tuple[Place, str]], x: float, low: float, high: float) -> None:
    """Names beside a section, each with a thin line to a dot in what it names, in the order of the dots."""
    ordered = sorted(marks, key=lambda mark: mark[0][1])
    rows = spread([y for (_, y), _ in ordered], ROW + 1.3, low, high)
    pen = Pen(DIM.layer, HAIR)
    for ((px, py), words), y in zip(ordered, rows, strict=True):
        sheet.polyline(pen, [(px, py), (x - 5, y), (x - 1, y)])
        sheet.text((x, y), words, SMALL, "start")
    sheet.dots(Pen(DIM.layer, 0.7), [mark[0] for mark in ordered])
