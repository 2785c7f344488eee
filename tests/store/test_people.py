"""Accounts by invitation, sessions that end, passwords that cannot be guessed fast or read."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING

import pytest
from sqlalchemy import text

from innerleaf.errors import InputError
from innerleaf.store.people import (
    INVITED_FOR,
    Role,
    TooManyGuesses,
    invite,
    invited_as,
    join,
    people,
    set_person,
    sign_in,
    sign_out,
    who_is,
)

if TYPE_CHECKING:
    from sqlalchemy import Engine

AT = datetime(2026, 3, 2, 7, 30, tzinfo=UTC)
PASSWORD = "plumb, level and square"


def _ada(store: Engine, role: Role = Role.ESTIMATOR, name: str = "Ada") -> str:
    return join(store, invite(store, role, by="the command line", at=AT), name, PASSWORD, at=AT).id


def test_an_invitation_makes_one_account_of_its_role(store: Engine) -> None:
    word = invite(store, Role.FOREMAN, by="Ada", at=AT)
    assert invited_as(store, word, AT) == Role.FOREMAN
    person = join(store, word, "  Ben \n Stud ", PASSWORD, at=AT)
    assert (person.name, person.role, person.active) == ("Ben Stud", Role.FOREMAN, True)
    assert people(store) == (person,)
    assert invited_as(store, word, AT) is None
    with pytest.raises(InputError, match="link"):
        join(store, word, "Cas", PASSWORD, at=AT)


@pytest.mark.parametrize(
    ("name", "password", "later", "says"),
    [
        ("Ben", "short", timedelta(0), "password: given '5 signs'"),
        ("", PASSWORD, timedelta(0), "name"),
        ("a\x07b", PASSWORD, timedelta(0), "name"),
        ("ADA", PASSWORD, timedelta(0), "a name that nobody else has"),
        ("Ben", PASSWORD, INVITED_FOR + timedelta(seconds=1), "link"),
    ],
)
def test_what_makes_no_account(store: Engine, name: str, password: str, later: timedelta, says: str) -> None:
    _ada(store)
    word = invite(store, Role.READER, by="Ada", at=AT)
    with pytest.raises(InputError, match=says) as said:
        join(store, word, name, password, at=AT + later)
    assert PASSWORD not in str(said.value)
    assert len(people(store)) == 1


def test_a_session_ends_by_itself_or_by_its_person(store: Engine) -> None:
    key = _ada(store)
    word = sign_in(store, "ada", PASSWORD, at=AT)
    other = sign_in(store, "Ada", PASSWORD, at=AT)
    assert word != other
    person = who_is(store, word, at=AT)
    assert person is not None
    assert person.id == key
    assert who_is(store, word, at=AT + timedelta(hours=13)) is None  # idle
    for hours in range(0, 14 * 24, 11):
        assert who_is(store, word, at=AT + timedelta(hours=hours)) is not None
    assert who_is(store, word, at=AT + timedelta(days=14, seconds=1)) is None  # too old, though not idle
    sign_out(store, other)
    assert who_is(store, other, at=AT) is None
    assert who_is(store, "guess", at=AT) is None


def test_guessing_is_slow_for_one_name_and_not_for_others(store: Engine) -> None:
    _ada(store)
    _ada(store, Role.READER, "Ben")
    for guess in range(5):
        with pytest.raises(InputError, match="name and password"):
            sign_in(store, "Ada", f"guess {guess}", at=AT + timedelta(seconds=guess))
    with pytest.raises(TooManyGuesses) as said:
        sign_in(store, "Ada", PASSWORD, at=AT + timedelta(minutes=5))
    assert said.value.wait_s == 600
    assert sign_in(store, "Ben", PASSWORD, at=AT + timedelta(minutes=5))
    assert sign_in(store, "Ada", PASSWORD, at=AT + timedelta(minutes=16))


def test_a_wrong_name_is_told_like_a_wrong_password(store: Engine) -> None:
    _ada(store)
    told = []
    for name, password in (("Ada", "wrong password"), ("Nobody", PASSWORD)):
        with pytest.raises(InputError) as said:
            sign_in(store, name, password, at=AT)
        told.append(str(said.value).replace(name, ""))
    assert told[0] == told[1]


def test_who_may_less_is_signed_out_and_somebody_is_left_who_may_invite(store: Engine) -> None:
    ada, ben = _ada(store), _ada(store, Role.FOREMAN, "Ben")
    word = sign_in(store, "Ben", PASSWORD, at=AT)
    set_person(store, ben, role=Role.READER, active=True)
    assert who_is(store, word, at=AT) is None
    with pytest.raises(InputError, match="at least one active estimator"):
        set_person(store, ada, role=Role.READER, active=True)
    with pytest.raises(InputError, match="at least one active estimator"):
        set_person(store, ada, role=Role.ESTIMATOR, active=False)
    assert {person.name: person.role for person in people(store)} == {"Ada": "estimator", "Ben": "reader"}
    set_person(store, ben, role=Role.READER, active=False)
    with pytest.raises(InputError):
        sign_in(store, "Ben", PASSWORD, at=AT)


def test_nothing_in_the_store_signs_anybody_in(store: Engine) -> None:
    _ada(store)
    open_link, word = invite(store, Role.READER, by="Ada", at=AT), sign_in(store, "Ada", PASSWORD, at=AT)
    with store.begin() as connection:
        rows = [
            str(tuple(row))
            for table in ("person", "invite", "session", "guess")
            for row in connection.execute(text(f"SELECT * FROM {table}"))
        ]
    assert rows
    for secret in (PASSWORD, open_link, word):
        assert not any(secret in row for row in rows)
