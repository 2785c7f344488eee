"""The programme after changes in plain words."""

from __future__ import annotations

import pytest
from tests.programme.house import PROGRAMME, QUICK, built, silent
from tests.programme.test_schedule import CREWS

from innerleaf.errors import InputError
from innerleaf.programme.schedule import outcomes_of, programme_of
from innerleaf.programme.what_if import changed, check_words, usual

SAID = PROGRAMME + CREWS


def test_one_jointer_more_is_another_crew_where_one_works_alone() -> None:
    crews = {crew.id: crew for crew in changed(built(SAID), "one more jointer").said.crews}

    assert (crews["joints"].count, crews["joints"].jointers) == (2, 1)


def test_one_fitter_more_joins_the_crew() -> None:
    crews = {crew.id: crew for crew in changed(built(SAID), "two more fitters").said.crews}

    assert (crews["frame"].count, crews["frame"].fitters) == (1, 4)


def test_crews_of_the_rates_can_be_changed_as_well() -> None:
    assert {crew.id for crew in changed(built(), "one more helper").said.crews} == {"frame", "joints"}


def test_days_lost_are_working_days() -> None:
    """Friday the 6th and Monday the 9th."""
    assert changed(built(SAID), "two days of rain from 2026-03-06").said.days_off == (
        "2026-03-06",
        "2026-03-09",
    )


def test_a_comma_joins_changes() -> None:
    of = changed(built(SAID), "overtime 1.5 h, start 2026-03-09, minutes +10 %")

    assert of.said.overtime is not None
    assert (of.said.overtime.hours, of.said.start) == (1.5, "2026-03-09")
    assert of.times == pytest.approx(1.1)


def test_what_comes_of_them() -> None:
    of = built(SAID)
    base = programme_of(of, QUICK, silent)
    words = ["two days lost", "one more jointer", "2 open from 2026-03-23", "overtime 2 h", "minutes +50 %"]
    lost, more, late, longer, slow = outcomes_of(of, words, base, QUICK, silent)

    assert lost.days_later >= 1
    assert more.days_later <= 0
    assert late.finish > "2026-03-23"
    assert longer.overtime_hours > 0
    assert longer.finish <= base.finish
    assert slow.finish > base.finish
    assert programme_of(of, QUICK, silent) == base  # nothing of them stays


@pytest.mark.parametrize(
    ("words", "fault"),
    [
        ("more people", "one more fitter"),
        ("", "one more fitter"),
        ("one more jointer, and so on", "and so on"),
    ],
)
def test_words_that_say_no_change(words: str, fault: str) -> None:
    with pytest.raises(InputError, match=fault):
        check_words([words])


@pytest.mark.parametrize(
    ("words", "fault"),
    [
        ("one more painter", "no crew has painters"),
        ("one more crew roof", "one of frame, joints"),
        ("without crew joints", "only joints does jointing"),
        ("start 2026-02-31", "a day such as"),
        ("overtime 20 h", "0.5 to 8.5 h"),
        ("air 99 °C 50 %", "-20 to 45"),
        ("cellar open from 2026-03-09", "a room, or one of 1, 2"),
        ("minutes -100 %", "above -100 %"),
    ],
)
def test_changes_that_cannot_be(words: str, fault: str) -> None:
    check_words([words])
    with pytest.raises(InputError, match=fault):
        changed(built(SAID), words)


def test_the_usual_changes_are_words_it_knows() -> None:
    check_words(usual(built()))
    for words in usual(built()):
        changed(built(), words)
