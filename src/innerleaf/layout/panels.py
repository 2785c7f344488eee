"""Panels: stretches of wall that are set out on their own.

A wall is divided where a movement joint crosses it and where something (a column, a door as high as
the room) interrupts the lining from floor to head. Each panel has its own grid.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
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


def movement_joints(setting: Setting, zone: Zone) -> tuple[list[int], list[Finding]]:
    """Where movement joints go: the building's own, and more so that none is farther than the rule.

    Source: DIN 18181 practice (see the rule's note). They are kept clear of openings where possible.
    """
    rules, wall = setting.rules, setting.wall
    fixed = sorted(x for x in wall.building_joints_mm if zone.x0 < x < zone.x1)
    bounds = [zone.x0, *fixed, zone.x1]
    joints, findings = list(fixed), []
    margin = rules.jamb_clear_mm + setting.face_mm + rules.movement_joint_gap_mm
    for a, b in zip(bounds, bounds[1:], strict=False):
        parts = ceil((b - a) / rules.movement_joint_spacing_max_mm)
        start = a
        for left in range(parts - 1, 0, -1):
            ideal = start + (b - start) // (left + 1)
            least = max(start + 1, b - left * rules.movement_joint_spacing_max_mm)
            most = min(start + rules.movement_joint_spacing_max_mm, b - 1)
            place = _clear_place(zone, ideal, least, most, margin)
            if place is None:
                place = ideal
                findings.append(
                    Finding(
                        code="L501",
                        wall=wall.id,
                        rule="movement_joint_spacing_max_mm",
                        text=f"no place for a movement joint clear of the openings near x = {ideal} mm",
                        remedy="move the joint to the jamb by agreement, or let two joints take its place",
                        x_mm=ideal,
                    )
                )
            joints.append(place)
            start = place
    return sorted(joints), findings


def _clear_place(zone: Zone, ideal: int, least: int, most: int, margin: int) -> int | None:
    """The place nearest to ``ideal`` that is ``margin`` away from every blocker."""
    places = {ideal, least, most}
    for b in zone.blockers:
        places |= {b.x0 - margin, b.x1 + margin}
    lawful = [
        x
        for x in places
        if least <= x <= most and all(x <= b.x0 - margin or x >= b.x1 + margin for b in zone.blockers)
    ]
    return min(lawful, key=lambda x: (abs(x - ideal), x), default=None)


def panels_of(setting: Setting, zone: Zone, joints: Sequence[int]) -> list[Panel]:
    """The panels of a wall, left to right."""
    gap = setting.rules.movement_joint_gap_mm
    edges = [(x - gap // 2, x + gap - gap // 2, EndKind.MOVEMENT) for x in joints]  # where the frame stops
    for b in zone.blockers:
        low, high = max(b.x0, zone.x0), min(b.x1, zone.x1)
        if low < high and not zone.clear(low, high):
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
