"""What is bought and built already: what of it the later plan still uses, and what it needs beyond it.

A bar or board that a built piece was cut from is opened: everything cut from it lies there as cut. A cut
piece that the later plan wants unchanged (or of the same cut elsewhere on its wall) is used. Bars and boards
that are bought and whose pieces are all still wanted stay as planned. What the later plan then still lacks is
cut from what lies there, and only the rest is bought. Everything else is counted by amount.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from math import ceil
from typing import Final

from innerleaf.cost.model import Order
from innerleaf.layout.pieces import WallPlan
from innerleaf.practice.measures import measure_of
from innerleaf.practice.model import Practice
from innerleaf.revise.match import MOVED, STAYED, PieceChange
from innerleaf.revise.pieces import BRACKET
from innerleaf.revise.stock_cut import Stocked, cut_from_stock, opened_by
from innerleaf.revise.walls import WallRevision
from innerleaf.takeoff.model import CutBar, CutBoard, Purchase, Takeoff

ALL: Final = "all"
_TINY: Final = 1e-6


@dataclass(frozen=True, slots=True)
class Lying:
    """So many of one article that are bought: bars, boards and the like of a length, else an amount."""

    article: str
    length_mm: int
    amount: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Held:
    """What is fixed already. ``deliveries`` of the earlier order that are called off, or ("all",).

    ``bought`` comes beside them. ``built``: marks by wall, or ("all",) for a whole wall.
    """

    deliveries: tuple[str, ...] = ()
    bought: tuple[Lying, ...] = ()
    built: Mapping[str, tuple[str, ...]]


@dataclass(frozen=True, slots=True)
class StockLine:
    """One article: what is bought, what of it the later plan uses, what is over, what must come more.

    ``unit`` is "piece" for what comes by length, else that of the takeoff. ``over_before`` would have been
    left over by the earlier plan as well: whole packs hold more than is needed; ``more_before`` was still to
    be bought for it.
    """

    article: str
    length_mm: int
    unit: str
    bought: float
    used: float
    over: float
    more: float
    over_before: float = 0.0
    more_before: float = 0.0
    note: str = ""

    @property
    def freed(self) -> float:
        """What is over because of the change."""
        return max(0.0, round(self.over - self.over_before, 3))

    @property
    def added(self) -> float:
        """What must come more because of the change; below 0: so much less."""
        return round(self.more - self.more_before, 3)


@dataclass(frozen=True, slots=True)
class BuiltPiece:
    """A built piece that the later plan would not leave as it is; ``how`` says what it would do."""

    wall: str
    mark: str
    kind: str
    what: str
    item: str
    size: str
    how: str


@dataclass(frozen=True, slots=True, kw_only=True)
class StockReport:
    """All of it: lines by article, built pieces that stay, those to be undone, cut pieces of no use.

    ``worth_freed`` is what was paid for what is used no longer, as the order has it. [hundredths]
    """

    lines: tuple[StockLine, ...]
    worth_freed: int
    stays: int
    undone: tuple[BuiltPiece, ...]
    cut_for_nothing: tuple[str, ...]

    @property
    def added(self) -> tuple[StockLine, ...]:
        """What must be bought more because of the change."""
        return tuple(line for line in self.lines if line.added > 0)

    @property
    def dropped(self) -> tuple[StockLine, ...]:
        """What was still to be bought and need not be now."""
        return tuple(line for line in self.lines if line.added < 0)

    @property
    def freed(self) -> tuple[StockLine, ...]:
        """What is bought and used no longer."""
        return tuple(line for line in self.lines if line.freed > 0)


def bought_of(held: Held, order: Order | None, practice: Practice) -> dict[Stocked, float]:
    """Everything that is bought: the deliveries called off and what is named beside them.

    What is in hand by the order lies there too. What came in place of another article or length counts as
    that.
    """
    found: dict[Stocked, float] = defaultdict(float)
    every = ALL in held.deliveries
    for line in order.lines if order else ():
        measure = measure_of(practice, line.article)
        if measure and (every or not line.packs or line.delivery in held.deliveries):
            length = line.length_mm if measure.by_length else 0
            holds = line.packs * line.pack_size + line.in_hand
            found[line.article, length] += holds / measure.of_piece(length)
            for other in line.stands_in:  # what it was bought for is what cut plans name
                found[line.article, length] -= other.count
                found[other.article, other.length_mm] += other.count
    for lying in held.bought:
        found[lying.article, lying.length_mm] += lying.amount
    return {key: round(amount, 6) for key, amount in found.items() if amount > _TINY}


def paid_for(order: Order | None, practice: Practice) -> dict[Stocked, float]:
    """What one piece (mm, kg) of each article and length costs by an order, its dearest line. [hundredths]"""
    found: dict[Stocked, float] = {}
    for line in order.lines if order else ():
        measure = measure_of(practice, line.article)
        if measure and line.packs:
            length = line.length_mm if measure.by_length else 0
            each = line.price_of_pack / (line.pack_size / measure.of_piece(length))
            found[line.article, length] = max(each, found.get((line.article, length), 0.0))
    return found


def stock_report(
    held: Held,
    bought: Mapping[Stocked, float],
    paid: Mapping[Stocked, float],
    before: Takeoff,
    after: tuple[Sequence[WallPlan], Takeoff],
    walls: Sequence[WallRevision],
    practice: Practice,
) -> StockReport:
    """What of the bought and built the later plan uses; ``after`` are its plans and takeoff."""
    plans, takeoff = after
    fate = {change.before.mark: change for wall in walls for change in wall.pieces if change.before}
    built = _built(held, walls)
    wanted = {mark for mark, change in fate.items() if change.how in _USED}
    opened = opened_by(before, built, wanted, bought)
    provided = {
        change.after.mark
        for mark in built | opened.cut
        for change in (fate.get(mark),)
        if change and change.after and change.how in _USED
    }
    missing = [_without(plan, provided) for plan in plans]
    stocks: list[CutBar | CutBoard] = [*before.bars, *before.boards]
    planned = Counter((stock.item, stock.stock_mm) for stock in stocks if not stock.source)
    lines = [
        StockLine(
            article=line.article,
            length_mm=line.length_mm,
            unit="piece",
            bought=line.bought,
            used=line.used,
            over=max(0.0, line.bought - line.used),
            more=float(line.more),
            over_before=max(0.0, line.bought - planned[line.article, line.length_mm]),
            more_before=max(0.0, planned[line.article, line.length_mm] - line.bought),
            note="more is cut than is said to be bought" if line.used > line.bought else "",
        )
        for line in cut_from_stock(missing, opened, bought, practice, takeoff.rates)
    ]
    undone = tuple(_undone(fate, built))
    useless = sorted(mark for mark in opened.built_of - built if mark in fate and mark not in wanted)
    cut = {line.article for line in lines}
    lines += _by_amount(bought, cut, (before, takeoff), undone, practice)
    return StockReport(
        lines=tuple(lines),
        worth_freed=round(sum(line.freed * paid.get((line.article, line.length_mm), 0.0) for line in lines)),
        stays=sum(fate[mark].how == STAYED for mark in built),
        undone=undone,
        cut_for_nothing=tuple(useless),
    )


_USED: Final = (STAYED, MOVED)


def _built(held: Held, walls: Sequence[WallRevision]) -> set[str]:
    """Marks of all built pieces that the earlier plan knows."""
    found: set[str] = set()
    for wall in walls:
        marks = held.built.get(wall.wall, ())
        known = {change.before.mark for change in wall.pieces if change.before}
        found |= known if ALL in marks else known & set(marks)
    return found


def _undone(fate: Mapping[str, PieceChange], built: set[str]) -> Iterator[BuiltPiece]:
    for mark in sorted(built):
        piece, how = fate[mark].before, fate[mark].how
        assert piece is not None
        if how != STAYED:
            yield BuiltPiece(piece.wall, mark, piece.kind, piece.what, piece.item, piece.size, how)


def _without(plan: WallPlan, provided: set[str]) -> WallPlan:
    """The plan with only the bars and boards that are still to be cut."""
    return replace(
        plan,
        bars=tuple(bar for bar in plan.bars if bar.mark not in provided),
        boards=tuple(board for board in plan.boards if board.mark not in provided),
    )


def _by_amount(
    bought: Mapping[Stocked, float],
    cut: set[str],
    takeoffs: tuple[Takeoff, Takeoff],
    undone: Sequence[BuiltPiece],
    practice: Practice,
) -> Iterator[StockLine]:
    """Everything that is not cut from bars and boards: needs of the later plan against what is bought."""
    lost = Counter(piece.item for piece in undone if piece.kind == BRACKET and piece.how != MOVED)
    before, after = ({buy.item: buy for buy in takeoff.purchases} for takeoff in takeoffs)
    for article in dict.fromkeys([*after, *(name for name, _ in bought)]):
        measure = measure_of(practice, article)
        if article in cut or measure is None:
            continue
        was, now = (_needs(side.get(article), by_length=measure.by_length) for side in (before, after))
        if not measure.by_length:
            now[0] = now.get(0, 0.0) + lost[article]
        note = f"{lost[article]} built ones would be undone" if lost[article] else ""
        for length in sorted({*now, *(length for name, length in bought if name == article)}):
            there, need = bought.get((article, length), 0.0), now.get(length, 0.0)
            yield StockLine(
                article=article,
                length_mm=length,
                unit="piece" if measure.by_length else measure.unit,
                bought=there,
                used=min(there, need),
                over=max(0.0, round(there - need, 3)),
                more=max(0.0, round(need - there, 3)),
                over_before=max(0.0, round(there - was.get(length, 0.0), 3)),
                more_before=max(0.0, round(was.get(length, 0.0) - there, 3)),
                note=note,
            )


def _needs(buy: Purchase | None, *, by_length: bool) -> dict[int, float]:
    """What a plan needs of one article: by length, or as one amount."""
    if buy is None:
        return {}
    if by_length:
        return {int(pack.size): float(pack.count) for pack in buy.packs}
    return {0: ceil(buy.net * 1000 - _TINY) / 1000}
