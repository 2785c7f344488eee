"""Elements in the building instead of the laboratory: losses, reverberation of structure, absorption length.

What a homogeneous element passes on depends on how quickly its vibration dies away: inside, by radiation, and
over its edges into what it meets. Annex C of EN 12354-1:2000; formulas from memory, their form agrees with
the total loss factors printed for three elements in ISO 12354-1:2017 table L.3.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

from innerleaf.errors import InputError

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

SPEED_OF_SOUND: Final = 340.0  # [m/s]
# Of air; 1.29 x 340 is what the printed values of ISO 12354-1:2017 annex L rest on. [Pa·s/m]
IMPEDANCE_OF_AIR: Final = 438.6
_REFERENCE: Final = 1000.0  # f_ref of the absorption coefficient and length [Hz]
_HEAVIEST: Final = 800.0  # of the laboratory formula [kg/m²]


def edge_absorption(indices: ArrayLike, critical_frequencies: ArrayLike) -> NDArray[np.float64]:
    """Absorption coefficient of one edge for bending waves, from the junction there. [-]

    Parameters
    ----------
    indices : array_like, shape (..., n)
        Kij from this element to each of the others that meet at the edge. [dB]
    critical_frequencies : array_like, shape (..., n)
        Of those others. [Hz]

    References
    ----------
    EN 12354-1:2000 (C.2), from memory: α = Σ √(fc,j/1000) 10^(-Kij/10), at most 1.

    Examples
    --------
    >>> round(float(edge_absorption([8.7, 8.7], [100.0, 100.0])), 3)
    0.085
    """
    fc = _above_zero("critical frequency", critical_frequencies)
    passing = np.sqrt(fc / _REFERENCE) * 10.0 ** (-np.asarray(indices, float) / 10)
    coefficient: NDArray[np.float64] = np.minimum(np.sum(passing, axis=-1), 1.0)
    return coefficient


def total_loss(
    frequency: ArrayLike,
    *,
    internal: float,
    mass: float,
    radiation: ArrayLike,
    area: float,
    critical_frequency: float,
    edges: ArrayLike,
) -> NDArray[np.float64]:
    """Total loss factor of an element in the building. [-]

    Parameters
    ----------
    frequency : array_like, shape (bands,)
        [Hz]
    internal : float
        Loss factor of the material. [-]
    mass, area : float
        [kg/m², m²]
    radiation : array_like, shape (bands,)
        Radiation factor for free bending waves. [-]
    critical_frequency : float
        [Hz]
    edges : array_like
        Sum over the edges of length times absorption coefficient; by band or one for all. [m]

    References
    ----------
    EN 12354-1:2000 (C.1), from memory: η = η_int + 2 ρ0 c0 σ/(2πf m') + c0/(π² S √(f fc)) Σ l α.
    """
    f = _above_zero("frequency", frequency)
    s, m = _above_zero("area", area), _above_zero("mass", mass)
    by_radiation = 2 * IMPEDANCE_OF_AIR * np.asarray(radiation, float) / (2 * np.pi * f * m)
    fc = _above_zero("critical frequency", critical_frequency)
    by_edges = SPEED_OF_SOUND * np.asarray(edges, float) / (np.pi**2 * s * np.sqrt(f * fc))
    return np.asarray(internal + by_radiation + by_edges)


def laboratory_loss(frequency: ArrayLike, *, internal: float, mass: float) -> NDArray[np.float64]:
    """Total loss factor of a homogeneous element in a test opening. [-]

    References
    ----------
    EN 12354-1:2000 (C.5), from memory: η_int + m'/(485 √f), up to 800 kg/m².
    """
    if not 0 < mass <= _HEAVIEST:
        raise InputError("mass", given=mass, accepted="above 0 to 800 kg/m²")
    return np.asarray(internal + mass / (485 * np.sqrt(_above_zero("frequency", frequency))))


def structural_reverberation(frequency: ArrayLike, loss: ArrayLike) -> NDArray[np.float64]:
    """Structural reverberation time Ts = 2.2/(f η). [s]

    Examples
    --------
    >>> float(structural_reverberation(500.0, 0.022))
    0.2
    """
    return np.asarray(2.2 / (_above_zero("frequency", frequency) * _above_zero("loss factor", loss)))


def absorption_length(frequency: ArrayLike, area: ArrayLike, reverberation: ArrayLike) -> NDArray[np.float64]:
    """Equivalent absorption length a of an element for bending waves. [m]

    Parameters
    ----------
    frequency, area, reverberation : array_like
        Bands [Hz], area [m²], structural reverberation time [s].

    Notes
    -----
    Light, strongly damped elements (framed walls, timber, boards) take a = S/1 m instead.

    References
    ----------
    EN 12354-1:2000 (22): a = 2.2 π² S/(c0 Ts) √(1000/f); read as eq. 9.42 in T. E. Vigran, Building
    Acoustics, 2008.

    Examples
    --------
    >>> round(float(absorption_length(500.0, 10.0, 0.2)), 2)
    4.52
    """
    s, ts = _above_zero("area", area), _above_zero("reverberation time", reverberation)
    spread = np.sqrt(_REFERENCE / _above_zero("frequency", frequency))
    return np.asarray(2.2 * np.pi**2 * s / (SPEED_OF_SOUND * ts) * spread)


def reduction_in_situ(
    laboratory: ArrayLike, laboratory_reverberation: ArrayLike, reverberation: ArrayLike
) -> NDArray[np.float64]:
    """Sound reduction index in the building, from the laboratory's. [dB]

    References
    ----------
    EN 12354-1:2000 (19): R - 10 lg(Ts,situ/Ts,lab).

    Examples
    --------
    >>> round(float(reduction_in_situ(50.0, 0.2, 0.1)), 2)
    53.01
    """
    there = _above_zero("reverberation time", laboratory_reverberation)
    here = _above_zero("reverberation time", reverberation)
    return np.asarray(np.asarray(laboratory, float) - 10 * np.log10(here / there))


def _above_zero(field: str, given: ArrayLike) -> NDArray[np.float64]:
    values = np.asarray(given, float)
    if not np.all(np.isfinite(values) & (values > 0)):
        raise InputError(f"element in the building, {field}", given=given, accepted="above 0, finite")
    return values
