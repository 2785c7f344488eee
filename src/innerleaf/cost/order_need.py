"""What has to be bought and when: each article (and length) by delivery, allowances openly beside it.

Bars and boards of the cut plan are wanted on the storey where the first of their pieces goes; everything else
by the shares of the walls, in whole units and never late. ``docs/buying.md`` says how.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import ceil
from typing import Final

from innerleaf.job.schema_buying import Allowance, Buying
from innerleaf.practice.measures import Measure, measure_of
from innerleaf.practice.model import Practice
from innerleaf.takeoff.model import Purchase, Takeoff

_GRAIN: Final = {"kg": 1000}  # the smallest unit needs are counted in: a gram; else 1 mm, 1 piece
_TINY: Final = Fraction(1, 10**6)


@dataclass(frozen=True, slots=True)
class Drop:
    """One delivery that there may be: all of it for a storey, or a phase of its work; "" for all."""

    storey: str
    phase: str

    def __str__(self) -> str:
        return ", ".join(part for part in (self.storey, self.phase) if part) or "building"


@dataclass(frozen=True, slots=True, kw_only=True)
class Need:
    """So much of an article by delivery, in whole pieces (of ``length_mm``), mm or g.

    ``reason`` is that of an allowance, "" for what is really needed. ``basis`` says how it was found.
    """

    group: str
    article: str
    measure: Measure
    length_mm: int
    by_drop: tuple[int, ...]
    reason: str
    basis: str

    @property
    def worth_of_one(self) -> float:
        """One of what is counted, in the unit of the article."""
        return self.measure.of_piece(self.length_mm) / grain(self.measure)

    @property
    def key(self) -> tuple[str, int]:
        """Article and length."""
        return self.article, self.length_mm


def grain(measure: Measure) -> int:
    """How many of the smallest unit make one of the article's unit."""
    return 1 if measure.by_length else _GRAIN.get(measure.unit, 1)


def drops_of(
    buying: Buying, storeys: Iterable[str], phases: Mapping[str, tuple[str, ...]]
) -> tuple[Drop, ...]:
    """The deliveries there may be, in the order of the work."""
    if buying.deliveries == "building":
        return (Drop("", ""),)
    seen = list(dict.fromkeys([*buying.storeys, *storeys]))
    if buying.deliveries == "storeys" or not phases:
        return tuple(Drop(storey, "") for storey in seen)
    return tuple(Drop(storey, phase) for storey in seen for phase in phases)


def needs_of(
    takeoff: Takeoff,
    practice: Practice,
    drops: Sequence[Drop],
    storeys: Mapping[str, str],
    phases: Mapping[str, tuple[str, ...]],
    allowances: Mapping[str, Allowance],
) -> tuple[Need, ...]:
    """Every need, in the order of the takeoff; ``storeys`` by wall."""
    finder = _Finder(takeoff, drops, storeys, phases)
    found: list[Need] = []
    for purchase in takeoff.purchases:
        measure = measure_of(practice, purchase.item)
        if measure is None:
            continue
        mine = finder.needs(purchase, measure)
        found += mine
        if purchase.item in allowances:
            found += _allowed(mine, allowances[purchase.item])
    return tuple(found)


