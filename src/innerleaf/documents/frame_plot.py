"""The member nearest its limit as a beam: what holds it, what loads it, its moment, how it bends."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Final

from innerleaf.design.frame.strips import Strip, curves_of
from innerleaf.design.frame.wall import Frame
from innerleaf.documents.labels import spread
from innerleaf.documents.panel import GRID, LETTERS
from innerleaf.documents.sheet import FINE, HAIR, MEDIUM, THICK, Hatch, Pen, Rect, Sheet
from innerleaf.documents.view import SMALL
from innerleaf.physics.frame.beam import RIGID

_ABOVE_MM, _BELOW_MM = 12.0, 6.0
_ARROW_MM = 8.0
_HELD_MM = 4.0  # from the member to what holds it
_WAVE_MM = 9.0  # greatest swing of a curve
_LEAST_N: Final = 0.05  # smaller forces are not shown

_MEMBER = Pen("MEMBER", THICK)
_HELD = Pen("SUPPORT", FINE)
_LOAD = Pen("LOAD", FINE)
_CURVE = Pen("CURVE", MEDIUM)
_ZERO = Pen("AXIS", HAIR)

_Height = Callable[[float], float]  # from m above the foot to mm on paper


def draw_frame(sheet: Sheet, frame: Frame, box: Rect) -> None:
    """Three upright sketches side by side, the old wall at the left of the member, the room at its right."""
    if frame.governing is None:
        return
    verdict, outcome = frame.governing
    strip, curves = outcome.strip, curves_of(outcome.strip)
    left, bottom, right, top = box
    share = f"{100 * verdict.value / verdict.limit:.0f} % of what may be"
    title = f"Nearest its limit: {strip.member.mark}, {strip.case}"
    sheet.text((left, top - 3.8), title, SMALL, "start", bold=True)
    sheet.text((left, top - 8.0), f"{verdict.requirement}: {share}", LETTERS, "start")
    foot, head = bottom + _BELOW_MM, top - _ABOVE_MM - 2.0

    def height(at: float) -> float:
        return foot + at / strip.length * (head - foot)

    third = (right - left) / 3
    first, second, last = (left + third * place for place in (0.3, 1.4, 2.3))
    _held_and_loaded(sheet, strip, first, height)
    moment = f"{outcome.moment:.0f} N·m", outcome.moment_at
    bent = f"{1000 * outcome.deflection:.1f} mm", outcome.at
    _curve(sheet, second, height, (curves.at, curves.moment), moment)
    _curve(sheet, last, height, (curves.at, curves.deflection), bent)
    for middle, words in ((first, "held and loaded"), (second, "moment, no factor"), (last, "deflection")):
        sheet.text((middle, bottom + 2.0), words, LETTERS)


def _held_and_loaded(sheet: Sheet, strip: Strip, x: float, height: _Height) -> None:
    sheet.line(_MEMBER, (x, height(0.0)), (x, height(strip.length)))
    for at, stiffness in strip.supports:
        y = height(at)
        if stiffness == RIGID:
            corners = ((x, y), (x - _HELD_MM, y + 1.6), (x - _HELD_MM, y - 1.6))
            sheet.polygon(_HELD, [corners], Hatch.WHITE)
        else:
            ways = ((0.0, 0.0), (1.0, 0.0), (1.4, 0.9), (2.2, -0.9), (2.6, 0.0), (_HELD_MM, 0.0))
            sheet.polyline(_HELD, [(x - dx, y + dy) for dx, dy in ways])
        sheet.line(_HELD, (x - _HELD_MM, y - 2.0), (x - _HELD_MM, y + 2.0))
    said = [
        (at, f"{abs(force):.0f} N at {at:.2f} m", force)
        for at, force in strip.forces
        if abs(force) >= _LEAST_N
    ]
    said += [((low + high) / 2, f"{abs(load):.0f} N/m", load) for low, high, load in strip.spreads if load]
    said.sort()
    for low, high, _ in strip.spreads:
        sheet.line(_LOAD, (x + _ARROW_MM, height(low)), (x + _ARROW_MM, height(high)))
    rows = spread([height(at) for at, _, _ in said], LETTERS + 0.9, height(0.0), height(strip.length))
    for (at, words, load), row in zip(said, rows, strict=True):
        y = height(at)
        _arrow(sheet, (x + 0.4, x + _ARROW_MM) if load < 0 else (x + _ARROW_MM, x + 0.4), y)
        sheet.line(GRID, (x + _ARROW_MM, y), (x + _ARROW_MM + 1.4, row))
        sheet.text((x + _ARROW_MM + 2.0, row), words, LETTERS, "start")


def _arrow(sheet: Sheet, ends: tuple[float, float], y: float) -> None:
    """From the first end to the second, level."""
    start, tip = ends
    back = 1.8 if start > tip else -1.8
    sheet.line(_LOAD, (start, y), (tip, y))
    sheet.polygon(_LOAD, [((tip, y), (tip + back, y + 0.7), (tip + back, y - 0.7))], Hatch.BLACK)


def _curve(
    sheet: Sheet,
    x: float,
    height: _Height,
    curve: tuple[Sequence[float], Sequence[float]],
    peak: tuple[str, float],
) -> None:
    """A curve beside the member, towards the old wall where it is positive; its peak named."""
    places, values = curve
    most = max(map(abs, values)) or 1.0
    points = [(x - _WAVE_MM * value / most, height(at)) for at, value in zip(places, values, strict=True)]
    sheet.line(_ZERO, (x, height(places[0])), (x, height(places[-1])))
    sheet.polyline(_CURVE, points)
    words, at = peak
    nearest = min(range(len(places)), key=lambda k: abs(places[k] - at))
    side = points[nearest][0]
    sheet.line(GRID, (x, height(at)), (side, height(at)))
    towards_wall = side <= x
    words = f"{words} at {at:.2f} m"
    beyond = x + 1.5 if towards_wall else x - 1.5
    sheet.text((beyond, height(at)), words, LETTERS, "start" if towards_wall else "end")
