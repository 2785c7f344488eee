"""Boards: lawful always, known small cases, factory edges kept for the pieces that need them."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from innerleaf.cutting.boards import BoardPattern, BoardPlan, BoardRect, Placed, pack_boards
from innerleaf.cutting.check import check_boards
from innerleaf.errors import InputError

WIDTH, LENGTHS = 1250, (2000, 2600, 3000)


@st.composite
def rects(draw: st.DrawFn) -> list[BoardRect]:
    found = []
    for number in range(draw(st.integers(0, 40))):
        width = draw(st.one_of(st.just(WIDTH), st.integers(20, WIDTH), st.floats(20, WIDTH)))
        length = draw(st.one_of(st.integers(20, 3000), st.floats(20, 3000)))
        edges = draw(st.integers(0, 2 if width == WIDTH else 1))
        found.append(BoardRect(f"b{number}", width, length, edges))
    return found


def pack(pieces: list[BoardRect]) -> BoardPlan:
    return pack_boards(pieces, width_mm=WIDTH, stock_lengths_mm=LENGTHS)


@given(rects())
def test_every_plan_is_lawful(pieces: list[BoardRect]) -> None:
    """Inside, disjoint, snappable, at the factory edge where asked, nothing lost, not below the bound."""
    assert check_boards(pack(pieces), pieces, LENGTHS) == []


@pytest.mark.parametrize(
    ("sizes", "stock"),
    [
        ([(1250, 2590, 2)] * 3, ((2600, 3),)),
        ([(600, 2590, 1), (650, 2590, 1)], ((2600, 1),)),  # both halves of one board
        ([(400, 2590, 0)] * 3, ((2600, 1),)),  # three strips of one board
        ([(400, 2590, 1)] * 3, ((2600, 2),)),  # a board has two factory edges only
        ([(1250, 900, 2)] * 2, ((2000, 1),)),  # one above the other
        ([(800, 2000, 1), (450, 1000, 0), (450, 1000, 0)], ((2000, 1),)),
    ],
)
def test_small_cases_by_hand(sizes: list[tuple[int, int, int]], stock: tuple[tuple[int, int], ...]) -> None:
    """Cases a foreman solves at a glance."""
    pieces = [BoardRect(f"b{number}", *size) for number, size in enumerate(sizes)]

    assert pack(pieces).boards_by_stock == stock


def test_offcuts_serve_later_pieces() -> None:
    """The strip beside a narrow board is the infill over the door of the next wall."""
    plan = pack(
        [BoardRect("wide", 900, 2590, 1), BoardRect("infill", 350, 500), BoardRect("other", 350, 2000)]
    )

    assert plan.boards_by_stock == ((2600, 1),)


def test_a_piece_larger_than_every_board_is_refused() -> None:
    """No silent loss of a piece that cannot be bought."""
    with pytest.raises(InputError, match="size of piece b"):
        pack([BoardRect("b", 1251, 2000)])
    with pytest.raises(InputError, match="size of piece b"):
        pack([BoardRect("b", 600, 3001)])


def test_the_checker_finds_faults() -> None:
    """A checker that cannot fail proves nothing."""
    a, b = BoardRect("a", 600, 2000, 1), BoardRect("b", 600, 2000)

    def plan(*places: Placed, stock: int = 2000) -> BoardPlan:
        good = pack([a, b])
        return replace(good, patterns=(BoardPattern(stock, places),), bought_mm2=stock * WIDTH)

    assert check_boards(plan(Placed(a, 0, 0), Placed(b, 600, 0)), [a, b], LENGTHS) == []
    overlap = check_boards(plan(Placed(a, 0, 0), Placed(b, 599, 0)), [a, b], LENGTHS)
    assert overlap == ["board 1: cannot be cut by cuts from side to side"]
    assert "board 1: piece b lies outside" in check_boards(
        plan(Placed(a, 0, 0), Placed(b, 651, 0)), [a, b], LENGTHS
    )
    middle = check_boards(plan(Placed(b, 0, 0), Placed(a, 601, 0)), [a, b], LENGTHS)
    assert middle == ["board 1: piece a is not at a factory edge"]
    assert "pieces cut are not the pieces asked for" in check_boards(plan(Placed(a, 0, 0)), [a, b], LENGTHS)


def test_a_pinwheel_cannot_be_snapped() -> None:
    """Five pieces round a middle fit, yet no cut goes across."""
    sizes = [
        (800, 400, 0, 0),
        (400, 800, 800, 0),
        (800, 400, 400, 800),
        (400, 800, 0, 400),
        (400, 400, 400, 400),
    ]
    places = tuple(Placed(BoardRect(f"b{i}", w, h), x, y) for i, (w, h, x, y) in enumerate(sizes))
    good = pack([place.rect for place in places])

    faults = check_boards(
        replace(good, patterns=(BoardPattern(2000, places),), bought_mm2=2000 * WIDTH),
        [place.rect for place in places],
        LENGTHS,
    )

    assert faults == ["board 1: cannot be cut by cuts from side to side"]
