"""Rectangles and the boards they can be cut from: what is asked and what is answered.

Cut by score and snap: every cut runs right across what is being cut (guillotine) and loses nothing. A
notch is sawn out of its piece, and what comes out is a rectangle to cut from, without factory edges. Sizes
are whole millimetres, widths across the board, lengths along it; the lower left corner is the origin.
Prices are whole numbers of whatever the caller counts in: the smallest coin, or mm2 of board.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import groupby

from innerleaf.errors import InputError

MOST_MM = 20_000
MOST_PIECES = 200_000
MOST_PRICE = 10**9
BOUGHT = "bought"


@dataclass(frozen=True, slots=True, kw_only=True)
class Notch:
    """A rectangle sawn out of a piece, at its edge or inside; its corner is measured from the piece's."""

    x_mm: int
    y_mm: int
    width_mm: int
    length_mm: int


@dataclass(frozen=True, slots=True, kw_only=True)
class BoardDemand:
    """Pieces of one shape, by the rectangle round it.

    ``left`` and ``right``: that long edge must be a factory edge. The face side stays; half a turn puts
    the left edge to the right, so a piece with one such edge can come from either edge of a board.
    ``turns``: it may also lie across, by a quarter turn; only without factory edges.
    """

    mark: str
    width_mm: int
    length_mm: int
    count: int = 1
    left: bool = False
    right: bool = False
    turns: bool = False
    notches: tuple[Notch, ...] = ()

    @property
    def net_mm2(self) -> int:
        """Area without the notches. [mm2]"""
        return self.width_mm * self.length_mm - sum(n.width_mm * n.length_mm for n in self.notches)


@dataclass(frozen=True, slots=True, kw_only=True)
class BoardStock:
    """A board that can be had: bought (``limit`` None: as many as wanted), or an offcut in hand.

    ``left`` and ``right``: that long edge is a factory edge. ``mark`` names an offcut in hand.
    """

    width_mm: int
    length_mm: int
    price: int
    limit: int | None = None
    left: bool = True
    right: bool = True
    mark: str = ""

    @property
    def edges(self) -> int:
        """How many factory edges it has."""
        return self.left + self.right


@dataclass(frozen=True, slots=True, kw_only=True)
class BoardProblem:
    """Everything that is to be cut, and everything that it can be cut from.

    What is sawn out of a notch, or left of a board, with a side shorter than ``least_strip_mm`` is waste.

    Raises
    ------
    InputError
        A size, count, price or limit out of its range, a mark given twice, or a piece that no board holds.
    """

    demands: tuple[BoardDemand, ...]
    stocks: tuple[BoardStock, ...]
    least_strip_mm: int = 0

    def __post_init__(self) -> None:
        if not self.stocks:
            raise InputError("boards", given="none", accepted="at least one")
        _within("least strip", self.least_strip_mm, 0, MOST_MM)
        for stock in self.stocks:
            what = f"board {stock.mark or f'{stock.width_mm} x {stock.length_mm}'}"
            _within(f"width of {what}", stock.width_mm, 1, MOST_MM)
            _within(f"length of {what}", stock.length_mm, 1, MOST_MM)
            _within(f"price of {what}", stock.price, 0 if stock.limit is not None else 1, MOST_PRICE, "")
            if stock.limit is not None:
                _within(f"limit of {what}", stock.limit, 0, MOST_PIECES, "")
        _within("number of pieces", sum(max(0, d.count) for d in self.demands), 0, MOST_PIECES, "")
        for demand in self.demands:
            self._check(demand)
        marks = Counter(demand.mark for demand in self.demands)
        for mark, times in marks.items():
            if times > 1:
                raise InputError("mark of a piece", given=mark, accepted="each mark once, with a count")

    def _check(self, demand: BoardDemand) -> None:
        piece = f"piece {demand.mark}"
        _within(f"count of {piece}", demand.count, 0, MOST_PIECES, "")
        _within(f"width of {piece}", demand.width_mm, 1, MOST_MM)
        _within(f"length of {piece}", demand.length_mm, 1, MOST_MM)
        if demand.turns and (demand.left or demand.right):
            raise InputError(f"turning of {piece}", given="yes", accepted="no, as it has a factory edge")
        for notch in demand.notches:
            inside = (
                min(notch.x_mm, notch.y_mm) >= 0
                and min(notch.width_mm, notch.length_mm) > 0
                and notch.x_mm + notch.width_mm <= demand.width_mm
                and notch.y_mm + notch.length_mm <= demand.length_mm
            )
            if not inside or (notch.width_mm, notch.length_mm) == (demand.width_mm, demand.length_mm):
                raise InputError(f"notch of {piece}", given=_as_text(notch), accepted="a part of the piece")
        for n, notch in enumerate(demand.notches):
            if any(_overlap(notch, other) for other in demand.notches[:n]):
                raise InputError(f"notches of {piece}", given="overlapping", accepted="clear of each other")
        if not any(holds(stock, demand) for stock in self.stocks):
            edges = " with its factory edges" if demand.left or demand.right else ""
            raise InputError(
                f"size of {piece}",
                given=f"{demand.width_mm} x {demand.length_mm} mm",
                accepted=f"what one of the boards holds{edges}",
            )


