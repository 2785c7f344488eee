"""A copy of a store while it serves, and a store made from a copy. A copy is itself a store: one SQLite file.

So a copy can be opened and looked at, and moves what it holds from SQLite to PostgreSQL or back.
"""

from __future__ import annotations

import hashlib
import os
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Engine, Table, func, insert, select
from sqlalchemy.engine import URL
from sqlalchemy.exc import DBAPIError

from innerleaf.errors import InputError
from innerleaf.store.engine import open_store
from innerleaf.store.history import verify
from innerleaf.store.tables import METADATA, SITE_PHOTO

_ROWS, _PHOTOS = 500, 8  # copied at once: memory stays flat however long the history is

Copied = dict[str, int]


def backup(url: str, file: Path) -> Copied:
    """Copy a store into a new file, which appears only once it has been read back and compared.

    Whoever works on the store meanwhile is not held up; the copy shows one moment of it. Returns the rows
    of each table.

    Raises
    ------
    InputError
        There is a file of that name, the store does not open, or the copy does not agree with it.
    """
    if file.exists():
        raise InputError("backup", given=str(file), accepted="a file that is not there yet")
    part = file.with_name(f".{file.name}.{os.getpid()}.part")
    try:
        copied = _copy(open_store(url, reading=True), open_store(_of_file(part)))
        part.rename(file)
    finally:
        for left in (part, *(part.with_name(part.name + end) for end in ("-wal", "-shm"))):
            left.unlink(missing_ok=True)
    return copied


def restore(file: Path, url: str) -> Copied:
    """Fill an empty store from a copy; all of it or nothing.

    Raises
    ------
    InputError
        The file is no copy of a store or is damaged, or the store holds documents already.
    """
    if not file.is_file():
        raise InputError("restore", given=str(file), accepted="a file that `backup` wrote")
    return _copy(open_store(_of_file(file), reading=True), open_store(url))


def _of_file(file: Path) -> str:
    return URL.create("sqlite", database=str(file)).render_as_string()


def _copy(source: Engine, target: Engine) -> Copied:
    try:
        faults = verify(source)
        if faults:
            raise InputError("store", given=faults[0], accepted="a store that is whole")
        with source.begin() as reading:
            with target.begin() as writing:
                _empty_only(writing)
                for table in METADATA.sorted_tables:
                    for rows in _rows(reading, table):
                        writing.execute(insert(table), rows)
                for table in METADATA.sorted_tables:
                    if _print_of(reading, table) != _print_of(writing, table):
                        raise InputError("copy", given=table.name, accepted="a copy equal to the store")
            return {
                table.name: reading.scalar(select(func.count()).select_from(table)) or 0
                for table in METADATA.sorted_tables
            }
    except DBAPIError as error:
        raise InputError("store", given=str(error.orig), accepted="a store that is whole") from error
    finally:
        source.dispose()
        target.dispose()


def _empty_only(connection: Connection) -> None:
    for table in METADATA.sorted_tables:
        if connection.scalar(select(func.count()).select_from(table)):
            raise InputError("store", given=f"rows in {table.name}", accepted="an empty store to restore to")


def _rows(connection: Connection, table: Table) -> Iterator[list[dict[str, Any]]]:
    keys = list(table.primary_key.columns)
    at_once = _PHOTOS if table is SITE_PHOTO else _ROWS
    result = connection.execution_options(yield_per=at_once).execute(select(table).order_by(*keys))
    for some in result.mappings().partitions():
        yield [dict(row) for row in some]


def _print_of(connection: Connection, table: Table) -> str:
    """A digest of every value of a table, the same on every database."""
    made = hashlib.sha256()
    for rows in _rows(connection, table):
        for row in rows:
            made.update(repr(tuple(row.values())).encode())
    return made.hexdigest()
