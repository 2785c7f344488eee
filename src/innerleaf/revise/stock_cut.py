"""Bars and boards that lie there: which are cut into, and what the rest of a plan is cut from."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final

from innerleaf.cutting.bars import BOUGHT, BarStock
from innerleaf.cutting.boards import BoardStock
from innerleaf.layout.pieces import Bar, BoardPiece, WallPlan
from innerleaf.practice.model import Practice
from innerleaf.takeoff.buy import bar_problem, bars_by_item, stock_lengths
from innerleaf.takeoff.buy_boards import board_problem, boards_by_item, limits_for
from innerleaf.takeoff.model import CutBar, CutBoard, Takeoff
from innerleaf.takeoff.rates import Rates
from innerleaf.takeoff.rules import COMMON_RULES

_DEARER: Final = 10  # bought against lying there: nothing is bought where something that lies there will do
_NODES, _CLOSE, _CLOSE_BOARDS = 60, 1e-4, 1e-3  # where the search stops, as in a takeoff
_LIES, _REST = "lies there, ", "offcut, "

Stocked = tuple[str, int]
"""Article, and its length in mm; 0 where it does not go by length."""


@dataclass(frozen=True, slots=True)
class Opened:
    """Bars and boards that are cut as planned: how many, what is cut from them, which rests of bars are kept.

    ``built_of`` are the pieces of those that were cut into already.
    """

    used: Counter[Stocked]
    cut: frozenset[str]
    rests: Counter[Stocked]
    built_of: frozenset[str]


@dataclass(frozen=True, slots=True)
class CutLine:
    """Of one length: how many are bought, how many of these are used, how many must come more."""

    article: str
    length_mm: int
    bought: float
    used: float
    more: int


def opened_by(takeoff: Takeoff, built: set[str], wanted: set[str], bought: Mapping[Stocked, float]) -> Opened:
    """The bars and boards of a cut plan that stay as they were planned.

    They are those that a built piece was cut from, and of the others those that are bought and whose every
    piece is still ``wanted``: cut lists that are printed stay right.
    """
    begun, printed = begun_and_printed(takeoff, built, wanted, bought)
    into = [*begun, *printed]
    used = Counter((stock.item, stock.stock_mm) for stock in into if not stock.source)
    rests = Counter(
        (stock.item, stock.remainder_mm) for stock in into if isinstance(stock, CutBar) and stock.kept
    )
    return Opened(
        used=used,
        cut=frozenset(mark for stock in into for mark in marks_of(stock)),
        rests=rests,
        built_of=frozenset(mark for stock in begun for mark in marks_of(stock)),
    )


def begun_and_printed(
    takeoff: Takeoff, built: set[str], wanted: set[str], bought: Mapping[Stocked, float]
) -> tuple[list[CutBar | CutBoard], list[CutBar | CutBoard]]:
    """The bars and boards that built pieces were cut from; and those that stay as they are printed.

    The latter are bought, nobody has cut into them, and all of their pieces are still ``wanted``.
    """
    stocks: list[CutBar | CutBoard] = [*takeoff.bars, *takeoff.boards]
    begun = [stock for stock in stocks if built.intersection(marks_of(stock))]
    used = Counter((stock.item, stock.stock_mm) for stock in begun if not stock.source)
    printed = []
    for stock in stocks:
        key, marks = (stock.item, stock.stock_mm), marks_of(stock)
        whole = built.isdisjoint(marks) and wanted.issuperset(marks) and not stock.source
        if whole and used[key] < bought.get(key, 0.0):
            used[key] += 1
            printed.append(stock)
    return begun, printed


def marks_of(stock: CutBar | CutBoard) -> frozenset[str]:
    """Marks of all pieces that a bar or board is cut into."""
    return frozenset(piece.mark for piece in stock.pieces)


def cut_from_stock(
    plans: Sequence[WallPlan],
    opened: Opened,
    bought: Mapping[Stocked, float],
    practice: Practice,
    rates: Rates,
) -> Iterator[CutLine]:
    """What is still to be cut, from what lies there first; one line for each article and length."""
    bars, boards = bars_by_item(plans), boards_by_item(plans)
    for article in _names(bars, bought, opened, practice.profiles):
        counts = _cut_bars(article, bars.get(article, []), opened, bought, practice, rates)
        yield from _lines(article, bought, opened, *counts)
    for article in _names(boards, bought, opened, practice.boards):
        counts = _cut_boards(article, boards.get(article, []), opened, bought, practice, rates)
        yield from _lines(article, bought, opened, *counts)


def _names(
    wanted: Mapping[str, object], bought: Mapping[Stocked, float], opened: Opened, known: Mapping[str, object]
) -> list[str]:
    others = [article for article, length in (*bought, *opened.used) if length and article in known]
    return [article for article in dict.fromkeys([*wanted, *others]) if article in known]


def _closed(article: str, opened: Opened, bought: Mapping[Stocked, float]) -> dict[int, int]:
    """Bars or boards that are bought and not cut into, by length."""
    left = {
        length: int(amount) - opened.used[article, length]
        for (name, length), amount in bought.items()
        if name == article and length
    }
    return {length: count for length, count in sorted(left.items()) if count > 0}


def _cut_bars(
    article: str,
    bars: Sequence[tuple[Bar, str]],
    opened: Opened,
    bought: Mapping[Stocked, float],
    practice: Practice,
    rates: Rates,
) -> tuple[Counter[int], Counter[int]]:
    """How many bars of each length are taken of those that lie there, and how many must be bought."""
    from innerleaf.cutting.cuts import Limits
    from innerleaf.cutting.phases import cut_bars

    taken, more = Counter[int](), Counter[int]()
    if not bars:
        return taken, more
    problem, _ = bar_problem(article, bars, stock_lengths(practice, article), rates, COMMON_RULES)
    lying = [
        BarStock(length_mm=length, price=length, limit=count, mark=f"{_LIES}{length}")
        for length, count in _closed(article, opened, bought).items()
    ]
    rests = [
        BarStock(length_mm=length, price=1, limit=count, mark=f"{_REST}{length}")
        for (name, length), count in sorted(opened.rests.items())
        if name == article
    ]
    dear = [replace(stock, price=stock.length_mm * _DEARER) for stock in problem.stocks]
    problem = replace(problem, stocks=(*dear, *lying, *rests))
    for bar in cut_bars(problem, Limits(nodes=_NODES, branches=0, close=_CLOSE)).bars:
        more[bar.length_mm] += bar.source == BOUGHT
        taken[bar.length_mm] += bar.source.startswith(_LIES)
    return taken, more


def _cut_boards(
    article: str,
    pieces: Sequence[tuple[BoardPiece, str]],
    opened: Opened,
    bought: Mapping[Stocked, float],
    practice: Practice,
    rates: Rates,
) -> tuple[Counter[int], Counter[int]]:
    """The same for boards."""
    from innerleaf.cutting.boards_phases import cut_boards_in_phases

    taken, more = Counter[int](), Counter[int]()
    if not pieces:
        return taken, more
    width = practice.boards[article].width_mm
    problem, _ = board_problem(pieces, practice.boards[article], rates)
    lying = tuple(
        BoardStock(
            width_mm=width, length_mm=length, price=width * length, limit=count, mark=f"{_LIES}{length}"
        )
        for length, count in _closed(article, opened, bought).items()
    )
    dear = tuple(replace(stock, price=stock.price * _DEARER) for stock in problem.stocks)
    problem = replace(problem, stocks=(*dear, *lying))
    limits = limits_for(problem, _CLOSE_BOARDS)
    for board in cut_boards_in_phases(problem, {}, rates.least_kept_board_mm, limits).boards:
        (more if board.source == BOUGHT else taken)[board.length_mm] += 1
    return taken, more


def _lines(
    article: str,
    bought: Mapping[Stocked, float],
    opened: Opened,
    taken: Counter[int],
    more: Counter[int],
) -> Iterator[CutLine]:
    known = {length for name, length in (*bought, *opened.used) if name == article}
    for length in sorted(known | set(+taken) | set(+more)):
        there = bought.get((article, length), 0.0)
        used = float(opened.used[article, length] + taken[length])
        yield CutLine(article, length, there, used, more[length])
