"""What a wall loses, before and after lining, as it was really set out; and how cold its surface gets.

Clear field, every member, every bracket and every edge where the lining stops or turns are counted with
their own coefficient, each solved from the wall's real layers (ISO 10211, ISO 14683: H = sum of U A,
psi l and chi; internal dimensions).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from functools import lru_cache
from math import hypot

from innerleaf.design.buildup import Depth, depth_of, transmittance
from innerleaf.design.details import (
    ROOM,
    Block,
    Bridge,
    Detail,
    Steel,
    abutment,
    bracket_point,
    corner_into_room,
    corner_of_room,
    member_line,
    reveal,
    stop,
)
from innerleaf.layout.pieces import Role, WallPlan
from innerleaf.physics.conduction import solve
from innerleaf.physics.conduction_answer import Solution
from innerleaf.practice.model import Practice, ProfileUse
from innerleaf.survey.wall import Meets, OpeningKind

# Surface resistances, horizontal flow (ISO 6946); for the surface temperature factor ISO 13788. [m²·K/W]
RSI, RSE, RSI_CORNER = 0.13, 0.04, 0.25

# Interval wanted on the heat of a bracket's cell; chi, a difference on one grid, is then good to 0.5 %.
_BRACKET_GAP = 0.006

_BLOCKS = {
    Meets.MASONRY: "side-wall",
    Meets.PARTITION: "partition",
    Meets.SLAB: "slab",
    Meets.SCREED: "slab",
    Meets.CEILING: "slab",
}
# Members that are part of an edge detail.
_OF_EDGES = (Role.END, Role.SIDE_TRACK, Role.EDGE)


@dataclass(frozen=True, slots=True)
class Assessed:
    """A solved detail: what it adds to the plane walls, and its coldest spot in the room.

    ``extra`` is psi (2D) [W/(m·K)], known to within ``half``; ``frsi`` is the surface temperature
    factor at ``coldest`` [m]; ``solution`` is the solve it was read from, for drawings.
    """

    detail: Detail
    extra: float
    half: float
    frsi: float
    coldest: tuple[float, ...]
    solution: Solution = field(compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class Loss:
    """One line of the sum: a quantity with its coefficient, after and before. [W/K]"""

    what: str
    quantity: float
    unit: str  # m², m or pieces
    coefficient: float
    coefficient_before: float
    half: float  # half the width of the interval on ``coefficient``
    repeats: bool = False  # part of the U-value: clear field, members, brackets

    @property
    def after(self) -> float:
        """Heat lost per kelvin through the lined wall. [W/K]"""
        return self.quantity * self.coefficient

    @property
    def before(self) -> float:
        """Heat lost per kelvin through the old wall alone. [W/K]"""
        return self.quantity * self.coefficient_before


@dataclass(frozen=True, slots=True)
class Heat:
    """What one wall loses.

    ``details`` are the lined details with their surface temperature factors, ``details_before`` the same
    of the old wall; ``notes`` say what was assumed or not assessed.
    """

    area_m2: float
    u_before: float
    u_clear: float
    losses: tuple[Loss, ...]
    details: tuple[Assessed, ...]
    details_before: tuple[Assessed, ...]
    notes: tuple[str, ...]

    @property
    def after(self) -> float:
        """Heat lost per kelvin by the lined wall. [W/K]"""
        return sum(loss.after for loss in self.losses)

    @property
    def before(self) -> float:
        """Heat lost per kelvin by the old wall. [W/K]"""
        return sum(loss.before for loss in self.losses)

    @property
    def u_effective(self) -> float:
        """Heat lost per kelvin and square metre of the wall seen from the room. [W/(m²·K)]"""
        return self.after / self.area_m2

    @property
    def u_set_out(self) -> float:
        """Clear field, members and brackets alone: the U of the lining as set out. [W/(m²·K)]"""
        return sum(loss.after for loss in self.losses if loss.repeats) / self.area_m2

    @property
    def coldest(self) -> Assessed:
        """The detail with the least surface temperature factor."""
        return min(self.details, key=lambda each: each.frsi)


def heat_of(plan: WallPlan, practice: Practice) -> Heat:
    """Sum the heat that the wall of a plan loses.

    Raises
    ------
    InputError
        The old wall has no layers, or insulation is thicker than the room for it.
    """
    depth = depth_of(plan, practice)
    bare = depth.bare()
    steel = _steel(plan, practice, 1)
    area = sum(_area(ring) - sum(map(_area, holes)) for ring, holes in plan.board_area) / 1e6
    u_before, u_clear = (transmittance(each.layers, RSI, RSE) for each in (bare, depth))
    losses = [Loss("clear field", area, "m²", u_clear, u_before, 0.0, repeats=True)]
    details: list[Assessed] = []
    before: list[Assessed] = []
    for what, studs, length in _members(plan):
        line = assess(member_line(depth, _steel(plan, practice, studs), _pitch(plan)))
        details.append(line)
        losses.append(Loss(what, length, "m", line.extra, 0.0, line.half, repeats=True))
    if plan.brackets:
        losses.append(_brackets(plan, practice, depth, steel))
    for length, after, old in _edges(plan, practice, depth, steel):
        now, then = assess(after), assess(old)
        details.append(now)
        before.append(then)
        losses.append(Loss(after.title, length, "m", now.extra, then.extra, now.half))
    return Heat(
        area,
        u_before,
        u_clear,
        tuple(losses),
        tuple(_once(details)),
        tuple(_once(before)),
        tuple(_notes(plan)),
    )


@lru_cache(maxsize=4096)
def assess(detail: Detail) -> Assessed:
    """Solve a detail: flow with the usual surface resistance, surface temperature with the cautious one.

    A building asks for few details, so each is solved once.
    """
    flow = solve(detail.section(RSI, RSE)).flow(ROOM)
    plane = sum(length * transmittance(depth.layers, RSI, RSE) for depth, length in detail.plane)
    plane += sum(length * transmittance(layers, RSI, RSE) for layers, length in detail.besides)
    solution = solve(detail.section(RSI_CORNER, RSE))
    surface = solution.surface(ROOM)
    return Assessed(detail, flow.middle - plane, flow.half, surface.least, surface.least_at, solution)


@lru_cache(maxsize=256)
def bracket_extra(
    depth: Depth, steel: Steel, bridge: Bridge, pitch: float, rise: float
) -> tuple[float, float]:
    """chi of one bracket: with it less without it on one grid, and half the width of the interval. [W/K]"""
    section = bracket_point(depth, steel, bridge, pitch, rise).section(RSI, RSE)
    bridged = solve(section, accuracy=_BRACKET_GAP)
    alone = solve(section.without(["bracket"]), lines=bridged.grid.lines)
    with_it, without = bridged.flow(ROOM), alone.flow(ROOM)
    return 4 * (with_it.middle - without.middle), 4 * (with_it.half + without.half)


def _steel(plan: WallPlan, practice: Practice, studs: int) -> Steel:
    profile = practice.profiles[plan.wall.lining.profile]
    return Steel(
        profile.depth_mm / 1000,
        profile.face_mm / 1000,
        profile.sheet_mm / 1000,
        profile.lip_mm / 1000,
        studs,
        profile.use == ProfileUse.CHANNEL,
        practice.materials["steel"].conductivity_w_mk,
    )


def _pitch(plan: WallPlan) -> float:
    return round(plan.grids[0].spacing_mm) / 1000


def _members(plan: WallPlan) -> Iterator[tuple[str, int, float]]:
    """(name, studs side by side, length in m) of the members that are not part of an edge."""
    face = min((m.face_mm for m in plan.members if m.role not in _OF_EDGES), default=0)
    inner = [m for m in plan.members if m.role not in _OF_EDGES]
    single = sum(m.top_mm - m.bottom_mm for m in inner if m.face_mm == face) / 1000
    wider = sum(m.top_mm - m.bottom_mm for m in inner if m.face_mm != face) / 1000
    doubled = plan.wall.lining.build != "single"
    if single:
        yield ("doubled member", 2, single) if doubled else ("member", 1, single)
    if wider:
        yield "doubled member", 2, wider


def _brackets(plan: WallPlan, practice: Practice, depth: Depth, steel: Steel) -> Loss:
    """All brackets with the coefficient of the commonest, at the frame's nominal distance."""
    items = [place.item for place in plan.brackets]
    item = practice.brackets[max(sorted(set(items)), key=items.count)]
    bridge = Bridge(
        item.strap_mm / 1000, item.sheet_mm / 1000, item.anchor_mm / 1000, item.anchor_depth_mm / 1000
    )
    rise = practice.rules.bracket_spacing_max_mm / 1000
    chi, half = bracket_extra(depth, steel, bridge, _pitch(plan), rise)
    return Loss("bracket", len(items), "pieces", chi, 0.0, half, repeats=True)


