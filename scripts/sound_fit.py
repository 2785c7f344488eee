"""Fit the sound figures that literature leaves open to the measured walls: `sound_fit.py`.

Fits one set of figures to all walls, then to each half of them with the other half predicted, and prints
values and errors. Nothing is written: what is taken over stands in `practice/acoustics`, rounded.
"""

from __future__ import annotations

import csv
import sys
from collections import defaultdict
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
OCTAVE_WEIGHT, LINING_WEIGHT, PRIOR_WEIGHT = 0.4, 1.3, 0.6
MIDDLE = 5.0  # of the unknowns: steps are shares of them, so they must not lie about zero


@dataclass(frozen=True)
class Unknown:
    """A figure, where it stands, what is expected of it and how far, in powers of e, it may stray."""

    section: str
    field: str
    ids: tuple[str, ...]
    expected: float
    stray: float


UNKNOWNS = (
    Unknown("cavities", "drag_pa_s_m2", ("framed",), 112, 0.4),
    Unknown("cavities", "fill_loss", ("framed",), 0.18, 0.4),
    Unknown("cavities", "air_loss", ("framed",), 0.085, 0.4),
    Unknown("workmanship", "free_share", ("laboratory",), 0.06, 0.7),
    Unknown("frames", "compliance", ("steel-stud",), 2.0, 0.6),
    Unknown("frames", "stiffening", ("steel-stud", "resilient-channel"), 1.5, 0.25),
    Unknown("frames", "compliance", ("resilient-channel",), 10.0, 0.5),
    Unknown("frames", "fixing", ("wood-stud-staggered",), 2.0, 0.5),
    Unknown("frames", "fixing", ("wood-stud", "steel-stud", "resilient-channel"), 0.085, 0.4),
    Unknown("frames", "fixing", ("wall-batten",), 2.0, 0.6),
    Unknown("frames", "compliance", ("rim",), 1.2, 0.6),
    Unknown("frames", "compliance", ("rim-on-wall",), 0.4, 0.7),
    Unknown("frames", "stiffening", ("rim", "rim-on-wall"), 0.66, 0.3),
    Unknown("boards", "loss_factor", ("A",), 0.023, 0.2),
    Unknown("boards", "friction", ("A",), 0.004, 0.7),
)
Row = dict[str, str]


def main() -> int:
    """Fit and print."""
    ratings, spectra = walls("sound_walls_stc.csv"), walls("sound_walls_octave.csv")
    ratings = [row for row in ratings if row["kind"] != "bare" and row["cavity_mm"] != "0"]
    spectra = [row for row in spectra if row["construction"] in SPECTRA]
    found = fit(ratings, spectra)
    for unknown, value in zip(UNKNOWNS, values(found), strict=True):
        print(f"{unknown.section} {unknown.field} of {', '.join(unknown.ids)}: {value:.3g}")
    print_errors("all", ratings, figures(found))
    for half in (0, 1):
        print_errors(
            "the other half",
            ratings[1 - half :: 2],
            figures(fit(ratings[half::2], spectra[half::2])),
        )
    return 0


def walls(name: str) -> list[Row]:
    """Rows of a table."""
    with (TABLES / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def fit(ratings: Sequence[Row], spectra: Sequence[Row]) -> NDArray[np.float64]:
    """Least squares, outliers softened, with a prior on each unknown."""
    begin = np.full(len(UNKNOWNS), MIDDLE)
    answer = least_squares(
        residuals, begin, args=(ratings, spectra), diff_step=0.012, max_nfev=12, loss="soft_l1", f_scale=2.5
    )
    return np.asarray(answer.x)


def values(unknowns: NDArray[np.float64]) -> list[float]:
    """In the units of the data."""
    return [
        u.expected * float(np.exp(u.stray * (x - MIDDLE))) for u, x in zip(UNKNOWNS, unknowns, strict=True)
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
    """Ratings in fractions of a decibel, octaves, and how far the unknowns strayed."""
    acoustics = figures(unknowns)
    errors = []
    for row in ratings:
        weight = LINING_WEIGHT if row["kind"] == "lining" else 1.0
        errors.append(weight * (exact_stc(predict_row(row, acoustics).index) - float(row["STC"])))
    for row in spectra:
        measured = np.array([float(row[band]) if row[band] else np.nan for band in OCTAVES])
        difference = OCTAVE_WEIGHT * (predict_row(row, acoustics).octaves - measured)
        errors += list(difference[~np.isnan(difference)])
    return np.array(errors + list(PRIOR_WEIGHT * (unknowns - MIDDLE)))


def exact_stc(index: NDArray[np.float64]) -> float:
    """STC before it is cut to whole decibels, so that the fit feels a slope."""
    low, high = 0.0, 100.0
    while high - low > 1e-6:
        middle = (low + high) / 2
        short = np.maximum(CONTOUR + middle - index[4:20], 0)
        low, high = (middle, high) if short.sum() <= 32 and short.max() <= 8 else (low, middle)
    return low


def print_errors(title: str, rows: Sequence[Row], acoustics: Acoustics) -> None:
    """Root mean square and largest error by kind."""
    errors = defaultdict(list)
    for row in rows:
        wall = predict_row(row, acoustics)
        assert wall.rating.stc is not None
        errors[wall.kind].append(wall.rating.stc - int(row["STC"]))
    for kind, found in errors.items():
        rms = np.sqrt(np.mean(np.square(found)))
        print(f"{title}, {kind}: {len(found)} walls, rms {rms:.2f}, largest {max(map(abs, found))}")


if __name__ == "__main__":
    sys.exit(main())
