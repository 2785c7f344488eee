"""Sound reduction of a wall before and after lining, by third-octave band, with the reference contours."""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil, floor, log10
from typing import Final

from innerleaf.design.sound.verdicts import Sound
from innerleaf.documents.panel import AXIS, GRID, LETTERS, Panel, framed, name_lines
from innerleaf.documents.sheet import FINE, HAIR, MEDIUM, THICK, Pen, Rect, Sheet
from innerleaf.physics.sound.bands import THIRDS

_LEFT_MM, _RIGHT_MM, _ABOVE_MM, _BELOW_MM = 10.0, 41.0, 6.0, 9.0
_NAMED: Final = (63, 125, 250, 500, 1000, 2000, 4000)  # middles of the octaves [Hz]

_BEFORE = Pen("BEFORE", MEDIUM, (2.2, 0.9))
_AFTER = Pen("AFTER", THICK)
_ROOMS_BEFORE = Pen("ROOMS", FINE, (2.2, 0.9))
_ROOMS_AFTER = Pen("ROOMS", MEDIUM, (5.0, 0.7))
_REFERENCE_BEFORE = Pen("REFERENCE", HAIR, (0.7, 0.7))
_REFERENCE_AFTER = Pen("REFERENCE", FINE, (0.7, 0.7))
_RESONANCE = Pen("RESONANCE", HAIR, (5.0, 0.9, 0.9, 0.9))


def draw_sound(sheet: Sheet, sound: Sound, box: Rect) -> Panel:
    """Both spectra and their contours as shifted for Rw, within a box; the resonance of the lining marked.

    Where it is known by band, R' between the rooms as well, with all that goes round the wall.
    """
    before, after = sound.predicted.bare, sound.predicted.lined
    rooms = _between_rooms(sound)
    values = (
        *before,
        *after,
        *sound.before.contour,
        *sound.after.contour,
        *(v for r, _, _ in rooms for v in r),
    )
    scale = 10.0 * floor((min(values) - 1) / 10), 10.0 * ceil((max(values) + 1) / 10)
    left, bottom, right, top = box
    inner: Rect = (left + _LEFT_MM, bottom + _BELOW_MM, right - _RIGHT_MM, top - _ABOVE_MM)
    title = "Sound reduction index R by third-octave band, dB"
    panel = framed(sheet, title, inner, (-0.5, len(THIRDS) - 0.5), scale, about=6)
    _bands(sheet, panel)
    _resonance(sheet, panel, sound.estimate.f0)
    for contour, pen in ((sound.before.contour, _REFERENCE_BEFORE), (sound.after.contour, _REFERENCE_AFTER)):
        panel.line(sheet, pen, _places(sound.before.bands), contour)
    for values, pen in (*((r, pen) for r, pen, _ in rooms), (before, _BEFORE), (after, _AFTER)):
        panel.line(sheet, pen, range(len(THIRDS)), values)
    name_lines(
        sheet,
        panel,
        [
            ("old wall", before[-1], _BEFORE),
            (f"reference at {sound.before.rw} dB", sound.before.contour[-1], _REFERENCE_BEFORE),
            ("lined", after[-1], _AFTER),
            (f"reference at {sound.after.rw} dB", sound.after.contour[-1], _REFERENCE_AFTER),
            *((words, r[-1], pen) for r, pen, words in rooms),
        ],
    )
    return panel


def _between_rooms(sound: Sound) -> list[tuple[tuple[float, ...], Pen, str]]:
    if sound.rooms is None or not sound.rooms.by_band:
        return []
    effect = sound.rooms.effect
    return [
        (effect.before.r, _ROOMS_BEFORE, "R' of the rooms, old"),
        (effect.after.r, _ROOMS_AFTER, "R' of the rooms, lined"),
    ]


def _places(bands: Sequence[int]) -> list[float]:
    return [float(THIRDS.index(band)) for band in bands]


def _bands(sheet: Sheet, panel: Panel) -> None:
    low = panel.y[0]
    for place, band in enumerate(THIRDS):
        x, bottom = panel.at(place, low)
        sheet.line(AXIS, (x, bottom), (x, bottom - (1.2 if band in _NAMED else 0.7)))
        if band in _NAMED:
            sheet.line(GRID, (x, bottom), panel.at(place, panel.y[1]))
            sheet.text((x, bottom - 3.2), f"{band}", LETTERS)
    sheet.text((panel.box[2], panel.box[1] - 6.6), "Hz", LETTERS, "end")


def _resonance(sheet: Sheet, panel: Panel, f0: float) -> None:
    """A line where the resonance lies, its words at the foot, clear of the curves."""
    place = 10 * log10(f0 / THIRDS[0])
    low, high = panel.x
    if low <= place <= high:
        (x, bottom), (_, top) = panel.at(place, panel.y[0]), panel.at(place, panel.y[1])
        sheet.line(_RESONANCE, (x, bottom), (x, top))
        sheet.text((x + 1.2, top - 2.6), f"resonance {f0:.0f} Hz", LETTERS, "start", masked=True)
