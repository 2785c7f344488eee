"""What is wrong with a plan of bars, knowing nothing of how it was found.

Everything is worked out again from the pieces asked for and the bars as cut: no table, pattern or sum of
the search is used.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator

from innerleaf.cutting.bars import BOUGHT, Bar, BarDemand, BarPlan, BarProblem, Piece


def check_bars(plan: BarPlan, problem: BarProblem) -> list[str]:
    """Every fault of a plan, as a sentence; none if it can be cut as it stands and costs what it says."""
    return [
        *_coverage(plan, problem),
        *(fault for bar in plan.bars for fault in _bar(bar, problem)),
        *_sources(plan, problem),
        *_money(plan, problem),
    ]


def _coverage(plan: BarPlan, problem: BarProblem) -> Iterator[str]:
    """Each piece is cut as often as asked for, in its phase; spliced ones are as long as they must be."""
    asked: dict[tuple[str, int], list[BarDemand]] = defaultdict(list)
    for demand in problem.demands:
        asked[demand.mark, demand.phase].extend([demand] * demand.count)
    cut: dict[tuple[str, int], list[Piece]] = defaultdict(list)
    for bar in plan.bars:
        for piece in bar.pieces:
            cut[piece.mark, bar.phase].append(piece)
    for key in sorted(asked.keys() | cut.keys()):
        wanted, made = asked.get(key, []), cut.get(key, [])
        whole = Counter(piece.length_mm for piece in made if piece.part == 0)
        missing = Counter(demand.length_mm for demand in wanted)
        unasked = whole - missing
        missing -= whole
        parts = [piece for piece in made if piece.part]
        if unasked:
            yield f"piece {key[0]}: {_lengths(unasked)} cut in phase {key[1]}, not asked for"
        splices = [demand for demand in wanted if demand.splice]
        spliced = [demand for demand in splices if missing[demand.length_mm] > 0]
        if sum(missing.values()) and not (parts and spliced):
            yield f"piece {key[0]}: {_lengths(missing)} not cut in phase {key[1]}"
        elif parts or sum(missing.values()):
            yield from _splices(key[0], parts, missing, splices)


def _splices(mark: str, parts: list[Piece], missing: Counter[int], splices: list[BarDemand]) -> Iterator[str]:
    """The parts of one mark make up the pieces that are not cut whole, with their overlaps."""
    rules = {demand.length_mm: demand.splice for demand in splices}
    by_part: dict[int, list[int]] = defaultdict(list)
    for piece in parts:
        by_part[piece.part].append(piece.length_mm)
    if len(missing) != 1 or len(rules) != 1:
        yield f"piece {mark}: spliced pieces of several lengths have one mark"
        return
    ((length, times),) = missing.items()
    rule = rules.get(length)
    if rule is None:
        yield f"piece {mark}: {length} mm may not be spliced"
        return
    sets = [sorted(lengths) for lengths in by_part.values()]
    if any(len(one) != times or one[0] != one[-1] for one in sets):
        yield f"piece {mark}: parts for {times} pieces are not there"
        return
    total = sum(one[0] for one in sets) - rule.overlap_mm * (len(sets) - 1)
    if total != length:
        yield f"piece {mark}: its parts make {total} mm, {length} mm wanted"
    if min(one[0] for one in sets) < rule.least_mm:
        yield f"piece {mark}: a part is shorter than {rule.least_mm} mm"


def _bar(bar: Bar, problem: BarProblem) -> Iterator[str]:
    """A bar holds what is cut from it, with every cut and both trimmed ends."""
    if not bar.pieces:
        yield f"bar {bar.number}: nothing is cut from it"
        return
    usable = bar.length_mm - bar.trim_mm
    used = sum(piece.length_mm for piece in bar.pieces) + problem.kerf_mm * (len(bar.pieces) - 1)
    if used > usable:
        yield f"bar {bar.number}: {used} mm needed, {usable} mm there"
    rest = max(0, usable - used - problem.kerf_mm)
    if bar.remainder_mm != rest:
        yield f"bar {bar.number}: remainder said {bar.remainder_mm} mm, {rest} mm there"
    if bar.kept != (problem.keeping is not None and rest >= problem.keeping.least_mm):
        yield f"bar {bar.number}: a remainder of {rest} mm said {'' if bar.kept else 'not '}to be kept"


def _sources(plan: BarPlan, problem: BarProblem) -> Iterator[str]:
    """Every bar is one that can be had, in a phase in which it is there, and none is used twice."""
    before: dict[str, Bar] = {}
    limited: Counter[tuple[str, int, int, int, int]] = Counter()
    if [bar.phase for bar in plan.bars] != sorted(bar.phase for bar in plan.bars):
        yield "bars are not in the order of the phases"
    for bar in plan.bars:
        if bar.source in before:
            rest = before.pop(bar.source)
            if not (rest.kept and rest.remainder_mm == bar.length_mm and rest.phase < bar.phase):
                yield f"bar {bar.number}: {bar.source} is not what it says"
            worth = problem.keeping.worth(rest.remainder_mm) if problem.keeping else 0
            if bar.price != worth or bar.trim_mm:
                yield f"bar {bar.number}: price said {bar.price}, {bar.source} is worth {worth}"
        else:
            known = [
                stock
                for stock in problem.stocks
                if (stock.length_mm, stock.trim_mm) == (bar.length_mm, bar.trim_mm)
                and problem.price_of(stock) == bar.price
                and (stock.mark or BOUGHT) == bar.source
                and stock.phase <= bar.phase
            ]
            if not known:
                yield f"bar {bar.number}: {bar.length_mm} mm ({bar.source}) is not there in phase {bar.phase}"
            elif all(stock.limit is not None for stock in known):
                key = (bar.source, bar.length_mm, bar.trim_mm, bar.price, bar.phase)
                limited[key] += 1
                there = sum(stock.limit or 0 for stock in known)
                if sum(n for (*same, phase), n in limited.items() if tuple(same) == key[:4]) > there:
                    yield f"bar {bar.number}: only {there} of {bar.length_mm} mm ({bar.source}) are there"
        before[f"rest of bar {bar.number}"] = bar


def _money(plan: BarPlan, problem: BarProblem) -> Iterator[str]:
    """Cost, and that it is not below what is said to be the least."""
    cost = sum(bar.price for bar in plan.bars)
    if problem.keeping:
        cost -= sum(problem.keeping.worth(bar.remainder_mm) for bar in plan.bars)
    if plan.cost != cost:
        yield f"cost said {plan.cost}, the bars cost {cost}"
    if plan.bound > cost:
        yield f"the plan costs {cost}, less than the bound {plan.bound}"


def _lengths(counts: Counter[int]) -> str:
    return ", ".join(f"{n} of {length} mm" for length, n in sorted(counts.items()) if n > 0)
