"""What a takeoff costs: articles and work with their amounts, in the parts that options exchange.

Profiles, boards, slabs and beads count as bought for this wall, offcuts that nothing uses included; what
comes in packs and rolls counts as used, since the rest serves the next wall.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from math import isnan

from innerleaf.layout.pieces import Role, WallPlan
from innerleaf.practice.model import Practice
from innerleaf.practice.prices import Operation, PriceList
from innerleaf.takeoff import Takeoff, take_off
from innerleaf.takeoff.count import COATS, SKIMMED
from innerleaf.takeoff.model import Line
from innerleaf.takeoff.take import count_lines

Losses = Mapping[tuple[str, str], float]

FIXED, REVEAL, INSULATION, MEMBRANE, BRACKET = "fixed", "reveal", "insulation", "membrane", "bracket"
_TRACKS = (Role.FLOOR_TRACK, Role.HEAD_TRACK, Role.SIDE_TRACK)
_OF_MEMBRANE = ("membrane seal", "membrane lap")


def board_part(layer: int) -> str:
    """The part of the boards of one layer, from the frame."""
    return f"board {layer}"


def screw_part(layer: int) -> str:
    """The part of the screws of one layer."""
    return f"screw {layer}"


@dataclass(frozen=True, slots=True)
class Entry:
    """An article in the unit it is priced by; ``bought`` includes what is lost, ``used`` does not."""

    part: str
    section: str
    article: str
    bought: float
    used: float
    mass_kg: float  # as built


@dataclass(frozen=True, slots=True)
class Task:
    """Work: so many units of an operation."""

    part: str
    operation: Operation
    amount: float


@dataclass(frozen=True, slots=True)
class Bill:
    """Everything a lining is made of and the work it is."""

    entries: tuple[Entry, ...]
    tasks: tuple[Task, ...]


@dataclass(frozen=True, slots=True)
class Sums:
    """A bill priced. ``carbon_kg`` is not a number where an article has no figure."""

    material: float
    labour: float
    hours: float
    mass_kg: float
    waste_kg: float
    carbon_kg: float

    @property
    def cost(self) -> float:
        """Material and labour."""
        return self.material + self.labour


def bill_of(plan: WallPlan, practice: Practice, losses: Losses | None = None) -> Bill:
    """The bill of one wall set out; offcuts are its own, or as in another wall whose ``losses`` are given."""
    if losses is None:
        takeoff = take_off([plan], practice)
        lines, losses = takeoff.lines, losses_of(takeoff, practice)
    else:
        lines = count_lines([plan], practice)
    entries = [made for made in (_entry(line, losses, practice) for line in lines) if made is not None]
    return Bill(tuple(entries), tuple(_tasks(lines, plan, entries)))


def losses_of(takeoff: Takeoff, practice: Practice) -> dict[tuple[str, str], float]:
    """How much more is bought than built, by group and article, and by group and kind of article."""
    net: dict[tuple[str, str], float] = {}
    bought: dict[tuple[str, str], float] = {}
    for buy in takeoff.purchases:
        if buy.net and not buy.special:
            for key in ((buy.group, buy.item), (buy.group, _kind(buy.item, practice))):
                net[key] = net.get(key, 0.0) + buy.net
                bought[key] = bought.get(key, 0.0) + buy.bought
    return {key: max(1.0, bought[key] / net[key]) for key in net}


def _kind(item: str, practice: Practice) -> str:
    """Studs and tracks are cut from bars apart; of anything else there is one kind in a group."""
    return f"any {practice.profiles[item].use}" if item in practice.profiles else "any"


def priced(bill: Bill, prices: PriceList) -> Sums:
    """Sum a bill. A missing price makes the sum not a number: `missing` names it."""
    material = sum(entry.bought * prices.price(entry.section, entry.article) for entry in bill.entries)
    hours, labour = 0.0, 0.0
    for task in bill.tasks:
        one_hours, one_cost = work_of(prices, task.operation)
        hours, labour = hours + task.amount * one_hours, labour + task.amount * one_cost
    return Sums(
        material,
        labour,
        hours,
        sum(entry.mass_kg for entry in bill.entries),
        sum(_lost(entry) for entry in bill.entries),
        sum(carbon_of(entry, prices) for entry in bill.entries),
    )


def work_of(prices: PriceList, operation: Operation) -> tuple[float, float]:
    """Hours of all persons, and their cost, for one unit of an operation."""
    minutes = prices.work[operation]
    hours = (minutes.fitter + minutes.helper) / 60
    return hours, (minutes.fitter * prices.rates["fitter"] + minutes.helper * prices.rates["helper"]) / 60


def carbon_of(entry: Entry, prices: PriceList) -> float:
    """Embodied carbon of an entry; fixings, sealing and jointing are not counted. [kg CO2e]"""
    if entry.section in ("screws", "consumables"):
        return 0.0
    return entry.bought * prices.carbon_of(entry.section, entry.article)


def missing(entries: Iterable[Entry], prices: PriceList) -> list[tuple[str, str]]:
    """Articles of a bill that have no price."""
    found = {(e.section, e.article) for e in entries if isnan(prices.price(e.section, e.article))}
    return sorted(found)


def _lost(entry: Entry) -> float:
    return entry.mass_kg * (entry.bought / entry.used - 1) if entry.used else 0.0


def _entry(line: Line, losses: Losses, practice: Practice) -> Entry | None:
    """The entry of a takeoff line; None for work and for holes, which are not bought."""
    item, used, mass = line.item, line.quantity, line.mass_kg
    of_kind = losses.get((line.group, _kind(item, practice)), 1.0)
    more = losses.get((line.group, item), of_kind)
    if line.group == "boards":
        part = board_part(_layer(line)) if line.use.startswith("layer") else REVEAL  # flanks likewise
        return Entry(part, "boards", item, used / 1e6 * more, used / 1e6, mass)
    if line.group == "insulation":
        part = INSULATION if line.use.startswith("layer") else FIXED
        return Entry(part, "insulation", item, used / 1e6 * more, used / 1e6, mass)
    if line.group == "membrane":
        return Entry(MEMBRANE, "membranes", item, used / 1e6, used / 1e6, mass)
    if line.group == "brackets":
        return Entry(BRACKET, "brackets", item, used, used, mass)
    if item in practice.profiles:
        return Entry(FIXED, "profiles", item, used / 1000 * more, used / 1000, mass)
    if item in practice.screws:
        packs = used / practice.screws[item].pack
        return Entry(screw_part(_layer(line)), "screws", item, packs, packs, mass)
    if item not in practice.consumables:
        return None
    packs = used / practice.consumables[item].pack
    more = more if line.group == "beads" else 1.0
    part = MEMBRANE if line.use in _OF_MEMBRANE else FIXED
    return Entry(part, "consumables", item, packs * more, packs, mass)


def _layer(line: Line) -> int:
    return int(line.use.rpartition(" ")[2])


def _tasks(lines: Iterable[Line], plan: WallPlan, entries: Iterable[Entry]) -> Iterator[Task]:
    finish, last = plan.wall.lining.finish, f"layer {len(plan.wall.lining.boards)}"
    coats = COATS[finish]
    yield Task(FIXED, Operation.SETTING_OUT, plan.wall.length_mm / 1000)
    seen = 0.0
    for line in lines:
        if line.group == "frame" and line.unit == "mm":
            operation = Operation.TRACK if line.use in _TRACKS else Operation.MEMBER
            yield Task(FIXED, operation, line.quantity / 1000)
        elif line.group in ("joints", "beads"):
            number = coats if line.group == "beads" or line.use in (last, "all layers") else min(coats, 1)
            yield Task(FIXED, Operation.JOINT, line.quantity / 1000 * number)
        elif line.group == "sealing" and line.unit == "mm":
            part = MEMBRANE if line.use in _OF_MEMBRANE else FIXED
            yield Task(part, Operation.SEALANT, line.quantity / 1000)
        elif line.item == "penetration" and line.use.endswith("boards"):
            yield Task(FIXED, Operation.BOX, line.quantity)
    for entry in entries:
        if entry.section == "boards":
            yield Task(entry.part, Operation.BOARD, entry.used)
            seen += entry.used if entry.part in (REVEAL, board_part(len(plan.wall.lining.boards))) else 0.0
        elif entry.section in _BY_ENTRY:
            yield Task(entry.part, _BY_ENTRY[entry.section], entry.used)
    if finish in SKIMMED:
        yield Task(FIXED, Operation.SKIM, seen)


_BY_ENTRY = {
    "insulation": Operation.INSULATION,
    "membranes": Operation.MEMBRANE,
    "brackets": Operation.BRACKET,
}
