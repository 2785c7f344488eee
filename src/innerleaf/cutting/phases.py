"""Cutting phase by phase: what is cut in a phase comes from what has arrived, remainders are carried on."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from innerleaf.cutting.bars import (
    BOUGHT,
    REST_OF_BAR,
    Bar,
    BarDemand,
    BarPlan,
    BarProblem,
    BarStock,
    pieces_of,
)
from innerleaf.cutting.bars_few import fewer_patterns
from innerleaf.cutting.bars_whole import Whole, cut_whole
from innerleaf.cutting.batches import FilledBar, Source, batch_of, fill_bars
from innerleaf.cutting.columns import Pool, relax
from innerleaf.cutting.cuts import Limits
from innerleaf.cutting.splices import parted, splice_bound
from innerleaf.errors import InputError

PROVED, CLOSE, STOPPED, BY_CLOCK = "proved cheapest", "close enough", "limit of the search", "time limit"
PHASED = "the bound is that of everything cut at once, so the gap includes the price of the phases"


def cut_bars(problem: BarProblem, limits: Limits | None = None, *, seed: int = 0) -> BarPlan:
    """Cut all pieces from bars at least cost; the same problem gives the same plan, however it is ordered.

    Of the plans found of one cost, the one of fewest bars, then of fewest patterns. With several phases
    each is cut as cheaply as what arrived by then and the remainders of earlier phases allow; the bound is
    that of everything cut at once, so it holds for any phasing.

    Raises
    ------
    InputError
        The bars there are do not suffice for the pieces.
    """
    limits = limits or Limits()
    demands = [d for d in pieces_of(problem) if d.count]
    if not demands:
        return BarPlan(bars=(), cost=0, bound=0, stopped_by=PROVED, seed=seed)
    yard = _Yard(problem)
    phases = sorted({d.phase for d in demands})
    bound, searched = 0, False
    for phase in phases:
        whole = _cut_phase(yard, phase, [d for d in demands if d.phase == phase], limits, seed)
        bound = whole.bound
        searched |= whole.cost > bound * (1 + limits.close)
    if len(phases) > 1 or any(d.splice for d in demands):
        bound = _bound_at_once(problem, demands, limits)
    cost = sum(bar.price for bar in yard.bars) - _kept_worth(problem, yard.bars)
    stopped = _stopped_by(cost, bound, limits)
    if stopped == STOPPED and len(phases) > 1:
        stopped = f"{STOPPED}; {PHASED}" if searched else PHASED
    return BarPlan(bars=tuple(yard.bars), cost=cost, bound=min(bound, cost), stopped_by=stopped, seed=seed)


def _stopped_by(cost: int, bound: int, limits: Limits) -> str:
    if cost <= bound:
        return PROVED
    if cost <= bound * (1 + limits.close):
        return CLOSE
    return STOPPED if limits.go_on() else BY_CLOCK


@dataclass(slots=True)
class _Yard:
    """What lies there: the bars cut so far, and what is left of each limited stock and remainder."""

    problem: BarProblem
    bars: list[Bar] = field(default_factory=list)
    used: dict[BarStock, int] = field(default_factory=dict)
    rests: dict[str, int] = field(default_factory=dict)  # name of a kept remainder: its length

    def sources(self, phase: int) -> list[Source]:
        """What can be cut in a phase."""
        return sources_of(self.problem, phase, self.used) + self._carried()

    def _carried(self) -> list[Source]:
        keeping = self.problem.keeping
        by_length: dict[int, list[str]] = {}
        for name, length in self.rests.items():
            by_length.setdefault(length, []).append(name)
        return [
            Source(
                length_mm=length,
                trim_mm=0,
                price=keeping.worth(length) if keeping else 0,
                limit=len(names),
                marks=tuple(names),
            )
            for length, names in sorted(by_length.items())
        ]


def sources_of(problem: BarProblem, phase: int, used: dict[BarStock, int] | None = None) -> list[Source]:
    """The stocks that have arrived by a phase, less what is used of them; equal ones together."""
    found: dict[tuple[int, int, int, bool], list[BarStock]] = {}
    for stock in sorted(problem.stocks, key=lambda s: (s.length_mm, s.trim_mm, s.price, s.mark, s.phase)):
        if stock.phase <= phase:
            key = stock.length_mm, stock.trim_mm, problem.price_of(stock), stock.limit is None
            found.setdefault(key, []).append(stock)
    sources = []
    for (length, trim, price, endless), stocks in found.items():
        marks = [
            stock.mark or BOUGHT
            for stock in stocks
            for _ in range((stock.limit or 0) - (used or {}).get(stock, 0))
        ]
        if endless or marks:
            limit = -1 if endless else len(marks)
            sources.append(
                Source(length_mm=length, trim_mm=trim, price=price, limit=limit, marks=tuple(marks))
            )
    return sources


def _cut_phase(yard: _Yard, phase: int, demands: Sequence[BarDemand], limits: Limits, seed: int) -> Whole:
    problem = yard.problem
    sources = yard.sources(phase)
    pieces = parted(demands, sources, problem.kerf_mm, limits)
    batch = batch_of((p.length_mm for p in pieces), sources, problem.kerf_mm, problem.keeping)
    whole = cut_whole(batch, limits, seed=seed)
    filled, missing = fill_bars(whole.cuts, batch, pieces, sources, problem.kerf_mm, problem.keeping)
    few = fewer_patterns(batch, whole, limits)
    again, none = fill_bars(few, batch, pieces, sources, problem.kerf_mm, problem.keeping)
    if not none and _settings(again) < _settings(filled):
        filled, missing = again, none
    if missing:
        raise InputError(
            "stock limits",
            given=f"bars for all but {len(missing)} of {len(pieces)} pieces",
            accepted=f"more bars, for instance for {missing[0].mark} of {missing[0].length_mm} mm",
        )
    _enter(yard, phase, filled)
    return whole


def _settings(bars: Sequence[FilledBar]) -> tuple[int, int, int]:
    """Cost, bars and patterns, the fewer the better in this order."""
    cost = sum(bar.source.price for bar in bars)
    return cost, len(bars), len({(b.source, tuple(p.length_mm for p in b.pieces)) for b in bars})


def _enter(yard: _Yard, phase: int, filled: Sequence[FilledBar]) -> None:
    """Write the bars of a phase into the book, and what is kept of them into the yard."""
    keeping, taken = yard.problem.keeping, dict[Source, int]()
    for bar in filled:
        source = BOUGHT
        if bar.source.limit >= 0:
            at = taken.get(bar.source, 0)
            taken[bar.source] = at + 1
            source = bar.source.marks[at]
            if source in yard.rests:
                del yard.rests[source]
            else:
                stock = _stock_used(yard, bar.source, source, phase)
                yard.used[stock] = yard.used.get(stock, 0) + 1
        kept = keeping is not None and bar.remainder_mm >= keeping.least_mm
        number = len(yard.bars) + 1
        yard.bars.append(
            Bar(
                number=number,
                phase=phase,
                length_mm=bar.source.length_mm,
                trim_mm=bar.source.trim_mm,
                price=bar.source.price,
                source=source,
                pieces=bar.pieces,
                remainder_mm=bar.remainder_mm,
                kept=kept,
            )
        )
        if kept:
            yard.rests[rest_of(number)] = bar.remainder_mm


def rest_of(number: int) -> str:
    """What the kept remainder of a bar is called."""
    return f"{REST_OF_BAR}{number}"


def _stock_used(yard: _Yard, source: Source, mark: str, phase: int) -> BarStock:
    """The limited stock, with something left, that a bar of this source and mark is."""
    return next(
        stock
        for stock in yard.problem.stocks
        if (stock.length_mm, stock.trim_mm) == (source.length_mm, source.trim_mm)
        and yard.problem.price_of(stock) == source.price
        and stock.limit is not None
        and (stock.mark or BOUGHT) == mark
        and stock.phase <= phase
        and yard.used.get(stock, 0) < stock.limit
    )


def _kept_worth(problem: BarProblem, bars: Sequence[Bar]) -> int:
    """Worth of the remainders kept along the way; what a later phase used of them was paid for again."""
    return sum(problem.keeping.worth(bar.remainder_mm) for bar in bars) if problem.keeping else 0


def _bound_at_once(problem: BarProblem, demands: Sequence[BarDemand], limits: Limits) -> int:
    """What no plan can go below, with everything there at once."""
    sources = sources_of(problem, max(s.phase for s in problem.stocks))
    if any(d.splice for d in demands):
        return splice_bound(demands, sources, problem, limits)
    lengths = (d.length_mm for d in demands for _ in range(d.count))
    batch = batch_of(lengths, sources, problem.kerf_mm, problem.keeping)
    return relax(batch, Pool(len(batch.demand)), limits).bound
