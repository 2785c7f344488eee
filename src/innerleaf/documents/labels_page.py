"""Labels for pieces, in the order they are cut: mark, size, where it goes, a code that opens the place."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import partial
from urllib.parse import quote

from innerleaf.documents.comes_as import without_places
from innerleaf.documents.cut_list import CutList, use_of
from innerleaf.documents.cut_model import BarPattern, BoardPattern
from innerleaf.documents.cut_pages import chunks
from innerleaf.documents.cut_paper import shortened
from innerleaf.documents.cut_papers import PAGES_OF_A_PART, numbered
from innerleaf.documents.qr import QUIET, code_of, code_path
from innerleaf.documents.schedule import end_cut
from innerleaf.documents.sheet import text_width
from innerleaf.documents.title import TitleBlock
from innerleaf.documents.view import short
from innerleaf.documents.write import file_stems
from innerleaf.layout.pieces import FACE, Bar, BoardPiece, WallPlan
from innerleaf.practice.model import Rules

_PAD_MM = 3.0
_CODE_MOST_MM, _CODE_SHARE = 30.0, 0.4  # a code is no larger, and takes no more of the label's width
_MARK_MM = 5.4  # letter size of the mark, at most
_SIZES = (3.4, 2.8, 2.8, 2.8, 2.8, 2.8, 2.4)
_AIR = 1.3  # from line to line, of the letter size


@dataclass(frozen=True, slots=True)
class Label:
    """What stands on one label: the mark, the lines below it in order of weight, and what the code says."""

    mark: str
    lines: tuple[str, ...]
    code: str


@dataclass(frozen=True, slots=True, kw_only=True)
class LabelSheet:
    """A sheet of labels as the firm's printer takes it: rules of the practice set. [mm]"""

    columns: int
    rows: int
    width_mm: int
    height_mm: int
    left_mm: int
    top_mm: int
    gap_mm: int
    sheet_width_mm: int
    sheet_height_mm: int

    @classmethod
    def of(cls, rules: Rules) -> LabelSheet:
        """The grid that the rules say."""
        return cls(
            columns=rules.label_columns,
            rows=rules.label_rows,
            width_mm=rules.label_width_mm,
            height_mm=rules.label_height_mm,
            left_mm=rules.label_left_mm,
            top_mm=rules.label_top_mm,
            gap_mm=rules.label_gap_mm,
            sheet_width_mm=rules.label_sheet_width_mm,
            sheet_height_mm=rules.label_sheet_height_mm,
        )


def anchor_of(mark: str, wall: str) -> str:
    """The name of a piece on its wall's page; also as part of an address.

    >>> anchor_of("G-02/B1-04", "G-02"), anchor_of("W 1/S 3", "W 1")
    ('B1-04', 'S%203')
    """
    return quote(short(mark, wall), safe="/")


def place_of_bar(bar: Bar) -> tuple[str, str]:
    """Where a bar sits, in plain words: along the wall, and above its floor."""
    return _span("x", "from the left end", bar.ax_mm, bar.bx_mm), _span(
        "y", "from the floor", bar.ay_mm, bar.by_mm
    )


def place_of_board(board: BoardPiece) -> tuple[str, str]:
    """Where a board sits, in plain words; in a reveal from the window's frame and along the edge."""
    xs, ys = [x for x, _ in board.ring], [y for _, y in board.ring]
    if board.plane == FACE:
        across, along = _span("x", "from the left end", *_ends(xs)), _span("y", "from the floor", *_ends(ys))
        return across, along
    return use_of(board), _span("", "along the edge", *_ends(ys))


def _ends(values: Sequence[float]) -> tuple[float, float]:
    return min(values), max(values)


def _span(axis: str, since: str, a: float, b: float) -> str:
    low, high = sorted((round(a), round(b)))
    return f"{axis} {low if low == high else f'{low} to {high}'} {since}".strip()


def labels_of(plans: Sequence[WallPlan], cut: CutList, pages: str = "") -> list[Label]:
    """Labels of all bars and boards: in the order of the cut list, then what no stock holds.

    ``pages`` is the address where the firm puts the folder of the plan; without it codes say the place.
    """
    stems = dict(zip((p.wall.id for p in plans), file_stems([p.wall.id for p in plans]), strict=True))
    made: dict[str, Callable[[str], Label]] = {}
    for plan in plans:
        base = f"{pages.rstrip('/')}/walls/{quote(stems[plan.wall.id])}.html" if pages else ""
        for bar in plan.bars:
            made[bar.mark] = partial(_bar_label, plan, bar, base)
        for board in plan.boards:
            made[board.mark] = partial(_board_label, plan, board, base)
    labels = [make(source) for mark, source in _sources(cut) if (make := made.pop(mark, None))]
    return [*labels, *(make("") for make in made.values())]


def _sources(cut: CutList) -> Iterator[tuple[str, str]]:
    """Marks as they are cut, each with what it is cut from."""
    patterns: tuple[BarPattern | BoardPattern, ...] = (*cut.bars, *cut.boards)
    for pattern in patterns:
        what = "bar" if isinstance(pattern, BarPattern) else "board"
        other = f" or {without_places(pattern.comes_as)}" if pattern.comes_as else ""
        for k, number in enumerate(pattern.numbers):
            for part in pattern.parts:
                yield part.pieces[k].mark, f"from {what} {number}, {pattern.stock_mm}{other}"


