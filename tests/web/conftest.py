"""A store with pages on it, asked in the same process or served to a browser."""

from __future__ import annotations

import threading
import time
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
import uvicorn
from fastapi.testclient import TestClient

from innerleaf.store.engine import open_store
from innerleaf.web.app import make_app
from innerleaf.web.demo import demo_files
from innerleaf.web.desk import JOB_FILE, Desk

AT = datetime(2026, 3, 2, 7, 30, tzinfo=UTC)
SMALL = """\
# A flat of our own invention.
format: 1
site: {name: Three rooms (invented), practice: en_metric}
constructions:
  brick: [{material: brick-1800, thickness: 240}]
linings:
  warm: {way: stud and track, profile: CW-75, spacing: 600, boards: [board-A-12.5], insulation: [wool-60]}
rooms:
  - {id: living, storey: first floor}
  - {id: kitchen}
opening_types:
  sash: {kind: window, sill: 900, width: 1100, height: 1300, reveal: 150}
walls:
  - id: W1 # to the street
    room: living
    construction: brick
    lining: warm
    length: 4200
    height: 2600
    openings:
      - {type: sash, x: 800} # the old one
    boxes: [{x: 3000, y: 300}]
  - {id: W2, room: kitchen, construction: brick, lining: warm, length: 3000, height: 2600}
  - {id: W3, room: kitchen, construction: brick, lining: choose, length: 2400, height: 2600}
"""


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    """An empty store."""
    engine = open_store(f"sqlite:///{tmp_path / 'store.db'}")
    yield Desk(engine, tmp_path / "work", clock=lambda: AT)
    engine.dispose()


@pytest.fixture
def client(desk: Desk) -> Iterator[TestClient]:
    """Asks the application as a program on this machine would."""
    with TestClient(make_app(desk, user="Ada"), base_url="http://127.0.0.1:8420") as asking:
        yield asking


@pytest.fixture
def small(desk: Desk) -> str:
    """A job of three walls, one of them still to be chosen."""
    return desk.take_in({JOB_FILE: SMALL}, who="Ada").line.document


@pytest.fixture
def demo(desk: Desk) -> str:
    """The demo building."""
    return desk.take_in(demo_files(), who="Ada").line.document


@dataclass(frozen=True)
class Served:
    """A server that a browser can ask."""

    url: str
    desk: Desk


@pytest.fixture
def served(desk: Desk) -> Iterator[Served]:
    """The same application on a port of its own."""
    config = uvicorn.Config(make_app(desk, user="Ada"), host="127.0.0.1", port=0, log_level="error")
    server = uvicorn.Server(config)
    thread = threading.Thread(target=server.run, daemon=True)
    thread.start()
    until = time.monotonic() + 30
    while not server.started and time.monotonic() < until:
        time.sleep(0.02)
    sockets: Any = server.servers[0].sockets
    yield Served(f"http://127.0.0.1:{sockets[0].getsockname()[1]}", desk)
    server.should_exit = True
    thread.join(20)
