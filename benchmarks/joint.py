"""What it is worth to choose layouts for how the whole building is cut: the demo, a sample house, 40 rooms.

`python -m benchmarks.joint`. Each layout is taken off with the same effort, before and after. Prints a table
with the goals of docs/benchmarks.md; exits 1 if one is missed. Times are of one core, everything compiled.
"""

from __future__ import annotations

import sys
from pathlib import Path
from tempfile import TemporaryDirectory
from time import process_time

from benchmarks.jobs import job_text

from innerleaf.pipeline import plan_job
from innerleaf.practice.prices import load_prices
from innerleaf.takeoff.together import Effort, TogetherReport, lay_out_together

EXAMPLES = Path(__file__).parent.parent / "examples"
ROOMS = 40  # of four walls each
GOALS = {"demo": 10.0, "sample-house": 10.0, f"{ROOMS} rooms": 60.0}  # seconds more, at most
LESS_BOARD = 3.0  # per cent of board area, at least


def main() -> int:
    """Run everything; 1 if a goal is missed."""
    with TemporaryDirectory() as folder:
        rooms = Path(folder) / "rooms.yaml"
        rooms.write_text(job_text(4 * ROOMS), encoding="utf-8")
        jobs = dict(
            zip(GOALS, (*(EXAMPLES / name / "job.yaml" for name in list(GOALS)[:2]), rooms), strict=True)
        )
        report(jobs["sample-house"], Effort(layouts=3, least=100, most=100))  # compiles what no run has yet
        print(f"{'':<14}{'walls':>6}{'layouts':>9}{'board m²':>18}{'bar m':>16}{'cost':>18}{'seconds':>9}")
        missed = [run(name, path) for name, path in jobs.items()]
    return int(any(missed))


def run(name: str, path: Path) -> bool:
    """Measure one building and print its line; True if a goal is missed."""
    found, seconds = report(path, Effort())
    board = f"{found.board_first_mm2 / 1e6:.0f} {-found.board_gain:+.2%}"
    bar = f"{found.bar_first_mm / 1e3:.0f} {found.bar_chosen_mm / found.bar_first_mm - 1:+.2%}"
    cost = f"{found.cost_first:.0f} {-found.cost_gain:+.2%}"
    print(
        f"{name:<14}{found.walls:>6}{found.layouts:>9}{board:>18}{bar:>16}{cost:>18}{seconds:>9.1f}", end=""
    )
    faults = []
    if 100 * found.board_gain < LESS_BOARD:
        faults.append(f"{LESS_BOARD:g} % less board")
    if seconds > GOALS[name]:
        faults.append(f"{GOALS[name]:g} s")
    print(f"  missed: {', '.join(faults)}" if faults else "", flush=True)
    return bool(faults)


def report(path: Path, effort: Effort) -> tuple[TogetherReport, float]:
    """What choosing is worth, and the processor time it takes beside the first takeoff. [s]"""
    first = plan_job(path)
    prices = load_prices(first.practice, first.job.prices)
    begin = process_time()
    made = lay_out_together(first.plans, first.takeoff, first.practice, prices, effort=effort)
    return made.report, process_time() - begin


if __name__ == "__main__":
    sys.exit(main())
