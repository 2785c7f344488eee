"""Documents and their revisions. Nothing is overwritten: a save adds, also one that came too late.

Every function is one short transaction. Each revision carries a digest of itself and of the one before, so
that a change behind the program's back shows (`verify`).
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Sequence
from datetime import UTC, datetime
from typing import Any
from uuid import uuid4

from sqlalchemy import Connection, Engine, Row, func, insert, select, update
from sqlalchemy.exc import IntegrityError

from innerleaf.errors import InputError
from innerleaf.store.engine import looking
from innerleaf.store.model import Aside, ChangedMeanwhile, Document, Kind, Revision, RevisionLine
from innerleaf.store.site import site_faults
from innerleaf.store.tables import ASIDE, DOCUMENT, REVISION

_LONGEST_NAME = 200
_LINE = [column for column in REVISION.c if column.name != "text"]


def add(
    engine: Engine,
    kind: Kind,
    name: str,
    text: str,
    *,
    who: str,
    at: datetime,
    what: str = "",
    owner: str = "",
    beside: Sequence[tuple[Kind, str, str]] = (),
) -> Revision:
    """A new document with its first revision, and those that belong to it: all of them or none.

    ``beside``: kind, name and text of each document that this one is to own.

    Raises
    ------
    InputError
        There is one of this kind and name already.
    """
    key = uuid4().hex
    rows = [(key, owner, kind, name, text)] + [(uuid4().hex, key, *part) for part in beside]
    for *_, its_name, its_text in rows:
        _checked(its_name, its_text)
    try:
        with engine.begin() as connection:
            for its_key, its_owner, its_kind, its_name, its_text in rows:
                row = {"id": its_key, "kind": its_kind, "name": its_name, "owner": its_owner, "head": 1}
                connection.execute(insert(DOCUMENT).values(row))
                _write(connection, its_key, 1, "", its_text, who=who, at=at, what=what)
            return _revision(connection, key, 1)
    except IntegrityError as error:
        raise InputError("name", given=name, accepted=f"a name that no other {kind} has") from error


def documents(engine: Engine, kind: Kind | None = None, owner: str | None = None) -> tuple[Document, ...]:
    """All documents, those of a kind, those of an owner; by name."""
    wanted = select(DOCUMENT).order_by(DOCUMENT.c.name, DOCUMENT.c.id)
    if kind is not None:
        wanted = wanted.where(DOCUMENT.c.kind == kind)
    if owner is not None:
        wanted = wanted.where(DOCUMENT.c.owner == owner)
    with looking(engine) as connection:
        return tuple(_document(row) for row in connection.execute(wanted))


def with_its_own(engine: Engine, key: str) -> tuple[Document, tuple[Document, ...]]:
    """One document, and those that belong to it by name; errors as `document`."""
    wanted = select(DOCUMENT).where((DOCUMENT.c.id == key) | (DOCUMENT.c.owner == key))
    with looking(engine) as connection:
        rows = connection.execute(wanted.order_by(DOCUMENT.c.name, DOCUMENT.c.id))
        found = [_document(row) for row in rows]
    known = next((one for one in found if one.id == key), None)
    if known is None:
        raise _unknown(key)
    return known, tuple(one for one in found if one.id != key)


def document(engine: Engine, key: str) -> Document:
    """One document.

    Raises
    ------
    InputError
        There is none of this id.
    """
    with looking(engine) as connection:
        return _known(connection, key)


def revision(engine: Engine, key: str, number: int | None = None) -> Revision:
    """A revision of a document, the newest if no number is given.

    Raises
    ------
    InputError
        There is no such document or revision.
    """
    with looking(engine) as connection:
        return _revision(connection, key, number or _known(connection, key).head)


def revisions(engine: Engine, key: str) -> tuple[RevisionLine, ...]:
    """All revisions of a document without their texts, the newest first."""
    wanted = select(*_LINE).where(REVISION.c.document == key).order_by(REVISION.c.number.desc())
    with looking(engine) as connection:
        _known(connection, key)
        return tuple(_line(row) for row in connection.execute(wanted))


def save(
    engine: Engine,
    key: str,
    base: int,
    text: str,
    *,
    who: str,
    at: datetime,
    what: str = "",
    back_to: int = 0,
) -> Revision:
    """Add a revision made from revision ``base``; a text equal to the newest one adds nothing.

    Raises
    ------
    ChangedMeanwhile
        ``base`` is no longer the newest; the text is kept beside the document.
    InputError
        There is no such document, or it never had a revision ``base``.
    """
    _checked("document", text)
    with engine.begin() as connection:
        known = _known(connection, key, locked=True)
        newest = _revision(connection, key, known.head)
        if newest.text == text:
            return newest
        if base == known.head:
            number = known.head + 1
            connection.execute(update(DOCUMENT).where(DOCUMENT.c.id == key).values(head=number))
            before = newest.line.digest
            return _write(connection, key, number, before, text, who=who, at=at, what=what, back_to=back_to)
        _revision(connection, key, base)
        aside = _set_aside(connection, key, base, text, who=who, at=at, what=what)
    raise ChangedMeanwhile(newest, aside)


def bring_back(engine: Engine, key: str, number: int, *, who: str, at: datetime) -> Revision:
    """Make the text of an earlier revision the newest; what came after it stays in the history."""
    earlier, newest = revision(engine, key, number), revision(engine, key)
    what = f"revision {number} brought back"
    return save(engine, key, newest.line.number, earlier.text, who=who, at=at, what=what, back_to=number)


def asides(engine: Engine, key: str) -> tuple[Aside, ...]:
    """Versions of a document that came too late, the newest first."""
    wanted = select(ASIDE).where(ASIDE.c.document == key).order_by(ASIDE.c.number.desc())
    with looking(engine) as connection:
        _known(connection, key)
        return tuple(_aside(row) for row in connection.execute(wanted))


def verify(engine: Engine) -> tuple[str, ...]:
    """What is wrong with the store, in sentences: revisions missing, or changed behind the program's back."""
    faults: list[str] = []
    with looking(engine) as connection:
        for row in connection.execute(select(DOCUMENT).order_by(DOCUMENT.c.id)).all():
            wanted = select(REVISION).where(REVISION.c.document == row.id).order_by(REVISION.c.number)
            faults += _broken(_document(row), connection.execute(wanted))
            faults += site_faults(connection, row.id)
    return tuple(faults)


