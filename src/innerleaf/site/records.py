"""Records of the site: what a device wrote, the order in which it arrived, and the chain that shows changes.

A device makes an `Entry` without asking anybody: its id is made there, and each entry carries the digest of
the one before on the same device, so that a missing one shows. When it arrives it becomes a `Record` of the
job: it gets its number, and carries the digest of the record before, so that a later change shows (`verify`).
Nothing is ever changed or taken away: who was wrong adds an entry `about` the other.

Digests are SHA-256 of `canonical` text, which a browser makes to the same byte: numbers have three decimals
at most and lie within a million, so that both write them alike.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from enum import StrEnum
from typing import Any, Final

from innerleaf.findings import Finding

CLOCK_OFF_S: Final = 120  # common practice, no source: a clock farther off than this is marked


class Kind(StrEnum):
    """What a record says."""

    DONE = "done"  # an operation on a wall, or a piece of it (``mark``), is done
    CHECK = "check"  # a value was measured, or something was looked at
    HOLD = "hold"  # a hold point passed, failed or released (``outcome``)
    DEVIATION = "deviation"  # something stands elsewhere than drawn
    USED = "used"  # material used up
    LEFT = "left"  # material left
    HOURS = "hours"
    DAMAGE = "damage"
    PHOTO = "photo"
    NOTE = "note"
    ACCEPTED = "accepted"  # somebody answers for the record it is ``about``, for the reason in ``text``
    WITHDRAWN = "withdrawn"  # the record it is ``about`` was a mistake


@dataclass(frozen=True, slots=True, kw_only=True)
class Judged:
    """A value held against its limit at the wall, at once.

    ``value`` and ``limit`` in ``unit``; ``at_most``: good if the value does not exceed the limit.
    """

    name: str
    value: float
    limit: float
    unit: str
    at_most: bool

    @property
    def margin(self) -> float:
        """How far inside the limit; negative when missed. [unit]"""
        return round(self.limit - self.value if self.at_most else self.value - self.limit, 3)

    @property
    def met(self) -> bool:
        """Whether it is good."""
        return self.margin >= 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """What somebody wrote on a device, connected or not.

    Attributes
    ----------
    id : str
        Made on the device, random (UUID 4).
    device, sequence : str, int
        The device (UUID made when it first opened the job's site page) and the count of its entries for this
        job, from 1.
    before : str
        Digest of the entry before on the same device; "" for the first.
    seen : str
        Digest of the newest record of the job that the device knew; "" if none.
    device_time : str
        What the device's clock told, ISO 8601 with its zone; it may be wrong and is kept as told.
    name : str
        Who says it, as told on the device; "" where the account says it.
    wall, mark : str
        The wall, and the piece or place of it; "" where the whole job or wall is meant.
    what : str
        The operation, check, hold point, material or work it speaks of.
    values : tuple of (name, value)
        Measured or counted values by name, sorted; each name ends in its unit (``x_mm``, ``hours``).
    judged : tuple of Judged
        The values of a check against their limits, as shown at the wall; empty for other kinds.
    outcome : str
        Of a hold point: "passed", "failed" or "released".
    text : str
        A note; the reason of a release or an acceptance.
    photos : tuple of str
        SHA-256 of each photo.
    about : str
        Id of the entry this one corrects, withdraws, accepts or adds to; "" if none.
    """

    id: str
    device: str
    sequence: int
    before: str
    seen: str = ""
    device_time: str
    name: str = ""
    kind: Kind
    wall: str = ""
    mark: str = ""
    what: str = ""
    values: tuple[tuple[str, float], ...] = ()
    judged: tuple[Judged, ...] = ()
    outcome: str = ""
    text: str = ""
    photos: tuple[str, ...] = ()
    about: str = ""

    def value(self, name: str, default: float | None = None) -> float | None:
        """One of its values; ``default`` where it has none of that name."""
        return dict(self.values).get(name, default)

    @property
    def met(self) -> bool | None:
        """Whether everything judged is good; None where nothing was judged."""
        return all(one.met for one in self.judged) if self.judged else None

    @property
    def digest(self) -> str:
        """Of this entry, as the next one of the device carries it."""
        return digest_of(entry_document(self))


@dataclass(frozen=True, slots=True, kw_only=True)
class Record:
    """An entry that arrived, with its place in the job's chain.

    Attributes
    ----------
    entry : Entry
        What the device wrote.
    job : str
        Id of the job.
    number : int
        Order of arrival in the job, from 1.
    who, role : str
        The account that sent it, and what that person was on the job.
    server_time : datetime
        When it arrived, UTC.
    clock_off_s : int
        By how much the device's clock was ahead when it sent the entry (behind: negative). [s]
    before : str
        Digest of the record before; "" for the first.
    digest : str
        Of this record as it was kept.
    """

    entry: Entry
    job: str
    number: int
    who: str
    role: str
    server_time: datetime
    clock_off_s: int
    before: str
    digest: str

    @property
    def said_by(self) -> str:
        """The person, with the account that sent it where that is another."""
        name = self.entry.name or self.who
        return name if name == self.who else f"{name} ({self.who})"

    @property
    def clock_wrong(self) -> bool:
        """Whether the device's clock told something else than the server's."""
        return abs(self.clock_off_s) > CLOCK_OFF_S


def canonical(document: Mapping[str, Any]) -> str:
    """The one text of a document: keys sorted, no spaces, whole numbers without a point."""
    return json.dumps(_plain(document), ensure_ascii=False, separators=(",", ":"), sort_keys=True)


def digest_of(document: Mapping[str, Any]) -> str:
    """SHA-256 of the canonical text."""
    return hashlib.sha256(canonical(document).encode()).hexdigest()


def _plain(value: Any) -> Any:
    """Numbers as a browser writes them."""
    if isinstance(value, Mapping):
        return {str(key): _plain(one) for key, one in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(one) for one in value]
    if isinstance(value, float):
        short = round(value, 3)
        return int(short) if short == int(short) else short
    return value


def entry_document(entry: Entry) -> dict[str, Any]:
    """An entry as JSON has it."""
    document = {name: getattr(entry, name) for name in Entry.__slots__}
    judged = [{name: getattr(one, name) for name in Judged.__slots__} for one in entry.judged]
    return document | {
        "kind": str(entry.kind),
        "values": dict(entry.values),
        "judged": judged,
        "photos": list(entry.photos),
    }


def entry_of(document: Mapping[str, Any]) -> Entry:
    """An entry from what `entry_document` made of it (checked before: see the page's answers)."""
    told = {name: document[name] for name in Entry.__slots__ if name in document}
    return Entry(
        **told
        | {
            "kind": Kind(document["kind"]),
            "values": tuple(sorted(document.get("values", {}).items())),
            "judged": tuple(Judged(**one) for one in document.get("judged", ())),
            "photos": tuple(document.get("photos", ())),
        }
    )


def record_document(record: Record) -> dict[str, Any]:
    """A record as JSON has it, without its digest: what the digest is made of."""
    return {
        "entry": entry_document(record.entry),
        "job": record.job,
        "number": record.number,
        "who": record.who,
        "role": record.role,
        "server_time": record.server_time.astimezone(UTC).isoformat(timespec="milliseconds"),
        "clock_off_s": record.clock_off_s,
        "before": record.before,
    }


def record_of(document: Mapping[str, Any], digest: str) -> Record:
    """A record from what `record_document` made of it."""
    told = {name: document[name] for name in ("job", "number", "who", "role", "clock_off_s", "before")}
    return Record(
        entry=entry_of(document["entry"]),
        server_time=datetime.fromisoformat(document["server_time"]),
        digest=digest,
        **told,
    )


def seal(
    entry: Entry,
    *,
    job: str,
    number: int,
    before: str,
    who: str,
    role: str,
    server_time: datetime,
    clock_off_s: int,
) -> Record:
    """Make a record of an entry that arrived: its place in the chain, and the digest of all of it."""
    whole = server_time.astimezone(UTC)
    whole = whole.replace(microsecond=whole.microsecond // 1000 * 1000)  # as it is written
    unsealed = Record(
        entry=entry,
        job=job,
        number=number,
        who=who,
        role=role,
        server_time=whole,
        clock_off_s=clock_off_s,
        before=before,
        digest="",
    )
    return record_of(record_document(unsealed), digest_of(record_document(unsealed)))


def standing(records: Iterable[Record]) -> tuple[Record, ...]:
    """The records that hold: without those withdrawn, and without the withdrawals."""
    told = tuple(records)
    gone = {record.entry.about for record in told if record.entry.kind == Kind.WITHDRAWN}
    return tuple(
        record for record in told if record.entry.kind != Kind.WITHDRAWN and record.entry.id not in gone
    )


def verify(chain: Sequence[Record]) -> tuple[Finding, ...]:
    """What is wrong with the records of a job, in the order of their numbers.

    W101: a record is not what was kept. W102: one is missing or stands elsewhere. W103: entries of a device
    have not arrived, or one of them is not what the next one followed. W104: a device's clock was wrong.
    W105: a record that a device had seen is gone. Records cut off at the end show only by W105 and by the
    digest of the last one, which the hand-over pack prints.
    """
    found: list[Finding] = []
    before, number = "", 0
    for record in chain:
        number += 1
        if digest_of(record_document(record)) != record.digest:
            found.append(_finding("W101", record, "record is not what was kept"))
        if record.number != number or record.before != before:
            found.append(
                _finding("W102", record, f"record before number {record.number} is not the one kept")
            )
        before, number = record.digest, record.number
    found += _of_devices(chain)
    digests = {record.digest for record in chain}
    for record in chain:
        if record.entry.seen and record.entry.seen not in digests:
            found.append(_finding("W105", record, "a record that the device had seen is gone"))
    found += _wrong_clocks(chain)
    return tuple(found)


def _wrong_clocks(chain: Sequence[Record]) -> list[Finding]:
    """One finding for each device whose clock was wrong, at the first of its records that shows it."""
    wrong: dict[str, list[Record]] = {}
    for record in chain:
        if record.clock_wrong:
            wrong.setdefault(record.entry.device, []).append(record)
    found = []
    for first, *others in wrong.values():
        way = "ahead" if first.clock_off_s > 0 else "behind"
        text = f"clock of the device {abs(first.clock_off_s)} s {way}: {first.entry.device_time} as told"
        text += f", and in {len(others)} more records" if others else ""
        found.append(_finding("W104", first, text, "take the time of arrival less the wait"))
    return found


def _of_devices(chain: Sequence[Record]) -> list[Finding]:
    """Gaps and breaks in what each device wrote."""
    found: list[Finding] = []
    devices: dict[str, dict[int, Record]] = {}
    for record in chain:
        devices.setdefault(record.entry.device, {})[record.entry.sequence] = record
    for of_device in devices.values():
        expected, before = 1, ""
        for sequence, record in sorted(of_device.items()):
            if sequence != expected:
                text = f"entries {expected} to {sequence - 1} of the device have not arrived"
                found.append(_finding("W103", record, text, "let the device send what waits on it"))
            elif record.entry.before != before:
                found.append(_finding("W103", record, "entry does not follow the one before on its device"))
            expected, before = sequence + 1, record.entry.digest
    return found


def _finding(
    code: str, record: Record, text: str, remedy: str = "compare with a copy of the store"
) -> Finding:
    return Finding(
        code=code,
        wall=record.entry.wall or "-",
        rule="records are only added to",
        text=f"record {record.number} ({record.entry.kind}, {record.said_by}): {text}",
        remedy=remedy,
    )
