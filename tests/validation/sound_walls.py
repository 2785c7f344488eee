"""Measured walls (`sound_walls_stc.csv`, `sound_walls_octave.csv`) beside what is predicted for them.

Published tables, read as typed out by others: Harris 1995 tables 31.2, 31.3 and 31.5; ASHRAE 2019 chapter
49 table 40; Rossing 2014 table 11.4; Bies, Hansen and Howard table 7.6. Board masses are not printed.
"""

from __future__ import annotations

import csv
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from innerleaf.design.sound.described_row import predict_row
from innerleaf.design.sound.described_wall import PredictedWall
from innerleaf.physics.sound.ratings import weighted_reduction_index

if TYPE_CHECKING:
    from numpy.typing import NDArray

HERE = Path(__file__).parent
OCTAVES = ("f63", "f125", "f250", "f500", "f1000", "f2000", "f4000")
RATED = slice(1, 6)  # 125-2000 Hz


@dataclass(frozen=True)
class Case:
    """A measured wall and its prediction; a rating is STC, or Rw from octaves where no STC is printed."""

    row: Mapping[str, str]
    predicted: PredictedWall
    measured_rating: int
    predicted_rating: int

    @property
    def error(self) -> int:
        """Predicted less measured. [dB]"""
        return self.predicted_rating - self.measured_rating

    @property
    def name(self) -> str:
        """The wall in a few words."""
        if "construction" in self.row:
            return self.row["construction"]
        row = self.row
        boards = "|".join(side for side in (row["board_side1"], row["board_side2"]) if side)
        fibres = "filled" if row["absorbent"] == "yes" else "empty" if row["absorbent"] else ""
        return " ".join(word for word in (row["base_wall"], row["framing"], fibres, boards) if word)


def octaves_of(row: Mapping[str, str]) -> NDArray[np.float64]:
    """Measured octaves, NaN where there is none."""
    return np.array([float(row[band]) if row[band] else np.nan for band in OCTAVES])


def rated_cases() -> list[Case]:
    """The table of ratings."""
    cases = []
    for row in _rows("sound_walls_stc.csv"):
        wall = predict_row(row)
        assert wall.rating.stc is not None
        cases.append(Case(row, wall, int(row["STC"]), wall.rating.stc))
    return cases


def octave_cases() -> list[Case]:
    """The table of spectra."""
    cases = []
    for row in _rows("sound_walls_octave.csv"):
        wall = predict_row(row)
        measured, predicted = octaves_of(row)[RATED], np.round(wall.octaves[RATED], 1)
        cases.append(
            Case(row, wall, int(weighted_reduction_index(measured)), int(weighted_reduction_index(predicted)))
        )
    return cases


def judged_by_others() -> list[dict[str, str]]:
    """Errors of walls predicted by figures fitted without them (`scripts/sound_fit.py --judge`)."""
    return _rows("sound_cross_validation.csv")


def root_mean_square(errors: list[int]) -> float:
    """Of whole decibels."""
    return float(np.sqrt(np.mean(np.square(errors))))


def _rows(name: str) -> list[dict[str, str]]:
    with (HERE / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))
