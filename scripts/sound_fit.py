"""Fit the sound figures that literature leaves open to the measured walls: `sound_fit.py [--judge]`.

One set of figures for all walls, each held to what literature expects of it as firmly as to the measurements
(maximum a posteriori, normal in the logarithm). Prints values and errors; nothing of it is written: what is
taken over stands in `practice/acoustics`, rounded.

With --judge every wall is predicted four times by figures fitted without it, a quarter of the walls left out
at a time; the errors are written to `tests/validation/sound_cross_validation.csv`, which the stated
uncertainties rest on. Then once more with all walls of its kind of framing left out.
"""

from __future__ import annotations

import csv
import sys
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
from scipy.optimize import least_squares

from innerleaf.design.sound.described_row import predict_row
from innerleaf.practice.acoustics import Acoustics, load_acoustics

if TYPE_CHECKING:
    from numpy.typing import NDArray

TABLES = Path(__file__).parent.parent / "tests" / "validation"
OCTAVES = ("f63", "f125", "f250", "f500", "f1000", "f2000", "f4000")
SPECTRA = (
    "double 1/2 in drywall on wood studs",
    "1/2 in drywall staggered wood studs",
    "1/2 in drywall on metal studs",
    "1/2 in drywall on metal studs + 2 in insulation",
    "metal stud 92 1x16|1x16",
    "metal stud 92 2x16|2x16 absorbent",
    "double row metal stud 92, 25 mm apart 2x16|2x16 absorbent",
)
CONTOUR = np.array([-16, -13, -10, -7, -4, -1, 0, 1, 2, 3, 4, 4, 4, 4, 4, 4])  # ASTM E413
SCATTER = 1.7  # of a rating, by laboratories and by what no model knows [dB]
OCTAVE_WEIGHT = 0.25  # octaves of one wall go together, and scatter more
OUTLIER = 2.0  # standard deviations from which an error counts less
SHIFT = 5.0  # of the unknowns: steps are shares of them, so they must not lie about zero
CUT = 0.5  # dB
QUARTERS, TIMES = 4, 4
SCREWED = ("wood-stud", "steel-stud", "resilient-channel")


@dataclass(frozen=True)
class Unknown:
    """A figure, where it stands, what is expected of it, and by which power of e it may well differ.

    ``why``: what the expectation rests on, without the measured walls of this fit.
    """

    section: str
    field: str
    ids: tuple[str, ...]
    expected: float
    spread: float
    why: str


UNKNOWNS = (
    Unknown("cavities", "fill_loss", ("framed",), 0.15, 0.7, "a damped spring, order of magnitude"),
    Unknown("workmanship", "free_share", ("laboratory",), 0.1, 1.0, "a small part, order of magnitude"),
    Unknown("frames", "compliance", ("steel-stud",), 2.2, 0.8, "1 (Davy 1991), 5 (Vigran 2008), 1e-6 m2/N"),
    Unknown("frames", "fixing", SCREWED, 0.1, 0.8, "far below thin steel, order of magnitude"),
    Unknown("frames", "fixing", ("wall-batten",), 1, 1.0, "order of magnitude"),
    Unknown("frames", "compliance", ("rim",), 1, 1.0, "order of magnitude"),
    Unknown("frames", "compliance", ("rim-on-wall",), 1, 1.0, "order of magnitude"),
    Unknown("frames", "stiffening", ("rim", "rim-on-wall"), 1, 0.5, "falls with frequency"),
)
Row = dict[str, str]


def main(arguments: Sequence[str]) -> int:
    """Fit and print; with --judge predict every wall by the others."""
    ratings, spectra = walls("sound_walls_stc.csv"), walls("sound_walls_octave.csv")
    ratings = [row for row in ratings if row["kind"] != "bare" and row["cavity_mm"] != "0"]
    spectra = [row for row in spectra if row["construction"] in SPECTRA]
    found = fit(ratings, spectra)
    for unknown, value in zip(UNKNOWNS, values(found), strict=True):
        where = f"{unknown.section} {unknown.field} of {', '.join(unknown.ids)}"
        print(f"{where}: {value:.3g}, expected {unknown.expected:g} ({unknown.why})")
    print_errors("fitted to all", ratings, errors(ratings, figures(found))[None, :])
    if "--judge" in arguments:
        judged = by_the_others(ratings, spectra)
        print_errors("fitted to others", ratings, judged)
        write(ratings, judged)
        print_errors("fitted to other kinds of framing", ratings, by_other_kinds(ratings, spectra))
    return 0


