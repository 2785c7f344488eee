"""Layout and cutting chosen together: of layouts as good, those that nest best over the building.

A wall has several layouts that are no worse than the one first drawn (`layout.variants`). Which of them the
whole building cuts cheapest is searched over all walls at once (`cutting.boards_swap`), the boards by the
price of their area, the bars of each layout by the price of their length. What the search proposes is then
taken off like any other plan, with the same effort, and kept only if boards and bars really cost less: so
the answer is never worse than the layouts as first drawn. All of it stops at counts.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Hashable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import partial
from math import isfinite

from innerleaf.cutting.boards import BoardDemand, BoardProblem, BoardStock
from innerleaf.layout.pieces import BoardPiece, WallPlan
from innerleaf.layout.variants import Variant, plan_variant, variants_of
from innerleaf.practice.model import Practice
from innerleaf.practice.prices import PriceList
from innerleaf.survey.wall import Wall
from innerleaf.takeoff.buy_boards import demand_of
from innerleaf.takeoff.model import Takeoff
from innerleaf.takeoff.rates import COMMON_RATES, Rates
from innerleaf.takeoff.rules import COMMON_RULES, BuyingRules
from innerleaf.takeoff.take import take_off
from innerleaf.takeoff.track_joints import with_joints_moved
from innerleaf.work import run_tasks

Progress = Callable[[str, int, int], None]

_PER_TASK = 4  # kinds of walls whose layouts one task looks for
_MILL = 100_000  # prices are counted in so many parts of the currency


@dataclass(frozen=True, slots=True, kw_only=True)
class Effort:
    """Where the search stops: counts, so that the same walls always get the same layouts.

    ``layouts`` of one wall at most, the first included; ``steps`` of the search for each wall, and ``least``
    and ``most`` of them in all; ``rounds``, each taken off and kept only if it is cheaper. A building of
    more than ``walls`` different walls keeps the layouts as first drawn.
    """

    layouts: int = 16
    steps: int = 1_500
    least: int = 20_000
    most: int = 250_000
    rounds: int = 1
    walls: int = 400


COMMON_EFFORT = Effort()


@dataclass(frozen=True, slots=True, kw_only=True)
class Round:
    """One round: how many walls it drew anew, what boards and bars then cost, and whether it was kept."""

    walls: int
    cost: float
    kept: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class TogetherReport:
    """What choosing layouts for the whole building was worth.

    ``first`` is the layouts as first drawn, ``chosen`` what was taken: boards [mm2], bars [mm], both by their
    prices; ``least`` is what the layouts chosen cannot be cut from less than. ``layouts`` were compared on
    ``kinds`` of walls; ``walls`` were drawn otherwise than at first. ``left_out``: why nothing was searched,
    "" where it was. On ``tracks`` longer than a bar the joints were moved last, which saved so much of bars.
    """

    board_first_mm2: float
    board_chosen_mm2: float
    bar_first_mm: float
    bar_chosen_mm: float
    cost_first: float
    cost_chosen: float
    board_least_mm2: float
    bar_least_mm: float
    cost_least: float
    currency: str
    kinds: int
    layouts: int
    walls: int
    rounds: tuple[Round, ...]
    left_out: str = ""
    tracks: int = 0
    tracks_saved_mm: float = 0.0

    @property
    def board_gain(self) -> float:
        """Area of board saved, as a share of that of the layouts as first drawn."""
        return 1 - self.board_chosen_mm2 / self.board_first_mm2 if self.board_first_mm2 else 0.0

    @property
    def cost_gain(self) -> float:
        """Cost of boards and bars saved, as a share."""
        return 1 - self.cost_chosen / self.cost_first if self.cost_first else 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Together:
    """The layouts taken, what is bought for them, and what that was worth."""

    plans: tuple[WallPlan, ...]
    takeoff: Takeoff
    report: TogetherReport


def lay_out_together(
    plans: Sequence[WallPlan],
    takeoff: Takeoff,
    practice: Practice,
    prices: PriceList,
    *,
    effort: Effort = COMMON_EFFORT,
    rates: Rates = COMMON_RATES,
    rules: BuyingRules = COMMON_RULES,
    seed: int = 0,
    workers: int = 1,
    progress: Progress = lambda _doing, _done, _of: None,
) -> Together:
    """Choose layouts for a building whose walls are set out and taken off one by one.

    An article without a price counts with the mean of those that have one. Walls that differ only in name
    and room are looked at once, but each may get a layout of its own.
    """
    cost = _Cost(practice, prices)
    kinds: dict[Hashable, Wall] = {}
    kind_of = [_kind(plan.wall) for plan in plans]
    for plan, kind in zip(plans, kind_of, strict=True):
        kinds.setdefault(kind, plan.wall)
    report = partial(_report, takeoff, prices, cost)
    if len(kinds) > effort.walls:
        why = f"more than {effort.walls} different walls"
        return Together(
            plans=tuple(plans), takeoff=takeoff, report=report(takeoff, kinds={}, rounds=(), why=why)
        )
    offered = dict(
        zip(kinds, _offers(list(kinds.values()), practice, effort, workers, progress), strict=True)
    )
    groups = [offered[kind] for kind in kind_of]
    best, best_plans, chosen = takeoff, tuple(plans), [0] * len(plans)
    rounds: list[Round] = []
    for number in range(effort.rounds if any(len(group) > 1 for group in groups) else 0):
        progress("cutting together", number, effort.rounds)
        picked = _search(groups, chosen, cost, rates, effort, seed + number)
        drawn, picked = _drawn(plans, groups, picked, practice)
        if picked == chosen:
            break
        taken = take_off(drawn, practice, rates, rules)
        kept = cost.of(taken) < cost.of(best)
        changed = sum(new != old for new, old in zip(picked, chosen, strict=True))
        rounds.append(Round(walls=changed, cost=cost.of(taken), kept=kept))
        if kept:
            best, best_plans, chosen = taken, drawn, picked
    changed = sum(number > 0 for number in chosen)
    joined = with_joints_moved(best_plans, best, practice, rates, rules)
    told = report(joined.takeoff, kinds=offered, rounds=tuple(rounds), walls=changed)
    return Together(
        plans=joined.plans,
        takeoff=joined.takeoff,
        report=replace(told, tracks=joined.tracks, tracks_saved_mm=joined.saved_mm),
    )


def _kind(wall: Wall) -> Hashable:
    """What the layouts of a wall depend on: everything but its names."""
    return replace(wall, id="", name="", room="", storey="", questions=())


def _offers(
    walls: Sequence[Wall], practice: Practice, effort: Effort, workers: int, progress: Progress
) -> Iterator[tuple[Variant, ...]]:
    tasks = [
        partial(_variants, walls[at : at + _PER_TASK], practice, effort.layouts)
        for at in range(0, len(walls), _PER_TASK)
    ]
    done = 0
    for found in run_tasks(tasks, workers=min(workers, len(tasks))):
        yield from found
        done += len(found)
        progress("other layouts", done, len(walls))


def _variants(walls: Sequence[Wall], practice: Practice, most: int) -> list[tuple[Variant, ...]]:
    return [variants_of(wall, practice, most) for wall in walls]


class _Cost:
    """Prices of boards by area and of bars by length, whole and in the currency."""

    def __init__(self, practice: Practice, prices: PriceList) -> None:
        self.practice = practice
        self._boards = _known({item: prices.price("boards", item) for item in practice.boards})
        self._bars = _known({item: prices.price("profiles", item) for item in practice.profiles})

    def board(self, item: str, area_mm2: float) -> int:
        """A board of an item, in parts of the currency."""
        return max(1, round(self._boards[item] * area_mm2 / 1e6 * _MILL))

    def bars(self, variant: Variant) -> int:
        """All bars of a layout by their length."""
        return round(sum(self._bars.get(bar.item, 0.0) * bar.length_mm for bar in variant.bars) / 1e3 * _MILL)

    def of(self, takeoff: Takeoff) -> float:
        """Boards and bars bought."""
        return self._of((p.group, p.item, p.bought) for p in takeoff.purchases)

    def least(self, takeoff: Takeoff) -> float:
        """What boards and bars of these layouts cannot cost less than, however they are cut."""
        return self._of((p.group, p.item, p.lower_bound) for p in takeoff.purchases)

    def _of(self, amounts: Iterable[tuple[str, str, float]]) -> float:
        return sum(
            self._boards[item] * amount / 1e6 if group == "boards" else self._bars[item] * amount / 1e3
            for group, item, amount in amounts
            if item in (self._boards if group == "boards" else self._bars)
        )


def _known(prices: dict[str, float]) -> dict[str, float]:
    said = [price for price in prices.values() if isfinite(price) and price > 0]
    mean = sum(said) / len(said) if said else 1.0
    return {item: price if isfinite(price) and price > 0 else mean for item, price in prices.items()}


def _search(
    groups: Sequence[tuple[Variant, ...]],
    begin: Sequence[int],
    cost: _Cost,
    rates: Rates,
    effort: Effort,
    seed: int,
) -> list[int]:
    """The layouts that the building as a whole is cut from cheapest, as far as the search sees."""
    from innerleaf.cutting.boards_swap import Alternative, choose_alternatives

    sheets = _Sheets(cost, rates)
    counts = {id(variant): sheets.count(variant) for group in groups for variant in group}
    alternatives = [
        [
            Alternative(
                counts=tuple(counts[id(variant)].get(item, {}) for item in sheets.items),
                price=cost.bars(variant),
            )
            for variant in group
        ]
        for group in groups
    ]
    steps = min(effort.most, max(effort.least, effort.steps * len(groups)))
    found = choose_alternatives(sheets.problems(), alternatives, steps=steps, seed=seed, begin=begin)
    return list(found.chosen)


class _Sheets:
    """Every kind of piece met, by the board it is cut from."""

    def __init__(self, cost: _Cost, rates: Rates) -> None:
        self._cost, self._rates = cost, rates
        self._marks: dict[str, dict[BoardDemand, str]] = {}

    @property
    def items(self) -> list[str]:
        """The boards, in their order."""
        return sorted(self._marks)

    def count(self, variant: Variant) -> dict[str, Counter[str]]:
        """How many pieces of which mark a layout is cut from, by board."""
        found: dict[str, Counter[str]] = {}
        for piece in variant.boards:
            mark = self._mark(piece)
            if mark:
                found.setdefault(piece.item, Counter())[mark] += 1
        return found

    def _mark(self, piece: BoardPiece) -> str:
        board = self._cost.practice.boards[piece.item]
        demand = replace(demand_of(piece, board.width_mm), mark="")
        marks = self._marks.setdefault(piece.item, {})
        if demand.width_mm > board.width_mm or demand.length_mm > max(board.lengths_mm):
            return ""  # no board holds it; no layout of this wall changes that
        return marks.setdefault(demand, str(len(marks) + 1))

    def problems(self) -> list[BoardProblem]:
        """One for each board, every kind of piece in it once."""
        return [
            BoardProblem(
                demands=tuple(replace(demand, mark=mark) for demand, mark in self._marks[item].items()),
                stocks=tuple(self._stocks(item)),
                least_strip_mm=self._rates.least_strip_mm,
            )
            for item in self.items
        ]

    def _stocks(self, item: str) -> Iterator[BoardStock]:
        board = self._cost.practice.boards[item]
        for length in board.lengths_mm:
            price = self._cost.board(item, board.width_mm * length)
            yield BoardStock(width_mm=board.width_mm, length_mm=length, price=price)


def _drawn(
    plans: Sequence[WallPlan],
    groups: Sequence[tuple[Variant, ...]],
    picked: Sequence[int],
    practice: Practice,
) -> tuple[tuple[WallPlan, ...], list[int]]:
    """The walls as picked; one whose plan has a finding more than at first keeps its first layout."""
    drawn, kept = [], []
    for plan, group, number in zip(plans, groups, picked, strict=True):
        other = plan_variant(plan.wall, practice, group[number]) if number else plan
        worse = Counter(f.code for f in other.findings) - Counter(f.code for f in plan.findings)
        drawn.append(plan if worse else other)
        kept.append(0 if worse else number)
    return tuple(drawn), kept


def _report(
    first: Takeoff,
    prices: PriceList,
    cost: _Cost,
    chosen: Takeoff,
    *,
    kinds: dict[Hashable, tuple[Variant, ...]],
    rounds: tuple[Round, ...],
    walls: int = 0,
    why: str = "",
) -> TogetherReport:
    return TogetherReport(
        board_first_mm2=_bought(first, "boards"),
        board_chosen_mm2=_bought(chosen, "boards"),
        bar_first_mm=_bought(first, "frame"),
        bar_chosen_mm=_bought(chosen, "frame"),
        cost_first=cost.of(first),
        cost_chosen=cost.of(chosen),
        board_least_mm2=_least(chosen, "boards"),
        bar_least_mm=_least(chosen, "frame"),
        cost_least=cost.least(chosen),
        currency=prices.currency,
        kinds=len(kinds),
        layouts=sum(map(len, kinds.values())),
        walls=walls,
        rounds=rounds,
        left_out=why,
    )


def _bought(takeoff: Takeoff, group: str) -> float:
    return sum(p.bought for p in takeoff.purchases if p.group == group)


def _least(takeoff: Takeoff, group: str) -> float:
    return sum(p.lower_bound for p in takeoff.purchases if p.group == group)
