"""Buying: pieces packed into what can be bought, item by item."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from math import ceil

from innerleaf.cutting.bars import BOUGHT, BarDemand, BarPlan, BarProblem, BarStock, Keeping
from innerleaf.layout.pieces import Bar, WallPlan
from innerleaf.practice.model import Consumable, Practice
from innerleaf.takeoff.model import CutBar, CutPiece, Line, Pack, Purchase
from innerleaf.takeoff.rates import Rates
from innerleaf.takeoff.rules import COMMON_RULES, PROFILE, BuyingRules

_TOLERANCE_MM = 1e-6
_NODES, _CLOSE = 60, 1e-4  # where the search for a plan of bars stops: a building in seconds
_WALL, _NODES_OF_WALL = 40, 12  # so many pieces are a wall or two: no settings of the saw to be saved


def buy_bars(
    plans: Sequence[WallPlan], practice: Practice, rates: Rates, rules: BuyingRules = COMMON_RULES
) -> tuple[list[Purchase], list[CutBar]]:
    """Profiles (and backing sold by length): bars by stock length, with the cut list."""
    purchases, cuts = [], []
    for item, bars in bars_by_item(plans).items():
        stocks = stock_lengths(practice, item)
        if not stocks:
            continue  # sold by the piece: bought with the consumables
        problem, special = bar_problem(item, bars, stocks, rates, rules)
        problem, how = lengths_chosen(problem, rules.most(item, PROFILE))
        packed = cut_problem(problem)
        net = sum(bar.length_mm for bar, _ in bars)
        basis = f"{_over(rules, [wall for _, wall in bars])}, {rates.kerf_mm} mm lost per cut{how}"
        purchases.append(_bar_purchase("frame", item, net, packed, special, basis))
        cuts += _bar_cuts(item, packed, {bar.mark: (bar, wall) for bar, wall in bars})
    return purchases, cuts


def bar_problem(
    item: str, bars: Sequence[tuple[Bar, str]], stocks: Sequence[int], rates: Rates, rules: BuyingRules
) -> tuple[BarProblem, int]:
    """Bars of one article, with their walls, as a problem of least length; and how many no bar holds."""
    fitting = [(bar, wall) for bar, wall in bars if bar.length_mm <= max(stocks)]
    problem = BarProblem(
        demands=tuple(
            BarDemand(mark=bar.mark, length_mm=bar.length_mm, phase=rules.batch_of.get(wall, 0))
            for bar, wall in fitting
        ),
        stocks=(
            *_endless(stocks),
            *(
                BarStock(length_mm=each.length_mm, price=each.price, limit=each.count, mark=each.mark)
                for each in rules.in_hand
                if each.item == item
            ),
        ),
        kerf_mm=rates.kerf_mm,
        keeping=Keeping(least_mm=rates.least_kept_bar_mm) if rates.least_kept_bar_mm else None,
    )
    return problem, len(bars) - len(fitting)


def _endless(stocks: Iterable[int]) -> tuple[BarStock, ...]:
    return tuple(BarStock(length_mm=stock, price=stock) for stock in stocks)


def lengths_chosen(problem: BarProblem, most: int) -> tuple[BarProblem, str]:
    """The problem with at most so many lengths to buy, and words on the choice; 0: as it is."""
    offered = {stock.length_mm for stock in problem.stocks if stock.limit is None}
    if not 0 < most < len(offered):
        return problem, ""
    from innerleaf.cutting.assortment import choose_lengths

    stocks = choose_lengths(problem, most).stocks
    chosen = sorted(stock.length_mm for stock in stocks if stock.limit is None)
    told = ", ".join(str(length) for length in chosen)
    return replace(problem, stocks=stocks), f"; at most {most} lengths: {told} mm"


def _over(rules: BuyingRules, walls: Sequence[str]) -> str:
    batches = rules.batches(walls)
    if batches < 2:
        return "cut over the building"
    return f"cut in {batches} deliveries, what is left carried on; the bound is that of the whole building"


def cut_problem(problem: BarProblem) -> BarPlan:
    """Bars of least total length; the search is bounded by counts, so the same pieces give the same plan."""
    from innerleaf.cutting.cuts import Limits
    from innerleaf.cutting.phases import cut_bars

    if len(problem.demands) <= _WALL:
        return cut_bars(problem, Limits(nodes=_NODES_OF_WALL, branches=0, few=0, close=_CLOSE))
    return cut_bars(problem, Limits(nodes=_NODES, branches=0, close=_CLOSE))


def _cut_lengths(pieces: Iterable[tuple[str, int]], stock_mm: int, kerf_mm: int) -> BarPlan:
    """Lengths of one size for pieces by mark and length."""
    demands = tuple(BarDemand(mark=mark, length_mm=length) for mark, length in pieces)
    return cut_problem(BarProblem(demands=demands, stocks=_endless([stock_mm]), kerf_mm=kerf_mm))


def bars_by_item(plans: Sequence[WallPlan]) -> dict[str, list[tuple[Bar, str]]]:
    """The bars of each article with their walls, articles by name."""
    by_item: dict[str, list[tuple[Bar, str]]] = {}
    for plan in plans:
        for bar in plan.bars:
            by_item.setdefault(bar.item, []).append((bar, plan.wall.id))
    return dict(sorted(by_item.items()))


def stock_lengths(practice: Practice, item: str) -> tuple[int, ...]:
    """The lengths an article is sold in; none where it is sold by the piece. [mm]"""
    if item in practice.profiles:
        return practice.profiles[item].stock_lengths_mm
    consumable = practice.consumables[item]
    return (int(consumable.pack),) if consumable.unit == "mm" else ()


def _bar_purchase(group: str, item: str, net: float, packed: BarPlan, special: int, basis: str) -> Purchase:
    return Purchase(
        group=group,
        item=item,
        unit="mm",
        net=net,
        bought=packed.bought_mm,
        packs=tuple(Pack(size, count) for size, count in packed.bought),
        pack_unit="mm",
        lower_bound=packed.bound,
        special=special,
        stopped_by=packed.stopped_by,
        basis=basis,
    )


def _bar_cuts(item: str, packed: BarPlan, known: dict[str, tuple[Bar, str]]) -> list[CutBar]:
    cuts = []
    for cut in packed.bars:
        pieces = []
        for piece in cut.pieces:
            bar, wall = known[piece.mark]
            pieces.append(
                CutPiece(
                    mark=bar.mark,
                    wall=wall,
                    use=bar.role,
                    length_mm=bar.length_mm,
                    skew_a_deg=bar.skew_a_deg,
                    skew_b_deg=bar.skew_b_deg,
                )
            )
        cuts.append(
            CutBar(
                number=cut.number,
                item=item,
                stock_mm=cut.length_mm,
                pieces=tuple(pieces),
                remainder_mm=cut.remainder_mm,
                batch=cut.phase,
                source="" if cut.source == BOUGHT else cut.source,
                kept=cut.kept,
            )
        )
    return cuts


def buy_membrane(plans: Sequence[WallPlan], practice: Practice) -> list[Purchase]:
    """Rolls: each strip is a length off a roll of full width."""
    by_item: dict[str, list[tuple[str, int]]] = {}
    net: dict[str, float] = {}
    for plan in plans:
        for strip in plan.membrane:
            by_item.setdefault(strip.item, []).append((strip.mark, strip.length_mm))
            net[strip.item] = net.get(strip.item, 0.0) + strip.width_mm * strip.length_mm
    purchases = []
    for item, strips in sorted(by_item.items()):
        roll = practice.membranes[item]
        fitting = [strip for strip in strips if strip[1] <= roll.length_mm]
        packed = _cut_lengths(fitting, roll.length_mm, 0)
        purchases.append(
            Purchase(
                group="membrane",
                item=item,
                unit="mm2",
                net=net[item],
                bought=packed.bought_mm * roll.width_mm,
                packs=tuple(Pack(size, count) for size, count in packed.bought),
                pack_unit="mm",
                lower_bound=packed.bound * roll.width_mm,
                special=len(strips) - len(fitting),
                stopped_by=packed.stopped_by,
                basis="strips off rolls over the building; laps and upstands are in the net area",
            )
        )
    return purchases


def buy_beads(
    plans: Sequence[WallPlan], practice: Practice, uses: dict[str, str], rates: Rates
) -> list[Purchase]:
    """Beads in lengths: longer runs are made of whole lengths and a rest, rests are packed.

    ``uses`` names the consumable of each kind of run that is a bead.
    """
    by_item: dict[str, list[tuple[str, int]]] = {}
    for plan in plans:
        for number, run in enumerate(plan.runs):
            item = run.item or uses.get(run.kind, "")
            if run.kind in uses:
                length = practice.consumables[item].pack
                pieces = by_item.setdefault(item, [])
                rest = ceil(run.length_mm - _TOLERANCE_MM)
                while rest > 0:
                    pieces.append((f"{plan.wall.id}/{number}", min(rest, int(length))))
                    rest -= int(length)
    return [
        _bar_purchase(
            "beads",
            item,
            sum(length for _, length in pieces),
            _cut_lengths(pieces, int(practice.consumables[item].pack), rates.kerf_mm),
            0,
            "cut over the building; runs longer than one bead are joined",
        )
        for item, pieces in sorted(by_item.items())
    ]


def buy_packs(lines: Iterable[Line], practice: Practice, done: set[str]) -> list[Purchase]:
    """Everything sold by roll, bag, box or piece: whole packs over the building."""
    net: dict[str, tuple[str, str, float]] = {}
    for line in lines:
        if line.item not in done and line.group != "joints" and line.item != "penetration":
            group, unit, before = net.get(line.item, (line.group, line.unit, 0.0))
            net[line.item] = (group, unit, before + line.quantity)
    purchases = []
    for item, (group, unit, quantity) in sorted(net.items()):
        size = _pack_size(practice, item)
        number = ceil(quantity / size - 1e-9)
        purchases.append(
            Purchase(
                group=group,
                item=item,
                unit=unit,
                net=quantity,
                bought=number * size,
                packs=(Pack(size, number),),
                pack_unit=unit,
                lower_bound=number * size,
                special=0,
                stopped_by="bound reached",
                basis="whole packs over the building",
            )
        )
    return purchases


def _pack_size(practice: Practice, item: str) -> float:
    if item in practice.screws:
        return practice.screws[item].pack
    consumable: Consumable | None = practice.consumables.get(item)
    return consumable.pack if consumable else 1  # brackets are sold singly
