"""Rows of a price list out of CSV or XLSX: bounded, and nothing in the file is carried out.

A workbook is read as values (formulas by the result that was stored with them). A file that is too large,
packs too much into too little, brings its own entities or cannot be read is refused in a sentence.
"""

from __future__ import annotations

import csv
import io
import zipfile
from collections.abc import Iterator
from datetime import date, datetime
from itertools import islice
from pathlib import Path
from typing import Final

from innerleaf.errors import InputError

Cell = str | float | int | None
MOST_BYTES: Final = 16 * 1024 * 1024
MOST_UNPACKED: Final = 64 * 1024 * 1024
MOST_PARTS: Final = 2_000
MOST_ROWS: Final = 100_000
MOST_COLUMNS: Final = 200
LONGEST_CELL: Final = 2_000
_SEPARATORS: Final = (";", "\t", ",")


def sheet_rows(path: Path, *, sheet: str = "", separator: str = "") -> list[tuple[Cell, ...]]:
    """All rows, the first of the file first. ``sheet`` "": the first of a workbook; ``separator`` "": found.

    Raises
    ------
    InputError
        The file cannot be opened, is too large, or is neither text nor a workbook.
    """
    try:
        with path.open("rb") as stream:
            raw = stream.read(MOST_BYTES + 1)
    except (OSError, ValueError) as error:  # ValueError: a NUL in the path
        what = getattr(error, "strerror", None) or str(error)
        raise InputError(
            "price list", given=str(path), accepted=f"a file that can be opened ({what})"
        ) from error
    if len(raw) > MOST_BYTES:
        raise _refused(path, f"a file of {MOST_BYTES // 1024 // 1024} MiB or less")
    rows = _workbook_rows(raw, path, sheet) if raw[:2] == b"PK" else _text_rows(raw, path, separator)
    found = list(islice(rows, MOST_ROWS + 1))
    if len(found) > MOST_ROWS:
        raise _refused(path, f"{MOST_ROWS} rows or fewer")
    return found


def _refused(path: Path, accepted: str) -> InputError:
    return InputError("price list", given=path.name, accepted=accepted)


def _text_rows(raw: bytes, path: Path, separator: str) -> Iterator[tuple[Cell, ...]]:
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        accepted = "UTF-8 text or an XLSX workbook: save it as CSV UTF-8"
        raise _refused(path, accepted) from error
    if "\0" in text:
        raise _refused(path, "UTF-8 text or an XLSX workbook")
    first = text.split("\n", 1)[0]
    mark = separator or max(_SEPARATORS, key=first.count)
    try:
        for row in csv.reader(io.StringIO(text, newline=""), delimiter=mark):
            yield _bounded([cell.strip() or None for cell in row], path)
    except csv.Error as error:
        raise _refused(path, f"rows of values between {mark!r} ({error})") from error


def _bounded(row: list[Cell], path: Path) -> tuple[Cell, ...]:
    if len(row) > MOST_COLUMNS:
        raise _refused(path, f"{MOST_COLUMNS} columns or fewer")
    if any(isinstance(cell, str) and len(cell) > LONGEST_CELL for cell in row):
        raise _refused(path, f"cells of {LONGEST_CELL} characters or fewer")
    return tuple(row)


def _workbook_rows(raw: bytes, path: Path, sheet: str) -> Iterator[tuple[Cell, ...]]:
    _check_parts(raw, path)
    from openpyxl import load_workbook

    try:
        book = load_workbook(io.BytesIO(raw), read_only=True, data_only=True, keep_links=False)
        names = [table.title for table in book.worksheets]
    except Exception as error:  # what a broken workbook raises is no one kind of error
        raise _refused(path, f"a workbook that can be read ({type(error).__name__})") from error
    if sheet and sheet not in names:
        raise InputError("sheet", given=sheet, accepted=f"one of {', '.join(names[:20])}")
    if not names:
        raise _refused(path, "a workbook with a sheet of values")
    try:
        table = book[sheet or names[0]]
        limits = {"max_row": MOST_ROWS + 1, "max_col": MOST_COLUMNS + 1}
        for row in table.iter_rows(values_only=True, **limits):
            yield _bounded(_without_tail([_cell(value) for value in row]), path)
    except InputError:
        raise
    except Exception as error:
        raise _refused(path, f"a workbook that can be read ({type(error).__name__})") from error
    finally:
        book.close()


def _without_tail(row: list[Cell]) -> list[Cell]:
    while row and row[-1] is None:
        row.pop()
    return row


def _cell(value: object) -> Cell:
    if isinstance(value, bool) or value is None:
        return None if value is None else str(value).lower()
    if isinstance(value, datetime | date):
        return value.isoformat()[:10]
    return value if isinstance(value, int | float) else (str(value).strip() or None)


def _check_parts(raw: bytes, path: Path) -> None:
    """Is it an archive of reasonable size whose parts declare nothing of their own?"""
    try:
        with zipfile.ZipFile(io.BytesIO(raw)) as archive:
            parts = archive.infolist()
            if len(parts) > MOST_PARTS or sum(part.file_size for part in parts) > MOST_UNPACKED:
                size = MOST_UNPACKED // 1024 // 1024
                raise _refused(path, f"a workbook of {MOST_PARTS} parts and {size} MiB unpacked, or less")
            for part in parts:
                if part.filename.endswith((".xml", ".rels")):
                    with archive.open(part) as stream:
                        if b"<!" in stream.read(4096).replace(b"<!--", b""):
                            raise _refused(path, "a workbook without declarations of its own in its parts")
    except (zipfile.BadZipFile, NotImplementedError, RuntimeError, EOFError, OSError) as error:
        raise _refused(path, f"a workbook that can be read ({type(error).__name__})") from error
