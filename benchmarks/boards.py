"""How near the proven bound boards are cut: rooms made up here and, given a folder, public sets.

`python -m benchmarks.boards [FOLDER]`: FOLDER holds `class_bpp` (`Objects`, `Items`) and `trade` (`stock`,
`pieces`). Prints one line a set; each plan is checked by code apart from the search.
"""

from __future__ import annotations

import json
import sys
from collections import Counter
from pathlib import Path
from time import perf_counter
from typing import Any

import numpy as np

from innerleaf.cutting.boards import BoardDemand, BoardProblem, BoardStock, Notch
from innerleaf.cutting.boards_cut import cut_boards
from innerleaf.cutting.boards_limits import BoardLimits
from innerleaf.cutting.check_boards import check_boards

WIDTH, LENGTHS = 1200, (2000, 2500, 2600, 2750, 3000)
LIMITS = BoardLimits(starts=40, repairs=80_000, rounds=120, dives=3)
EVERY = 7  # of the public sets, one in so many is run


def main() -> int:
    """Run everything; 1 if a plan is wrong."""
    print(f"{'set':<34}{'kinds':>7}{'pieces':>8}{'bound/net':>11}{'gap':>9}{'seconds':>9}  stopped by")
    wrong = [run(f"40 rooms, {words}", rooms(seed, **how)) for seed in (1, 2) for words, how in KINDS]
    for folder in map(Path, sys.argv[1:]):
        for path in sorted((folder / "trade").glob("*40rooms*.json")):
            wrong += [run(path.stem, trade(json.loads(path.read_text())))]
        for path in sorted((folder / "class_bpp").glob("*.json"))[::EVERY]:
            wrong += [run(path.stem, classes(json.loads(path.read_text())))]
    return int(any(wrong))


def run(name: str, problem: BoardProblem) -> bool:
    """Cut one set and print its line; True if the plan is wrong."""
    begin = perf_counter()
    plan = cut_boards(problem, LIMITS)
    seconds = perf_counter() - begin
    faults = check_boards(plan, problem)
    net = sum(d.net_mm2 * d.count for d in problem.demands)
    per_area = min(s.price / (s.width_mm * s.length_mm) for s in problem.stocks)
    kinds = len({(d.width_mm, d.length_mm, d.left, d.right, d.notches) for d in problem.demands})
    pieces = sum(d.count for d in problem.demands)
    print(
        f"{name:<34}{kinds:>7}{pieces:>8}{plan.bound / (net * per_area) - 1:>11.2%}"
        f"{plan.gap:>9.3%}{seconds:>9.1f}  {plan.stopped_by}{'; WRONG: ' + faults[0] if faults else ''}",
        flush=True,
    )
    return bool(faults)


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


def classes(data: Any) -> BoardProblem:
    """A set of `class_bpp`, pieces not turned."""
    return BoardProblem(
        demands=tuple(
            BoardDemand(mark=f"P{n}", width_mm=p["Length"], length_mm=p["Height"], count=p["Demand"])
            for n, p in enumerate(data["Items"], 1)
        ),
        stocks=stocks((s["Length"], s["Height"]) for s in data["Objects"]),
    )


if __name__ == "__main__":
    sys.exit(main())
