"""Panels: stretches of wall that are set out on their own.

A wall is divided where a movement joint crosses it and where something (a column, a door as high as
the room) interrupts the lining from floor to head. Each panel has its own grid.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from itertools import pairwise
from math import ceil

from innerleaf.findings import Finding
from innerleaf.layout.setting import FREE_ENDS, Setting
from innerleaf.layout.zone import Zone
from innerleaf.survey.wall import Meets


class EndKind(StrEnum):
    """What ends a panel."""

    STRUCTURE = "structure"
    FREE = "free"
    MOVEMENT = "movement joint"
    OPENING = "opening"
    OBSTACLE = "obstacle"
    POINT = "point"  # the outline runs out to no height


@dataclass(frozen=True, slots=True)
class Panel:
    """A stretch ``x0 .. x1`` of the frame; boards cover ``board_x0 .. board_x1``."""

    x0: int
    x1: int
    left: EndKind
    right: EndKind
    board_x0: int
    board_x1: int


def movement_joint_ways(setting: Setting, zone: Zone) -> list[list[int]]:
    """Where movement joints may go: the building's own, and more so that none is farther than the rule.

    Source: DIN 18181 practice (see the rule's note). Added joints divide a stretch evenly, moved just
    enough to be clear of openings. Placing them from the right may differ; then both ways are returned.
    """
    rules = setting.rules
    spacing = rules.movement_joint_spacing_max_mm
    margin = rules.jamb_clear_mm + setting.face_mm + rules.movement_joint_gap_mm
    fixed = sorted(x for x in setting.wall.building_joints_mm if zone.x0 < x < zone.x1)
    blocked = [(b.x0 - margin, b.x1 + margin) for b in zone.blockers]
    ends = zone.x0 + zone.x1
    ways = [
        _divide(zone.x0, zone.x1, fixed, blocked, spacing),
        [
            ends - x
            for x in _divide(
                zone.x0,
                zone.x1,
                [ends - x for x in fixed],
                [(ends - b, ends - a) for a, b in blocked],
                spacing,
            )
        ],
    ]
    ways = [sorted(way) for way in ways]
    return ways[:1] if ways[0] == ways[1] else ways


def _divide(
    x0: int, x1: int, fixed: Sequence[int], blocked: Sequence[tuple[int, int]], spacing: int
) -> list[int]:
    """Joints from left to right; where no place is clear the even division stays."""
    joints = list(fixed)
    bounds = [x0, *sorted(fixed), x1]
    for a, b in pairwise(bounds):
        start = a
        for left in range(ceil((b - a) / spacing) - 1, 0, -1):
            ideal = start + (b - start) // (left + 1)
            least, most = max(start + 1, b - left * spacing), min(start + spacing, b - 1)
            places = {ideal, least, most, *(x for pair in blocked for x in pair)}
            clear = [
                x
                for x in places
                if least <= x <= most and all(x <= low or x >= high for low, high in blocked)
            ]
            start = min(clear, key=lambda x: (abs(x - ideal), x), default=ideal)
            joints.append(start)
    return joints


def misplaced_joints(setting: Setting, zone: Zone, joints: Sequence[int]) -> list[Finding]:
    """Added movement joints that stand in an opening or too near to one."""
    clear = setting.rules.jamb_clear_mm
    return [
        Finding(
            code="L501",
            wall=setting.wall.id,
            rule="jamb_clear_mm",
            text=f"movement joint within {clear} mm of {b.id}",
            remedy="move the joint to the jamb by agreement, or put a joint on either side",
            x_mm=x,
        )
        for x in joints
        for b in zone.blockers
        if b.x0 - clear < x < b.x1 + clear
    ]


def panels_of(setting: Setting, zone: Zone, joints: Sequence[int]) -> list[Panel]:
    """The panels of a wall, left to right."""
    gap = setting.rules.movement_joint_gap_mm
    edges = [(x - gap // 2, x + gap - gap // 2, EndKind.MOVEMENT) for x in joints]  # where the frame stops
    for b in zone.blockers:
        low, high = max(b.x0, zone.x0), min(b.x1, zone.x1)
        if low < high and not zone.room_beside(b):
            edges.append((low, high, EndKind.OPENING if b.opening else EndKind.OBSTACLE))
    edges.sort(key=lambda e: e[:2])
    panels = []
    at, kind = zone.x0, _wall_end(zone, zone.x0)
    for low, high, what in [*edges, (zone.x1, zone.x1, _wall_end(zone, zone.x1))]:
        if low > at:
            panels.append(
                Panel(at, low, kind, what, at + _end_gap(setting, kind), low - _end_gap(setting, what))
            )
        if high >= at:
            at, kind = high, what
    return panels


def _wall_end(zone: Zone, x: int) -> EndKind:
    meets: list[Meets] = [m for at, _, _, _, m in zone.uprights() if at == x]
    if not meets:
        return EndKind.POINT
    return EndKind.FREE if all(m in FREE_ENDS for m in meets) else EndKind.STRUCTURE


def _end_gap(setting: Setting, kind: EndKind) -> int:
    return setting.gaps.side_mm if kind in (EndKind.STRUCTURE, EndKind.OBSTACLE) else 0
