"""Sections through one bay at large scale: what lies behind what, how thick, and how floor and head are met."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import cos, pi

from innerleaf.documents.boarding import layers_of, spans_at
from innerleaf.documents.labels import spread
from innerleaf.documents.sheet import (
    BOX_THIN,
    CUT,
    CUT_THIN,
    DIM,
    FINE,
    FRAME_THIN,
    HAIR,
    INSULATION,
    MEMBRANE,
    OUTLINE_THIN,
    THICK,
    THIN,
    Hatch,
    Pen,
    Place,
    Rect,
    Sheet,
)
from innerleaf.documents.view import ROW, SMALL, draw_heading
from innerleaf.layout.pieces import Member, Ring, Role, WallPlan
from innerleaf.practice.model import Practice
from innerleaf.survey.wall import InsulationPlace, Meets, Wall, Way

SECTION_SCALES = (5, 10, 20)
STRIP_MM = 3  # sealing strip as drawn
SHEET_HEIGHT_MM, SHEET_WIDTH_MM = 262.0, 288.0
_DETAIL_UP_MM, _DETAIL_OLD_MM, _DETAIL_ROOM_MM = 260, 130, 90  # what a vertical detail shows
_NAMES_MM = 88.0  # paper for the names beside a section

_HATCH_WORDS = (
    (Hatch.INSULATION, ("wool", "insulation", "foam", "polystyrene", "cork", "eps", "xps")),
    (Hatch.CONCRETE, ("concrete", "screed")),
    (Hatch.PLASTER, ("plaster", "render", "mortar", "stucco")),
    (Hatch.GYPSUM, ("gypsum", "board")),
    (Hatch.TIMBER, ("timber", "wood", "spruce", "oak", "log")),
    (Hatch.STONE, ("stone", "rubble", "granite", "slate")),
    (Hatch.BRICK, ("brick", "clay")),
)


def material_hatch(material: str) -> Hatch:
    """The filling for a material by the words in its id; masonry of unknown kind is drawn as block."""
    name = material.lower()
    return next((hatch for hatch, words in _HATCH_WORDS if any(word in name for word in words)), Hatch.BLOCK)


@dataclass(frozen=True, slots=True)
class Layer:
    """One layer of a section, from ``start_mm`` to ``end_mm`` off the old wall's reference plane."""

    name: str
    start_mm: float
    end_mm: float
    hatch: Hatch


@dataclass(frozen=True, slots=True)
class BuildLayers:
    """Everything a section shows, by depth."""

    old: tuple[Layer, ...]  # outside first
    insulation: tuple[tuple[Layer, InsulationPlace], ...]
    boards: tuple[Layer, ...]
    frame_back_mm: float
    frame_front_mm: float


def build_layers(plan: WallPlan, practice: Practice) -> BuildLayers:
    """Depths of all layers of a wall, counted into the room."""
    wall, up = plan.wall, plan.build_up
    depth = -sum(layer.thickness_mm for layer in wall.construction)
    old: list[Layer] = []
    for layer in wall.construction:
        hatch = material_hatch(layer.material)
        old.append(Layer(f"{layer.material} {layer.thickness_mm:g}", depth, depth + layer.thickness_mm, hatch))
        depth += layer.thickness_mm
    if not old:
        old = [Layer("existing wall, make not surveyed", -150, 0, Hatch.BLOCK)]
    front = float(up.frame_back_mm + up.frame_depth_mm)
    insulation: list[tuple[Layer, InsulationPlace]] = []
    behind, between = 0.0, front
    for wanted in wall.lining.insulation:
        thick = practice.insulation[wanted.item].thickness_mm
        name = f"{wanted.item}, {thick:g}"
        if wanted.place is InsulationPlace.BEHIND:
            insulation.append((Layer(name, behind, behind + thick, Hatch.INSULATION), wanted.place))
            behind += thick
        else:
            insulation.append((Layer(name, between - thick, between, Hatch.INSULATION), wanted.place))
            between -= thick
    boards: list[Layer] = []
    start = front
    for number, item in enumerate(wall.lining.boards, 1):
        thick = practice.boards[item].thickness_mm
        boards.append(Layer(f"layer {number}: {item}, {thick:g}", start, start + thick, Hatch.GYPSUM))
        start += thick
    return BuildLayers(tuple(old), tuple(insulation), tuple(boards), up.frame_back_mm, front)


