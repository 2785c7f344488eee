"""The sides of rooms: each names a wall of its room, once, and a room that there is."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from innerleaf.job.faults import NOTHING, Report, Said, StandIn, one_of
from innerleaf.job.schema import JobFile, Room, Wall
from innerleaf.reading import Place


def check_plan(report: Report, file: JobFile) -> None:
    """Do the sides of all rooms go together with the walls?"""
    for base, rooms, walls in _sections(file):
        if report.is_unsure((*base, "walls")) or report.is_unsure((*base, "rooms")):
            continue
        ids = [room.id for room in rooms]
        of_room: dict[str, list[str]] = {}
        for wall in walls:
            of_room.setdefault(wall.room, []).append(wall.id)
        for number, room in enumerate(rooms):
            place = (*base, "rooms", number, "sides")
            _check_sides(report, place, room, of_room.get(room.id, []), ids)


def _sections(file: JobFile) -> Iterator[tuple[Place, Sequence[Room], Sequence[Wall]]]:
    yield (), file.rooms, file.walls
    for name, kind in file.flat_types.items():
        yield ("flat_types", name), kind.rooms, kind.walls


def _check_sides(
    report: Report, place: Place, room: Room, walls: Sequence[str], rooms: Sequence[str]
) -> None:
    named: set[str] = set()
    for number, side in enumerate(room.sides or ()):
        at = (*place, number)
        if side.length is None and side.wall is None:
            report.add((*at, "length"), given=NOTHING, accepted="the length of the side in mm, or its wall")
        if side.wall is not None and not isinstance(side.wall, StandIn):
            if side.wall not in walls:
                accepted = one_of(walls, side.wall, what=f"walls of room {room.id}")
                report.add((*at, "wall"), given=side.wall, accepted=accepted)
            elif side.wall in named:
                given = Said(f"{side.wall} on two sides")
                report.add((*at, "wall"), given=given, accepted="each wall on one side")
            named.add(side.wall)
        others = [one for one in rooms if one != room.id]
        if side.beyond is not None and not isinstance(side.beyond, StandIn) and side.beyond not in others:
            accepted = one_of(others, side.beyond, what="ids of other rooms")
            report.add((*at, "beyond"), given=side.beyond, accepted=accepted)
