"""The operations of a job, wall by wall and room by room, and what each of them waits for."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from innerleaf.cost.labour import labour_of
from innerleaf.cost.price_lines import storeys_up
from innerleaf.cost.price_model import PriceBasis
from innerleaf.job.model import Job, JobRoom
from innerleaf.job.schema_programme import HoldPoint, OtherTrade, PlantItem, Programme
from innerleaf.layout.pieces import WallPlan
from innerleaf.programme import steps
from innerleaf.programme.hours import Hours, hours_by_step, steps_above_reach, steps_too_heavy
from innerleaf.programme.model import HOLD, OURS, TRADE, After, Operation
from innerleaf.programme.order import Room, after_of, before_of, rank
from innerleaf.takeoff.count import COATS
from innerleaf.takeoff.model import Takeoff

CLOSE_UP = HoldPoint.model_construct(
    id="close-up",
    name="close-up inspection",
    by="foreman",
    after="vapour layer",
    before="first board layer",
    hours=0.25,
    days=None,
    rooms=(),
    storeys=(),
)
"""The check that there always is, where the job names none before the boards."""


@dataclass(frozen=True, slots=True)
class Network:
    """All operations, room by room in the order of the work, and what waits for what."""

    operations: tuple[Operation, ...]
    links: tuple[After, ...]
    rooms: Mapping[str, JobRoom]


def operations_of(
    job: Job, said: Programme, plans: Sequence[WallPlan], takeoff: Takeoff, basis: PriceBasis
) -> Network:
    """Every operation with the hours that the price has for it; ``basis`` is that of the price."""
    lines = labour_of(basis.work, basis.rates, storeys_up(basis.pricing))
    hours = hours_by_step(plans, takeoff, lines)
    above, heavy = steps_above_reach(plans, takeoff, basis.work), steps_too_heavy(basis.work)
    room_of = {wall.id: wall.room for wall in job.walls}
    walls_of: dict[str, list[WallPlan]] = {}
    for plan in plans:
        walls_of.setdefault(room_of[plan.wall.id].id, []).append(plan)
    faces = {size.wall: size.face_m2 for size in basis.work.sizes}
    mass = _masses(takeoff)
    found: list[Operation] = []
    links: list[After] = []
    rooms = {wall.room.id: wall.room for wall in job.walls}
    for room, walls in walls_of.items():
        built = _Building(said, rooms[room], walls, hours)
        own = [
            replace(
                one,
                area_m2=_area(one, walls, faces),
                above_reach=any((wall, one.step) in above for wall in _walls(one, walls)),
                heavy=any((wall, one.step) in heavy for wall in _walls(one, walls)),
                mass_kg=sum(mass.get((wall, one.step), 0.0) for wall in _walls(one, walls)),
            )
            for one in built.operations()
        ]
        own = [_primed_in(replace(one, plant=tuple(_plant(said.plant, one))), said) for one in own]
        found += own
        links += built.links(own)
    return Network(tuple(found), tuple(dict.fromkeys(links)), rooms)


def _walls(one: Operation, walls: Sequence[WallPlan]) -> list[str]:
    return [one.wall] if one.wall else [plan.wall.id for plan in walls]


def _area(one: Operation, walls: Sequence[WallPlan], faces: Mapping[str, float]) -> float:
    if one.step == steps.PRIME:
        return _primed(walls, faces)
    return sum(faces[wall] for wall in _walls(one, walls))


def _primed(walls: Sequence[WallPlan], faces: Mapping[str, float]) -> float:
    """What is seen in the end and neither tiled nor left bare. [m²]"""
    painted = (
        plan.wall.id for plan in walls if not plan.wall.lining.tiled and COATS[plan.wall.lining.finish]
    )
    return sum(faces[wall] for wall in painted)


def _primed_in(one: Operation, said: Programme) -> Operation:
    """Priming with its time, which the price does not hold."""
    if one.step != steps.PRIME or said.priming is None:
        return one
    minutes = one.area_m2 * said.priming.minutes
    if one.kind == OURS:
        return replace(one, other_hours=max(1, round(minutes / 60 * 100)))
    return replace(one, minutes=max(1, round(minutes)))


def _masses(takeoff: Takeoff) -> dict[tuple[str, str], float]:
    """Mass that is brought in, by wall and step. [kg]"""
    found: dict[tuple[str, str], float] = {}
    for line in takeoff.lines:
        step = steps.BRING_BOARDS if line.group == "boards" else steps.BRING_FRAME
        for share in line.by_wall:
            if line.quantity:
                key = (share.place, step)
                found[key] = found.get(key, 0.0) + line.mass_kg * share.quantity / line.quantity
    return found


def _plant(items: Sequence[PlantItem], one: Operation) -> Iterator[str]:
    if one.kind != OURS:
        return
    for item in items:
        named = any(rank(step) == rank(one.step) for step in item.steps) or (
            "last coat" in item.steps and steps.coat_kind(one.step) in ("coat", steps.SKIM)
        )
        if named or (item.above_reach and one.above_reach):
            yield item.id


class _Building:
    """The operations of one room."""

    def __init__(
        self,
        said: Programme,
        room: JobRoom,
        walls: Sequence[WallPlan],
        hours: Mapping[tuple[str, str], Hours],
    ) -> None:
        self.said, self.room, self.walls, self.hours = said, room, walls, hours

    def operations(self) -> list[Operation]:
        """All of them, in the order of the work; those of walls wall by wall."""
        found = [*self._ours(), *self._prime()]
        found += [self._other(other) for other in self.said.others if self._concerns(other)]
        found += [self._hold(hold) for hold in self._holds()]
        return sorted(found, key=lambda one: (self._rank(one), self._place(one)))

    def links(self, own: Sequence[Operation]) -> list[After]:
        """What waits for what."""
        room = Room(own)
        found = [*room.chains()]
        for other in self.said.others:
            if self._concerns(other):
                found += self._between(room, other.id, other.after, other.before)
        for hold in self._holds():
            found += self._between(room, hold.id, hold.after, hold.before)
        return found

    def _between(self, room: Room, name: str, after: str | None, before: str) -> Iterator[After]:
        mine = self._id(name)
        for one in after_of(room, after) if after else ():
            yield After(before=one.id, after=mine, coat=steps.coat_kind(one.step))
        for one in before_of(room, before):
            yield After(before=mine, after=one.id)

    def _ours(self) -> Iterator[Operation]:
        room_hours: dict[str, Hours] = {}
        for plan in self.walls:
            wall = plan.wall.id
            for (of, step), hours in self.hours.items():
                if of != wall:
                    continue
                if steps.of_room(step):
                    room_hours[step] = room_hours.get(step, Hours()) + hours
                else:
                    yield self._made(f"{wall}/{step}", step, hours, wall)
        for step, hours in room_hours.items():
            yield self._made(self._id(step), step, hours, "")

    def _made(self, name: str, step: str, hours: Hours, wall: str) -> Operation:
        return Operation(
            id=name.replace(" ", "-"),
            step=step,
            kind=OURS,
            room=self.room.id,
            storey=self.room.storey,
            wall=wall,
            skill=steps.skill_of(step),
            hours=hours,
        )

    def _prime(self) -> Iterator[Operation]:
        wanted = self.said.priming
        painted = any(not p.wall.lining.tiled and COATS[p.wall.lining.finish] for p in self.walls)
        if wanted is None or not painted:
            return
        one = self._made(self._id(steps.PRIME), steps.PRIME, Hours(), "")
        yield replace(one, kind=TRADE, skill="", who=wanted.by) if wanted.by else one

    def _other(self, other: OtherTrade) -> Operation:
        minutes = round((other.hours or 0) * 60)
        one = self._made(self._id(other.id), other.name, Hours(), "")
        return replace(one, kind=TRADE, skill="", who=other.by or other.id, minutes=minutes)

    def _hold(self, hold: HoldPoint) -> Operation:
        one = self._made(self._id(hold.id), hold.name, Hours(), "")
        return replace(one, kind=HOLD, skill="", who=hold.by, minutes=round(hold.hours * 60))

    def _holds(self) -> list[HoldPoint]:
        mine = [hold for hold in self.said.hold_points if self._concerns(hold)]
        closes = any(hold.before == "first board layer" for hold in mine)
        return mine if closes else [*mine, CLOSE_UP]

    def _concerns(self, one: OtherTrade | HoldPoint) -> bool:
        anywhere = not one.rooms and not one.storeys
        return anywhere or self.room.id in one.rooms or self.room.storey in one.storeys

    def _id(self, step: str) -> str:
        return f"{self.room.id}/{step}".replace(" ", "-")

    def _rank(self, one: Operation) -> float:
        if one.kind == OURS or one.step == steps.PRIME:
            return rank(one.step)
        named: list[OtherTrade | HoldPoint] = [*self.said.others, *self._holds()]
        of = next(each for each in named if self._id(each.id) == one.id)
        return rank(of.before) - 0.5

    def _place(self, one: Operation) -> int:
        order = [plan.wall.id for plan in self.walls]
        return order.index(one.wall) if one.wall else -1