def _broken(known: Document, rows: Iterable[Row[Any]]) -> list[str]:
    faults: list[str] = []
    before, number = "", 0
    for row in rows:
        number += 1
        line = _line(row)
        said = f"{known.kind} {known.name!r}, revision {line.number}"
        if line.number != number:
            return [*faults, f"{said}: revision {number} is missing"]
        if _digest(before, row.text, line) != line.digest:
            faults.append(f"{said}: it is not what was saved")
        before = line.digest
    if number != known.head:
        faults.append(f"{known.kind} {known.name!r}: its newest revision is {known.head}, found is {number}")
    return faults


def _checked(name: str, text: str) -> None:
    """Refuse what not every database can keep to the byte."""
    if not 0 < len(name) <= _LONGEST_NAME or "\0" in name:
        raise InputError("name", given=name[:40], accepted=f"1 to {_LONGEST_NAME} characters")
    if "\0" in text:
        raise InputError("text", given="a zero character", accepted="text")


def _unknown(key: str) -> InputError:
    return InputError("document", given=key, accepted="the id of a document of this store")


def _known(connection: Connection, key: str, *, locked: bool = False) -> Document:
    wanted = select(DOCUMENT).where(DOCUMENT.c.id == key)
    row = connection.execute(wanted.with_for_update() if locked else wanted).one_or_none()
    if row is None:
        raise _unknown(key)
    return _document(row)


def _revision(connection: Connection, key: str, number: int) -> Revision:
    wanted = select(REVISION).where(REVISION.c.document == key, REVISION.c.number == number)
    row = connection.execute(wanted).one_or_none()
    if row is None:
        raise InputError("revision", given=number, accepted="the number of a revision of this document")
    return Revision(line=_line(row), text=row.text)


def _write(
    connection: Connection,
    document: str,
    number: int,
    before: str,
    text: str,
    *,
    who: str,
    at: datetime,
    what: str,
    back_to: int = 0,
) -> Revision:
    line = RevisionLine(
        document=document, number=number, saved_at=at, who=who, what=what, back_to=back_to, digest=""
    )
    values = {name: getattr(line, name) for name in RevisionLine.__slots__}
    values |= {"text": text, "digest": _digest(before, text, line)}
    connection.execute(insert(REVISION).values(values))
    return _revision(connection, document, number)


def _set_aside(
    connection: Connection, document: str, base: int, text: str, *, who: str, at: datetime, what: str
) -> Aside:
    counted = select(func.count()).select_from(ASIDE).where(ASIDE.c.document == document)
    made = Aside(
        document=document,
        number=(connection.scalar(counted) or 0) + 1,
        base=base,
        saved_at=at,
        who=who,
        what=what,
        text=text,
    )
    connection.execute(insert(ASIDE).values({name: getattr(made, name) for name in Aside.__slots__}))
    return made


def _digest(before: str, text: str, line: RevisionLine) -> str:
    told = (
        before,
        line.document,
        str(line.number),
        line.saved_at.astimezone(UTC).isoformat(timespec="microseconds"),
        line.who,
        line.what,
        str(line.back_to),
        text,
    )
    made = hashlib.sha256()
    for part in told:
        raw = part.encode()
        made.update(len(raw).to_bytes(8, "big") + raw)
    return made.hexdigest()


def _document(row: Row[Any]) -> Document:
    return Document(id=row.id, kind=Kind(row.kind), name=row.name, owner=row.owner, head=row.head)


def _line(row: Row[Any]) -> RevisionLine:
    return RevisionLine(**{name: getattr(row, name) for name in RevisionLine.__slots__})


def _aside(row: Row[Any]) -> Aside:
    return Aside(**{name: getattr(row, name) for name in Aside.__slots__})