def _edges(
    plan: WallPlan, practice: Practice, depth: Depth, steel: Steel
) -> Iterator[tuple[float, Detail, Detail]]:
    """(length in m, lined detail, the same of the old wall) of every edge that can be assessed."""
    wall, bare = plan.wall, depth.bare()
    lengths: dict[tuple[Detail, Detail], float] = {}

    def add(length_mm: float, after: Detail, before: Detail) -> None:
        key = (after, before)
        lengths[key] = lengths.get(key, 0.0) + length_mm / 1000

    ring = wall.outline
    for a, b, meets in zip(ring, ring[1:] + ring[:1], wall.meets, strict=True):
        length = hypot(b[0] - a[0], b[1] - a[1])
        if meets in _BLOCKS:
            block = _block(practice, _BLOCKS[meets])
            add(length, abutment(depth, steel, block), abutment(bare, steel, block))
        elif meets == Meets.OPEN:
            add(length, stop(depth, steel), stop(bare, steel))
        elif meets == Meets.INNER_CORNER:  # half: the other half is the next wall's
            add(length / 2, corner_of_room(depth, steel), corner_of_room(bare, steel))
        elif meets == Meets.OUTER_CORNER:
            add(length / 2, corner_into_room(depth, steel), corner_into_room(bare, steel))
    frame = _block(practice, "window-frame")
    floor = min(y for _, y in ring)
    for opening in wall.openings:
        if opening.kind == OpeningKind.NICHE:
            continue
        around = 2 * opening.height_mm + opening.width_mm * (1 + (opening.sill_mm > floor))
        recess = opening.reveal_mm / 1000
        add(
            around,
            reveal(depth, steel, frame, recess, lined=opening.reveal_lined),
            reveal(bare, steel, frame, recess, lined=False),
        )
    for (after, before), length in lengths.items():
        yield length, after, before


def _block(practice: Practice, name: str) -> Block:
    junction = practice.junctions[name]
    conductivity = practice.materials[junction.material].conductivity_w_mk
    return Block(name, junction.thickness_mm / 1000, junction.bearing_mm / 1000, conductivity)


def _notes(plan: WallPlan) -> Iterator[str]:
    """What is assumed, and what is not assessed."""
    yield "slabs, side walls, partitions and window frames are those assumed in the practice set"
    yield "rooms beyond slabs and partitions are taken as warm and lined alike"
    if Meets.ROOF in plan.wall.meets:
        yield "the edge at the roof is not assessed"
    if any(opening.kind == OpeningKind.NICHE for opening in plan.wall.openings):
        yield "niches are not assessed: the old wall is thinner there"
    if plan.wall.offsets:
        yield "brackets are counted at the frame's nominal distance from the wall"


def _once(details: Iterable[Assessed]) -> list[Assessed]:
    return list(dict.fromkeys(details))


def _area(ring: tuple[tuple[float, float], ...]) -> float:
    return abs(sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(ring, ring[1:] + ring[:1], strict=True))) / 2
