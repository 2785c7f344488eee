"""How near the proven bound boards are cut: rooms made up here and, given a folder, public sets.

`python -m benchmarks.boards [FOLDER]`: FOLDER holds `class_bpp`, `vsbpp_guillotine` and `trade`, and what is
best known of them; without it, `cutting2d` in the folder that CUTTING_SETS names. Prints one line a set; each
plan is checked by code apart from the search.
"""

from __future__ import annotations

import csv
import json
import os
import sys
from collections import Counter
from collections.abc import Callable, Iterator
from pathlib import Path
from time import process_time
from typing import Any

import numpy as np

from innerleaf.cutting.boards import BoardDemand, BoardPlan, BoardProblem, BoardStock, Notch
from innerleaf.cutting.boards_cut import cut_boards
from innerleaf.cutting.boards_limits import BoardLimits
from innerleaf.cutting.check_boards import check_boards

WIDTH, LENGTHS = 1200, (2000, 2500, 2600, 2750, 3000)
LIMITS = BoardLimits(starts=10, repairs=200_000, rounds=120, dives=3)
LARGE = BoardLimits(starts=10, repairs=400_000, rounds=90, dives=1, again=4)  # 400 rooms
EVERY = 7  # of the public sets, one in so many is run
GOALS = {40: (0.001, 60.0), 400: (0.002, 60.0)}  # rooms: gap and seconds


def main() -> int:
    """Run everything; 1 if a plan is wrong."""
    print(f"{'set':<34}{'kinds':>7}{'pieces':>8}{'bound/net':>11}{'gap':>9}{'seconds':>9}  stopped by")
    wrong = [run(f"40 rooms, {words}", rooms(seed, **how)) for seed in (1, 2) for words, how in KINDS]
    given = sys.argv[1:] or [
        f"{folder}/cutting2d" for folder in filter(None, [os.environ.get("CUTTING_SETS")])
    ]
    for folder in map(Path, given):
        for path in sorted((folder / "trade").glob("*.json")):
            large = "400rooms" in path.stem
            if not large or "5lengths" in path.stem:
                problem = trade(json.loads(path.read_text()))
                wrong.append(run(path.stem, problem, LARGE if large else LIMITS, GOALS[400 if large else 40]))
        wrong += public(folder)
    return int(any(wrong))


def run(
    name: str, problem: BoardProblem, limits: BoardLimits = LIMITS, goal: tuple[float, float] | None = None
) -> bool:
    """Cut one set and print its line; True if the plan is wrong."""
    begin = process_time()
    plan = cut_boards(problem, limits)
    seconds = process_time() - begin
    faults = check_boards(plan, problem)
    net = sum(d.net_mm2 * d.count for d in problem.demands)
    per_area = min(s.price / (s.width_mm * s.length_mm) for s in problem.stocks)
    kinds = len({(d.width_mm, d.length_mm, d.left, d.right, d.notches) for d in problem.demands})
    pieces = sum(d.count for d in problem.demands)
    missed = goal is not None and (plan.gap > goal[0] or seconds > goal[1])
    print(
        f"{name:<34}{kinds:>7}{pieces:>8}{plan.bound / (net * per_area) - 1:>11.2%}"
        f"{plan.gap:>9.3%}{seconds:>9.1f}  {plan.stopped_by}{'; goal missed' if missed else ''}"
        f"{'; WRONG: ' + faults[0] if faults else ''}",
        flush=True,
    )
    return bool(faults)


def public(folder: Path) -> Iterator[bool]:
    """A part of each public set, against bound and best known; True for each plan that is wrong."""
    print(f"\n{'public set, every ' + str(EVERY) + 'th':<34}{'sets':>7}{'bound':>12}{'ours':>12}{'best':>12}"
          f"{'over bound':>12}{'goal':>7}{'seconds':>9}")  # fmt: skip
    oriented, rotated = "guillotine_oriented", "guillotine_rotated"
    families: tuple[tuple[str, str, str, str, float, Callable[[Path], BoardProblem]], ...] = (
        ("class, oriented", "class_bpp", f"lower_bound_{oriented}", f"best_found_{oriented}", 0.01,
         lambda path: classes(json.loads(path.read_text()), turns=False)),
        ("class, turned", "class_bpp", f"lower_bound_{rotated}", f"best_found_{rotated}", 0.003,
         lambda path: classes(json.loads(path.read_text()), turns=True)),
        ("sheets of several sizes", "vsbpp_guillotine", "lower_bound_area_oriented_guillotine",
         "best_found_area_oriented_guillotine", 0.02, lambda path: sheets(path.read_text())),
    )  # fmt: skip
    for name, family, low, best, goal, read in families:
        with (folder / f"best_known_{family}.csv").open(encoding="utf-8", newline="") as stream:
            rows = list(csv.DictReader(stream))[::EVERY]
        totals, begin, over = Counter[str](), process_time(), 0.0
        for row in rows:
            problem = read(folder / row["file"])
            plan = cut_boards(problem, LIMITS)
            cost = len(plan.boards) if family == "class_bpp" else plan.cost
            bound = max(int(row[low]), _count(plan, problem) if family == "class_bpp" else plan.bound)
            totals.update({"bound": bound, "ours": cost, "best": int(row[best])})
            over += cost / bound - 1
            yield bool(check_boards(plan, problem)) or cost < bound
        ours = totals["ours"] / totals["bound"] - 1 if family == "class_bpp" else over / len(rows)
        print(
            f"{name:<34}{len(rows):>7}{totals['bound']:>12}{totals['ours']:>12}{totals['best']:>12}"
            f"{ours:>12.2%}{goal:>7.1%}{process_time() - begin:>9.1f}",
            flush=True,
        )