def walls(name: str) -> list[Row]:
    """Rows of a table."""
    with (TABLES / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def fit(ratings: Sequence[Row], spectra: Sequence[Row]) -> NDArray[np.float64]:
    """Least squares in standard deviations, outliers softened."""
    begin = np.full(len(UNKNOWNS), SHIFT)
    answer = least_squares(
        residuals,
        begin,
        args=(ratings, spectra),
        diff_step=0.006,
        max_nfev=7,
        loss="soft_l1",
        f_scale=OUTLIER,
    )
    return np.asarray(answer.x)


def by_the_others(ratings: Sequence[Row], spectra: Sequence[Row]) -> NDArray[np.float64]:
    """Errors of every wall where it was left out, (times, walls). [dB]"""
    found = np.empty((TIMES, len(ratings)))
    for time in range(TIMES):
        order = np.random.default_rng(time).permutation(len(ratings))
        for quarter in range(QUARTERS):
            out = order[quarter::QUARTERS]
            found[time, out] = without([ratings[i] for i in out], ratings, spectra)
    return found


def by_other_kinds(ratings: Sequence[Row], spectra: Sequence[Row]) -> NDArray[np.float64]:
    """Errors of every wall where all walls framed like it were left out, (1, walls). [dB]"""
    found = np.empty((1, len(ratings)))
    framing = np.array([row["framing"] for row in ratings])
    for kind in np.unique(framing):
        found[0, framing == kind] = without(
            [row for row in ratings if row["framing"] == kind], ratings, spectra
        )
    return found


def without(out: Sequence[Row], ratings: Sequence[Row], spectra: Sequence[Row]) -> NDArray[np.float64]:
    """Errors of walls by figures fitted to the others; no spectrum of these walls stays in the fit. [dB]"""
    gone = {(row["source"], row["STC"]) for row in out}
    kept = [row for row in ratings if row not in out]
    return errors(
        out, figures(fit(kept, [row for row in spectra if (row["source"], row["STC"]) not in gone]))
    )


def values(unknowns: NDArray[np.float64]) -> list[float]:
    """In the units of the data."""
    return [
        u.expected * float(np.exp(u.spread * (x - SHIFT))) for u, x in zip(UNKNOWNS, unknowns, strict=True)
    ]


def figures(unknowns: NDArray[np.float64]) -> Acoustics:
    """The package's figures with the unknowns put in."""
    acoustics = load_acoustics()
    sections = {unknown.section: dict(getattr(acoustics, unknown.section)) for unknown in UNKNOWNS}
    for unknown, value in zip(UNKNOWNS, values(unknowns), strict=True):
        for key in unknown.ids:
            sections[unknown.section][key] = replace(sections[unknown.section][key], **{unknown.field: value})
    return replace(acoustics, **sections)


def residuals(
    unknowns: NDArray[np.float64], ratings: Sequence[Row], spectra: Sequence[Row]
) -> NDArray[np.float64]:
    """Ratings, octaves, and how far the unknowns strayed, each over its standard deviation."""
    acoustics = figures(unknowns)
    found = [errors(ratings, acoustics) / SCATTER]
    for row in spectra:
        measured = np.array([float(row[band]) if row[band] else np.nan for band in OCTAVES])
        difference = (predict_row(row, acoustics).octaves - measured) * OCTAVE_WEIGHT / SCATTER
        found.append(difference[~np.isnan(difference)])
    return np.concatenate([*found, unknowns - SHIFT])


def errors(rows: Sequence[Row], acoustics: Acoustics) -> NDArray[np.float64]:
    """Predicted less measured STC, in fractions; those measured were cut, half a decibel on the mean. [dB]"""
    return np.array([exact_stc(predict_row(row, acoustics).index) - float(row["STC"]) - CUT for row in rows])


def exact_stc(index: NDArray[np.float64]) -> float:
    """STC before it is cut to whole decibels, so that the fit feels a slope."""
    low, high = 0.0, 100.0
    while high - low > 1e-6:
        middle = (low + high) / 2
        short = np.maximum(CONTOUR + middle - index[4:20], 0)
        low, high = (middle, high) if short.sum() <= 32 and short.max() <= 8 else (low, middle)
    return low


def kinds(rows: Sequence[Row]) -> NDArray[np.str_]:
    """Kind of each wall, as predictions have it."""
    return np.array(
        [
            "framed" if row["kind"] == "partition" else f"lining-{row['note'].replace(' ', '-')}"
            for row in rows
        ]
    )


def print_errors(title: str, rows: Sequence[Row], found: NDArray[np.float64]) -> None:
    """Root mean square and largest error by kind; ``found``: (times, walls)."""
    for kind in np.unique(kinds(rows)):
        its = found[:, kinds(rows) == kind]
        rms = np.sqrt(np.mean(its**2))
        print(f"{title}, {kind}: {its.shape[1]} walls, rms {rms:.2f}, largest {np.abs(its).max():.1f}")


def write(rows: Sequence[Row], found: NDArray[np.float64]) -> None:
    """Errors of every wall, a column for each time it was left out."""
    columns = ("kind", "framing", "absorbent", "board_side1", "board_side2", "STC")
    with (TABLES / "sound_cross_validation.csv").open("w", encoding="utf-8", newline="") as file:
        table = csv.writer(file, lineterminator="\n")
        table.writerow([*columns, *(f"error{time + 1}" for time in range(TIMES))])
        for row, kind, its in zip(rows, kinds(rows), found.T, strict=True):
            table.writerow([kind, *(row[name] for name in columns[1:]), *(f"{error:.2f}" for error in its)])


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
