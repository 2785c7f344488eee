"""What remains to be cut: every piece to come once, from what is there, and bought only what that lacks."""

from __future__ import annotations

from collections import Counter
from functools import cache
from io import BytesIO
from random import Random
from typing import Any

import pypdf
import pytest
from tests.documents.fixture import a_plan, practice
from tests.site.told import told

from innerleaf.documents.title import TitleBlock
from innerleaf.remaining import remaining, remaining_files, words_of
from innerleaf.revise.pieces import BAR, BOARD, pieces_of
from innerleaf.revise.recut import IN_HAND, Recut
from innerleaf.revise.stock import Held, Lying
from innerleaf.site.deviations import BOARD as BOARD_MOVED
from innerleaf.site.deviations import MOVED
from innerleaf.site.records import Kind
from innerleaf.site.replan import AsBuilt, as_built
from innerleaf.takeoff import Takeoff, take_off
from innerleaf.takeoff.buy import stock_lengths
from innerleaf.takeoff.model import CutBar, CutBoard
from innerleaf.takeoff.rules import BuyingRules, InHand

WALL = "W-03"
PLAN = a_plan(WALL)
TRACKS, FRAME = ({"kind": Kind.DONE, "wall": WALL, "what": what} for what in ("strip and tracks", "frame"))


@cache
def taken() -> Takeoff:
    return take_off([PLAN], practice())


def done(what: str, mark: str = "") -> dict[str, Any]:
    return {"kind": Kind.DONE, "wall": WALL, "what": what, "mark": mark}


def elsewhere(what: str, mark: str, x_mm: float) -> dict[str, Any]:
    said = {"kind": Kind.DEVIATION, "wall": WALL, "what": what, "mark": mark}
    return said | {"values": (("x_mm", x_mm),)}


def stood(*said: dict[str, Any]) -> AsBuilt:
    return as_built(PLAN, practice(), told(*said))


def left(now: AsBuilt, **more: Any) -> Recut:
    return remaining([PLAN], taken(), [now], practice(), **more)


def stocks(takeoff: Takeoff) -> list[CutBar | CutBoard]:
    return [*takeoff.bars, *takeoff.boards]


def bought(some: list[CutBar | CutBoard]) -> Counter[tuple[str, int]]:
    return Counter((one.item, one.stock_mm) for one in some if not one.source)


def cut_into(marks: set[str]) -> list[CutBar | CutBoard]:
    return [one for one in stocks(taken()) if marks & {piece.mark for piece in one.pieces}]


def is_cut(item: str) -> bool:
    """Backing that is sold by the piece is on no cut list."""
    return item in practice().boards or bool(stock_lengths(practice(), item))


def holds(found: Recut, now: AsBuilt) -> None:
    """An independent look at a list of what remains."""
    coming = {one.mark for one in pieces_of(now.to_come) if one.kind in (BAR, BOARD) and is_cut(one.item)}
    every = {one.mark for one in pieces_of(now.plan) if one.kind in (BAR, BOARD)}
    listed = [piece.mark for one in stocks(found.takeoff) for piece in one.pieces]
    assert sorted([*listed, *found.lying]) == sorted(coming)  # each once
    begun = cut_into(every - coming)
    assert set(found.lying) <= coming
    there = bought(stocks(taken())) - bought(begun)
    whole = Counter(
        (one.item, one.stock_mm) for one in stocks(found.takeoff) if one.source.startswith(IN_HAND)
    )
    assert whole <= there  # no bar or board is cut up twice
    offcuts = [
        (one.item, one.source)
        for one in stocks(found.takeoff)
        if one.source and not one.source.startswith(IN_HAND)
    ]
    assert len(set(offcuts)) == len(offcuts)
    sizes = {bar.mark: bar.length_mm for bar in now.plan.bars}
    for bar in found.takeoff.bars:
        lengths = [sizes[piece.mark] for piece in bar.pieces]
        assert sum(lengths) + (len(lengths) - 1) * found.takeoff.rates.kerf_mm <= bar.stock_mm
    for board in found.takeoff.boards:
        assert sum(piece.width_mm * piece.length_mm for piece in board.pieces if not piece.within) <= (
            board.width_mm * board.stock_mm
        )
    numbers = [(type(one), one.item, one.number) for one in stocks(found.takeoff)]
    assert len(set(numbers)) == len(numbers)


