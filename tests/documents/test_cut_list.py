"""The cut list: what stands on it, in which order, how pieces lie, what is kept."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from functools import cache
from itertools import pairwise

import pytest
from tests.documents.fixture import a_gable, a_plan, practice

from innerleaf.cost.model import Order, OrderLine, StandIn
from innerleaf.documents.comes_as import comes_as
from innerleaf.documents.cut_bars import bar_lines
from innerleaf.documents.cut_boards import board_lines, clear_box
from innerleaf.documents.cut_list import CutList, cut_list, placed_rings, steps_of
from innerleaf.documents.cut_model import BarPart, BarPattern, BoardPart, Piece
from innerleaf.documents.cut_paper import Words
from innerleaf.documents.cut_setup import sum_table
from innerleaf.documents.cut_tabs import board_cut_sheet, setup_sheet
from innerleaf.documents.labels_page import labels_of
from innerleaf.documents.takeoff_tabs import board_sheet, cut_sheet
from innerleaf.documents.title import TitleBlock
from innerleaf.survey.wall import Way
from innerleaf.takeoff import Takeoff, take_off
from innerleaf.takeoff.model import BoardCut, CutBar, CutPiece, Offcut
from innerleaf.takeoff.rates import COMMON_RATES

PLANS = (a_plan(), a_plan("W-04", Way.BRACKETED), a_gable())
TITLE = TitleBlock(project="Mill Lane 3", firm="Test Linings", statement="Invented.")
RULES = practice().rules


@cache
def taken_off() -> Takeoff:
    return take_off(PLANS, practice())


@cache
def a_cut() -> CutList:
    return cut_list(PLANS, taken_off(), RULES)


def of_bars(*bars: CutBar) -> CutList:
    """The cut list of bars alone."""
    empty = Takeoff(lines=(), purchases=(), bars=bars, boards=(), rates=COMMON_RATES)
    return cut_list(PLANS, empty, RULES)


def a_bar(number: int, *marks: str, length: int = 900, left: int = 50) -> CutBar:
    pieces = tuple(CutPiece(mark=mark, wall=mark[:4], use="stud", length_mm=length) for mark in marks)
    return CutBar(number=number, item="CW-75", stock_mm=3000, pieces=pieces, remainder_mm=left)


# --- what stands on it ----------------------------------------------------------------------------


def test_every_piece_that_is_cut_stands_on_the_list_once() -> None:
    taken, cut = taken_off(), a_cut()

    bars = Counter(piece.mark for bar in taken.bars for piece in bar.pieces)
    boards = Counter(piece.mark for board in taken.boards for piece in board.pieces)
    assert bars == Counter(p.mark for bar in cut.bars for part in bar.parts for p in part.pieces)
    assert boards == Counter(p.mark for board in cut.boards for part in board.parts for p in part.pieces)
    numbers = sorted((bar.item, n) for bar in cut.bars for n in bar.numbers)
    assert numbers == sorted((bar.item, bar.number) for bar in taken.bars)
    numbers = sorted((board.item, n) for board in cut.boards for n in board.numbers)
    assert numbers == sorted((board.item, board.number) for board in taken.boards)


def test_bars_cut_alike_for_one_wall_stand_once_with_all_their_marks() -> None:
    alike = of_bars(
        a_bar(1, "W-03/S1", "W-03/S2"), a_bar(2, "W-03/S3", "W-05/S1"), a_bar(3, "W-05/S2", "W-05/S3")
    )

    first, other = alike.bars
    assert (first.numbers, other.numbers) == ((1, 2), (3,))
    assert [p.mark for p in first.parts[1].pieces] == ["W-03/S2", "W-05/S1"]
    assert first.parts[1].pieces[1].room == PLANS[2].wall.room


def test_bars_come_in_the_order_of_the_walls() -> None:
    """A bar that two walls share comes with the first of them."""
    cut = of_bars(a_bar(1, "W-05/S1"), a_bar(2, "W-05/S2", "W-03/S1"), a_bar(3, "W-04/S1"))

    assert [bar.numbers for bar in cut.bars] == [(2,), (3,), (1,)]
    assert [bar.heading.split(" · ")[0] for bar in cut.bars] == ["W-03", "W-04", "W-05"]


def test_offcuts_worth_keeping_are_marked_each_once() -> None:
    least = RULES.bar_offcut_min_mm
    cut = of_bars(
        a_bar(1, "W-03/S1", left=least), a_bar(2, "W-03/S2", left=least), a_bar(3, "W-04/S1", left=least - 1)
    )
    offcut = Offcut(0, 0, RULES.board_offcut_width_min_mm, RULES.board_offcut_length_min_mm, True, False)
    narrow = replace(offcut, width_mm=RULES.board_offcut_width_min_mm - 1, length_mm=2000)
    board = replace(taken_off().boards[0], offcuts=(offcut, narrow))
    boards = cut_list(PLANS, replace(taken_off(), bars=(), boards=(board,)), RULES)

    assert [bar.kept for bar in cut.bars] == [("K-1", "K-2"), ()]
    assert [(kept.mark, kept.length_mm, kept.number) for kept in cut.kept] == [
        ("K-1", 600, 1),
        ("K-2", 600, 2),
    ]
    assert [left.kept for left in boards.boards[0].lefts] == [("K-1",), ()]
    assert [(kept.width_mm, kept.edges) for kept in boards.kept] == [(300, "left")]


def test_cuts_run_from_one_end_with_the_blade() -> None:
    """2 mm go with each cut; a bar used up to its end needs no last cut."""
    part = BarPart(length_mm=900, pieces=(Piece("a"),))
    bar = BarPattern(item="CW-75", stock_mm=2704, numbers=(1,), kerf_mm=2, parts=(part,) * 3, rest_mm=0)

    assert [cut.at_mm for cut in bar.cuts] == [900, 1802]
    assert bar.spans[-1] == (1804, 2704)
    trimmed = replace(bar, stock_mm=2720, trim_mm=5, rest_mm=7)
    assert [(cut.number, cut.at_mm) for cut in trimmed.cuts] == [(1, 5), (2, 905), (3, 1807), (4, 2709)]


def test_the_takeoff_and_the_cut_list_agree_on_every_remainder() -> None:
    for bar in a_cut().bars:
        last = bar.spans[-1][1]
        lost = bar.kerf_mm if last < bar.stock_mm else 0
        assert bar.rest_mm == max(0, bar.stock_mm - last - lost)


# --- boards ---------------------------------------------------------------------------------------


def test_the_sides_of_a_notch_are_one_cut_and_rakes_come_last() -> None:
    """A notch at the right edge: below, above, then its inner side, as the search gives them."""
    cuts = [
        BoardCut(0, 2000, 1200, 2000, sawn=False),
        BoardCut(700, 900, 1200, 900, sawn=True),
        BoardCut(1200, 1500, 700, 1500, sawn=True),
        BoardCut(700, 1500, 700, 900, sawn=True),
        BoardCut(900, 900, 900, 1500, sawn=False),
    ]
    raked = BoardPart(
        width_mm=1200,
        length_mm=2000,
        pieces=(Piece("b"),),
        rings=(((0, 0), (1200, 300), (1200, 2000), (0, 2000)),),
    )

    steps = steps_of(cuts, [raked])

    assert [(step.number, step.how, len(step.lines)) for step in steps] == [
        (1, "score", 1),
        (2, "saw", 3),
        (3, "score", 1),
        (4, "shape", 1),
    ]
    assert all(a[2:] == b[:2] for a, b in pairwise(steps[1].lines))


def test_two_notches_are_two_cuts() -> None:
    sides = [((0, 0), (0, 50)), ((0, 50), (50, 50)), ((90, 0), (90, 50)), ((90, 50), (140, 50))]
    cuts = [BoardCut(*a, *b, sawn=True) for a, b in sides]

    assert [len(step.lines) for step in steps_of(cuts, ())] == [2, 2]


@pytest.mark.parametrize("turned", [0, 180])
def test_pieces_lie_on_their_board_as_they_are_cut(turned: int) -> None:
    """Turned by half about their middle, not mirrored: the area keeps its sign."""
    for board in taken_off().boards:
        for piece in board.pieces:
            shape = next(b for plan in PLANS for b in plan.boards if b.mark == piece.mark)
            rings = placed_rings(shape, replace(piece, turned_deg=turned))
            xs, ys = [x for x, _ in rings[0]], [y for _, y in rings[0]]
            assert (min(xs), min(ys)) == (piece.x_mm, piece.y_mm)
            assert max(xs) - min(xs) == pytest.approx(piece.width_mm, abs=0.15)
            assert area(rings[0]) == pytest.approx(area(shape.ring), rel=1e-3)


def area(ring: tuple[tuple[float, float], ...]) -> float:
    return sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(ring, (*ring[1:], ring[0]), strict=True)) / 2


def test_a_mark_stands_in_the_largest_clear_part_of_a_piece() -> None:
    legs = (((0, 0), (1200, 0), (1200, 2500), (700, 2500), (700, 500), (0, 500)),)

    assert clear_box(legs, ()) == (700, 0, 1200, 2500)
    assert (
        clear_box((((0, 0), (600, 0), (600, 900), (0, 900)),), [((0, 0), (600, 0), (600, 500), (0, 500))])[1]
        == 0
    )


# --- what the order brings ------------------------------------------------------------------------


def an_order(*lines: tuple[str, int, str, StandIn]) -> Order:
    """An order of lines that stand in: article, length, delivery, for what."""
    plain = OrderLine(
        group="frame", article="", description="", supplier="", code="", unit="mm", needed=0, allowance=0,
        allowance_reason="", in_hand=0, pack_size=0, pack_name="", packs=1, price_of_pack=0, price_break="",
        total=0, left_over=0, mass_kg=0, lead_days=0, delivery="", basis="",
    )  # fmt: skip
    made = [
        replace(plain, article=article, length_mm=length, delivery=delivery, stands_in=(other,))
        for article, length, delivery, other in lines
    ]
    return Order(
        currency="EUR", source="", lines=tuple(made), deliveries=(), total=0, lower_bound=0, unpriced=()
    )


def test_the_foreman_is_told_where_the_order_brings_another_length() -> None:
    """On the drawing, in the sums: nobody looks for a bar that never came."""
    stands = StandIn("CW-75", 3000, 1)
    order = an_order(
        ("CW-75", 4000, "D1", stands), ("CW-75", 4000, "D5", stands), ("CW-75b", 3000, "", stands)
    )
    taken = Takeoff(
        lines=(), purchases=(), bars=(a_bar(1, "W-03/S1", "W-03/S2"),), boards=(), rates=COMMON_RATES
    )
    told, silent = cut_list(PLANS, taken, RULES, order), cut_list(PLANS, taken, RULES)
    said = "4000 (order D1, D5) or CW-75b 3000 (in hand)"

    assert [bar.comes_as for bar in told.bars] == [said]
    assert (sum_table(told).columns[-1], sum_table(told).rows[0][-1]) == ("may come as", said)
    assert "may come as" not in sum_table(silent).columns
    assert Words("order", f"may come as {said}") in bar_lines(told.bars[0], 200)
    assert Words("order", f"may come as {said}") not in bar_lines(silent.bars[0], 200)


def test_boards_and_labels_say_it_too() -> None:
    item, stock = taken_off().boards[0].item, taken_off().boards[0].stock_mm
    order = an_order((item, 3333, "D2", StandIn(item, stock, 2)))
    told = cut_list(PLANS, taken_off(), RULES, order)

    for board in told.boards:
        mine = (board.item, board.stock_mm) == (item, stock)
        assert (Words("order", "may come as 3333 (order D2)") in board_lines(board, 120)) == mine
    whole = f"from board {taken_off().boards[0].number}, {stock} or 3333"
    assert any(label.lines[-1] == whole for label in labels_of(PLANS, told))
    (last,) = {row[-1] for row in board_cut_sheet(told).rows} - {""}
    assert last == "3333 (order D2)"


def test_the_tabs_of_the_workbook_say_it_too() -> None:
    """Cut list, boards and set-ups: each row of a stock that may come longer, and no other."""
    item, stock = taken_off().boards[0].item, taken_off().boards[0].stock_mm
    bar = a_bar(1, "W-03/S1", "W-03/S2")
    taken = replace(taken_off(), bars=(bar, replace(bar, number=2, source="F1")))
    order = an_order(
        (item, 3333, "D2", StandIn(item, stock, 2)), ("CW-75", 4000, "D1", StandIn("CW-75", 3000, 1))
    )
    other, cut = comes_as(order), cut_list(PLANS, taken, RULES, order)

    for row in board_sheet(PLANS, taken, other).rows:
        mine = (row[0], row[2]) == (item, f"{taken.boards[0].width_mm} × {stock}")
        assert row[-1] == ("3333 (order D2)" if mine else "")
    assert [row[-1] for row in cut_sheet(taken, other).rows] == ["4000 (order D1)"] * 2 + [""] * 2
    words = {(row[0], row[-1]) for row in setup_sheet(cut).rows if row[-1]}
    assert words == {("CW-75", "3000: 4000 (order D1)"), (item, f"{stock}: 3333 (order D2)")}
    assert {row[-1] for row in setup_sheet(cut_list(PLANS, taken, RULES)).rows} == {""}
