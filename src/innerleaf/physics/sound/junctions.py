"""Vibration reduction index Kij of the junctions between a separating wall and its flanking elements.

Annex E of EN 12354-1:2000. Rigid crosses and T-junctions and the flexible layers were read and agree with the
worked example of its annex H; the other kinds are from memory. Elements weigh in through M, the lg of the
separating wall's mass over the flanking element's.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final, Literal

import numpy as np

from innerleaf.errors import InputError

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

    Values = NDArray[np.float64]

Kind = Literal[
    "rigid cross",
    "rigid T",
    "flexible flank",
    "flexible wall",
    "light facade",
    "double-leaf flank",
    "double-leaf wall",
    "double-leaf both",
]
_FLEXIBLE_FROM: Final = 125.0  # f1 of flexible layers with E/t about 100 MN/m³ [Hz]
_AT_500: Final = 500.0  # reference of double-leaf walls; also the frequency of single numbers [Hz]


@dataclass(frozen=True, slots=True, kw_only=True)
class Indices:
    """Kij from flank to flank (Ff), and between flank and separating wall (Fd, Df). [dB]"""

    flank_flank: Values
    flank_wall: Values


@dataclass(frozen=True, slots=True, kw_only=True)
class _Form:
    """One formula of annex E: constant + linear·M + by_size·|M| + square·M² + layers·Δ1 + slope·lg(f/500)."""

    constant: float
    linear: float = 0.0
    by_size: float = 0.0
    square: float = 0.0
    layers: int = 0
    slope: float = 0.0
    least: float = -np.inf
    most: float = np.inf

    def value(self, m: Values, f: Values) -> Values:
        by_mass = self.constant + self.linear * m + self.by_size * np.abs(m) + self.square * m**2
        by_layers = self.layers * 10 * np.log10(np.maximum(f / _FLEXIBLE_FROM, 1.0))
        by_frequency = self.slope * np.log10(f / _AT_500)
        index: Values = np.clip(by_mass + by_layers + by_frequency, self.least, self.most)
        return index


# By kind: from flank to flank, between flank and wall.
_FORMS: Final[dict[Kind, tuple[_Form, _Form]]] = {
    "rigid cross": (
        _Form(constant=8.7, linear=17.1, square=5.7),
        _Form(constant=8.7, square=5.7),
    ),
    "rigid T": (
        _Form(constant=5.7, linear=14.1, square=5.7),
        _Form(constant=5.7, square=5.7),
    ),
    "flexible flank": (
        _Form(constant=5.7, linear=14.1, square=5.7, layers=2),
        _Form(constant=5.7, square=5.7, layers=1),
    ),
    "flexible wall": (
        _Form(constant=3.7, linear=14.1, square=5.7, least=-4.0, most=0.0),
        _Form(constant=5.7, square=5.7, layers=1),
    ),
    "light facade": (
        _Form(constant=5.0, linear=10.0, least=5.0),
        _Form(constant=10.0, by_size=10.0),
    ),
    "double-leaf flank": (
        _Form(constant=10.0, linear=20.0, slope=-3.3, least=10.0),
        _Form(constant=10.0, by_size=10.0, slope=3.3),
    ),
    "double-leaf wall": (
        _Form(constant=3.0, linear=14.1, square=5.7),
        _Form(constant=10.0, by_size=10.0, slope=3.3),
    ),
    "double-leaf both": (
        _Form(constant=10.0, linear=20.0, slope=-3.3, least=10.0),
        _Form(constant=10.0, by_size=10.0, slope=-3.3),
    ),
}


def junction_indices(
    kind: Kind, *, wall_mass: ArrayLike, flank_mass: ArrayLike, frequency: ArrayLike = _AT_500
) -> Indices:
    """Vibration reduction indices of a junction.

    Parameters
    ----------
    kind
        ``rigid cross``: all four elements joined, flank and wall go through;
        ``rigid T``: the flank goes through, the wall ends on it;
        ``flexible flank``: flanks end at the wall with flexible layers between;
        ``flexible wall``: the wall ends with a flexible layer at a flank that goes through;
        ``light facade``: light flank that goes through in front of the wall;
        ``double-leaf flank``: framed double-leaf flanks on both sides of a homogeneous wall;
        ``double-leaf wall``: framed double-leaf wall between homogeneous flanks;
        ``double-leaf both``: framed double-leaf walls coupled with each other.
    wall_mass, flank_mass : array_like
        Of the separating wall and of the flanking element, without linings. [kg/m²]
    frequency : array_like
        For flexible layers and double leaves; 500 Hz stands for single numbers. [Hz]

    Raises
    ------
    InputError
        A mass or frequency not above 0; an unknown kind; a double-leaf wall more than a third as heavy as
        its flank.

    References
    ----------
    EN 12354-1:2000 annex E, formulas (E.3) to (E.8).

    Examples
    --------
    A floor of 287 kg/m² that passes a wall of 460 kg/m² (annex H):

    >>> cross = junction_indices("rigid cross", wall_mass=460, flank_mass=287)
    >>> round(float(cross.flank_flank), 1), round(float(cross.flank_wall), 1)
    (12.4, 8.9)
    """
    if kind not in _FORMS:
        raise InputError("junction", given=kind, accepted=", ".join(_FORMS))
    values = {"mass of the wall": wall_mass, "mass of the flank": flank_mass, "frequency": frequency}
    for name, given in values.items():
        array = np.asarray(given, float)
        if not np.all(np.isfinite(array) & (array > 0)):
            raise InputError(f"junction, {name}", given=given, accepted="above 0, finite")
    m = np.log10(np.asarray(wall_mass, float) / np.asarray(flank_mass, float))
    if kind == "double-leaf wall" and np.any(m > -np.log10(3.0)):
        accepted = "less than a third of the flank's mass"
        raise InputError("junction, mass of the double-leaf wall", given=wall_mass, accepted=accepted)
    f = np.asarray(frequency, float)
    straight, turning = _FORMS[kind]
    return Indices(flank_flank=straight.value(m, f), flank_wall=turning.value(m, f))


def corner_index(one_mass: ArrayLike, other_mass: ArrayLike) -> Values:
    """Kij of two elements that meet at a corner. [dB]

    References
    ----------
    EN 12354-1:2000 (E.9), from memory: 15 |M| - 3, not below -2.
    """
    index: Values = np.maximum(15 * np.abs(_lg_ratio(one_mass, other_mass)) - 3, -2.0)
    return index


def thickness_change_index(one_mass: ArrayLike, other_mass: ArrayLike) -> Values:
    """Kij of two elements in one line, of different thickness. [dB]

    References
    ----------
    EN 12354-1:2000 (E.9), from memory: 5 M² - 5.
    """
    return np.asarray(5 * _lg_ratio(one_mass, other_mass) ** 2 - 5)


def least_index(length: ArrayLike, one_area: ArrayLike, other_area: ArrayLike) -> Values:
    """The least Kij that single numbers may be worked out with: short junctions of large elements. [dB]

    Parameters
    ----------
    length : array_like
        Of the junction. [m]
    one_area, other_area : array_like
        Of the two elements. [m²]

    References
    ----------
    EN 12354-1:2000 4.4.2: Kij,min = 10 lg(lf l0 (1/Si + 1/Sj)), l0 = 1 m.

    Examples
    --------
    >>> round(float(least_index(4.5, 11.5, 20.0)), 2)
    -2.1
    """
    one, other = np.asarray(one_area, float), np.asarray(other_area, float)
    return np.asarray(10 * np.log10(np.asarray(length, float) * (1 / one + 1 / other)))


def _lg_ratio(one: ArrayLike, other: ArrayLike) -> Values:
    masses = np.asarray(one, float), np.asarray(other, float)
    if not all(np.all(np.isfinite(mass) & (mass > 0)) for mass in masses):
        raise InputError("junction, masses", given=(one, other), accepted="above 0 kg/m², finite")
    return np.asarray(np.log10(masses[0] / masses[1]))
