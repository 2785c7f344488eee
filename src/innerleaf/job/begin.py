"""A job file begun step by step: what each step says is written in the order the person says it.

A section that is not there yet comes to the end of the text with a comment; one that is there is changed as
`amend` changes things: every other character stays.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from functools import cache
from importlib.resources import as_file, files
from typing import Any, Final

from innerleaf.job.amend import differences
from innerleaf.job.schema import CHOOSE
from innerleaf.reading import Text, read_file, read_text, value_at
from innerleaf.writing import Change, Put, changed, one_line

STEPS: Final = ("site", "room", "wall", "targets", "lining")
OLD_WALL: Final = "old-wall"  # the construction that the first wall brings
FIRST_WALL: Final = "W-01"

_HEAD: Final = """\
# A job: one building, its rooms, its walls and the linings wanted, in the order it was begun.
#
# Lengths are millimetres; a text may carry its unit ("2.6 m", "9' 6\\""). x counts from the left end of
# a wall as you stand in the room and look at it, y from the floor up.
format: 1

# Where it is built; the practice set holds the rules and the catalogue.
"""
_ROOMS: Final = """
# The rooms as measured: sides in the order one walks, looking at one after the other, turning to the right.
rooms:
"""
_CONSTRUCTIONS: Final = """
# What the old walls are made of, from outside to inside.
constructions:
"""
_WALLS: Final = """
# The walls to be lined. Their linings stand under `linings`; `choose` leaves the choice to the program.
walls:
"""
_LININGS: Final = """
# The linings wanted. The first board lies on the frame, the last one is seen.
linings:
"""
_CHOOSE: Final = """
# What linings left to `choose` are chosen by, for the building together.
choose:
  objective: cost