def holds(stock: BoardStock, demand: BoardDemand) -> bool:
    """Whether a piece can be cut from a board at all."""
    needed = demand.left + demand.right
    upright = demand.width_mm <= stock.width_mm and demand.length_mm <= stock.length_mm
    across = demand.turns and demand.length_mm <= stock.width_mm and demand.width_mm <= stock.length_mm
    return (upright or across) and (
        needed == 0
        or (needed == 1 and stock.edges >= 1)
        or (stock.edges == 2 and demand.width_mm == stock.width_mm)
    )


def _overlap(a: Notch, b: Notch) -> bool:
    return (
        a.x_mm < b.x_mm + b.width_mm
        and b.x_mm < a.x_mm + a.width_mm
        and a.y_mm < b.y_mm + b.length_mm
        and b.y_mm < a.y_mm + a.length_mm
    )


def _as_text(notch: Notch) -> str:
    return f"{notch.width_mm} x {notch.length_mm} mm at {notch.x_mm}, {notch.y_mm}"


def _within(field: str, value: int, least: int, most: int, unit: str = " mm") -> None:
    if not least <= value <= most:
        raise InputError(field, given=value, accepted=f"{least} to {most}{unit}")


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """A piece on its board, by the rectangle round it as it lies.

    ``turned_deg`` is 0, 90 or 180, counter-clockwise. ``within`` is the number (from 1) of the place on
    this board out of whose notch it is cut; 0: out of the board itself.
    """

    mark: str
    x_mm: int
    y_mm: int
    width_mm: int
    length_mm: int
    turned_deg: int = 0
    within: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Board:
    """A board and what is cut from it; ``source`` is "bought" or the mark of an offcut in hand.

    In a plan of several phases: what was left of board ``rest_of`` (0: of none) at that corner of it.
    """

    number: int
    width_mm: int
    length_mm: int
    price: int
    source: str
    places: tuple[Place, ...]
    phase: int = 0
    rest_of: int = 0
    rest_x_mm: int = 0
    rest_y_mm: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class BoardPlan:
    """All boards. No plan by score and snap, notches used, can cost less than ``bound``."""

    boards: tuple[Board, ...]
    cost: int
    bound: int
    stopped_by: str
    seed: int

    @property
    def gap(self) -> float:
        """Cost above the bound, as a share of it; 0 where the plan is proved to be cheapest."""
        return self.cost / self.bound - 1 if self.bound > 0 else float(self.cost > self.bound)

    @property
    def bought_mm2(self) -> int:
        """Area of the boards bought. [mm2]"""
        return sum(board.width_mm * board.length_mm for board in self.boards if board.source == BOUGHT)

    @property
    def bought(self) -> tuple[tuple[tuple[int, int], int], ...]:
        """((width, length), number of boards bought), the smallest first."""
        sizes = sorted((b.width_mm, b.length_mm) for b in self.boards if b.source == BOUGHT)
        return tuple((size, len(list(group))) for size, group in groupby(sizes))


def notches_of(demand: BoardDemand, place: Place) -> Iterator[Notch]:
    """The notches of a piece as they lie on the board, corners measured from the board's."""
    for n in demand.notches:
        x, y, width, length = n.x_mm, n.y_mm, n.width_mm, n.length_mm
        if place.turned_deg == 90:
            x, y, width, length = demand.length_mm - n.y_mm - n.length_mm, n.x_mm, n.length_mm, n.width_mm
        elif place.turned_deg == 180:
            x, y = demand.width_mm - n.x_mm - n.width_mm, demand.length_mm - n.y_mm - n.length_mm
        yield Notch(x_mm=place.x_mm + x, y_mm=place.y_mm + y, width_mm=width, length_mm=length)
