"""Sections against the general-purpose ways, in one run: `python -m benchmarks.sections`.

Two dimensions: a stud lining. Three: a bracket. The general ways are scikit-fem on graded lines (equal
accuracy: refined until its U is as good as ours, or as good as 0.01 %) and finite volumes on a uniform grid
with scipy's spsolve (refined as far as fits). Each time is the best of several, of one thread; take the
ratios. Memory is the peak of a process of its own.
"""

from __future__ import annotations

import os

os.environ.setdefault("OMP_NUM_THREADS", "1")
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import subprocess
import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from time import perf_counter
from typing import Any, TypeVar

import numpy as np

from innerleaf.physics.bridges import bridge_of_boxes
from innerleaf.physics.conduction import solve
from innerleaf.physics.conduction_answer import Solution
from innerleaf.physics.grid import Lines, feature_lines, first_lines, paint
from innerleaf.physics.section import Section
from innerleaf.section_file import read_case

EXAMPLES = Path(__file__).parents[1] / "examples" / "sections"
INSIDE, OUTSIDE = ["inside"], ["outside"]
_T = TypeVar("_T")


def main() -> None:
    """Print the tables, or, as a child, solve once and print the peak memory in MB."""
    if sys.argv[1:] == ["--child"]:
        solve(read_case(EXAMPLES / "bracket.yaml").section)
        status = Path("/proc/self/status").read_text(encoding="utf-8")  # Linux; peak since this program began
        print(float(status.partition("VmHWM:")[2].split()[0]) / 1024)
        return
    in_the_plane()
    in_space()


def in_the_plane() -> None:
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
    for degree in (1, 2):
        print(fem(f"scikit-fem Q{degree}, our grid", section, own, degree, u * 0.6).row(ours.seconds))
    ways = [("our first grid", split(first_lines(features), parts)) for parts in (1, 2)]
    ways += [("own grading", graded(features, parts)) for parts in (1, 2, 3)]
    good = [
        found
        for name, lines in ways
        if (found := fem(f"scikit-fem Q2, {name}", section, lines, 2, u * 0.6)).error <= target
    ]
    if good:
        quickest = min(good, key=lambda found: found.seconds)
        print(quickest.row(ours.seconds), " the quickest of those within 0.01 %")
    for width in (0.0024, 0.0012, 0.0006):
        print(uniform(section, features, width, u * 0.6).row(ours.seconds))


def in_space() -> None:
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
    print(f"peak memory of a process that solves the bracket: {float(peak):.0f} MB")


@dataclass(frozen=True, slots=True, kw_only=True)
class Measured:
    """One way, how long it took and how good it was."""

    way: str
    unknowns: int
    seconds: float
    gap: float | None
    error: float
    value: float

    def row(self, ours: float) -> str:
        """A line of the table."""
        gap = "" if self.gap is None else f"{self.gap:.3%}"
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
        begin = perf_counter()
        found = run()
        seconds.append(perf_counter() - begin)
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
    return Measured(way=way, unknowns=unknowns, seconds=seconds, gap=None, error=error, value=value)


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
        gap=None,
        error=error,
        value=value,
    )


if __name__ == "__main__":
    main()