def _count(plan: BoardPlan, problem: BoardProblem) -> int:
    """The bound in sheets, where all cost the same."""
    return -(-plan.bound // problem.stocks[0].price)


KINDS: tuple[tuple[str, dict[str, bool]], ...] = (
    ("rectangles", {"notched": False, "edged": False}),
    ("factory edges", {"notched": False, "edged": True}),
    ("edges and notches", {"notched": True, "edged": True}),
)


def rooms(seed: int, *, notched: bool, edged: bool) -> BoardProblem:
    """Boards of 40 invented rooms: full widths, a rest at the end, a notched board at openings, reveals."""
    random = np.random.default_rng(seed)
    heights = random.integers(48, 60, 3) * 50
    pieces = Counter[BoardDemand]()

    def piece(width: int, length: int, whole: bool, notches: tuple[Notch, ...] = ()) -> None:
        edge = edged and length > 1000
        pieces[
            BoardDemand(
                mark="",
                width_mm=width,
                length_mm=length,
                left=edge,
                right=edge and whole,
                notches=notches,
            )
        ] += 1

    for _ in range(40):
        height = int(random.choice(heights) + 5 * random.integers(-2, 3))
        for _ in range(4):
            full, rest = divmod(int(random.integers(360, 1400)) * 5, WIDTH)
            for _ in range(full):
                piece(WIDTH, height, True)
            if rest:
                piece(max(60, rest), height, False)
        sill, wide = int(random.integers(170, 200)) * 5, int(random.integers(60, 160)) * 5
        notch = Notch(x_mm=WIDTH - wide, y_mm=sill, width_mm=wide, length_mm=1250)
        piece(WIDTH, height, True, (notch,) if notched else ())
        for length in (1250, 1250, 2 * wide):
            piece(int(random.integers(24, 42)) * 5, length, False)
    demands = tuple(
        BoardDemand(
            mark=f"P{n}",
            width_mm=d.width_mm,
            length_mm=d.length_mm,
            count=count,
            left=d.left,
            right=d.right,
            notches=d.notches,
        )
        for n, (d, count) in enumerate(pieces.items(), 1)
    )
    return BoardProblem(demands=demands, stocks=stocks((WIDTH, n) for n in LENGTHS))


def stocks(sizes: Any) -> tuple[BoardStock, ...]:
    """Boards that cost their area."""
    return tuple(BoardStock(width_mm=w, length_mm=h, price=w * h) for w, h in sizes)


def trade(data: Any) -> BoardProblem:
    """A set of `trade`."""
    return BoardProblem(
        demands=tuple(
            BoardDemand(mark=f"P{n}", width_mm=p["width"], length_mm=p["length"], count=p["demand"])
            for n, p in enumerate(data["pieces"], 1)
        ),
        stocks=stocks((s["width"], s["length"]) for s in data["stock"]),
    )


def classes(data: Any, *, turns: bool) -> BoardProblem:
    """A set of `class_bpp`."""
    return BoardProblem(
        demands=tuple(
            BoardDemand(
                mark=f"P{n}", width_mm=p["Length"], length_mm=p["Height"], count=p["Demand"], turns=turns
            )
            for n, p in enumerate(data["Items"], 1)
        ),
        stocks=stocks((s["Length"], s["Height"]) for s in data["Objects"]),
    )


def sheets(text: str) -> BoardProblem:
    """A set of `vsbpp_guillotine`: sheets that cost their area."""
    first, *lines = [[int(word) for word in line.split()] for line in text.splitlines() if line.strip()]
    pieces, kinds = first[0], first[1]
    return BoardProblem(
        demands=tuple(
            BoardDemand(mark=f"P{n}", width_mm=w, length_mm=h)
            for n, w, h, *_ in lines[kinds : kinds + pieces]
        ),
        stocks=stocks((w, h) for w, h, *_ in lines[:kinds]),
    )


if __name__ == "__main__":
    sys.exit(main())