class _Finder:
    """Shares the purchases of a takeoff out over the deliveries."""

    def __init__(
        self,
        takeoff: Takeoff,
        drops: Sequence[Drop],
        storeys: Mapping[str, str],
        phases: Mapping[str, tuple[str, ...]],
    ) -> None:
        self.drops = drops
        self.place = {drop: number for number, drop in enumerate(drops)}
        self.storeys = storeys
        self.phase_of = {group: phase for phase, groups in phases.items() for group in groups}
        self.walls: dict[str, dict[str, float]] = defaultdict(lambda: defaultdict(float))
        for line in takeoff.lines:
            for share in line.by_wall:
                self.walls[line.item][share.place] += share.quantity
        self.cut: dict[tuple[str, int], list[tuple[str, ...]]] = defaultdict(list)
        for bar in takeoff.bars:
            self.cut[bar.item, bar.stock_mm].append(tuple({piece.wall for piece in bar.pieces}))
        for board in takeoff.boards:
            self.cut[board.item, board.stock_mm].append(tuple({piece.wall for piece in board.pieces}))

    def needs(self, purchase: Purchase, measure: Measure) -> list[Need]:
        """One need for each length of what is cut from lengths; one for anything else."""
        if not measure.by_length:
            units = Fraction(str(round(purchase.net, 6))) * grain(measure)
            whole = max(0, ceil(units - _TINY))
            by_drop = self._shared(purchase, whole)
            return [self._need(purchase, measure, 0, by_drop, "by the quantities of the walls")]
        found = []
        for pack in purchase.packs:
            walls = self.cut.get((purchase.item, int(pack.size)), [])
            if len(walls) == pack.count:
                by_drop, basis = self._by_cut_plan(purchase, walls), "cut plan"
            else:
                by_drop, basis = self._shared(purchase, pack.count), "cut plan, shared by the walls"
            if pack.count:
                found.append(self._need(purchase, measure, int(pack.size), by_drop, basis))
        return found

    def _need(
        self, purchase: Purchase, measure: Measure, length_mm: int, by_drop: tuple[int, ...], basis: str
    ) -> Need:
        return Need(
            group=purchase.group,
            article=purchase.item,
            measure=measure,
            length_mm=length_mm,
            by_drop=by_drop,
            reason="",
            basis=basis,
        )

    def _drop(self, purchase: Purchase, wall: str) -> int:
        """The delivery for a wall."""
        first = self.drops[0]
        storey = self.storeys.get(wall, "") if len(self.drops) > 1 or first.storey else ""
        phase = self.phase_of.get(purchase.group, "") if first.phase else ""
        return self.place.get(Drop(storey, phase), 0)

    def _by_cut_plan(self, purchase: Purchase, bars: Iterable[tuple[str, ...]]) -> tuple[int, ...]:
        """Each bar with the first delivery that one of its pieces is wanted in."""
        counts = [0] * len(self.drops)
        for walls in bars:
            counts[min((self._drop(purchase, wall) for wall in walls), default=0)] += 1
        return tuple(counts)

    def _shared(self, purchase: Purchase, whole: int) -> tuple[int, ...]:
        """Whole units by the quantities of the walls: rounded up by each delivery, so that none is late."""
        amounts = [0.0] * len(self.drops)
        for wall, quantity in self.walls[purchase.item].items():
            amounts[self._drop(purchase, wall)] += quantity
        return shared(whole, amounts)


def shared(whole: int, amounts: Sequence[float]) -> tuple[int, ...]:
    """Whole units in shares: by each place no less than its sum asks for, all together exactly.

    >>> shared(10, [1, 1, 1])
    (4, 3, 3)
    >>> shared(3, [0, 0])
    (3, 0)
    """
    total = sum(amounts)
    if total <= 0:
        return (whole, *(0 for _ in amounts[1:]))
    parts, before, so_far = [], 0, 0.0
    for amount in amounts:
        so_far += amount
        until = min(whole, ceil(whole * so_far / total - 1e-9)) if amount > 0 else before
        parts.append(until - before)
        before = until
    return tuple(parts)


def _allowed(needs: Sequence[Need], allowance: Allowance) -> list[Need]:
    """What is bought beyond the needs of an article: in whole units, by length and delivery as they are."""
    totals = [sum(need.by_drop) for need in needs]
    if not needs:
        return []
    if allowance.share is not None:
        extra = ceil(Fraction(str(allowance.share)) * sum(totals))
        how = f"{allowance.share:.4g} of what is needed, rounded up"
    else:
        measure = needs[0].measure
        metres = 1000 if not measure.by_length and measure.unit == "mm" else 1
        extra = ceil(Fraction(str(allowance.amount or 0)) * grain(measure) * metres)
        how = "as given"
    by_length = largest_remainders(extra, totals)
    return [
        Need(
            group=need.group,
            article=need.article,
            measure=need.measure,
            length_mm=need.length_mm,
            by_drop=shared(more, need.by_drop),
            reason=allowance.reason,
            basis=f"allowance: {how}",
        )
        for need, more in zip(needs, by_length, strict=True)
        if more
    ]


def largest_remainders(whole: int, amounts: Sequence[int]) -> list[int]:
    """Whole units in proportion, the units left over to the largest remainders, the first of equals first.

    >>> largest_remainders(5, [10, 10, 1])
    [3, 2, 0]
    >>> largest_remainders(0, [])
    []
    """
    if not amounts:
        return []
    total = sum(amounts)
    if not total:
        return [whole, *(0 for _ in amounts[1:])]
    parts = [whole * amount // total for amount in amounts]
    order = sorted(range(len(amounts)), key=lambda k: (-(whole * amounts[k] % total), k))
    for k in order[: whole - sum(parts)]:
        parts[k] += 1
    return parts
