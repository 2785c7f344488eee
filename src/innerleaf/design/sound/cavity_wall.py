"""Old walls of two solid leaves with a cavity between them, tied to one another."""

from __future__ import annotations

from typing import Literal

import numpy as np

from innerleaf.design.sound.model import Solid, cavity, tie
from innerleaf.errors import InputError
from innerleaf.physics.sound.construction import Construction
from innerleaf.physics.sound.transmission import decibels, reduction_index
from innerleaf.practice.acoustics import Acoustics, Workmanship

Ties = Literal["light", "stiff"]


def cavity_wall(
    far: Solid,
    near: Solid,
    as_one: Solid,
    acoustics: Acoustics,
    at: Workmanship,
    *,
    depth_mm: float,
    fill_mm: float = 0.0,
    ties: Ties = "stiff",
) -> Solid:
    """A wall of two leaves, as a laboratory would find it; the answer's leaf is the near one.

    Sound goes by the air between the leaves and by their ties, and along the rim, where both stand on one
    foundation and end at one wall: by that way the two are taken to be one solid wall of the same mass.

    Parameters
    ----------
    far, near : Solid
        The leaves; a lining stands before the near one.
    as_one : Solid
        All their layers as one wall.
    depth_mm, fill_mm : float
        Of the cavity, and of the wool in it. [mm]
    ties : "light" or "stiff"
        Butterflies of wire, or strips. Stiff is the safe side where nobody knows.

    References
    ----------
    Vigran, Building Acoustics (2008), 8.2.2.3: the coupling along the boundary may determine what heavy
    double walls reach, without any gain over a single wall in extreme cases (read).
    """
    if ties not in ("light", "stiff"):
        raise InputError("wall ties", given=ties, accepted="light, stiff")
    double = Construction(
        leaves=(far.leaf, near.leaf),
        cavities=(cavity(depth_mm, fill_mm, acoustics),),
        bridges=((tie(acoustics.frames[f"wall-tie-{ties}"], at),),),
        area=at.width_m * at.height_m,
        leak=10 ** (-at.leak_db / 10),
    )
    shares = 10 ** (-np.stack([reduction_index(double), as_one.index]) / 10)
    working = (
        f"two leaves, {far.leaf.mass:.0f} and {near.leaf.mass:.0f} kg/m², {depth_mm:.0f} mm apart,"
        f" {ties} ties, joined at the rim as one wall ({as_one.working})"
    )
    return Solid(leaf=near.leaf, index=decibels(shares.sum(axis=0)), working=working)
