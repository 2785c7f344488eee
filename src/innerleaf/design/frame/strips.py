"""Members of a wall as set out, as beams: what holds each, and what it has to bear in each load case.

Lengths in m along the member from its foot; loads positive towards the old wall. [N]
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from innerleaf.design.frame.hung import Hung, hung_on
from innerleaf.layout.pieces import Member, Role, WallPlan
from innerleaf.layout.zone import Blocker, Zone, spans_over, subtract, y_at
from innerleaf.physics.frame.beam import RIGID, Force, Spread, Support, bend
from innerleaf.practice.structure import LoadCase, Structure
from innerleaf.survey.wall import Meets, OpeningKind

Place = tuple[float, float]  # height [m], force [N] or stiffness [N/m]

HUNG: Final = "hung loads"
_NEAR_MM: Final = 60.0  # a member stops at most this far from what it meets: tolerance and movement


@dataclass(frozen=True, slots=True, kw_only=True)
class Strip:
    """One member under one load case, all loads without load factor."""

    member: Member
    case: str
    load_factor: float
    length: float  # [m]
    supports: tuple[Place, ...]
    brackets: tuple[str, ...]  # marks of those among the supports, which come after foot and head
    borne: tuple[float, float]  # of a level load: the stretches left and right that the member bears [m]
    forces: tuple[Place, ...]
    spreads: tuple[tuple[float, float, float], ...]  # from, to [m], load [N/m]
    stiffness: float  # EI [N·m²]

    @property
    def held(self) -> bool:
        """Whether it stands: two supports at different heights."""
        return len({place for place, _ in self.supports}) > 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """What a strip does; all without load factor."""

    strip: Strip
    deflection: float  # where it is greatest against its span [m]
    span: float  # [m]
    at: float  # [m]
    moment: float  # the greatest, without sign [N·m]
    moment_at: float
    reactions: tuple[float, ...]  # of the supports in their order, positive against loads towards the wall

    @property
    def sag(self) -> float:
        """Deflection over span."""
        return self.deflection / self.span


def strips_of(
    plan: WallPlan, structure: Structure, cases: Sequence[LoadCase], stiffness: Mapping[str, float]
) -> tuple[list[Strip], tuple[str, ...]]:
    """Every member that stands free, in every load case that touches it, and the marks of those not held.

    ``stiffness`` is EI by member. [N·m²] Members fixed to structure along their length are left out. What
    short members over and under an opening put on its head and sill goes on to the posts beside it.
    """
    wall = Standing(plan, structure, stiffness)
    loose = tuple(member.mark for member in wall.members if not wall.strip(member, cases[0]).held)
    held = [member for member in wall.members if member.mark not in loose]
    found: list[Strip] = []
    works: list[tuple[LoadCase | None, str, float]] = [(case, case.id, case.load_factor) for case in cases]
    if wall.hung:
        works.append((None, HUNG, structure.hung["lever"].load_factor))
    for case, _, _ in works:
        strips = [wall.strip(member, case) for member in held]
        handed = wall.handed_on(strips)
        loaded = (replace(s, forces=(*s.forces, *handed.get(s.member.mark, ()))) for s in strips)
        found += [strip for strip in loaded if strip.forces or strip.spreads]
    return found, loose


def outcomes_of(strips: Iterable[Strip]) -> list[Outcome]:
    """Bend all strips, those with the same number of supports together."""
    groups: dict[int, list[Strip]] = {}
    for strip in strips:
        groups.setdefault(len(strip.supports), []).append(strip)
    return [outcome for group in groups.values() for outcome in _bent(group)]


def _bent(group: Sequence[Strip]) -> Iterator[Outcome]:
    length = np.array([s.length for s in group])
    supports = [
        Support(np.array([s.supports[k][0] for s in group]), np.array([s.supports[k][1] for s in group]))
        for k in range(len(group[0].supports))
    ]
    forces = [
        Force(*np.array([s.forces[k] if k < len(s.forces) else (0.0, 0.0) for s in group]).T)
        for k in range(max(len(s.forces) for s in group))
    ]
    spreads = [
        Spread(*np.array([s.spreads[k] if k < len(s.spreads) else (0.0, 0.0, 0.0) for s in group]).T)
        for k in range(max(len(s.spreads) for s in group))
    ]
    bent = bend(length, np.array([s.stiffness for s in group]), supports, [*forces, *spreads])
    moment, sag = bent.greatest_moment(), bent.greatest_sag()
    deflection = bent.deflection(sag.at[..., None])[..., 0]
    for k, strip in enumerate(group):
        ratio = float(sag.value[k])
        yield Outcome(
            strip=strip,
            deflection=abs(float(deflection[k])),
            span=float(deflection[k]) / ratio if ratio else strip.length,
            at=float(sag.at[k]),
            moment=abs(float(moment.value[k])),
            moment_at=float(moment.at[k]),
            reactions=tuple(float(r) for r in bent.reactions[k]),
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Curves:
    """A strip from foot to head, without load factor: places [m], deflection [m], moment [N·m]."""

    at: tuple[float, ...]
    deflection: tuple[float, ...]
    moment: tuple[float, ...]


def curves_of(strip: Strip, points: int = 121) -> Curves:
    """How a strip bends, at places evenly along it and at all its supports and loads."""
    bent = bend(
        strip.length,
        strip.stiffness,
        [Support(*support) for support in strip.supports],
        [*(Force(*force) for force in strip.forces), *(Spread(*spread) for spread in strip.spreads)],
    )
    marked = [at for at, _ in (*strip.supports, *strip.forces)]
    places = np.unique([*np.linspace(0.0, strip.length, points), *np.clip(marked, 0.0, strip.length)])
    return Curves(
        at=tuple(places.tolist()),
        deflection=tuple(bent.deflection(places).tolist()),
        moment=tuple(bent.moment(places).tolist()),
    )


class Standing:
    """The members of one wall that are beams, and questions about what is around each."""

    def __init__(self, plan: WallPlan, structure: Structure, stiffness: Mapping[str, float]) -> None:
        self.plan, self.structure, self.stiffness = plan, structure, stiffness
        self.zone = Zone(plan.wall)
        fixed = {line.bar for line in plan.fixings}
        fixed_members = {bar.member for bar in plan.bars if bar.mark in fixed}
        self.members = [m for m in plan.members if m.mark not in fixed_members and m.role != Role.SIDE_TRACK]
        self.hung: tuple[Hung, ...] = hung_on(plan)
        self.doors = {o.id for o in plan.wall.openings if o.kind == OpeningKind.DOOR}

    def strip(self, member: Member, case: LoadCase | None) -> Strip:
        """A member under a load case; None: under the hung loads."""
        foot, head = self._ends(member)
        long = (member.top_mm - member.bottom_mm) / 1000
        ends = [(0.0, RIGID)] * (foot is not None) + [(long, RIGID)] * (head is not None)
        spring = self.structure.springs["bracket"].stiffness_n_mm * 1000
        brackets = [b for b in self.plan.brackets if b.member == member.mark]
        places = [((b.y_mm - member.bottom_mm) / 1000, spring) for b in brackets]
        borne, forces = (0.0, 0.0), self._hung_forces(member) if case is None else []
        if case and case.line_load_n_m:
            borne, forces = self._line_load(member, case)
        return Strip(
            member=member,
            case=case.id if case else HUNG,
            load_factor=case.load_factor if case else self.structure.hung["lever"].load_factor,
            length=long,
            supports=(*ends, *places),
            brackets=tuple(b.mark for b in brackets),
            borne=borne,
            forces=tuple(forces),
            spreads=tuple(self._pressure(member, case) if case and case.pressure_pa else ()),
            stiffness=self.stiffness[member.mark],
        )

    def handed_on(self, strips: Sequence[Strip]) -> dict[str, list[Place]]:
        """Forces on the posts beside openings from the members that end at heads and sills."""
        short = [s for s in strips if (s.forces or s.spreads) and any(self._openings_at(s.member))]
        handed: dict[str, list[Place]] = {}
        for outcome in outcomes_of(short):
            member = outcome.strip.member
            for end, opening in enumerate(self._openings_at(member)):
                if opening is None:
                    continue
                edge = opening.y1 if end == 0 else opening.y0
                reaction = outcome.reactions[self._support_of_end(member, end)]
                for post, share in self._posts(opening, edge, member.x_mm):
                    at = (edge - post.bottom_mm) / 1000
                    handed.setdefault(post.mark, []).append((at, reaction * share))
        return handed

    def width(self, member: Member, y: float, *, doors: bool = False) -> tuple[float, float]:
        """The stretch of lining at a height that a member bears, left and right of it. [mm]

        Half way to its neighbours; all of a strip that ends at a jamb, a column or the end of the wall
        where no member stands. With ``doors`` half of the door beyond a jamb as well.
        """
        x = member.x_mm
        low, high, left_door, right_door = next(
            (s for s in self.level(y) if s[0] <= x <= s[1]), (x, x, 0.0, 0.0)
        )
        near = [
            m.x_mm
            for m in self.plan.members
            if m.bottom_mm - _NEAR_MM <= y <= m.top_mm + _NEAR_MM and low <= m.x_mm <= high
        ]
        left, right = (
            max((at for at in near if at < x), default=None),
            min((at for at in near if at > x), default=None),
        )
        leaf = (left_door, right_door) if doors else (0.0, 0.0)
        return (
            (x - left) / 2 if left is not None else x - low + leaf[0],
            (right - x) / 2 if right is not None else high - x + leaf[1],
        )

    def level(self, y: float) -> list[tuple[float, float, float, float]]:
        """Stretches of lining at a height: from, to, and half the door that each end is the jamb of. [mm]"""
        turned = tuple((py, px) for px, py in self.zone.outline)
        spans = spans_over([turned], y, y)
        crossed = [b for b in self.zone.blockers if b.y0 < y < b.y1]
        for b in crossed:
            spans = subtract(spans, b.x0, b.x1)
        doors = [b for b in crossed if b.id in self.doors]
        left: dict[float, float] = {b.x1: (b.x1 - b.x0) / 2 for b in doors}
        right: dict[float, float] = {b.x0: (b.x1 - b.x0) / 2 for b in doors}
        return [(low, high, left.get(low, 0.0), right.get(high, 0.0)) for low, high in spans]

    def _line_load(self, member: Member, case: LoadCase) -> tuple[tuple[float, float], list[Place]]:
        y = self._floor(member.x_mm) + case.height_mm
        if not member.bottom_mm < y < member.top_mm:
            return (0.0, 0.0), []
        left, right = (part / 1000 for part in self.width(member, y, doors=True))
        return (left, right), [((y - member.bottom_mm) / 1000, case.line_load_n_m * (left + right))]

    def _pressure(self, member: Member, case: LoadCase) -> list[tuple[float, float, float]]:
        edges = {y for b in self.zone.blockers for y in (b.y0, b.y1) if member.bottom_mm < y < member.top_mm}
        cuts = sorted({member.bottom_mm, member.top_mm, *edges})
        return [
            (
                (low - member.bottom_mm) / 1000,
                (high - member.bottom_mm) / 1000,
                case.pressure_pa * sum(self.width(member, (low + high) / 2)) / 1000,
            )
            for low, high in zip(cuts, cuts[1:], strict=False)
        ]

    def _hung_forces(self, member: Member) -> list[Place]:
        arm, depths = self.structure.hung["lever"].arm_mm, self.plan.build_up
        behind = depths.packet_mm + depths.frame_depth_mm / 2
        forces: list[Place] = []
        for load in self.hung:
            if not member.bottom_mm <= load.y <= member.top_mm:
                continue
            left, right = self.width(member, load.y)
            inside = min(load.x1, member.x_mm + right) - max(load.x0, member.x_mm - left)
            if inside > 0:
                pull = load.pull(arm, behind_mm=behind) * inside / load.width
                low = max(load.y - arm, member.bottom_mm)
                forces.append(((load.y - member.bottom_mm) / 1000, -pull))
                forces.append(((low - member.bottom_mm) / 1000, pull))
        return forces

    def _floor(self, x: float) -> float:
        """Height of the floor at x."""
        return min(low for low, _ in self._outline_at(x))

    def _outline_at(self, x: float) -> Iterator[tuple[float, Meets]]:
        ring, meets = self.zone.outline, self.plan.wall.meets
        for (a, b), meet in zip(zip(ring, ring[1:] + ring[:1], strict=True), meets, strict=True):
            if a[0] != b[0] and min(a[0], b[0]) <= x <= max(a[0], b[0]):
                yield y_at(a, b, x), meet

    def _openings_at(self, member: Member) -> tuple[Blocker | None, Blocker | None]:
        """The openings at which a member begins and ends."""
        over = [b for b in self.zone.blockers if b.opening and b.x0 < member.x_mm < b.x1]
        foot = next((b for b in over if abs(b.y1 - member.bottom_mm) <= _NEAR_MM), None)
        head = next((b for b in over if abs(b.y0 - member.top_mm) <= _NEAR_MM), None)
        return foot, head

    def _ends(self, member: Member) -> tuple[object, object]:
        """What holds foot and head; None where the lining stops freely there."""
        found: list[object] = []
        for y, opening in zip((member.bottom_mm, member.top_mm), self._openings_at(member), strict=True):
            slope = _NEAR_MM + member.face_mm  # under a rake the outline is higher at one side
            free = any(
                meet == Meets.OPEN and abs(at - y) <= slope for at, meet in self._outline_at(member.x_mm)
            )
            found.append(None if free and opening is None else True)
        return found[0], found[1]

    def _support_of_end(self, member: Member, end: int) -> int:
        foot, _ = self._ends(member)
        return end if foot is not None else 0

    def _posts(self, opening: Blocker, edge: float, x: float) -> Iterator[tuple[Member, float]]:
        """The posts left and right of an opening, with their shares of a force at x on its edge."""
        crossing = [m for m in self.members if m.bottom_mm < edge - 1 and m.top_mm > edge + 1]
        left = max((m for m in crossing if m.x_mm <= opening.x0), key=lambda m: m.x_mm, default=None)
        right = min((m for m in crossing if m.x_mm >= opening.x1), key=lambda m: m.x_mm, default=None)
        if left and right:
            share = (x - left.x_mm) / (right.x_mm - left.x_mm)
            yield left, 1 - share
            yield right, share
