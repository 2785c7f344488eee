"""What stands of a wall that is partly built."""

from __future__ import annotations

from dataclasses import dataclass

from innerleaf.layout.boards import box_of
from innerleaf.layout.pieces import BoardPiece, Member, WallPlan


@dataclass(frozen=True, slots=True)
class Hung:
    """A board that hangs, and the joints (or panel ends) that its column lies between. [mm]"""

    piece: BoardPiece
    left_mm: float
    right_mm: float


@dataclass(frozen=True, slots=True)
class Built:
    """What stands of a wall: members where they were measured, boards as they hang.

    ``dropped``: marks of members drawn and never to be built.
    """

    members: tuple[Member, ...] = ()
    boards: tuple[Hung, ...] = ()
    dropped: frozenset[str] = frozenset()


def hung(piece: BoardPiece, before: WallPlan) -> Hung:
    """A board of a plan with the column that the plan has it in."""
    left, _, right, _ = box_of(piece.ring)
    ends = {x for grid in before.grids for x in (grid.from_mm, grid.to_mm)}
    bounds = sorted({*before.vertical_joints_mm[piece.layer - 1], *ends})
    return Hung(
        piece,
        max((x for x in bounds if x <= left), default=left),
        min((x for x in bounds if x >= right), default=right),
    )
