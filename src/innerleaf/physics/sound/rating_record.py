"""One spectrum rated in full with its working, and what a lining improves, in whole decibels."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final, Literal

import numpy as np

from innerleaf.errors import InputError
from innerleaf.physics.sound.bands import THIRDS, bands_of, is_octaves
from innerleaf.physics.sound.ratings import (
    AT_500,
    REFERENCE_OCTAVES,
    REFERENCE_THIRDS,
    Kind,
    Range,
    adaptation_term,
    fine_weighted_reduction_index,
    in_tenths,
    oitc,
    range_bands,
    stc,
    weighted_reduction_index,
)

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

Element = Literal["heavy wall", "heavy floor", "light wall"]

# ISO 717-1:2020 table E.1: elements on which linings are rated, 50-5000 Hz. [dB]
REFERENCE_ELEMENTS: Final[dict[Element, tuple[float, ...]]] = {
    "heavy wall": (
        35.3, 37.3, 39.4, 40.0, 40.0, 40.0, 40.0, 41.0, 43.5, 46.1, 48.5, 51.0, 53.6, 56.0, 58.4, 61.1, 63.6,
        65.0, 65.0, 65.0, 65.0,
    ),
    "heavy floor": (
        34.0, 36.0, 38.1, 40.0, 40.0, 40.0, 40.0, 40.0, 41.8, 44.4, 46.8, 49.3, 51.9, 54.4, 56.8, 59.5, 61.9,
        64.3, 65.0, 65.0, 65.0,
    ),
    "light wall": (
        21.3, 23.3, 25.3, 27.0, 27.0, 27.0, 27.0, 27.0, 27.0, 27.0, 27.0, 28.0, 30.5, 32.8, 35.1, 37.6, 40.0,
        42.3, 44.6, 47.1, 49.4,
    ),
}  # fmt: skip

# What is compared before and after a lining: Rw, and Rw with each adaptation term.
_TERMS: Final[tuple[tuple[Kind, Range], ...]] = (
    ("C", "100-3150"),
    ("Ctr", "100-3150"),
    ("C", "50-3150"),
    ("C", "50-5000"),
    ("C", "100-5000"),
    ("Ctr", "50-3150"),
    ("Ctr", "50-5000"),
    ("Ctr", "100-5000"),
)
SUMS: Final = ("Rw", *(f"Rw+{kind}{'' if within == '100-3150' else within}" for kind, within in _TERMS))


@dataclass(frozen=True, slots=True, kw_only=True)
class Rating:
    """A spectrum rated. [dB]

    ``terms`` has those of other ranges that the spectrum reaches, by names such as ``C50-5000``; ``stc`` and
    ``oitc`` are None where it does not reach. ``bands``, ``contour`` (the reference as shifted) and
    ``deficiencies`` are those of Rw, band by band.
    """

    rw: int
    rw_fine: float
    c: int
    ctr: int
    terms: dict[str, int]
    stc: int | None
    oitc: int | None
    shift: int
    bands: tuple[int, ...]
    contour: tuple[int, ...]
    deficiencies: tuple[float, ...]

    @property
    def sum_of_deficiencies(self) -> float:
        """At most 32.0, octaves 10.0."""
        return round(sum(self.deficiencies), 1)

    def __str__(self) -> str:
        return f"{self.rw} ({self.c}; {self.ctr}) dB"


def rated(r: ArrayLike, bands: Sequence[int] | None = None) -> Rating:
    """Rate one spectrum in every way that its bands allow, with the working of Rw.

    Parameters
    ----------
    r : array_like, shape (bands,)
        Sound reduction index. [dB]
    bands : sequence of int, optional
        As for `bands_of`. [Hz]

    Raises
    ------
    InputError
        Not one spectrum; or a band of 100-3150 Hz (octaves: 125-2000 Hz) missing or not finite.

    References
    ----------
    ISO 717-1:2020; ASTM E413; ASTM E1332.

    Examples
    --------
    >>> brick = rated([33, 36, 39, 42, 45, 48, 51, 52, 53, 54, 55, 56, 56, 56, 56, 56])
    >>> str(brick), brick.shift, brick.sum_of_deficiencies
    ('54 (-2; -6) dB', 2, 32.0)
    """
    if np.ndim(r) != 1:
        raise InputError("sound spectrum", given=np.shape(r), accepted="one row of values")
    own = bands_of(r, bands)
    rw = int(weighted_reduction_index(r, bands))
    shift = rw - AT_500
    in_octaves = is_octaves(own)
    of_rw = range_bands("100-3150", in_octaves=in_octaves)
    contour = (REFERENCE_OCTAVES if in_octaves else REFERENCE_THIRDS) + shift
    short = np.maximum(10 * contour - in_tenths(r, bands, of_rw, "Rw"), 0) / 10
    terms = {
        kind if within == "100-3150" else f"{kind}{within}": int(adaptation_term(r, kind, within, bands))
        for kind, within in _TERMS
        if set(range_bands(within, in_octaves=in_octaves)) <= set(own)
    }
    thirds_to_4000 = not in_octaves and 4000 in own
    return Rating(
        rw=rw,
        rw_fine=float(fine_weighted_reduction_index(r, bands)),
        c=terms.pop("C"),
        ctr=terms.pop("Ctr"),
        terms=terms,
        stc=int(stc(r, own)) if thirds_to_4000 else None,
        oitc=int(oitc(r, own)) if thirds_to_4000 and 80 in own else None,
        shift=shift,
        bands=of_rw,
        contour=tuple(int(value) for value in contour),
        deficiencies=tuple(float(value) for value in short),
    )


def rating_sums(r: ArrayLike, bands: Sequence[int] | None = None) -> NDArray[np.int64]:
    """Rw and Rw with each adaptation term, in the order of `SUMS`. [dB]

    Parameters
    ----------
    r : array_like, shape (..., bands)
        Sound reduction index with all thirds of 50-5000 Hz. [dB]

    Returns
    -------
    ndarray of int, shape (..., 9)
    """
    rw = weighted_reduction_index(r, bands)
    with_terms = [rw + adaptation_term(r, kind, within, bands) for kind, within in _TERMS]
    return np.stack([rw, *with_terms], axis=-1)


def improvement_on_reference(delta_r: ArrayLike, element: Element = "heavy wall") -> NDArray[np.int64]:
    """What a lining improves on a reference element: delta Rw, delta (Rw + C) and so on. [dB]

    Parameters
    ----------
    delta_r : array_like, shape (..., 21)
        Improvement of the sound reduction index by the lining, 50-5000 Hz. [dB]
    element : "heavy wall", "heavy floor" or "light wall"
        The basic element. The heavy wall stands for one of about 350 kg/m² (Rw 53).

    Returns
    -------
    ndarray of int, shape (..., 9)
        In the order of `SUMS`.

    References
    ----------
    ISO 717-1:2020 annexes D and E.

    Examples
    --------
    A lining that adds 10 dB to every band:

    >>> improvement_on_reference([10.0] * 21).tolist()
    [10, 10, 10, 10, 10, 10, 10, 10, 10]
    """
    bare = np.array(REFERENCE_ELEMENTS[element])
    return improvement(bare, bare + np.asarray(delta_r, float), THIRDS)


def improvement(before: ArrayLike, after: ArrayLike, bands: Sequence[int] | None = None) -> NDArray[np.int64]:
    """Direct difference of the ratings of one wall before and after. [dB]

    Parameters
    ----------
    before, after : array_like, shape (..., 21)
        Sound reduction index, 50-5000 Hz. [dB]

    Returns
    -------
    ndarray of int, shape (..., 9)
        In the order of `SUMS`.

    References
    ----------
    ISO 717-1:2020 annex D, direct difference.
    """
    return rating_sums(after, bands) - rating_sums(before, bands)
