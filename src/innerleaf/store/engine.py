"""Opening a store: SQLite by default, PostgreSQL by its URL; made or brought up to date on the way."""

from __future__ import annotations

import os
from contextlib import AbstractContextManager
from pathlib import Path
from typing import Any

from alembic import command
from alembic.config import Config
from sqlalchemy import Connection, Engine, create_engine, event
from sqlalchemy.engine import make_url
from sqlalchemy.exc import ArgumentError, DBAPIError, NoSuchModuleError

from innerleaf.errors import InputError

_ACCEPTED = "sqlite:///FILE or postgresql://USER@HOST/DATABASE"
_CONNECTIONS = 20  # kept open; a page takes one for a moment
_BUSY_MS = 10_000  # a writer waits so long for another; transactions here take milliseconds


def default_folder() -> Path:
    """Where the program keeps what belongs to whoever runs it."""
    return Path(os.environ.get("XDG_DATA_HOME") or Path.home() / ".local" / "share") / "innerleaf"


def default_url() -> str:
    """The store of whoever runs the program: one file among the user's data."""
    return f"sqlite:///{default_folder() / 'store.db'}"


def open_store(url: str, *, reading: bool = False) -> Engine:
    """An engine on which what is read and then written cannot lose what others wrote between.

    With ``reading`` a transaction is a look at one state of the store, and holds nobody up.

    Raises
    ------
    InputError
        The address is none that is known, or nothing answers there.
    """
    engine = _engine(url, reading=reading)
    try:
        if reading:
            engine.connect().close()
        else:
            migrate(engine)
    except DBAPIError as error:
        raise InputError("store", given=_shown(url), accepted=f"a store that opens ({error.orig})") from error
    return engine


def looking(engine: Engine) -> AbstractContextManager[Connection]:
    """A transaction that only reads: it waits for nobody, and nobody for it."""
    return engine.execution_options(reading=True).begin()


def migrate(engine: Engine) -> None:
    """Bring the tables to what this version of the program wants; all of it or nothing."""
    config = Config()
    config.set_main_option("script_location", str(Path(__file__).parent / "migrations"))
    with engine.begin() as connection:
        if engine.dialect.name == "postgresql":  # one program at a time: two that start together take turns
            connection.exec_driver_sql("SELECT pg_advisory_xact_lock(1651076707)")
        config.attributes["connection"] = connection
        command.upgrade(config, "head")


def _engine(url: str, *, reading: bool) -> Engine:
    try:
        parsed = make_url(url)
        if parsed.drivername in ("postgresql", "postgres"):
            parsed = parsed.set(drivername="postgresql+psycopg")
        if parsed.get_backend_name() not in ("sqlite", "postgresql"):
            raise NoSuchModuleError(parsed.drivername)
        if parsed.get_backend_name() == "sqlite":
            return _sqlite(parsed.database or "", parsed.render_as_string(), reading=reading)
        level = "REPEATABLE READ" if reading else "READ COMMITTED"
        return create_engine(parsed, pool_size=_CONNECTIONS, pool_pre_ping=True, isolation_level=level)
    except (ArgumentError, NoSuchModuleError, ModuleNotFoundError) as error:
        raise InputError("store", given=_shown(url), accepted=_ACCEPTED) from error


def _sqlite(database: str, url: str, *, reading: bool) -> Engine:
    if not database or database == ":memory:":
        raise InputError("store", given=url, accepted="sqlite:///FILE, a file on disk")
    file = Path(database)
    if reading and not file.is_file():
        raise InputError("store", given=str(file), accepted="a store that is there")
    try:
        file.parent.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise InputError(
            "store", given=str(file), accepted=f"a folder to write ({error.strerror})"
        ) from error
    engine = create_engine(url, pool_size=_CONNECTIONS)

    @event.listens_for(engine, "connect")
    def _settings(connection: Any, _record: Any) -> None:
        connection.isolation_level = None  # we say BEGIN ourselves, below
        # FULL: what was acknowledged is on the disk, also if the power fails the moment after.
        for pragma in ("journal_mode=WAL", f"busy_timeout={_BUSY_MS}", "foreign_keys=ON", "synchronous=FULL"):
            connection.execute(f"PRAGMA {pragma}")

    @event.listens_for(engine, "begin")
    def _begin(connection: Connection) -> None:
        # A writer takes its turn at once: one that read first and then had to wait would write on old news.
        only_reads = reading or connection.get_execution_options().get("reading")
        connection.exec_driver_sql("BEGIN" if only_reads else "BEGIN IMMEDIATE")

    return engine


def _shown(url: str) -> str:
    """The address as it may be shown: without a password."""
    try:
        return make_url(url).render_as_string(hide_password=True)
    except ArgumentError:
        return url
