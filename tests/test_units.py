"""Lengths as people write and read them."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from innerleaf.errors import InputError
from innerleaf.units import show_length, to_exact_mm, to_mm

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
