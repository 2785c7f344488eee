"""Reads what `innerleaf cut` takes: pieces and stock as JSON or CSV. Format: docs/cut.md.

Every mistake is found and said at once, each with its line, its field, what was given and what is accepted.
"""

from __future__ import annotations

from pathlib import Path

from innerleaf.cut_file_bars import BARS, BarMaker, CutFile
from innerleaf.cut_file_rows import Rows, read_json, read_lines, take_lines
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
        _one_of_both(name, bars="stock" in lines.kinds, sheets="sheet" in lines.kinds)
        rows = Rows(name, SHEETS if "sheet" in lines.kinds else BARS)
        take_lines(lines, rows)
    else:
        text = read_file(path).checked()
        if not isinstance(text.value, dict):
            raise FileFaults([text.line((), "the file holds no group with pieces and stock.")])
        _one_of_both(name, bars="stock" in text.value, sheets="sheets" in text.value)
        rows = Rows(name, SHEETS if "sheets" in text.value else BARS)
        read_json(text, rows)
    rows.stop_at_faults()
    return SheetMaker(rows).made() if rows.form is SHEETS else BarMaker(rows).made()


def _one_of_both(name: str, *, bars: bool, sheets: bool) -> None:
    if bars and sheets:
        raise FileFaults(
            [f"{name}: this file has bars (stock) and sheets: they are cut apart, so write a file for each."]
        )
