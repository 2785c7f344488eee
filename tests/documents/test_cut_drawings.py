"""The cut list on paper: what is drawn, how pages are filled, what is printed and put into the workbook."""

from __future__ import annotations

import io
import subprocess
from collections import Counter
from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.conftest import need_tool
from tests.documents.test_cut_list import PLANS, TITLE, a_bar, a_cut, of_bars, taken_off

from innerleaf.documents.cut_bars import draw_bar
from innerleaf.documents.cut_boards import board_scale, draw_board
from innerleaf.documents.cut_model import BarPart, BarPattern, BoardPart, BoardPattern, Left, Piece, Step
from innerleaf.documents.cut_pages import bar_layouts, board_layouts, chunks, draw_layout
from innerleaf.documents.cut_papers import cut_files, cut_sheets
from innerleaf.documents.cut_setup import bar_setups, board_setups, kept_table, sum_table
from innerleaf.documents.cut_tabs import setup_sheet
from innerleaf.documents.pages import FIELD_HEIGHT_MM, FIELD_WIDTH_MM
from innerleaf.documents.recorder import Recorder
from innerleaf.documents.xlsx import takeoff_xlsx
from innerleaf.takeoff.model import CutBoard

# --- on paper -------------------------------------------------------------------------------------


def test_a_bar_is_drawn_with_every_cut_numbered_and_measured_once() -> None:
    part = BarPart(length_mm=900, pieces=(Piece("W-1/S1", "W-1", "shop", "stud"),))
    short = BarPart(length_mm=300, pieces=(Piece("W-1/N1", "W-1", "shop", "nogging"),))
    bar = BarPattern(
        item="CW-75",
        stock_mm=3000,
        numbers=(7,),
        kerf_mm=3,
        parts=(part, short, short),
        rest_mm=1491,
        kept=("K-4",),
    )
    sheet = Recorder()

    draw_bar(sheet, bar, 0, 100, 140, 25)

    words = sheet.words()
    assert [words.count(figure) for figure in ("900", "1203", "1506", "1", "2", "3")] == [1] * 6
    assert "keep K-4" in words
    assert "keep, write K-4 on it" in words
    assert "CW-75 3000" in words
    assert any("W-1/S1" in w and "shop" in w for w in words)
    assert any(w.startswith("b–c  300") for w in words), words
    assert not sheet.overlaps()
    assert len([c for c in sheet.of("line", "CUT") if c.points[0][0] == c.points[1][0]]) == 3


def test_a_skew_end_leans_as_the_stud_does_when_it_lies_on_its_right_side_below() -> None:
    """Top +30°: the right side of the stud, below on the paper, is the longer one."""
    part = BarPart(length_mm=1000, pieces=(Piece("S1"),), skew_b_deg=30)
    bar = BarPattern(item="", stock_mm=1100, numbers=(1,), kerf_mm=2, parts=(part,), rest_mm=98)
    sheet = Recorder()

    draw_bar(sheet, bar, 0, 100, 140, 10)

    ends = [point for call in sheet.of("polygon") if call.words == "white" for point in call.points]
    lower, upper = min(y for _, y in ends), max(y for _, y in ends)
    below = max(x for x, y in ends if y == lower)
    above = max(x for x, y in ends if y == upper)
    assert below == pytest.approx(100)
    assert above < below
    assert any("top +30°" in w for w in sheet.words())


def test_a_bar_used_whole_is_not_drawn_but_said() -> None:
    part = BarPart(length_mm=3000, pieces=(Piece("F1", "", "shop", "floor track"),))
    sheet = Recorder()

    draw_bar(
        sheet,
        BarPattern(item="UW-75", stock_mm=3000, numbers=(1,), kerf_mm=2, parts=(part,), rest_mm=0),
        0,
        100,
        140,
        25,
    )

    assert not sheet.of("polygon")
    assert sheet.words() == ["UW-75 3000", "bar 1 · used whole, no cut", "a  3000", "F1 · floor track, shop"]


