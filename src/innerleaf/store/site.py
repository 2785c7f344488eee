"""Records and photos of the site, kept as they arrive; the database refuses to change them.

What a record says is text to the store. It knows the id that the device gave it, its place in the job's
chain, and that each text carries the digest of the one before.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any, Final

from sqlalchemy import Connection, Engine, Row, func, insert, select

from innerleaf.errors import InputError
from innerleaf.store.engine import looking
from innerleaf.store.tables import DOCUMENT, SITE_PHOTO, SITE_RECORD

LARGEST_PHOTO: Final = 3 * 1024 * 1024  # a page makes them smaller before it sends them
LARGEST_OF_JOB: Final = 4 * 1024 * 1024 * 1024
_SIGNS: Final = {"image/jpeg": b"\xff\xd8\xff", "image/png": b"\x89PNG\r\n\x1a\n", "image/webp": b"RIFF"}

Seal = Callable[[str, int, str], str]  # text of an entry, its number, digest of the record before -> record


@dataclass(frozen=True, slots=True, kw_only=True)
class Kept:
    """A record as it is kept: its number in the job, the id that the device gave it, text and digest."""

    number: int
    id: str
    text: str
    digest: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Merged:
    """What became of entries that a device sent.

    ``added`` are new; ``there`` were kept before, word for word; ``clashing`` have the id of a kept one that
    says something else, and are not kept.
    """

    added: tuple[Kept, ...]
    there: tuple[str, ...]
    clashing: tuple[str, ...]


def digest(raw: bytes) -> str:
    """SHA-256, as text."""
    return hashlib.sha256(raw).hexdigest()


def add_records(engine: Engine, job: str, entries: Sequence[tuple[str, str]], seal: Seal) -> Merged:
    """Keep entries, (id, text) each, in their order; what is there already is not kept again.

    One transaction: all or none. ``seal`` makes the text of a record, which has to be JSON and to carry the
    digest of the one before as ``before``.

    Raises
    ------
    InputError
        There is no such job.
    """
    added: list[Kept] = []
    there: list[str] = []
    clashing: list[str] = []
    with engine.begin() as connection:
        known = select(DOCUMENT.c.id).where(DOCUMENT.c.id == job)
        if connection.execute(known.with_for_update()).one_or_none() is None:
            raise InputError("document", given=job, accepted="the id of a job of this store")
        number, before = _head(connection, job)
        for key, text in entries:
            of_id = select(SITE_RECORD.c.entry).where(SITE_RECORD.c.document == job, SITE_RECORD.c.id == key)
            kept, print_ = connection.scalar(of_id), digest(text.encode())
            if kept is not None:
                (there if kept == print_ else clashing).append(key)
                continue
            number += 1
            sealed = seal(text, number, before)
            before = digest(sealed.encode())
            record = Kept(number=number, id=key, text=sealed, digest=before)
            values = {name: getattr(record, name) for name in Kept.__slots__}
            connection.execute(insert(SITE_RECORD).values(values | {"document": job, "entry": print_}))
            added.append(record)
    return Merged(added=tuple(added), there=tuple(there), clashing=tuple(clashing))


def records_of(engine: Engine, job: str, after: int = 0) -> tuple[Kept, ...]:
    """The records of a job with a higher number than ``after``, in their order."""
    wanted = select(SITE_RECORD).where(SITE_RECORD.c.document == job, SITE_RECORD.c.number > after)
    with looking(engine) as connection:
        return tuple(_kept(row) for row in connection.execute(wanted.order_by(SITE_RECORD.c.number)))


def add_photo(engine: Engine, job: str, media: str, content: bytes) -> str:
    """Keep a photo; its digest. The same photo twice is kept once.

    Raises
    ------
    InputError
        It is no picture of a kind that is kept, or too large; there is no such job; the job is full.
    """
    if media not in _SIGNS or not content.startswith(_SIGNS[media]):
        raise InputError("photo", given=media, accepted="a JPEG, PNG or WebP picture")
    if len(content) > LARGEST_PHOTO:
        given = f"{len(content) / 1048576:.1f} MiB"
        raise InputError("photo", given=given, accepted=f"at most {LARGEST_PHOTO // 1048576} MiB")
    key = digest(content)
    mine = SITE_PHOTO.c.document == job
    with engine.begin() as connection:
        known = select(DOCUMENT.c.id).where(DOCUMENT.c.id == job)
        if connection.execute(known.with_for_update()).one_or_none() is None:
            raise InputError("document", given=job, accepted="the id of a job of this store")
        if connection.scalar(select(SITE_PHOTO.c.digest).where(mine, SITE_PHOTO.c.digest == key)) is None:
            kept = connection.scalar(select(func.sum(func.length(SITE_PHOTO.c.content))).where(mine)) or 0
            if kept + len(content) > LARGEST_OF_JOB:
                accepted = f"{LARGEST_OF_JOB // 1024**3} GiB of photos in a job"
                raise InputError("photo", given=f"{kept / 1024**3:.1f} GiB there", accepted=accepted)
            row = {"document": job, "digest": key, "media": media, "content": content}
            connection.execute(insert(SITE_PHOTO).values(row))
    return key


def photo(engine: Engine, job: str, key: str) -> tuple[str, bytes] | None:
    """Media type and content of a photo; None if it has not arrived."""
    wanted = select(SITE_PHOTO).where(SITE_PHOTO.c.document == job, SITE_PHOTO.c.digest == key)
    with looking(engine) as connection:
        row = connection.execute(wanted).one_or_none()
    return (row.media, row.content) if row is not None else None


def photos_of(engine: Engine, job: str) -> frozenset[str]:
    """Digests of the photos that have arrived."""
    wanted = select(SITE_PHOTO.c.digest).where(SITE_PHOTO.c.document == job)
    with looking(engine) as connection:
        return frozenset(connection.scalars(wanted))


def site_faults(connection: Connection, job: str) -> list[str]:
    """What is wrong with the chain and the photos of a job, in sentences."""
    faults: list[str] = []
    before = ""
    wanted = select(SITE_RECORD).where(SITE_RECORD.c.document == job).order_by(SITE_RECORD.c.number)
    for number, row in enumerate(connection.execute(wanted), 1):
        if row.number != number:
            return [*faults, f"site record {number} of job {job} is missing"]
        if digest(row.text.encode()) != row.digest:
            faults.append(f"site record {number} of job {job}: it is not what was kept")
        elif json.loads(row.text).get("before") != before:
            faults.append(f"site record {number} of job {job}: the one before is not what was kept")
        before = row.digest
    keys = select(SITE_PHOTO.c.digest).where(SITE_PHOTO.c.document == job).order_by(SITE_PHOTO.c.digest)
    for key in connection.scalars(keys).all():
        mine = (SITE_PHOTO.c.document == job, SITE_PHOTO.c.digest == key)
        if digest(connection.scalar(select(SITE_PHOTO.c.content).where(*mine)) or b"") != key:
            faults.append(f"site photo {key[:12]} of job {job}: it is not what was kept")
    return faults


def _head(connection: Connection, job: str) -> tuple[int, str]:
    wanted = select(SITE_RECORD.c.number, SITE_RECORD.c.digest).where(SITE_RECORD.c.document == job)
    row = connection.execute(wanted.order_by(SITE_RECORD.c.number.desc()).limit(1)).one_or_none()
    return (row.number, row.digest) if row is not None else (0, "")


def _kept(row: Row[Any]) -> Kept:
    return Kept(**{name: getattr(row, name) for name in Kept.__slots__})
