"""The values a takeoff is made of.

Quantities are in ``unit``: "mm" of length, "mm2" of area, "piece" or "kg"; documents turn them into
what people read. ``docs/takeoff.md`` says how each is counted.
"""

from __future__ import annotations

from dataclasses import dataclass

from innerleaf.takeoff.rates import Rates


@dataclass(frozen=True, slots=True)
class Share:
    """The part of a line that one wall or room takes."""

    place: str
    quantity: float
    count: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """One quantity as built: an item in one use, over the building, its rooms and its walls.

    ``count`` is the number of pieces the quantity is made of. Lines of group "joints" measure work,
    not material: nothing is bought for them by name.
    """

    group: str
    item: str
    use: str
    unit: str
    quantity: float
    count: int
    mass_kg: float
    by_wall: tuple[Share, ...]
    by_room: tuple[Share, ...]
    basis: str


@dataclass(frozen=True, slots=True)
class Pack:
    """So many of one stock length, roll, bag or box; ``size`` in the unit of the purchase."""

    size: float
    count: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Purchase:
    """What must be bought of one item, and how near that is to the least possible.

    ``packs`` are stock lengths in mm for bars and boards (``pack_unit`` "mm"), else packs in ``unit``.
    ``lower_bound``: nobody can do with less, in ``unit``. ``special`` counts the pieces no stock
    holds; they are in ``net``, not in ``bought``, and carry a finding of the layout.
    """

    group: str
    item: str
    unit: str
    net: float
    bought: float
    packs: tuple[Pack, ...]
    pack_unit: str
    lower_bound: float
    special: int
    stopped_by: str
    basis: str

    @property
    def waste(self) -> float:
        """What is bought beyond what is built, as a share of what is built."""
        return self.bought / self.net - 1 if self.net else 0.0

    @property
    def gap(self) -> float:
        """What is bought beyond the least possible, as a share of that; 0: nobody can do better."""
        return self.bought / self.lower_bound - 1 if self.lower_bound else 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class CutPiece:
    """One piece on a cut list; for boards ``x_mm, y_mm`` is its lower left corner on the board.

    ``turned_deg`` is 180 where a piece of board lies with its left edge to the right. ``within`` is the mark
    of the piece out of whose notch it is cut, "" where it is cut from the board itself.
    """

    mark: str
    wall: str
    use: str
    length_mm: float
    width_mm: float = 0
    x_mm: float = 0
    y_mm: float = 0
    skew_a_deg: float = 0
    skew_b_deg: float = 0
    turned_deg: int = 0
    within: str = ""


@dataclass(frozen=True, slots=True)
class BoardCut:
    """A cut across a board, from one end to the other; ``sawn`` for a notch, else scored and snapped."""

    ax_mm: int
    ay_mm: int
    bx_mm: int
    by_mm: int
    sawn: bool


@dataclass(frozen=True, slots=True)
class Offcut:
    """A rectangle of a board that is left over, and which long edges of it are factory edges."""

    x_mm: int
    y_mm: int
    width_mm: int
    length_mm: int
    left_bound: bool
    right_bound: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class CutBar:
    """One bar and what is cut from it, in order; what remains is after the last cut.

    ``batch`` is the delivery it is cut in, from 0. ``source`` is "" for a bar that is bought, else the mark
    of an offcut in hand, or "rest of bar 12". ``kept``: what remains is long enough to be.
    """

    number: int
    item: str
    stock_mm: int
    pieces: tuple[CutPiece, ...]
    remainder_mm: int
    batch: int = 0
    source: str = ""
    kept: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class CutBoard:
    """One board and what is cut from it: pieces as they come off, cuts in their order.

    ``batch`` and ``source`` as those of a bar; an offcut of an earlier delivery is a board of its own size.
    """

    number: int
    item: str
    width_mm: int
    stock_mm: int
    pieces: tuple[CutPiece, ...]
    cuts: tuple[BoardCut, ...]
    offcuts: tuple[Offcut, ...]
    batch: int = 0
    source: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Takeoff:
    """Quantities of a building (or of any set of walls), and the rates they rest on."""

    lines: tuple[Line, ...]
    purchases: tuple[Purchase, ...]
    bars: tuple[CutBar, ...]
    boards: tuple[CutBoard, ...]
    rates: Rates

    @property
    def mass_kg(self) -> float:
        """Mass of what is built, as far as the catalogue gives masses."""
        return sum(line.mass_kg for line in self.lines)