def test_a_board_is_drawn_with_every_cut_and_what_is_kept() -> None:
    ring = ((0.0, 0.0), (1200.0, 0.0), (1200.0, 2000.0), (0.0, 2000.0))
    strip = ((0.0, 2000.0), (300.0, 2000.0), (300.0, 2750.0), (0.0, 2750.0))
    board = BoardPattern(
        item="board-A",
        width_mm=1200,
        stock_mm=2750,
        numbers=(3,),
        parts=(
            BoardPart(
                width_mm=1200,
                length_mm=2000,
                rings=(ring,),
                pieces=(Piece("W-1/B1", "W-1", "shop", "layer 1", boxes=True),),
            ),
            BoardPart(
                width_mm=300,
                length_mm=750,
                rings=(strip,),
                pieces=(Piece("W-1/B2", "W-1", "shop", "layer 1"),),
                turned_deg=180,
            ),
        ),
        steps=(Step(1, "score", ((0, 2000, 1200, 2000),)), Step(2, "score", ((300, 2000, 300, 2750),))),
        lefts=(Left(300, 2000, 900, 750, ("K-9",)),),
    )
    sheet = Recorder()

    draw_board(sheet, board, 0, 100, 92, board_scale(1200, 2750, 92, 88))

    words = sheet.words()
    running = {(call.axis, call.words) for call in sheet.of("running")}
    assert running == {("x", "300"), ("y", "2000")}
    assert [words.count(n) for n in ("1", "2")] == [1, 1]
    assert "keep K-9" in words
    assert "layer 1, shop · holes for boxes" in words
    assert "layer 1, shop · turned by half" in words
    assert not sheet.overlaps()


def test_sawn_cuts_are_drawn_otherwise_than_scored_ones() -> None:
    notched = [b for b in a_cut().boards if {"score", "saw"} <= {step.how for step in b.steps}]
    assert notched
    sheet = Recorder()

    draw_board(sheet, notched[0], 0, 200, 92, 50)

    count = Counter(step.how for step in notched[0].steps for _ in step.lines)
    assert len(sheet.of("line", "SAW")) == count["saw"] + count["shape"]
    assert len(sheet.of("line", "SCORE")) == count["score"]


def test_nothing_leaves_the_page_and_no_words_overlap() -> None:
    for layout in [*bar_layouts(a_cut().bars), *board_layouts(a_cut().boards)]:
        sheet = Recorder()
        draw_layout(sheet, layout)
        assert not sheet.overlaps()
        for call in sheet.calls:
            assert all(
                -0.6 <= x <= FIELD_WIDTH_MM + 0.6 and -0.6 <= y <= FIELD_HEIGHT_MM + 0.6
                for x, y in call.points
            )
        letters = [call.box for call in sheet.of("text") if call.box]
        assert max(box[2] for box in letters) <= FIELD_WIDTH_MM + 1


@settings(max_examples=40, deadline=None)
@given(
    st.lists(
        st.tuples(
            st.integers(1, 4), st.integers(1, 30), st.sampled_from(["", "W-1 · a wall", "W-2 · another"])
        ),
        max_size=40,
    )
)
def test_pages_hold_every_bar_once_within_their_height(given_bars: list[tuple[int, int, str]]) -> None:
    bars = []
    for number, (parts, alike, heading) in enumerate(sorted(given_bars, key=lambda b: b[2])):
        pieces = tuple(Piece(f"piece-{number}-{k}", "", "a room with a long name") for k in range(alike))
        part = BarPart(length_mm=600 + number, pieces=pieces)
        numbers = tuple(range(alike))
        bars.append(
            BarPattern(
                item="P",
                stock_mm=4000,
                numbers=numbers,
                kerf_mm=2,
                parts=(part,) * parts,
                rest_mm=9,
                heading=heading,
            )
        )

    pages = bar_layouts(bars)

    drawn = [block.pattern for page in pages for block in page.blocks if block.pattern is not None]
    assert drawn == bars
    for page in pages:
        sheet = Recorder()
        draw_layout(sheet, page)
        assert min((y for call in sheet.calls for _, y in call.points), default=0) >= -0.6
        for before, after in pairwise(page.blocks):
            assert after.left > before.left or after.top < before.top
    whole = bar_layouts(bars, one=True)
    assert len(whole) == min(1, len(bars))


