"""U of thousands of linings: how many a second, how near to full solves: `python -m benchmarks.quick_heat`.

Framed and bracketed designs drawn over all parameters of their families, at full effort. Families are made
anew unless the user's cache folder holds them. Times are processor time, shared out over two cores: others
may use the machine meanwhile. Prints one table with the goals; exits 1 if one is missed.
"""

from __future__ import annotations

import os

os.environ.setdefault("OMP_NUM_THREADS", "1")
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import sys
from time import process_time

import numpy as np

from innerleaf.design.heat.assess import RSE
from innerleaf.design.heat.details import OUTSIDE, ROOM, Bridge, Steel
from innerleaf.design.heat.quick_family import AIR, SLAB, Build
from innerleaf.design.heat.quick_store import EFFORT, reduced_of
from innerleaf.physics.conduction import solve
from innerleaf.physics.grid import Floats
from innerleaf.physics.reduced import Reduced
from innerleaf.physics.reduced_bytes import to_bytes

CORES = 2
STUD = Steel(0.05, 0.05, 0.0006, 0.006, 1, False, 50.0)
CHANNEL = Steel(0.027, 0.06, 0.0006, 0.006, 1, True, 50.0)
BRACKET = Bridge(0.03, 0.001, 0.006, 0.05)
# Way to build; designs in one go and the seconds for them; full solves and their interval; error wanted [%].
CASES = (
    (Build(steel=STUD, bridge=None, behind=(AIR,), frame=(SLAB,)), 100_000, 1.0, 30, 3e-4, 0.05),
    (Build(steel=CHANNEL, bridge=BRACKET, behind=(SLAB,), frame=(AIR,)), 10_000, 0.1, 10, 1.5e-3, 0.1),
)


def main() -> int:
    """Run everything; 1 if a goal is missed."""
    goals = []
    for kind, count, seconds, solves, accuracy, wanted in CASES:
        name = "bracketed" if kind.bridge else "framed"
        begin = process_time()
        reduced = reduced_of(kind)
        made = process_time() - begin
        designs = drawn(reduced, count)
        reduced.bounds(designs[:10])  # compiled, or read from the cache
        took = min(timed(reduced, designs) for _ in range(3)) / CORES
        off, outside = against_full(kind, reduced, designs[:solves], accuracy)
        fields = EFFORT[3 if kind.bridge else 2][1]
        bounds = reduced.bounds(designs)
        gap = 100 * (bounds.high / bounds.low - 1)
        print(f"{name}: {fields} fields, interval {np.median(gap):.2f} % wide, at most {gap.max():.2f} %")
        goals += [
            (f"{name}: making the family, processor time, or reading it [s]", made, 60.0),
            (f"{name}: bytes stored [MB]", len(to_bytes(reduced)) / 1e6, 1.0),
            (f"{name}: bounds of {count} designs, processor time over {CORES} [s]", took, seconds),
            (f"{name}: middle against {solves} full solves, worst [%]", off, wanted),
            (f"{name}: full solves outside the interval", outside, 0.0),
        ]
    print(f"\n{'goal':<75}{'found':>10}{'at most':>9}")
    for what, found, most in goals:
        print(f"{what:<75}{found:>10.3g}{most:>9.3g}  {'' if found <= most else 'missed'}")
    return int(any(found > most for _, found, most in goals))


def drawn(reduced: Reduced, count: int) -> Floats:
    """Designs anywhere between the limits of a family."""
    family = reduced.family
    spread: Floats = np.random.default_rng(1).random((count, len(family.low)))
    return family.low + spread * (family.high - family.low)


def timed(reduced: Reduced, designs: Floats) -> float:
    """Processor time of the bounds. [s]"""
    begin = process_time()
    reduced.bounds(designs)
    return process_time() - begin


def against_full(kind: Build, reduced: Reduced, designs: Floats, accuracy: float) -> tuple[float, float]:
    """Worst difference of the middle [%], and how many full solves lie outside the bounds."""
    found = reduced.bounds(designs)
    worst, outside = 0.0, 0
    for k, design in enumerate(designs):
        resistance = float(np.exp(design[kind.names.index("room resistance")]))
        section = kind.detail(np.exp(design)).section(resistance, RSE)
        full = solve(section, accuracy=accuracy).coupling([ROOM], [OUTSIDE])
        worst = max(worst, abs(found.middle[k] / full.middle - 1))
        outside += not (found.low[k] <= full.high and full.low <= found.high[k])
    return 100 * worst, float(outside)


if __name__ == "__main__":
    sys.exit(main())
