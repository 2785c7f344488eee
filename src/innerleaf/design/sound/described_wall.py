"""Sound of a wall told in the words of a table: framing, cavity, absorbent, boards, base wall.

What the words leave open is read by one set of rules, and the answer says how they were read.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Final, Literal

import numpy as np

from innerleaf.design.sound.described_base import described_base
from innerleaf.design.sound.model import (
    BoardLayer,
    Solid,
    board_packet,
    bridges,
    cavity,
)
from innerleaf.errors import InputError
from innerleaf.physics.sound.construction import Construction, resonance
from innerleaf.physics.sound.leaf import Leaf
from innerleaf.physics.sound.rating_record import Rating, rated
from innerleaf.physics.sound.transmission import decibels, lined, reduction_index
from innerleaf.practice.acoustics import Acoustics, Uncertainty, load_acoustics

if TYPE_CHECKING:
    from numpy.typing import NDArray

Kind = Literal["framed", "lining-one-side", "lining-both-sides", "solid", "cavity-wall"]

_NO_GAIN_FROM: Final = 160.0  # Hz: resonance from which ISO 12354-1 table D.1 has no gain
_STAGGERED_DEPTH: Final = 140.0  # mm: studs of 89 mm on plates of 140 mm, US practice
_USUAL_STUD: Final = 89.0  # mm
_IN_MM: Final = {"13": 12.7, "16": 15.9, "10": 9.5}  # boards of 1/2, 5/8 and 3/8 in, by their rounded name
# Least steel thickness of a gauge number [mm]: 18, 27, 30, 43 and 54 mil, US practice.
_SHEET: Final = {"26": 0.46, "25": 0.46, "24": 0.46, "22": 0.68, "20": 0.76, "18": 1.09, "16": 1.37}
_LOADBEARING: Final = 1.09  # mm


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PredictedWall:
    """A wall's reduction index in the thirds of 50-5000 Hz, (21,) [dB], its ratings, and how it was read.

    ``bare`` is the index of the base wall of a lined one; ``no_promise`` says that the frame is rigid on the
    wall, or the resonance lies at 160 Hz or above.
    """

    kind: Kind
    index: NDArray[np.float64]
    uncertainty: Uncertainty
    bare: NDArray[np.float64] | None = None
    no_promise: bool = False
    read_as: tuple[str, ...]

    @property
    def rating(self) -> Rating:
        """Rw, C, Ctr, STC."""
        return rated(np.round(self.index, 1))

    @property
    def octaves(self) -> NDArray[np.float64]:
        """Octaves 63-4000 Hz, (7,). [dB]"""
        return decibels((10 ** (-self.index / 10)).reshape(7, 3).mean(axis=1))

    @property
    def gain(self) -> int | None:
        """Rw less that of the base wall; None for walls without one. [dB]"""
        return None if self.bare is None else self.rating.rw - rated(np.round(self.bare, 1)).rw

    @property
    def promised(self) -> int | None:
        """What may be promised of the gain. [dB]

        The lesser of the gains in Rw and in STC less the standard uncertainty, in whole decibels; none where
        no gain is promised. A loss is told as it is.
        """
        if self.bare is None:
            return None
        before, after = rated(np.round(self.bare, 1)), self.rating
        least = after.rw - before.rw
        if before.stc is not None and after.stc is not None:
            least = min(least, after.stc - before.stc)
        if least <= 0:
            return least
        return 0 if self.no_promise else max(0, int(least - self.uncertainty.rating_db))


def predict_wall(
    *,
    framing: str = "",
    cavity_mm: float | None = None,
    absorbent: bool = False,
    board_side1: str = "",
    board_side2: str = "",
    base_wall: str = "",
    thickness_mm: float | None = None,
    surface_mass: float | None = None,
    absorbent_mm: float | None = None,
    spacing_mm: float | None = None,
    board_mass: float | None = None,
    acoustics: Acoustics | None = None,
) -> PredictedWall:
    """Predict a wall told in the words of a table.

    Parameters
    ----------
    framing : str
        Wood, steel or metal studs, staggered, double, resilient channels or furring, rigid furring, board
        applied directly, free-standing; depth (``38x89``), gauge and spacing (``at 406``) where stated.
    cavity_mm : float, optional
        Between the leaves; else from the depth of the stud. [mm]
    absorbent : bool
        Fibres in the cavity: as thick as the studs are deep, unless ``absorbent_mm`` says.
    board_side1, board_side2 : str
        ``2x13``, or ``1x13+1x16F`` with the EN 520 type where it is not A. A lining has one or both sides
        the same; a side left out has none.
    base_wall : str
        Block, brick, concrete: the solid wall, on its own where no framing is given; ``cavity wall`` for two
        leaves, with the depth of the cavity and its ties (``wire``, ``strip``).
    thickness_mm, surface_mass : float, optional
        Of the base wall, where the words do not tell. [mm], [kg/m²]
    spacing_mm : float, optional
        Of studs or channels. [mm]
    board_mass : float, optional
        Of the boards of each side together, where it is known. [kg/m²]
    acoustics : Acoustics, optional
        Other figures than those that come with the package.

    Raises
    ------
    InputError
        The words name no wall that is known here.

    Examples
    --------
    >>> wall = predict_wall(framing="steel stud 90", absorbent=True, board_side1="2x13", board_side2="2x13")
    >>> wall.kind, wall.rating.stc is not None
    ('framed', True)
    """
    told = _Told(acoustics or load_acoustics(), framing.lower(), spacing_mm, board_mass)
    fill = absorbent_mm if absorbent_mm is not None else (None if absorbent else 0.0)
    if not base_wall:
        return _framed(told, cavity_mm, fill, board_side1, board_side2)
    words = base_wall.lower()
    base = described_base(words, thickness_mm, surface_mass, told.acoustics)
    own: Kind = "cavity-wall" if "cavity wall" in words else "solid"
    if not board_side1:
        return _answer(told, own, base.index, base.working)
    if cavity_mm == 0 or "directly" in told.framing:
        how = f"{base.working}; board on the wall itself: taken as neither gain nor loss"
        return _answer(told, "lining-one-side", base.index, how, base, no_promise=True)
    return _lining(told, base, cavity_mm, fill, board_side1, board_side2)


@dataclass(frozen=True, slots=True)
class _Told:
    acoustics: Acoustics
    framing: str
    spacing_mm: float | None
    board_mass: float | None

    def says(self, *words: str) -> bool:
        return any(word in self.framing for word in words)

    def number(self, pattern: str) -> float | None:
        found = re.search(pattern, self.framing)
        return float(found.group(1)) if found else None

    def stud(self) -> float:
        """Depth of the stud. [mm]"""
        return (
            self.number(r"x(\d+)")
            or self.number(r"(?:stud|furring|channels?)\D*?(?:\(.*?\))?\s*(\d+)")
            or 0.0
        )

    def sheet(self) -> float | None:
        """Steel thickness. [mm]"""
        gauge = re.search(r"gauge (\d+)", self.framing) or re.search(r"(\d+)[- ]?ga(?:uge)?\b", self.framing)
        if gauge:
            return _SHEET.get(gauge.group(1))
        return _LOADBEARING if self.says("loadbearing") else None

    def spacing(self) -> float | None:
        """Stated spacing. [mm]"""
        return self.spacing_mm or self.number(r"(?:at|@) ?(\d{3})")


def _framed(
    told: _Told, cavity_mm: float | None, fill: float | None, side1: str, side2: str
) -> PredictedWall:
    acoustics, at = told.acoustics, told.acoustics.workmanship["laboratory"]
    stud = told.stud()
    rows = 1
    alone = told.says("no studs")  # leaves held apart from one another, rims and all
    if told.says("staggered"):
        name, usual = "wood-stud-staggered", _STAGGERED_DEPTH
    elif told.says("double", "two rows", "no studs"):
        name, usual, rows = "none", 2 * (stud or _USUAL_STUD) + 25, 2
    elif told.says("resilient"):
        name, usual = "resilient-channel", (stud or _USUAL_STUD) + 13
    elif told.says("wood", "timber"):
        name, usual = "wood-stud", stud
    elif told.says("steel", "metal", "stud"):
        name, usual = "steel-stud", stud
    else:
        raise InputError("framing", given=told.framing, accepted="studs, double or staggered studs")
    depth = cavity_mm or usual or _USUAL_STUD
    if not depth > 0:
        raise InputError("cavity_mm", given=cavity_mm, accepted="above 0 mm")
    if fill is None:
        fill = min((stud or min(depth, _USUAL_STUD)) * rows, depth)
    frame = acoustics.frames[name]
    spacing = told.spacing() if name != "wood-stud-staggered" else None  # plates tie the leaves, not studs
    tied = bridges(
        frame,
        acoustics.frames["rim"],
        at,
        spacing_mm=spacing,
        depth_mm=depth,
        sheet_mm=told.sheet(),
    )
    wall = Construction(
        leaves=(_boards(side1, told), _boards(side2 or side1, told)),
        cavities=(cavity(depth, fill, acoustics),),
        bridges=() if alone else (tied,),
        area=at.width_m * at.height_m,
        leak=10 ** (-at.leak_db / 10),
    )
    apart = spacing or frame.spacing_mm
    how = f"frame {frame.id} at {apart:.0f} mm, cavity {depth:.0f} mm, fibres {fill:.0f} mm"
    return _answer(told, "framed", reduction_index(wall), how)


def _lining(
    told: _Told,
    base: Solid,
    cavity_mm: float | None,
    fill: float | None,
    side1: str,
    side2: str,
) -> PredictedWall:
    acoustics, at = told.acoustics, told.acoustics.workmanship["laboratory"]
    depth = cavity_mm or told.stud() or _USUAL_STUD
    if told.says("resilient"):
        name = "resilient-channel"
    elif told.says("wood", "timber", "batten"):
        name = "wall-batten"
    elif told.says("elastic"):
        name = "bracketed-channel-elastic"
    elif told.says("bracket"):
        name = "bracketed-channel"
    elif told.says("free", "independent", "stud", "none"):
        name = "none"
    elif told.says("furring", "channel"):
        name = "wall-channel"
    else:
        raise InputError(
            "framing", given=told.framing, accepted="studs, channels, furring, battens, brackets"
        )
    frame = acoustics.frames[name]
    fill = depth if fill is None else fill
    tied = bridges(frame, acoustics.frames["rim-on-wall"], at, spacing_mm=told.spacing(), depth_mm=depth)
    hollow = cavity(depth, fill, acoustics)
    leaf = _boards(side1, told)
    others = (_boards(side2, told),) if side2 else ()
    wall = Construction(
        leaves=(leaf, base.leaf, *others),
        cavities=(hollow,) * (1 + len(others)),
        bridges=(tied,) * (1 + len(others)),
        area=at.width_m * at.height_m,
        leak=10 ** (-at.leak_db / 10),
    )
    f0 = resonance(hollow.depth, base.leaf.mass, leaf.mass, filled=fill > depth / 2)
    how = f"{base.working}; frame {frame.id}, cavity {depth:.0f} mm, fibres {fill:.0f} mm"
    how += f", resonance {f0:.0f} Hz"
    kind: Kind = "lining-both-sides" if side2 else "lining-one-side"
    none = frame.rigid_to_wall or f0 >= _NO_GAIN_FROM
    return _answer(told, kind, lined(base.index, wall, base=1), how, base, no_promise=none)


def _answer(
    told: _Told,
    kind: Kind,
    index: NDArray[np.float64],
    how: str,
    base: Solid | None = None,
    *,
    no_promise: bool = False,
) -> PredictedWall:
    return PredictedWall(
        kind=kind,
        index=index,
        uncertainty=told.acoustics.uncertainty[kind],
        bare=None if base is None else base.index,
        no_promise=no_promise,
        read_as=(how,),
    )


def _boards(side: str, told: _Told) -> Leaf:
    layers = []
    for part in side.replace(" ", "").split("+"):
        found = re.fullmatch(r"(?:(\d+)x)?(\d+(?:\.\d+)?)(?:mm)?([A-Za-z][\w-]*)?", part)
        if not found:
            raise InputError("boards of a side", given=side, accepted="such as 2x13 or 1x12.5+1x15F")
        count, thickness, kind = found.groups()
        layer = BoardLayer(kind=kind or "A", thickness_mm=_IN_MM.get(thickness, float(thickness)))
        layers += [layer] * int(count or 1)
    leaf = board_packet(layers, told.acoustics)
    return leaf if told.board_mass is None else replace(leaf, mass=told.board_mass)