def section_bay(plan: WallPlan) -> tuple[float, float, float]:
    """The bay to cut: x from, x to, and the height of the cut; a whole bay clear of openings if there is one."""
    wall = plan.wall
    height = min(1200.0, wall.height_mm * 0.45)
    standing = sorted({m.x_mm for m in plan.members if m.bottom_mm <= height <= m.top_mm})
    spacing = max((g.spacing_mm for g in plan.grids), default=600.0)
    bays = [
        (abs(b - a - spacing), a, b)
        for a, b in zip(standing, standing[1:], strict=False)
        if b - a > 150
        and not any(o.x_mm < b and o.right_mm > a and o.sill_mm < height < o.head_mm for o in wall.openings)
    ]
    if bays:
        _, a, b = min(bays)
        return a, b, height
    middle = standing[0] if standing else wall.outline[0][0] + wall.length_mm / 2
    return middle - 300, middle + 300, height


def draw_sections(sheet: Sheet, plan: WallPlan, practice: Practice) -> None:
    """Horizontal section through one bay above, floor and head details below, on one drawing field."""
    layers = build_layers(plan, practice)
    scale, height = _draw_horizontal(sheet, plan, practice, layers, SHEET_HEIGHT_MM)
    _draw_vertical(sheet, plan, layers, SHEET_HEIGHT_MM - height - 8)


