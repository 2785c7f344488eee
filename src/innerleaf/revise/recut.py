"""What is still to be cut of a plan that is partly built: the printed cut list where it holds, the rest anew.

A bar or board that a built piece was cut from is cut up: its other pieces lie there, and serve where the wall
as it now is wants the same cut. Bars and boards in hand whose every piece is still wanted are cut as printed.
Whatever else is to come is nested again from what is in hand, and only what that does not yield is bought.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final, TypeVar

from innerleaf.cutting.bars import REST_OF_BAR
from innerleaf.cutting.boards_phases import REST_OF_BOARD
from innerleaf.layout.pieces import WallPlan
from innerleaf.practice.model import Practice
from innerleaf.revise.pieces import BAR, BOARD, Piece, pieces_of
from innerleaf.revise.stock_cut import Stocked, begun_and_printed, marks_of
from innerleaf.site.replan import AsBuilt
from innerleaf.takeoff.buy import buy_bars
from innerleaf.takeoff.buy_boards import buy_boards
from innerleaf.takeoff.model import CutBar, CutBoard, Takeoff
from innerleaf.takeoff.rules import BuyingRules, InHand

IN_HAND: Final = "in hand"
Stock = TypeVar("Stock", CutBar, CutBoard)
_CHEAPER: Final = 10  # in hand against bought: nothing is bought where something in hand will do


@dataclass(frozen=True, slots=True)
class Rest:
    """What is kept of a bar or board of the issued cut list; ``number`` is that of the bar or board."""

    number: int
    offcut: InHand


@dataclass(frozen=True, slots=True, kw_only=True)
class Recut:
    """What remains to be cut.

    Attributes
    ----------
    plans : tuple of WallPlan
        The walls as they now are, with those bars and boards alone that are still to be cut.
    takeoff : Takeoff
        The bars and boards they are cut from; ``source`` is "" for what must still be bought, else what
        is in hand. Numbers of the issued cut list stand for the same bars and boards; new ones follow.
    lying : tuple of str
        Marks of pieces that are still to come and lie there cut.
    first_offcut : int
        Number of the first offcut that is kept of it: those before are of the issued cut list.
    """

    plans: tuple[WallPlan, ...]
    takeoff: Takeoff
    lying: tuple[str, ...]
    first_offcut: int = 1

    @property
    def more(self) -> dict[Stocked, int]:
        """Bars and boards that must still be bought, by article and length."""
        stocks: list[CutBar | CutBoard] = [*self.takeoff.bars, *self.takeoff.boards]
        return dict(
            sorted(Counter((stock.item, stock.stock_mm) for stock in stocks if not stock.source).items())
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Issued:
    """The plan that is built from. ``rests`` are the offcuts that its cut list says to keep."""

    plans: Sequence[WallPlan]
    takeoff: Takeoff
    rules: BuyingRules
    rests: Sequence[Rest] = ()


def recut(
    issued: Issued, stood: Sequence[AsBuilt], bought: Mapping[Stocked, float], practice: Practice
) -> Recut:
    """Nest what is not built and not cut from what is in hand and what must be bought.

    Parameters
    ----------
    stood : sequence of AsBuilt
        The walls as built and as still to come.
    bought : mapping
        How many bars and boards of each article and length came or are ordered, those in hand before with
        them; offcuts in hand are in the rules of ``issued``.
    """
    drawn = _cut_pieces(issued.plans)
    coming = _cut_pieces(one.to_come for one in stood)
    built = set(_cut_pieces(one.plan for one in stood)) - set(coming)
    wanted = {mark for mark, piece in coming.items() if mark in drawn and _cut(drawn[mark]) == _cut(piece)}
    begun, printed = begun_and_printed(issued.takeoff, built, wanted, bought)
    as_printed = {mark for stock in printed for mark in marks_of(stock)}
    cut = {mark for stock in begun for mark in marks_of(stock)} - built
    lying = _lying(coming, drawn, cut, wanted, as_printed)
    there = _in_hand(issued, begun, printed, bought, practice)
    rates, rules = issued.takeoff.rates, replace(issued.rules, batch_of={}, in_hand=())

    def nested(marks: set[str], there: Sequence[InHand]) -> tuple[list[CutBar], list[CutBoard]]:
        plans, own = [_only(one.plan, marks) for one in stood], replace(rules, in_hand=tuple(there))
        return buy_bars(plans, practice, rates, own)[1], buy_boards(plans, practice, rates, own)[1]

    unknown = built - set(drawn)  # drawn after the cut list was issued: cut from something that is gone
    if unknown:
        there = _without([*there], (stock for cuts in nested(unknown, there) for stock in cuts))
    bars, boards = nested(set(coming) - as_printed - lying, there)
    to_cut = set(coming) - lying
    return Recut(
        plans=tuple(_only(one.plan, to_cut) for one in stood),
        takeoff=Takeoff(
            lines=(),
            purchases=(),
            bars=tuple(_numbered(issued.takeoff.bars, printed, bars)),
            boards=tuple(_numbered(issued.takeoff.boards, printed, boards)),
            rates=rates,
        ),
        lying=tuple(mark for mark in coming if mark in lying),
        first_offcut=len(issued.rests) + 1,
    )


def _cut_pieces(plans: Iterable[WallPlan]) -> dict[str, Piece]:
    """Bars and boards by mark."""
    return {piece.mark: piece for plan in plans for piece in pieces_of(plan) if piece.kind in (BAR, BOARD)}


def _cut(piece: Piece) -> tuple[object, ...]:
    """What makes two pieces of a wall one cut."""
    return piece.wall, piece.kind, piece.item, piece.shape


def _lying(
    coming: Mapping[str, Piece], drawn: Mapping[str, Piece], cut: set[str], wanted: set[str], taken: set[str]
) -> set[str]:
    """Marks of pieces to come that lie there cut, under their own mark or another one of the same cut."""
    found = cut & wanted
    spare = Counter(_cut(drawn[mark]) for mark in cut - wanted)
    for mark, piece in coming.items():
        if mark not in found | taken and spare[_cut(piece)] > 0:
            spare[_cut(piece)] -= 1
            found.add(mark)
    return found


def _in_hand(
    issued: Issued,
    begun: Sequence[CutBar | CutBoard],
    printed: Sequence[CutBar | CutBoard],
    bought: Mapping[Stocked, float],
    practice: Practice,
) -> list[InHand]:
    """Whole bars and boards, offcuts of the job, rests of what is cut up."""
    gone = [*begun, *printed]
    used = Counter((stock.item, stock.stock_mm) for stock in gone if not stock.source)
    sources = Counter((stock.item, stock.source) for stock in gone if stock.source)
    opened = {(type(stock), stock.item, stock.number) for stock in begun}
    found = []
    for (item, length), amount in sorted(bought.items()):
        count = int(amount) - used[item, length]
        if length and count > 0:
            found.append(_whole(item, length, count, practice))
    for offcut in issued.rules.in_hand:
        count = offcut.count - sources[offcut.item, offcut.mark]
        if count > 0:
            found.append(replace(offcut, count=count))
    for rest in issued.rests:
        kind, prefix = (CutBoard, REST_OF_BOARD) if rest.offcut.width_mm else (CutBar, REST_OF_BAR)
        again = sources[rest.offcut.item, f"{prefix}{rest.number}"]
        if (kind, rest.offcut.item, rest.number) in opened and not again:
            found.append(rest.offcut)
    return found


def _whole(item: str, length_mm: int, count: int, practice: Practice) -> InHand:
    width = practice.boards[item].width_mm if item in practice.boards else 0
    return InHand(
        item=item,
        mark=f"{IN_HAND}, {length_mm}",
        length_mm=length_mm,
        width_mm=width,
        left_bound=True,
        right_bound=True,
        count=count,
        price=length_mm * (width or 1) // _CHEAPER,
    )


def _without(there: Iterable[InHand], stocks: Iterable[CutBar | CutBoard]) -> list[InHand]:
    """What is in hand after some of it was cut up."""
    used = Counter((stock.item, stock.source) for stock in stocks)
    left = [replace(one, count=one.count - used[one.item, one.mark]) for one in there]
    return [one for one in left if one.count > 0]


def _only(plan: WallPlan, marks: set[str]) -> WallPlan:
    return replace(
        plan,
        bars=tuple(bar for bar in plan.bars if bar.mark in marks),
        boards=tuple(board for board in plan.boards if board.mark in marks),
    )


def _numbered(
    issued: Sequence[Stock], printed: Sequence[CutBar | CutBoard], more: Sequence[Stock]
) -> Iterator[Stock]:
    """Those that are cut as printed, then new ones with numbers that no bar or board of the article has."""
    kept = {id(stock) for stock in printed}
    last: dict[str, int] = defaultdict(int)
    for stock in issued:
        last[stock.item] = max(last[stock.item], stock.number)
        if id(stock) in kept:
            yield replace(stock, source=f"{IN_HAND}, {stock.stock_mm}")
    for stock in more:
        yield replace(stock, number=stock.number + last[stock.item])
