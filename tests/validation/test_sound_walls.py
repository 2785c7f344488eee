"""Predicted against measured walls, one set of figures for all (docs/sound.md has the table and the plot)."""

from __future__ import annotations

import numpy as np
import pytest
from tests.validation.sound_walls import (
    Case,
    judged_by_others,
    octave_cases,
    octaves_of,
    rated_cases,
    root_mean_square,
)

from innerleaf.practice.acoustics import load_acoustics


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


def test_cavity_walls_of_brick(spectra: list[Case]) -> None:
    """Strips between the leaves cost more than the cavity brings; wire leaves a little of it."""
    strip, wire = (case for case in spectra if case.predicted.kind == "cavity-wall")

    assert (strip.measured_rating, wire.measured_rating) == (45, 51)
    assert abs(strip.error) <= 3
    assert abs(wire.error) <= 3
    assert strip.predicted.uncertainty.rating_db == wire.predicted.uncertainty.rating_db == 5.0


def test_solid_walls(rated: list[Case], spectra: list[Case]) -> None:
    """Brick, light and aerated blocks, painted or not: laws from literature, nothing fitted."""
    errors = of_kind(rated, "solid") + of_kind(spectra, "solid")

    assert len(errors) == 19
    assert root_mean_square(errors) <= 3.0
    assert max(map(abs, errors)) <= 6


def test_every_row_is_read_and_rated(rated: list[Case], spectra: list[Case]) -> None:
    assert len(rated) == 53
    assert len(spectra) == 26
    for case in (*rated, *spectra):
        assert np.all(np.isfinite(case.predicted.index))
        assert case.predicted.uncertainty.rating_db >= 1.2


# Walls predicted by figures fitted without them: the errors that stated uncertainties rest on.
STATED = load_acoustics().uncertainty
KINDS = ("framed", "lining-one-side", "lining-both-sides")


def errors_by_others(kind: str) -> np.ndarray:
    """(walls, times) [dB]."""
    rows = [row for row in judged_by_others() if row["kind"] == kind]
    return np.array(
        [[float(value) for name, value in row.items() if name.startswith("error")] for row in rows]
    )


@pytest.mark.parametrize("kind", KINDS)
def test_stated_uncertainties_are_those_of_walls_left_out(kind: str) -> None:
    """Root mean square of the errors, to a tenth; below 1.2 dB laboratories differ."""
    found = float(np.sqrt(np.mean(errors_by_others(kind) ** 2)))

    assert STATED[kind].rating_db == pytest.approx(max(found, 1.2), abs=0.06)
    assert STATED[kind].walls == len(errors_by_others(kind))


def test_two_thirds_of_the_walls_left_out_lie_within_one_standard_uncertainty() -> None:
    """And 95 % within two, as of a normal distribution: 42 walls, so that a tenth more or less is chance."""
    over = np.concatenate(
        [(np.abs(errors_by_others(kind)) / STATED[kind].rating_db).ravel() for kind in KINDS]
    )

    assert np.mean(over <= 1) == pytest.approx(0.68, abs=0.1)
    assert np.mean(over <= 2) >= 0.9


def test_walls_left_out_meet_what_is_asked_of_predictions() -> None:
    """2.0 dB for frames, 1.5 and 3.0 dB for linings; no whole rating off by more than 4 dB but for one wall.

    That one is printed 5 dB above what is found: see `test_framed_walls`.
    """
    framed, one, both = (errors_by_others(kind) for kind in KINDS)
    whole = np.floor(np.concatenate([framed, one, both]) + 0.5)

    assert np.sqrt(np.mean(framed**2)) <= 2.0
    assert np.sqrt(np.mean(one**2)) <= 1.5
    assert np.sqrt(np.mean(both**2)) <= 3.0
    assert np.sort(np.abs(whole).max(axis=1))[-2] <= 4


def test_the_errors_of_walls_left_out_belong_to_these_figures(rated: list[Case]) -> None:
    """No wall's error in the file is far from that of today's figures, which were fitted with it."""
    by_others = {kind: errors_by_others(kind).mean(axis=1) for kind in KINDS}
    fitted = {
        kind: [case.error for case in rated if case.predicted.kind == kind and case.row["cavity_mm"] != "0"]
        for kind in KINDS
    }

    for kind in KINDS:
        apart = np.abs(by_others[kind] - fitted[kind])
        assert apart.max() <= 2.5, kind
        assert np.median(apart) <= 1.0, kind


def test_solid_walls_keep_their_stated_uncertainty(rated: list[Case], spectra: list[Case]) -> None:
    """Nothing of them was fitted, so the errors are those of any wall."""
    errors = np.array(of_kind(rated, "solid") + of_kind(spectra, "solid"), float)

    assert STATED["solid"].rating_db == pytest.approx(np.sqrt(np.mean(errors**2)), abs=0.1)
    assert np.mean(np.abs(errors) <= STATED["solid"].rating_db) == pytest.approx(0.68, abs=0.15)