def _draw_horizontal(
    sheet: Sheet, plan: WallPlan, practice: Practice, layers: BuildLayers, top: float
) -> tuple[int, float]:
    a, b, level = section_bay(plan)
    left, right = a - 110, b + 110
    xs = [x for x, _ in plan.wall.outline]
    left, right = max(left, min(xs)), min(right, max(xs))
    outer, inner = layers.old[0].start_mm, layers.boards[-1].end_mm if layers.boards else layers.frame_front_mm
    scale = next(
        (
            s
            for s in SECTION_SCALES
            if (inner - outer) / s <= 112 and (right - left) / s + 22 + _NAMES_MM <= SHEET_WIDTH_MM
        ),
        SECTION_SCALES[-1],
    )
    x0, y0 = 22.0, top - 4 + outer / scale

    def at(x: float, depth: float) -> Place:
        return x0 + (x - left) / scale, y0 - depth / scale

    def box(x1: float, d1: float, x2: float, d2: float) -> Rect:
        (l, t), (r, bottom) = at(x1, d1), at(x2, d2)
        return l, bottom, r, t

    for layer in layers.old:
        sheet.rect(OUTLINE_THIN, box(left, layer.start_mm, right, layer.end_mm), layer.hatch if _solid(layer) else Hatch.NONE)
        if not _solid(layer):
            sheet.polyline(INSULATION, _wave(box(left, layer.start_mm, right, layer.end_mm)))
    standing = [m for m in plan.members if m.bottom_mm <= level <= m.top_mm and left <= m.x_mm <= right]
    edges = [left, *sorted({m.x_mm for m in standing}), right]
    for layer, place in layers.insulation:
        if place is InsulationPlace.BEHIND:
            sheet.polyline(INSULATION, _wave(box(left, layer.start_mm, right, layer.end_mm)))
            continue
        for start, end in zip(edges, edges[1:], strict=False):
            if end - start > 60:
                sheet.polyline(INSULATION, _wave(box(start, layer.start_mm, end, layer.end_mm)))
    bracketed = plan.wall.lining.way is Way.BRACKETED
    lip = practice.profiles[plan.wall.lining.profile].lip_mm if plan.wall.lining.profile in practice.profiles else 6
    for member in standing:
        shape = _channel(member, layers, lip) if bracketed else _stud(member, layers, lip)
        sheet.polyline(CUT, [at(*p) for p in shape])
        if bracketed:
            l, r = member.x_mm - member.face_mm / 2 - 2, member.x_mm + member.face_mm / 2 + 2
            tip = layers.frame_front_mm - 6
            sheet.polyline(CUT_THIN, [at(*p) for p in ((l, tip), (l, STRIP_MM), (r, STRIP_MM), (r, tip))])
            sheet.rect(CUT_THIN, box(l, 0, r, STRIP_MM), Hatch.BLACK)
            sheet.line(CUT_THIN, at(member.x_mm, STRIP_MM), at(member.x_mm, -45))
    for number, layer in zip(layers_of(plan), layers.boards, strict=False):
        for board in plan.boards:
            if board.layer == number and board.plane == "face":
                for s, e in spans_at([board.ring, *board.holes], level):
                    s, e = max(s, left), min(e, right)
                    if e > s:
                        sheet.rect(CUT_THIN, box(s, layer.start_mm, e, layer.end_mm), Hatch.GYPSUM)
        for member in standing:
            x = member.x_mm + (12 if number % 2 else -12)
            head, tip = at(x, layer.end_mm), at(x, layers.frame_front_mm + 14 - 28)
            sheet.line(CUT_THIN, head, tip)
            sheet.line(CUT_THIN, (head[0] - 0.7, head[1]), (head[0] + 0.7, head[1]))
    if plan.membrane:
        sheet.line(MEMBRANE, at(left, layers.frame_front_mm), at(right, layers.frame_front_mm))
    for x in (left, right):
        sheet.polyline(BOX_THIN, _break(at(x, outer - 12), at(x, inner + 18)))
    _depths(sheet, layers, lambda d: at(left, d))
    marks = [(at(right - 8, (x.start_mm + x.end_mm) / 2), x.name) for x in layers.old]
    marks += [(at(right - 20, (x.start_mm + x.end_mm) / 2), x.name) for x, _ in layers.insulation]
    if standing:
        last = standing[-1]
        what = "channel" if bracketed else "stud"
        spacing = max((g.spacing_mm for g in plan.grids), default=0)
        spaced = f" at {spacing:.4g}" if spacing else ""
        at_web = at(last.x_mm, layers.frame_front_mm) if bracketed else at(last.x_mm + 10, layers.frame_back_mm)
        marks.append((at_web, f"{what} {plan.wall.lining.profile}{spaced}"))
        if bracketed:
            marks.append((at(last.x_mm + last.face_mm / 2, STRIP_MM), "bracket on sealing strip"))
    clear = min([layers.frame_back_mm, *(x.start_mm for x, _ in layers.insulation)])
    if clear > 0:
        marks.append((at(right - 40, clear / 2), f"clear gap {clear:g}"))
    if plan.membrane:
        marks.append((at(right - 30, layers.frame_front_mm), f"membrane {plan.membrane[0].item}, sealed"))
    marks += [(at(right - 12, (x.start_mm + x.end_mm) / 2), x.name) for x in layers.boards]
    low, high = at(0, inner)[1] - 10, at(0, outer)[1] + 2
    _callouts(sheet, marks, at(right, 0)[0] + 12, low, high)
    sheet.text((at(left, 0)[0] + 2, at(0, inner)[1] - 4.2), "room", SMALL, "start")
    y = at(0, inner)[1] - 17
    draw_heading(sheet, (4, y), f"Horizontal section at {level:.0f}", scale)
    return scale, top - y + 2


def _solid(layer: Layer) -> bool:
    return layer.hatch is not Hatch.INSULATION


def _stud(member: Member, layers: BuildLayers, lip: float) -> list[tuple[float, float]]:
    l, r = member.x_mm - member.face_mm / 2, member.x_mm + member.face_mm / 2
    back, front = layers.frame_back_mm, layers.frame_front_mm
    return [(r, back + lip), (r, back), (l, back), (l, front), (r, front), (r, front - lip)]


