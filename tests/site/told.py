"""Entries and records for the tests of the site. All of it is invented."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import UTC, datetime
from typing import Any
from uuid import UUID

from innerleaf.site.records import Entry, Kind, Record, seal

AT = datetime(2026, 3, 2, 7, 30, tzinfo=UTC)
DEVICES = tuple(str(UUID(int=number, version=4)) for number in (1, 2))


def entries(device: str, said: Iterable[dict[str, Any]]) -> list[Entry]:
    """What one device wrote, each entry on the one before."""
    found: list[Entry] = []
    for number, one in enumerate(said, 1):
        key = str(UUID(int=int(UUID(device)) + 1000 * number, version=4))
        before = found[-1].digest if found else ""
        fields = {"device_time": "2026-03-02T07:30:00.000Z", "kind": Kind.NOTE} | one
        found.append(Entry(id=key, device=device, sequence=number, before=before, **fields))
    return found


def sealed(some: Iterable[Entry], *, role: str = "foreman", clock_off_s: int = 0) -> list[Record]:
    """Entries as records of a job, in the order given."""
    found: list[Record] = []
    for number, entry in enumerate(some, 1):
        before = found[-1].digest if found else ""
        found.append(
            seal(
                entry,
                job="mill-lane",
                number=number,
                before=before,
                who="Ada",
                role=role,
                server_time=AT,
                clock_off_s=clock_off_s,
            )
        )
    return found


def told(*said: dict[str, Any], role: str = "foreman") -> list[Record]:
    """Records of one device."""
    return sealed(entries(DEVICES[0], said), role=role)
