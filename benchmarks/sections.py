"""Sections against the general-purpose ways, in one run: `python -m benchmarks.sections`.

Two dimensions: a stud lining. Three: a bracket. The general ways are scikit-fem on graded lines (equal
accuracy: refined until its U is as good as ours, or as good as 0.01 %) and finite volumes on a uniform grid
with scipy's spsolve (refined as far as fits). Each time is processor time, the best of several, of one
thread: others may use the machine meanwhile. Memory is the peak of a process of its own. Prints a table with
the goals at the end; exits 1 if one is missed.
"""

from __future__ import annotations

import math
import os

os.environ.setdefault("OMP_NUM_THREADS", "1")
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import subprocess
import sys
from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from time import process_time
from typing import Any, TypeVar

import numpy as np
from tests.physics.sections import stud_wall

from innerleaf.physics.bridges import bridge_of_boxes
from innerleaf.physics.conduction import solve
from innerleaf.physics.conduction_answer import Solution
from innerleaf.physics.grid import Lines, feature_lines, first_lines, paint
from innerleaf.physics.section import Section
from innerleaf.section_file import read_case

EXAMPLES = Path(__file__).parents[1] / "examples" / "sections"
INSIDE, OUTSIDE = ["inside"], ["outside"]
_T = TypeVar("_T")
Goal = tuple[str, float, float]  # what, found, at most
LININGS = {
    "75 mm of wool": stud_wall(depth=75, board=25),
    "100 mm on concrete": stud_wall(
        ((200, 2.0),), depth=100, thickness=0.7, pitch=400, cavity=0.032, board=25
    ),
}


def main() -> int:
    """Print the tables, or, as a child, solve once and print the peak memory in MB; 1 if a goal is missed."""
    if sys.argv[1:] == ["--child"]:
        solve(read_case(EXAMPLES / "bracket.yaml").section)
        status = Path("/proc/self/status").read_text(encoding="utf-8")  # Linux; peak since this program began
        print(float(status.partition("VmHWM:")[2].split()[0]) / 1024)
        return 0
    goals = [*in_the_plane(), *in_space()]
    print(f"\n{'goal':<75}{'found':>10}{'at most':>9}")
    for name, found, most in goals:
        print(f"{name:<75}{found:>10.3g}{most:>9.3g}  {'' if found <= most else 'missed'}")
    return int(any(found > most for _, found, most in goals))


def in_the_plane() -> list[Goal]:
    """The stud lining of the examples."""
    section = read_case(EXAMPLES / "stud-lining.yaml").section
    reference = solve(section, accuracy=8e-5)
    u = reference.coupling(INSIDE, OUTSIDE).middle / 0.6
    print(f"2D stud lining: U {u:.6f}, gap {reference.gap:.4%}, {reference.grid.cells} cells\n")
    print(_row("way", "cells", "ms", "gap", "error of U", "time / ours"))
    quick = measured("ours, 0.3 %", lambda: solve(section, accuracy=0.003), u * 0.6, 20)
    ours = measured("ours, 0.1 %", lambda: solve(section), u * 0.6, 20)
    print(quick.row(ours.seconds))
    print(ours.row(ours.seconds))
    features = feature_lines(section)
    target = max(ours.error, 1e-4)
    own = solve(section).grid.lines
    on_ours = [fem(f"scikit-fem Q{degree}, our grid", section, own, degree, u * 0.6) for degree in (1, 2)]
    for general in on_ours:
        print(general.row(ours.seconds))
    ways = [("our first grid", split(first_lines(features), parts)) for parts in (1, 2)]
    ways += [("own grading", graded(features, parts)) for parts in (1, 2, 3)]
    good = [found for found in on_ours if found.error <= target]
    good += [
        found
        for name, lines in ways
        if (found := fem(f"scikit-fem Q2, {name}", section, lines, 2, u * 0.6)).error <= target
    ]
    quickest = min(good, key=lambda found: found.seconds)
    print(quickest.row(ours.seconds), " the quickest of those within 0.01 %")
    for width in (0.0024, 0.0012, 0.0006):
        print(uniform(section, features, width, u * 0.6).row(ours.seconds))
    goals = [
        ("2D: our time over that of the quickest scikit-fem as good", ours.seconds / quickest.seconds, 1 / 7)
    ]
    for name, each in {"50 mm of wool": section, **LININGS}.items():
        true = solve(each, accuracy=8e-5).coupling(INSIDE, OUTSIDE).middle
        short = measured("", partial(solve, each, accuracy=0.003), true, 20)
        full = measured("", partial(solve, each), true, 10)
        goals += [
            (f"2D, {name}, quick: processor time [ms]", 1000 * short.seconds, 8.0),
            (f"2D, {name}, quick: gap [%]", 100 * short.gap, 0.3),
            (f"2D, {name}: processor time [ms]", 1000 * full.seconds, 60.0),
            (f"2D, {name}: gap [%]", 100 * full.gap, 0.1),
            (f"2D, {name}: middle against the fine solve [%]", 100 * full.error, 0.01),
        ]
    return goals


