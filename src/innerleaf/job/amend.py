"""Changes to a job file that a page asks for: one field of one wall, as little of the text as possible."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from innerleaf.job.model import JobWall
from innerleaf.reading import Place, value_at
from innerleaf.writing import Change, Insert, Put, Remove


def field_of_wall(value: Any, wall: JobWall, field: str) -> Any:
    """What the file says of a field of a wall: by itself, by its type or by the defaults; None if nowhere.

    ``value`` is what the file says in all, as `reading` gives it.
    """
    return value_at(value, wall.places.get(field, (*wall.place, field)))


def set_field_of_wall(value: Any, wall: JobWall, field: str, new: Any) -> tuple[Change, ...]:
    """Changes after which the wall itself says ``new`` of a field; with None it says nothing of its own.

    A list or group that the wall had from its type is written into the wall as a whole: the type stays.
    """
    place = (*wall.place, field)
    return differences(place, value_at(value, place), new)


def differences(place: Place, old: Any, new: Any) -> tuple[Change, ...]:
    """Changes that turn what stands at a place into something else; small ones where they suffice."""
    if old == new and type(old) is type(new):
        return ()
    if new is None:
        return (Remove(place),)
    if isinstance(old, dict) and isinstance(new, dict):
        kept = [key for key in old if key in new]
        gone = [Remove((*place, key)) for key in old if key not in new]
        if kept:
            return (*gone, *(part for key in new for part in _put(place, key, old.get(key), new[key])))
    if isinstance(old, list) and isinstance(new, list) and old and new:
        return _of_lists(place, old, new)
    return (Put(place, new),)


def _put(place: Place, key: str, old: Any, new: Any) -> tuple[Change, ...]:
    return differences((*place, key), old, new) if new is not None else (Put((*place, key), None),)


def _of_lists(place: Place, old: Sequence[Any], new: Sequence[Any]) -> tuple[Change, ...]:
    """Items that came or went one after the other; items of equal number one by one."""
    if len(old) == len(new):
        return tuple(
            part
            for number, (before, after) in enumerate(zip(old, new, strict=True))
            for part in _item(place, number, before, after)
        )
    shorter, longer = sorted((old, new), key=len)
    head = next((n for n, (a, b) in enumerate(zip(shorter, longer, strict=False)) if a != b), len(shorter))
    extra = len(longer) - len(shorter)
    if list(longer[head + extra :]) != list(shorter[head:]):
        return (Put(place, list(new)),)
    if len(new) > len(old):
        return tuple(Insert((*place, head + n), new[head + n]) for n in range(extra))
    return tuple(Remove((*place, head)) for _ in range(extra))


def _item(place: Place, number: int, before: Any, after: Any) -> tuple[Change, ...]:
    return (Put((*place, number), None),) if after is None else differences((*place, number), before, after)
