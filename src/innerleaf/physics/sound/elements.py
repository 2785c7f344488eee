"""A homogeneous element measured in the laboratory, as a flank in the building: for the detailed model."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from innerleaf.physics.sound.bands import bands_of
from innerleaf.physics.sound.flanking import Element
from innerleaf.physics.sound.in_situ import (
    absorption_length,
    laboratory_loss,
    reduction_in_situ,
    structural_reverberation,
    total_loss,
)

if TYPE_CHECKING:
    from numpy.typing import ArrayLike


def element_in_building(
    name: str,
    laboratory_r: ArrayLike,
    bands: Sequence[int],
    *,
    area: float,
    mass: float,
    internal_loss: float,
    critical_frequency: float,
    radiation: ArrayLike,
    edges: ArrayLike,
    improvement: Sequence[float] = (0.0,),
) -> Element:
    """An element with its reduction index and absorption length as built in.

    Parameters
    ----------
    name : str
    laboratory_r : array_like, shape (bands,)
        Sound reduction index measured in the laboratory, or worked out for it. [dB]
    bands : sequence of int
        [Hz]
    area, mass : float
        [m², kg/m²]
    internal_loss : float
        Loss factor of the material. [-]
    critical_frequency : float
        [Hz]
    radiation : array_like, shape (bands,)
        Radiation factor for free bending waves (`radiation.free_efficiency`). [-]
    edges : array_like
        Sum over the edges of length times `edge_absorption`. [m]
    improvement : sequence of float
        By a lining on the room's side, one value or one per band. [dB]

    Raises
    ------
    InputError
        Spectra with more or fewer values than bands, sizes not above 0, a mass above 800 kg/m².

    Notes
    -----
    R and absorption length both rest on the structural reverberation time: Ts from the total loss factor in
    the building, against Ts in a test opening.

    References
    ----------
    EN 12354-1:2000 4.2.2, (19) and (22), annex C.
    """
    for spectrum in (laboratory_r, radiation):
        bands_of(spectrum, bands)  # as many values as bands
    f = np.asarray(bands, float)
    loss = total_loss(
        f,
        internal=internal_loss,
        mass=mass,
        radiation=radiation,
        area=area,
        critical_frequency=critical_frequency,
        edges=edges,
    )
    here = structural_reverberation(f, loss)
    there = structural_reverberation(f, laboratory_loss(f, internal=internal_loss, mass=mass))
    return Element(
        name=name,
        r=tuple(reduction_in_situ(laboratory_r, there, here).tolist()),
        area=area,
        improvement=tuple(improvement),
        absorption_length=tuple(absorption_length(f, area, here).tolist()),
    )