def in_space() -> list[Goal]:
    """The bracket of the examples, a quarter."""
    section = read_case(EXAMPLES / "bracket.yaml").section
    reference = solve(section, accuracy=2.5e-4)
    coupling = reference.coupling(INSIDE, OUTSIDE).middle
    chi = bridge_of_boxes(reference, ["bracket"], INSIDE, OUTSIDE, times=4).value
    print(
        f"\n3D bracket: L {4 * coupling:.6f}, gap {reference.gap:.4%}, {reference.grid.cells} cells,", end=""
    )
    print(f" chi {chi:.6f}\n")
    print(_row("way", "cells", "ms", "gap", "error of L", "time / ours"))
    solution = solve(section)
    ours = measured("ours, 0.25 %", lambda: solve(section), coupling, 5)
    print(ours.row(ours.seconds))
    found = fem("scikit-fem, same grid", section, solution.grid.lines, 1, coupling)
    print(found.row(ours.seconds))
    our_chi = bridge_of_boxes(solution, ["bracket"], INSIDE, OUTSIDE, times=4).value
    upper = 4 * (found.value - bridge_of_boxes(solution, ["bracket"], INSIDE, OUTSIDE).reference.high)
    print(f"\nchi: ours {our_chi / chi - 1:+.3%}, from scikit-fem on the same grid {upper / chi - 1:+.3%}")
    child = [sys.executable, "-m", "benchmarks.sections", "--child"]
    peak = subprocess.run(child, capture_output=True, text=True, check=True).stdout.strip()
    return [
        ("3D bracket: processor time [s]", ours.seconds, 0.4),
        ("3D bracket: gap [%]", 100 * ours.gap, 0.25),
        ("3D bracket: chi against the fine solve [%]", 100 * abs(our_chi / chi - 1), 0.2),
        ("3D bracket: peak memory of a process that solves it [MB]", float(peak), 120.0),
    ]


@dataclass(frozen=True, slots=True, kw_only=True)
class Measured:
    """One way, how long it took and how good it was."""

    way: str
    unknowns: int
    seconds: float
    gap: float  # nan if the way has none
    error: float
    value: float

    def row(self, ours: float) -> str:
        """A line of the table."""
        gap = "" if math.isnan(self.gap) else f"{self.gap:.3%}"
        times = f"{self.seconds / ours:.1f}"
        return _row(
            self.way, str(self.unknowns), f"{1000 * self.seconds:.1f}", gap, f"{self.error:.4%}", times
        )


def _row(*columns: str) -> str:
    return "".join(f"{each:<32}" if k == 0 else f"{each:>12}" for k, each in enumerate(columns))


def best(run: Callable[[], _T], times: int) -> tuple[float, _T]:
    """The least time of several runs, and what the last one gave."""
    seconds = []
    for _ in range(times):
        begin = process_time()
        found = run()
        seconds.append(process_time() - begin)
    return min(seconds), found


def measured(way: str, run: Callable[[], Solution], true: float, times: int) -> Measured:
    """Our own solve."""
    seconds, found = best(run, times)
    value = found.coupling(INSIDE, OUTSIDE).middle
    error = abs(value / true - 1)
    return Measured(
        way=way, unknowns=found.grid.cells, seconds=seconds, gap=found.gap, error=error, value=value
    )


def split(lines: Lines, parts: int) -> Lines:
    """Every interval in equal parts."""
    return tuple(np.interp(np.arange((len(x) - 1) * parts + 1) / parts, np.arange(len(x)), x) for x in lines)


def graded(features: Lines, parts: int) -> Lines:
    """Lines that grow from every feature by a ratio that falls as ``parts`` rise: the obvious good mesh."""
    made = []
    for line in features:
        lengths = np.diff(line)
        points = [line[:1]]
        for start, length in zip(line[:-1], lengths, strict=True):
            first = min(float(lengths.min()), length) / (2 * parts)
            half, step, at = [], first, 0.0
            while at + 1.2 * step < length / 2:
                at += step
                half.append(at)
                step *= 2.0 ** (1 / parts)
            points.append(start + np.array([*half, *(length - h for h in reversed(half)), length]))
        made.append(np.concatenate(points))
    return tuple(made)


