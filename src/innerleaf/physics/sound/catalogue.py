"""Every combination of leaves before and behind a list of cavities: the same model, from tables."""

from __future__ import annotations

from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from typing import TYPE_CHECKING, Final

import numpy as np

from innerleaf.errors import InputError
from innerleaf.physics.sound.construction import (
    BRIDGE_FIELDS,
    MOST_BRIDGES,
    NO_BRIDGE,
    Bridge,
    Cavity,
)
from innerleaf.physics.sound.leaf import Leaf
from innerleaf.physics.sound.transmission import CENTRES, USUAL, Nodes, decibels, gauss

if TYPE_CHECKING:
    from numpy.typing import NDArray

_HALF_BAND: Final = np.log(10.0) / 20
_APART: Final = 0.1  # critical frequencies nearer than this, in half bands, share a cut
_IN_PARTS: Final = 4  # frequencies in each part of a band that is cut


def combinations(
    first: Sequence[Leaf],
    cavities: Sequence[Cavity],
    second: Sequence[Leaf],
    *,
    bridges: Sequence[Sequence[Bridge]] = (),
    area: float = 10.0,
    leak: float = 0.0,
    nodes: Nodes = USUAL,
    threads: int = 1,
) -> NDArray[np.float64]:
    """Sound reduction index of all walls of two leaves that the lists make.

    Parameters
    ----------
    first, second : sequence of Leaf
        Leaves of either side.
    cavities : sequence of Cavity
        Between them.
    bridges : sequence of sequence of Bridge
        Those of each cavity; left out, none.
    area : float
        [m²]
    leak : float
        Share of energy by leaks. [-]
    nodes : Nodes
        As for `transmission.transmission`.
    threads : int
        Among which the bands are dealt.

    Returns
    -------
    ndarray, shape (first, cavities, second, 21)
        As `transmission.reduction_index` finds one by one, within the error of the integral. [dB]
    """
    if not first or not second or not cavities:
        given = (len(first), len(cavities), len(second))
        raise InputError("leaves and cavities", given=given, accepted="at least one of each")
    if bridges and len(bridges) != len(cavities):
        raise InputError("bridges", given=len(bridges), accepted=f"{len(cavities)}, those of each cavity")
    tied = np.empty((len(cavities), MOST_BRIDGES, BRIDGE_FIELDS))
    tied[:] = NO_BRIDGE
    for c, several in enumerate(bridges):
        for b, bridge in enumerate(several):
            tied[c, b] = bridge.row()
    shares = _shares(
        np.array([leaf.row() for leaf in first]),
        np.array([cavity.row() for cavity in cavities]),
        np.array([leaf.row() for leaf in second]),
        tied,
        area,
        nodes,
        threads,
    )
    return decibels(np.moveaxis(shares, 0, -1) + leak)


def _shares(
    first: NDArray[np.float64],
    cavities: NDArray[np.float64],
    second: NDArray[np.float64],
    bridges: NDArray[np.float64],
    area: float,
    nodes: Nodes,
    threads: int,
) -> NDArray[np.float64]:
    from innerleaf.physics.sound.catalogue_kernel import run_band

    groups1, of1 = _groups(first)
    groups2, of2 = _groups(second)
    out = np.empty((len(CENTRES), len(first), len(cavities), len(second)))
    angles = gauss(nodes.angles)
    critical = np.unique(np.concatenate([first[:, 1], second[:, 1]]))

    def band(b: int) -> None:
        frequencies, weights = _frequencies(CENTRES[b], critical, nodes.frequencies)
        run_band(
            frequencies, weights, first, groups1, of1, second, groups2, of2,
            cavities, bridges, area, angles, out[b],
        )  # fmt: skip

    with ThreadPoolExecutor(threads) as pool:
        list(pool.map(band, reversed(range(len(CENTRES)))))  # the dearest bands first
    return out


def _groups(leaves: NDArray[np.float64]) -> tuple[NDArray[np.float64], NDArray[np.int64]]:
    """Leaves of one critical frequency share angles, chosen for the narrowest peak among them."""
    critical, of = np.unique(leaves[:, 1], return_inverse=True)
    groups = np.empty((len(critical), 4))
    for g, fc in enumerate(critical):
        members = leaves[of == g]
        groups[g] = (members[:, 0].max(), fc, members[:, 2].min(), members[:, 3].min())
    return groups, of


def _frequencies(
    centre: float, critical: NDArray[np.float64], count: int
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Nodes and weights in a third-octave, cut where leaves have their critical frequency."""
    cuts = [-1.0]
    for x in np.log(critical / centre) / _HALF_BAND:
        if cuts[-1] + _APART < x < 1 - _APART:
            cuts.append(float(x))
    cuts.append(1.0)
    inside = gauss(count if len(cuts) == 2 else _IN_PARTS)
    places, weights = [], []
    for low, high in zip(cuts, cuts[1:], strict=False):
        places.append((low + high) / 2 + (high - low) / 2 * inside[0])
        weights.append(inside[1] * (high - low) / 4)
    return centre * np.exp(_HALF_BAND * np.concatenate(places)), np.concatenate(weights)
