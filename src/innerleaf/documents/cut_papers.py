"""The printed cut list: sums and what is kept, bars and boards by wall, set-ups of the saw."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import partial
from typing import TYPE_CHECKING

from innerleaf.documents.cautions import CAUTIONS
from innerleaf.documents.cut_list import CutList
from innerleaf.documents.cut_model import BarPattern, BoardPattern
from innerleaf.documents.cut_pages import Layout, bar_layouts, board_layouts, layout_svg
from innerleaf.documents.cut_setup import kept_table, setup_tables, sum_table
from innerleaf.documents.pages import Note, Page
from innerleaf.documents.schedule import Table
from innerleaf.documents.title import TitleBlock

if TYPE_CHECKING:
    from innerleaf.takeoff.together import TogetherReport

PAGES_OF_A_PART = 60
_ROWS_OF_A_PAGE = 45  # a table on a guess, long cells broken
_ROWS_OF_A_TABLE = 1500  # more are printed as several
_TOPICS = ("Steel edges", "Heavy boards", "Dust")

_BARS = (
    Note(
        heading="Reading the bars",
        text="Cut from the left, in the order of the numbers; pieces come off as a, b, c. Figures run from"
        " the circle at the left end to the end of each piece; the blade takes what is beyond ({kerf} mm)."
        " With a stop, set the length beside the letter.",
    ),
    Note(text="Bars cut alike are drawn once; marks are in the order of the bars' numbers. Grey is waste."),
    Note(
        text="Skew ends are cut on the piece: angle from square, foot to the left, positive rises to the"
        " right as seen from the room. The length is that of the longer side."
    ),
)
_BOARDS = (
    Note(
        heading="Reading the boards",
        text="Face up, foot below. Figures run from the circles at the lower left corner: mark all cuts"
        " before the first. Cut in the order of the numbers; pieces come off as a, b, c.",
    ),
    Note(lead="Full lines with a number:", text="score and snap, right across what is left of the board."),
    Note(
        lead="Dashed lines with a number:",
        text="sawn: notches, and raked edges, these last and on the piece.",
    ),
    Note(
        text="Heavy sides are factory edges. A piece turned by half has its foot at the top. Holes for boxes"
        " are cut as the sheet of the wall says. Grey is waste."
    ),
)
_KEEP = Note(
    heading="Keeping offcuts",
    text="Write the mark on an offcut that is kept, and put it with the others of its item: it serves the"
    " next job. The least sizes worth keeping are the firm's rules.",
)
_SETUP = Note(
    heading="By set-up",
    text="All pieces of one length or size together, marks in the order of the walls. The figure of a bar"
    " is where the stop stands.",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class CutSheet:
    """One drawing, or tables that may run on over several pages."""

    title: str
    subject: str
    notes: tuple[Note, ...]
    layout: Layout | None = None
    tables: tuple[Table, ...] = ()
    wide: bool = True

    @property
    def weight(self) -> int:
        """About how many pages it takes."""
        return 1 + sum(len(table.rows) for table in self.tables) // _ROWS_OF_A_PAGE


def cut_sheets(cut: CutList, together: TogetherReport | None = None) -> list[CutSheet]:
    """Everything that is printed of a cut list, in its order; ``together``: what that was worth, first."""
    tables = [table for table in (sum_table(cut), kept_table(cut.kept)) if table.rows]
    worth: tuple[Note, ...] = ()
    if together:
        from innerleaf.documents.together_sheet import together_table, together_words

        tables[1:1] = [together_table(together)]
        worth = (Note(heading="Layout and cutting together", text=together_words(together)),)
    sheets = [
        CutSheet(
            title="Cut list",
            subject="Sums, and what is kept",
            notes=(*worth, _KEEP, *_cautions()),
            tables=tuple(tables),
            wide=False,
        )
    ]
    sheets += drawn_sheets(cut.bars, cut.boards)
    for table in setup_tables(cut):
        for rows, part in _rows(table):
            sheets.append(CutSheet(title=table.title, subject=rows, notes=(_SETUP,), tables=(part,)))
    return sheets


def drawn_sheets(bars: Sequence[BarPattern], boards: Sequence[BoardPattern]) -> list[CutSheet]:
    """The sheets with drawings: bars, then boards."""
    kerf = bars[0].kerf_mm if bars else 0
    notes = tuple(replace(note, text=note.text.format(kerf=kerf)) for note in _BARS)
    return [
        *(_drawn("Bars", layout, notes) for layout in bar_layouts(bars)),
        *(_drawn("Boards", layout, _BOARDS) for layout in board_layouts(boards)),
    ]


def _cautions() -> list[Note]:
    found = [caution for caution in CAUTIONS if caution.topic in _TOPICS]
    return [
        Note(heading="" if k else "Cautions", lead=f"{caution.topic}.", text=caution.text)
        for k, caution in enumerate(found)
    ]


def _drawn(what: str, layout: Layout, notes: tuple[Note, ...]) -> CutSheet:
    parts = [heading.split(" · ")[0] for heading in layout.headings if heading]
    subject = f"{parts[0]} to {parts[-1]}" if len(parts) > 1 else parts[0] if parts else ""
    return CutSheet(title=what, subject=subject, notes=notes, layout=layout)


def _rows(table: Table) -> list[tuple[str, Table]]:
    """A table in parts that a typesetter takes well, each with what it shows of the whole."""
    if len(table.rows) <= _ROWS_OF_A_TABLE:
        return [("All walls", table)]
    found = []
    for at in range(0, len(table.rows), _ROWS_OF_A_TABLE):
        rows = table.rows[at : at + _ROWS_OF_A_TABLE]
        ruled = tuple(k - at for k in table.ruled if 0 < k - at < len(rows))
        found.append((f"All walls, from {rows[0][0]} {rows[0][1]}", replace(table, rows=rows, ruled=ruled)))
    return found


def cut_pages(sheets: Sequence[CutSheet]) -> list[Page]:
    """Sheets as pages of a set."""
    return [
        Page(
            wall="",
            title=sheet.title,
            subject=sheet.subject,
            scale=f"1:{sheet.layout.scale}" if sheet.layout else "",
            svg=layout_svg(sheet.layout) if sheet.layout else "",
            tables=sheet.tables,
            notes=sheet.notes,
            wide=sheet.wide,
        )
        for sheet in sheets
    ]


def cut_pdf(sheets: Sequence[CutSheet], title: TitleBlock) -> bytes:
    """Sheets of a cut list as a PDF; the same sheets give the same bytes."""
    from innerleaf.documents.pdf import set_pdf

    return set_pdf(cut_pages(sheets), [], title)


def cut_files(
    cut: CutList, title: TitleBlock, together: TogetherReport | None = None
) -> list[tuple[str, Callable[[], bytes]]]:
    """Names of the files of a cut list, and what makes each: one, or parts of some 60 pages."""
    if not cut.bars and not cut.boards:
        return []
    parts: list[list[CutSheet]] = [[]]
    sheets = cut_sheets(cut, together)
    most = sum(sheet.weight for sheet in sheets)
    most = -(-most // max(1, -(-most // PAGES_OF_A_PART)))
    for sheet in sheets:
        if parts[-1] and sum(s.weight for s in parts[-1]) + sheet.weight > most:
            parts.append([])
        parts[-1].append(sheet)
    return numbered("cut-list", [partial(cut_pdf, part) for part in parts], title)


def numbered(
    name: str, makers: Sequence[Callable[[TitleBlock], bytes]], title: TitleBlock
) -> list[tuple[str, Callable[[], bytes]]]:
    """File names for the parts of a paper; each part says in its title block which it is."""
    of = len(makers)
    if of == 1:
        return [(f"{name}.pdf", partial(makers[0], title))]
    return [
        (
            f"{name}-{number:0{len(str(of))}d}.pdf",
            partial(make, replace(title, project=f"{title.project}, part {number} of {of}")),
        )
        for number, make in enumerate(makers, 1)
    ]
