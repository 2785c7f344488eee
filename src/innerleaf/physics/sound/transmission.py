"""Third-octave sound reduction index of walls from what they are made of, many at once."""

from __future__ import annotations

from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from typing import TYPE_CHECKING, Final, NamedTuple

import numpy as np

from innerleaf.errors import InputError
from innerleaf.physics.sound.bands import THIRDS
from innerleaf.physics.sound.construction import Arrays, Construction, as_arrays

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

_FIRST_BAND: Final = 17  # 50 Hz is band number 17: 10^(n/10) Hz
CENTRES: Final = tuple(10 ** ((_FIRST_BAND + i) / 10) for i in range(len(THIRDS)))  # exact [Hz]


class Nodes(NamedTuple):
    """How fine the integral is: frequencies in a band, angles on each side of a coincidence."""

    frequencies: int
    angles: int


USUAL: Final = Nodes(4, 7)
DENSE: Final = Nodes(24, 48)


class Shares(NamedTuple):
    """Shares of sound energy that pass, (n, 21) each, in the bands of `bands.THIRDS`."""

    by_air: NDArray[np.float64]
    by_bridges: NDArray[np.float64]
    alone: NDArray[np.float64]  # (n, 21, leaves): each leaf on its own, infinite plate with finite radiation


def transmission(arrays: Arrays, *, nodes: Nodes = USUAL, threads: int = 1) -> Shares:
    """Shares of sound energy through walls, without leaks.

    Parameters
    ----------
    arrays : Arrays
        From `construction.as_arrays`, or built directly.
    nodes : Nodes
        How fine the integral is; `DENSE` to check.
    threads : int
        Among which the constructions are dealt; the answer does not depend on it.

    Notes
    -----
    A diffuse field over all angles, 0 to 90°. Bands are means of energy over third-octaves.
    """
    from innerleaf.physics.sound.kernel import run

    if threads < 1:
        raise InputError("threads", given=threads, accepted="1 or more")
    count, leaves = arrays.leaves.shape[:2]
    out = np.zeros((count, len(CENTRES), 2 + leaves))
    inside, angles = gauss(nodes.frequencies), gauss(nodes.angles)
    centres = np.array(CENTRES)

    def part(which: slice) -> None:
        a = arrays
        run(
            a.leaves[which],
            a.cavities[which],
            a.bridges[which],
            a.area[which],
            centres,
            inside,
            angles,
            out[which],
        )

    size = max(1, min(500, -(-count // threads)))
    pieces = [slice(begin, begin + size) for begin in range(0, count, size)]
    if threads == 1 or len(pieces) == 1:
        for piece in pieces:
            part(piece)
    else:
        with ThreadPoolExecutor(threads) as pool:
            list(pool.map(part, pieces))
    return Shares(out[..., 0], out[..., 1], out[..., 2:])


def reduction_index(
    constructions: Construction | Sequence[Construction], *, nodes: Nodes = USUAL, threads: int = 1
) -> NDArray[np.float64]:
    """Sound reduction index in third-octave bands 50-5000 Hz.

    Parameters
    ----------
    constructions : Construction or sequence of Construction
        One wall, or several with equally many leaves.

    Returns
    -------
    ndarray, shape (21,) or (n, 21)
        [dB]

    Notes
    -----
    Solid walls on their own follow `heavy.heavy_reduction_index`; with a lining `lined` starts from that.

    Examples
    --------
    A board of 12.5 mm: mass law below, coincidence above:

    >>> from innerleaf.physics.sound.leaf import Leaf
    >>> board = Leaf(mass=8.8, critical_frequency=2600.0, loss_factor=0.03)
    >>> [round(float(r)) for r in reduction_index(Construction(leaves=(board,)))[[4, 10, 17]]]
    [16, 25, 20]
    """
    one = isinstance(constructions, Construction)
    arrays = as_arrays([constructions] if isinstance(constructions, Construction) else constructions)
    shares = transmission(arrays, nodes=nodes, threads=threads)
    index = decibels(shares.by_air + shares.by_bridges + arrays.leak[:, None])
    return index[0] if one else index


def lined(
    base_index: ArrayLike,
    constructions: Construction | Sequence[Construction],
    *,
    base: int,
    nodes: Nodes = USUAL,
    threads: int = 1,
) -> NDArray[np.float64]:
    """Sound reduction index of solid walls with linings on one or both sides.

    Parameters
    ----------
    base_index : array_like, shape (21,) or (n, 21)
        Of the wall without linings: measured, or `heavy.heavy_reduction_index`. [dB]
    constructions : Construction or sequence of Construction
        The lined walls.
    base : int
        Which of their leaves is the wall, counted from 0.

    Returns
    -------
    ndarray, shape (21,) or (n, 21)
        [dB]

    Notes
    -----
    What the model finds that linings add to the same wall in the model is added to the index given, by
    `improved`.
    """
    one = isinstance(constructions, Construction)
    arrays = as_arrays([constructions] if isinstance(constructions, Construction) else constructions)
    if not 0 <= base < arrays.leaves.shape[1]:
        raise InputError("base", given=base, accepted=f"0 to {arrays.leaves.shape[1] - 1}")
    shares = transmission(arrays, nodes=nodes, threads=threads)
    gain = decibels((shares.by_air + shares.by_bridges) / shares.alone[..., base])
    index = improved(base_index, gain, arrays.leak[:, None])
    return index[0] if one else index


def improved(base_index: ArrayLike, gain: ArrayLike, leak: ArrayLike) -> NDArray[np.float64]:
    """Reduction index of a wall whose solid part is improved, and what goes by its leaks is not.

    Parameters
    ----------
    base_index, gain : array_like
        Of the wall as it is, its leaks included, and what a lining adds. [dB]
    leak : array_like
        Share of sound energy that goes by leaks and flanks; no more than all that goes through the wall as it
        is, so that a lining opens no way that was not there. [-]

    Examples
    --------
    A leak of 70 dB under 12 dB of gain; a wall of 75 dB has none:

    >>> improved([50.0, 65.0, 75.0], 12.0, 1e-7).round(1).tolist()
    [61.4, 69.4, 75.0]
    """
    bare = 10.0 ** (-np.asarray(base_index, float) / 10)
    leaks = np.minimum(leak, bare)
    return decibels((bare - leaks) * 10.0 ** (-np.asarray(gain, float) / 10) + leaks)


def decibels(share: NDArray[np.float64]) -> NDArray[np.float64]:
    """Reduction index of a share of energy. [dB]"""
    return np.asarray(-10 * np.log10(share))


def gauss(count: int) -> NDArray[np.float64]:
    """Nodes and weights of Gauss on -1 to 1, two rows."""
    if count < 1:
        raise InputError("nodes", given=count, accepted="1 or more")
    return np.array(np.polynomial.legendre.leggauss(count))
