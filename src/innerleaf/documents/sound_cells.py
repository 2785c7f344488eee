"""Sound and frame of a wall as cells of the workbook's table of walls; empty where not judged."""

from __future__ import annotations

from innerleaf.design.frame.wall import Frame
from innerleaf.design.sound.verdicts import Sound
from innerleaf.documents.schedule import Cell


def sound_cells(sound: Sound | str) -> tuple[Cell, ...]:
    """Rw before and after, what is counted of the gain, STC; between the rooms where flanks are known."""
    if isinstance(sound, str):
        return ("",) * 8
    rooms: tuple[Cell, ...] = ("", "", "")
    if sound.rooms:
        effect = sound.rooms.effect
        by_passing = max(effect.after.passing_by(effect.side), key=lambda path: path.share)
        rooms = (round(effect.before.rw, 1), round(effect.after.rw, 1), str(by_passing))
    return (
        sound.before.rw,
        sound.after.rw,
        sound.gain,
        sound.predicted.gain_uncertainty,
        "" if sound.after.stc is None else sound.after.stc,
        *rooms,
    )


def frame_cells(frame: Frame | None) -> tuple[Cell, ...]:
    """Load cases, and the member nearest its limit with how near."""
    if frame is None:
        return ("",) * 3
    if frame.governing is None:
        return (", ".join(frame.cases), "", "")
    verdict, outcome = frame.governing
    return ", ".join(frame.cases), outcome.strip.member.mark, round(verdict.value / verdict.limit, 3)