def fem(way: str, section: Section, lines: Lines, degree: int, true: float) -> Measured:
    """The same with scikit-fem: bilinear, biquadratic or trilinear elements and a direct solver."""
    import skfem
    from skfem.helpers import dot, grad

    flat = len(lines) == 2
    mesh_of: Any = skfem.MeshQuad if flat else skfem.MeshHex
    elements = {(True, 1): skfem.ElementQuad1, (True, 2): skfem.ElementQuad2, (False, 1): skfem.ElementHex1}
    last = len(lines) - 1
    ends = {"inside": float(lines[last][-1]), "outside": float(lines[last][0])}

    def run() -> tuple[int, float]:
        mesh = mesh_of.init_tensor(*lines)
        basis = skfem.Basis(mesh, elements[flat, degree](), intorder=2 * degree)
        middles = mesh.p[:, mesh.t].mean(axis=1)
        grid = paint(section, lines)
        cells = tuple(np.searchsorted(line, middle) - 1 for line, middle in zip(lines, middles, strict=True))
        conductivity = grid.conductivity[cells][:, None]
        matrix = skfem.BilinearForm(lambda u, v, w: w.k * dot(grad(u), grad(v))).assemble(
            basis, k=conductivity
        )
        right, constant = np.zeros(basis.N), 0.0
        for each in section.surroundings:
            facets = mesh.facets_satisfying(lambda x, at=ends[each.name]: np.isclose(x[last], at))
            face = skfem.FacetBasis(mesh, elements[flat, degree](), facets=facets, intorder=2 * degree)
            film = 1 / each.surface_resistance
            matrix = matrix + skfem.BilinearForm(lambda u, v, _, f=film: f * u * v).assemble(face)
            if each.name == "inside":
                load = skfem.LinearForm(lambda v, _, f=film: f * v).assemble(face)
                right += load
                constant = float(load.sum())
        field = skfem.solve(matrix, right)
        return basis.N, constant - float(right @ field)

    seconds, (unknowns, value) = best(run, 3 if flat else 1)
    error = abs(value / true - 1)
    return Measured(way=way, unknowns=unknowns, seconds=seconds, gap=math.nan, error=error, value=value)


def uniform(section: Section, features: Lines, width: float, true: float) -> Measured:
    """Finite volumes on cells of about one width, aligned with the faces, by scipy's spsolve."""
    from scipy.sparse import diags_array
    from scipy.sparse.linalg import spsolve

    lines = tuple(
        np.unique(
            np.concatenate(
                [
                    np.linspace(a, b, max(1, round((b - a) / width)) + 1)
                    for a, b in zip(line[:-1], line[1:], strict=True)
                ]
            )
        )
        for line in features
    )

    def run() -> float:
        k = paint(section, lines).conductivity
        dx, dy = np.diff(lines[0])[:, None], np.diff(lines[1])[None, :]
        east = dy / (dx[:-1] / (2 * k[:-1]) + dx[1:] / (2 * k[1:]))
        north = dx / (dy[:, :-1] / (2 * k[:, :-1]) + dy[:, 1:] / (2 * k[:, 1:]))
        diagonal = np.zeros(k.shape)
        diagonal[:-1] += east
        diagonal[1:] += east
        diagonal[:, :-1] += north
        diagonal[:, 1:] += north
        warm = dx[:, 0] / (0.13 + dy[0, -1] / (2 * k[:, -1]))
        diagonal[:, -1] += warm
        diagonal[:, 0] += dx[:, 0] / (0.04 + dy[0, 0] / (2 * k[:, 0]))
        right = np.zeros(k.shape)
        right[:, -1] = warm
        across = np.zeros(k.shape)
        across[:, :-1] = -north
        up, over = across.ravel()[:-1], -east.ravel()
        matrix = diags_array(
            [diagonal.ravel(), up, up, over, over], offsets=[0, 1, -1, k.shape[1], -k.shape[1]]
        ).tocsc()
        field = np.asarray(spsolve(matrix, right.ravel())).reshape(k.shape)
        return float(warm @ (1 - field[:, -1]))

    seconds, value = best(run, 1)
    cells = (len(lines[0]) - 1) * (len(lines[1]) - 1)
    error = abs(value / true - 1)
    return Measured(
        way=f"uniform {1000 * width:g} mm",
        unknowns=cells,
        seconds=seconds,
        gap=math.nan,
        error=error,
        value=value,
    )


if __name__ == "__main__":
    sys.exit(main())
