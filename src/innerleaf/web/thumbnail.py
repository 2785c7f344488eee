"""A wall as a small picture: outline and openings, told apart by shape."""

from __future__ import annotations

from html import escape

from markupsafe import Markup

from innerleaf.survey.wall import Wall

_MARGIN_MM = 60


def thumbnail(wall: Wall) -> Markup:
    """The outline with its openings, obstacles and boxes; y up is turned down for the page."""
    xs, ys = [x for x, _ in wall.outline], [y for _, y in wall.outline]
    left, top = min(xs) - _MARGIN_MM, max(ys) + _MARGIN_MM
    width, height = wall.length_mm + 2 * _MARGIN_MM, wall.height_mm + 2 * _MARGIN_MM

    def box(name: str, x: float, y: float, w: float, h: float) -> str:
        place = f'x="{x - left:.0f}" y="{top - y - h:.0f}"'
        return f'<rect class="{name}" {place} width="{w:.0f}" height="{h:.0f}"/>'

    outline = "L".join(f"{x - left:.0f} {top - y:.0f}" for x, y in wall.outline)
    inside = [f'<path class="outline" d="M{outline}z"/>']
    inside += [box("opening", o.x_mm, o.sill_mm, o.width_mm, o.height_mm) for o in wall.openings]
    inside += [box("obstacle", o.x_mm, o.y_mm, o.width_mm, o.height_mm) for o in wall.obstacles]
    inside += [
        f'<circle class="box" cx="{b.x_mm - left}" cy="{top - b.y_mm}" r="{b.diameter_mm / 2:.0f}"/>'
        for b in wall.boxes
    ]
    label = escape(f"wall {wall.id}, {wall.length_mm} by {wall.height_mm} mm")
    return Markup(  # noqa: S704 - numbers, and what was escaped
        f'<svg class="thumbnail" viewBox="0 0 {width} {height}" role="img" aria-label="{label}">'
        f"{''.join(inside)}</svg>"
    )
