"""Single-number ratings of airborne sound insulation: Rw, C, Ctr (ISO 717-1), STC (E413), OITC (E1332).

Spectra come as arrays of shape (..., bands); thousands of walls are rated in one call. Rating against a
contour is exact: the values are integers (tenths of a decibel, or whole ones for STC) before anything is
summed, so that a sum that lands on the limit passes.

The contour may rise by k as long as the sum of the deficiencies, S(k) = Σ max(0, k - dᵢ), is at most L. With
the differences d sorted and P their running sums, S(k) is the greatest of j·k - P_j, so the greatest k is the
least of (L + P_j)/j: no search.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Final, Literal

import numpy as np

from innerleaf.physics.sound.bands import bands_of, is_octaves, octaves, picked, thirds

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

Kind = Literal["C", "Ctr"]
Range = Literal["100-3150", "50-3150", "50-5000", "100-5000"]

_RATED_THIRDS: Final = thirds(100, 3150)
_RATED_OCTAVES: Final = octaves(125, 2000)
_E413_BANDS: Final = thirds(125, 4000)
_E1332_BANDS: Final = thirds(80, 4000)

# ISO 717-1:2020 table 3. [dB]
REFERENCE_THIRDS: Final = np.array([33, 36, 39, 42, 45, 48, 51, 52, 53, 54, 55, 56, 56, 56, 56, 56])
REFERENCE_OCTAVES: Final = np.array([36, 45, 52, 55, 56])
_LIMIT_THIRDS: Final = 320  # ISO 717-1:2020 4.4, sum of the unfavourable deviations [0.1 dB]
_LIMIT_OCTAVES: Final = 100
AT_500: Final = 52  # of either reference curve [dB]

# ISO 717-1:2020 table 4 and table B.1 (octaves of B.1 from memory; they are the energy sums of the thirds,
# rounded). [dB]
_PINK: Final = (-29, -26, -23, -21, -19, -17, -15, -13, -12, -11, -10, -9, -9, -9, -9, -9)
_PINK_WIDE: Final = (
    -41, -37, -34, -30, -27, -24, -22, -20, -18, -16, -14, -13, -12, -11, -10, -10, -10, -10, -10, -10, -10,
)  # fmt: skip
_TRAFFIC: Final = (
    -25, -23, -21, -20, -20, -18, -16, -15, -14, -13, -12, -11, -9, -8, -9, -10, -11, -13, -15, -16, -18,
)  # fmt: skip
_SPECTRA_THIRDS: Final[dict[tuple[Kind, Range], tuple[int, ...]]] = {
    ("C", "100-3150"): _PINK,
    ("C", "50-3150"): (-40, -36, -33, *_PINK),
    ("C", "50-5000"): _PINK_WIDE,
    ("C", "100-5000"): _PINK_WIDE[3:],
    ("Ctr", "100-3150"): _TRAFFIC[3:19],
    ("Ctr", "50-3150"): _TRAFFIC[:19],
    ("Ctr", "50-5000"): _TRAFFIC,
    ("Ctr", "100-5000"): _TRAFFIC[3:],
}
_PINK_OCTAVES: Final = (-21, -14, -8, -5, -4)
_PINK_WIDE_OCTAVES: Final = (-32, -22, -15, -9, -6, -5, -5)
_TRAFFIC_OCTAVES: Final = (-18, -14, -10, -7, -4, -6, -11)
_SPECTRA_OCTAVES: Final[dict[tuple[Kind, Range], tuple[int, ...]]] = {
    ("C", "100-3150"): _PINK_OCTAVES,
    ("C", "50-3150"): (-31, *_PINK_OCTAVES),
    ("C", "50-5000"): _PINK_WIDE_OCTAVES,
    ("C", "100-5000"): _PINK_WIDE_OCTAVES[1:],
    ("Ctr", "100-3150"): _TRAFFIC_OCTAVES[1:6],
    ("Ctr", "50-3150"): _TRAFFIC_OCTAVES[:6],
    ("Ctr", "50-5000"): _TRAFFIC_OCTAVES,
    ("Ctr", "100-5000"): _TRAFFIC_OCTAVES[1:],
}

# ASTM E413: contour relative to 500 Hz; sum and greatest single deficiency (rules from memory). [dB]
STC_CONTOUR: Final = np.array([-16, -13, -10, -7, -4, -1, 0, 1, 2, 3, 4, 4, 4, 4, 4, 4])
_STC_SUM: Final = 32
_STC_SINGLE: Final = 8

# ASTM E1332 table 1, from memory: level of traffic noise, A-weighting (IEC 61672-1) by band. [dB]
_OITC_LEVELS: Final = (103, 102, 101, 98, 97, 95, 94, 93, 93, 91, 90, 89, 89, 88, 88, 87, 85, 84)
_A_WEIGHTING: Final = (
    -22.5, -19.1, -16.1, -13.4, -10.9, -8.6, -6.6, -4.8, -3.2, -1.9, -0.8, 0.0, 0.6, 1.0, 1.2, 1.3, 1.2, 1.0,
)  # fmt: skip
_OITC_TOTAL: Final = 100.13


def weighted_reduction_index(r: ArrayLike, bands: Sequence[int] | None = None) -> NDArray[np.int64]:
    """Rw of spectra of the sound reduction index; likewise R'w, DnT,w, Dn,e,w of theirs. [dB]

    Parameters
    ----------
    r : array_like, shape (..., bands)
        Sound reduction index; taken to one decimal, halves upwards. [dB]
    bands : sequence of int, optional
        Nominal frequencies of the bands; left out, the length says (see `bands_of`). Octaves are rated as
        octaves. [Hz]

    Returns
    -------
    ndarray of int, shape (...)

    Raises
    ------
    InputError
        A band of 100-3150 Hz (octaves: 125-2000 Hz) is missing or its value not finite.

    References
    ----------
    ISO 717-1:2020 4.4: the reference curve is shifted by whole decibels until the sum of unfavourable
    deviations is as large as possible, at most 32.0 dB (octaves: 10.0 dB).

    Examples
    --------
    >>> brick = [33, 36, 39, 42, 45, 48, 51, 52, 53, 54, 55, 56, 56, 56, 56, 56]
    >>> int(weighted_reduction_index(brick))
    54
    """
    values, reference, limit = _compared(r, bands)
    return AT_500 + _greatest_shift(values - 10 * reference, limit, 10)


def fine_weighted_reduction_index(r: ArrayLike, bands: Sequence[int] | None = None) -> NDArray[np.float64]:
    """Rw in steps of 0.1 dB: for uncertainty and for comparing predictions, not for declaring. [dB]

    Parameters and errors as for `weighted_reduction_index`.

    References
    ----------
    ISO 717-1:2020 4.4 and 4.5, note on uncertainty.

    Examples
    --------
    >>> brick = [33, 36, 39, 42, 45, 48, 51, 52, 53, 54, 55, 56, 56, 56, 56, 56]
    >>> float(fine_weighted_reduction_index(brick))
    54.0
    """
    values, reference, limit = _compared(r, bands)
    fine: NDArray[np.float64] = (10 * AT_500 + _greatest_shift(values - 10 * reference, limit, 1)) / 10
    return fine


def against_spectrum(
    r: ArrayLike, kind: Kind = "C", within: Range = "100-3150", bands: Sequence[int] | None = None
) -> NDArray[np.float64]:
    """X_A = -10 lg Σ 10^((L - R)/10): insulation against a noise of given spectrum, unrounded. [dB]

    Parameters
    ----------
    r, bands
        As for `weighted_reduction_index`.
    kind : "C" or "Ctr"
        Spectrum 1 (living noise, A-weighted pink) or 2 (town traffic).
    within : "100-3150", "50-3150", "50-5000" or "100-5000"
        Range of frequencies. [Hz]

    Returns
    -------
    ndarray, shape (...)

    Raises
    ------
    InputError
        A band of the range is missing or its value not finite.

    References
    ----------
    ISO 717-1:2020 4.5 and annex B.
    """
    in_octaves = is_octaves(bands_of(r, bands))
    wanted = range_bands(within, in_octaves=in_octaves)
    spectrum = (_SPECTRA_OCTAVES if in_octaves else _SPECTRA_THIRDS)[kind, within]
    tenths = in_tenths(r, bands, wanted, f"{kind}, {within} Hz")
    passing: NDArray[np.float64] = np.sum(10.0 ** ((np.array(spectrum) - tenths / 10) / 10), axis=-1)
    against: NDArray[np.float64] = -10 * np.log10(passing)
    return against


def adaptation_term(
    r: ArrayLike, kind: Kind = "C", within: Range = "100-3150", bands: Sequence[int] | None = None
) -> NDArray[np.int64]:
    """Spectrum adaptation term C or Ctr, to be added to Rw. [dB]

    Parameters and errors as for `against_spectrum` and `weighted_reduction_index`.

    Examples
    --------
    >>> brick = [33, 36, 39, 42, 45, 48, 51, 52, 53, 54, 55, 56, 56, 56, 56, 56]
    >>> int(adaptation_term(brick, "C")), int(adaptation_term(brick, "Ctr"))
    (-2, -6)
    """
    return _rounded(against_spectrum(r, kind, within, bands)) - weighted_reduction_index(r, bands)


def spectrum_of(kind: Kind, within: Range = "100-3150") -> NDArray[np.float64]:
    """Levels of a noise spectrum by third-octave band, 0 dB in sum. [dB]"""
    return np.array(_SPECTRA_THIRDS[kind, within], float)


def stc(tl: ArrayLike, bands: Sequence[int] | None = None) -> NDArray[np.int64]:
    """Sound transmission class of spectra of the transmission loss. [dB]

    Parameters
    ----------
    tl : array_like, shape (..., bands)
        Transmission loss (the sound reduction index), taken to whole decibels, halves upwards. [dB]
    bands : sequence of int, optional
        Nominal frequencies; left out, 16 values are 125-4000 Hz here, others as in `bands_of`. [Hz]

    Returns
    -------
    ndarray of int, shape (...)

    Raises
    ------
    InputError
        A band of 125-4000 Hz is missing or its value not finite.

    References
    ----------
    ASTM E413 (contour read, rules from memory): sum of deficiencies at most 32 dB, none above 8 dB.

    Examples
    --------
    >>> int(stc([18, 18, 17, 17, 20, 21, 22, 23, 25, 26, 26, 25, 25, 26, 30, 31]))
    25
    """
    own = e413_bands(tl, bands)
    differences = _rounded(picked(tl, own, _E413_BANDS, "STC")) - STC_CONTOUR
    by_single: NDArray[np.int64] = np.min(differences, axis=-1) + _STC_SINGLE
    return np.minimum(_greatest_shift(differences, _STC_SUM, 1), by_single)


def oitc(tl: ArrayLike, bands: Sequence[int] | None = None) -> NDArray[np.int64]:
    """Outdoor-indoor transmission class of spectra of the transmission loss. [dB]

    Parameters
    ----------
    tl : array_like, shape (..., bands)
        Transmission loss with the bands 80-4000 Hz. [dB]
    bands : sequence of int, optional
        As for `bands_of`. [Hz]

    Returns
    -------
    ndarray of int, shape (...)

    References
    ----------
    ASTM E1332 (from memory): difference of A-weighted levels of a traffic spectrum, to whole decibels.

    Examples
    --------
    A wall that takes 40 dB from every band:

    >>> int(oitc([40.0] * 21))
    40
    """
    loss = picked(tl, bands, _E1332_BANDS, "OITC")
    weighted = np.array(_OITC_LEVELS) + np.array(_A_WEIGHTING)
    return _rounded(_OITC_TOTAL - 10 * np.log10(np.sum(10.0 ** ((weighted - loss) / 10), axis=-1)))


def in_tenths(
    r: ArrayLike, bands: Sequence[int] | None, wanted: Sequence[int], purpose: str
) -> NDArray[np.int64]:
    """Values of the wanted bands to one decimal, as integers. [0.1 dB]"""
    return _rounded(10 * picked(r, bands, wanted, purpose))


def e413_bands(tl: ArrayLike, bands: Sequence[int] | None) -> tuple[int, ...]:
    """Bands of a spectrum that is rated by E413: 16 values without stated bands are 125-4000 Hz."""
    if bands is None and np.shape(tl)[-1:] == (len(_E413_BANDS),):
        return _E413_BANDS
    return bands_of(tl, bands)


def _compared(r: ArrayLike, bands: Sequence[int] | None) -> tuple[NDArray[np.int64], NDArray[np.int64], int]:
    """Values of the rated bands [0.1 dB], reference curve [dB], limit of the sum [0.1 dB]."""
    if is_octaves(bands_of(r, bands)):
        return in_tenths(r, bands, _RATED_OCTAVES, "Rw"), REFERENCE_OCTAVES, _LIMIT_OCTAVES
    return in_tenths(r, bands, _RATED_THIRDS, "Rw"), REFERENCE_THIRDS, _LIMIT_THIRDS


def range_bands(within: Range, *, in_octaves: bool) -> tuple[int, ...]:
    """Bands of a range of frequencies, as thirds or octaves."""
    low, high = (int(edge) for edge in within.split("-"))
    return octaves(low, 2000 if high == 3150 else 4000) if in_octaves else thirds(low, high)


def _greatest_shift(differences: NDArray[np.int64], limit: int, step: int) -> NDArray[np.int64]:
    """Greatest k, a multiple of ``step``, with Σ max(0, k - d) at most ``limit``; in steps, exactly."""
    running = np.cumsum(np.sort(differences, axis=-1), axis=-1)
    counts = np.arange(1, differences.shape[-1] + 1)
    shift: NDArray[np.int64] = np.min((limit + running) // (step * counts), axis=-1)
    return shift


def _rounded(values: NDArray[np.float64]) -> NDArray[np.int64]:
    """To integers, halves upwards; what decimal input means by a half is met in spite of binary fractions."""
    return np.floor(np.round(values, 6) + 0.5).astype(np.int64)
