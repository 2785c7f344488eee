"""A wall of several parts: doors, windows, small elements, joints, gaps.

Every part is the open hole that would let the same sound through: τ·S. The holes add, and over the whole area
they are the wall's R. By band, or with single weighted indices, for which the same sum is an approximation.

ISO 12354-3:2017 (EN 12354-3:2000) clause 4, from memory: areas with R, small elements with Dn,e (10 m²),
joints with Rs per metre.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np

from innerleaf.errors import InputError
from innerleaf.physics.sound.bands import bands_of
from innerleaf.physics.sound.energies import shares, together, weighted

if TYPE_CHECKING:
    from numpy.typing import ArrayLike

_REFERENCE_AREA: Final = 10.0  # A0 of Dn,e: ISO 10140-2 [m²]


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """A part of a wall: the open hole that lets as much through, one value or one per band, and its area.

    ``area`` is 0 for what is not counted in the wall's area (small elements, joints, gaps). [m²]
    """

    name: str
    hole: tuple[float, ...]
    area: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Composite:
    """A wall of parts: ``r`` by band or weighted; ``rw`` in tenths; share of each part in the sound [%]."""

    parts: tuple[Part, ...]
    area: float
    r: tuple[float, ...]
    rw: float
    shares: tuple[float, ...]
    bands: tuple[int, ...]

    @property
    def limiting(self) -> Part:
        """The part that lets most through."""
        return self.parts[int(np.argmax(self.shares))]

    @property
    def at_best(self) -> float:
        """Rw if the limiting part let nothing through; infinite for a wall of one part. [dB]"""
        others = [_over(part, self.area) for part in self.parts if part is not self.limiting]
        return weighted(together(others), self.bands) if others else np.inf

    def sentence(self) -> str:
        """Which part limits, and what there is to gain from it."""
        share = max(self.shares)
        begun = f"Rw {self.rw:.1f} dB: {self.limiting.name} lets {share:.0f} % of the sound through"
        return (
            f"{begun}; without it Rw would be {self.at_best:.1f} dB." if len(self.parts) > 1 else f"{begun}."
        )


def surface(name: str, r: ArrayLike, area: float) -> Part:
    """Part with a sound reduction index: wall, door, window. [dB, m²]"""
    return Part(name=name, hole=_hole(name, r, _size(f"{name}, area", area)), area=area)


def small_element(name: str, dn_e: ArrayLike, count: int = 1) -> Part:
    """Small elements with an element-normalized level difference Dn,e: vents, boxes. [dB]"""
    return Part(name=name, hole=_hole(name, dn_e, _REFERENCE_AREA * _size(f"{name}, number", count)))


def joint(name: str, r_s: ArrayLike, length: float) -> Part:
    """A joint with a sound reduction index per metre, Rs. [dB, m]"""
    return Part(name=name, hole=_hole(name, r_s, _size(f"{name}, length", length)))


def gap(name: str, area: float) -> Part:
    """An open gap, through which goes what falls on it; a narrow slit at its resonance takes more. [m²]"""
    return Part(name=name, hole=(_size(f"{name}, area", area),))


def composite(parts: Sequence[Part], bands: Sequence[int] | None = None) -> Composite:
    """Insulation of a wall of parts, over the sum of their areas.

    Parameters
    ----------
    parts : sequence of Part
        At least one with an area. Those with one value beside others with bands hold for every band.
    bands : sequence of int, optional
        Of values by band; left out, their number says (see `bands_of`). [Hz]

    Raises
    ------
    InputError
        No area; or numbers of values that do not go together.

    Examples
    --------
    A wall of Rw 55 with a door of Rw 32 is little better than a wall of Rw 39:

    >>> whole = composite([surface("wall", [55], 10.0), surface("door", [32], 2.0)])
    >>> whole.sentence()
    'Rw 39.7 dB: door lets 98 % of the sound through; without it Rw would be 55.8 dB.'
    """
    area = sum(part.area for part in parts)
    if not area > 0:
        raise InputError("wall of parts", given=[part.name for part in parts], accepted="a part with an area")
    count = max(len(part.hole) for part in parts)
    for part in parts:
        if len(part.hole) not in (1, count):
            raise InputError(f"{part.name}, values", given=len(part.hole), accepted=f"1 or {count}")
    even = [Part(name=part.name, hole=_spread(part.hole, count), area=part.area) for part in parts]
    own = bands_of(even[0].hole, bands) if count > 1 else ()
    ways = [_over(part, area) for part in even]
    total = together(ways)
    return Composite(
        parts=tuple(even),
        area=area,
        r=total,
        rw=weighted(total, own),
        shares=shares(ways, own),
        bands=own,
    )


def _over(part: Part, area: float) -> tuple[float, ...]:
    """The part alone as a sound reduction index over the whole wall's area."""
    return tuple(float(r) for r in -10 * np.log10(np.asarray(part.hole) / area))


def _spread(hole: tuple[float, ...], count: int) -> tuple[float, ...]:
    return hole if len(hole) == count else hole * count


def _hole(name: str, r: ArrayLike, area: float) -> tuple[float, ...]:
    values = np.asarray(r, float)
    if values.ndim != 1 or not values.size or not np.all(np.isfinite(values)):
        accepted = "a row of one finite value, or one per band [dB]"
        raise InputError(f"{name}, insulation", given=r, accepted=accepted)
    return tuple(float(hole) for hole in area * 10.0 ** (-values / 10))


def _size(field: str, given: float) -> float:
    if not 0 < given < np.inf:
        raise InputError(field, given=given, accepted="above 0, finite")
    return given