def _channel(member: Member, layers: BuildLayers, lip: float) -> list[tuple[float, float]]:
    l, r = member.x_mm - member.face_mm / 2, member.x_mm + member.face_mm / 2
    back, front = layers.frame_back_mm, layers.frame_front_mm
    return [(l + lip, back), (l, back), (l, front), (r, front), (r, back), (r - lip, back)]


def _wave(box: Rect, *, upright: bool = False) -> list[Place]:
    """The looped line that stands for insulation."""
    left, bottom, right, top = box
    if upright:
        return [(y, x) for x, y in _wave((bottom, left, top, right))]
    thick = top - bottom
    loops = max(1, round((right - left) / max(2.0, thick * 0.34)))
    steps = 6
    return [
        (left + (right - left) * k / (loops * steps), bottom + thick * (0.5 - 0.5 * cos(pi * k / steps)))
        for k in range(loops * steps + 1)
    ]


def _break(a: Place, b: Place) -> list[Place]:
    """A break line from ``a`` to ``b`` (upright or level), with one zig-zag in its middle."""
    mx, my = (a[0] + b[0]) / 2, (a[1] + b[1]) / 2
    if abs(a[0] - b[0]) < abs(a[1] - b[1]):
        sign = 1 if b[1] > a[1] else -1
        return [a, (mx, my - 2 * sign), (mx - 1.5, my - 0.7 * sign), (mx + 1.5, my + 0.7 * sign), (mx, my + 2 * sign), b]
    sign = 1 if b[0] > a[0] else -1
    return [a, (mx - 2 * sign, my), (mx - 0.7 * sign, my - 1.5), (mx + 0.7 * sign, my + 1.5), (mx + 2 * sign, my), b]


def _depths(sheet: Sheet, layers: BuildLayers, at: Callable[[float], Place]) -> None:
    """Running depths from the face of the old wall into the room, at the left of a section."""
    depths = [layers.frame_back_mm, layers.frame_front_mm, *(layer.end_mm for layer in layers.boards)]
    depths = sorted({0.0, *depths})
    outer = layers.old[0].start_mm
    origin = at(0)
    base, foot = origin[0] - 6, origin[0] - 1
    sheet.line(DIM, (base, at(0)[1]), (base, at(depths[-1])[1]))
    sheet.circle(Pen(DIM.layer, FINE), (base, origin[1]), 0.9)
    rows = spread([at(d)[1] for d in reversed(depths)], ROW)
    for depth, y in zip(reversed(depths), rows, strict=True):
        feature = (foot, at(depth)[1])
        sheet.running("y", (base, origin[1]), feature, base, (base - 3.4, y), f"{depth:.4g}")
    if layers.old[0].name and outer < 0:
        top, bottom = at(outer), at(0)
        sheet.dimension((foot, bottom[1]), (foot, top[1]), base, "y", f"{-outer:.4g}")


def _callouts(sheet: Sheet, marks: Sequence[tuple[Place, str]], x: float, low: float, high: float) -> None:
    """Names beside a section, each with a thin line to a dot in what it names; top to bottom, never crossing."""
    ordered = sorted(marks, key=lambda mark: mark[0][1])
    rows = spread([y for (_, y), _ in ordered], ROW + 1.3, low, high)
    pen = Pen(DIM.layer, HAIR)
    for ((px, py), words), y in zip(ordered, rows, strict=True):
        sheet.polyline(pen, [(px, py), (x - 5, y), (x - 1, y)])
        sheet.text((x, y), words, SMALL, "start")
    sheet.dots(Pen(DIM.layer, 0.7), [mark[0] for mark in ordered])