def test_before_anything_is_built_the_printed_list_holds() -> None:
    found = left(stood())
    assert [(one.item, one.number, one.pieces) for one in stocks(found.takeoff)] == [
        (one.item, one.number, one.pieces) for one in stocks(taken())
    ]
    assert (found.lying, found.more) == ((), {})


def test_what_is_built_is_cut_no_more() -> None:
    now = stood(TRACKS, FRAME)
    found = left(now)
    holds(found, now)
    assert found.takeoff.bars == ()
    layers = [done(f"board layer {one}") for one in range(1, len(PLAN.wall.lining.boards) + 1)]
    reveals = [done("board layer 1", one.mark) for one in PLAN.boards]
    nothing = left(stood(TRACKS, FRAME, *layers, *reveals))
    assert stocks(nothing.takeoff) == []
    assert words_of(nothing) == ["Nothing is left to be cut."]
    assert remaining_files(nothing, practice(), TitleBlock(project="Mill (invented)")) == []


@pytest.mark.parametrize("seed", range(6))
def test_every_piece_to_come_is_cut_once_from_what_is_there(seed: int) -> None:
    """Some studs up, one of them elsewhere, some boards hung, one of them askew."""
    rng = Random(seed)
    studs = rng.sample([one for one in PLAN.members if one.mark.partition("/S")[2]], 4)
    boards = rng.sample([one for one in PLAN.boards if one.layer == 1], 2)
    said = [TRACKS, *(done("frame", one.mark) for one in studs)]
    said.append(elsewhere(MOVED, studs[0].mark, studs[0].x_mm + rng.choice([-60, -35, 35])))
    said += [done("board layer 1", one.mark) for one in boards]
    if seed % 2:
        said.append(elsewhere(BOARD_MOVED, boards[0].mark, min(x for x, _ in boards[0].ring) + 10))
    now = stood(*said)
    holds(left(now), now)
    holds(left(now), now)
    assert left(now) == left(now)


def test_what_is_not_there_must_be_bought_and_offcuts_come_first() -> None:
    """Nothing is called off: all must be bought; an offcut in hand saves what is cut from it."""
    now = stood(TRACKS)
    none = left(now, held=Held(built={}))
    built = {one.mark for one in pieces_of(now.plan)} - {one.mark for one in pieces_of(now.to_come)}
    assert Counter(none.more) == bought([one for one in stocks(none.takeoff) if not one.source])
    assert sum(none.more.values()) + len(cut_into(built)) >= len(stocks(taken())) - 2
    item, length = max(((bar.item, bar.length_mm) for bar in now.to_come.bars), key=lambda bar: bar[1])
    spare = InHand(item=item, mark="old 1", length_mm=length, count=2)
    some = left(now, held=Held(built={}), rules=BuyingRules(in_hand=(spare,)))
    used = Counter(one.source for one in stocks(some.takeoff))
    assert used["old 1"] == 2
    assert sum(mm * count for (name, mm), count in some.more.items() if name == item) < sum(
        mm * count for (name, mm), count in none.more.items() if name == item
    )
    (line,) = [words for words in words_of(some) if words.startswith("To be bought")]
    assert item in line


def test_more_that_lies_there_is_taken_before_any_is_bought() -> None:
    now = stood(TRACKS)
    lots = tuple(Lying(item, length, 50.0) for item, length in bought(stocks(taken())))
    found = left(now, held=Held(bought=lots, built={}))
    assert found.more == {}


def test_papers_say_what_each_piece_is_cut_from() -> None:
    now = stood(TRACKS, FRAME, elsewhere(MOVED, f"{WALL}/S02", 640.0))
    found = left(now)
    files = dict(remaining_files(found, practice(), TitleBlock(project="Mill (invented)")))
    assert list(files) == ["cut-list.pdf", "labels.pdf"]
    words = "\n".join(p.extract_text() for p in pypdf.PdfReader(BytesIO(files["cut-list.pdf"]())).pages)
    assert "in hand" in words
    labels = "\n".join(p.extract_text() for p in pypdf.PdfReader(BytesIO(files["labels.pdf"]())).pages)
    for mark in (piece.mark for one in stocks(found.takeoff) for piece in one.pieces):
        assert mark in labels
    assert f"{WALL}/F01" not in labels
