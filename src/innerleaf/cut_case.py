"""`innerleaf cut FILE`: reads pieces and stock, cuts, checks the plan on its own, says what came out."""

from __future__ import annotations

from pathlib import Path

from innerleaf import cut_case_bars, cut_case_sheets
from innerleaf.cut_case_drawing import check_drawing, write_drawing
from innerleaf.cut_file import SheetFile, read_cut


def command(
    path: Path, as_json: bool, *, seed: int = 0, seconds: float | None = None, drawing: Path | None = None
) -> str:
    """What the command prints; with ``drawing`` it also draws what is cut.

    Raises
    ------
    FileFaults, InputError
        The file cannot be used.
    CannotWrite
        The drawing cannot be written there.
    """
    if drawing is not None:
        check_drawing(drawing)
    asked = read_cut(path)
    if isinstance(asked, SheetFile):
        sheets = cut_case_sheets.run_sheets(asked, seed=seed, seconds=seconds)
        if drawing is not None:
            write_drawing(drawing, path.name, (), cut_case_sheets.sheet_patterns(sheets))
        return cut_case_sheets.answer_json(sheets) if as_json else cut_case_sheets.answer_text(sheets)
    bars = cut_case_bars.run_bars(asked, seed=seed, seconds=seconds)
    if drawing is not None:
        write_drawing(drawing, path.name, cut_case_bars.bar_patterns(bars), ())
    return cut_case_bars.answer_json(bars) if as_json else cut_case_bars.answer_text(bars)