def _draw_vertical(sheet: Sheet, plan: WallPlan, layers: BuildLayers, top: float) -> None:
    """Floor and head details side by side, cut through a bay beside a full-height member."""
    scale = 5
    a, b, _ = section_bay(plan)
    member = min(plan.members, key=lambda m: (abs(m.x_mm - a), m.bottom_mm), default=None)
    x = (a + b) / 2
    floor, head = _under_and_over(plan.wall, x)
    head_member = max((m for m in plan.members if member and m.x_mm == member.x_mm), key=lambda m: m.top_mm, default=None)
    stud_gap = (_edges_at(plan.wall, head_member.x_mm)[1] - head_member.top_mm) if head_member else 0.0
    height = (_DETAIL_UP_MM + 60) / scale
    for title, left, at_floor in (("Floor", 6.0, True), ("Head", 150.0, False)):
        detail = _Detail(sheet, plan, layers, scale, left + _DETAIL_OLD_MM / scale, top - 4, height, at_floor)
        meets = floor if at_floor else head
        detail.draw(meets, x, member, stud_gap)
        draw_heading(sheet, (left - 2, top - height - 18), title, scale)


def _edges_at(wall: Wall, x: float) -> tuple[float, float]:
    """Lowest and highest height of the outline at ``x``."""
    flipped: Ring = tuple((py, px) for px, py in wall.outline)
    spans = spans_at([flipped], x)
    return (spans[0][0], spans[-1][1]) if spans else (0.0, float(wall.height_mm))


def _under_and_over(wall: Wall, x: float) -> tuple[Meets, Meets]:
    """What the lining meets below and above ``x``."""
    ring = wall.outline
    found: list[tuple[float, Meets]] = []
    for (ax, ay), (bx, by), meets in zip(ring, (*ring[1:], ring[0]), wall.meets, strict=True):
        if min(ax, bx) <= x < max(ax, bx):
            found.append((ay + (by - ay) * (x - ax) / (bx - ax), meets))
    found.sort(key=lambda f: f[0])
    return (found[0][1], found[-1][1]) if found else (wall.meets[0], wall.meets[-1])


_MEETS_HATCH = {
    Meets.SLAB: Hatch.CONCRETE,
    Meets.SCREED: Hatch.CONCRETE,
    Meets.MASONRY: Hatch.BRICK,
    Meets.CEILING: Hatch.GYPSUM,
    Meets.PARTITION: Hatch.GYPSUM,
    Meets.ROOF: Hatch.TIMBER,
}


