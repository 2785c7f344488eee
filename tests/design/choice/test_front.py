"""The front is exactly what comparing every pair leaves."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from innerleaf.design.choice import front
from innerleaf.design.choice.front import non_dominated

if TYPE_CHECKING:
    import pytest


def by_pairs(losses: np.ndarray) -> list[int]:
    """Every option held against every other."""
    return [
        i
        for i, one in enumerate(losses)
        if not any((other <= one).all() and (other < one).any() for other in losses)
    ]


@given(
    st.tuples(st.integers(0, 60), st.integers(1, 8)).flatmap(
        lambda shape: arrays(np.int64, shape, elements=st.integers(0, 5))
    )
)
def test_the_front_is_what_no_other_option_beats(losses: np.ndarray) -> None:
    assert non_dominated(losses).tolist() == by_pairs(losses)


@given(
    st.integers(1, 6).flatmap(
        lambda k: arrays(np.float64, (30, k), elements=st.sampled_from([0.5, 1, 2, np.inf]))
    )
)
def test_infinite_losses_compare_like_any_other(losses: np.ndarray) -> None:
    assert non_dominated(losses).tolist() == by_pairs(losses)


def test_blocks_change_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    """The front is the same however many options are held against the rest at a time."""
    losses = np.random.default_rng(1).integers(0, 12, (500, 4))
    whole = non_dominated(losses).tolist()

    monkeypatch.setattr(front, "_BLOCK", 7)

    assert non_dominated(losses).tolist() == whole == by_pairs(losses)


def test_equal_options_stay_together() -> None:
    """Of two that are equal neither beats the other: both are in, or both are out."""
    assert non_dominated([[1, 2], [1, 2], [2, 1], [2, 2], [2, 2]]).tolist() == [0, 1, 2]


def test_without_criteria_nothing_beats_anything() -> None:
    assert non_dominated(np.zeros((3, 0))).tolist() == [0, 1, 2]
    assert non_dominated(np.zeros((0, 4))).tolist() == []


@given(arrays(np.int64, (40, 3), elements=st.integers(0, 9)), st.permutations(range(40)))
def test_the_order_of_options_does_not_matter(losses: np.ndarray, order: list[int]) -> None:
    kept = {tuple(losses[k]) for k in non_dominated(losses)}

    assert {tuple(losses[order][k]) for k in non_dominated(losses[order])} == kept
