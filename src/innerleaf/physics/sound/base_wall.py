"""Weighted reduction index of a heavy wall from its mass alone: laws of the form a·lg m' + b·m' + c."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from innerleaf.errors import InputError

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray


def mass_law(mass: ArrayLike, slope: float, constant: float, linear: float = 0.0) -> NDArray[np.float64]:
    """Rw by a mass law, wherever the law holds. [dB]

    Parameters
    ----------
    mass : array_like
        Mass of the wall with its plaster. [kg/m²]
    slope, constant, linear : float
        Of the law: slope·lg(mass) + linear·mass + constant. Laws with their sources and ranges of mass are
        data: ``practice.mass_laws``. [dB, dB, dB·m²/kg]

    Raises
    ------
    InputError
        A mass not above 0 or not finite.

    Examples
    --------
    EN 12354-1 annex B for 484 kg/m²:

    >>> round(float(mass_law(484.0, 37.5, -42.0)), 1)
    58.7
    """
    m = np.asarray(mass, float)
    if not np.all(np.isfinite(m) & (m > 0)):
        raise InputError("mass of the wall", given=mass, accepted="above 0 kg/m², finite")
    return np.asarray(slope * np.log10(m) + linear * m + constant)
