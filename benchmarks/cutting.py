"""Bars: how near the bound, how near the best known, how long: `python -m benchmarks.cutting [FOLDER]`.

Without a folder: buildings of 40, 400 and 4,000 rooms drawn from a seed (studs and tracks; invented, but
sized like rooms), and orders for fewer patterns. With the folder of the stored sets (their README says how
they lie; also `cutting1d` in the folder that CUTTING_SETS names): the trade sets, and a part of each public
one, against the best known. Each plan is recomputed by the checker.
"""

from __future__ import annotations

import csv
import json
import os
import sys
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from random import Random
from time import process_time

from innerleaf.cutting.bars import BarDemand, BarPlan, BarProblem, BarStock
from innerleaf.cutting.check_bars import check_bars
from innerleaf.cutting.cuts import Limits
from innerleaf.cutting.phases import cut_bars

KERF = 3
FIVE, THREE, TRACK = (2500, 2750, 3000, 3500, 6000), (2600, 3000, 4000), (3000, 4000)
GOALS = {("studs", 40): 0.5, ("studs", 400): 3.0, ("studs", 4000): 20.0, ("tracks", 4000): 60.0}  # s
CLOSE = 1e-4  # goal: cost within this of the bound
EVERY = 3  # of each family of the public sets, every so many files
SKIPPED = ("_GI_", "GI/", "/402_", "/600_", "/801_", "/1002_")  # minutes each


def main() -> None:
    """Print the tables; exit 1 if a plan is wrong, a bound not kept or a goal missed."""
    cut_bars(problem_of(Counter({900: 3, 400: 5}), THREE, KERF))  # compiles
    faults = [*orders(), *buildings()]
    sets = os.environ.get("CUTTING_SETS")
    if len(sys.argv) > 1 or sets:
        folder = Path(sys.argv[1] if len(sys.argv) > 1 else f"{sets}/cutting1d")
        faults += [*trade(folder), *public(folder)]
    for fault in faults:
        print(fault)
    sys.exit(bool(faults))


@dataclass(frozen=True, slots=True)
class Run:
    """One problem cut."""

    plan: BarPlan
    seconds: float
    faults: tuple[str, ...]


def run(name: str, problem: BarProblem, limits: Limits | None = None) -> Run:
    """Cut, time and check."""
    begin = process_time()
    plan = cut_bars(problem, limits)
    seconds = process_time() - begin
    return Run(plan, seconds, tuple(f"{name}: {fault}" for fault in check_bars(plan, problem)[:3]))


def problem_of(lengths: Counter[int], stocks: tuple[int, ...], kerf: int, price: int = 0) -> BarProblem:
    """Pieces by length from bars that cost their length, or ``price`` each."""
    return BarProblem(
        demands=tuple(BarDemand(mark=f"{n}", length_mm=n, count=count) for n, count in lengths.items()),
        stocks=tuple(BarStock(length_mm=stock, price=price or stock) for stock in stocks),
        kerf_mm=kerf,
    )


