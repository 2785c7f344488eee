"""A copy of a store is whole, verified, and made while others write."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, datetime
from pathlib import Path
from threading import Event

import pytest

from innerleaf.errors import InputError
from innerleaf.store.backup import backup, restore
from innerleaf.store.engine import open_store
from innerleaf.store.history import add, asides, documents, revision, revisions, save, verify
from innerleaf.store.model import ChangedMeanwhile, Kind

AT = datetime(2026, 3, 2, 7, 30, 15, 123456, tzinfo=UTC)
EMPTY = ("site_record", "site_photo", "run", "person", "invite", "session", "guess")


def _filled(url: str) -> str:
    store = open_store(url)
    key = add(store, Kind.JOB, "Mill Lane", "eins\r\n", who="Ada", at=AT).line.document
    add(store, Kind.PRICES, "prices.yaml", "p: 1\n", who="Ada", at=AT, owner=key)
    save(store, key, 1, "zwei ä\n", who="Ben", at=AT, what="door")
    with pytest.raises(ChangedMeanwhile):
        save(store, key, 1, "drei\n", who="Cas", at=AT)
    store.dispose()
    return key


def test_a_copy_restores_everything_on_any_database(url: str, other_url: str, tmp_path: Path) -> None:
    key = _filled(url)
    assert backup(url, tmp_path / "copy.db") == {"document": 2, "revision": 3, "aside": 1} | dict.fromkeys(
        EMPTY, 0
    )
    restore(tmp_path / "copy.db", other_url)
    before, after = open_store(url), open_store(other_url)
    assert documents(after) == documents(before)
    assert revisions(after, key) == revisions(before, key)
    assert revision(after, key) == revision(before, key)
    assert asides(after, key) == asides(before, key)
    assert verify(after) == ()
    with pytest.raises(ChangedMeanwhile) as told:  # and the restored store goes on counting
        save(after, key, 1, "vier\n", who="Dee", at=AT)
    assert told.value.aside.number == 2
    before.dispose()
    after.dispose()


def test_a_copy_made_while_others_write_shows_one_moment(url: str, tmp_path: Path) -> None:
    key = _filled(url)
    store, stop = open_store(url), Event()

    def write() -> int:
        number = 2
        while not stop.is_set():
            number = save(store, key, number, f"text {number}", who="Ada", at=AT).line.number
        return number

    with ThreadPoolExecutor(1) as pool:
        written = pool.submit(write)
        for copy in range(3):
            backup(url, tmp_path / f"{copy}.db")
        stop.set()
        assert written.result() > 2
    store.dispose()
    for copy in range(3):
        copied = open_store(f"sqlite:///{tmp_path / f'{copy}.db'}")
        assert verify(copied) == ()
        copied.dispose()


def test_nothing_is_overwritten(url: str, tmp_path: Path) -> None:
    _filled(url)
    backup(url, tmp_path / "copy.db")
    with pytest.raises(InputError, match="a file that is not there yet"):
        backup(url, tmp_path / "copy.db")
    with pytest.raises(InputError, match="an empty store"):
        restore(tmp_path / "copy.db", url)
    assert sorted(path.name for path in tmp_path.glob("*copy*")) == ["copy.db"]


def test_a_damaged_or_foreign_file_is_refused_in_a_sentence(url: str, other_url: str, tmp_path: Path) -> None:
    _filled(url)
    copy = tmp_path / "copy.db"
    backup(url, copy)
    whole = copy.read_bytes()
    (tmp_path / "text.db").write_text("this is no store")
    (tmp_path / "half.db").write_bytes(whole[: len(whole) // 2])
    (tmp_path / "changed.db").write_bytes(whole.replace(b"zwei", b"ZWEI"))
    for name in ("text.db", "half.db", "changed.db", "none.db"):
        with pytest.raises(InputError):
            restore(tmp_path / name, other_url)
    fresh = open_store(other_url)
    assert documents(fresh) == ()
    fresh.dispose()
