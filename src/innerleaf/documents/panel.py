"""A panel of a plot on paper: its frame and scales, the figures beside it, the names of its lines."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil, floor, log10

from innerleaf.documents.labels import spread
from innerleaf.documents.sheet import HAIR, THIN, Hatch, Pen, Place, Rect, Sheet
from innerleaf.documents.view import SMALL

LETTERS = 2.6
AXIS = Pen("AXIS", THIN)
GRID = Pen("AXIS", HAIR, (0.4, 0.8), 0.5)


@dataclass(frozen=True, slots=True)
class Panel:
    """A frame with a scale for x and one for y."""

    box: Rect
    x: tuple[float, float]
    y: tuple[float, float]

    def at(self, x: float, y: float) -> Place:
        """A point on paper."""
        left, bottom, right, top = self.box
        along = (x - self.x[0]) / (self.x[1] - self.x[0])
        up = (y - self.y[0]) / (self.y[1] - self.y[0])
        return left + along * (right - left), bottom + up * (top - bottom)

    def line(self, sheet: Sheet, pen: Pen, xs: Sequence[float], ys: Sequence[float]) -> None:
        """A line through points, cut at the frame."""
        low, high = self.y
        sheet.polyline(pen, [self.at(x, min(max(y, low), high)) for x, y in zip(xs, ys, strict=True)])


def steps(low: float, high: float, about: int = 4) -> list[float]:
    """Round figures within a range, for an axis.

    >>> steps(0.0, 37.0)
    [0.0, 10.0, 20.0, 30.0]
    """
    rough = (high - low) / about
    power = 10.0 ** floor(log10(rough))
    step = min((factor * power for factor in (1, 2, 5, 10)), key=lambda each: abs(each - rough))
    return [step * k for k in range(ceil(low / step - 1e-9), floor(high / step + 1e-9) + 1)]


def framed(
    sheet: Sheet, title: str, box: Rect, x: tuple[float, float], y: tuple[float, float], about: int = 4
) -> Panel:
    """The frame of a panel with its title and ``about`` so many figures on its upright axis."""
    panel = Panel(box, x, y)
    left, _, right, top = box
    sheet.text((left, top + 2.2), title, SMALL, "start", bold=True)
    for value in steps(*y, about):
        _, level = panel.at(x[0], value)
        sheet.line(GRID, (left, level), (right, level))
        sheet.text((left - 1.5, level), f"{value:g}".replace("-", "−"), LETTERS, "end")
    sheet.rect(AXIS, box, Hatch.NONE)
    return panel


def name_lines(sheet: Sheet, panel: Panel, ends: Sequence[tuple[str, float, Pen]]) -> None:
    """Names at the right, each with a piece of its line, pushed apart."""
    _, bottom, right, top = panel.box
    low, high = panel.y
    ordered = sorted(ends, key=lambda end: end[1])
    levels = [panel.at(panel.x[1], min(max(value, low), high))[1] for _, value, _ in ordered]
    rows = spread(levels, LETTERS + 0.8, bottom + 1.0, top + 1.0)
    for (words, _, pen), level, row in zip(ordered, levels, rows, strict=True):
        sheet.line(GRID, (right, level), (right + 2.5, row))
        sheet.line(pen, (right + 3.0, row), (right + 9.0, row))
        sheet.text((right + 10.0, row), words, LETTERS, "start")