def test_parts_are_nearly_equal_and_none_is_too_large() -> None:
    assert [list(part) for part in chunks(range(7), 3)] == [[0, 1], [2, 3], [4, 5, 6]]


def test_set_ups_count_every_piece_and_name_its_bars() -> None:
    cut = a_cut()

    for setups, patterns in ((bar_setups(cut), cut.bars), (board_setups(cut), cut.boards)):
        asked = Counter((p.item, part.length_mm) for p in patterns for part in p.parts for _ in part.pieces)
        told = Counter[tuple[str, float]]()
        for setup in setups:
            told[setup.item, setup.length_mm] += len(setup.pieces)
        assert sum(told.values()) == sum(asked.values())
        assert [s.item for s in setups] == sorted(s.item for s in setups)
    bars = of_bars(a_bar(1, "W-03/S1", "W-03/S2"), a_bar(4, "W-05/S9"), a_bar(2, "W-04/S1", length=800))
    first, second = bar_setups(bars)
    assert [(s.length_mm, len(s.pieces), s.taken_from) for s in (first, second)] == [
        (900, 3, "3000: 1, 4"),
        (800, 1, "3000: 2"),
    ]
    assert [p.mark for p in first.pieces] == ["W-03/S1", "W-03/S2", "W-05/S9"]


def test_pieces_cut_to_shape_stand_apart_from_rectangles() -> None:
    """Of one size, a notched or raked piece is another set-up than a plain one."""
    shapes = {board.mark: board for plan in PLANS for board in plan.boards}

    plain = {piece.mark for setup in board_setups(a_cut()) if not setup.ends for piece in setup.pieces}
    shaped = {piece.mark for setup in board_setups(a_cut()) if setup.ends for piece in setup.pieces}

    for mark, board in shapes.items():
        area = sum(a[0] * b[1] - b[0] * a[1] for a, b in pairwise((*board.ring, board.ring[0]))) / 2
        whole = abs(area - board.width_mm * board.length_mm) < 1 and not board.holes
        assert mark in (plain if whole else shaped)
    assert any(mark.startswith("W-05") for mark in shaped)


def test_sums_say_what_is_waste() -> None:
    """Two bars of 3,000 with 2,000 of pieces each; the rest of one is kept."""
    cut = of_bars(
        a_bar(1, "W-03/S1", "W-03/S2", length=1000, left=996),
        a_bar(2, "W-04/S1", "W-04/S2", length=1000, left=500),
    )

    assert sum_table(cut).rows == (("CW-75", 3000, 2, 4, 1, f"{(3000 - 2000 - 996 + 1000) / 6000:.1%}"),)
    assert kept_table(cut.kept).rows[0][:3] == ("K-1", "CW-75", "996")


# --- files ----------------------------------------------------------------------------------------


def test_the_printed_list_holds_every_mark_in_both_orders(tmp_path: Path) -> None:
    [(name, make)] = cut_files(a_cut(), TITLE)
    path = tmp_path / name
    path.write_bytes(make())
    text = subprocess.run(
        [need_tool("pdftotext"), "-layout", path, "-"], capture_output=True, check=True, text=True
    ).stdout

    assert name == "cut-list.pdf"
    assert "Mill Lane 3" in text
    for title in (
        "To be cut",
        "Reading the bars",
        "Reading the boards",
        "Bars by set-up of the saw",
        "Pieces of board by size",
    ):
        assert title in text
    for plan in PLANS:
        assert f"{plan.wall.id} · {plan.wall.name}" in text
    for kept in a_cut().kept:
        assert kept.mark in text
    longest = bar_setups(a_cut())[0]
    assert str(longest.length_mm) in text
    assert text.count("\f") >= len(cut_sheets(a_cut()))


