"""Words and figures of a cut list on paper: running figures from one end, and lists beside a drawing."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from innerleaf.documents.labels import spread
from innerleaf.documents.sheet import DIM, FINE, HAIR, Hatch, Pen, Place, Sheet, text_width

HEAD, LETTERS = 3.3, 2.9  # letter sizes: of a heading, of a list
LINE_MM = 3.7  # from line to line of a list
FIGURES_MM = 5.6  # paper that a level row of running figures takes
_FIGURE, _NUMBER = 2.8, 2.4
_MOST_LINES = 48  # of a list: it must stay on its page
_BALL_MM = 1.55
_BETWEEN_MM = 2.0

SAW = Pen("SAW", 0.45, (1.6, 0.7))
SCORE = Pen("SCORE", 0.35)
EDGE = Pen("BOARD", FINE)
BOUND = Pen("BOARD", 0.7)
KEPT = Pen("OFFCUT", FINE, (1.2, 0.8))
_BALL = Pen(DIM.layer, HAIR)


@dataclass(frozen=True, slots=True)
class Words:
    """One line of a list: what stands out, and what follows."""

    bold: str
    plain: str = ""


def draw_figures(
    sheet: Sheet, figures: Sequence[tuple[float, str]], y: float, within: tuple[float, float]
) -> None:
    """Running figures below ``y`` on paper, from the circle at the left end of ``within``.

    Each is (place on paper, words); those that stand too close are moved aside with a thin line.
    """
    base = y - 1.0
    sheet.line(DIM, (within[0], base), (max([within[0], *(at for at, _ in figures)]), base))
    sheet.circle(Pen(DIM.layer, FINE), (within[0], base), 0.8)
    gap = max((text_width(words, _FIGURE) for _, words in figures), default=0) + 1.2
    places = spread([at for at, _ in figures], gap, within[0] + gap / 2, within[1])
    for (at, words), place in zip(figures, places, strict=True):
        sheet.line(DIM, (at, base - 0.6), (at, base + 0.6))
        if abs(place - at) > 0.3:
            sheet.line(_BALL, (at, base - 0.5), (place, base - 1.7))
        sheet.text((place, base - 3.0), words, _FIGURE)


def draw_ball(sheet: Sheet, at: Place, number: int) -> None:
    """The number of a cut in a circle."""
    sheet.circle(_BALL, at, _BALL_MM if number < 100 else 1.3 * _BALL_MM, Hatch.WHITE)
    sheet.text(at, str(number), _NUMBER, bold=True)


def wrapped(lines: Sequence[Words], width: float, indent: float) -> list[Words]:
    """Lines broken at spaces so that each fits ``width``; a long list ends with a word that says so.

    Plain words begin at ``indent``, or after the bold ones; so does what goes on below.
    """
    found: list[Words] = []
    for line in lines:
        bold, plain = line.bold, ""
        for word in line.plain.split(" "):
            longer = f"{plain} {word}" if plain else word
            if plain and _begin(bold, indent) + text_width(longer, LETTERS) > width:
                found.append(Words(bold, plain))
                bold, plain = "", word
            else:
                plain = longer
        found.append(Words(bold, plain))
    return [*found[:_MOST_LINES], Words("", "and more")] if len(found) > _MOST_LINES else found


def _begin(bold: str, indent: float) -> float:
    """Where the plain words of a line begin."""
    return max(indent, text_width(bold, LETTERS, bold=True) + _BETWEEN_MM) if bold else indent


def draw_list(sheet: Sheet, lines: Sequence[Words], at: Place, indent: float) -> None:
    """Lines one below the other, the first with its upper edge at ``at``; as `wrapped` broke them."""
    x, y = at
    for line in lines:
        y -= LINE_MM
        middle = y + LINE_MM / 2
        if line.bold:
            sheet.text((x, middle), line.bold, LETTERS, "start", bold=True)
        if line.plain:
            sheet.text((x + _begin(line.bold, indent), middle), line.plain, LETTERS, "start")


def fitting(words: Sequence[str], width: float, size: float) -> str:
    """The first of ``words`` that fits, "" if none does."""
    return next((w for w in words if text_width(w, size, bold=True) <= width), "")


def shortened(words: str, room: float, size: float, *, bold: bool = False) -> str:
    """The words, or as many letters of them as the room takes and a sign that some are missing."""
    if text_width(words, size, bold=bold) <= room:
        return words
    kept = len(words)
    while kept and text_width(words[:kept] + "…", size, bold=bold) > room:
        kept -= max(1, kept // 50)
    return words[:kept].rstrip(" ,") + "…"
