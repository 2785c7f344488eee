"""Records of a job as one file: what a store hands out and a hand-over pack is made from."""

from __future__ import annotations

import json
from collections.abc import Sequence
from pathlib import Path
from typing import Any, Final

from innerleaf.errors import InputError
from innerleaf.site.records import Record, record_document, record_of

FORMAT: Final = "innerleaf-records"
VERSION: Final = 1


def records_text(records: Sequence[Record], *, statement: str = "") -> str:
    """The chain as JSON, one record a line; ``statement`` says for instance that all of it is invented."""
    lines = [
        json.dumps(record_document(record) | {"digest": record.digest}, ensure_ascii=False)
        for record in records
    ]
    head = json.dumps({"format": FORMAT, "version": VERSION, "statement": statement}, ensure_ascii=False)
    return head[:-1] + ', "records": [\n' + ",\n".join(lines) + "\n]}\n"


def read_records(path: Path) -> tuple[Record, ...]:
    """Read a chain back, as it was kept; whether it is whole `records.verify` says.

    Raises
    ------
    InputError
        The file cannot be read, or is no file of records.
    """
    try:
        document: Any = json.loads(path.read_text("utf-8"))
    except (OSError, ValueError, RecursionError) as error:
        accepted = f"readable JSON ({getattr(error, 'strerror', None) or error})"
        raise InputError("records", given=path.name, accepted=accepted) from error
    given = (document.get("format"), document.get("version")) if isinstance(document, dict) else None
    if given != (FORMAT, VERSION):
        raise InputError("records", given=given, accepted=f"format {FORMAT!r}, version {VERSION}")
    return tuple(_record(number, one) for number, one in enumerate(document.get("records", ()), 1))


def _record(number: int, told: Any) -> Record:
    try:
        return record_of(told, told["digest"])
    except (KeyError, TypeError, ValueError, AttributeError) as error:
        accepted = f"a record as it was kept ({type(error).__name__}: {error})"
        raise InputError(f"record {number}", given="something else", accepted=accepted) from error