def test_the_same_list_gives_the_same_bytes_and_large_ones_come_in_parts(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    [(_, make)] = cut_files(a_cut(), TITLE)
    assert make() == make()

    monkeypatch.setattr("innerleaf.documents.cut_papers.PAGES_OF_A_PART", 3)
    names = [name for name, _ in cut_files(a_cut(), TITLE)]
    assert names == [f"cut-list-{n}.pdf" for n in range(1, len(names) + 1)]
    assert len(names) > 1
    assert cut_files(of_bars(), TITLE) == []


def test_a_list_too_long_for_a_cell_of_the_workbook_says_so() -> None:
    bars = [a_bar(number, f"W-03/S{2 * number}", f"W-04/S{2 * number}") for number in range(3000)]

    [row] = setup_sheet(of_bars(*bars)).rows

    assert row[3] == 6000
    sheet = Recorder()
    draw_layout(sheet, bar_layouts(of_bars(*bars[::2]).bars)[0])  # every other number: no run to shorten
    assert max(box[2] for box in (call.box for call in sheet.of("text")) if box) < FIELD_WIDTH_MM / 2
    assert len(str(row[5])) <= 32_767
    assert str(row[5]).endswith(", and more")


def test_the_workbook_has_cuts_set_ups_and_offcuts() -> None:
    import openpyxl

    cut = a_cut()
    book = openpyxl.load_workbook(
        io.BytesIO(takeoff_xlsx(PLANS, taken_off(), TITLE, cut=cut)), data_only=True
    )

    assert book.sheetnames[2:7] == ["Cut list", "Boards", "Board cuts", "Saw set-up", "Offcuts kept"]
    setups = [*bar_setups(cut), *board_setups(cut)]
    rows = list(book["Saw set-up"].iter_rows(min_row=2, values_only=True))[: len(setups)]
    assert [row[3] for row in rows] == [len(s.pieces) for s in setups]
    lines = sum(len(step.lines) for board in cut.boards for step in board.steps)
    assert book["Board cuts"].max_row == 1 + lines
    assert [row[0].value for row in book["Offcuts kept"].iter_rows(min_row=2)] == [k.mark for k in cut.kept]
    ends = {row[3].value: row[9].value for row in book["Cut list"].iter_rows(min_row=2)}
    for bar in cut.bars:
        for part, (_, end) in zip(bar.parts, bar.spans, strict=True):
            assert all(ends[piece.mark] == end for piece in part.pieces)


def test_a_board_of_the_takeoff_is_found_again_on_the_list() -> None:
    board: CutBoard = max(taken_off().boards, key=lambda b: len(b.pieces))
    pattern = next(p for p in a_cut().boards if p.item == board.item and board.number in p.numbers)
    at = pattern.numbers.index(board.number)

    assert [part.pieces[at].mark for part in pattern.parts] == [piece.mark for piece in board.pieces]
    scored = [step.lines[0] for step in pattern.steps if step.how == "score"]
    assert scored == [(c.ax_mm, c.ay_mm, c.bx_mm, c.by_mm) for c in board.cuts if not c.sawn]


@pytest.mark.parametrize(("strip", "said"), [(60, False), (120, True)])
def test_waste_too_narrow_for_words_has_none(strip: int, said: bool) -> None:
    """At 1:20 a strip of 60 mm is 3 mm of paper, and words of 2.9 mm would touch its lines."""
    ring = ((0.0, 0.0), (1200.0 - strip, 0.0), (1200.0 - strip, 2500.0), (0.0, 2500.0))
    part = BoardPart(width_mm=1200 - strip, length_mm=2500, rings=(ring,), pieces=(Piece("a"),))
    board = BoardPattern(
        item="board",
        width_mm=1200,
        stock_mm=2500,
        numbers=(1,),
        parts=(part,),
        steps=(Step(1, "score", ((1200.0 - strip, 0.0, 1200.0 - strip, 2500.0),)),),
        lefts=(Left(1200 - strip, 0, strip, 2500),),
    )
    sheet = Recorder()
    draw_board(sheet, board, 0, 200, 130, 20)

    assert any("waste" in words for words in sheet.words()) == said
