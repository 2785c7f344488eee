"""Stores to test on: a SQLite file, and a PostgreSQL server that the tests start themselves."""

from __future__ import annotations

import os
import shutil
import socket
import subprocess
from collections.abc import Iterator
from pathlib import Path
from tempfile import mkdtemp
from typing import TYPE_CHECKING
from uuid import uuid4

import psycopg
import pytest
from tests.conftest import missing

from innerleaf.store.engine import open_store

if TYPE_CHECKING:
    from sqlalchemy import Engine


def _binaries() -> Path | None:
    found = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"))
    on_path = shutil.which("initdb")
    return found[-1].parent if found else Path(on_path).parent if on_path else None


@pytest.fixture(scope="session")
def server() -> Iterator[str]:
    """The address of a PostgreSQL server of our own, without the name of a database."""
    binaries = _binaries()
    if binaries is None:
        missing("PostgreSQL")
    # Not among pytest's folders: those are shut to other users, and the server refuses to run as root.
    folder = Path(mkdtemp(prefix="innerleaf-pg-"))
    before: list[str] = []
    if os.geteuid() == 0:
        shutil.chown(folder, "postgres")
        before = ["runuser", "-u", "postgres", "--"]
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]

    def run(*command: str) -> None:
        done = subprocess.run(
            [*before, *command], cwd=folder, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, check=False
        )
        assert done.returncode == 0, done.stderr.decode()

    data, control = str(folder / "data"), str(binaries / "pg_ctl")
    cluster = ("-A", "trust", "-E", "UTF8", "--locale=C.UTF-8", "--no-sync")
    run(str(binaries / "initdb"), "-D", data, "-U", "innerleaf", *cluster)
    options = f"-p {port} -k {folder} -c listen_addresses=127.0.0.1 -c fsync=off"
    run(control, "-D", data, "-l", str(folder / "log"), "-w", "-o", options, "start")
    yield f"postgresql://innerleaf@127.0.0.1:{port}"
    run(control, "-D", data, "-m", "immediate", "stop")
    shutil.rmtree(folder)


@pytest.fixture(params=["sqlite", "postgresql"])
def url(request: pytest.FixtureRequest, tmp_path: Path) -> str:
    """The address of an empty store on each database."""
    return _empty(request, request.param, tmp_path)


@pytest.fixture(params=["sqlite", "postgresql"])
def other_url(request: pytest.FixtureRequest, tmp_path: Path) -> str:
    """The address of a second empty store on each database."""
    return _empty(request, request.param, tmp_path)


def _empty(request: pytest.FixtureRequest, database: str, folder: Path) -> str:
    name = f"store_{uuid4().hex}"
    if database == "sqlite":
        return f"sqlite:///{folder / name}.db"
    server = request.getfixturevalue("server")
    with psycopg.connect(f"{server}/postgres", autocommit=True) as connection:
        connection.execute(f'CREATE DATABASE "{name}"')
    return f"{server}/{name}"


@pytest.fixture
def store(url: str) -> Iterator[Engine]:
    """An empty store, open."""
    engine = open_store(url)
    yield engine
    engine.dispose()
