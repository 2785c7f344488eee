"""Rows of the two tables of measured walls, as `described_wall` takes them, and what was measured.

One table gives framing, cavity, absorbent, boards and STC in columns; the other a construction in words and
octave values. A row with words only is read by the rules here; the answer says how.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Final

from innerleaf.design.sound.described_wall import PredictedWall, predict_wall
from innerleaf.design.sound.model import BoardLayer, board_packet
from innerleaf.errors import InputError
from innerleaf.physics.sound.construction import Construction
from innerleaf.physics.sound.transmission import reduction_index
from innerleaf.practice.acoustics import Acoustics, load_acoustics

_WOOD_FIBRE: Final = "wood-fibre"
_INCHES: Final = {"1/2": "13", "5/8": "16", "3/8": "10"}
_INCH: Final = 25.4
_BOARDS: Final = (9.5, 12.7, 15.9)  # mm
_ROUNDED: Final = 1.0  # mm
_WOOD_FRAME: Final = 7.0  # kg/m² of wall: studs 50 by 100 mm at 400 mm
_FIBRES: Final = r"(\d+) in insulation|(\d+) mm absorbent"


def predict_row(row: Mapping[str, str], acoustics: Acoustics | None = None) -> PredictedWall:
    """Predict the wall of a row; `InputError` if it cannot be read.

    Examples
    --------
    >>> words = {"kind": "bare", "construction": "4 in brick wall", "thickness_mm": "", "surface_mass": ""}
    >>> predict_row(words).kind
    'solid'
    """
    if "framing" in row:
        return predict_wall(
            framing=row["framing"],
            cavity_mm=_number(row["cavity_mm"]),
            absorbent=row["absorbent"] == "yes",
            board_side1=row["board_side1"],
            board_side2=row["board_side2"],
            base_wall=row["base_wall"],
            acoustics=acoustics,
        )
    words = row["construction"].lower().replace(" |", "").strip()
    thickness, mass = _number(row["thickness_mm"]), _number(row["surface_mass"])
    if row["kind"] == "bare":
        return predict_wall(base_wall=words, thickness_mm=thickness, surface_mass=mass, acoustics=acoustics)
    if row["kind"] == "leaf":
        return _single(words, acoustics or load_acoustics())
    return _partition(words, thickness, mass, acoustics)


def _partition(
    words: str, thickness: float | None, mass: float | None, acoustics: Acoustics | None
) -> PredictedWall:
    stated = re.search(r"cavity (\d+) mm|(\d+) mm cavity", words)
    depth = float(stated.group(1) or stated.group(2)) if stated else None
    side1, side2 = _sides(words, thickness, depth)
    fibres = re.search(_FIBRES, words)
    framing = re.sub(_FIBRES, "", re.sub(r"\d+x\d+\|\d+x\d+|(double )?\d/\d in", "", words))
    absorbent = any(word in words for word in ("absorbent", "fibreglass", "insulation", "fibre"))
    thick = None
    if fibres:
        thick = float(fibres.group(1)) * _INCH if fibres.group(1) else float(fibres.group(2))
    return predict_wall(
        framing=framing,
        cavity_mm=depth,
        absorbent=absorbent,
        absorbent_mm=thick if absorbent else None,
        board_side1=side1,
        board_side2=side2,
        board_mass=(mass - _WOOD_FRAME) / 2 if mass and "wood" in words else None,
        acoustics=acoustics,
    )


def _sides(words: str, thickness: float | None, depth: float | None) -> tuple[str, str]:
    both = re.search(r"(\d+x\d+)\|(\d+x\d+)", words)
    if both:
        return both.group(1), both.group(2)
    inches = re.search(r"(double )?(\d/\d) in", words)
    if inches:
        side = f"{2 if inches.group(1) else 1}x{_INCHES[inches.group(2)]}"
        return side, side
    fibre = re.search(r"(\d+) mm insulating board", words)
    if fibre:
        side = f"1x{fibre.group(1)}{_WOOD_FIBRE}"
        return side, side
    leaves = re.search(r"(\d+) mm (?:gypsum|plasterboard)(?: \+ (\d+) mm plaster)?", words)
    if leaves:
        side = f"1x{leaves.group(1)}"
        if leaves.group(2):  # the coat and its board are one plate
            side = f"1x{float(leaves.group(1)) + float(leaves.group(2)):g}plaster"
        return side, side
    if thickness is None or depth is None:
        raise InputError("construction", given=words, accepted="boards, or thickness of wall and cavity")
    side = f"1x{_board((thickness - depth) / 2):g}"  # what the cavity leaves, one board on each side
    return side, side


def _board(left: float) -> float:
    """A board of 3/8, 1/2 or 5/8 in where one is meant, as walls are printed in whole millimetres."""
    nearest = min(_BOARDS, key=lambda thickness: abs(thickness - left))
    return nearest if abs(nearest - left) < _ROUNDED else left


def _single(words: str, acoustics: Acoustics) -> PredictedWall:
    found = re.search(r"(?:(\d+) layers? )?(\d+) mm (?:gypsum|plasterboard)", words)
    if not found:
        raise InputError("construction", given=words, accepted="such as: 2 layers 13 mm plasterboard")
    count, thickness = found.groups()
    layer = BoardLayer(kind="A", thickness_mm=float(thickness))
    leaf = board_packet([layer] * int(count or 1), acoustics)
    index = reduction_index(Construction(leaves=(leaf,)))
    return PredictedWall(
        kind="framed",
        index=index,
        uncertainty=acoustics.uncertainty["framed"],
        read_as=(f"one leaf of {leaf.mass:.0f} kg/m², fc {leaf.critical_frequency:.0f} Hz",),
    )


def _number(text: str) -> float | None:
    return float(text) if text else None
