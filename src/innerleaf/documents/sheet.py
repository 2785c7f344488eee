"""Where a drawing lands: millimetres on paper, origin bottom left, named layers.

A drawing (``framing``, ``boarding``, ``sections``) says *what* is drawn; a sheet (``svg``, ``dxf``,
``recorder``) says *where* it lands. Everything a drawing may ask of a sheet is in ``Sheet``.

Texts stand on the middle of their capital letters: ``(x, y)`` is the middle of that height, at the
left end, the middle or the right end of the words as the anchor says.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum
from functools import lru_cache
from typing import Literal, Protocol

Place = tuple[float, float]
Rect = tuple[float, float, float, float]  # left, bottom, right, top
Anchor = Literal["start", "middle", "end"]
Axis = Literal["x", "y"]


class Hatch(StrEnum):
    """Fillings, told apart without colour."""

    NONE = ""
    WHITE = "white"
    TINT = "tint"  # light grey: an opening, a gap
    BLACK = "black"  # cut steel
    BOARD_1 = "board-1"
    BOARD_2 = "board-2"
    BOARD_3 = "board-3"
    BRICK = "brick"
    BLOCK = "block"
    CONCRETE = "concrete"
    STONE = "stone"
    PLASTER = "plaster"
    TIMBER = "timber"
    INSULATION = "insulation"
    GYPSUM = "gypsum"
    OBSTACLE = "obstacle"


@dataclass(frozen=True, slots=True)
class Pen:
    """A drawing layer and the line drawn on it; ``grey`` 0 is black, 1 white."""

    layer: str
    width_mm: float
    dash: tuple[float, ...] = ()
    grey: float = 0.0


HAIR, THIN, FINE, MEDIUM, THICK, HEAVY = 0.13, 0.18, 0.25, 0.35, 0.5, 0.7
DASHED = (2.0, 1.0)
CHAIN = (5.0, 0.8, 0.6, 0.8)

OUTLINE = Pen("OUTLINE", HEAVY)
OUTLINE_THIN = Pen("OUTLINE", FINE)
OPENING = Pen("OPENING", MEDIUM)
OPENING_THIN = Pen("OPENING", HAIR)
OBSTACLE = Pen("OBSTACLE", FINE, DASHED)
FRAME = Pen("FRAME", MEDIUM)
FRAME_THIN = Pen("FRAME", HAIR)
FRAME_BEHIND = Pen("FRAME", HAIR, CHAIN, 0.35)
BACKING = Pen("FRAME", THIN, DASHED)
BRACKET = Pen("BRACKET", FINE)
FIXING = Pen("FIXING", 0.8)
SCREW = Pen("SCREW", 0.6)
JOINT_BEHIND = Pen("JOINT-BEHIND", THIN, DASHED, 0.2)
MOVEMENT = Pen("MOVEMENT", FINE, CHAIN)
BOX = Pen("BOX", MEDIUM)
BOX_THIN = Pen("BOX", HAIR)
LOAD = Pen("LOAD", FINE, DASHED)
INSULATION = Pen("INSULATION", HAIR)
MEMBRANE = Pen("MEMBRANE", THICK, (2.5, 1.2))
SEALANT = Pen("SEALANT", THIN)
DIM = Pen("DIM", THIN)
TEXT = Pen("TEXT", THIN)
CUT = Pen("CUT", THICK)
CUT_THIN = Pen("CUT", FINE)


def board_pen(layer: int) -> Pen:
    """The pen for board outlines of one layer."""
    return Pen(f"BOARD-{layer}", THICK)


class Sheet(Protocol):
    """What every sheet can draw. All lengths in millimetres on paper, angles in degrees."""

    def clip(self, box: Rect | None) -> None:
        """Show what follows only inside ``box``, until called with None."""

    def line(self, pen: Pen, a: Place, b: Place) -> None:
        """A straight line."""

    def polyline(self, pen: Pen, points: Sequence[Place]) -> None:
        """An open line through ``points``."""

    def polygon(self, pen: Pen, rings: Sequence[Sequence[Place]], hatch: Hatch = Hatch.NONE) -> None:
        """A closed outline, holes after it, filled with ``hatch``."""

    def rect(self, pen: Pen, box: Rect, hatch: Hatch = Hatch.NONE) -> None:
        """An upright rectangle."""

    def circle(self, pen: Pen, centre: Place, radius: float, hatch: Hatch = Hatch.NONE) -> None:
        """A circle."""

    def dots(self, pen: Pen, points: Iterable[Place]) -> None:
        """Points as wide as the pen."""

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
        """Words of letter size ``size``; ``upright`` reads from below up; ``masked`` clears what is under."""

    def dimension(self, a: Place, b: Place, base: float, axis: Axis, words: str) -> None:
        """The distance from ``a`` to ``b`` along ``axis``, its line at ``base`` on the other axis."""

    def running(
        self, axis: Axis, origin: Place, feature: Place, base: float, text_at: Place, words: str
    ) -> None:
        """One stop of a running dimension: ``feature``'s distance from ``origin`` along ``axis``.

        The line of the running dimension lies at ``base`` on the other axis; ``text_at`` is the end of
        the words that looks towards it.
        """


# Widths of the letters " " to "~" of the drawing typeface, in thousandths of the letter size
# (measured from the font file the documents are set in).
_WIDTHS = (
    200, 289, 426, 497, 497, 824, 609, 249, 303, 303, 418, 497, 249, 311, 249, 350, 497, 497, 497,
    497, 497, 497, 497, 497, 497, 497, 249, 249, 497, 497, 497, 425, 847, 544, 588, 571, 615, 527,
    494, 617, 652, 263, 480, 579, 486, 727, 647, 664, 566, 664, 569, 534, 536, 645, 515, 786, 513,
    476, 539, 303, 350, 303, 497, 500, 542, 504, 553, 456, 555, 496, 292, 504, 544, 246, 247, 495,
    255, 829, 547, 542, 555, 555, 347, 419, 338, 544, 467, 718, 446, 467, 425, 303, 241, 303, 497,
)  # fmt: skip
_WIDTH_OF = {chr(32 + i): w for i, w in enumerate(_WIDTHS)}


@lru_cache(maxsize=8192)
def text_width(words: str, size: float, *, bold: bool = False) -> float:
    """Length of the words on paper. [mm]"""
    width = sum([_WIDTH_OF.get(letter, 600) for letter in words]) * size / 1000
    return width * 1.06 if bold else width


def text_box(at: Place, words: str, size: float, anchor: Anchor = "middle", *, upright: bool = False) -> Rect:
    """The rectangle that the words take on paper."""
    x, y = at
    width, half = text_width(words, size), 0.42 * size
    back = {"start": 0.0, "middle": width / 2, "end": width}[anchor]
    if upright:
        return x - half, y - back, x + half, y - back + width
    return x - back, y - half, x - back + width, y + half


def draw_dimension(
    sheet: Sheet, pen: Pen, a: Place, b: Place, base: float, axis: Axis, words: str, size: float
) -> None:
    """Lines and words of a plain dimension, for sheets that have no such entity of their own."""
    if axis == "x":
        (x1, y1), (x2, y2) = sorted((a, b))
        away = 1 if base > y1 else -1
        for x, y in ((x1, y1), (x2, y2)):
            sheet.line(pen, (x, y + 1.0 * away), (x, base + 1.2 * away))
            sheet.line(pen, (x - 0.7, base - 0.7), (x + 0.7, base + 0.7))
        sheet.line(pen, (x1 - 1, base), (x2 + 1, base))
        sheet.text(((x1 + x2) / 2, base + 1.9), words, size)
        return
    (x1, y1), (x2, y2) = sorted((a, b), key=lambda p: p[1])
    away = 1 if base > x1 else -1
    for x, y in ((x1, y1), (x2, y2)):
        sheet.line(pen, (x + 1.0 * away, y), (base + 1.2 * away, y))
        sheet.line(pen, (base - 0.7, y - 0.7), (base + 0.7, y + 0.7))
    sheet.line(pen, (base, y1 - 1), (base, y2 + 1))
    sheet.text((base - 1.9, (y1 + y2) / 2), words, size, upright=True)


def draw_running(
    sheet: Sheet, pen: Pen, axis: Axis, feature: Place, base: float, text_at: Place, words: str, size: float
) -> None:
    """Lines and words of one stop of a running dimension, for sheets without such an entity."""
    x, y = feature
    if axis == "x":
        away = 1 if base > y else -1
        sheet.line(pen, (x - 0.7, base - 0.7), (x + 0.7, base + 0.7))
        elbow = (text_at[0], text_at[1] - 0.6 * away)
        sheet.polyline(pen, ((x, y), (x, base + 0.8 * away), elbow))
        sheet.text(text_at, words, size, "start" if away > 0 else "end", upright=True)
        return
    away = 1 if base > x else -1
    sheet.line(pen, (base - 0.7, y - 0.7), (base + 0.7, y + 0.7))
    sheet.polyline(pen, ((x, y), (base + 0.8 * away, y), (text_at[0] - 0.6 * away, text_at[1])))
    sheet.text(text_at, words, size, "start" if away > 0 else "end")