def building(rooms: int, seed: int) -> tuple[Counter[int], Counter[int]]:
    """Lengths of studs and of tracks of rooms with doors and windows; templates of rooms repeat."""
    random = Random(f"{seed}/{rooms}")
    storeys = [random.randrange(2400, 3151, 10) for _ in range(random.randint(2, 4))]
    templates = [[random.randint(1800, 7500) for _ in range(4)] for _ in range(min(24, max(3, rooms // 8)))]
    studs: Counter[int] = Counter()
    tracks: Counter[int] = Counter()
    for _ in range(rooms):
        height = random.choice(storeys) + random.randint(-12, 12)
        for wall in random.choice(templates)[: random.randint(1, 4)]:
            length, high = wall + random.randint(-15, 15), height + random.randint(-4, 4)
            opening = random.choice((0, 0, random.randint(760, 1010), random.randint(600, 1800)))
            studs[high - 10] += length // 600 + 1 + (2 if opening else 0)
            if opening:
                sill = random.randint(850, 1000)
                studs[max(300, high - 10 - 2100)] += opening // 600
                studs[sill - 20] += opening // 600
                tracks[opening] += 2
            for run_length in (length, length):
                while run_length > max(TRACK):
                    tracks[max(TRACK)] += 1
                    run_length -= max(TRACK)
                if run_length >= 100:
                    tracks[run_length] += 1
    return studs, tracks


def buildings() -> Iterator[str]:
    """Buildings of three sizes."""
    print(_row("building", "types", "pieces", "over net", "gap", "seconds", "goal", "stopped by"))
    for rooms in (40, 400, 4000):
        studs, tracks = building(rooms, 1)
        for kind, lengths, stocks in (
            ("studs", studs, THREE),
            ("studs", studs, FIVE),
            ("tracks", tracks, TRACK),
        ):
            name = f"{kind}, {rooms} rooms, {len(stocks)} lengths"
            done = run(name, problem_of(lengths, stocks, KERF), Limits(close=CLOSE))
            net = sum(length * count for length, count in lengths.items())
            goal = GOALS.get((kind, rooms))
            print(
                _row(
                    name,
                    str(len(lengths)),
                    str(lengths.total()),
                    f"{done.plan.cost / net - 1:.2%}",
                    f"{done.plan.gap:.4%}",
                    f"{done.seconds:.2f}",
                    f"{goal:g}" if goal else "",
                    done.plan.stopped_by,
                )
            )
            yield from done.faults
            if goal and (done.seconds > goal or done.plan.gap > CLOSE):
                yield f"{name}: goal missed"


def orders() -> Iterator[str]:
    """Orders of 20 lengths with many of each: patterns with and without looking for fewer."""
    print("\n" + _row("orders of 20 lengths", "", "bars", "gap", "patterns", "fewer", "seconds"))
    before = after = 0
    for seed in range(6):
        random = Random(seed)
        lengths = Counter({random.randint(200, 2400): random.randint(10, 90) for _ in range(20)})
        problem = problem_of(lengths, (6000,), KERF)
        plain, few = run("order", problem, Limits(few=0)), run("order", problem)
        before, after = before + plain.plan.patterns, after + few.plan.patterns
        bars = str(len(few.plan.bars))
        gap, seconds = f"{few.plan.gap:.3%}", f"{few.seconds:.2f}"
        print(_row(f"seed {seed}", "", bars, gap, str(plain.plan.patterns), str(few.plan.patterns), seconds))
        yield from few.faults
        if few.plan.cost > plain.plan.cost:
            yield f"order {seed}: fewer patterns cost more"
    print(f"patterns: {before} by cost alone, {after} with fewer looked for")
    if 2 * after > before:
        yield "orders: patterns not halved"


def trade(folder: Path) -> Iterator[str]:
    """The stored sets of this trade, against the bound and the best plan stored with them."""
    print("\n" + _row("stored trade set", "types", "pieces", "bound", "best known", "ours", "gap", "seconds"))
    for path in sorted((folder / "trade").glob("*.json")):
        stored = json.loads(path.read_text("utf-8"))
        lengths = Counter({piece["length"]: piece["demand"] for piece in stored["pieces"]})
        stocks = tuple(stock["length"] for stock in stored["stock"])
        done = run(path.stem, problem_of(lengths, stocks, stored["kerf"]), Limits(few=0))
        plan = done.plan
        sizes = str(len(lengths)), str(lengths.total())
        figures = str(plan.bound), str(stored["best_found"]), str(plan.cost), f"{plan.gap:.4%}"
        print(_row(path.stem, *sizes, *figures, f"{done.seconds:.2f}"))
        yield from done.faults
        if plan.bound > stored["best_found"] or plan.gap > CLOSE:
            yield f"{path.stem}: bound {plan.bound} or gap {plan.gap:.4%} is not what it should be"


def public(folder: Path) -> Iterator[str]:
    """A part of each public set: bars used against the best known, and how many are proved."""
    families: dict[str, list[tuple[Path, int]]] = {}
    with (folder / "best_known.csv").open(encoding="utf-8", newline="") as stream:
        for row in csv.DictReader(stream):
            if not any(part in row["file"] for part in SKIPPED):
                family = Path(row["file"]).parent.name
                families.setdefault(family, []).append((folder / row["file"], int(row["best_known_bins"])))
    print(
        "\n"
        + _row("public set, every third", "files", "at best", "proved", "bars over", "seconds", "longest")
    )
    for family, files in sorted(families.items()):
        at_best = proved = over = 0
        times = []
        for path, best in sorted(files)[::EVERY]:
            first, capacity, *lines = path.read_text("utf-8").split("\n")
            lengths: Counter[int] = Counter()
            for line in lines[: int(first)]:
                length, count = line.split()[:2]
                lengths[int(length)] += int(count)
            done = run(path.name, problem_of(lengths, (int(capacity),), 0, 1), Limits(nodes=150, few=0))
            times.append(done.seconds)
            at_best += done.plan.cost == best
            proved += done.plan.cost == done.plan.bound
            over += done.plan.cost - best
            yield from done.faults
            if done.plan.bound > best:
                yield f"{path.name}: bound {done.plan.bound} above the best known {best}"
        counts = (str(len(times)), str(at_best), str(proved), str(over))
        print(_row(family, *counts, f"{sum(times):.1f}", f"{max(times):.1f}"))


def _row(*columns: str) -> str:
    return "".join(f"{each:<34}" if k == 0 else f"{each:>11}" for k, each in enumerate(columns))


if __name__ == "__main__":
    main()
