"""Records of the site: each once, whatever is sent how often; nothing is changed or given up."""

from __future__ import annotations

import json
from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING
from uuid import uuid4

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sqlalchemy import text
from sqlalchemy.exc import DBAPIError

from innerleaf.errors import InputError
from innerleaf.store.backup import backup, restore
from innerleaf.store.engine import open_store
from innerleaf.store.history import add, verify
from innerleaf.store.model import Kind
from innerleaf.store.site import (
    LARGEST_PHOTO,
    add_photo,
    add_records,
    photo,
    photos_of,
    records_of,
    site_faults,
)

if TYPE_CHECKING:
    from sqlalchemy import Engine

AT = datetime(2026, 3, 2, 7, 30, tzinfo=UTC)
JPEG = b"\xff\xd8\xff\xe0 an invented picture"


def job_of(engine: Engine) -> str:
    return add(engine, Kind.JOB, uuid4().hex, "job\n", who="Ada", at=AT).line.document


def seal(said: str, number: int, before: str) -> str:
    return json.dumps({"said": said, "number": number, "before": before})


def entry(device: int, number: int) -> tuple[str, str]:
    return f"{device}-{number}", f"device {device} says {number}"


def test_what_is_sent_twice_is_kept_once(store: Engine) -> None:
    job = job_of(store)
    first = add_records(store, job, [entry(1, 1), entry(1, 2)], seal)
    again = add_records(store, job, [entry(1, 1), entry(1, 2), entry(1, 3)], seal)
    assert [one.id for one in first.added] == ["1-1", "1-2"]
    assert ([one.id for one in again.added], again.there) == (["1-3"], ("1-1", "1-2"))
    assert [one.number for one in records_of(store, job)] == [1, 2, 3]
    assert [one.id for one in records_of(store, job, after=2)] == ["1-3"]
    assert verify(store) == ()


def test_one_id_with_two_sayings_is_refused_not_overwritten(store: Engine) -> None:
    job = job_of(store)
    add_records(store, job, [("1-1", "first")], seal)
    assert add_records(store, job, [("1-1", "second")], seal).clashing == ("1-1",)
    assert [json.loads(one.text)["said"] for one in records_of(store, job)] == ["first"]


def test_there_has_to_be_a_job(store: Engine) -> None:
    with pytest.raises(InputError, match="document"):
        add_records(store, "none", [entry(1, 1)], seal)
    with pytest.raises(InputError, match="document"):
        add_photo(store, "none", "image/jpeg", JPEG)


@pytest.mark.parametrize("change", ["UPDATE site_record SET text = 'x'", "DELETE FROM site_record"])
def test_the_database_refuses_changes(store: Engine, change: str) -> None:
    add_records(store, job_of(store), [entry(1, 1)], seal)
    with pytest.raises(DBAPIError, match="only added to"), store.begin() as connection:
        connection.execute(text(change))


def test_a_change_behind_the_programs_back_is_noticed(tmp_path: Path) -> None:
    store = open_store(f"sqlite:///{tmp_path / 'store.db'}")
    job = job_of(store)
    add_records(store, job, [entry(1, number) for number in range(3)], seal)
    key = add_photo(store, job, "image/jpeg", JPEG)
    with store.begin() as connection:  # whoever owns the file can drop a trigger
        for trigger in ("site_record_no_update", "site_photo_no_update"):
            connection.execute(text(f"DROP TRIGGER {trigger}"))
        connection.execute(text("UPDATE site_record SET text = 'never said' WHERE number = 2"))
        connection.execute(text("UPDATE site_photo SET content = X'00'"))
    faults = verify(store)
    assert f"site record 2 of job {job}: it is not what was kept" in faults
    assert f"site photo {key[:12]} of job {job}: it is not what was kept" in faults
    store.dispose()


BATCHES = st.lists(st.tuples(st.sampled_from((1, 2)), st.integers(1, 4)), min_size=1, max_size=12)


@pytest.fixture(scope="module")
def kept(tmp_path_factory: pytest.TempPathFactory) -> Engine:
    """One store for many examples; each has a job of its own."""
    return open_store(f"sqlite:///{tmp_path_factory.mktemp('site') / 'store.db'}")


@settings(max_examples=20, deadline=None, suppress_health_check=list(HealthCheck))
@given(sends=BATCHES, lost=st.sets(st.integers(0, 11)), total=st.integers(1, 8))
def test_two_tablets_sending_in_any_order_give_the_same_records(
    kept: Engine, sends: list[tuple[int, int]], lost: set[int], total: int
) -> None:
    """Each sends its queue batch by batch; an answer that is ``lost`` makes it send the batch again."""
    job = job_of(kept)
    queues = {device: [entry(device, number) for number in range(total)] for device in (1, 2)}
    wanted = {device: list(queue) for device, queue in queues.items()}

    def send(device: int, size: int, *, answered: bool) -> None:
        batch = queues[device][:size]
        merged = add_records(kept, job, batch, seal)
        assert merged.clashing == ()
        if answered:
            known = {one.id for one in merged.added} | set(merged.there)
            queues[device] = [one for one in queues[device] if one[0] not in known]

    for turn, (device, size) in enumerate(sends):
        send(device, size, answered=turn not in lost)
    for device in (2, 1, 1, 2):
        send(device, total, answered=True)
    records = records_of(kept, job)
    for device, queue in wanted.items():
        assert [one.id for one in records if one.id.startswith(f"{device}-")] == [key for key, _ in queue]
    assert [one.number for one in records] == list(range(1, 2 * total + 1))
    with kept.connect() as connection:
        assert site_faults(connection, job) == []


def test_tablets_that_send_at_the_same_time_lose_nothing(store: Engine) -> None:
    job = job_of(store)

    def send(device: int) -> None:
        for number in range(10):
            add_records(store, job, [entry(device, number)], seal)

    with ThreadPoolExecutor(4) as pool:
        list(pool.map(send, (1, 2, 3, 1)))
    assert sorted(one.id for one in records_of(store, job)) == sorted(
        f"{device}-{number}" for device in (1, 2, 3) for number in range(10)
    )
    assert verify(store) == ()


def test_photos_are_kept_once_and_only_pictures(store: Engine) -> None:
    job = job_of(store)
    key = add_photo(store, job, "image/jpeg", JPEG)
    assert add_photo(store, job, "image/jpeg", JPEG) == key
    assert photo(store, job, key) == ("image/jpeg", JPEG)
    assert photo(store, job, "0" * 64) is None
    assert photos_of(store, job) == {key}
    for media, content in (
        ("image/svg+xml", b"<svg/>"),
        ("image/png", JPEG),
        ("image/jpeg", JPEG + bytes(LARGEST_PHOTO)),
    ):
        with pytest.raises(InputError, match="photo"):
            add_photo(store, job, media, content)


def test_a_copy_has_the_records_and_goes_on_counting(url: str, other_url: str, tmp_path: Path) -> None:
    store = open_store(url)
    job = job_of(store)
    add_records(store, job, [entry(1, 1)], seal)
    add_photo(store, job, "image/jpeg", JPEG)
    backup(url, tmp_path / "copy.db")
    restore(tmp_path / "copy.db", other_url)
    other = open_store(other_url)
    assert records_of(other, job) == records_of(store, job)
    (more,) = add_records(other, job, [entry(1, 1), entry(1, 2)], seal).added
    assert more.number == 2
    assert verify(other) == ()
    store.dispose()
    other.dispose()
