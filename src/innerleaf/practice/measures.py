"""How articles are counted, whoever sells them.

An article that is sold by length (bars, beads, boards, slabs, rolls of membrane) is counted in pieces of a
length; every other by amount: pieces, mm or kg.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Final

from innerleaf.practice.model import ConsumableUse, Practice

BEADS: Final = (ConsumableUse.CORNER_BEAD, ConsumableUse.EDGE_BEAD, ConsumableUse.MOVEMENT_BEAD)
SECTIONS: Final = ("profiles", "boards", "insulation", "membranes", "brackets", "screws", "consumables")


AS_READ: Final[Mapping[str, tuple[str, float]]] = {
    "mm": ("m", 1e3),
    "mm2": ("m²", 1e6),
    "piece": ("piece", 1.0),
    "kg": ("kg", 1.0),
}
"""What people read for a unit that quantities are in, and how many of that unit make one."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Measure:
    """How an article is counted and what people call it.

    ``width_mm`` is 0 for what is a line; ``length_mm`` is the one length it comes in, 0 where it comes in
    several or in none. ``unit`` is what quantities of it are in: "mm", "mm2", "piece" or "kg".
    """

    section: str
    unit: str
    by_length: bool
    width_mm: int = 0
    length_mm: int = 0
    words: str = ""
    piece: str = "piece"

    def of_piece(self, length_mm: int) -> float:
        """How much one piece of a length holds, in ``unit``; 1 unit of what is counted by amount."""
        return length_mm * (self.width_mm or 1) if self.by_length else 1


def measure_of(practice: Practice, article: str) -> Measure | None:
    """How an article is counted; None for an article that the practice does not know."""
    if article in practice.profiles:
        kind = practice.profiles[article].use.value
        return Measure(section="profiles", unit="mm", by_length=True, words=kind, piece="bar")
    if article in practice.boards:
        board = practice.boards[article]
        words = f"board {board.type} {board.thickness_mm:g}, {board.width_mm} wide"
        return _sheet("boards", board.width_mm, 0, words, "board")
    if article in practice.insulation:
        slab = practice.insulation[article]
        words = f"insulation {slab.thickness_mm}, {slab.width_mm} wide"
        return _sheet("insulation", slab.width_mm, slab.length_mm, words, "slab")
    if article in practice.membranes:
        roll = practice.membranes[article]
        return _sheet("membranes", roll.width_mm, roll.length_mm, f"membrane, {roll.width_mm} wide", "roll")
    if article in practice.brackets:
        return Measure(section="brackets", unit="piece", by_length=False, words="bracket")
    if article in practice.screws:
        words = f"board screw {practice.screws[article].length_mm}"
        return Measure(section="screws", unit="piece", by_length=False, words=words)
    if article in practice.consumables:
        return _consumable(practice, article)
    return None


def _sheet(section: str, width_mm: int, length_mm: int, words: str, piece: str) -> Measure:
    return Measure(
        section=section,
        unit="mm2",
        by_length=True,
        width_mm=width_mm,
        length_mm=length_mm,
        words=words,
        piece=piece,
    )


def _consumable(practice: Practice, article: str) -> Measure:
    sort = practice.consumables[article]
    # backing that is sold by length is cut as bars are
    cut = sort.use in BEADS or (sort.use == ConsumableUse.BACKING and sort.unit == "mm")
    return Measure(
        section="consumables",
        unit=sort.unit,
        by_length=cut,
        length_mm=int(sort.pack) if cut else 0,
        words=sort.use.value,
        piece="length" if cut else "piece",
    )


def usual_pack(practice: Practice, article: str) -> float:
    """What one pack holds where nobody says otherwise: pieces, mm or kg."""
    if article in practice.screws:
        return practice.screws[article].pack
    measure = measure_of(practice, article)
    if article in practice.consumables and measure and not measure.by_length:
        return practice.consumables[article].pack
    return 1


def articles(practice: Practice) -> Iterator[str]:
    """Every article that can be bought."""
    for section in SECTIONS:
        yield from getattr(practice, section)


def figure_words(unit: str, quantity: float, form: str = ",.2f") -> str:
    """The figure of a quantity in the unit that people read; whole pieces without decimals.

    >>> figure_words("piece", 57.0, ",.3f"), figure_words("mm", 57.0, ",.3f")
    ('57', '0.057')
    """
    name, per = AS_READ.get(unit, (unit, 1.0))
    whole = name == "piece" and quantity == round(quantity)
    return f"{quantity:,.0f}" if whole else f"{quantity / per:{form}}"


def quantity_words(unit: str, quantity: float, form: str = ",.2f") -> str:
    """A quantity as people read it.

    >>> quantity_words("piece", 2000), quantity_words("piece", 1), quantity_words("mm2", 2.5e6)
    ('2,000 pieces', '1 piece', '2.50 m²')
    """
    shown, (name, _) = figure_words(unit, quantity, form), AS_READ.get(unit, (unit, 1.0))
    return f"{shown} {name}{'s' * (name == 'piece' and shown != '1')}"
