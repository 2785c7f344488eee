"""Deliveries: what comes for which storey and phase, how heavy it is, how often the lift goes for it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import ceil

from innerleaf.cost.model import Delivery, OrderLine
from innerleaf.cost.order_need import Drop
from innerleaf.job.schema_buying import Buying, Lift
from innerleaf.practice.measures import measure_of
from innerleaf.practice.model import Practice


@dataclass(frozen=True, slots=True)
class Coming:
    """Lorries of a delivery, their price, and the later small deliveries (by number) that come along."""

    lorries: int
    charge: int
    along: tuple[int, ...] = ()


def delivery_ids(places: Iterable[tuple[str, int]]) -> dict[tuple[str, int], str]:
    """A mark for each supplier and delivery, in the order of the work: D1, D2 and so on."""
    ordered = sorted(set(places), key=lambda place: (place[1], place[0]))
    return {place: f"D{number}" for number, place in enumerate(ordered, 1)}


def deliveries_of(
    lines: Sequence[OrderLine],
    coming: Mapping[tuple[str, int], Coming],
    practice: Practice,
    buying: Buying,
    drops: Sequence[Drop],
) -> tuple[Delivery, ...]:
    """Each delivery with its mass; ``coming`` by supplier and number of the delivery."""
    found = []
    for (supplier, number), name in delivery_ids(coming).items():
        mine = [line for line in lines if line.delivery == name]
        drop = drops[number]
        lift = buying.lifts.get(drop.storey)
        lifts, remarks = lifts_of(mine, practice, lift.most_kg) if lift else (0, [])
        mass = round(sum(line.mass_kg for line in mine), 3)
        comes = coming[supplier, number]
        if not mine:
            remarks = ["nothing new has to come if the deliveries before are kept; counted all the same"]
        found.append(
            Delivery(
                id=name,
                supplier=supplier,
                storey=drop.storey,
                phase=drop.phase,
                mass_kg=mass,
                charge=comes.charge,
                order_by_days=max((line.lead_days for line in mine), default=0),
                lifts=lifts,
                lorries=comes.lorries,
                places=_places(mass, lift),
                basis="; ".join([*_weighed(mine), *remarks]),
                also_for=tuple(str(drops[other]) for other in comes.along),
            )
        )
    return tuple(found)


def _places(mass_kg: float, lift: Lift | None) -> int:
    return ceil(mass_kg / lift.floor_kg) if lift and lift.floor_kg else 0


def _weighed(lines: Sequence[OrderLine]) -> list[str]:
    """Says whose mass is not in the sum."""
    unknown = sorted({line.article for line in lines if not line.mass_kg})
    told = ["packs by the masses of catalogue and offers"] if lines else []
    return [*told, f"without the mass of {', '.join(unknown)}"] if unknown else told


def lifts_of(lines: Sequence[OrderLine], practice: Practice, most_kg: float) -> tuple[int, list[str]]:
    """How often a lift goes that takes ``most_kg``: whole packs where it takes one, else piece by piece.

    The heaviest first, each in the first lift with room (first fit, decreasing): what it finds is enough, and
    seldom more than the least there could be. Also what is too heavy for it altogether.
    """
    loads: list[tuple[Fraction, int]] = []
    remarks = []
    most = Fraction(str(most_kg))
    for line in lines:
        mass = Fraction(str(line.mass_kg)) / line.packs if line.packs else Fraction(0)
        count = line.packs
        if mass > most:
            pieces = _pieces(line, practice)
            mass, count = mass / pieces, count * pieces
            if mass > most:
                remarks.append(
                    f"{line.article}: one piece of {float(mass):.1f} kg is more than the lift takes"
                )
            elif pieces > 1:
                remarks.append(f"{line.article}: packs opened for the lift")
        if mass:
            loads.append((min(mass, most), count))
    return _first_fit(sorted(loads, reverse=True), most), list(dict.fromkeys(remarks))


def _pieces(line: OrderLine, practice: Practice) -> int:
    """Pieces in a pack; what has none goes as it is."""
    measure = measure_of(practice, line.article)
    if measure is None or not measure.by_length:
        return int(line.pack_size) if line.unit == "piece" else 1
    return max(1, round(line.pack_size / measure.of_piece(line.length_mm)))


def _first_fit(loads: Sequence[tuple[Fraction, int]], most: Fraction) -> int:
    """Lifts for equal loads so many times each, heaviest first; lifts with the same room go together."""
    rooms: list[tuple[Fraction, int]] = []  # room left, in how many lifts
    for mass, count in loads:
        left = count
        after: list[tuple[Fraction, int]] = []
        for room, number in rooms:
            each = int(room // mass)
            full = min(number, left // each) if each else 0
            left -= full * each
            if full:
                after.append((room - each * mass, full))
            number -= full
            if each and left and number:
                after.append((room - left * mass, 1))
                left, number = 0, number - 1
            if number:
                after.append((room, number))
        each = int(most // mass)
        if left >= each:
            after.append((most - each * mass, left // each))
        if left % each:
            after.append((most - (left % each) * mass, 1))
        rooms = after
    return sum(number for _, number in rooms)
