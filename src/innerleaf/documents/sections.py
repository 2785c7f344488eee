"""Horizontal section through one bay at large scale, with the details of floor and head below it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from innerleaf.documents.boarding import layers_of, spans_at
from innerleaf.documents.buildup import BuildLayers, build_layers
from innerleaf.documents.details import draw_details
from innerleaf.documents.dimensions import draw_heading
from innerleaf.documents.labels import spread
from innerleaf.documents.section_parts import STRIP_MM, break_line, draw_names, draw_old_layer, wave
from innerleaf.documents.sheet import (
    BOX_THIN,
    CUT,
    CUT_THIN,
    DIM,
    FINE,
    INSULATION,
    MEMBRANE,
    Hatch,
    Pen,
    Place,
    Rect,
    Sheet,
)
from innerleaf.documents.view import ROW, SMALL
from innerleaf.layout.pieces import Member, WallPlan
from innerleaf.practice.model import Practice
from innerleaf.survey.wall import InsulationPlace, MemberBuild, Way

SCALES = (5, 10, 20)
SHEET_HEIGHT_MM, SHEET_WIDTH_MM = 262.0, 290.0
_NAMES_MM, _DEPTHS_MM, _OVER_MM = 88.0, 22.0, 110  # paper right and left of the section; wall beyond the bay
_GREATEST_DEPTH_MM = 112.0  # of the section, on paper


def section_bay(plan: WallPlan) -> tuple[float, float, float]:
    """The bay to cut: x from, x to, height of the cut; a whole bay clear of openings if there is one."""
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
    a, b, level = section_bay(plan)
    xs = [x for x, _ in plan.wall.outline]
    left, right = max(a - _OVER_MM, min(xs)), min(b + _OVER_MM, max(xs))
    outer = layers.old[0].start_mm
    inner = layers.boards[-1].end_mm if layers.boards else layers.frame_front_mm
    scale = next(
        (
            s
            for s in SCALES
            if (inner - outer) / s <= _GREATEST_DEPTH_MM
            and (right - left) / s + _DEPTHS_MM + _NAMES_MM <= SHEET_WIDTH_MM
        ),
        SCALES[-1],
    )
    lip = practice.profiles[plan.wall.lining.profile].lip_mm
    zero = SHEET_HEIGHT_MM - 4 + outer / scale
    section = _Section(sheet, plan, layers, left, right, level, inner, lip, scale, zero)
    section.draw()
    foot = section.at(0, inner)[1] - 17
    draw_heading(sheet, (4, foot), f"Horizontal section at height {level:.0f}", scale)
    draw_details(sheet, plan, layers, (a, b), foot - 10)


@dataclass(frozen=True, slots=True)
class _Section:
    """The horizontal section between two places along the wall; depth runs downwards, into the room."""

    sheet: Sheet
    plan: WallPlan
    layers: BuildLayers
    left: float
    right: float
    level: float
    inner: float
    lip: float
    scale: int
    zero: float  # paper height of the old wall's reference plane

    def at(self, x: float, depth: float) -> Place:
        """A place on paper."""
        return _DEPTHS_MM + (x - self.left) / self.scale, self.zero - depth / self.scale

    def box(self, x: float, depth: float, x_2: float, depth_2: float) -> Rect:
        """A rectangle from its outer left to its inner right corner."""
        (left, top), (right, bottom) = self.at(x, depth), self.at(x_2, depth_2)
        return left, bottom, right, top

    @property
    def bracketed(self) -> bool:
        """Whether channels stand on brackets."""
        return self.plan.wall.lining.way is Way.BRACKETED

    def draw(self) -> None:
        """Everything from the outside in, then depths and names."""
        for layer in self.layers.old:
            draw_old_layer(self.sheet, layer, self.box(self.left, layer.start_mm, self.right, layer.end_mm))
        standing = [
            m
            for m in self.plan.members
            if m.bottom_mm <= self.level <= m.top_mm and self.left <= m.x_mm <= self.right
        ]
        self._draw_insulation(standing)
        for member in standing:
            self._draw_member(member)
        self._draw_boards(standing)
        front = self.layers.frame_front_mm
        if self.plan.membrane:
            self.sheet.line(MEMBRANE, self.at(self.left, front), self.at(self.right, front))
        outer = self.layers.old[0].start_mm
        for x in (self.left, self.right):
            self.sheet.polyline(BOX_THIN, break_line(self.at(x, outer - 12), self.at(x, self.inner + 18)))
        _depths(self.sheet, self.layers, lambda depth: self.at(self.left, depth))
        low, high = self.at(0, self.inner)[1] - 10, self.at(0, outer)[1] + 2
        draw_names(self.sheet, self._names(standing), self.at(self.right, 0)[0] + 12, low, high)
        x, y = self.at(self.left, self.inner)
        self.sheet.text((x + 2, y - 4.2), "room", SMALL, "start")

    def _draw_insulation(self, standing: list[Member]) -> None:
        edges = [self.left, *sorted({m.x_mm for m in standing}), self.right]
        for layer, place in self.layers.insulation:
            bays = (
                [(self.left, self.right)]
                if place is InsulationPlace.BEHIND
                else zip(edges, edges[1:], strict=False)
            )
            for start, end in bays:
                if end - start > 60:
                    box = self.box(start, layer.start_mm, end, layer.end_mm)
                    self.sheet.polyline(INSULATION, wave(box))

    def _draw_member(self, member: Member) -> None:
        build = self.plan.wall.lining.build
        shapes = (
            [_channel(member, self.layers, self.lip)]
            if self.bracketed
            else _studs(member, build, self.layers, self.lip)
        )
        for shape in shapes:
            self.sheet.polyline(CUT, [self.at(*p) for p in shape])
        if self.bracketed:
            left, right = member.x_mm - member.face_mm / 2 - 2, member.x_mm + member.face_mm / 2 + 2
            tip = self.layers.frame_front_mm - 6
            bracket = ((left, tip), (left, STRIP_MM), (right, STRIP_MM), (right, tip))
            self.sheet.polyline(CUT_THIN, [self.at(*p) for p in bracket])
            self.sheet.rect(CUT_THIN, self.box(left, 0, right, STRIP_MM), Hatch.BLACK)
            self.sheet.line(CUT_THIN, self.at(member.x_mm, STRIP_MM), self.at(member.x_mm, -45))

    def _draw_boards(self, standing: list[Member]) -> None:
        for number, layer in zip(layers_of(self.plan), self.layers.boards, strict=False):
            for board in self.plan.boards:
                if board.layer != number or board.plane != "face":
                    continue
                for start, end in spans_at([board.ring, *board.holes], self.level):
                    start, end = max(start, self.left), min(end, self.right)
                    if end > start:
                        box = self.box(start, layer.start_mm, end, layer.end_mm)
                        self.sheet.rect(CUT_THIN, box, Hatch.GYPSUM)
            for member in standing:
                x = member.x_mm + (12 if number % 2 else -12)
                head, tip = self.at(x, layer.end_mm), self.at(x, self.layers.frame_front_mm - 14)
                self.sheet.line(CUT_THIN, head, tip)
                self.sheet.line(CUT_THIN, (head[0] - 0.7, head[1]), (head[0] + 0.7, head[1]))

    def _names(self, standing: list[Member]) -> list[tuple[Place, str]]:
        """What stands beside the section, each with the place it points to."""
        layers, right = self.layers, self.right
        inner = [(8, layer) for layer in layers.old] + [(20, layer) for layer, _ in layers.insulation]
        inner += [(12, layer) for layer in layers.boards]
        names = [
            (self.at(right - back, (layer.start_mm + layer.end_mm) / 2), layer.name) for back, layer in inner
        ]
        if standing:
            names += self._member_names(standing[-1])
        clear = min([layers.frame_back_mm, *(layer.start_mm for layer, _ in layers.insulation)])
        if clear > 0:
            names.append((self.at(right - 40, clear / 2), f"clear gap {clear:.4g}"))
        if self.plan.membrane:
            words = f"{self.plan.membrane[0].item}, lapped and taped"
            names.append((self.at(right - 30, layers.frame_front_mm), words))
        return names

    def _member_names(self, member: Member) -> list[tuple[Place, str]]:
        profile = self.plan.wall.lining.profile
        spacing = max((grid.spacing_mm for grid in self.plan.grids), default=0.0)
        spaced = f" at {spacing:.4g}" if spacing else ""
        if not self.bracketed:
            return [
                (
                    self.at(member.x_mm + 10, self.layers.frame_back_mm),
                    f"{_BUILT[self.plan.wall.lining.build]} {profile}{spaced}",
                )
            ]
        return [
            (self.at(member.x_mm, self.layers.frame_front_mm), f"channel {profile}{spaced}"),
            (self.at(member.x_mm + member.face_mm / 2, STRIP_MM), "bracket on sealing strip"),
        ]


_BUILT = {
    MemberBuild.SINGLE: "stud",
    MemberBuild.DOUBLED: "studs back to back",
    MemberBuild.BOXED: "boxed studs",
}
_Shape = list[tuple[float, float]]


def _stud(x: float, face: float, layers: BuildLayers, lip: float, *, opens: int = 1) -> _Shape:
    """A C stud round ``x``: web on one side, open to the right (``opens`` 1) or to the left (-1)."""
    web, tip = x - opens * face / 2, x + opens * face / 2
    back, front = layers.frame_back_mm, layers.frame_front_mm
    return [(tip, back + lip), (tip, back), (web, back), (web, front), (tip, front), (tip, front - lip)]


def _studs(member: Member, build: MemberBuild, layers: BuildLayers, lip: float) -> list[_Shape]:
    """One stud; two back to back; or two pushed into one another."""
    x, face = member.x_mm, member.face_mm
    if build is MemberBuild.SINGLE:
        return [_stud(x, face, layers, lip)]
    if build is MemberBuild.DOUBLED:
        quarter = face / 4
        left = _stud(x - quarter, face / 2, layers, lip, opens=-1)
        return [left, _stud(x + quarter, face / 2, layers, lip)]
    return [_stud(x, face, layers, lip), _stud(x, face - 4, layers, lip, opens=-1)]


def _channel(member: Member, layers: BuildLayers, lip: float) -> _Shape:
    """A shallow channel: its broad side towards the boards, its lips towards the old wall."""
    left, right = member.x_mm - member.face_mm / 2, member.x_mm + member.face_mm / 2
    back, front = layers.frame_back_mm, layers.frame_front_mm
    return [
        (left + lip, back),
        (left, back),
        (left, front),
        (right, front),
        (right, back),
        (right - lip, back),
    ]


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
