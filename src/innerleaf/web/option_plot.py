"""A plot of what a wall may be lined with, each point to be reached by keyboard and told by its shape."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from html import escape
from math import floor, log10
from typing import Any

from innerleaf.documents.option_plots import round_step
from innerleaf.units import show_figure

_WIDE, _HIGH = 760.0, 430.0
_LEFT, _RIGHT, _TOP, _BOTTOM = 84.0, 24.0, 22.0, 58.0
_TICKS = 6


@dataclass(frozen=True, slots=True)
class Point:
    """A lining: its figures by criterion; ``number`` 0 is none of those shown, "job" the one as written."""

    figures: Mapping[str, float | None]
    number: int = 0
    given: bool = False

    def at(self, key: str) -> float | None:
        """One figure; None where it is not known."""
        return self.figures.get(key)


def points_of(choice: Mapping[str, Any]) -> list[Point]:
    """All linings that no other beats, those of the table among them, and the one of the job."""
    front: Mapping[str, Sequence[float | None]] = choice["front"]
    count = len(next(iter(front.values()), ()))
    numbers = {place: number for number, place in enumerate(choice["picked"], 1)}
    shown = {row["number"]: row["full"] for row in choice["rows"]}
    made = [
        Point(
            {key: values[place] for key, values in front.items()} | _known(shown, numbers.get(place, -1)),
            numbers.get(place, 0),
        )
        for place in range(count)
    ]
    met = {point.number for point in made}
    made += [
        Point(row["full"], row["number"], given=row["number"] == 0)
        for row in choice["rows"]
        if row["number"] == 0 or row["number"] not in met
    ]
    return made


def _known(shown: Mapping[int, Mapping[str, float | None]], number: int) -> dict[str, float | None]:
    return {key: value for key, value in shown.get(number, {}).items() if value is not None}


@dataclass(frozen=True, slots=True)
class _Axis:
    low: float
    high: float
    start: float
    end: float

    def at(self, value: float) -> float:
        return self.start + (self.end - self.start) * (value - self.low) / (self.high - self.low)

    def ticks(self) -> Iterator[tuple[float, int]]:
        """Round values, and how many digits behind the point they want."""
        step = round_step((self.high - self.low) / _TICKS)
        digits = max(0, -floor(log10(step)))
        for number in range(floor(self.low / step) + 1, floor(self.high / step) + 1):
            yield number * step, digits


def _axis(values: Sequence[float], limit: float | None, start: float, end: float) -> _Axis:
    low, high = min(values), max(values)
    span = (high - low) or abs(high) or 1.0
    if limit is not None and low - span <= limit <= high + span:
        low, high = min(low, limit), max(high, limit)
    room = 0.06 * ((high - low) or span)
    return _Axis(low - room, high + room, start, end)


def option_plot(choice: Mapping[str, Any], x: str, y: str, *, unit: str, words: Mapping[str, str]) -> str:
    """The plot of one figure against another, as SVG for a page; "" where nothing has both.

    ``unit`` is what lengths are shown in, ``words`` are ``option``, ``given``, ``other`` and ``target``.
    """
    points = [one for one in points_of(choice) if one.at(x) is not None and one.at(y) is not None]
    if not points:
        return ""
    titles = {one["key"]: one for one in choice["criteria"]}
    limits = choice["limits"]
    across = _axis([one.at(x) or 0.0 for one in points], limits.get(x), _LEFT, _WIDE - _RIGHT)
    up = _axis([one.at(y) or 0.0 for one in points], limits.get(y), _HIGH - _BOTTOM, _TOP)
    parts = [*_frame(across, up, titles[x], titles[y], unit)]
    parts += _limits(across, up, limits.get(x), limits.get(y), words["target"])
    points.sort(key=lambda one: (one.at(x) or 0.0, one.at(y) or 0.0))
    for at, point in enumerate(points):
        place = across.at(point.at(x) or 0.0), up.at(point.at(y) or 0.0)
        said = ", ".join(
            f"{titles[key]['title']} {show_figure(value, titles[key]['unit'], unit, digits=4)}"
            for key in (x, y)
            if (value := point.at(key)) is not None
        )
        parts.append(_point(point, place, said, words, first=at == 0))
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="options-plot" viewBox="0 0 {_WIDE:g} {_HIGH:g}"'
        f' role="group" aria-label="{escape(titles[x]["title"])} × {escape(titles[y]["title"])}">'
        + "".join(parts)
        + "</svg>"
    )


def _frame(across: _Axis, up: _Axis, x: Mapping[str, Any], y: Mapping[str, Any], unit: str) -> Iterator[str]:
    yield f'<path class="axis" d="M{_LEFT} {_TOP}V{up.start}H{across.end}"/>'
    for value, digits in across.ticks():
        at = across.at(value)
        yield f'<path class="axis" d="M{at:.1f} {up.start}v6"/>'
        yield f'<text x="{at:.1f}" y="{up.start + 20:.1f}">{_tick(value, digits, x["unit"], unit)}</text>'
    for value, digits in up.ticks():
        at = up.at(value)
        yield f'<path class="grid" d="M{_LEFT} {at:.1f}H{across.end}"/>'
        yield (
            f'<text class="end" x="{_LEFT - 8}" y="{at + 4:.1f}">'
            f"{_tick(value, digits, y['unit'], unit)}</text>"
        )
    middle = (across.start + across.end) / 2
    yield f'<text x="{middle:.1f}" y="{_HIGH - 12}">{escape(_label(x, unit))}</text>'
    yield f'<text class="start" x="6" y="14">{escape(_label(y, unit))}</text>'


def _label(criterion: Mapping[str, Any], unit: str) -> str:
    name = show_figure(1, criterion["unit"], unit).partition(" ")[2] if criterion["unit"] != "-" else ""
    if criterion["unit"] in ("mm", "m") and unit == "in":
        name = "ft in"
    return f"{criterion['title']} [{name}]" if name else str(criterion["title"])


def _tick(value: float, digits: int, of: str, unit: str) -> str:
    if unit == "in" and of in ("mm", "m", "m²", "W/(m²·K)", "m²·K/W"):
        return escape(show_figure(value, of, unit).partition(" BTU")[0].partition(" ft²")[0])
    return f"{value:.{digits}f}"


def _limits(across: _Axis, up: _Axis, x: float | None, y: float | None, word: str) -> Iterator[str]:
    """Dashed lines where a target lies within the plot."""
    if x is not None and across.low <= x <= across.high:
        at = across.at(x)
        yield f'<path class="limit" d="M{at:.1f} {_TOP}V{up.start}"/>'
        yield f'<text class="start" x="{at + 4:.1f}" y="{_TOP + 12}">{escape(word)}</text>'
    if y is not None and up.low <= y <= up.high:
        at = up.at(y)
        yield f'<path class="limit" d="M{_LEFT} {at:.1f}H{across.end}"/>'
        yield f'<text class="end" x="{across.end}" y="{at - 5:.1f}">{escape(word)}</text>'


def _point(
    point: Point, place: tuple[float, float], said: str, words: Mapping[str, str], *, first: bool
) -> str:
    """A diamond with its number, a square for the lining of the job, a ring for any other."""
    x, y = place
    if point.given:
        kind, name, shape = "given", words["given"], f"M{x - 7:.1f} {y - 7:.1f}h14v14h-14z"
    elif point.number:
        kind, name = "option", words["option"].replace("{number}", str(point.number))
        shape = f"M{x:.1f} {y - 10:.1f}l10 10l-10 10l-10 -10z"
    else:
        kind, name = "other", words["other"]
        shape = f"M{x - 4:.1f} {y:.1f}a4 4 0 1 0 8 0a4 4 0 1 0 -8 0z"
    number = (
        f'<text class="number" x="{x + 13:.1f}" y="{y - 7:.1f}">{point.number}</text>' if point.number else ""
    )
    return (
        f'<g class="point {kind}" role="img" tabindex="{0 if first else -1}" data-number="{point.number}"'
        f' aria-label="{escape(f"{name}: {said}")}"><path d="{shape}"/>{number}</g>'
    )
