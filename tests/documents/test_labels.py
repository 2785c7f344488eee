"""Words keep apart."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from innerleaf.documents.labels import Labels, spread
from innerleaf.documents.sheet import text_box, text_width


@given(st.lists(st.floats(0, 300), max_size=40), st.floats(0.5, 5))
def test_spread_keeps_the_order_and_the_gap(places: list[float], gap: float) -> None:
    wanted = sorted(places)

    found = spread(wanted, gap)

    assert len(found) == len(wanted)
    assert all(b - a >= gap - 1e-6 for a, b in zip(found, found[1:], strict=False))


@given(st.lists(st.floats(0, 300), max_size=10))
def test_spread_stays_within_its_limits_when_there_is_room(places: list[float]) -> None:
    found = spread(sorted(places), 3, low=0, high=300)

    assert all(-1e-6 <= place <= 300 + 1e-6 for place in found)


def test_spread_leaves_alone_what_is_far_enough_apart() -> None:
    assert spread([0, 10, 20], 3) == [0, 10, 20]


def test_a_word_takes_the_first_free_place() -> None:
    labels = Labels()
    labels.take((0, 0, 10, 10))

    assert labels.place("S01", 3, [(5, 5), (30, 5)]) == (30, 5)


def test_a_place_is_given_once() -> None:
    labels = Labels()
    labels.place("S01", 3, [(30, 5)])

    assert labels.place("S02", 3, [(30, 5)]) is None


def test_members_are_covered_only_where_nothing_else_is_free() -> None:
    thing, labels = (48.0, 48.0, 52.0, 52.0), Labels()
    labels.take((45, 0, 55, 100), lightly=True)

    at = labels.place_near("pipe", 3, thing)
    assert at
    assert not 43 < at[0] < 57

    crowded = Labels()
    crowded.take((0, 0, 100, 100), lightly=True)
    assert crowded.place_near("pipe", 3, thing) == (50, 53.9)


def test_bounds_are_kept() -> None:
    labels = Labels((0, 0, 20, 20))

    assert labels.place("S01", 3, [(1, 10), (10, 25), (10, 10)]) == (10, 10)


def test_upright_words_take_an_upright_box() -> None:
    left, bottom, right, top = text_box((0, 0), "1250", 3, "start", upright=True)

    assert top - bottom == text_width("1250", 3)
    assert right - left < top - bottom


def test_the_white_round_words_hides_no_other_words() -> None:
    """Two words that only just clear each other are too near where each needs room of its own."""
    labels = Labels()
    assert labels.place("B1-09", 3, [(10, 10)], clear=0.5)
    beside = (10, 10 + 2 * 0.42 * 3 + 0.1)

    assert labels.place("box-1", 3, [beside], clear=0.5) is None
    assert labels.place("box-1", 3, [(beside[0], beside[1] + 1)], clear=0.5)
