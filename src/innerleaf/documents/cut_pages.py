"""The pages of a cut list: what stands where, so that pages can be drawn apart from each other."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TypeVar

from innerleaf.documents.cut_bars import bar_height, bar_scale, draw_bar
from innerleaf.documents.cut_boards import board_height, board_scale, draw_board
from innerleaf.documents.cut_model import BarPattern, BoardPattern, Pattern
from innerleaf.documents.cut_paper import shortened
from innerleaf.documents.pages import FIELD_HEIGHT_MM, FIELD_WIDTH_MM
from innerleaf.documents.sheet import FINE, Pen, Sheet
from innerleaf.documents.svg import SvgSheet

_T = TypeVar("_T")

_GAP_MM, _MARGIN_MM = 6.0, 1.5  # between columns, left of the first
_HEADING_MM, _LETTERS = 7.0, 3.8
_RULE = Pen("TEXT", FINE)
BAR_COLUMNS, BOARD_COLUMNS = 2, 3
_BAR_DRAWING_MM = 126.0  # the longest bar on paper
_BOARD_ROW_MM = FIELD_HEIGHT_MM / 3 - 3.0  # three boards below each other, and a heading


@dataclass(frozen=True, slots=True)
class Block:
    """A bar or board (or a heading, where there is no pattern) with its upper left corner on the page."""

    left: float
    top: float
    pattern: Pattern | None
    words: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Layout:
    """One page: what stands on it, the width of its columns, its height, and the scale of its drawings."""

    blocks: tuple[Block, ...]
    width: float
    height: float
    scale: int

    @property
    def headings(self) -> tuple[str, ...]:
        """The headings of what stands on the page, in order."""
        return tuple(dict.fromkeys(b.pattern.heading for b in self.blocks if b.pattern is not None))


def bar_layouts(bars: Sequence[BarPattern], *, one: bool = False) -> list[Layout]:
    """Pages of bars, all at one scale; with ``one`` a single page as high as need be."""
    width = _column(BAR_COLUMNS)
    scale = bar_scale(max((bar.stock_mm for bar in bars), default=1), _BAR_DRAWING_MM)
    tall = [(bar, bar_height(bar, width)) for bar in bars]
    return _flow(tall, BAR_COLUMNS, scale, one=one)


def board_layouts(boards: Sequence[BoardPattern], *, one: bool = False) -> list[Layout]:
    """Pages of boards, all at one scale; with ``one`` a single page as high as need be."""
    width = _column(BOARD_COLUMNS)
    widest = max((board.width_mm for board in boards), default=1)
    longest = max((board.stock_mm for board in boards), default=1)
    scale = board_scale(widest, longest, width, _BOARD_ROW_MM)
    tall = [(board, board_height(board, width, scale)) for board in boards]
    return _flow(tall, BOARD_COLUMNS, scale, one=one)


def _column(columns: int) -> float:
    return (FIELD_WIDTH_MM - _MARGIN_MM - _GAP_MM * (columns - 1)) / columns


def _flow(patterns: Sequence[tuple[Pattern, float]], columns: int, scale: int, *, one: bool) -> list[Layout]:
    """Down the first column, then the next; a heading stays with what it heads, and is said again on top.

    Patterns come with the height each takes.
    """
    width, height = _column(columns), FIELD_HEIGHT_MM
    if one and patterns:
        most = max(tall for _, tall in patterns) + _HEADING_MM
        height = sum(tall + _HEADING_MM for _, tall in patterns) / columns + most
    pages: list[list[Block]] = [[]]
    column, top, said = 0, height, ""
    for pattern, tall in patterns:
        heads = bool(pattern.heading) and pattern.heading != said
        if top < height and top - tall - heads * _HEADING_MM < 0:
            column, top = column + 1, height
            heads = bool(pattern.heading)
            if column == columns:
                pages.append([])
                column = 0
        left = _MARGIN_MM + column * (width + _GAP_MM)
        if heads:
            goes_on = pattern.heading == said
            words = f"{said.partition(' · ')[0]} (goes on)" if goes_on else pattern.heading
            pages[-1].append(Block(left, top, None, words))
            top, said = top - _HEADING_MM, pattern.heading
        pages[-1].append(Block(left, top, pattern))
        top -= tall
    return [Layout(blocks=tuple(some), width=width, height=height, scale=scale) for some in pages if some]


def draw_layout(sheet: Sheet, layout: Layout) -> None:
    """Everything that stands on a page."""
    for block in layout.blocks:
        if block.pattern is None:
            _draw_heading(sheet, block, layout.width)
        elif isinstance(block.pattern, BarPattern):
            draw_bar(sheet, block.pattern, block.left, block.top, layout.width, layout.scale)
        else:
            draw_board(sheet, block.pattern, block.left, block.top, layout.width, layout.scale)


def layout_svg(layout: Layout) -> str:
    """A page as SVG text."""
    sheet = SvgSheet(FIELD_WIDTH_MM, layout.height)
    draw_layout(sheet, layout)
    return sheet.svg()


def _draw_heading(sheet: Sheet, block: Block, width: float) -> None:
    y = block.top - 3.4
    words = shortened(block.words, width, _LETTERS, bold=True)
    sheet.text((block.left, y), words, _LETTERS, "start", bold=True)
    sheet.line(_RULE, (block.left, y - 2.6), (block.left + width, y - 2.6))


def chunks(items: Sequence[_T], most: int) -> Iterator[Sequence[_T]]:
    """Items in parts of nearly equal size, none larger than ``most``."""
    count = max(1, -(-len(items) // most))
    cuts = [len(items) * number // count for number in range(count + 1)]
    for start, end in zip(cuts, cuts[1:], strict=False):
        yield items[start:end]
