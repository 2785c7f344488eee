"""The options that no other beats: exact, and quick enough to ask again at every change of a target."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from innerleaf.design.choice.criteria import Ints

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

_BLOCK = 4096  # options held against all others at a time: their tables stay in the cache


def non_dominated(losses: ArrayLike) -> Ints:
    """Which options no other beats.

    Parameters
    ----------
    losses : array_like, shape (options, criteria)
        The less the better; comparable numbers, infinity included, no NaN.

    Returns
    -------
    ndarray
        Indices, rising. An option is beaten by one that is no worse in any criterion and better in one;
        of equal options each is in or each is out.

    Notes
    -----
    For a block of options and each criterion, the set of those no worse than a value is a prefix of the
    block in the order of that criterion. Sets are bits; their intersection over the criteria is the set
    of options no worse in all of them. An option is beaten if that holds more than itself (equal options
    are counted once beforehand).
    """
    values = np.asarray(losses)
    if values.ndim != 2 or not len(values) or not values.shape[1]:
        return np.arange(len(values), dtype=np.int64)
    rows, back = np.unique(values, axis=0, return_inverse=True)
    ranks = np.stack([np.unique(column, return_inverse=True)[1] for column in rows.T], axis=1)
    order = np.argsort(ranks.sum(axis=1), kind="stable")  # strong ones first: they beat most
    ranks = ranks[order]
    alive = np.arange(len(ranks))
    for start in range(0, len(ranks), _BLOCK):
        block = ranks[start : start + _BLOCK]
        no_worse = _no_worse(block, ranks[alive])
        itself = (alive >= start) & (alive < start + len(block))
        alive = alive[np.bitwise_count(no_worse).sum(axis=1) <= itself]
    kept = np.zeros(len(rows), bool)
    kept[order[alive]] = True
    return np.flatnonzero(kept[back.reshape(-1)])


def _no_worse(block: Ints, asked: Ints) -> NDArray[np.uint64]:
    """Bits of those in ``block`` that are no worse than each asked in every criterion, (asked, words)."""
    words = -(-len(block) // 64)
    found: NDArray[np.uint64] | None = None
    for own, others in zip(block.T, asked.T, strict=True):
        order = np.argsort(own, kind="stable")
        prefix = np.zeros((len(block) + 1, words), np.uint64)
        prefix[np.arange(1, len(block) + 1), order // 64] = np.uint64(1) << (order % 64).astype(np.uint64)
        np.bitwise_or.accumulate(prefix, axis=0, out=prefix)
        sets = prefix[np.searchsorted(own[order], others, side="right")]
        found = sets if found is None else np.bitwise_and(found, sets, out=found)
    assert found is not None  # there is a criterion
    return found
