"""Frequency bands by their nominal centre frequencies, and picking some of them out of a spectrum. [Hz]"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Final

import numpy as np

from innerleaf.errors import InputError

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

# Nominal frequencies of IEC 61260-1.
THIRDS: Final = (
    50, 63, 80, 100, 125, 160, 200, 250, 315, 400, 500, 630, 800, 1000, 1250, 1600, 2000, 2500, 3150, 4000,
    5000,
)  # fmt: skip
OCTAVES: Final = (63, 125, 250, 500, 1000, 2000, 4000)
_NUMBERED: Final = (10, 12.5, 16, 20, 25, 31.5, 40, *THIRDS, 6300, 8000, 10000)  # bands 10 to 40
_BAND_EDGES: Final = 10 ** (np.arange(9.5, 41.5) / 10)


def thirds(low: int, high: int) -> tuple[int, ...]:
    """Third-octave bands from ``low`` to ``high``, both included.

    >>> thirds(100, 200)
    (100, 125, 160, 200)
    """
    return tuple(band for band in THIRDS if low <= band <= high)


def octaves(low: int, high: int) -> tuple[int, ...]:
    """Octave bands from ``low`` to ``high``, both included."""
    return tuple(band for band in OCTAVES if low <= band <= high)


# What a spectrum without stated bands is taken for, by its length.
_BY_LENGTH: Final = {
    len(bands): bands
    for bands in (THIRDS, thirds(50, 3150), thirds(100, 5000), thirds(100, 3150), octaves(125, 2000), OCTAVES)
}


def is_octaves(bands: Sequence[int]) -> bool:
    """Whether bands are octaves and not thirds."""
    return all(band in OCTAVES for band in bands)


def bands_of(spectrum: ArrayLike, bands: Sequence[int] | None) -> tuple[int, ...]:
    """The bands of a spectrum: those given, or those that its length stands for.

    Lengths: 21 for 50-5000 Hz, 19 for 50-3150, 18 for 100-5000, 16 for 100-3150 (thirds), 7 for 63-4000,
    5 for 125-2000 (octaves).

    Raises
    ------
    InputError
        The length stands for nothing; the bands given are not as many as the values, or not rising.
    """
    shape = np.shape(spectrum)
    length = shape[-1] if shape else 0
    if bands is None:
        if length not in _BY_LENGTH:
            accepted = "21, 19, 18 or 16 third-octave or 7 or 5 octave values, or the bands stated"
            raise InputError("sound spectrum, number of bands", given=length, accepted=accepted)
        return _BY_LENGTH[length]
    if len(bands) != length or any(a >= b for a, b in zip(bands, bands[1:], strict=False)):
        accepted = f"{length} rising frequencies, one for each value"
        raise InputError("sound spectrum, bands", given=tuple(bands), accepted=accepted)
    return tuple(bands)


def picked(
    spectrum: ArrayLike, bands: Sequence[int] | None, wanted: Sequence[int], purpose: str
) -> NDArray[np.float64]:
    """The values of a spectrum in the wanted bands.

    Parameters
    ----------
    spectrum : array_like, shape (..., bands)
        [dB]
    bands : sequence of int or None
        As for `bands_of`.
    wanted : sequence of int
        Bands that are needed, rising.
    purpose : str
        What they are needed for; for the message.

    Raises
    ------
    InputError
        A wanted band is missing, or a value there is not finite.
    """
    own = bands_of(spectrum, bands)
    missing = [band for band in wanted if band not in own]
    if missing:
        raise InputError(f"{purpose}, bands missing", given=missing, accepted=f"all of {list(wanted)} Hz")
    values = np.asarray(spectrum, float)[..., [own.index(band) for band in wanted]]
    if not np.all(np.isfinite(values)):
        raise InputError(f"{purpose}, values", given=values.tolist(), accepted="finite numbers [dB]")
    return values


def third_bands_of(frequency: ArrayLike) -> NDArray[np.float64]:
    """Nominal centres of the third-octave bands in which frequencies lie, 10 Hz to 10 kHz. [Hz]

    Bands of base ten: band n reaches from 10^((n - 1/2)/10) to 10^((n + 1/2)/10) Hz.

    References
    ----------
    IEC 61260-1:2014 5.2 to 5.5 (base-ten system; clauses from memory).

    Examples
    --------
    >>> third_bands_of([70.7, 70.85, 178.0]).tolist()
    [63.0, 80.0, 200.0]
    """
    f = np.asarray(frequency, float)
    if not np.all((f >= _BAND_EDGES[0]) & (f < _BAND_EDGES[-1])):
        raise InputError("frequency", given=frequency, accepted="8.92 Hz to 11.2 kHz")
    return np.array(_NUMBERED, float)[np.searchsorted(_BAND_EDGES, f, side="right") - 1]
