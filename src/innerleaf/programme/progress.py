"""What is done on site so far: a file of operations with the days they were begun and done."""

from __future__ import annotations

from collections.abc import Mapping, Set
from dataclasses import dataclass, field
from datetime import date, datetime, time
from pathlib import Path
from typing import Any

from innerleaf.errors import FileFaults, InputError
from innerleaf.job.faults import one_of
from innerleaf.reading import Place, Text, read_file

_FIELDS = ("started", "done", "left")


@dataclass(frozen=True, slots=True, kw_only=True)
class Past:
    """An operation begun. ``done`` None: under way, with a share ``left``; None: as much as the plan says."""

    started: datetime
    done: datetime | None = None
    left: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Progress:
    """How far the work is on the morning of a day; nothing that is not begun starts before it."""

    today: date
    past: Mapping[str, Past] = field(default_factory=dict)


def read_progress(path: Path, today: date, known: Set[str]) -> Progress:
    """Read a file of operations done.

    Raises
    ------
    FileFaults
        It cannot be read, or names operations there are not, or days that cannot be; all faults, each with
        its line.
    """
    text = read_file(path).checked()
    faults: list[str] = []
    body = text.value.get("operations") if isinstance(text.value, dict) else None
    if not isinstance(body, dict):
        faults.append(_line(text, ("operations",), given=body, accepted="operations by their marks"))
        raise FileFaults(faults)
    past = {}
    for name, said in body.items():
        if name not in known:
            place: Place = ("operations", name)
            accepted = one_of(sorted(known), name, what="operations of this job", most=4)
            faults.append(_line(text, place, given=name, accepted=accepted))
            continue
        try:
            past[name] = _past(said, today)
        except InputError as error:
            place = ("operations", name, *([error.field] if error.field else []))
            faults.append(_line(text, place, given=error.given, accepted=error.accepted))
    if faults:
        raise FileFaults(faults)
    return Progress(today=today, past=past)


def _line(text: Text, place: Place, *, given: object, accepted: str) -> str:
    field_name = ".".join(map(str, place))
    return text.line(place, str(InputError(field_name, given=given, accepted=accepted)), key=True)


def _past(said: Any, today: date) -> Past:
    if not isinstance(said, dict) or "started" not in said:
        raise InputError("", given=said, accepted="`started` with its day, and `done` or `left`")
    for name in said:
        if name not in _FIELDS:
            raise InputError(str(name), given=name, accepted=", ".join(_FIELDS))
    started = _when("started", said["started"], morning=True)
    done = _when("done", said["done"], morning=False) if "done" in said else None
    left = said.get("left")
    if started.date() >= today:
        raise InputError("started", given=said["started"], accepted=f"a day before today, {today}")
    if done is not None and (done <= started or done.date() >= today):
        accepted = f"after it was started and before today, {today}"
        raise InputError("done", given=said["done"], accepted=accepted)
    if left is not None and (
        isinstance(left, bool) or not isinstance(left, int | float) or not 0 < left <= 1 or done is not None
    ):
        raise InputError("left", given=left, accepted="a share above 0 and up to 1 of what is not done")
    return Past(started=started, done=done, left=None if left is None else float(left))


def _when(name: str, said: Any, *, morning: bool) -> datetime:
    """A day, or a day with a time: 2026-03-05 or 2026-03-05 09:30."""
    try:
        if isinstance(said, str) and len(said) == len("2026-03-05"):
            return datetime.combine(date.fromisoformat(said), time() if morning else time(23, 59))
        if isinstance(said, str) and len(said) == len("2026-03-05 09:30"):
            return datetime.fromisoformat(said)
    except ValueError:
        pass
    raise InputError(name, given=said, accepted="a day such as 2026-03-05, or with a time: 2026-03-05 09:30")
