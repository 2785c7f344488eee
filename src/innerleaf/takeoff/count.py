"""Counting: every placed piece of every wall, once.

A tally is keyed by (group, item, use, unit) and holds quantity and number per wall.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import pi

from innerleaf.errors import InputError
from innerleaf.layout.pieces import FACE, Bar, BoardPiece, Ring, Role, RunKind, WallPlan
from innerleaf.layout.reveals import kind_of
from innerleaf.practice.model import Consumable, ConsumableUse, Practice
from innerleaf.takeoff.rates import Rates

Key = tuple[str, str, str, str]

JOINT_KINDS = (
    RunKind.JOINT_TAPERED,
    RunKind.JOINT_CUT,
    RunKind.JOINT_CROSS,
    RunKind.INNER_CORNER,
    RunKind.PERIMETER,
)
_TAPED = JOINT_KINDS[:-1]
_BEADS = (RunKind.CORNER_BEAD, RunKind.EDGE_BEAD, RunKind.MOVEMENT_BEAD)
_USE_OF_RUN = {
    RunKind.SEALING_STRIP: ConsumableUse.SEALING_STRIP,
    RunKind.SEALANT: ConsumableUse.SEALANT,
    RunKind.CORNER_BEAD: ConsumableUse.CORNER_BEAD,
    RunKind.EDGE_BEAD: ConsumableUse.EDGE_BEAD,
    RunKind.MOVEMENT_BEAD: ConsumableUse.MOVEMENT_BEAD,
    RunKind.MEMBRANE_LAP: ConsumableUse.MEMBRANE_TAPE,
    RunKind.MEMBRANE_SEAL: ConsumableUse.MEMBRANE_SEALANT,
}
COATS = {"Q1": 1, "Q2": 2, "Q3": 3, "Q4": 3} | {
    f"Level {level}": coats for level, coats in enumerate((0, 1, 2, 2, 3, 3))
}
SKIMMED = ("Q4", "Level 5")
_LEVEL_ROLES = (Role.HEAD, Role.SILL, Role.NOGGING, Role.BACKING)


class Tally:
    """Sums by (group, item, use, unit) and wall."""

    def __init__(self) -> None:
        self.sums: dict[Key, dict[str, list[float]]] = {}

    def add(self, key: Key, wall: str, quantity: float, count: int = 1) -> None:
        """Add a quantity made of ``count`` pieces."""
        walls = self.sums.setdefault(key, {})
        entry = walls.get(wall)
        if entry is None:
            walls[wall] = [quantity, count]
        else:
            entry[0] += quantity
            entry[1] += count


def ring_area(ring: Ring) -> float:
    """Area inside a ring. [mm2]."""
    x0, y0 = ring[-1]
    twice = 0.0
    for x, y in ring:
        twice += x0 * y - x * y0
        x0, y0 = x, y
    return abs(twice) / 2


def sheet_area(board: BoardPiece) -> float:
    """Area of a piece of board without its holes. [mm2]."""
    return ring_area(board.ring) - sum(map(ring_area, board.holes))


def consumable_for(practice: Practice, use: ConsumableUse, item: str = "") -> Consumable:
    """The consumable named, or the one the practice has for a use."""
    if item in practice.consumables:
        return practice.consumables[item]
    if item or not any(c.use == use for c in practice.consumables.values()):
        known = ", ".join(sorted(practice.consumables))
        raise InputError(f"consumable for {use}", given=item, accepted=f"one of {known}")
    return practice.consumable(use)


def count_wall(tally: Tally, plan: WallPlan, practice: Practice, rates: Rates) -> None:
    """Add everything one wall is made of."""
    _count_frame(tally, plan, practice, rates)
    _count_sheets(tally, plan)
    _count_fasteners(tally, plan)
    _count_runs(tally, plan, practice, rates)


def _count_frame(tally: Tally, plan: WallPlan, practice: Practice, rates: Rates) -> None:
    wall = plan.wall.id
    uprights: dict[str, list[Bar]] = {}
    level_ends = 0
    for bar in plan.bars:
        unit = practice.consumables[bar.item].unit if bar.item in practice.consumables else "mm"
        tally.add(("frame", bar.item, bar.role, unit), wall, 1 if unit == "piece" else bar.length_mm)
        if bar.member and bar.role != Role.SIDE_TRACK:  # those are fixed to the structure, joined by butting
            uprights.setdefault(bar.member, []).append(bar)
        elif bar.role in _LEVEL_ROLES:
            level_ends += 2
    for bracket in plan.brackets:
        tally.add(("brackets", bracket.item, "bracket", "piece"), wall, 1)
        if rates.strip_per_bracket_mm:
            strap = practice.brackets[bracket.item].strap_mm
            strip = practice.consumable(ConsumableUse.SEALING_STRIP, strap).id
            tally.add(("sealing", strip, "under brackets", "mm"), wall, rates.strip_per_bracket_mm)
    ends, splices, connectors = _ends_and_splices(plan, uprights, practice)
    screws = {
        "stud ends": ends * rates.screws_per_stud_end,
        "level pieces": level_ends * rates.screws_per_level_end,
        "splices": splices * rates.screws_per_splice,
        "brackets": len(plan.brackets) * rates.screws_per_bracket,
    }
    for use, number in screws.items():
        if number:
            item = consumable_for(practice, ConsumableUse.FRAME_SCREW).id
            tally.add(("fixings", item, use, "piece"), wall, number, number)
    if connectors:
        item = consumable_for(practice, ConsumableUse.CONNECTOR).id
        tally.add(("frame", item, "channel splice", "piece"), wall, connectors, connectors)
    if plan.brackets and rates.fixings_per_bracket:
        item = consumable_for(practice, ConsumableUse.BRACKET_FIXING).id
        number = len(plan.brackets) * rates.fixings_per_bracket
        tally.add(("fixings", item, "brackets", "piece"), wall, number, number)


def _ends_and_splices(
    plan: WallPlan, uprights: dict[str, list[Bar]], practice: Practice
) -> tuple[int, int, int]:
    """Stud ends held in a track, splices, and those of them that need a connector."""
    ends = splices = connectors = 0
    for bars in uprights.values():
        bottom = min(min(bar.ay_mm, bar.by_mm) for bar in bars)
        lines = sum(min(bar.ay_mm, bar.by_mm) < bottom + 50 for bar in bars)  # 2 in a doubled stud
        here = len(bars) - lines
        splices += here
        profile = practice.profiles.get(bars[0].item)
        if profile and not profile.splice_overlap_mm:
            connectors += here
        top = max(max(bar.ay_mm, bar.by_mm) for bar in bars)
        sliding = plan.wall.head_moves and _head_above(plan, bars[0].ax_mm) - top < 150
        ends += lines * (1 if sliding else 2)
    return ends, splices, connectors


def _head_above(plan: WallPlan, x: float) -> float:
    """Highest point of the outline at ``x``. [mm]."""
    ring = plan.wall.outline
    ys = [
        max(a[1], b[1]) if a[0] == b[0] else a[1] + (b[1] - a[1]) * (x - a[0]) / (b[0] - a[0])
        for a, b in zip(ring, ring[1:] + ring[:1], strict=True)
        if min(a[0], b[0]) <= x <= max(a[0], b[0])
    ]
    return max(ys, default=0.0)


def _count_sheets(tally: Tally, plan: WallPlan) -> None:
    wall = plan.wall.id
    for board in plan.boards:
        where = "" if board.plane == FACE else f"{kind_of(board.plane)}, "
        use = f"{where}layer {board.layer}"
        tally.add(("boards", board.item, use, "mm2"), wall, sheet_area(board))
    for slab in plan.slabs:
        use = f"layer {slab.layer}" if slab.plane == FACE else kind_of(slab.plane)
        tally.add(("insulation", slab.item, use, "mm2"), wall, ring_area(slab.ring))
    for strip in plan.membrane:
        area = strip.width_mm * strip.length_mm
        tally.add(("membrane", strip.item, "vapour control", "mm2"), wall, area)


def _count_fasteners(tally: Tally, plan: WallPlan) -> None:
    wall = plan.wall.id
    for line in plan.screws:
        number = len(line.places_mm)
        tally.add(("fixings", line.item, f"boards, layer {line.layer}", "piece"), wall, number, number)
    for fixing in plan.fixings:
        number = len(fixing.places_mm)
        tally.add(("fixings", fixing.item, "perimeter", "piece"), wall, number, number)
    membranes = [p for p in plan.penetrations if p.pierces_membrane]
    for use, found in (("boards", plan.penetrations), ("membrane", membranes)):
        if found:
            tally.add(("sealing", "penetration", f"to seal, {use}", "piece"), wall, len(found), len(found))


def _count_runs(tally: Tally, plan: WallPlan, practice: Practice, rates: Rates) -> None:
    wall, last, coats = plan.wall.id, len(plan.wall.lining.boards), _coats(plan)
    widths = _coat_widths(practice)
    taped = coated_mm2 = 0.0
    for run in plan.runs:
        hidden = 0 < run.layer < last and run.kind != RunKind.INNER_CORNER  # those are seen on any layer
        joint, bead = run.kind in JOINT_KINDS, run.kind in _BEADS
        if joint:
            layer = f"layer {run.layer}" if run.layer else "all layers"
            tally.add(("joints", run.kind, layer, "mm"), wall, run.length_mm)
            taped += run.length_mm if run.kind in _TAPED and not hidden and coats else 0
        else:
            item = consumable_for(practice, _USE_OF_RUN[run.kind], run.item).id
            group = "beads" if bead else "sealing"
            tally.add((group, item, run.kind, "mm"), wall, run.length_mm)
        if joint or bead:
            number = min(coats, 1) if hidden or run.kind == RunKind.PERIMETER else coats
            coated_mm2 += run.length_mm * sum(widths[:number])
    if taped:
        item = consumable_for(practice, ConsumableUse.JOINT_TAPE).id
        tally.add(("jointing", item, "tape", "mm"), wall, taped)
    _count_compound(tally, plan, practice, rates, coated_mm2)


def _count_compound(
    tally: Tally, plan: WallPlan, practice: Practice, rates: Rates, coated_mm2: float
) -> None:
    """Compound by area of coat: the practice says how much a metre of joint takes with all its coats."""
    wall, last, coats = plan.wall.id, len(plan.wall.lining.boards), _coats(plan)
    compound = consumable_for(practice, ConsumableUse.JOINT_COMPOUND)
    kg_per_mm2 = compound.per_m / (1000 * sum(_coat_widths(practice)))
    heads = sum(len(line.places_mm) for line in plan.screws if line.layer == last)
    reveals = [b for b in plan.boards if b.plane != FACE]
    seen = [*reveals, *(b for b in plan.boards if b.plane == FACE and b.layer == last)]
    skimmed = seen if plan.wall.lining.finish in SKIMMED else []
    for use, mass in (
        ("joints and beads", coated_mm2 * kg_per_mm2),
        ("screw heads", heads * coats * pi / 4 * rates.head_spot_mm**2 * kg_per_mm2),
        ("skim", sum(map(sheet_area, skimmed)) * rates.skim_kg_m2 / 1e6),
        ("bedding of reveals", _bedded_mm2(plan, reveals) * rates.bedding_kg_m2 / 1e6),
    ):
        if mass:
            tally.add(("jointing", compound.id, use, compound.unit), wall, mass)


def _bedded_mm2(plan: WallPlan, reveals: Sequence[BoardPiece]) -> float:
    """Beds under the boards of reveals and flanks, and under the insulation below them. [mm2]"""
    under = (ring_area(slab.ring) for slab in plan.slabs if slab.plane != FACE)
    return sum(map(sheet_area, reveals)) + sum(under)


def _coat_widths(practice: Practice) -> tuple[int, int, int]:
    rules = practice.rules
    return rules.coat_1_width_mm, rules.coat_2_width_mm, rules.coat_3_width_mm


def _coats(plan: WallPlan) -> int:
    finish = plan.wall.lining.finish
    if finish not in COATS:
        raise InputError("lining.finish", given=finish, accepted=f"one of {', '.join(COATS)}")
    return COATS[finish]


def walls_to_rooms(plans: Sequence[WallPlan]) -> dict[str, str]:
    """Room of each wall."""
    return {plan.wall.id: plan.wall.room for plan in plans}
