"""The takeoff of a set of walls: count, then buy."""

from __future__ import annotations

from collections.abc import Sequence

from innerleaf.layout.pieces import RunKind, WallPlan
from innerleaf.practice.model import ConsumableUse, Practice
from innerleaf.takeoff.buy import buy_bars, buy_beads, buy_membrane, buy_packs
from innerleaf.takeoff.buy_boards import buy_boards, buy_insulation
from innerleaf.takeoff.count import Key, Tally, count_wall, walls_to_rooms
from innerleaf.takeoff.model import Line, Share, Takeoff
from innerleaf.takeoff.rates import COMMON_RATES, Rates
from innerleaf.takeoff.rules import COMMON_RULES, BuyingRules

_GROUPS = (
    "frame",
    "brackets",
    "fixings",
    "insulation",
    "membrane",
    "boards",
    "joints",
    "jointing",
    "beads",
    "sealing",
)
_BASIS = {
    "frame": "sum of cut lengths",
    "brackets": "placed one by one",
    "fixings": "placed one by one",
    "insulation": "area of the pieces as they lie",
    "membrane": "strips with laps and upstands",
    "boards": "area of the pieces without openings; boxes are not taken off",
    "joints": "length of the joints as they run",
    "jointing": "length of joints x width of coats x consumption; spots over screw heads; beds by area",
    "beads": "length of the edges",
    "sealing": "length along what is sealed",
}


def take_off(
    plans: Sequence[WallPlan],
    practice: Practice,
    rates: Rates = COMMON_RATES,
    rules: BuyingRules = COMMON_RULES,
) -> Takeoff:
    """Count every placed piece and pack it into what can be bought, as ``rules`` say it is.

    The same walls give the same takeoff in whatever order they come, up to the order of shares.
    """
    lines = count_lines(plans, practice, rates)
    profiles, bars = buy_bars(plans, practice, rates, rules)
    sheets, boards = buy_boards(plans, practice, rates, rules)
    beads = buy_beads(plans, practice, _bead_items(practice), rates)
    bought = [*profiles, *sheets, *buy_insulation(plans, practice), *buy_membrane(plans, practice), *beads]
    bought += buy_packs(lines, practice, {purchase.item for purchase in bought})
    bought.sort(key=lambda purchase: (_GROUPS.index(purchase.group), purchase.item))
    return Takeoff(lines=lines, purchases=tuple(bought), bars=tuple(bars), boards=tuple(boards), rates=rates)


def count_lines(
    plans: Sequence[WallPlan], practice: Practice, rates: Rates = COMMON_RATES
) -> tuple[Line, ...]:
    """The quantities alone, nothing packed into what can be bought."""
    tally = Tally()
    for plan in plans:
        count_wall(tally, plan, practice, rates)
    rooms = walls_to_rooms(plans)
    return tuple(
        _line(key, tally.sums[key], rooms, practice, rates)
        for key in sorted(tally.sums, key=lambda key: (_GROUPS.index(key[0]), key))
    )


def _bead_items(practice: Practice) -> dict[str, str]:
    """The consumable of each kind of bead the practice knows."""
    kinds = {
        RunKind.CORNER_BEAD: ConsumableUse.CORNER_BEAD,
        RunKind.EDGE_BEAD: ConsumableUse.EDGE_BEAD,
        RunKind.MOVEMENT_BEAD: ConsumableUse.MOVEMENT_BEAD,
    }
    known = {consumable.use for consumable in practice.consumables.values()}
    return {kind: practice.consumable(use).id for kind, use in kinds.items() if use in known}


def _line(
    key: Key, sums: dict[str, list[float]], rooms: dict[str, str], practice: Practice, rates: Rates
) -> Line:
    group, item, use, unit = key
    by_room: dict[str, list[float]] = {}
    for wall, (quantity, count) in sums.items():
        entry = by_room.setdefault(rooms[wall], [0.0, 0])
        entry[0] += quantity
        entry[1] += count
    quantity = sum(entry[0] for entry in sums.values())
    number = int(sum(entry[1] for entry in sums.values()))
    by_rate = group == "jointing" or use in (
        "stud ends",
        "level pieces",
        "splices",
        "brackets",
        "under brackets",
    )
    return Line(
        group=group,
        item=item,
        use=use,
        unit=unit,
        quantity=quantity,
        count=number,
        mass_kg=_mass_kg(practice, item, unit, quantity),
        by_wall=tuple(Share(wall, entry[0], int(entry[1])) for wall, entry in sums.items()),
        by_room=tuple(Share(room, entry[0], int(entry[1])) for room, entry in by_room.items()),
        basis=f"by rate per piece ({rates.basis})" if by_rate and group != "jointing" else _BASIS[group],
    )


def _mass_kg(practice: Practice, item: str, unit: str, quantity: float) -> float:
    """Mass where the catalogue gives one; 0 for what it does not weigh."""
    if item in practice.profiles and unit == "mm":
        return quantity / 1000 * practice.profiles[item].mass_kg_m
    if item in practice.boards:
        return quantity / 1e6 * practice.boards[item].mass_kg_m2
    if item in practice.insulation:
        sort = practice.insulation[item]
        return quantity / 1e6 * sort.thickness_mm / 1000 * sort.density_kg_m3
    if item in practice.brackets:
        return quantity * practice.brackets[item].mass_kg
    return quantity if unit == "kg" else 0.0
