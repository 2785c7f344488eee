"""What a cut list shows, whatever it is cut for: bars and boards cut alike stand once.

Numbers only, in millimetres as things are cut; ``cut_list`` makes these of a takeoff, `innerleaf cut` of a
file, ``cut_bars`` and ``cut_boards`` draw them.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import groupby
from operator import attrgetter

from innerleaf.documents.schedule import mark_ranges
from innerleaf.documents.view import short

Ring = tuple[tuple[float, float], ...]
Line = tuple[float, float, float, float]  # from x, y to x, y
_LETTERS = "abcdefghijklmnopqrstuvwxyz"


@dataclass(frozen=True, slots=True)
class Piece:
    """One piece: its mark, and where it goes, empty where nobody says; ``boxes``: it gets holes for boxes."""

    mark: str
    wall: str = ""
    room: str = ""
    use: str = ""
    boxes: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class BarPart:
    """One place along bars cut alike: the piece of each of them, and the angles of its ends from square."""

    length_mm: int
    pieces: tuple[Piece, ...]
    skew_a_deg: float = 0
    skew_b_deg: float = 0


@dataclass(frozen=True, slots=True)
class BarCut:
    """A square cut, by its distance from the left end of the bar."""

    number: int
    at_mm: int


@dataclass(frozen=True, slots=True, kw_only=True)
class BarPattern:
    """Bars cut alike. ``kept`` are the marks of their remainders, none where these are waste.

    ``trim_mm`` is lost at the left end before anything is cut; ``source`` names an offcut in hand;
    ``comes_as`` says what the order may bring in its place.
    """

    item: str
    stock_mm: int
    numbers: tuple[int, ...]
    kerf_mm: int
    parts: tuple[BarPart, ...]
    rest_mm: int
    kept: tuple[str, ...] = ()
    trim_mm: int = 0
    source: str = ""
    comes_as: str = ""
    heading: str = ""

    @property
    def spans(self) -> tuple[tuple[int, int], ...]:
        """Where each part begins and ends, from the left end of the bar. [mm]"""
        found, at = [], self.trim_mm
        for part in self.parts:
            found.append((at, at + part.length_mm))
            at += part.length_mm + self.kerf_mm
        return tuple(found)

    @property
    def cuts(self) -> tuple[BarCut, ...]:
        """The square cuts in their order: where each piece ends; the blade takes what is beyond.

        Skew ends are cut afterwards, on the piece.
        """
        ends = [end for _, end in self.spans if end < self.stock_mm]
        begin = [self.trim_mm] if self.trim_mm else []
        return tuple(BarCut(number, at) for number, at in enumerate([*begin, *ends], 1))


@dataclass(frozen=True, slots=True, kw_only=True)
class BoardPart:
    """One place on boards cut alike: the piece of each of them.

    ``rings`` are its outline and holes on the board; ``host`` is the part out of whose notch it is cut, -1
    where it is cut from the board itself.
    """

    width_mm: float
    length_mm: float
    rings: tuple[Ring, ...]
    pieces: tuple[Piece, ...]
    turned_deg: int = 0
    host: int = -1


@dataclass(frozen=True, slots=True)
class Step:
    """One numbered cut; ``how`` is "score", "saw" (a notch) or "shape" (raked edges, cut last)."""

    number: int
    how: str
    lines: tuple[Line, ...]


@dataclass(frozen=True, slots=True)
class Left:
    """A rectangle left over; ``kept`` are the marks written on it, none where it is waste."""

    x_mm: int
    y_mm: int
    width_mm: int
    length_mm: int
    kept: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class BoardPattern:
    """Boards cut alike, seen from the face side, foot below."""

    item: str
    width_mm: int
    stock_mm: int
    numbers: tuple[int, ...]
    parts: tuple[BoardPart, ...]
    steps: tuple[Step, ...]
    lefts: tuple[Left, ...] = ()
    bound: tuple[bool, bool] = (True, True)  # left and right are factory edges
    source: str = ""
    comes_as: str = ""
    heading: str = ""


Pattern = BarPattern | BoardPattern


def letter_of(number: int) -> str:
    """What a part is called beside its drawing, in the order they come off.

    >>> letter_of(0), letter_of(25), letter_of(26)
    ('a', 'z', 'aa')
    """
    before, last = divmod(number, len(_LETTERS))
    return (letter_of(before - 1) if before else "") + _LETTERS[last]


def number_ranges(numbers: Sequence[int]) -> str:
    """Numbers in short.

    >>> number_ranges([1, 2, 3, 7])
    '1–3, 7'
    """
    return mark_ranges(str(number) for number in numbers)


def marks_of(pieces: Iterable[Piece]) -> str:
    """Marks of pieces in short, the wall named once.

    >>> marks_of([Piece("W-1/S1", "W-1"), Piece("W-1/S2", "W-1"), Piece("W-2/S4", "W-2"), Piece("P1")])
    'W-1/S1–S2, W-2/S4, P1'
    """
    found = []
    for wall, some in groupby(pieces, key=attrgetter("wall")):
        given = [piece.mark for piece in some]
        own = [short(mark, wall) for mark in given]
        before = given[0].removesuffix(own[0])
        found.append(before + mark_ranges(_counted(own)))
    return ", ".join(found)


def _counted(marks: Sequence[str]) -> list[str]:
    """Marks that several pieces share, once with their number."""
    return [mark if (n := len(list(same))) == 1 else f"{n} × {mark}" for mark, same in groupby(marks)]


def places_of(pieces: Iterable[Piece]) -> str:
    """Where pieces go and what for, each said once."""
    given = list(pieces)
    rooms = dict.fromkeys(piece.room for piece in given if piece.room)
    uses = dict.fromkeys(piece.use for piece in given if piece.use)
    return ", ".join([*uses, *rooms])
