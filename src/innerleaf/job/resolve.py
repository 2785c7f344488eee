"""From what is written to complete walls: types, defaults and changes filled in, flats repeated.

The nearest word counts: a change for some flats, then the wall itself, its wall type, the defaults
and last the room. Groups (``meets``, ``targets``, ``lining_changes``) are filled in field by field,
lists (``openings``, ``boxes`` and so on) count as a whole.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from innerleaf.job import parts
from innerleaf.job.book import Book, Level, Levels
from innerleaf.job.faults import Report, Said, StandIn, one_of
from innerleaf.job.lining import resolve_lining, resolve_wish
from innerleaf.job.model import JobRoom, JobWall
from innerleaf.job.outline import box_of
from innerleaf.job.schema import (
    CHOOSE,
    MOST_WALLS,
    Flats,
    JobFile,
    Room,
    Targets,
    TypedWall,
    Wall,
    WallFields,
)
from innerleaf.job.size import resolve_size
from innerleaf.job.sound import resolve_separates
from innerleaf.job.words import Name
from innerleaf.reading import Place

LONGEST_ID = Name().longest


@dataclass(frozen=True, slots=True)
class Resolved:
    """All rooms and walls; ``distinct`` has each wall of a flat type once, as far as it is typed once."""

    rooms: tuple[JobRoom, ...]
    walls: tuple[JobWall, ...]
    distinct: tuple[JobWall, ...]


def resolve(file: JobFile, report: Report) -> Resolved:
    """Fill in everything; what cannot be filled in goes into the report and is left out."""
    resolver = _Resolver(Book(file, report))
    resolver.job()
    return Resolved(tuple(resolver.rooms), tuple(resolver.walls), tuple(resolver.distinct))


@dataclass(frozen=True, slots=True)
class _RoomAt(Level):
    """A room and its place in the file."""

    part: Room


class _Resolver:
    def __init__(self, book: Book) -> None:
        self.book = book
        self.file = book.file
        self.rooms: list[JobRoom] = []
        self.walls: list[JobWall] = []
        self.distinct: list[JobWall] = []
        self.ids: dict[tuple[str, str], tuple[str, Place]] = {}

    def job(self) -> None:
        """The whole file."""
        if CHOOSE in self.file.linings:
            accepted = f"a name other than {CHOOSE}, which leaves the lining to be chosen"
            self.book.report.add(("linings", CHOOSE), given=CHOOSE, accepted=accepted, key=True)
        rooms = self._rooms((), self.file.rooms)
        for index, wall in enumerate(self.file.walls):
            place = ("walls", index)
            self._once("wall", wall.id, (*place, "id"))
            room = self._room(wall, place, rooms, ("rooms",))
            made = self._wall(wall, place, room)
            if made is not None:
                self.distinct.append(made)
                if room is not None:
                    self.walls.append(made)
        for name, kind in self.file.wall_types.items():
            self._names(kind, ("wall_types", name))
        used = set()
        for index, flats in enumerate(self.file.flats):
            place = ("flats", index)
            if self.book.find("flat_types", self._levels(place, [Level(flats, place)]), "type") is not None:
                used.add(flats.type)
                self._flats(flats, place)
        for name in self.file.flat_types.keys() - used:  # built nowhere, but its mistakes are said
            self._flats(
                Flats.model_construct(type=name, ids=(), storey=None, changes={}), ("flat_types", name)
            )
        if len(self.walls) > MOST_WALLS:
            given = Said(f"{len(self.walls)} walls with those of the flats")
            self.book.report.add((), given=given, accepted=f"{MOST_WALLS} or fewer in one job")

    def _levels(self, subject: Place, levels: Sequence[Level]) -> Levels:
        return Levels(self.book.report, subject, levels)

    def _names(self, kind: WallFields, place: Place) -> None:
        """Are the names in a wall type known, whether a wall is of this type or not?"""
        said = self._levels(place, [Level(kind, place)])
        self.book.find("constructions", said, "construction")
        if kind.lining != CHOOSE:
            self.book.find("linings", said, "lining", besides=(CHOOSE,))

    def _rooms(self, base: Place, rooms: Sequence[Room]) -> dict[str, _RoomAt]:
        by_id: dict[str, _RoomAt] = {}
        for index, room in enumerate(rooms):
            place = (*base, "rooms", index)
            if base:
                self._once(f"room of {base[1]}", room.id, (*place, "id"))
            else:
                self._once("room", room.id, (*place, "id"))
                self.rooms.append(_job_room(_RoomAt(room, place)))
            by_id[room.id] = _RoomAt(room, place)
        return by_id

    def _room(self, wall: Wall, place: Place, rooms: Mapping[str, _RoomAt], section: Place) -> _RoomAt | None:
        """The room of a wall; if it is unknown, a fault."""
        if isinstance(wall.room, StandIn):
            return None
        if wall.room in rooms:
            return rooms[wall.room]
        if not self.book.report.is_unsure(section):
            accepted = one_of(rooms, wall.room, what="ids of rooms")
            self.book.report.add((*place, "room"), given=wall.room, accepted=accepted)
        return None

    def _once(self, kind: str, name: str, place: Place, given: object = None) -> bool:
        """Is an id used once only, capitals or not (file names do not tell them apart)?"""
        if isinstance(name, StandIn):
            return True
        before = self.ids.setdefault((kind, name.lower()), (name, place))
        if before[1] == place and before[0] == name:
            return True
        line = self.book.report.text.position(before[1])[0]
        twin = f"{before[0]} in line {line}" if before[0] != name else f"in line {line}"
        accepted = f"an id used once (also {twin})"
        self.book.report.add(place, given=given or name, accepted=accepted)
        return False

    def _flats(self, flats: Flats, place: Place) -> None:
        """All flats of one group: their walls are filled in once and then named flat by flat."""
        kind = self.file.flat_types[flats.type]
        base: Place = ("flat_types", flats.type)
        known = [wall.id for wall in kind.walls]
        for name in flats.changes:
            if name not in known and not self.book.report.is_unsure((*base, "walls")):
                accepted = one_of(known, name, what=f"walls of flat type {flats.type}")
                self.book.report.add((*place, "changes", name), given=name, accepted=accepted, key=True)
        rooms = self._rooms(base, kind.rooms) if kind.rooms else {}
        walls = []
        for index, wall in enumerate(kind.walls):
            at = (*base, "walls", index)
            self._once(f"wall of {flats.type}", wall.id, (*at, "id"))
            room = self._room(wall, at, rooms, (*base, "rooms"))
            changed = flats.changes.get(wall.id)
            made = self._wall(wall, at, room, changed, (*place, "changes", wall.id))
            if made is not None:
                self.distinct.append(made)
                if room is not None:
                    walls.append(made)
        for n, flat in enumerate(flats.ids):
            self._flat(flat, (*place, "ids", n), flats.storey, list(rooms.values()), walls)

    def _flat(
        self, flat: str, place: Place, storey: str | None, rooms: Iterable[_RoomAt], walls: Sequence[JobWall]
    ) -> None:
        """One flat."""
        if not self._once("flat", flat, place):
            return
        named: dict[str, JobRoom] = {}
        for room in rooms:
            job_room = _job_room(room, flat, storey)
            named[room.part.id] = job_room
            if self._fits(job_room.id, flat, place) and self._once("room", job_room.id, place, job_room.id):
                self.rooms.append(job_room)
        for wall in walls:
            name = f"{flat}-{wall.id}"
            if self._fits(name, flat, place) and self._once("wall", name, place, name):
                called = wall.name if wall.name != wall.id else name
                self.walls.append(replace(wall, id=name, name=called, room=named[wall.room.id]))

    def _fits(self, name: str, flat: str, place: Place) -> bool:
        if len(name) > LONGEST_ID:
            accepted = f"ids that make {LONGEST_ID} characters or fewer together ({name} has {len(name)})"
            self.book.report.add(place, given=flat, accepted=accepted)
        return len(name) <= LONGEST_ID

    def _wall(
        self,
        wall: Wall,
        place: Place,
        room: _RoomAt | None,
        changed: TypedWall | None = None,
        changed_at: Place = (),
    ) -> JobWall | None:
        """One wall, complete, or None with its faults said."""
        nearest = (
            [Level(wall, place)] if changed is None else [Level(changed, changed_at), Level(wall, place)]
        )
        said = self._over_type(place, nearest)
        if said is None:
            return None
        size = resolve_size(self.book, said, room)
        lining = resolve_lining(self.book, said)
        construction = self.book.find("constructions", said, "construction")
        marks = parts.Marks()
        around = box_of(size[0]) if size else None
        openings = parts.below(said.pick("dado"), parts.openings(self.book, said, marks))
        obstacles = tuple(parts.obstacles(self.book, said, marks, around))
        boxes = tuple(parts.boxes(self.book, said, marks))
        loads = tuple(parts.loads(self.book, said, marks))
        targets = said.within("targets")
        if size is None:
            said.doubtful.add("outline")
        if construction and self.book.report.is_spoilt(
            ("constructions", said.pick("construction")), within=True
        ):
            said.doubtful.add("construction")
        return JobWall(
            id=wall.id,
            name=wall.name or wall.id,
            room=_job_room(room or _RoomAt(Room.model_construct(id=wall.room), ())),
            other_side=said.pick("other_side", "outside"),
            outline=size[0] if size else (),
            meets=size[1] if size else (),
            head_moves=said.pick("head_moves", False),
            openings=openings,
            obstacles=obstacles,
            boxes=boxes,
            loads=loads,
            construction=construction or (),
            offsets=said.pick("offsets"),
            building_joints_mm=said.pick("building_joints", ()),
            orientation=said.pick("orientation"),
            rain_exposure=said.pick("rain_exposure", "normal"),
            wood_ends=said.pick("wood_ends", False),
            damp=said.pick("damp", False),
            moisture_reading=said.pick("moisture_reading"),
            anchor_pull_n=said.pick("anchor_pull"),
            separates=resolve_separates(self.book, said),
            wet=said.pick("wet", room is not None and room.part.wet),
            questions=said.pick("questions", ()),
            flank_insulation=parts.named_or_none(said.pick("flank_insulation")),
            flank_width_mm=said.pick("flank_width"),
            lining=lining,
            wish=resolve_wish(said),
            targets=Targets.model_construct(**{name: targets.pick(name) for name in Targets.model_fields}),
            place=place,
            places=said.places,
            doubtful=said.doubtful,
        )

    def _over_type(self, place: Place, nearest: list[Level]) -> Levels | None:
        """The levels of a wall with its type and the defaults; None if its type is not known."""
        defaults = [Level(self.file.defaults, ("defaults",))] if self.file.defaults else []
        said = self._levels(place, [*nearest, *defaults])
        name, kind = said.pick("type"), self.book.find("wall_types", said, "type")
        if name is None:
            return None if "type" in said.doubtful else said
        if kind is None:
            return None
        return self._levels(place, [*nearest, Level(kind, ("wall_types", name)), *defaults])


def _job_room(at: _RoomAt, flat: str = "", storey: str | None = None) -> JobRoom:
    room = at.part
    return JobRoom(
        id=f"{flat}-{room.id}" if flat else room.id,
        name=(f"{room.name or room.id}, {flat}" if flat else room.name or room.id),
        storey=room.storey if storey is None else storey,
        use=room.use,
        wet=room.wet,
        humidity=room.humidity,
        crowd=room.crowd,
        plan=room.place,
        sides=room.sides or (),
        flat=flat,
        place=at.place,
    )
