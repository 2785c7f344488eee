"""Ratings: against a rater that tries one shift after the other, and what is refused."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from innerleaf.errors import InputError
from innerleaf.physics.sound.bands import THIRDS, third_bands_of, thirds
from innerleaf.physics.sound.rating_record import rated
from innerleaf.physics.sound.ratings import (
    REFERENCE_OCTAVES,
    REFERENCE_THIRDS,
    STC_CONTOUR,
    adaptation_term,
    fine_weighted_reduction_index,
    oitc,
    stc,
    weighted_reduction_index,
)

spectra = st.lists(st.integers(0, 900), min_size=16, max_size=16)  # [0.1 dB]


def shifted_until(tenths: list[int], reference: list[int], limit: int, step: int) -> int:
    """Rw as a person finds it: shift the curve up, add the unfavourable deviations, go on. [0.1 dB]"""
    shift = -1000
    while True:
        higher = shift + step
        short = [max(0, 10 * r + higher - t) for r, t in zip(reference, tenths, strict=True)]
        if sum(short) > limit:
            return 520 + shift
        shift = higher


def stc_by_trying(loss: list[int]) -> int:
    """Likewise for E413."""
    best = -200
    while True:
        short = [max(0, best + 1 + c - t) for c, t in zip(STC_CONTOUR.tolist(), loss, strict=True)]
        if sum(short) > 32 or max(short) > 8:
            return best
        best += 1


@given(spectra)
def test_rw_is_what_trying_finds(tenths: list[int]) -> None:
    r = [t / 10 for t in tenths]
    reference = REFERENCE_THIRDS.tolist()

    assert 10 * weighted_reduction_index(r) == shifted_until(tenths, reference, 320, 10)


@given(spectra)
def test_rw_in_tenths_is_what_trying_finds(tenths: list[int]) -> None:
    r = [t / 10 for t in tenths]
    found = shifted_until(tenths, REFERENCE_THIRDS.tolist(), 320, 1)

    assert fine_weighted_reduction_index(r) == found / 10
    assert 0 <= found - 10 * int(weighted_reduction_index(r)) < 10


@given(st.lists(st.integers(0, 900), min_size=5, max_size=5))
def test_octaves_are_what_trying_finds(tenths: list[int]) -> None:
    r = [t / 10 for t in tenths]

    assert 10 * weighted_reduction_index(r) == shifted_until(tenths, REFERENCE_OCTAVES.tolist(), 100, 10)


@given(st.lists(st.integers(0, 90), min_size=16, max_size=16))
def test_stc_is_what_trying_finds(loss: list[int]) -> None:
    assert stc(loss) == stc_by_trying(loss)


@given(st.lists(spectra, min_size=1, max_size=5))
def test_walls_together_are_the_walls_alone(walls: list[list[int]]) -> None:
    r = np.array(walls) / 10

    assert weighted_reduction_index(r).tolist() == [int(weighted_reduction_index(row)) for row in r]
    assert adaptation_term(r, "Ctr").tolist() == [int(adaptation_term(row, "Ctr")) for row in r]
    assert stc(r).tolist() == [int(stc(row)) for row in r]


@given(spectra, st.integers(-20, 20))
def test_whole_decibels_added_to_every_band_are_added_to_the_rating(tenths: list[int], more: int) -> None:
    r = np.array(tenths) / 10

    assert weighted_reduction_index(r + more) == weighted_reduction_index(r) + more
    assert adaptation_term(r + more, "C") == adaptation_term(r, "C")
    assert stc(r + more) == stc(r) + more


@given(spectra, st.integers(0, 15), st.integers(0, 200))
def test_a_better_band_never_rates_worse(tenths: list[int], band: int, gain: int) -> None:
    better = list(tenths)
    better[band] += gain

    assert weighted_reduction_index(np.array(better) / 10) >= weighted_reduction_index(np.array(tenths) / 10)
    assert stc(np.array(better) / 10) >= stc(np.array(tenths) / 10)


@given(spectra)
def test_the_record_shows_the_largest_shift_that_keeps_the_limit(tenths: list[int]) -> None:
    rating = rated([t / 10 for t in tenths])
    short = [max(0, 10 * c - t) for c, t in zip(rating.contour, tenths, strict=True)]
    one_more = [max(0, 10 * c + 10 - t) for c, t in zip(rating.contour, tenths, strict=True)]

    assert list(rating.deficiencies) == [s / 10 for s in short]
    assert sum(short) <= 320 < sum(one_more)


def test_the_record_has_every_term_its_bands_reach() -> None:
    full = rated(np.full(21, 40.0))
    short = rated(np.full(16, 40.0))

    assert set(full.terms) == {"C50-3150", "C50-5000", "C100-5000", "Ctr50-3150", "Ctr50-5000", "Ctr100-5000"}
    assert full.stc == 40  # 4 dB short in six bands, 3, 2 and 1 below: 30; 41 would be 41 short
    assert full.oitc == 40
    assert short.terms == {}
    assert (short.stc, short.oitc) == (None, None)


def test_sixteen_values_are_to_3150_for_rw_and_to_4000_for_stc() -> None:
    """The two standards rate different sixteen bands."""
    spectrum = np.linspace(30, 60, 16)

    assert weighted_reduction_index(spectrum) == weighted_reduction_index(spectrum, thirds(100, 3150))
    assert stc(spectrum) == stc(spectrum, thirds(125, 4000))


def test_halves_go_up_in_spite_of_binary_fractions() -> None:
    """A sum that should be 30.35 and falls short of it by rounding alone still counts as 30.4."""
    up = np.full(16, 30.35 - 4e-15)
    down = np.full(16, 30.349)

    assert fine_weighted_reduction_index(up) - fine_weighted_reduction_index(down) == pytest.approx(0.1)


@pytest.mark.parametrize(("frequency", "band"), [(70.7, 63), (70.85, 80), (177.0, 160), (178.0, 200)])
def test_edges_of_third_octave_bands(frequency: float, band: float) -> None:
    """10^(18.5/10) = 70.8 Hz and 10^(22.5/10) = 177.8 Hz."""
    assert third_bands_of(frequency) == band


def test_every_nominal_frequency_lies_in_its_own_band() -> None:
    assert third_bands_of(THIRDS).tolist() == list(THIRDS)


def test_spectra_that_cannot_be_rated() -> None:
    with pytest.raises(InputError, match=r"number of bands: given 17"):
        weighted_reduction_index(np.zeros(17))
    with pytest.raises(InputError, match=r"Rw, values: .*finite"):
        weighted_reduction_index([float("nan")] * 16)
    with pytest.raises(InputError, match=r"STC, bands missing: given \[4000\]"):
        stc(np.zeros(19))
    with pytest.raises(InputError, match=r"OITC, bands missing: given \[80\]"):
        oitc(np.zeros(18))
    with pytest.raises(InputError, match=r"C, 50-5000 Hz, bands missing: given \[50, 63, 80, 4000, 5000\]"):
        adaptation_term(np.zeros(16), "C", "50-5000")
    with pytest.raises(InputError, match=r"rising frequencies, one for each value"):
        weighted_reduction_index(np.zeros(16), thirds(50, 3150))
    with pytest.raises(InputError, match=r"one row of values"):
        rated(np.zeros((2, 21)))
    with pytest.raises(InputError, match=r"number of bands: given 0"):
        weighted_reduction_index(40.0)
    for frequency in (0.0, -1.0, float("nan"), 5.0, 12e3):
        with pytest.raises(InputError, match=r"frequency: given"):
            third_bands_of(frequency)
