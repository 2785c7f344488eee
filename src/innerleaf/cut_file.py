"""Reads what `innerleaf cut` takes: pieces and stock as JSON or CSV. Format: docs/cut.md.

Every mistake is found and said at once, each with its line, its field, what was given and what is accepted.
"""

from __future__ import annotations

from pathlib import Path

from innerleaf.cut_file_bars import BARS, BarMaker, CutFile
from innerleaf.cut_file_rows import Form, Rows, read_json, read_lines, take_lines
from innerleaf.cut_file_sheets import SHEETS, SheetFile, SheetMaker
from innerleaf.errors import FileFaults
from innerleaf.reading import read_file

__all__ = ["CutFile", "SheetFile", "read_cut"]


def read_cut(path: Path) -> CutFile | SheetFile:
    """Read a file of pieces and stock, bars or sheets; CSV by its name, else JSON.

    Raises
    ------
    FileFaults
        All that is wrong with the file.
    """
    name = str(path)
    if path.suffix.lower() == ".csv":
        lines = read_lines(path)
        widths = any("width" in cells for _, cells in lines.lines)
        rows = Rows(
            name, _form(name, bars="stock" in lines.kinds, sheets="sheet" in lines.kinds, widths=widths)
        )
        take_lines(lines, rows)
    else:
        text = read_file(path).checked()
        if not isinstance(text.value, dict):
            raise FileFaults([text.line((), "the file holds no group with pieces and stock.")])
        pieces = text.value.get("pieces")
        widths = isinstance(pieces, list) and any("width" in p for p in pieces if isinstance(p, dict))
        form = _form(name, bars="stock" in text.value, sheets="sheets" in text.value, widths=widths)
        rows = Rows(name, form)
        read_json(text, rows)
    rows.stop_at_faults()
    return SheetMaker(rows).made() if rows.form is SHEETS else BarMaker(rows).made()


def _form(name: str, *, bars: bool, sheets: bool, widths: bool) -> Form:
    """Whether a file is about bars or sheets; pieces with a width tell it where no stock is named."""
    if bars and sheets:
        raise FileFaults(
            [f"{name}: this file has bars (stock) and sheets: they are cut apart, so write a file for each."]
        )
    return SHEETS if sheets or (widths and not bars) else BARS