@dataclass(frozen=True, slots=True)
class _Detail:
    """One vertical detail; y counts from the floor (or the head, downwards negative)."""

    sheet: Sheet
    plan: WallPlan
    layers: BuildLayers
    scale: int
    face: float  # paper x of the old wall's face
    top: float
    height: float
    at_floor: bool

    def at(self, depth: float, up: float) -> Place:
        """``up`` from the floor, or below the head as a negative number."""
        zero = self.top - self.height + 60 / self.scale if self.at_floor else self.top - 60 / self.scale
        return self.face + depth / self.scale, zero + up / self.scale

    def box(self, d1: float, u1: float, d2: float, u2: float) -> Rect:
        """A rectangle between two corners."""
        (x1, y1), (x2, y2) = self.at(d1, u1), self.at(d2, u2)
        return min(x1, x2), min(y1, y2), max(x1, x2), max(y1, y2)

    def draw(self, meets: Meets, x: float, member: Member | None, stud_gap: float) -> None:
        """Old wall, what the lining meets, track on its strip, stud, insulation, membrane, boards, names."""
        sheet, layers, plan = self.sheet, self.layers, self.plan
        sign = 1 if self.at_floor else -1
        far = sign * _DETAIL_UP_MM
        inner = layers.boards[-1].end_mm if layers.boards else layers.frame_front_mm
        marks: list[tuple[Place, str]] = []
        for layer in layers.old:
            start = max(layer.start_mm, -_DETAIL_OLD_MM)
            if layer.end_mm > start:
                box = self.box(start, far, layer.end_mm, -60 * sign)
                sheet.rect(OUTLINE_THIN, box, layer.hatch if _solid(layer) else Hatch.NONE)
                if not _solid(layer):
                    sheet.polyline(INSULATION, _wave(box, upright=True))
        if meets is not Meets.OPEN:
            box = self.box(0, 0, inner + _DETAIL_ROOM_MM, -60 * sign)
            sheet.rect(Pen("OUTLINE", THICK), box, _MEETS_HATCH.get(meets, Hatch.BLOCK))
            marks.append((self.at(inner + _DETAIL_ROOM_MM - 10, -25 * sign), meets.value))
        strip = STRIP_MM * sign
        back, front = layers.frame_back_mm, layers.frame_front_mm
        sheet.rect(CUT_THIN, self.box(back, 0, front, strip), Hatch.BLACK)
        roles = (Role.FLOOR_TRACK,) if self.at_floor else (Role.HEAD_TRACK,)
        track = next((bar for bar in plan.bars if bar.role in roles), None)
        leg = (track.face_mm if track else 40) * sign
        sheet.polyline(CUT, [self.at(*p) for p in ((back, leg), (back, strip), (front, strip), (front, leg))])
        start = ((member.bottom_mm - _edges_at(plan.wall, member.x_mm)[0]) if self.at_floor else stud_gap) if member else 0
        for depth in (back + 1.5, front - 1.5):
            sheet.line(FRAME_THIN, self.at(depth, start * sign), self.at(depth, far))
        sheet.line(FRAME_THIN, self.at(back + 1.5, start * sign), self.at(front - 1.5, start * sign))
        for layer, place in layers.insulation:
            low = 0 if place is InsulationPlace.BEHIND else strip
            box = self.box(layer.start_mm, low, layer.end_mm, far)
            sheet.polyline(INSULATION, _wave(box, upright=True))
        gap = self._board_gap(x)
        for layer in layers.boards:
            sheet.rect(CUT_THIN, self.box(layer.start_mm, gap * sign, layer.end_mm, far), Hatch.GYPSUM)
        if plan.membrane:
            turn = [(front, far), (front, 0.5 * sign), (inner + 15, 0.5 * sign)] if self.at_floor else [(front, far), (front, 0)]
            sheet.polyline(MEMBRANE, [self.at(*p) for p in turn])
            marks.append((self.at(front, 150 * sign), "membrane, turned onto what it meets, sealed"))
        if gap > 0 and layers.boards:
            box = self.box(layers.boards[0].start_mm, 0, inner, gap * sign)
            sheet.rect(Pen("SEALANT", THIN), box, Hatch.TINT)
            marks.append((self.at(inner - 2, gap / 2 * sign), f"board gap {gap:.0f}, sealed"))
        moves = " (deflection head)" if plan.wall.head_moves and not self.at_floor else ""
        name = f"{track.item}{moves}" if track else "perimeter profile"
        marks.append((self.at(front, leg * 0.8), f"track {name}, on sealing strip"))
        if start > 0.5:
            marks.append((self.at((back + front) / 2, start * sign), f"stud {start:.0f} clear of the {'floor' if self.at_floor else 'head'}"))
        for layer in layers.boards:
            marks.append((self.at((layer.start_mm + layer.end_mm) / 2, far * 0.86), layer.name))
        ends = (self.at(-_DETAIL_OLD_MM - 8, far), self.at(inner + 14, far))
        sheet.polyline(BOX_THIN, _break(*ends))
        cut = -_DETAIL_OLD_MM
        if layers.old[0].start_mm < cut:
            sheet.polyline(BOX_THIN, _break(self.at(cut, -70 * sign), self.at(cut, far + 10 * sign)))
        low, high = self.top - self.height - 2, self.top + 2
        _callouts(sheet, marks, self.at(inner + _DETAIL_ROOM_MM, 0)[0] + 7, low, high)

    def _board_gap(self, x: float) -> float:
        """The gap between the boards and what they meet, at ``x``, as the first face board has it."""
        low, high = _edges_at(self.plan.wall, x)
        for board in self.plan.boards:
            if board.plane == "face":
                flipped: list[Ring] = [tuple((py, px) for px, py in ring) for ring in (board.ring, *board.holes)]
                spans = spans_at(flipped, x)
                if spans:
                    gap = spans[0][0] - low if self.at_floor else high - spans[-1][1]
                    if gap < 60:
                        return gap
        return 0.0
