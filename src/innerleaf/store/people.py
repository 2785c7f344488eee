"""Who may work on a store together: accounts, links that invite, sessions, and how often one may guess.

Passwords are kept as scrypt digests (RFC 7914), links and sessions as digests of random words: whoever reads
the store cannot sign in with what is there.
"""

from __future__ import annotations

import hashlib
import hmac
import secrets
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum
from typing import Any, Final
from uuid import uuid4

from sqlalchemy import Connection, Engine, Row, delete, func, insert, select, update
from sqlalchemy.exc import IntegrityError

from innerleaf.errors import InputError
from innerleaf.store.engine import looking
from innerleaf.store.tables import GUESS, INVITE, PERSON, SESSION

SHORTEST_PASSWORD: Final = 12
_LONGEST_PASSWORD, _LONGEST_NAME = 200, 80
_LOG_N, _R, _P = 15, 8, 1  # 32 MiB and some 80 ms a try (from memory: the RFC's advice for sign-in)
INVITED_FOR: Final = timedelta(days=7)
_IDLE, _LONGEST = timedelta(hours=12), timedelta(days=14)
_GUESSES, _GUESSED_WITHIN = 5, timedelta(minutes=15)


class Role(StrEnum):
    """What a person does, and so what they may."""

    ESTIMATOR = "estimator"
    FOREMAN = "foreman"
    INSTALLER = "installer"
    INSPECTOR = "inspector"
    READER = "reader"


@dataclass(frozen=True, slots=True, kw_only=True)
class Person:
    """Somebody with an account."""

    id: str
    name: str
    role: Role
    active: bool


class TooManyGuesses(Exception):
    """Wrong passwords came too fast; ``wait_s`` is how long to wait."""

    def __init__(self, wait_s: int) -> None:
        super().__init__(f"too many wrong passwords: wait {max(1, round(wait_s / 60))} min and try again")
        self.wait_s = wait_s


def invite(engine: Engine, role: Role, *, by: str, at: datetime) -> str:
    """A word that makes an account of a role, once, for a week."""
    word = secrets.token_urlsafe(24)
    row = {"digest": _digest(word), "role": role, "made_by": by, "until": at + INVITED_FOR, "used": False}
    with engine.begin() as connection:
        connection.execute(insert(INVITE).values(row))
    return word


def join(engine: Engine, word: str, name: str, password: str, *, at: datetime) -> Person:
    """An account for whoever has an invitation.

    Raises
    ------
    InputError
        The invitation is not valid any more, the name is taken, the password too short.
    """
    name = _checked(name, password)
    kept = _kept(password)
    try:
        with engine.begin() as connection:
            row = _invitation(connection, word, at)
            if row is None:
                raise InputError(
                    "link", given=word[:8] + "…", accepted="an invitation not used yet, a week old at most"
                )
            connection.execute(update(INVITE).where(INVITE.c.digest == row.digest).values(used=True))
            values = {
                "id": uuid4().hex,
                "name": name,
                "key": name.casefold(),
                "role": row.role,
                "active": True,
            }
            connection.execute(insert(PERSON).values(values | {"password": kept}))
            return _person(connection.execute(select(PERSON).where(PERSON.c.id == values["id"])).one())
    except IntegrityError as error:
        raise InputError("name", given=name, accepted="a name that nobody else has") from error


def invited_as(engine: Engine, word: str, at: datetime) -> Role | None:
    """The role of an invitation; None if it is not valid."""
    with looking(engine) as connection:
        row = _invitation(connection, word, at)
    return Role(row.role) if row is not None else None


def sign_in(engine: Engine, name: str, password: str, *, at: datetime) -> str:
    """The word of a new session.

    Raises
    ------
    InputError
        Name and password do not belong together, or the account is closed: it does not say which.
    TooManyGuesses
        Wrong passwords came too fast for this name.
    """
    key = name.strip().casefold()[:_LONGEST_NAME]
    with engine.begin() as connection:
        connection.execute(delete(GUESS).where(GUESS.c.at < at - _GUESSED_WITHIN))
        last = connection.execute(select(func.count(), func.min(GUESS.c.at)).where(GUESS.c.key == key)).one()
        if last[0] >= _GUESSES:
            first = connection.scalars(
                select(GUESS.c.at).where(GUESS.c.key == key).order_by(GUESS.c.at)
            ).first()
            assert first is not None
            raise TooManyGuesses(int((first + _GUESSED_WITHIN - at).total_seconds()))
        # Counted before it is known to be wrong, so that guesses at the same moment count too.
        guess = uuid4().hex
        connection.execute(insert(GUESS).values(id=guess, key=key, at=at))
        row = connection.execute(select(PERSON).where(PERSON.c.key == key)).one_or_none()
    right = _is(password, row.password if row is not None else _NOBODY)
    if row is None or not right or not row.active:
        raise InputError("name and password", given=name[:_LONGEST_NAME], accepted="those of an account")
    word = secrets.token_urlsafe(32)
    values = {"digest": _digest(word), "person": row.id, "begun_at": at, "seen_at": at}
    with engine.begin() as connection:
        connection.execute(delete(GUESS).where(GUESS.c.key == key))
        connection.execute(insert(SESSION).values(values))
    return word


