"""A sheet that becomes SVG text.

Lines of one pen drawn in a row share one path, so an elevation is a few dozen elements however many
pieces it shows. Text stays text.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from html import escape

from innerleaf.documents.sheet import (
    DIM,
    Anchor,
    Axis,
    Hatch,
    Pen,
    Place,
    Rect,
    draw_dimension,
    draw_running,
    text_width,
)

FONT = "Source Sans Pro"
DIMENSION_SIZE = 3.0

_PATTERNS = {
    Hatch.BOARD_1: ('width="4.5" height="4.5" patternTransform="rotate(45)"', "M0 0v4.5", 0.13, "#888"),
    Hatch.BOARD_2: ('width="4.5" height="4.5" patternTransform="rotate(-45)"', "M0 0v4.5", 0.13, "#888"),
    Hatch.BOARD_3: ('width="4.5" height="4.5" patternTransform="rotate(90)"', "M0 0v4.5", 0.13, "#888"),
    Hatch.BRICK: (
        'width="2.8" height="2.8" patternTransform="rotate(45)"',
        "M0.9 0v2.8M1.9 0v2.8",
        0.13,
        "#000",
    ),
    Hatch.BLOCK: ('width="2.4" height="2.4" patternTransform="rotate(45)"', "M0 0v2.4", 0.13, "#000"),
    Hatch.STONE: ('width="9" height="7"', "M0 2q3 -2 5 0t4 0M5 2l1 5M1 2l-1 2q3 2 6 0t4 1", 0.13, "#000"),
    Hatch.CONCRETE: (
        'width="8" height="8"',
        "M1 1h.01M5 .6h.01M3 3.4h.01M7 4.4h.01M1.4 6h.01M5.4 7h.01"
        "M4 1.6l1.2 .5l-1 .8zM.8 3.6l1 .2l-.6 .8zM6 5.6l1 .4l-.9 .6z",
        0.18,
        "#000",
    ),
    Hatch.PLASTER: ('width="1.6" height="1.6"', "M.3 .3h.01M1.1 1h.01", 0.2, "#000"),
    Hatch.TIMBER: ('width="6" height="2.4"', "M0 .6q1.5 -.8 3 0t3 0M0 1.8q1.5 .7 3 0t3 0", 0.13, "#000"),
    Hatch.GYPSUM: ('width="1.8" height="1.8"', "M.45 .45h.01M1.35 1.35h.01", 0.2, "#000"),
    Hatch.OBSTACLE: ('width="2" height="2" patternTransform="rotate(-45)"', "M0 0v2", 0.13, "#666"),
}
_FILLS = {Hatch.NONE: "", Hatch.WHITE: "#fff", Hatch.TINT: "#ececec", Hatch.BLACK: "#000"}
_ANCHORS: dict[Anchor, str] = {"start": ' text-anchor="start"', "middle": "", "end": ' text-anchor="end"'}


def _style(pen: Pen) -> str:
    shade = round(pen.grey * 255)
    stroke = f' stroke="#{shade:02x}{shade:02x}{shade:02x}"' if pen.grey else ""
    dash = f' stroke-dasharray="{" ".join(map(str, pen.dash))}"' if pen.dash else ""
    return f'{stroke} stroke-width="{pen.width_mm}"{dash}'


class SvgSheet:
    """Draws into SVG elements; ``svg()`` gives the finished text."""

    def __init__(self, width_mm: float, height_mm: float) -> None:
        self.width_mm, self.height_mm = width_mm, height_mm
        self._parts: list[str] = []
        self._texts: list[str] = []
        self._pen: Pen | None = None
        self._path: list[str] = []
        self._hatches: set[Hatch] = set()
        self._styles: dict[Pen, str] = {}
        self._clips: list[str] = []

    def _draw(self, pen: Pen, path: str) -> None:
        if pen is not self._pen:
            self._flush()
            self._pen = pen
        self._path.append(path)

    def _flush(self) -> None:
        if self._pen is not None and self._path:
            self._parts.append(f'<path{self._style_of(self._pen)} d="{"".join(self._path)}"/>')
        self._pen, self._path = None, []

    def _style_of(self, pen: Pen) -> str:
        style = self._styles.get(pen)
        if style is None:
            style = self._styles[pen] = _style(pen)
        return style

    def _filled(self, pen: Pen, path: str, hatch: Hatch) -> None:
        self._flush()
        if hatch in _PATTERNS:
            self._hatches.add(hatch)
            fill = f"url(#{hatch.value})"
        else:
            fill = _FILLS[hatch]
        self._parts.append(f'<path fill="{fill}" fill-rule="evenodd"{self._style_of(pen)} d="{path}"/>')

    def clip(self, box: Rect | None) -> None:
        """Show what follows only inside ``box``, until called with None."""
        self._flush()
        if box is None:
            self._parts.append("</g>")
            return
        left, bottom, right, top = box
        name = f"clip-{len(self._clips)}"
        self._clips.append(
            f'<clipPath id="{name}"><rect x="{left:.2f}" y="{self.height_mm - top:.2f}"'
            f' width="{right - left:.2f}" height="{top - bottom:.2f}"/></clipPath>'
        )
        self._parts.append(f'<g clip-path="url(#{name})">')

    def line(self, pen: Pen, a: Place, b: Place) -> None:
        """A straight line."""
        top = self.height_mm
        self._draw(pen, f"M{a[0]:.2f} {top - a[1]:.2f}L{b[0]:.2f} {top - b[1]:.2f}")

    def polyline(self, pen: Pen, points: Sequence[Place]) -> None:
        """An open line through ``points``."""
        top = self.height_mm
        self._draw(pen, "M" + "L".join([f"{x:.2f} {top - y:.2f}" for x, y in points]))

    def polygon(self, pen: Pen, rings: Sequence[Sequence[Place]], hatch: Hatch = Hatch.NONE) -> None:
        """A closed outline, holes after it."""
        top = self.height_mm
        path = "".join(["M" + "L".join([f"{x:.2f} {top - y:.2f}" for x, y in ring]) + "z" for ring in rings])
        if hatch:
            self._filled(pen, path, hatch)
        else:
            self._draw(pen, path)

    def rect(self, pen: Pen, box: Rect, hatch: Hatch = Hatch.NONE) -> None:
        """An upright rectangle."""
        x, y, right, top = box
        path = f"M{x:.2f} {self.height_mm - y:.2f}h{right - x:.2f}v{y - top:.2f}h{x - right:.2f}z"
        if hatch:
            self._filled(pen, path, hatch)
        else:
            self._draw(pen, path)

    def circle(self, pen: Pen, centre: Place, radius: float, hatch: Hatch = Hatch.NONE) -> None:
        """A circle."""
        x, y, d = centre[0] - radius, self.height_mm - centre[1], 2 * radius
        arc = f"a{radius:.2f} {radius:.2f} 0 1 0"
        path = f"M{x:.2f} {y:.2f}{arc} {d:.2f} 0{arc} {-d:.2f} 0z"
        if hatch:
            self._filled(pen, path, hatch)
        else:
            self._draw(pen, path)

    def dots(self, pen: Pen, points: Iterable[Place]) -> None:
        """Points as wide as the pen, by round line ends."""
        top = self.height_mm
        self._draw(pen, "".join([f"M{x:.2f} {top - y:.2f}h.01" for x, y in points]))

    def text(
        self,
        at: Place,
        words: str,
        size: float,
        anchor: Anchor = "middle",
        *,
        upright: bool = False,
        bold: bool = False,
        masked: bool = False,
    ) -> None:
        """Words that stay words, above all lines."""
        x, y = at[0], self.height_mm - at[1]
        if masked:
            width = text_width(words, size, bold=bold) + 1
            left = x - {"start": 0.5, "middle": width / 2, "end": width - 0.5}[anchor]
            turn = f' transform="rotate(-90 {x:.2f} {y:.2f})"' if upright else ""
            self._texts.append(
                f'<rect x="{left:.2f}" y="{y - 0.52 * size:.2f}" width="{width:.2f}"'
                f' height="{1.04 * size:.2f}"'
                f' fill="#fff" stroke="none"{turn}/>'
            )
        drop = 0.33 * size  # from the middle of the capitals to their foot
        where = (
            f'transform="translate({x + drop:.2f} {y:.2f})rotate(-90)"'
            if upright
            else f'x="{x:.2f}" y="{y + drop:.2f}"'
        )
        weight = ' font-weight="700"' if bold else ""
        self._texts.append(
            f'<text {where} font-size="{size:.2f}"{_ANCHORS[anchor]}{weight}>'
            f"{escape(words, quote=False)}</text>"
        )

    def dimension(self, a: Place, b: Place, base: float, axis: Axis, words: str) -> None:
        """A plain dimension."""
        draw_dimension(self, DIM, a, b, base, axis, words, DIMENSION_SIZE)

    def running(
        self, axis: Axis, origin: Place, feature: Place, base: float, text_at: Place, words: str
    ) -> None:
        """One stop of a running dimension."""
        draw_running(self, DIM, axis, feature, base, text_at, words, DIMENSION_SIZE)

    def svg(self) -> str:
        """The whole drawing as SVG text; user units are millimetres on paper."""
        self._flush()
        patterns = "".join(
            f'<pattern id="{h.value}" patternUnits="userSpaceOnUse" {size}>'
            f'<path d="{path}" fill="none" stroke="{ink}"'
            f' stroke-width="{width}" stroke-linecap="round"/></pattern>'
            for h, (size, path, width, ink) in _PATTERNS.items()
            if h in self._hatches
        )
        w, h = f"{self.width_mm:.2f}", f"{self.height_mm:.2f}"
        return (
            f'<svg xmlns="http://www.w3.org/2000/svg" width="{w}mm" height="{h}mm" viewBox="0 0 {w} {h}">'
            + (f"<defs>{patterns}{''.join(self._clips)}</defs>" if patterns or self._clips else "")
            + "<style>text{fill:#000;stroke:none}</style>"
            '<g fill="none" stroke="#000" stroke-linecap="round" stroke-linejoin="round"'
            f' text-anchor="middle" font-family="{FONT}, Arial, sans-serif">'
            + "".join(self._parts)
            + "".join(self._texts)
            + "</g></svg>\n"
        )
