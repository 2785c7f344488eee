"""What lies in and on the frame besides boards: insulation, vapour control layer, noggings, backing."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from math import ceil, hypot

from innerleaf.layout.boards import CrossJoint, box_of
from innerleaf.layout.grid import PanelGrid
from innerleaf.layout.panels import EndKind
from innerleaf.layout.pieces import Bar, Member, MembraneStrip, Role, Run, RunKind, Slab
from innerleaf.layout.setting import Setting
from innerleaf.layout.shapes import Area, Box
from innerleaf.layout.zone import Zone, intersect, spans_over
from innerleaf.practice.model import ConsumableUse, Insulation, Practice
from innerleaf.survey.wall import InsulationPlace, ObstacleKind


def frame_area(zone: Zone) -> Area:
    """The outline less openings, columns and beams, without board gaps: what insulation fills."""
    return Area(zone.outline, [(b.x0, b.y0, b.x1, b.y1) for b in zone.blockers])


def fill_insulation(
    setting: Setting, practice: Practice, zone: Zone, grids: Sequence[PanelGrid]
) -> list[Slab]:
    """Slabs of every insulation layer: bay by bay between members, in courses behind the frame."""
    slabs: list[Slab] = []
    if not setting.wall.lining.insulation:
        return slabs
    area = frame_area(zone)
    for layer, wanted in enumerate(setting.wall.lining.insulation, 1):
        item = practice.insulation[wanted.item]
        upright = wanted.place == InsulationPlace.BETWEEN
        over = setting.rules.insulation_oversize_mm if upright else 0
        number = 0
        for grid in grids:
            boxes = (_bays if upright else _courses)(setting, zone, grid, item)
            for ring, _ in (part for parts in area.cells(boxes) for part in parts):
                number += 1
                left, low, right, high = box_of(ring)
                along, up = ceil(right - left), ceil(high - low)
                across, lengthwise = (along, up) if upright else (up, along)
                slabs.append(
                    Slab(
                        f"{setting.wall.id}/I{layer}-{number:03d}",
                        layer,
                        item.id,
                        ring,
                        min(item.width_mm, across + over),
                        min(item.length_mm, lengthwise + over),
                    )
                )
    return slabs


def _bays(setting: Setting, zone: Zone, grid: PanelGrid, item: Insulation) -> list[Box]:
    """Boxes from web to web, one slab each, from the floor up.

    Beside openings, steps and columns a bay ends at their edge, not in the middle of the stud there, so
    that no slim tongue is left over; at the ends of the frame the end stud is filled.
    """
    left, right = _ends(setting, grid)
    sides = {side for b in zone.blockers for side in (b.x0, b.x1)} | {up[0] for up in zone.uprights()}
    webs = {post.x for post in grid.posts if post.role in (Role.GRID, Role.JOINT)}
    lines = sorted({left, right, *(x for x in (*sides, *webs) if left < x < right)})
    lows = _shared(zone.y0, zone.y1, item.length_mm)
    return [
        (a, low, b, high)
        for u, v in pairwise(lines)
        for a, b in _shared(u, v, item.width_mm)
        for low, high in lows
    ]


def _courses(setting: Setting, zone: Zone, grid: PanelGrid, item: Insulation) -> list[Box]:
    """Slabs lying in courses, the joints of each course shifted by half a slab."""
    left, right = _ends(setting, grid)
    boxes: list[Box] = []
    for course, (low, high) in enumerate(_shared(zone.y0, zone.y1, item.width_mm)):
        start = left + (item.length_mm // 2 if course % 2 else 0)
        places = _shared(left, right, item.length_mm)
        if left < start < right:
            places = [(left, start), *_shared(start, right, item.length_mm)]
        boxes += [(a, low, b, high) for a, b in places]
    return boxes


def _ends(setting: Setting, grid: PanelGrid) -> tuple[float, float]:
    """Where a panel's insulation begins and ends: at a movement joint it fills half the gap too."""
    panel, gap = grid.panel, setting.rules.movement_joint_gap_mm
    return (
        panel.x0 - (gap - gap // 2 if panel.left == EndKind.MOVEMENT else 0),
        panel.x1 + (gap // 2 if panel.right == EndKind.MOVEMENT else 0),
    )


def _shared(low: float, high: float, size: int) -> list[tuple[float, float]]:
    """A stretch in whole sizes and a rest; a rest too small to cut shares with the piece before it."""
    count = ceil((high - low) / size)
    marks = [*(low + k * size for k in range(count)), high]
    if count > 1 and high - marks[-2] < _SMALLEST_MM:
        marks[-2] = (marks[-3] + high) // 2
    return list(pairwise(marks))


# Wool narrower than this tears when cut; common practice, no source.
_SMALLEST_MM = 100


def hang_membrane(
    setting: Setting, practice: Practice, zone: Zone, grids: Sequence[PanelGrid]
) -> tuple[list[MembraneStrip], list[Run]]:
    """The vapour control layer in level strips from the floor up, lapped, sealed to all it meets."""
    name = setting.wall.lining.membrane
    if not name:
        return [], []
    item, up = practice.membranes[name], setting.rules.membrane_upstand_mm
    tape = practice.consumable(ConsumableUse.MEMBRANE_TAPE).id
    sealant = practice.consumable(ConsumableUse.MEMBRANE_SEALANT).id
    area = frame_area(zone)
    strips: list[MembraneStrip] = []
    runs: list[Run] = []
    tall = zone.y1 - zone.y0 + 2 * up
    count = max(1, ceil((tall - item.lap_mm) / (item.width_mm - item.lap_mm)))
    step = item.width_mm - item.lap_mm
    rings = [ring for part in area.parts() for ring in (part[0], *part[1])]
    turned = [tuple((y, x) for x, y in reversed(ring)) for ring in rings]
    for left, right in _sheets(setting, grids):
        for k in range(count):
            low = zone.y0 - up + k * step
            high = min(low + item.width_mm, zone.y1 + up)
            for ring, holes in (part for parts in area.cells([(left, low, right, high)]) for part in parts):
                x0, y0, x1, y1 = box_of(ring)
                # What turns onto the surroundings is added where the strip reaches them.
                above, beneath = up if y1 >= zone.y1 else 0, up if y0 <= zone.y0 else 0
                strips.append(
                    MembraneStrip(
                        f"{setting.wall.id}/M{len(strips) + 1:02d}",
                        name,
                        ring,
                        holes,
                        min(item.width_mm, ceil(y1 - y0) + above + beneath),
                        ceil(x1 - x0) + 2 * up,
                    )
                )
            if k:
                y = low + item.lap_mm / 2
                for a, b in intersect(spans_over(turned, y, y), [(left, right)]):
                    runs.append(Run(RunKind.MEMBRANE_LAP, 0, a, y, b, y, round(b - a), tape))
    for outer, openings in area.parts():
        for loop in (outer, *openings):
            for p, q in zip(loop, loop[1:] + loop[:1], strict=True):
                length = round(hypot(p[0] - q[0], p[1] - q[1]))
                runs.append(Run(RunKind.MEMBRANE_SEAL, 0, *p, *q, length, sealant))
    return strips, runs


def _sheets(setting: Setting, grids: Sequence[PanelGrid]) -> list[tuple[float, float]]:
    """Stretches that one sheet covers: panels, run together over the gap of a movement joint."""
    sheets: list[tuple[float, float]] = []
    for panel in (grid.panel for grid in grids):
        if sheets and panel.x0 - sheets[-1][1] == setting.rules.movement_joint_gap_mm:
            sheets[-1] = (sheets[-1][0], panel.x1)
        else:
            sheets.append((panel.x0, panel.x1))
    return sheets


def place_noggings(
    setting: Setting, zone: Zone, members: Sequence[Member], crossings: Sequence[CrossJoint]
) -> list[Bar]:
    """Noggings behind the cross joints of a single layer; with more layers the next one bridges them."""
    if not setting.rules.nogging_over_board_height or len(setting.boards) > 1:
        return []
    bars: list[Bar] = []
    for joint in crossings:
        for left, right in _bays_at(zone, members, joint.left, joint.right, joint.y):
            bars.append(
                Bar(
                    f"{setting.wall.id}/N{len(bars) + 1:02d}",
                    "",
                    Role.NOGGING,
                    setting.track.id if not setting.bracketed else setting.stud.id,
                    left,
                    joint.y,
                    right,
                    joint.y,
                    setting.stud.face_mm if setting.bracketed else setting.track.depth_mm,
                    ceil(right - left),
                    0.0,
                    0.0,
                    f"behind a cross joint of layer {joint.layer}",
                )
            )
    return bars


def place_backing(setting: Setting, practice: Practice, zone: Zone, members: Sequence[Member]) -> list[Bar]:
    """Backing plates from member to member behind hung loads and radiators."""
    item = practice.consumable(ConsumableUse.BACKING)
    wanted = [(load.id, load.x_mm, load.x_mm + load.width_mm, load.y_mm) for load in setting.wall.loads]
    wanted += [
        (o.id, o.x_mm, o.x_mm + o.width_mm, o.y_mm + o.height_mm - item.width_mm // 2)
        for o in setting.wall.obstacles
        if o.kind == ObstacleKind.RADIATOR
    ]
    bars: list[Bar] = []
    half = item.width_mm / 2
    for of, left, right, height in wanted:
        for a, b in _bays_at(zone, members, left, right, height):
            low, high = next((s for s in zone.clear(a, b) if s[0] <= height <= s[1]), (height, height))
            y = min(max(height, low + half), high - half) if high - low >= item.width_mm else height
            bars.append(
                Bar(
                    f"{setting.wall.id}/G{len(bars) + 1:02d}",
                    "",
                    Role.BACKING,
                    item.id,
                    a,
                    y,
                    b,
                    y,
                    item.width_mm,
                    ceil(b - a),
                    0.0,
                    0.0,
                    f"behind {of}",
                )
            )
    return bars


def _bays_at(
    zone: Zone, members: Sequence[Member], left: float, right: float, y: float
) -> list[tuple[float, float]]:
    """Clear bays between members at a height that a stretch ``left .. right`` reaches into."""
    standing = [m for m in members if m.bottom_mm < y < m.top_mm]
    standing.sort(key=lambda m: m.x_mm)
    bays = []
    for a, b in zip(standing, standing[1:], strict=False):
        low, high = a.x_mm + a.face_mm / 2, b.x_mm - b.face_mm / 2
        open_between = any(k.x0 < high and low < k.x1 and k.y0 < y < k.y1 for k in zone.blockers)
        joint = a.role == b.role == Role.MOVEMENT  # nothing may bridge it
        if low < right and high > left and high > low and not open_between and not joint:
            bays.append((low, high))
    return bays
