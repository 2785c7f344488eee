"""Targets: met or missed by how much, the closest where nothing passes, and what to give up."""

from __future__ import annotations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from innerleaf.design.choice.criteria import COST, SOUND_GAIN, THICKNESS, U_VALUE, Figures
from innerleaf.design.choice.wanted import Wanted, closest, relax, stand

WANTED = (
    Wanted(U_VALUE, 0.3, "the job"),
    Wanted(THICKNESS, 100.0, "the job"),
    Wanted(SOUND_GAIN, 10.0, "the job"),
)


def figures(u: list[float], thickness: list[float], gain: list[float]) -> Figures:
    return Figures(
        {
            U_VALUE.key: np.array(u),
            THICKNESS.key: np.array(thickness),
            SOUND_GAIN.key: np.array(gain),
            COST.key: np.arange(len(u), dtype=float),
        }
    )


def test_margins_have_the_sign_of_the_target() -> None:
    """At most for U and thickness, at least for sound; a value on its limit is met."""
    standing = stand(figures([0.3, 0.34], [112.0, 100.0], [9.0, 10.0]), WANTED)

    assert np.allclose(standing.shortfalls, np.array([[0, 12, 1], [0.04, 0, 0]]))
    assert standing.passed.tolist() == [False, False]


def test_a_figure_that_is_not_known_meets_nothing() -> None:
    standing = stand(figures([np.nan], [90.0], [12.0]), WANTED)

    assert not standing.passed[0]
    assert "not known" in standing.misses(0, figures([np.nan], [90.0], [12.0]))[0].show()


def test_the_closest_misses_the_fewest_targets_and_them_by_least() -> None:
    """The third misses one target by a tenth, the first two and the second one by more."""
    table = figures([0.33, 0.45, 0.33], [110.0, 90.0, 90.0], [12.0, 12.0, 12.0])
    near = closest(table, stand(table, WANTED), np.arange(3.0))

    assert near.option == 2
    assert [miss.show() for miss in near.misses] == [
        "U-value as set out 0.330 W/(m²·K), missed by 0.030 W/(m²·K)"
    ]


def test_every_target_that_alone_stands_in_the_way_is_named() -> None:
    table = figures([0.33, 0.2, 0.2], [90.0, 130.0, 90.0], [12.0, 12.0, 4.0])
    near = closest(table, stand(table, WANTED), np.arange(3.0))

    assert {(r.wanted.criterion.key, r.option, round(r.by, 6)) for r in near.relaxations} == {
        ("u_value", 0, 0.03),
        ("thickness", 1, 30.0),
        ("sound_gain", 2, 6.0),
    }


@given(arrays(np.float64, (25, 3), elements=st.sampled_from([0.5, 1.0, 1.5])), st.integers(0, 2))
def test_giving_up_a_target_frees_what_missed_it_alone(values: np.ndarray, target: int) -> None:
    """Held against every option: the best once the target is dropped, and the least it has to give way."""
    wanted = [Wanted(c, 1.0, "") for c in (U_VALUE, THICKNESS, COST)]
    table = Figures({w.criterion.key: values[:, k] for k, w in enumerate(wanted)})
    worth = np.arange(25.0)[::-1]
    others = [k for k in range(3) if k != target]
    free = [i for i in range(25) if (values[i, others] <= 1.0).all()]

    found = relax(stand(table, wanted), target, worth)

    if not free:
        assert found is None
        return
    assert found is not None
    assert found.option == min(free, key=lambda i: worth[i])
    assert found.by == max(0.0, min(values[i, target] for i in free) - 1.0)