"""


@cache
def suggestions() -> Mapping[str, Any]:
    """Linings and old walls to begin with, as a job file writes them."""
    with as_file(files("innerleaf.job").joinpath("begin.yaml")) as path:
        value = read_file(path).checked().value
    assert isinstance(value, dict)
    return value


def begun(site: Mapping[str, Any], firm: Mapping[str, Any], why: str = "") -> str:
    """The text of a new job that has a site only; ``why`` is said of its climate."""
    lines = ["site:"]
    for key, part in site.items():
        if isinstance(part, dict):
            lines += [f"  {key}: # {why}", *(f"    {name}: {one_line(each)}" for name, each in part.items())]
        else:
            lines.append(f"  {key}: {one_line(part)}")
    if firm:
        lines += ["", "firm:", *(f"  {key}: {one_line(part)}" for key, part in firm.items())]
    return _HEAD + "\n".join(lines) + "\n"


def with_site(text: str, read: Text, site: Mapping[str, Any], firm: Mapping[str, Any]) -> str:
    """The text with another site; what the step does not ask stays."""
    changes = [*_fields(read.value, ("site",), site), *_fields(read.value, ("firm",), firm)]
    return changed(text, read, changes)[0]


def with_room(text: str, read: Text, room: Mapping[str, Any], sides: Sequence[Mapping[str, Any]]) -> str:
    """The text with the first room; a side that is lined keeps its wall, whose length is set.

    ``sides`` have a ``length`` and, where it is not a right turn, a ``turn``.
    """
    value = read.value
    before = value_at(value, ("rooms", 0))
    if before is None:
        rows = [f"  - id: {one_line(room['id'])}"]
        rows += [f"    {key}: {one_line(part)}" for key, part in room.items() if key != "id" and part]
        rows += ["    sides:", *(f"      - {one_line(side)}" for side in sides)]
        return _ended(text) + _ROOMS + "\n".join(rows) + "\n"
    changes = list(_fields(value, ("rooms", 0), {key: part for key, part in room.items() if key != "id"}))
    known = before.get("sides") or []
    merged = []
    for number, side in enumerate(sides):
        old = known[number] if number < len(known) else {}
        wall = old.get("wall")
        merged.append({key: old[key] for key in ("wall", "beyond") if key in old} | dict(side))
        at = _place_of(value, wall) if wall else None
        if at is not None:
            del merged[-1]["length"]
            changes += differences((*at, "length"), value_at(value, (*at, "length")), side["length"])
    changes += differences(("rooms", 0, "sides"), before.get("sides"), merged)
    return changed(text, read, changes)[0]


def sides_of(value: Any, room: int = 0) -> list[dict[str, Any]]:
    """The sides of a room, each with its length, be it that of its wall."""
    made = []
    for side in value_at(value, ("rooms", room, "sides")) or []:
        at = _place_of(value, side.get("wall"))
        made.append({"length": value_at(value, (*at, "length"))} | side if at else dict(side))
    return made


def with_wall(
    text: str,
    read: Text,
    wall: Mapping[str, Any],
    layers: Sequence[Mapping[str, Any]],
    side: int | None,
) -> str:
    """The text with the first wall, on a side of the first room, and what the old wall is made of."""
    value = read.value
    if value_at(value, ("walls", 0)) is None:
        room = value["rooms"][0]
        parts = _ended(text)
        if OLD_WALL not in (value.get("constructions") or {}):
            layer_lines = "".join(f"    - {one_line(layer)}\n" for layer in layers)
            parts += f"{_CONSTRUCTIONS}  {OLD_WALL}:\n{layer_lines}"
        head = {"id": FIRST_WALL, "room": room["id"], "construction": OLD_WALL}
        parts += _WALLS + "".join(_item({**head, **wall, "lining": CHOOSE}))
        return _on_side(parts, read.name, 0, FIRST_WALL, side)
    at = ("walls", 0)
    changes = [*_fields(value, at, wall)]
    construction = ("constructions", value["walls"][0].get("construction", OLD_WALL))
    changes += differences(construction, value_at(value, construction), [dict(layer) for layer in layers])
    return _on_side(changed(text, read, changes)[0], read.name, 0, value["walls"][0]["id"], side)


def with_targets(
    text: str, read: Text, targets: Mapping[str, Any], loads: Sequence[Mapping[str, Any]]
) -> str:
    """The text with what the first wall must reach and what is to be hung on it."""
    wanted = {key: part for key, part in targets.items() if part is not None}
    said = {"targets": wanted or None, "loads": [dict(one) for one in loads] or None}
    return changed(text, read, tuple(_fields(read.value, ("walls", 0), said)))[0]


def with_lining(text: str, read: Text, name: str) -> str:
    """The text with the lining of the first wall: `choose`, one of the job, or one to begin with."""
    value = read.value
    known = value.get("linings") or {}
    text, read = changed(
        text, read, differences(("walls", 0, "lining"), value["walls"][0].get("lining"), name)
    )
    if name == CHOOSE:
        return text if "choose" in value else _ended(text) + _CHOOSE
    if name in known:
        return text
    lining = suggestions()["linings"][name]
    if known:
        return changed(text, read, [Put(("linings", name), lining)])[0]
    rows = "".join(f"    {key}: {one_line(part)}\n" for key, part in lining.items())
    return f"{_ended(text)}{_LININGS}  {name}:\n{rows}"


def next_step(value: Any) -> str:
    """The first step that the job says nothing of yet; "" when all are done (targets may be left out)."""
    walls = value.get("walls") or []
    if not value.get("rooms"):
        return "room"
    if not walls:
        return "wall"
    if walls[0].get("lining") != CHOOSE or "choose" in value:
        return ""
    return "lining" if any(key in walls[0] for key in ("targets", "loads")) else "targets"


def id_of(name: str, taken: Sequence[str], otherwise: str) -> str:
    """An id out of what people call a thing, that none has yet.

    >>> id_of("Living room", [], "room"), id_of("Küche", ["kuche"], "room"), id_of("廊", [], "room")
    ('living-room', 'kuche-2', 'room')
    """
    from unicodedata import normalize

    plain = normalize("NFKD", name).encode("ascii", "ignore").decode().lower()
    made = re.sub(r"[^a-z0-9]+", "-", plain).strip("-")[:30].strip("-") or otherwise
    numbered = (f"{made}-{number}" for number in range(2, len(taken) + 3))
    return next(free for free in (made, *numbered) if free not in taken)


def _fields(value: Any, place: tuple[str | int, ...], wanted: Mapping[str, Any]) -> Iterator[Change]:
    """Changes that set fields of a group, which may not be there yet; None takes a field away."""
    if value_at(value, place) is None:
        said = {key: part for key, part in wanted.items() if part is not None}
        if said:
            yield Put(place, said)
        return
    for key, part in wanted.items():
        old = value_at(value, (*place, key))
        if part is not None or old is not None:
            yield from differences((*place, key), old, part)


def _on_side(text: str, name: str, room: int, wall: str, side: int | None) -> str:
    """The text with the wall on that side of the room, and on no other."""
    read = read_text(text, name).checked()
    sides = value_at(read.value, ("rooms", room, "sides"))
    if not sides or side is None or not 0 <= side < len(sides):
        return text
    length = read.value["walls"][0].get("length")
    made = []
    for number, one in enumerate(sides):
        rest = {key: part for key, part in one.items() if key not in ("wall", "length")}
        if number == side:
            made.append({"wall": wall, **rest})
        elif one.get("wall") == wall:
            made.append({"length": length, **rest})
        else:
            made.append(one)
    return changed(text, read, differences(("rooms", room, "sides"), sides, made))[0]


def _place_of(value: Any, wall: str | None) -> tuple[str | int, ...] | None:
    walls = value.get("walls") or []
    return next((("walls", at) for at, one in enumerate(walls) if wall and one.get("id") == wall), None)


def _item(wall: Mapping[str, Any]) -> Iterator[str]:
    """A wall as an item of the list, a line for each field and each thing on it."""
    start = "  - "
    for key, part in wall.items():
        if part is None or part == []:
            continue
        if isinstance(part, list) and part and isinstance(part[0], dict):
            yield f"{start}{key}:\n"
            yield from (f"      - {one_line(each)}\n" for each in part)
        else:
            yield f"{start}{key}: {one_line(part)}\n"
        start = "    "


def _ended(text: str) -> str:
    return text if text.endswith("\n") else text + "\n"
