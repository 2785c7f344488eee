"""Each save is a revision with who, when and what; nothing is ever overwritten."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sqlalchemy import Engine, text
from sqlalchemy.exc import DBAPIError

from innerleaf.errors import InputError
from innerleaf.store.history import (
    add,
    asides,
    bring_back,
    document,
    documents,
    revision,
    revisions,
    save,
    verify,
)
from innerleaf.store.model import ChangedMeanwhile, Kind

AT = datetime(2026, 3, 2, 7, 30, tzinfo=UTC)
ANY_TEXT = st.text(st.characters(codec="utf-8", exclude_characters="\0"), max_size=80)


def test_a_text_comes_back_to_the_byte(store: Engine) -> None:
    written = "format: 1\r\n# Wände, 2 × 3 µm — “sagt sie”\n\tend\n\n"
    made = add(store, Kind.JOB, "Mill Lane 3", written, who="Ada", at=AT, what="first measure")
    found = revision(store, made.line.document)
    assert found == made
    assert found.text == written
    assert (found.line.who, found.line.what, found.line.saved_at) == ("Ada", "first measure", AT)


def test_each_save_is_a_revision_and_an_equal_text_is_none(store: Engine) -> None:
    key = add(store, Kind.JOB, "a job", "one", who="Ada", at=AT).line.document
    save(store, key, 1, "two", who="Ben", at=AT + timedelta(hours=1), what="door moved")
    save(store, key, 2, "two", who="Cas", at=AT + timedelta(hours=2))
    assert [(line.number, line.who, line.what) for line in revisions(store, key)] == [
        (2, "Ben", "door moved"),
        (1, "Ada", ""),
    ]
    assert revision(store, key, 1).text == "one"


def test_who_comes_second_is_told_and_loses_nothing(store: Engine) -> None:
    key = add(store, Kind.JOB, "a job", "one", who="Ada", at=AT).line.document
    save(store, key, 1, "from Ben", who="Ben", at=AT)
    with pytest.raises(ChangedMeanwhile, match="Ben saved revision 2 meanwhile") as told:
        save(store, key, 1, "from Cas", who="Cas", at=AT, what="sockets")
    assert told.value.newest.text == "from Ben"
    assert told.value.aside.text == "from Cas"
    assert asides(store, key) == (told.value.aside,)
    assert revision(store, key).text == "from Ben"


def test_an_earlier_revision_comes_back_as_a_new_one(store: Engine) -> None:
    key = add(store, Kind.JOB, "a job", "one", who="Ada", at=AT).line.document
    save(store, key, 1, "two", who="Ada", at=AT)
    back = bring_back(store, key, 1, who="Ben", at=AT)
    assert (back.text, back.line.number, back.line.back_to) == ("one", 3, 1)
    assert [line.number for line in revisions(store, key)] == [3, 2, 1]


def test_names_are_taken_once_for_each_kind_and_owner(store: Engine) -> None:
    job = add(store, Kind.JOB, "Mill Lane", "x", who="Ada", at=AT).line.document
    add(store, Kind.PRICES, "Mill Lane", "x", who="Ada", at=AT)
    add(store, Kind.PRICES, "Mill Lane", "x", who="Ada", at=AT, owner=job)
    with pytest.raises(InputError, match="name: given 'Mill Lane'"):
        add(store, Kind.JOB, "Mill Lane", "y", who="Ben", at=AT)
    assert [one.id for one in documents(store, Kind.JOB)] == [job]
    assert len(documents(store, owner=job)) == 1
    assert len(documents(store)) == 3


@pytest.mark.parametrize(("name", "text"), [("", "x"), ("n" * 201, "x"), ("a\0b", "x"), ("a", "x\0y")])
def test_what_no_database_keeps_is_refused(store: Engine, name: str, text: str) -> None:
    with pytest.raises(InputError):
        add(store, Kind.JOB, name, text, who="Ada", at=AT)
    assert documents(store) == ()


def test_unknown_documents_and_revisions_are_said(store: Engine) -> None:
    key = add(store, Kind.JOB, "a job", "one", who="Ada", at=AT).line.document
    with pytest.raises(InputError, match="document: given 'none'"):
        document(store, "none")
    with pytest.raises(InputError, match="revision: given 7"):
        revision(store, key, 7)
    with pytest.raises(InputError, match="revision: given 7"):
        save(store, key, 7, "two", who="Ada", at=AT)


@pytest.mark.parametrize(
    "statement", ["UPDATE revision SET who = 'x'", "DELETE FROM revision", "DELETE FROM aside"]
)
def test_the_database_itself_refuses_to_change_what_was_saved(store: Engine, statement: str) -> None:
    key = add(store, Kind.JOB, "a job", "one", who="Ada", at=AT).line.document
    save(store, key, 1, "two", who="Ada", at=AT)
    with pytest.raises(ChangedMeanwhile):
        save(store, key, 1, "three", who="Ada", at=AT)
    with pytest.raises(DBAPIError, match="only added to"), store.begin() as connection:
        connection.execute(text(statement))


def test_a_change_behind_the_programs_back_shows(store: Engine) -> None:
    key = add(store, Kind.JOB, "a job", "one", who="Ada", at=AT).line.document
    save(store, key, 1, "two", who="Ada", at=AT)
    assert verify(store) == ()
    names = {
        "sqlite": ("DROP TRIGGER revision_no_update",),
        "postgresql": ("DROP TRIGGER revision_no_change ON revision",),
    }
    with store.begin() as connection:
        for statement in (*names[store.dialect.name], "UPDATE revision SET text = 'other' WHERE number = 1"):
            connection.execute(text(statement))
    assert verify(store) == ("job 'a job', revision 1: it is not what was saved",)


def test_of_many_who_save_at_once_one_is_first_and_nothing_is_lost(store: Engine) -> None:
    key = add(store, Kind.JOB, "a job", "start", who="Ada", at=AT).line.document

    def once(number: int) -> str:
        try:
            return save(store, key, 1, f"text {number}", who=f"p{number}", at=AT).text
        except ChangedMeanwhile as told:
            return told.aside.text

    with ThreadPoolExecutor(6) as pool:
        kept = set(pool.map(once, range(24)))
    assert kept == {f"text {number}" for number in range(24)}
    assert document(store, key).head == 2
    assert {aside.text for aside in asides(store, key)} | {revision(store, key).text} == kept
    assert verify(store) == ()


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(texts=st.lists(ANY_TEXT, min_size=1, max_size=6), back=st.integers(0, 5), who=ANY_TEXT)
def test_a_history_can_be_read_back_at_every_point(
    store: Engine, texts: list[str], back: int, who: str
) -> None:
    name = f"job {len(documents(store))}"
    key = add(store, Kind.JOB, name, texts[0], who=who[:200], at=AT).line.document
    expected = [texts[0]]
    for one in texts[1:]:
        number = save(store, key, len(expected), one, who=who[:200], at=AT, what=one).line.number
        if one != expected[-1]:
            expected.append(one)
        assert number == len(expected)
    wanted = back % len(expected) + 1
    if bring_back(store, key, wanted, who="Ben", at=AT).line.number > len(expected):
        expected.append(expected[wanted - 1])
    assert [revision(store, key, number + 1).text for number in range(len(expected))] == expected
    assert verify(store) == ()
