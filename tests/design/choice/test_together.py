"""The choice for a building is the best of all there are, tried one by one."""

from __future__ import annotations

from itertools import product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from innerleaf.design.choice.together import Shared, choose_together, variety, within_limits
from innerleaf.errors import InputError


@st.composite
def cases(draw: st.DrawFn) -> tuple[np.ndarray, list[Shared]]:
    """Up to four walls and six options; things shared by options, by walls, or by both."""
    walls, options = draw(st.integers(1, 4)), draw(st.integers(1, 6))
    cost = st.one_of(st.integers(1, 9), st.just(np.inf))
    costs = np.array(
        draw(st.lists(st.lists(cost, min_size=options, max_size=options), min_size=walls, max_size=walls)),
        float,
    )
    costs[:, 0] = np.where(np.isfinite(costs).any(axis=1), costs[:, 0], 5.0)

    def labels(shape: tuple[int, ...]) -> np.ndarray:
        count = int(np.prod(shape))
        return np.array(draw(st.lists(st.integers(0, 2), min_size=count, max_size=count))).reshape(shape)

    some = tuple(wall for wall in range(walls) if draw(st.booleans()))
    each_more = st.sampled_from([0.0, 0.5, 2.0, 7.0])
    shared = [
        Shared("systems", np.arange(options), draw(each_more), draw(st.sampled_from([None, 1, 2]))),
        Shared("profiles", labels((options,)), draw(each_more)),
        Shared("faces", labels((walls, options)), draw(each_more), walls=some),
    ]
    return costs, shared


@settings(deadline=None)
@given(cases())
def test_the_choice_is_the_best_of_all(case: tuple[np.ndarray, list[Shared]]) -> None:
    costs, shared = case
    values = [
        sum(costs[wall, option] for wall, option in enumerate(options)) + variety(options, shared)
        for options in product(range(costs.shape[1]), repeat=len(costs))
        if within_limits(options, shared)
    ]
    best = min(values, default=np.inf)

    found = choose_together(costs, shared)

    if not np.isfinite(best):
        assert found is None
        return
    assert found is not None
    assert found.value == pytest.approx(best)
    assert found.bound == pytest.approx(best)
    assert found.proved
    assert within_limits(found.options, shared)


def test_walls_alike_choose_alike() -> None:
    """Two walls with the same costs never take different options, though two options are equally good."""
    found = choose_together(np.array([[3.0, 3.0], [3.0, 3.0], [4.0, 1.0], [1.0, 4.0]]))

    assert found is not None
    assert found.options == (0, 0, 1, 0)


def test_a_system_more_is_taken_only_where_it_pays() -> None:
    costs = np.array([[10.0, 30.0], [29.0, 10.0]])
    alone = choose_together(costs, [Shared("systems", np.arange(2), each_more=18.0)])
    shared = choose_together(costs, [Shared("systems", np.arange(2), each_more=21.0)])

    assert alone is not None
    assert (alone.options, alone.value) == ((0, 1), 38.0)
    assert shared is not None
    assert (shared.options, shared.value) == ((0, 0), 39.0)


def test_faces_come_into_one_plane_where_that_pays() -> None:
    """The second wall takes the dearer option, which ends in the plane of the first."""
    faces = Shared("faces", np.array([[100, 120], [120, 140]]), each_more=5.0, walls=(0, 1))
    found = choose_together(np.array([[4.0, 6.0], [9.0, 8.0]]), [faces])

    assert found is not None
    assert found.options == (1, 0)


def test_a_wall_without_an_option_is_refused() -> None:
    with pytest.raises(InputError, match="at least one option that is allowed"):
        choose_together(np.array([[1.0, 2.0], [np.inf, np.inf]]))


def test_needless_options_do_not_reach_the_solver() -> None:
    """Of a thousand options that cost more everywhere one is left, and the optimum is the same."""
    rng = np.random.default_rng(2)
    costs = np.concatenate([[[5.0], [5.0]], rng.integers(6, 20, (2, 1000))], axis=1)
    found = choose_together(costs, [Shared("systems", np.arange(1001), each_more=1.0)])

    assert found is not None
    assert (found.columns, found.options) == (1, (0, 0))
