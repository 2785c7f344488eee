"""Millimetres and inches at the rim: how people write and read lengths. Inside, all is millimetres.

An inch is 25.4 mm exactly, so reading is exact; whole millimetres are the nearest, halves away from
zero, and inches are shown to the nearest sixteenth. Areas, U-values and resistances are converted by the
exact ratios of their units; sentences that hold such figures can be shown in the other units too.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable
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


# What one unit of the right is of the left. The British thermal unit of the International Table is
# 1055.05585262 J exactly (BS 350, from memory), the degree Fahrenheit 5/9 K, the foot 0.3048 m.
_FOOT: Final = Fraction(3048, 10_000)
_BTU: Final = Fraction(105_505_585_262, 10**8)
_U: Final = _BTU / 3600 / _FOOT**2 / Fraction(5, 9)
CUSTOMARY: Final[dict[str, tuple[str, Fraction]]] = {
    "m²": ("ft²", _FOOT**2),
    "W/(m²·K)": ("BTU/(h·ft²·°F)", _U),
    "m²·K/W": ("h·ft²·°F/BTU", 1 / _U),
}
_METRIC_OF: Final = {name: (metric, ratio) for metric, (name, ratio) in CUSTOMARY.items()}
_LENGTH_IN_MM: Final = {"mm": 1, "m": 1000}
_SPELT: Final = {"m²K/W": "m²·K/W", "W/(m²K)": "W/(m²·K)"}
_NUMBER: Final = r"-?[0-9]+(?:\.[0-9]+)?"
_FIGURES: Final = re.compile(
    rf"(?<![\w.-])({_NUMBER}(?: × {_NUMBER}){{0,2}}) (mm|m²·?K/W|m²|W/\(m²·?K\)|m)(?![\w²³/·(-])"
)
_BARE: Final = re.compile(r"([+±]?|.*(?:sill |reveal |Ø))([0-9]+)(?: × ([0-9]+))?\Z")


def to_customary(value: Fraction | float, unit: str) -> tuple[Fraction | float, str]:
    """A figure in m², W/(m²·K) or m²·K/W in the customary unit of the same thing, and that unit.

    Exact if the value is a fraction. A figure of another unit comes back as it is.

    >>> to_customary(Fraction(9290304, 10**8), "m²")
    (Fraction(1, 1), 'ft²')
    """
    name, ratio = CUSTOMARY.get(_SPELT.get(unit, unit), (unit, Fraction(1)))
    return (value / ratio if isinstance(value, Fraction) else value / float(ratio)), name


def from_customary(value: Fraction | float, unit: str) -> tuple[Fraction | float, str]:
    """The way back from `to_customary`."""
    name, ratio = _METRIC_OF.get(unit, (unit, Fraction(1)))
    return (value * ratio if isinstance(value, Fraction) else value * float(ratio)), name


def show_figure(value: float, unit: str, shown: str = "mm", *, digits: int = 3) -> str:
    r"""A figure with its unit, as people of a practice read it: with so many digits; lengths as they do.

    ``shown`` is "mm" or "in", as for `show_length`.

    >>> show_figure(0.2500, "W/(m²·K)"), show_figure(0.25, "W/(m²·K)", "in"), show_figure(2600, "mm", "in")
    ('0.25 W/(m²·K)', '0.044 BTU/(h·ft²·°F)', '8\' 6 3/8"')
    """
    if shown == "in" and unit in _LENGTH_IN_MM:
        return show_length(value * _LENGTH_IN_MM[unit], "in")
    if shown == "in":
        value, unit = _as_float(to_customary(value, unit))
    return f"{value:.{digits}g} {'' if unit == '-' else unit}".rstrip()


def show_sentence(sentence: str, shown: str = "mm") -> str:
    r"""A sentence with its lengths, areas, U-values and resistances in inches, feet and BTU.

    >>> show_sentence("strip of 140 mm left, board 1200 × 2600 mm, 0.25 W/(m²·K)", "in")
    'strip of 5 1/2" left, board 3\' 11 1/4" × 8\' 6 3/8", 0.0440 BTU/(h·ft²·°F)'
    """
    return _FIGURES.sub(_in_customary, sentence) if shown == "in" else sentence


def show_bare(words: str, shown: str = "mm") -> str:
    r"""Words of a drawing: a length, or two with × between, that stand without their unit; else unchanged.

    >>> show_bare("1200 × 2600", "in"), show_bare("+2600", "in"), show_bare("S4", "in")
    ('3\' 11 1/4" × 8\' 6 3/8"', '+8\' 6 3/8"', 'S4')
    """
    if " · " in words:
        return " · ".join(show_bare(part, shown) for part in words.split(" · "))
    found = _BARE.match(words) if shown == "in" and words != "0" else None
    if not found:
        return words
    sign, one, other = found.groups()
    return sign + " × ".join(show_length(float(part), "in") for part in (one, other) if part)


def show_column(name: str, shown: str = "mm") -> tuple[str, Callable[[float], str] | None]:
    """Heading of a column that names its unit in brackets, and how its figures are shown; None: as they are.

    >>> heading, show = show_column("area [m²]", "in")
    >>> heading, show and show(1.0)
    ('area [ft²]', '10.8')
    """
    start, _, rest = name.rpartition("[")
    unit = rest.removesuffix("]") if start and rest.endswith("]") else ""
    if shown != "in" or not unit:
        return name, None
    if unit in _LENGTH_IN_MM:
        return f"{start}[ft in]", lambda value: show_length(value * _LENGTH_IN_MM[unit], "in")
    _, other = to_customary(1.0, unit)
    if other == unit:
        return name, None
    return f"{start}[{other}]", lambda value: f"{float(to_customary(value, unit)[0]):.3g}"


def _in_customary(found: re.Match[str]) -> str:
    figures, unit = found[1].split(" × "), found[2]
    if unit in _LENGTH_IN_MM:
        return " × ".join(show_length(float(each) * _LENGTH_IN_MM[unit], "in") for each in figures)
    made = [_as_float(to_customary(float(each), unit)) for each in figures]
    return " × ".join(f"{value:#.3g}".rstrip(".") for value, _ in made) + f" {made[0][1]}"


def _as_float(figure: tuple[Fraction | float, str]) -> tuple[float, str]:
    return float(figure[0]), figure[1]


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