def _bar_label(plan: WallPlan, bar: Bar, base: str, source: str) -> Label:
    skew = end_cut(bar.skew_a_deg, bar.skew_b_deg)
    size = f"{bar.item} · {bar.length_mm}"
    return _label(
        plan, bar.mark, size, f"{bar.role}{f', {skew}' if skew else ''}", place_of_bar(bar), source, base
    )


def _board_label(plan: WallPlan, board: BoardPiece, base: str, source: str) -> Label:
    size = f"{board.item} · {board.width_mm:.0f} × {board.length_mm:.0f}"
    return _label(plan, board.mark, size, use_of(board), place_of_board(board), source, base)


def _label(
    plan: WallPlan, mark: str, size: str, use: str, place: tuple[str, str], source: str, base: str
) -> Label:
    wall = plan.wall
    named = " · ".join(t for t in (wall.id, wall.name) if t)
    room = ", ".join(t for t in (wall.room, wall.storey) if t)
    code = f"{base}#{anchor_of(mark, wall.id)}" if base else f"{mark}: {_short_place(place)}"
    places = [text for text in place if text != use]
    return Label(mark, tuple(t for t in (size, named, room, use, *places, source) if t), code)


def _short_place(place: Sequence[str]) -> str:
    """A place in few letters, as a small code takes them.

    >>> _short_place(("x 450 from the left end", "y 0 to 3090 from the floor"))
    'x 450 from left, y 0-3090 from floor'
    """
    words = ", ".join(place)
    for long, brief in ((" to ", "-"), ("from the left end", "from left"), ("from the floor", "from floor")):
        words = words.replace(long, brief)
    return words


# --- on paper -------------------------------------------------------------------------------------

Words = tuple[float, float, float, bool, str]  # x, y from the upper left corner [mm], letter size [mm], bold


def set_label(label: Label, sheet: LabelSheet, left: float, top: float) -> tuple[str, list[Words]]:
    """The code of a label as an SVG path, and its words, with its upper left corner at ``left, top``."""
    modules = code_of(label.code)
    size = min(sheet.height_mm - 2 * _PAD_MM, _CODE_MOST_MM, _CODE_SHARE * sheet.width_mm)
    module = size / (len(modules) + 2 * QUIET)
    x = left + sheet.width_mm - _PAD_MM - size + QUIET * module
    y = top + (sheet.height_mm - size) / 2 + QUIET * module
    path = f'<path transform="translate({x:.3f} {y:.3f})scale({module:.4f})" d="{code_path(modules)}"/>'
    room = sheet.width_mm - 2 * _PAD_MM - size
    letters = min(_MARK_MM, room / text_width(label.mark, 1, bold=True) * 0.96)
    words: list[Words] = []
    y, bottom = top + _PAD_MM, top + sheet.height_mm - _PAD_MM / 2
    for text, letter, bold in _lines(label, letters):  # a long mark is small, never cut
        if y + 0.7 * letter > bottom:
            break
        words.append(
            (left + _PAD_MM, round(y, 2), round(letter, 2), bold, shortened(text, room, letter, bold=bold))
        )
        y += _AIR * letter
    return path, words


def _lines(label: Label, letters: float) -> Iterator[tuple[str, float, bool]]:
    yield label.mark, letters, True
    for k, line in enumerate(label.lines):
        yield line, _SIZES[min(k, len(_SIZES) - 1)], k == 0


def label_pages(labels: Sequence[Label], sheet: LabelSheet) -> list[dict[str, object]]:
    """Pages as the typesetter takes them: the codes as a drawing, the words by their places."""
    per_page = sheet.columns * sheet.rows
    width, height = sheet.sheet_width_mm, sheet.sheet_height_mm
    pages: list[dict[str, object]] = []
    for at in range(0, len(labels), per_page):
        paths, words = [], []
        for k, label in enumerate(labels[at : at + per_page]):
            row, column = divmod(k, sheet.columns)
            left = sheet.left_mm + column * (sheet.width_mm + sheet.gap_mm)
            path, its_words = set_label(label, sheet, left, sheet.top_mm + row * sheet.height_mm)
            paths.append(path)
            words += its_words
        svg = (
            f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}mm" height="{height}mm"'
            f' viewBox="0 0 {width} {height}">{"".join(paths)}</svg>'
        )
        pages.append({"svg": svg, "words": words})
    return pages


def labels_pdf(labels: Sequence[Label], sheet: LabelSheet, title: TitleBlock) -> bytes:
    """Sheets of labels as a PDF; the same labels give the same bytes."""
    from innerleaf.documents.pdf import typeset

    of_set = {
        "title": title.project,
        "width_mm": sheet.sheet_width_mm,
        "height_mm": sheet.sheet_height_mm,
        "pages": label_pages(labels, sheet),
    }
    return typeset("labels.typ", {"set.json": json.dumps(of_set, ensure_ascii=False).encode()})


def label_files(
    labels: Sequence[Label], rules: Rules, title: TitleBlock
) -> list[tuple[str, Callable[[], bytes]]]:
    """Names of the files of labels, and what makes each: one, or parts of whole sheets."""
    if not labels:
        return []
    sheet = LabelSheet.of(rules)
    per_page = sheet.columns * sheet.rows
    starts = range(0, len(labels), per_page)
    makers = [
        partial(labels_pdf, labels[part[0] : part[-1] + per_page], sheet)
        for part in chunks(starts, PAGES_OF_A_PART)
    ]
    return numbered("labels", makers, title)
