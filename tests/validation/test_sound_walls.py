"""Predicted against measured walls, one set of figures for all (docs/sound.md has the table and the plot)."""

from __future__ import annotations

import numpy as np
import pytest
from tests.validation.sound_walls import (
    Case,
    octave_cases,
    octave_rows,
    octaves_of,
    rated_cases,
    root_mean_square,
)

from innerleaf.design.sound.described_row import predict_row
from innerleaf.errors import InputError


@pytest.fixture(scope="module")
def rated() -> list[Case]:
    return rated_cases()


@pytest.fixture(scope="module")
def spectra() -> list[Case]:
    return octave_cases()


def of_kind(cases: list[Case], kind: str) -> list[int]:
    return [case.error for case in cases if case.predicted.kind == kind]


def test_framed_walls(rated: list[Case]) -> None:
    """31 walls; one, single boards on resilient channels with fibres, is printed 5 dB above what is found.

    The print gives it the same 56 as double boards without fibres.
    """
    errors = of_kind(rated, "framed")

    assert len(errors) == 31
    assert root_mean_square(errors) <= 2.0
    assert sorted(map(abs, errors))[-2] <= 4
    assert max(map(abs, errors)) <= 5
    assert abs(np.mean(errors)) <= 0.5


def test_linings_on_one_side(rated: list[Case]) -> None:
    assert root_mean_square(of_kind(rated, "lining-one-side")) <= 1.5


def test_linings_on_both_sides(rated: list[Case]) -> None:
    errors = of_kind(rated, "lining-both-sides")

    assert root_mean_square(errors) <= 3.0
    assert max(map(abs, errors)) <= 4


def test_no_gain_is_promised_where_none_was_measured(rated: list[Case]) -> None:
    """Bare, the blocks have 50."""
    for case in rated:
        if case.predicted.promised is not None and case.measured_rating <= 50:
            assert case.predicted.promised <= 0, case.name


def test_promises_are_kept(rated: list[Case]) -> None:
    """What is promised is found in the laboratory, to the 1.2 dB by which laboratories differ, rounded up."""
    for case in rated:
        if case.predicted.promised is not None:
            assert case.measured_rating - 50 >= case.predicted.promised - 2, case.name


def test_block_walls(rated: list[Case]) -> None:
    assert root_mean_square(of_kind(rated, "solid")) <= 2.0


def test_octaves_of_framed_walls(spectra: list[Case]) -> None:
    """125 to 4000 Hz of framed walls; those with plaster, soft board or without studs apart."""
    usual = [
        case
        for case in spectra
        if case.predicted.kind == "framed"
        and not any(word in case.name for word in ("plaster both", "insulating", "no studs"))
    ]
    differences = np.array([case.predicted.octaves - octaves_of(case.row) for case in usual])

    assert len(usual) == 11
    assert np.sqrt(np.nanmean(differences[:, 1:] ** 2)) <= 5.0
    assert abs(np.nanmean(differences[:, 1:])) <= 2.0


def test_two_boards_without_a_frame(spectra: list[Case]) -> None:
    """A leaf alone, which nothing was fitted to: every octave within 4 dB, Rw to the decibel."""
    case = next(case for case in spectra if "single leaf" in case.name and case.row["kind"] == "leaf")

    assert abs(case.error) <= 1
    assert np.nanmax(np.abs(case.predicted.octaves - octaves_of(case.row))) <= 4


def test_two_heavy_leaves_tied_by_wires_are_refused() -> None:
    """Read as one solid wall they would be promised 7 to 13 dB too much."""
    tied = [row for row in octave_rows() if "cavity wall" in row["construction"]]

    assert len(tied) == 2
    for row in tied:
        with pytest.raises(InputError, match="one solid leaf"):
            predict_row(row)


def test_every_other_row_is_read_and_rated(rated: list[Case], spectra: list[Case]) -> None:
    assert len(rated) == 53
    assert len(spectra) == 24
    for case in (*rated, *spectra):
        assert np.all(np.isfinite(case.predicted.index))
        assert case.predicted.uncertainty.rating_db >= 1.2
