"""Millimetres and inches at the rim: how people write and read lengths. Inside, all is millimetres.

An inch is 25.4 mm exactly, so reading is exact; whole millimetres are the nearest, halves away from
zero, and inches are shown to the nearest sixteenth.
"""

from __future__ import annotations

import math
import re
from fractions import Fraction
from typing import Final

from innerleaf.errors import InputError

MM_PER_INCH: Final = Fraction(254, 10)
_SIXTEENTHS: Final = 16
_LONGEST_TEXT: Final = 60
_GREATEST_MM: Final = 10_000_000  # 10 km
_ACCEPTED: Final = "a length up to 10 km such as 2600, 2.6 m, 24 in, 3/8 in or 9' 6 1/2\""

_PER_UNIT: Final[dict[str, Fraction]] = {
    "": Fraction(1),
    "mm": Fraction(1),
    "cm": Fraction(10),
    "m": Fraction(1000),
}
_METRIC: Final = re.compile(r"([-+]?)\s*([0-9]{1,12}(?:\.[0-9]{0,12})?|\.[0-9]{1,12})\s*(mm|cm|m|)\Z")
_WHOLE: Final = r"[0-9]{1,9}(?:\.[0-9]{1,9})?"
_PARTS: Final = r"[0-9]{1,3}/[1-9][0-9]{0,2}"
_IMPERIAL: Final = re.compile(
    r"([-+]?)\s*"
    rf"(?:({_WHOLE})\s*(?:'|ft))?"  # feet
    rf"(?:\s*-?\s*(?:({_WHOLE})(?:[\s-]+({_PARTS}))?|({_PARTS}))\s*(?:\"|in))?\Z"  # inches
)


def to_mm(given: object, field: str = "length") -> int:
    r"""Whole millimetres of a length as people write it.

    Parameters
    ----------
    given : int, float or str
        A number is in mm. A text may carry mm, cm, m, in (or "), ft (or '), feet and inches together,
        and fractions of an inch.
    field : str
        What an error calls the value.

    Returns
    -------
    int
        The nearest whole number, halves away from zero. [mm]

    Raises
    ------
    InputError
        It is no length, or none below 10 km.

    Examples
    --------
    >>> to_mm("2.6 m"), to_mm("24 in"), to_mm("9' 6 1/2\"")
    (2600, 610, 2908)
    """
    return _nearest(_read(given, field))


def to_exact_mm(given: object, field: str = "length") -> float:
    """Millimetres of a length, not rounded (thicknesses); arguments and errors as `to_mm`.

    >>> to_exact_mm(12.5), to_exact_mm("5/8 in")
    (12.5, 15.875)
    """
    return float(_read(given, field))


def show_length(mm: float, unit: str = "mm", *, with_unit: bool = True) -> str:
    r"""A length as people of a practice read it.

    ``unit`` is "mm" or "in" (the practice set's ``display_unit``). Millimetres are shown to a tenth
    where they are not whole; without their unit if ``with_unit`` is false, as drawings do. Inches
    come to the nearest sixteenth, with feet from 12 in on.

    >>> show_length(12.5), show_length(2908.3, "in"), show_length(9.5, "in")
    ('12.5 mm', '9\' 6 1/2"', '3/8"')
    """
    if unit == "mm":
        return f"{round(mm, 1) + 0.0:.10g}{' mm' if with_unit else ''}"
    if unit != "in":
        raise InputError("unit", given=unit, accepted="mm or in")
    sixteenths = _nearest(Fraction(mm) / MM_PER_INCH * _SIXTEENTHS)
    sign, sixteenths = ("-", -sixteenths) if sixteenths < 0 else ("", sixteenths)
    feet, rest = divmod(sixteenths, 12 * _SIXTEENTHS)
    whole, parts = divmod(rest, _SIXTEENTHS)
    fraction = str(Fraction(parts, _SIXTEENTHS)) if parts else ""
    inches = " ".join(part for part in (str(whole) if whole or not fraction else "", fraction) if part)
    return f"{sign}{feet}' {inches}\"" if feet else f'{sign}{inches}"'


def _read(given: object, field: str) -> Fraction:
    length: Fraction | None = None
    if isinstance(given, str) and len(given) <= _LONGEST_TEXT:
        metric = _metric(given.strip())
        length = _imperial(given.strip()) if metric is None else metric
    elif isinstance(given, int | float) and not isinstance(given, bool) and abs(given) <= _GREATEST_MM:
        length = Fraction(given)
    if length is None or abs(length) > _GREATEST_MM:
        raise InputError(field, given=given, accepted=_ACCEPTED)
    return length


def _metric(text: str) -> Fraction | None:
    found = _METRIC.match(text)
    if not found:
        return None
    sign, number, unit = found.groups()
    return Fraction(number) * _PER_UNIT[unit] * (-1 if sign == "-" else 1)


def _imperial(text: str) -> Fraction | None:
    found = _IMPERIAL.match(text)
    if not found or not any(found.groups()[1:]):
        return None
    sign, feet, whole, parts, parts_alone = found.groups()
    inches = Fraction(feet or 0) * 12 + Fraction(whole or 0) + Fraction(parts or parts_alone or 0)
    return inches * MM_PER_INCH * (-1 if sign == "-" else 1)


def _nearest(value: Fraction) -> int:
    whole = math.floor(abs(value) + Fraction(1, 2))
    return -whole if value < 0 else whole
