"""The cut list in the workbook: cuts of boards in their order, set-ups of the saw, offcuts kept."""

from __future__ import annotations

from innerleaf.documents.cut_list import CutList
from innerleaf.documents.cut_model import BarPattern, BoardPattern, marks_of, number_ranges
from innerleaf.documents.cut_setup import bar_setups, board_setups
from innerleaf.documents.schedule import Cell
from innerleaf.documents.tabs import Column, SheetTable

_COUNT, _LENGTH, _EXACT = "0", "0", "0.#"
_MOST_LETTERS = 32_767  # of a cell (from memory: the file format's own limit)
_HOW = {"score": "score and snap", "saw": "saw", "shape": "saw, raked, on the piece"}


def cut_tabs(cut: CutList) -> list[SheetTable]:
    """The sheets of a cut list, besides those of the takeoff."""
    return [board_cut_sheet(cut), setup_sheet(cut), kept_sheet(cut)]


def board_cut_sheet(cut: CutList) -> SheetTable:
    """One row for each cut across a board; the sides of one notch have one number."""
    rows: list[tuple[Cell, ...]] = []
    for board in cut.boards:
        numbers, size = number_ranges(board.numbers), f"{board.width_mm} × {board.stock_mm}"
        first = board.heading.split(" · ")[0]
        for step in board.steps:
            for line in step.lines:
                how = _HOW[step.how]
                rows.append(
                    (
                        first,
                        board.item,
                        size,
                        numbers,
                        len(board.numbers),
                        step.number,
                        how,
                        *line,
                        board.comes_as,
                    )
                )
    columns = (
        Column(name="first wall", width=12),
        Column(name="item", width=20),
        Column(name="stock [mm]", width=14),
        Column(name="boards", width=14),
        Column(name="cut alike", form=_COUNT),
        Column(name="cut", form=_COUNT),
        Column(name="how", width=24),
        Column(name="from x [mm]", form=_EXACT),
        Column(name="from y [mm]", form=_EXACT),
        Column(name="to x [mm]", form=_EXACT),
        Column(name="to y [mm]", form=_EXACT),
        Column(name="may come as", width=24),
    )
    return SheetTable(name="Board cuts", columns=columns, rows=tuple(rows))


def setup_sheet(cut: CutList) -> SheetTable:
    """Pieces cut at one stop together; bars first."""
    stocks: tuple[BarPattern | BoardPattern, ...] = (*cut.bars, *cut.boards)
    other = {(one.item, one.stock_mm): one.comes_as for one in stocks if one.comes_as}
    rows = tuple(
        (
            s.item,
            s.width_mm or "",
            s.length_mm,
            len(s.pieces),
            s.ends,
            _cell(marks_of(s.pieces)),
            _cell(s.taken_from),
            round(s.length_mm * len(s.pieces) / 1000, 3),
            "; ".join(
                f"{stock}: {other[s.item, stock]}" for stock, _ in s.sources if (s.item, stock) in other
            ),
        )
        for s in (*bar_setups(cut), *board_setups(cut))
    )
    columns = (
        Column(name="item", width=20),
        Column(name="width [mm]", form=_EXACT),
        Column(name="stop, length [mm]", width=16, form=_EXACT),
        Column(name="pieces", form=_COUNT, total=True),
        Column(name="end cut, shape", width=22),
        Column(name="marks", width=60),
        Column(name="from stock: numbers", width=34),
        Column(name="length in all [m]", width=14, form="#,##0.00", total=True),
        Column(name="may come as", width=34),
    )
    return SheetTable(name="Saw set-up", columns=columns, rows=rows)


def _cell(words: str) -> str:
    """Words that a cell can hold; a longer list ends with a word that says so."""
    if len(words) <= _MOST_LETTERS:
        return words
    whole, _, _ = words[: _MOST_LETTERS - 20].rpartition(", ")
    return f"{whole}, and more"


def kept_sheet(cut: CutList) -> SheetTable:
    """Offcuts that are kept, by the mark written on them."""
    rows = tuple((k.mark, k.item, k.width_mm or "", k.length_mm, k.edges, k.number) for k in cut.kept)
    columns = (
        Column(name="mark", width=10),
        Column(name="item", width=20),
        Column(name="width [mm]", form=_LENGTH),
        Column(name="length [mm]", form=_LENGTH),
        Column(name="factory edges", width=16),
        Column(name="from bar or board", width=16, form=_COUNT),
    )
    return SheetTable(name="Offcuts kept", columns=columns, rows=rows)
