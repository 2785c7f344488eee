"""What a wall loses, before and after lining, as it was really set out; and how cold its surface gets.

Clear field, every member, every bracket and every edge where the lining stops or turns are counted with
their own coefficient, each solved from the wall's real layers (ISO 10211, ISO 14683: H = sum of U A,
psi l and chi; internal dimensions).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from math import floor

from innerleaf.design.buildup import depth_of, transmittance
from innerleaf.design.heat.assess import RSE, RSI, Assessed, assess, assess_bracket
from innerleaf.design.heat.details import Bridge, Steel, member_line
from innerleaf.design.heat.edges import backs_of, edges_of, merged
from innerleaf.design.heat.layered import Layered, layered
from innerleaf.layout.pieces import Role, WallPlan
from innerleaf.layout.shapes import Area, area_mm2
from innerleaf.layout.zone import blockers_of
from innerleaf.practice.model import Bracket, Practice, ProfileUse
from innerleaf.survey.wall import Meets, ObstacleKind, Wall

# Members that are part of an edge detail.
_OF_EDGES = (Role.END, Role.SIDE_TRACK, Role.EDGE)


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
    of the old wall; ``notes`` say what was assumed or not assessed; ``layered`` are the values of ISO 6946.
    """

    area_m2: float
    u_before: float
    u_clear: float
    losses: tuple[Loss, ...]
    details: tuple[Assessed, ...]
    details_before: tuple[Assessed, ...]
    notes: tuple[str, ...]
    layered: Layered

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
        The old wall has no layers, insulation is thicker than the room for it, or a niche than the wall.
    """
    depth = depth_of(plan, practice)
    steel = steel_of(plan, practice)
    area = lined_area(plan.wall)
    u_before, u_clear = (transmittance(each.layers, RSI, RSE) for each in (depth.bare(), depth))
    losses = [Loss("clear field", area, "m²", u_clear, u_before, 0.0, repeats=True)]
    details: list[Assessed] = []
    before: list[Assessed] = []
    for what, studs, length in _members(plan):
        line = assess(member_line(depth, replace(steel, studs=studs), _pitch(plan)))
        details.append(line)
        losses.append(Loss(what, length, "m", line.extra, 0.0, line.half, repeats=True))
    for loss, detail in _brackets(plan, practice, steel):
        losses.append(loss)
        details.append(detail)
    losses += [
        Loss("back of a niche", back.area, "m²", back.after, back.before, 0.0)
        for back in backs_of(plan, practice, depth, steel)
    ]
    for edge in merged(edges_of(plan, practice, depth, steel)):
        now, then = assess(edge.after), assess(edge.before)
        details.append(now)
        before.append(then)
        losses.append(Loss(edge.after.title, edge.length, "m", now.extra, then.extra, now.half))
    bridge = _bridge(practice.brackets[plan.brackets[0].item]) if plan.brackets else None
    return Heat(
        area,
        u_before,
        u_clear,
        tuple(losses),
        tuple(_once(details)),
        tuple(_once(before)),
        tuple(_notes(plan, practice)),
        layered(depth, steel, _pitch(plan), len(plan.brackets) / area, bridge, RSI, RSE),
    )


def steel_of(plan: WallPlan, practice: Practice) -> Steel:
    """One profile of a plan's frame."""
    profile = practice.profiles[plan.wall.lining.profile]
    return Steel(
        profile.depth_mm / 1000,
        profile.face_mm / 1000,
        profile.sheet_mm / 1000,
        profile.lip_mm / 1000,
        1,
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


def _brackets(plan: WallPlan, practice: Practice, steel: Steel) -> Iterator[tuple[Loss, Assessed]]:
    """Brackets by item and class of projection; each class is solved at one projection."""
    classes: dict[tuple[str, float], int] = {}
    wide = practice.rules.bracket_class_mm
    alike = len({place.projection_mm for place in plan.brackets}) == 1
    for place in plan.brackets:
        at = float(place.projection_mm if alike else bracket_class(place.projection_mm, wide))
        classes[place.item, at] = classes.get((place.item, at), 0) + 1
    rise = practice.rules.bracket_spacing_max_mm / 1000
    for (name, at), count in sorted(classes.items()):
        depth, bridge = depth_of(plan, practice, at), _bridge(practice.brackets[name])
        each = assess_bracket(depth, steel, bridge, _pitch(plan), rise)
        title = f"bracket at {at:g} mm ({name})"
        yield Loss(title, count, "pieces", each.extra, 0.0, each.half, repeats=True), each


def bracket_class(projection_mm: float, wide_mm: int) -> int:
    """The middle of the class that a projection falls into, never below half a class. [mm]"""
    return max(1, floor(projection_mm / wide_mm + 0.5)) * wide_mm


def _bridge(bracket: Bracket) -> Bridge:
    return Bridge(
        bracket.strap_mm / 1000,
        bracket.sheet_mm / 1000,
        bracket.anchor_mm / 1000,
        bracket.anchor_depth_mm / 1000,
    )


def _notes(plan: WallPlan, practice: Practice) -> Iterator[str]:
    """What is assumed, and what is not assessed."""
    wall = plan.wall
    yield "slabs, side walls, partitions and window frames are those assumed in the practice set"
    yield "rooms beyond slabs and partitions are taken as warm and lined alike"
    if wall.other_side != "outside":
        yield (
            f"beyond: {wall.other_side}; its share of the temperature difference is an estimate, and the"
            " outer surface is taken as in the open, which is on the safe side"
        )
    if Meets.ROOF in wall.meets:
        yield f"the roof is taken as: {_assumed(practice, 'roof')}, square to the wall"
    for kind in (ObstacleKind.COLUMN, ObstacleKind.BEAM):
        if any(each.kind == kind for each in wall.obstacles):
            yield f"a {kind} is taken as {practice.junctions[kind].material}, of the size surveyed, not lined"
    if len({place.projection_mm for place in plan.brackets}) > 1:
        wide = practice.rules.bracket_class_mm
        yield f"brackets are solved by their projection as set out, in classes of {wide} mm"
    if wall.flank:
        yield "floors are walked on and bear no strip of insulation"


def _assumed(practice: Practice, name: str) -> str:
    junction = practice.junctions[name]
    return f"{junction.thickness_mm} mm of {junction.material}"


def _once(details: Iterable[Assessed]) -> list[Assessed]:
    return list(dict.fromkeys(details))


def lined_area(wall: Wall) -> float:
    """Of the wall in internal dimensions: its outline less openings, columns and beams. [m²]

    The gaps round the boards belong to it: psi of every edge is counted from what the wall meets.
    """
    out = [(each.x0, each.y0, each.x1, each.y1) for each in blockers_of(wall)]
    return sum(map(area_mm2, Area(wall.outline, out).parts())) / 1e6
