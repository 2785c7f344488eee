"""Tracks along floor and head, head and sill members at openings, and what holds and seals them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from itertools import pairwise
from math import ceil, hypot

from innerleaf.layout.grid import PanelGrid
from innerleaf.layout.members import splice_lengths
from innerleaf.layout.pieces import Bar, FixingLine, Member, Role, Run, RunKind
from innerleaf.layout.setting import FREE_ENDS, Setting
from innerleaf.layout.zone import Level, Span, Zone, nearest
from innerleaf.practice.model import ConsumableUse, Practice

_LEVEL_ROLES = {
    ("floor", False): (Role.FLOOR_TRACK, "F"),
    ("head", False): (Role.HEAD_TRACK, "H"),
    ("over", True): (Role.HEAD, "L"),
    ("under", True): (Role.SILL, "P"),
    ("over", False): (Role.FLOOR_TRACK, "F"),
    ("under", False): (Role.HEAD_TRACK, "H"),
}


def run_tracks(
    setting: Setting, practice: Practice, zone: Zone, grids: Sequence[PanelGrid]
) -> tuple[list[Bar], list[FixingLine], list[Run]]:
    """Tracks along floor and head, head and sill members at openings."""
    rules, wall, track = setting.rules, setting.wall, setting.track
    strip = practice.consumable(ConsumableUse.SEALING_STRIP, track.depth_mm).id
    fixing = practice.consumable(ConsumableUse.PERIMETER_FIXING).id
    bars: list[Bar] = []
    fixings: list[FixingLine] = []
    strips: list[Run] = []
    count: dict[str, int] = {}
    for grid in grids:
        whole = zone.levels(grid.panel.x0, grid.panel.x1)
        for level in (part for each in whole for part in _where_it_fits(zone, each, track.face_mm)):
            role, letter = _LEVEL_ROLES[level.kind, level.opening]
            if level.opening and not _room_for(setting, zone, level):
                continue
            up = 1 if level.kind in ("floor", "over") else -1
            leg = rules.head_member_leg_mm if level.opening else 0
            run = hypot(level.bx - level.ax, level.by - level.ay)
            stock = max(track.stock_lengths_mm)
            lengths = splice_lengths(
                ceil(run) + 2 * leg,
                stock,
                overlap_mm=0,
                least_mm=rules.short_piece_min_mm,
                long_piece_last=False,
            )
            done = 0.0
            for i, piece in enumerate(lengths):
                count[letter] = count.get(letter, 0) + 1
                mark = f"{wall.id}/{letter}{count[letter]:02d}"
                shown = piece - (leg if i == 0 else 0) - (leg if i == len(lengths) - 1 else 0)
                a, b = _along(level, done, run), _along(level, min(run, done + shown), run)
                done += shown
                off = up * track.face_mm / 2 * run / (level.bx - level.ax)  # square to the slope, told plumb
                turned = f", ends turned {leg} mm" if leg else ""
                purpose = role.value + (f" of {level.of}" if level.of else "") + turned
                bars.append(
                    Bar(
                        mark,
                        "",
                        role,
                        track.id,
                        a[0],
                        a[1] + off,
                        b[0],
                        b[1] + off,
                        track.face_mm,
                        piece,
                        0.0,
                        0.0,
                        purpose,
                    )
                )
                if level.opening or level.meets in FREE_ENDS:
                    continue
                fixings.append(
                    FixingLine(
                        mark,
                        fixing,
                        tuple(
                            _along(level, (done - shown) + d, run)
                            for d in spread(
                                shown, rules.track_fixing_spacing_max_mm, rules.fixing_end_distance_mm
                            )
                        ),
                    )
                )
                strips.append(
                    Run(RunKind.SEALING_STRIP, 0, a[0], a[1], b[0], b[1], round(shown), strip, mark)
                )
    return bars, fixings, strips


def _where_it_fits(zone: Zone, level: Level, face: int) -> list[Level]:
    """The stretches of a level where a track fits between it and what lies opposite.

    A window that all but reaches the ceiling leaves no room for the head track above it, nor does the
    pointed corner under a roof for two tracks one on the other.
    """
    near = any(0 < gap < face for k in zone.blockers for gap in (level.ay - k.y1, k.y0 - level.ay))
    if level.opening or (zone.rectangle and not near):
        return [level]
    run, rise = level.bx - level.ax, level.by - level.ay
    cuts = {
        level.ax,
        level.bx,
        *(x for x, _ in zone.outline),
        *(x for k in zone.blockers for x in (k.x0, k.x1)),
    }
    marks = sorted(x for x in cuts if level.ax <= x <= level.bx)
    fitting: list[tuple[float, float]] = []
    for u, v in pairwise(marks):
        at_u, at_v = (_room_at(zone, level, x, rise / run) - face for x in (u + 0.5, v - 0.5))
        if at_u < 0 and at_v < 0:
            continue
        meet = ceil(u + (v - u) * at_u / (at_u - at_v)) if (at_u < 0) != (at_v < 0) else None
        low, high = (meet if at_u < 0 and meet else u), (meet if at_v < 0 and meet else v)
        if fitting and fitting[-1][1] == low:
            fitting[-1] = (fitting[-1][0], high)
        else:
            fitting.append((low, high))

    def y(x: float) -> float:
        return level.ay if not rise else level.ay + rise * (x - level.ax) / run

    return [replace(level, ax=a, ay=y(a), bx=b, by=y(b)) for a, b in fitting if b - a > face]


def _room_at(zone: Zone, level: Level, x: float, slope: float) -> float:
    """Height of what is free beside a level at x; 0 where the level does not bound it."""
    y = level.ay + slope * (x - level.ax)
    up = level.kind in ("floor", "over")
    for low, high in zone.clear(x, x):
        if abs((low if up else high) - y) <= 1 + abs(slope):
            return high - low
    return 0


def _room_for(setting: Setting, zone: Zone, level: Level) -> bool:
    """Whether a head or sill member fits between the opening and what lies beyond it."""
    middle = (level.ax + level.bx) / 2
    spans = zone.clear(middle, middle)
    room = next((high - low for low, high in spans if level.ay in (low, high)), 0)
    return room >= setting.rules.cripple_min_mm


def _along(level: Level, distance: float, run: float) -> tuple[float, float]:
    """The point at a distance along a level."""
    t = distance / run
    x, y = level.ax + (level.bx - level.ax) * t, level.ay + (level.by - level.ay) * t
    return nearest(x), (level.ay if level.ay == level.by else round(y, 1))


def spread(length: float, spacing: int, end: int) -> list[int]:
    """Places along a length: one near each end, none farther apart than ``spacing``. [mm]"""
    if length <= 2 * end:
        return [round(length / 2)]
    span = length - 2 * end
    count = max(1, ceil(span / spacing))
    return [round(end + span * k / count) for k in range(count + 1)]


def fix_ends(
    setting: Setting,
    practice: Practice,
    zone: Zone,
    members: Sequence[Member],
    bars: Sequence[Bar],
) -> tuple[list[FixingLine], list[Run]]:
    """Fix and seal the members that stand against structure."""
    rules = setting.rules
    fixing = practice.consumable(ConsumableUse.PERIMETER_FIXING).id
    strip = practice.consumable(ConsumableUse.SEALING_STRIP, setting.stud.depth_mm).id
    fixings: list[FixingLine] = []
    strips: list[Run] = []
    for member in members:
        touched = _touched(zone, member)
        if not touched:
            continue
        bar = next(bar for bar in bars if bar.member == member.mark)
        strips += [
            Run(RunKind.SEALING_STRIP, 0, x, low, x, high, round(high - low), strip, member.mark)
            for x, low, high in touched
        ]
        places: list[tuple[float, float]] = []
        for low, high in _together((low, high) for _, low, high in touched):
            along = spread(high - low, rules.end_fixing_spacing_max_mm, rules.fixing_end_distance_mm)
            places += [(member.x_mm, nearest(low + d)) for d in along]
        fixings.append(FixingLine(bar.mark, fixing, tuple(places)))
    return fixings, strips


def _touched(zone: Zone, member: Member) -> list[tuple[float, float, float]]:
    """Where a member stands against something solid: (x, from, to) at ends, steps, columns, beams."""
    half = member.face_mm / 2
    faces = (member.x_mm - half, member.x_mm + half)
    solid = [(x, low, high) for x, low, high, _, meets in zone.uprights() if meets not in FREE_ENDS]
    solid += [(x, b.y0, b.y1) for b in zone.blockers if not b.opening for x in (b.x0, b.x1)]
    return [
        (x, max(low, member.bottom_mm), min(high, member.top_mm))
        for x, low, high in sorted(solid)
        if x in faces and min(high, member.top_mm) > max(low, member.bottom_mm)
    ]


def _together(spans: Iterable[Span]) -> list[Span]:
    """Spans with those that overlap or touch made one."""
    joined: list[Span] = []
    for low, high in sorted(spans):
        if joined and low <= joined[-1][1]:
            joined[-1] = (joined[-1][0], max(high, joined[-1][1]))
        else:
            joined.append((low, high))
    return joined