def who_is(engine: Engine, word: str, *, at: datetime) -> Person | None:
    """Whose session this is; None if it is over."""
    digest = _digest(word)
    wanted = select(PERSON, SESSION.c.seen_at, SESSION.c.begun_at)
    wanted = wanted.join(SESSION, SESSION.c.person == PERSON.c.id).where(SESSION.c.digest == digest)
    with looking(engine) as connection:
        row = connection.execute(wanted).one_or_none()
    if row is None or not row.active or at - row.seen_at > _IDLE or at - row.begun_at > _LONGEST:
        return None
    if at - row.seen_at > timedelta(minutes=5):  # not with every request: a write is dear
        with engine.begin() as connection:
            connection.execute(update(SESSION).where(SESSION.c.digest == digest).values(seen_at=at))
    return _person(row)


def sign_out(engine: Engine, word: str) -> None:
    """End a session."""
    with engine.begin() as connection:
        connection.execute(delete(SESSION).where(SESSION.c.digest == _digest(word)))


def people(engine: Engine) -> tuple[Person, ...]:
    """Everybody with an account, by name."""
    with looking(engine) as connection:
        return tuple(_person(row) for row in connection.execute(select(PERSON).order_by(PERSON.c.key)))


def set_person(engine: Engine, key: str, *, role: Role, active: bool) -> Person:
    """Change what somebody may; whoever may less is signed out everywhere.

    Raises
    ------
    InputError
        There is nobody of this id, or nobody would be left who may invite.
    """
    with engine.begin() as connection:
        connection.execute(update(PERSON).where(PERSON.c.id == key).values(role=role, active=active))
        row = connection.execute(select(PERSON).where(PERSON.c.id == key)).one_or_none()
        if row is None:
            raise InputError("person", given=key, accepted="somebody with an account")
        may = (PERSON.c.role == Role.ESTIMATOR, PERSON.c.active)
        if not connection.scalar(select(func.count()).select_from(PERSON).where(*may)):
            raise InputError("role", given=role, accepted="at least one active estimator")
        connection.execute(delete(SESSION).where(SESSION.c.person == key))
        return _person(row)


def _checked(name: str, password: str) -> str:
    name = " ".join(name.split())
    if not 1 <= len(name) <= _LONGEST_NAME or not name.isprintable():
        raise InputError("name", given=name[:_LONGEST_NAME], accepted=f"1 to {_LONGEST_NAME} letters")
    if not SHORTEST_PASSWORD <= len(password) <= _LONGEST_PASSWORD:
        given = f"{len(password)} signs"
        raise InputError(
            "password", given=given, accepted=f"{SHORTEST_PASSWORD} to {_LONGEST_PASSWORD} signs"
        )
    return name


def _invitation(connection: Connection, word: str, at: datetime) -> Row[Any] | None:
    row = connection.execute(select(INVITE).where(INVITE.c.digest == _digest(word))).one_or_none()
    return row if row is not None and not row.used and row.until > at else None


def _digest(word: str) -> str:
    return hashlib.sha256(word.encode()).hexdigest()


def _scrypt(password: str, salt: bytes, log_n: int, r: int, p: int) -> bytes:
    return hashlib.scrypt(password.encode(), salt=salt, n=1 << log_n, r=r, p=p, maxmem=1 << 28)


def _kept(password: str) -> str:
    salt = secrets.token_bytes(16)
    digest = _scrypt(password, salt, _LOG_N, _R, _P)
    return f"scrypt {_LOG_N} {_R} {_P} {salt.hex()} {digest.hex()}"


def _is(password: str, kept: str) -> bool:
    _, log_n, r, p, salt, digest = kept.split()
    found = _scrypt(password[:_LONGEST_PASSWORD], bytes.fromhex(salt), int(log_n), int(r), int(p))
    return hmac.compare_digest(found, bytes.fromhex(digest))


_NOBODY = f"scrypt {_LOG_N} {_R} {_P} {'00' * 16} {'00' * 64}"
"""Held against when there is no such name, so that a wrong name takes as long as a wrong password."""


def _person(row: Row[Any]) -> Person:
    return Person(id=row.id, name=row.name, role=Role(row.role), active=row.active)
