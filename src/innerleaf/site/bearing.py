"""Looks at a plan made around what is built, knowing nothing of how it was made.

Nothing that is built may be undone, and every upright edge of a board at a joint has to have steel behind it.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Final

from innerleaf.findings import Finding
from innerleaf.layout.boards import box_of
from innerleaf.layout.pieces import FACE, BoardPiece, Member, WallPlan

_BEARING_MM: Final = (
    20  # of each board on steel: edge distance of a screw and its distance from the flange's edge
)
_UNHELD_MM: Final = 60  # shorter stretches of an edge need no member: common practice, no source


def kept_faults(plan: WallPlan, members: Iterable[Member], boards: Iterable[BoardPiece]) -> tuple[str, ...]:
    """What of the members that stand and the boards that hang a plan does not have as they are."""
    there = {(one.mark, one.x_mm, one.face_mm) for one in plan.members}
    faults = [
        f"{one.mark} stands at x = {one.x_mm:g} mm, the plan has it elsewhere or not at all"
        for one in members
        if (one.mark, one.x_mm, one.face_mm) not in there
    ]
    rings = {(one.mark, one.layer, one.ring, one.holes) for one in plan.boards}
    faults += [
        f"{one.mark} hangs, the plan has it otherwise or not at all"
        for one in boards
        if (one.mark, one.layer, one.ring, one.holes) not in rings
    ]
    return tuple(faults)


def bearing_findings(plan: WallPlan, hanging: frozenset[str]) -> tuple[Finding, ...]:
    """Upright edges at joints with no member behind them (W301).

    Joints of later layers stand on members all the same, and are looked at likewise.
    """
    found = []
    for board in plan.boards:
        if board.plane != FACE:
            continue
        for x, low, high, inward in _edges(board):
            at_joint = any(x == joint for joint in plan.vertical_joints_mm[board.layer - 1])
            bare = _bare(plan.members, x, low, high, inward) if at_joint else 0.0
            if bare > _UNHELD_MM:
                hangs = "hangs" if board.mark in hanging else "to come"
                edge = f"edge of {board.mark} ({hangs}) at x = {x:g} mm"
                found.append(
                    Finding(
                        code="W301",
                        wall=plan.wall.id,
                        rule="board edges on members",
                        text=f"{edge} has {bare:.0f} mm without a member",
                        remedy="pack the stud beside it, or put a stud more behind the edge",
                        x_mm=x,
                        y_mm=low,
                        layer=board.layer,
                        by_mm=bare,
                    )
                )
    return tuple(found)


def _edges(board: BoardPiece) -> list[tuple[float, float, float, int]]:
    """Upright edges at the left and right of a piece: x, from, to, and which way the board lies."""
    left, _, right, _ = box_of(board.ring)
    found = []
    ends = board.ring[1:] + board.ring[:1]
    for (xa, ya), (xb, yb) in zip(board.ring, ends, strict=True):
        if xa == xb and xa in (left, right):
            found.append((xa, min(ya, yb), max(ya, yb), 1 if xa == left else -1))
    return found


def _bare(members: Sequence[Member], x: float, low: float, high: float, inward: int) -> float:
    """How much of an edge has no steel behind the ``_BEARING_MM`` of board beside it. [mm]"""
    near, far = sorted((x, x + inward * _BEARING_MM))
    covers = sorted(
        (one.bottom_mm, one.top_mm)
        for one in members
        if one.x_mm - one.face_mm / 2 <= near + 0.5 and far - 0.5 <= one.x_mm + one.face_mm / 2
    )
    pairs = sorted(
        (max(a.bottom_mm, b.bottom_mm), min(a.top_mm, b.top_mm))
        for a in members
        for b in members
        if a.x_mm + a.face_mm / 2 == b.x_mm - b.face_mm / 2
        and a.x_mm - a.face_mm / 2 <= near
        and far <= b.x_mm + b.face_mm / 2
    )
    bare, at = 0.0, low
    for bottom, top in sorted([*covers, *pairs]):
        if top <= at or bottom >= high:
            continue
        bare += max(0.0, bottom - at)
        at = max(at, top)
    return bare + max(0.0, high - at)
