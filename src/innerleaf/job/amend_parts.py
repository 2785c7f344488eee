"""Changes to the rooms and walls of a job file: added, copied, renamed, taken away; the rest stays.

What speaks of a room or wall by its id elsewhere (sides of rooms, groups that align, lists of rooms) follows.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from typing import Any, Final

from innerleaf.errors import InputError
from innerleaf.reading import Place, value_at
from innerleaf.writing import Change, Insert, Put, Remove

# Keys under which an id of a wall (room) stands, by itself or in lists; not the lists of parts themselves.
_APART: Final = ("flat_types", "flats")  # ids of their own
_OF_WALLS: Final = ("wall", "walls", "align")
_OF_ROOMS: Final = ("room", "rooms", "beyond", "open_to")


def added(value: Mapping[str, Any], section: str, parts: list[dict[str, Any]]) -> tuple[Change, ...]:
    """Rooms or walls at the end of their list, which may not be there yet."""
    there = value.get(section)
    if not there:
        return (Put((section,), parts),)
    return tuple(Insert((section, len(there) + number), part) for number, part in enumerate(parts))


def renamed_wall(value: Mapping[str, Any], old: str, new: str) -> tuple[Change, ...]:
    """The wall and all that speaks of it under another id."""
    at = _number(value, "walls", old)
    return (Put(("walls", at, "id"), new), *(Put(place, new) for place in _speaking(value, _OF_WALLS, {old})))


def renamed_room(value: Mapping[str, Any], old: str, new: str) -> tuple[Change, ...]:
    """The room and all that speaks of it under another id."""
    at = _number(value, "rooms", old)
    return (Put(("rooms", at, "id"), new), *(Put(place, new) for place in _speaking(value, _OF_ROOMS, {old})))


def copied_wall(value: Mapping[str, Any], wall: str, new: str, room: str = "") -> tuple[Change, ...]:
    """A wall like another, after it; in another room if one is named."""
    at = _number(value, "walls", wall)
    _free(value, "walls", new)
    made = {**value["walls"][at], "id": new} | ({"room": room} if room else {})
    return (Insert(("walls", at + 1), made),)


def copied_room(value: Mapping[str, Any], room: str, new: str) -> tuple[Change, ...]:
    """A room like another, after it, with walls like those of the other; their ids end in that of the room.

    Where a room lies on plan is not copied, nor what lies beyond its sides.
    """
    at = _number(value, "rooms", room)
    _free(value, "rooms", new)
    theirs = [wall for wall in value.get("walls") or [] if wall.get("room") == room]
    taken = {wall.get("id") for wall in value.get("walls") or []}
    ids = {}
    for number, wall in enumerate(theirs, 1):
        wanted = f"{new}-{number}"
        ids[wall["id"]] = wanted if wanted not in taken else f"{new}-{number}-copy"
    old = value["rooms"][at]
    made = {key: part for key, part in old.items() if key not in ("place", "name")} | {"id": new}
    if "sides" in old:
        made["sides"] = [
            {
                key: ids.get(part, part) if key == "wall" else part
                for key, part in side.items()
                if key != "beyond"
            }
            for side in old["sides"]
        ]
    walls = [{**wall, "id": ids[wall["id"]], "room": new} for wall in theirs]
    return (Insert(("rooms", at + 1), made), *(added(value, "walls", walls) if walls else ()))


def without_wall(value: Mapping[str, Any], wall: str) -> tuple[Change, ...]:
    """Without one wall; the side that it stood on keeps its length."""
    at = _number(value, "walls", wall)
    return (*_forgotten(value, {wall}), Remove(("walls", at)))


def without_room(value: Mapping[str, Any], room: str) -> tuple[Change, ...]:
    """Without one room and its walls."""
    at = _number(value, "rooms", room)
    walls = value.get("walls") or []
    theirs = [number for number, wall in enumerate(walls) if wall.get("room") == room]
    gone = {walls[number]["id"] for number in theirs}
    beyond = _speaking(value, _OF_ROOMS, {room})
    kept = [place for place in beyond if place[0] != "walls" and place[:2] != ("rooms", at)]
    return (
        *_removals(value, kept),
        *_forgotten(value, gone, but=("rooms", at)),
        *(Remove(("walls", number)) for number in reversed(theirs)),
        Remove(("rooms", at)),
    )


def _number(value: Mapping[str, Any], section: str, name: str) -> int:
    """Where a room or wall stands in its list."""
    parts = value.get(section) or []
    found = next((at for at, part in enumerate(parts) if str(part.get("id")) == name), None)
    if found is None:
        known = ", ".join(str(part.get("id")) for part in parts[:20]) or "(there are none)"
        raise InputError(section.removesuffix("s"), given=name, accepted=f"one of {known}")
    return found


def _free(value: Mapping[str, Any], section: str, name: str) -> None:
    if any(str(part.get("id")) == name for part in value.get(section) or []):
        raise InputError("id", given=name, accepted="an id that no other has")


def _speaking(value: Any, keys: Collection[str], names: Collection[str], at: Place = ()) -> list[Place]:
    """Places where one of the names stands under one of the keys, first to last."""
    found: list[Place] = []
    parts: Iterator[tuple[str | int, Any]] = iter(())
    if isinstance(value, dict):
        parts = ((key, part) for key, part in value.items() if at or key not in _APART)
    elif isinstance(value, list):
        parts = iter(enumerate(value))
    for key, part in parts:
        place = (*at, key)
        if isinstance(part, str):
            named = next((step for step in reversed(place) if isinstance(step, str)), "")
            if part in names and named in keys:
                found.append(place)
        else:
            found += _speaking(part, keys, names, place)
    return found


def _forgotten(value: Mapping[str, Any], walls: Collection[str], but: Place = ()) -> Iterator[Change]:
    """Changes after which nothing speaks of walls; a side gets the length that its wall had."""
    lengths = {wall["id"]: wall.get("length") for wall in value.get("walls") or [] if wall["id"] in walls}
    places = [place for place in _speaking(value, _OF_WALLS, walls) if not but or place[:2] != but]
    for place in places:
        side = value_at(value, place[:-1])
        if place[-1] == "wall" and place[0] == "rooms" and "length" not in side:
            length = lengths.get(side["wall"])
            if length is not None:
                yield Put((*place[:-1], "length"), length)
    yield from _removals(value, places)


def _removals(value: Any, places: Sequence[Place]) -> Iterator[Change]:
    """Without what stands there, the last first; a group of which one would be left goes whole."""
    gone: dict[Place, None] = {}
    for place in places:
        around = place[:-1]
        within = [other for other in places if other[:-1] == around]
        group = len(place) > 1 and isinstance(place[-1], int) and isinstance(place[-2], int)
        gone[around if group and len(value_at(value, around)) - len(within) < 2 else place] = None
    return (Remove(place) for place in reversed(gone))
