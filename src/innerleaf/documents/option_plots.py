"""Plots of what a wall may be lined with: thickness, cost, U and sound against each other, as one SVG.

Every dot is a lining that meets all targets and that no other beats; numbered ones stand in the table. A
dashed line is a target.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from html import escape
from math import floor, log10

from innerleaf.design.choice.criteria import BY_KEY

_PAIRS = (("thickness", "cost"), ("u_value", "cost"), ("sound_gain", "cost"), ("thickness", "u_value"))
_WIDE, _HIGH = 130.0, 95.0  # of one plot with its margin [mm]
_LEFT, _RIGHT, _TOP, _BOTTOM = 20.0, 6.0, 12.0, 16.0
_SIZE = 3.2  # of text
_TICKS = 5


@dataclass(frozen=True, slots=True)
class _Axis:
    """Values along one side of a plot: from ``low`` to ``high`` over ``length`` mm."""

    key: str
    low: float
    high: float
    length: float

    @classmethod
    def over(cls, key: str, values: Sequence[float], limit: float | None, length: float) -> _Axis:
        """Wide enough for all values, and for the limit if that is near."""
        low, high = min(values), max(values)
        span = (high - low) or abs(high) or 1.0
        if limit is not None and low - span <= limit <= high + span:
            low, high = min(low, limit), max(high, limit)
        room = 0.06 * ((high - low) or span)
        return cls(key, low - room, high + room, length)

    @property
    def label(self) -> str:
        """Title with unit."""
        criterion = BY_KEY[self.key]
        return f"{criterion.title} [{criterion.unit}]"

    def at(self, value: float) -> float:
        """Place of a value along the axis. [mm]"""
        return self.length * (value - self.low) / (self.high - self.low)

    def ticks(self) -> Iterator[tuple[float, str]]:
        """Round values with their labels."""
        step = round_step((self.high - self.low) / _TICKS)
        digits = max(0, -floor(log10(step)))
        first = floor(self.low / step) + 1
        for number in range(first, floor(self.high / step) + 1):
            yield number * step, f"{number * step:.{digits}f}"


def round_step(least: float) -> float:
    """The next of 1, 2 or 5 times a power of ten.

    >>> [round_step(value) for value in (0.03, 0.9, 1.2, 30.0)]
    [0.05, 1.0, 2.0, 50.0]
    """
    power = 10.0 ** floor(log10(least))
    return next(round(k * power, 12) for k in (1, 2, 5, 10) if k * power >= least * (1 - 1e-9))


def option_plots(
    title: str,
    front: Mapping[str, Sequence[float]],
    picked: Sequence[int],
    limits: Mapping[str, float],
) -> str:
    """The plots of one wall.

    Parameters
    ----------
    title : str
    front : mapping of str to sequence of float
        Figures by criterion of the linings to draw.
    picked : sequence of int
        Places of those that get a number, in order.
    limits : mapping of str to float
        Targets by criterion.
    """
    pairs = [(x, y) for x, y in _PAIRS if front.get(x) and front.get(y)]
    columns = min(2, len(pairs)) or 1
    rows = -(-len(pairs) // columns) or 1
    width, height = columns * _WIDE, rows * _HIGH + 10
    parts = [f'<text x="{_LEFT}" y="6" font-size="4.5" text-anchor="start">{escape(title)}</text>']
    if not pairs:
        parts.append(f'<text x="{_LEFT}" y="20" text-anchor="start">no lining meets all targets</text>')
    for number, (x, y) in enumerate(pairs):
        left, top = number % columns * _WIDE, 10 + number // columns * _HIGH
        parts.append(f'<g transform="translate({left:.1f} {top:.1f})">')
        parts += _plot(
            _Axis.over(x, front[x], limits.get(x), _WIDE - _LEFT - _RIGHT),
            _Axis.over(y, front[y], limits.get(y), _HIGH - _TOP - _BOTTOM),
            list(zip(front[x], front[y], strict=True)),
            picked,
            limits,
        )
        parts.append("</g>")
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width:g}mm" height="{height:g}mm"'
        f' viewBox="0 0 {width:g} {height:g}" font-family="Source Sans Pro, sans-serif"'
        f' font-size="{_SIZE}" text-anchor="middle">'
    )
    return "\n".join((head, '<rect width="100%" height="100%" fill="#fff"/>', *parts, "</svg>")) + "\n"


def _plot(
    x: _Axis,
    y: _Axis,
    points: Sequence[tuple[float, float]],
    picked: Sequence[int],
    limits: Mapping[str, float],
) -> Iterator[str]:
    bottom, right = _TOP + y.length, _LEFT + x.length
    solid = 'fill="none" stroke="#000" stroke-width="0.25"'
    yield f'<path d="M{_LEFT} {_TOP}V{bottom:.2f}H{right:.2f}" {solid}/>'
    for value, words in x.ticks():
        at = _LEFT + x.at(value)
        yield f'<path d="M{at:.2f} {bottom:.2f}v1.2" {solid}/>'
        yield f'<text x="{at:.2f}" y="{bottom + 4.6:.2f}">{words}</text>'
    for value, words in y.ticks():
        at = bottom - y.at(value)
        yield f'<path d="M{_LEFT} {at:.2f}h-1.2" {solid}/>'
        yield f'<text x="{_LEFT - 2}" y="{at + 1:.2f}" text-anchor="end">{words}</text>'
    yield f'<text x="{(_LEFT + right) / 2:.2f}" y="{bottom + 10:.2f}">{escape(x.label)}</text>'
    yield f'<text x="{_LEFT - 14}" y="{_TOP - 3}" text-anchor="start">{escape(y.label)}</text>'
    yield from _targets(x, y, limits, bottom, right)
    for px, py in sorted(set(points)):
        yield (
            f'<circle cx="{_LEFT + x.at(px):.2f}" cy="{bottom - y.at(py):.2f}" r="0.7" fill="none"'
            ' stroke="#777" stroke-width="0.2"/>'
        )
    for number, place in enumerate(picked, 1):
        px, py = points[place]
        cx, cy = _LEFT + x.at(px), bottom - y.at(py)
        yield f'<circle cx="{cx:.2f}" cy="{cy:.2f}" r="1.1" fill="#000"/>'
        yield f'<text x="{cx + 2.4:.2f}" y="{cy - 1.2:.2f}">{number}</text>'


def _targets(x: _Axis, y: _Axis, limits: Mapping[str, float], bottom: float, right: float) -> Iterator[str]:
    """Dashed lines where a target lies within the plot."""
    dashed = 'fill="none" stroke="#000" stroke-width="0.2" stroke-dasharray="1.6 1.2"'
    if x.key in limits and x.low <= limits[x.key] <= x.high:
        yield f'<path d="M{_LEFT + x.at(limits[x.key]):.2f} {_TOP}V{bottom:.2f}" {dashed}/>'
    if y.key in limits and y.low <= limits[y.key] <= y.high:
        yield f'<path d="M{_LEFT} {bottom - y.at(limits[y.key]):.2f}H{right:.2f}" {dashed}/>'
