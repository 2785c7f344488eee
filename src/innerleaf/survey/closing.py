"""A room measured side by side: whether it closes, and its corners with the misclosure shared out.

Sides are typed as one looks at one wall after the other, turning to the right: each from its left end to its
right end, and then the turn. The misclosure is shared out in proportion to length, the compass rule of
traverse adjustment (from memory: any handbook of surveying, after Bowditch).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import cos, hypot, radians, sin

Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Side:
    """One side of a room: its length, and how far one turns to the right at its end. [mm, degrees]"""

    length_mm: int
    turn_deg: float = 90.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Closing:
    """A room as measured: ``corners`` after sharing out, the first at the origin, the first along x, y up.

    ``miss_mm`` is from the last corner as measured to the first, ``turned_deg`` what the turns miss of a
    whole one, ``changes_mm`` by how much each side became longer.
    """

    corners: tuple[Point, ...]
    miss_mm: float
    miss: Point
    turned_deg: float
    around_mm: int
    changes_mm: tuple[float, ...]

    @property
    def one_in(self) -> float:
        """The misclosure as one part in so many of the way round; infinite where it closes."""
        return self.around_mm / self.miss_mm if self.miss_mm else float("inf")


def close_room(sides: Sequence[Side]) -> Closing:
    """Walk round, see where one ends, and share out what is missing.

    What the turns miss of a whole one is left as it is: a laser meter measures lengths, not angles, so it
    is a mistake to be found, not an error to be spread.
    """
    steps: list[Point] = []
    heading = 0.0
    for side in sides:
        steps.append((side.length_mm * cos(radians(heading)), -side.length_mm * sin(radians(heading))))
        heading += side.turn_deg
    around = sum(side.length_mm for side in sides)
    miss = (sum(x for x, _ in steps), sum(y for _, y in steps))
    shares = [side.length_mm / around if around else 0.0 for side in sides]
    mended = [(x - miss[0] * part, y - miss[1] * part) for (x, y), part in zip(steps, shares, strict=True)]
    corners, at = [], (0.0, 0.0)
    for x, y in mended:
        corners.append(at)
        at = (at[0] + x, at[1] + y)
    return Closing(
        corners=tuple(corners),
        miss_mm=hypot(*miss),
        miss=miss,
        turned_deg=heading - 360.0,
        around_mm=around,
        changes_mm=tuple(hypot(*step) - side.length_mm for step, side in zip(mended, sides, strict=True)),
    )
