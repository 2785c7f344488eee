"""Lengths as people write and read them."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from innerleaf.errors import InputError
from innerleaf.units import (
    CUSTOMARY,
    from_customary,
    show_bare,
    show_column,
    show_length,
    show_sentence,
    to_customary,
    to_exact_mm,
    to_mm,
)

# The inch is 25.4 mm exactly (international yard and pound agreement, 1959).
WRITTEN = [
    (2600, 2600),
    (2600.0, 2600),
    ("2600", 2600),
    ("2600 mm", 2600),
    ("260cm", 2600),
    ("2.6 m", 2600),
    (" 2.6m ", 2600),
    (".5 m", 500),
    ("-40 mm", -40),
    ("24 in", 609.6),
    ('24"', 609.6),
    ("3/8 in", 9.525),
    ("5/8 in", 15.875),
    ("6 1/2 in", 165.1),
    ('6-1/2"', 165.1),
    ("8 ft", 2438.4),
    ("8'", 2438.4),
    ("9' 6\"", 2895.6),
    ("9'-6\"", 2895.6),
    ("9 ft 6 in", 2895.6),
    ("9' 6 1/2\"", 2908.3),
    ("9' 1/2\"", 2755.9),
    ("-1' 6\"", -457.2),
]


@pytest.mark.parametrize(("written", "mm"), WRITTEN)
def test_reading(written: object, mm: float) -> None:
    assert to_exact_mm(written) == pytest.approx(mm, abs=1e-9)
    assert abs(to_mm(written) - mm) <= 0.5


def test_halves_go_away_from_zero() -> None:
    assert [to_mm(half) for half in (0.5, 1.5, 2.5, -0.5, -2.5)] == [1, 2, 3, -1, -3]


NONSENSE = [
    "",
    " ",
    "-",
    "in",
    "'",
    "2,6 m",
    "2.600,5",
    "1/0 in",
    "3/8",
    "3/8 m",
    "2600 km",
    "1 2 mm",
    "٣ m",
    "1e3",
]
NO_LENGTHS: list[object] = [
    True,
    None,
    [],
    {},
    float("nan"),
    float("inf"),
    10**8,
    "99999 m",
    10**400,
    "9" * 100,
]


@pytest.mark.parametrize("written", [*NONSENSE, *NO_LENGTHS], ids=lambda given: repr(given)[:20])
def test_nonsense_is_refused_with_the_field(written: object) -> None:
    with pytest.raises(
        InputError, match=r"^sill: given .*accepted: a length up to 10 km such as 2600, 2\.6 m"
    ):
        to_mm(written, "sill")


@pytest.mark.parametrize(
    ("mm", "unit", "shown"),
    [
        (2600, "mm", "2600 mm"),
        (12.5, "mm", "12.5 mm"),
        (1333.333, "mm", "1333.3 mm"),
        (-0.0, "mm", "0 mm"),
        (0, "in", '0"'),
        (9.525, "in", '3/8"'),
        (609.6, "in", "2' 0\""),
        (2908.3, "in", "9' 6 1/2\""),
        (304.7, "in", "1' 0\""),
        (-457.2, "in", "-1' 6\""),
    ],
)
def test_showing(mm: float, unit: str, shown: str) -> None:
    assert show_length(mm, unit) == shown


def test_drawings_leave_the_unit_out() -> None:
    assert show_length(2600, with_unit=False) == "2600"


def test_other_units_are_refused() -> None:
    with pytest.raises(InputError, match="unit: given 'ell', accepted: mm or in"):
        show_length(1, "ell")


@given(st.integers(-10_000_000, 10_000_000))
def test_millimetres_come_back(mm: int) -> None:
    assert to_mm(show_length(mm, "mm")) == mm
    assert to_mm(show_length(mm, with_unit=False)) == mm


@given(st.integers(-(10**6), 10**6))
def test_sixteenths_of_an_inch_come_back(sixteenths: int) -> None:
    mm = Fraction(sixteenths, 16) * Fraction(254, 10)

    assert to_exact_mm(show_length(float(mm), "in")) == pytest.approx(float(mm), abs=1e-6)


@given(st.floats(-9_000_000, 9_000_000))
def test_inches_are_off_by_half_a_sixteenth_at_most(mm: float) -> None:
    assert abs(to_exact_mm(show_length(mm, "in")) - mm) <= 25.4 / 32 + 1e-6


@given(st.text(max_size=80))
def test_no_text_breaks_it(text: str) -> None:
    try:
        mm = to_mm(text)
    except InputError:
        return
    assert abs(mm) <= 10_000_000


@given(st.integers(0, 10_000 * 16))
def test_what_is_read_in_feet_and_inches_is_read_back_the_same(sixteenths: int) -> None:
    """Whole millimetres are finer than a sixteenth, so a length that was typed comes back as it was typed."""
    text = show_length(sixteenths * 25.4 / 16, "in")
    assert show_length(to_mm(text), "in") == text
    assert show_length(to_exact_mm(text), "in") == text


@given(st.fractions(0, 10**6), st.sampled_from(sorted(CUSTOMARY)))
def test_areas_and_transmittances_go_there_and_back_exactly(value: Fraction, unit: str) -> None:
    there, name = to_customary(value, unit)
    assert name == CUSTOMARY[unit][0]
    assert from_customary(there, name) == (value, unit)


# NIST SP 811 (2008), appendix B.8, from memory: to multiply by, as printed to seven figures.
SP_811 = [("m²", 9.290304e-2), ("W/(m²·K)", 5.678263), ("m²·K/W", 1.761102e-1)]


@pytest.mark.parametrize(("unit", "factor"), SP_811)
def test_customary_units_against_printed_factors(unit: str, factor: float) -> None:
    assert float(from_customary(1.0, CUSTOMARY[unit][0])[0]) == pytest.approx(factor, rel=1e-6)


def test_a_transmittance_and_its_resistance_stay_each_others_inverse() -> None:
    u_value, _ = to_customary(Fraction(1, 4), "W/(m²·K)")
    resistance, _ = to_customary(Fraction(4), "m²·K/W")
    assert u_value * resistance == 1


SENTENCES = [
    ("joint 150 mm off the jamb", 'joint 5 7/8" off the jamb'),
    ("2 boards 1200 × 2600 × 12.5 mm", '2 boards 3\' 11 1/4" × 8\' 6 3/8" × 1/2"'),
    ("10.0 m² at 0.25 W/(m²·K)", "108 ft² at 0.0440 BTU/(h·ft²·°F)"),
    ("R = 4 m²·K/W", "R = 22.7 h·ft²·°F/BTU"),
    ("1.5 m high", "4' 11 1/16\" high"),
    ("25 kg/m³, 8.5 kg/m², 3 m/s, 12 N/mm², 60 min, 300 N/m, W-01 m", None),
    ("CD 60/27 at 600", None),
]


@pytest.mark.parametrize(("metric", "shown"), SENTENCES)
def test_sentences_are_read_in_the_other_units(metric: str, shown: str | None) -> None:
    assert show_sentence(metric, "in") == (shown or metric)
    assert show_sentence(metric) == metric


@given(st.text(max_size=60))
def test_any_sentence_can_be_shown(text: str) -> None:
    assert show_sentence(text) == text
    show_sentence(text, "in")
    show_bare(text, "in")


def test_columns_say_what_they_are_in() -> None:
    heading, show = show_column("length [mm]", "in")
    assert show is not None
    assert (heading, show(2600)) == ("length [ft in]", "8' 6 3/8\"")
    assert show_column("mass [kg]", "in") == ("mass [kg]", None)
    assert show_column("length [mm]") == ("length [mm]", None)
