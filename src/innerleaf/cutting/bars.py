"""Pieces of bar and the bars they can be cut from: what is asked and what is answered.

Lengths are whole millimetres. Prices are whole numbers of whatever the caller counts in: the smallest
coin, or millimetres where only length counts.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import groupby

from innerleaf.errors import InputError

MOST_MM = 2_000_000  # longer is no bar, and the tables grow with the length
MOST_PIECES = 2_000_000
MOST_PRICE = 10**9
BOUGHT, REST_OF_BAR = "bought", "rest of bar "  # what a bar of a plan is, if no offcut in hand


@dataclass(frozen=True, slots=True, kw_only=True)
class Splice:
    """How a piece may be made of several: parts overlap, and none is shorter than ``least_mm``."""

    overlap_mm: int = 0
    least_mm: int = 300


@dataclass(frozen=True, slots=True, kw_only=True)
class BarDemand:
    """Pieces of one length; ``phase`` is the delivery by which they are cut, 0 the first."""

    mark: str
    length_mm: int
    count: int = 1
    phase: int = 0
    splice: Splice | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class BarStock:
    """A bar that can be had: bought (``limit`` None: as many as wanted), or an offcut in hand.

    ``trim_mm`` is lost at its ends before anything is cut; ``phase`` is the delivery it comes with;
    ``mark`` names an offcut in hand and is empty for what is bought.
    """

    length_mm: int
    price: int
    limit: int | None = None
    trim_mm: int = 0
    phase: int = 0
    mark: str = ""

    @property
    def usable_mm(self) -> int:
        """Length between the trimmed ends. [mm]"""
        return self.length_mm - self.trim_mm


@dataclass(frozen=True, slots=True, kw_only=True)
class Keeping:
    """Remainders of ``least_mm`` and more are kept and serve later phases.

    ``worth_per_m`` is what a kept remainder brings, in units of price; 0: it is kept for nothing.
    """

    least_mm: int
    worth_per_m: int = 0

    def worth(self, remainder_mm: int) -> int:
        """What a remainder is worth, rounded down."""
        return remainder_mm * self.worth_per_m // 1000 if remainder_mm >= self.least_mm else 0


@dataclass(frozen=True, slots=True, kw_only=True)
class BarProblem:
    """Everything that is to be cut, and everything that it can be cut from.

    Raises
    ------
    InputError
        A length, count, price, limit or phase out of its range, or a piece that no bar holds.
    """

    demands: tuple[BarDemand, ...]
    stocks: tuple[BarStock, ...]
    kerf_mm: int = 0
    keeping: Keeping | None = None

    def __post_init__(self) -> None:
        _within("kerf", self.kerf_mm, 0, 1000, "mm")
        if not self.stocks:
            raise InputError("stock lengths", given="none", accepted="at least one")
        for stock in self.stocks:
            what = f"stock {stock.mark or stock.length_mm}"
            _within(f"length of {what}", stock.length_mm, 1, MOST_MM, "mm")
            _within(f"price of {what}", stock.price, 0 if stock.limit is not None else 1, MOST_PRICE, "")
            _within(f"trim of {what}", stock.trim_mm, 0, stock.length_mm - 1, "mm")
            _within(f"phase of {what}", stock.phase, 0, 10_000, "")
            if stock.mark == BOUGHT or stock.mark.startswith(REST_OF_BAR):
                raise InputError(
                    "mark of an offcut", given=stock.mark, accepted="a mark that says no other thing"
                )
            if stock.limit is not None:
                _within(f"limit of {what}", stock.limit, 0, MOST_PIECES, "")
        _within("number of pieces", sum(max(0, d.count) for d in self.demands), 0, MOST_PIECES, "")
        self._check_keeping()
        for demand in self.demands:
            self._check_demand(demand)
        spliced = Counter(demand.mark for demand in self.demands if demand.splice)
        twice = next((mark for mark, times in spliced.items() if times > 1), None)
        if twice is not None:
            raise InputError("mark of a spliced piece", given=twice, accepted="a mark of its own")

    def price_of(self, stock: BarStock) -> int:
        """Price of a bar; an offcut in hand is worth no less than it would be if it were kept."""
        worth = self.keeping.worth(stock.usable_mm) if self.keeping and stock.mark else 0
        return max(stock.price, worth)

    def _check_keeping(self) -> None:
        if self.keeping is None:
            return
        _within("least remainder to keep", self.keeping.least_mm, 1, MOST_MM, "mm")
        _within("worth of a metre kept", self.keeping.worth_per_m, 0, MOST_PRICE, "")
        for stock in self.stocks:
            if not stock.mark and stock.price <= self.keeping.worth(stock.usable_mm):
                raise InputError(
                    "worth of a metre kept",
                    given=self.keeping.worth_per_m,
                    accepted=f"less than a metre costs when bought ({stock.length_mm} mm for {stock.price})",
                )

    def _check_demand(self, demand: BarDemand) -> None:
        _within(f"count of piece {demand.mark}", demand.count, 0, MOST_PIECES, "")
        _within(f"phase of piece {demand.mark}", demand.phase, 0, 10_000, "")
        longest = max((s.usable_mm for s in self.stocks if s.phase <= demand.phase), default=0)
        splice = demand.splice
        if splice is None:
            _within(f"length of piece {demand.mark}", demand.length_mm, 1, longest, "mm")
            return
        _within(f"length of piece {demand.mark}", demand.length_mm, 1, MOST_MM, "mm")
        _within(f"overlap of piece {demand.mark}", splice.overlap_mm, 0, longest // 2, "mm")
        _within(
            f"shortest part of piece {demand.mark}",
            splice.least_mm,
            splice.overlap_mm + 1,
            max(splice.overlap_mm + 1, longest // 2),
            "mm",
        )


def _within(field: str, value: int, least: int, most: int, unit: str) -> None:
    if not least <= value <= most:
        unit = f" {unit}" if unit else ""
        raise InputError(field, given=value, accepted=f"{least} to {most}{unit}")


@dataclass(frozen=True, slots=True)
class Piece:
    """A piece as cut; ``part`` counts the parts of a spliced piece from 1, 0 is a whole one."""

    mark: str
    length_mm: int
    part: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Bar:
    """A bar in one phase, cut in the order of ``pieces``.

    ``source`` is what it is: "bought", the mark of an offcut in hand, or "rest of bar 12".
    ``remainder_mm`` is what is left after the last cut; ``kept`` if it is long enough to be.
    """

    number: int
    phase: int
    length_mm: int
    trim_mm: int
    price: int
    source: str
    pieces: tuple[Piece, ...]
    remainder_mm: int
    kept: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class BarPlan:
    """All bars, phase by phase, in the order they are cut.

    ``cost`` is the price of the bars less the worth of the remainders kept at the end. No plan can cost
    less than ``bound``, whatever the phases.
    """

    bars: tuple[Bar, ...]
    cost: int
    bound: int
    stopped_by: str
    seed: int

    @property
    def gap(self) -> float:
        """Cost above the bound, as a share of it; 0 where the plan is proved to be cheapest."""
        return self.cost / self.bound - 1 if self.bound > 0 else float(self.cost > self.bound)

    @property
    def bought_mm(self) -> int:
        """Length of the bars bought. [mm]"""
        return sum(bar.length_mm for bar in self.bars if bar.source == BOUGHT)

    @property
    def bought(self) -> tuple[tuple[int, int], ...]:
        """(stock length, number of bars bought), shortest first."""
        lengths = sorted(bar.length_mm for bar in self.bars if bar.source == BOUGHT)
        return tuple((length, len(list(group))) for length, group in groupby(lengths))

    @property
    def patterns(self) -> int:
        """How many different ways to cut a bar there are."""
        return len({(bar.length_mm, *sorted(piece.length_mm for piece in bar.pieces)) for bar in self.bars})


def pieces_of(problem: BarProblem) -> Iterator[BarDemand]:
    """The demands in an order that does not depend on how they were given: longest first, then by mark."""
    return iter(sorted(problem.demands, key=lambda d: (d.phase, -d.length_mm, d.mark, d.count)))
