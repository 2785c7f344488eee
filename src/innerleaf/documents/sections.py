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
from innerleaf.documents.section_place import section_bay
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
from innerleaf.survey.plane import greatest_offset_mm, least_offset_mm
from innerleaf.survey.wall import InsulationPlace, MemberBuild, Wall, Way

SCALES = (5, 10, 20)
SHEET_HEIGHT_MM, SHEET_WIDTH_MM = 262.0, 290.0
_NAMES_MM, _DEPTHS_MM = 88.0, 22.0  # paper right and left of the section
_GREATEST_DEPTH_MM = 112.0  # of the section, on paper


def draw_sections(sheet: Sheet, plan: WallPlan, practice: Practice) -> None:
    """Horizontal section through one bay above, floor and head details below, on one drawing field."""
    layers = build_layers(plan, practice)
    bay = section_bay(plan)
    left, right, level = bay.left_mm, bay.right_mm, bay.level_mm
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
    place = f"height {level:.0f}, x {left:.0f} to {right:.0f}"
    draw_heading(sheet, (4, foot), f"A–A · level at {place}", scale)
    draw_details(sheet, plan, layers, bay, foot - 10)


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
            names.append((self.at(right - 40, clear / 2), f"clear gap {_gap(self.plan.wall, clear)}"))
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


def _gap(wall: Wall, drawn: float) -> str:
    """A depth in front of the old wall's face; least to greatest where the survey found it uneven."""
    least, greatest = drawn - greatest_offset_mm(wall), drawn - least_offset_mm(wall)
    return (
        f"{drawn:.4g}"
        if least == greatest == drawn
        else f"{max(0, least):.4g} to {greatest:.4g}, as surveyed"
    )


def depths_vary(plan: WallPlan) -> str:
    """On a wall surveyed as uneven: how far its face and the brackets depart from the section drawn."""
    wall, back = plan.wall, plan.build_up.frame_back_mm
    least, greatest = least_offset_mm(wall), greatest_offset_mm(wall)
    if least == greatest == 0:
        return ""
    face = f"{least:+d} to {greatest:+d}".replace("-", "−")
    reach = sorted({bracket.projection_mm for bracket in plan.brackets})
    brackets = f"; brackets project {reach[0]} to {reach[-1]}" if reach else ""
    return (
        "The old wall is drawn flat, on its reference plane. As surveyed its face lies"
        f" {face} off that plane (plus: into the room), so from the face to the back of"
        f" the frame it is {back - greatest} to {back - least}{brackets}."
    )


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
