"""Forces on anchors and fixings, and what they may be: brackets, perimeter, board screws, hung loads.

All functions take arrays. A resistance is what a supplier declares or a test on site finds; a check
compares the force times its load factor with the resistance over its safety factor.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from innerleaf.errors import InputError

Values = NDArray[np.float64]

GRAVITY: Final = 9.81  # m/s²


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Check:
    """A force with its load factor against a resistance with its safety factor. [N]"""

    force: Values
    allowed: Values

    @property
    def used(self) -> Values:
        """Part of what is allowed."""
        return self.force / self.allowed


def check(force: ArrayLike, declared: ArrayLike, *, load_factor: float, safety: ArrayLike) -> Check:
    """A force [N] against a declared resistance [N]: pull-out, shear or pull-through.

    Raises
    ------
    InputError
        A force is not finite, or a resistance or factor not above 0.

    Examples
    --------
    >>> float(check(200.0, 900.0, load_factor=1.5, safety=2.5).used.round(3))
    0.833
    """
    put, held = _finite("force", force), _above("declared resistance", declared)
    return Check(
        force=np.abs(put) * float(_above("load factor", load_factor)),
        allowed=held / _above("safety factor", safety),
    )


def pulls(reactions: ArrayLike) -> Values:
    """How hard anchors are pulled by supports' reactions against loads towards the wall. [N]

    A bracket that presses on the old wall pulls nothing.
    """
    return np.maximum(-_finite("reactions", reactions), 0.0)


def couple_force(load: ArrayLike, reach: ArrayLike, arm: ArrayLike) -> Values:
    """Each of the two forces across the wall that hold a hung load up: load · reach / arm. [N]

    Parameters
    ----------
    load : array_like
        Weight. [N]
    reach : array_like
        From the load's line of action to what it is hung on. [m]
    arm : array_like
        Between its upper and lower fixings or edges. [m]

    Examples
    --------
    The greatest load by DIN 18183-1, 0.4 kN on a metre at 0.3 m, on an arm of 0.3 m:

    >>> float(couple_force(400.0, 0.3, 0.3))
    400.0
    """
    return np.asarray(_finite("load", load) * _finite("reach", reach) / _above("arm", arm))


def fixing_shear(reaction: ArrayLike, member_spacing: ArrayLike, fixing_spacing: ArrayLike) -> Values:
    """Shear on one fixing of a track that takes a reaction from each member. [N]

    The track shares the reactions of its members over its length; no fixing takes less than that of one
    member next to it.
    """
    line = _finite("reaction", reaction) / _above("member spacing", member_spacing)
    shared = line * _above("fixing spacing", fixing_spacing)
    return np.asarray(np.maximum(np.abs(shared), np.abs(_finite("reaction", reaction))))


def screw_pull(pressure: ArrayLike, member_spacing: ArrayLike, screw_spacing: ArrayLike) -> Values:
    """Pull on one board screw by a pressure from behind the board. [N]"""
    field = _above("member spacing", member_spacing) * _above("screw spacing", screw_spacing)
    return np.asarray(_finite("pressure", pressure) * field)


def anchors_needed(load: ArrayLike, each: ArrayLike) -> NDArray[np.int64]:
    """How many cavity anchors a load [N] needs, of which each may carry ``each`` [N]."""
    return np.ceil(_finite("load", load) / _above("load of an anchor", each) - 1e-9).astype(np.int64)


def anchors_that_fit(width: ArrayLike, apart: ArrayLike) -> NDArray[np.int64]:
    """How many anchors fit side by side over a width, ``apart`` from each other. [m]"""
    room = _finite("width", width) / _above("distance of anchors", apart)
    return np.floor(room + 1e-9).astype(np.int64) + 1


def _finite(field: str, given: ArrayLike) -> Values:
    value = np.asarray(given, float)
    if not np.all(np.isfinite(value)):
        raise InputError(field, given=given, accepted="finite")
    return value


def _above(field: str, given: ArrayLike) -> Values:
    value = np.asarray(given, float)
    if not np.all(np.isfinite(value) & (value > 0)):
        raise InputError(field, given=given, accepted="above 0, finite")
    return value
