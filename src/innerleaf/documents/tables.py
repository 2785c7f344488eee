"""Tables made ready for the typesetter: widths fixed, long cells broken, a few rows to a cell.

A cell for each figure would cost the typesetter some 17 KiB each. So rows go in groups, a cell of some
lines for each column and a hairline under each group; no line may be broken later, so all are measured
here.
"""

from __future__ import annotations

from dataclasses import dataclass

from innerleaf.documents.schedule import Table
from innerleaf.documents.sheet import text_width

LETTERS_MM = 2.9  # letter size of tables
_BETWEEN_MM = 3.4  # between columns
_NARROWEST_MM = 24.0  # no column is broken to less
_GROUP_LINES = 5  # lines to a group; a reader's eye keeps the row over so many
_WHOLE_LINES = 16  # a table of no more is not broken over pages: some 60 mm
_SLACK = 1.03  # on measured widths: kerning, and letters the width table does not have


@dataclass(frozen=True, slots=True)
class Block:
    """A table as groups of rows; a group has the lines of each column, joined by line breaks.

    A ``whole`` one is small enough to stand on one page.
    """

    title: str
    headings: tuple[str, ...]
    widths_mm: tuple[float, ...]
    right: tuple[bool, ...]
    groups: tuple[tuple[str, ...], ...]
    whole: bool


def _measure(words: str) -> float:
    return max(text_width(line, LETTERS_MM) for line in words.split("\n")) * _SLACK


def broken(words: str, width_mm: float) -> list[str]:
    """Words in lines of at most ``width_mm``, broken at spaces; a longer word has a line to itself."""
    lines: list[str] = []
    for given in words.split("\n"):
        lines.append("")
        for word in given.split(" "):
            longer = f"{lines[-1]} {word}" if lines[-1] else word
            if lines[-1] and _measure(longer) > width_mm:
                lines.append(word)
            else:
                lines[-1] = longer
    return lines


def _widths(rows: list[list[str]], headings: tuple[str, ...], width_mm: float) -> list[float]:
    """As wide as the widest cell; the widest columns give way, the widest first, until all fit."""
    widths = [max(_measure(row[k]) for row in [list(headings), *rows]) for k in range(len(headings))]
    room = width_mm - _BETWEEN_MM * len(headings)
    while sum(widths) > room + 0.01:
        widest = max(range(len(widths)), key=lambda k: widths[k])
        if widths[widest] <= _NARROWEST_MM:
            break
        second = max((w for k, w in enumerate(widths) if k != widest), default=0.0)
        over = sum(widths) - room
        widths[widest] = max(_NARROWEST_MM, widths[widest] - over, min(second, widths[widest] - 0.5))
    return widths


def block_of(table: Table, width_mm: float) -> Block:
    """A table set to a width."""
    rows = [[str(cell) for cell in row] for row in table.rows]
    widths = _widths(rows, table.columns, width_mm)
    groups: list[list[list[str]]] = []
    for number, row in enumerate(rows):
        cells = [broken(cell, width) for cell, width in zip(row, widths, strict=True)]
        tall = max(len(cell) for cell in cells)
        if not groups or number in table.ruled or len(groups[-1][0]) + tall > _GROUP_LINES:
            groups.append([[] for _ in cells])
        for column, cell in zip(groups[-1], cells, strict=True):
            column += cell + [""] * (tall - len(cell))
    return Block(
        title=table.title,
        headings=table.columns,
        widths_mm=tuple(round(width + _BETWEEN_MM, 2) for width in widths),
        right=tuple(name in table.right for name in table.columns),
        groups=tuple(tuple("\n".join(column) for column in group) for group in groups),
        whole=sum(len(group[0]) for group in groups) <= _WHOLE_LINES,
    )
