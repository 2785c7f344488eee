"""Sound on several ways at once: energies added, rated, and compared by what arrives of a usual noise.

Values are tuples with one entry per third-octave band, or with a single weighted index and no bands.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from innerleaf.physics.sound.bands import picked, thirds
from innerleaf.physics.sound.ratings import fine_weighted_reduction_index, spectrum_of


def together(ways: Sequence[Sequence[float]]) -> tuple[float, ...]:
    """Insulation of ways side by side, each referred to the same area. [dB]

    >>> [round(r, 2) for r in together([(50.0, 40.0), (50.0, 60.0)])]
    [46.99, 39.96]
    """
    total = -10 * np.log10(np.sum(10.0 ** (-np.asarray(ways, float) / 10), axis=0))
    return tuple(float(value) for value in total)


def weighted(r: Sequence[float], bands: Sequence[int]) -> float:
    """Weighted index in tenths of values by band; without bands the one value itself. [dB]"""
    return float(fine_weighted_reduction_index(r, bands)) if bands else r[0]


def shares(ways: Sequence[Sequence[float]], bands: Sequence[int]) -> tuple[float, ...]:
    """What part of the sound that arrives comes on each way. [%]

    By band, of the energy of spectrum 1 of ISO 717-1 (living noise, A-weighted) from 100 to 3150 Hz.

    >>> [round(share, 1) for share in shares([(50.0,), (60.0,)], ())]
    [90.9, 9.1]
    """
    if bands:
        rated = picked(np.asarray(ways, float), bands, thirds(100, 3150), "share of the sound")
        arriving = np.sum(10.0 ** ((spectrum_of("C") - rated) / 10), axis=-1)
    else:
        arriving = 10.0 ** (-np.asarray(ways, float)[:, 0] / 10)
    return tuple(float(part) for part in 100 * arriving / arriving.sum())
