"""Values as their dataclass wants them: the fields of an entry, checked and converted."""

from __future__ import annotations

import functools
from collections.abc import Iterator
from dataclasses import MISSING, fields
from enum import StrEnum
from typing import Any, Final, get_args, get_origin, get_type_hints

from innerleaf.errors import InputError
from innerleaf.practice.model import Consumable, Junction, Profile, RuleNote
from innerleaf.units import to_exact_mm, to_mm

_MAY_BE_ZERO: Final[dict[type, tuple[str, ...]]] = {
    RuleNote: ("value", "low", "high"),
    Profile: ("lip_mm", "splice_overlap_mm", "greatest_height_mm", "greatest_height_doubled_mm"),
    Consumable: ("width_mm", "per_m"),
    Junction: ("bearing_mm",),
}
_MAY_BE_EMPTY: Final = ("fits",)
_IN_UNIT: Final = ("value", "low", "high", "pack")  # lengths where the entry's unit is mm
_PLAIN: Final[dict[type, str]] = {
    str: "a text",
    bool: "true or false",
    int: "a whole number",
    float: "a number",
}


def identity(cls: type) -> str:
    """Name of the field that holds the key of an entry."""
    return fields(cls)[0].name


def converted(cls: type, said: dict[str, Any]) -> Iterator[tuple[str, Any]]:
    """Each field of a class with its value, or with the `InputError` that says what is wrong with it."""
    shape = _shape(cls)
    for field, given in said.items():
        if field not in shape:
            yield field, InputError(field, given=field, accepted=", ".join(shape))
            continue
        hint, _ = shape[field]
        length = field.endswith("_mm") or (field in _IN_UNIT and said.get("unit") == "mm")
        try:
            value = _value(hint, given, length=length)
            _check(value, zero=field in _MAY_BE_ZERO.get(cls, ()), empty=field in _MAY_BE_EMPTY)
        except InputError as error:
            yield field, InputError(field, given=given, accepted=error.accepted)
        else:
            yield field, value
    for field, (_, needed) in shape.items():
        if needed and field not in said:
            yield field, InputError(field, given=None, accepted="a value; it is missing")


@functools.cache
def _shape(cls: type) -> dict[str, tuple[Any, bool]]:
    """Type of each field that an entry gives, and whether it must."""
    hints = get_type_hints(cls)
    return {field.name: (hints[field.name], field.default is MISSING) for field in fields(cls)[1:]}


def _value(hint: Any, given: Any, *, length: bool) -> Any:
    if get_origin(hint) is tuple:
        return _ordered(get_args(hint)[0], given, length=length)
    if issubclass(hint, StrEnum):
        if given not in list(hint):
            raise InputError("", given=given, accepted=", ".join(hint))
        return hint(given)
    if length:
        return to_mm(given) if hint is int else to_exact_mm(given)
    accepted = int | float if hint is float else hint
    if not isinstance(given, accepted) or (isinstance(given, bool) and hint is not bool):
        raise InputError("", given=given, accepted=_PLAIN[hint])
    return float(given) if hint is float else given


def _ordered(hint: Any, given: Any, *, length: bool) -> tuple[Any, ...]:
    accepted = "a list, smallest first, nothing twice"
    if not isinstance(given, list) or not given:
        raise InputError("", given=given, accepted=accepted)
    items = tuple(_value(hint, item, length=length) for item in given)
    if list(items) != sorted(set(items)):
        raise InputError("", given=given, accepted=accepted)
    return items


def _check(value: Any, *, zero: bool, empty: bool) -> None:
    if isinstance(value, str) and not value.strip() and not empty:
        raise InputError("", given=value, accepted="a text that is not empty")
    for number in value if isinstance(value, tuple) else (value,):
        if isinstance(number, int | float) and not isinstance(number, bool) and number <= 0:
            if zero and number == 0:
                continue
            raise InputError("", given=number, accepted="0 or more" if zero else "above 0")
