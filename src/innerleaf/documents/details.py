"""Vertical details: how the lining stands on the floor and meets the head."""

from __future__ import annotations

from dataclasses import dataclass

from innerleaf.documents.boarding import spans_at
from innerleaf.documents.buildup import BuildLayers
from innerleaf.documents.dimensions import draw_heading
from innerleaf.documents.section_parts import STRIP_MM, break_line, draw_names, draw_old_layer, wave
from innerleaf.documents.section_place import Bay
from innerleaf.documents.sheet import (
    BOX_THIN,
    CUT,
    CUT_THIN,
    FRAME_THIN,
    INSULATION,
    MEMBRANE,
    SEALANT,
    THICK,
    Hatch,
    Pen,
    Place,
    Rect,
    Sheet,
)
from innerleaf.layout.pieces import Ring, Role, WallPlan
from innerleaf.survey.wall import FLANKS, FlankInsulation, InsulationPlace, Meets, Wall

SCALE = 5
_UP_MM, _OLD_MM, _ROOM_MM, _BEYOND_MM = 260, 130, 90, 60  # what a detail shows: lining, old wall, room, slab
_MEETS_HATCH = {
    Meets.SLAB: Hatch.CONCRETE,
    Meets.SCREED: Hatch.CONCRETE,
    Meets.MASONRY: Hatch.BRICK,
    Meets.CEILING: Hatch.GYPSUM,
    Meets.PARTITION: Hatch.GYPSUM,
    Meets.ROOF: Hatch.TIMBER,
}
_Marks = list[tuple[Place, str]]


def draw_details(sheet: Sheet, plan: WallPlan, layers: BuildLayers, bay: Bay, top: float) -> None:
    """Floor and head details side by side, cut through ``bay``, their tops at paper height ``top``."""
    x = bay.middle_mm
    floor, head = _under_and_over(plan.wall, x)
    height = (_UP_MM + _BEYOND_MM) / SCALE
    for title, left, at_floor in (("floor", 6.0, True), ("head", 147.0, False)):
        stud = _stud_gap(plan, bay.from_mm, at_floor=at_floor)
        face = left + _OLD_MM / SCALE
        detail = _Detail(
            sheet, plan, layers, face, top - 4, height, at_floor, stud, _board_gap(plan, x, at_floor=at_floor)
        )
        detail.draw(floor if at_floor else head)
        draw_heading(sheet, (left - 2, top - height - 18), f"B–B · {title}, x {x:.0f}", SCALE)


def _edges_at(wall: Wall, x: float) -> tuple[float, float]:
    """Lowest and highest height of the outline at ``x``."""
    spans = spans_at([_flipped(wall.outline)], x)
    return (spans[0][0], spans[-1][1]) if spans else (0.0, float(wall.height_mm))


def _flipped(ring: Ring) -> Ring:
    return tuple((y, x) for x, y in ring)


def _stud_gap(plan: WallPlan, x: float, *, at_floor: bool) -> float:
    """How far the member at ``x`` stops from what is below or above it."""
    low, high = _edges_at(plan.wall, x)
    here = [m for m in plan.members if m.x_mm == x]
    if not here:
        return 0.0
    return min(m.bottom_mm for m in here) - low if at_floor else high - max(m.top_mm for m in here)


def _board_gap(plan: WallPlan, x: float, *, at_floor: bool) -> float:
    """The gap between the boards and what they meet at ``x``."""
    low, high = _edges_at(plan.wall, x)
    gaps = []
    for board in plan.boards:
        spans = (
            spans_at([_flipped(ring) for ring in (board.ring, *board.holes)], x)
            if board.plane == "face"
            else []
        )
        if spans:
            gaps.append(spans[0][0] - low if at_floor else high - spans[-1][1])
    return max(0.0, min(gaps, default=0.0))


def _under_and_over(wall: Wall, x: float) -> tuple[Meets, Meets]:
    """What the lining meets below and above ``x``."""
    ring = wall.outline
    found = [
        (ay + (by - ay) * (x - ax) / (bx - ax), meets)
        for (ax, ay), (bx, by), meets in zip(ring, (*ring[1:], ring[0]), wall.meets, strict=True)
        if min(ax, bx) <= x < max(ax, bx)
    ]
    found.sort(key=lambda f: f[0])
    return (found[0][1], found[-1][1]) if found else (wall.meets[0], wall.meets[-1])


@dataclass(frozen=True, slots=True)
class _Detail:
    """One vertical detail; heights count from the floor up, or from the head as negative numbers."""

    sheet: Sheet
    plan: WallPlan
    layers: BuildLayers
    face: float  # paper x of the old wall's face
    top: float
    height: float
    at_floor: bool
    stud_gap: float
    board_gap: float

    @property
    def sign(self) -> int:
        """+1 when the lining is above what it meets."""
        return 1 if self.at_floor else -1

    @property
    def inner(self) -> float:
        """Depth of the lining's face."""
        return self.layers.boards[-1].end_mm if self.layers.boards else self.layers.frame_front_mm

    def at(self, depth: float, up: float) -> Place:
        """A place on paper."""
        beyond = _BEYOND_MM / SCALE
        zero = self.top - self.height + beyond if self.at_floor else self.top - beyond
        return self.face + depth / SCALE, zero + up / SCALE

    def box(self, depth: float, up: float, depth_2: float, up_2: float) -> Rect:
        """A rectangle between two corners."""
        (x1, y1), (x2, y2) = self.at(depth, up), self.at(depth_2, up_2)
        return min(x1, x2), min(y1, y2), max(x1, x2), max(y1, y2)

    def draw(self, meets: Meets) -> None:
        """Old wall, what the lining meets, frame, insulation, boards, membrane, names."""
        marks = [*self._draw_structure(meets), *self._draw_frame(meets), *self._draw_boards()]
        if self.plan.wall.flank and not self.at_floor and meets in FLANKS:
            marks += self._draw_strip(self.plan.wall.flank)
        far = self.sign * _UP_MM
        self.sheet.polyline(BOX_THIN, break_line(self.at(-_OLD_MM - 8, far), self.at(self.inner + 14, far)))
        if self.layers.old[0].start_mm < -_OLD_MM:
            ends = self.at(-_OLD_MM, -(_BEYOND_MM + 10) * self.sign), self.at(-_OLD_MM, far + 10 * self.sign)
            self.sheet.polyline(BOX_THIN, break_line(*ends))
        names_at = self.at(self.inner + _ROOM_MM, 0)[0] + 7
        draw_names(self.sheet, marks, names_at, self.top - self.height - 2, self.top + 2)

    def _draw_structure(self, meets: Meets) -> _Marks:
        far, beyond = self.sign * _UP_MM, -_BEYOND_MM * self.sign
        for layer in self.layers.old:
            start = max(layer.start_mm, -_OLD_MM)
            if layer.end_mm > start:
                draw_old_layer(self.sheet, layer, self.box(start, far, layer.end_mm, beyond), upright=True)
        if meets is Meets.OPEN:
            return []
        box = self.box(0, 0, self.inner + _ROOM_MM, beyond)
        self.sheet.rect(Pen("OUTLINE", THICK), box, _MEETS_HATCH.get(meets, Hatch.BLOCK))
        return [(self.at(self.inner + _ROOM_MM - 10, beyond * 0.4), meets.value)]

    def _draw_frame(self, meets: Meets) -> _Marks:
        sheet, sign = self.sheet, self.sign
        back, front = self.layers.frame_back_mm, self.layers.frame_front_mm
        far, strip, stud = sign * _UP_MM, sign * STRIP_MM, sign * self.stud_gap
        sealed = ""
        if meets is not Meets.OPEN:
            sheet.rect(CUT_THIN, self.box(back, 0, front, strip), Hatch.BLACK)
            sealed = ", on sealing strip"
        role = Role.FLOOR_TRACK if self.at_floor else Role.HEAD_TRACK
        track = next((bar for bar in self.plan.bars if bar.role is role), None)
        leg = sign * (track.face_mm if track else 40)
        sheet.polyline(CUT, [self.at(*p) for p in ((back, leg), (back, strip), (front, strip), (front, leg))])
        edges = ((back + 1.5, far), (back + 1.5, stud), (front - 1.5, stud), (front - 1.5, far))
        sheet.polyline(FRAME_THIN, [self.at(*p) for p in edges])
        for layer, place in self.layers.insulation:
            foot = 0 if place is InsulationPlace.BEHIND else strip
            sheet.polyline(INSULATION, wave(self.box(layer.start_mm, foot, layer.end_mm, far), upright=True))
        moves = ", deflection head" if self.plan.wall.head_moves and not self.at_floor else ""
        name = f"{track.item}{moves}" if track else "perimeter profile"
        marks = [(self.at(front, leg * 0.8), f"{name}{sealed}")]
        if self.stud_gap > 0.5:
            end = "foot" if self.at_floor else "head"
            marks.append((self.at((back + front) / 2, stud), f"{end} of stud {self.stud_gap:.0f} clear"))
        return marks

    def _draw_strip(self, strip: FlankInsulation) -> _Marks:
        """Insulation overhead under its board, as far as the detail reaches into the room."""
        board, inner, cut = self.layers.boards[0], self.inner, self.inner + _ROOM_MM
        soft = self.sign * strip.thickness_mm
        hard = soft + self.sign * (board.end_mm - board.start_mm)
        self.sheet.polyline(INSULATION, wave(self.box(inner, 0, cut, soft)))
        self.sheet.rect(CUT_THIN, self.box(inner, soft, cut, hard), Hatch.GYPSUM)
        self.sheet.polyline(BOX_THIN, break_line(self.at(cut, 0), self.at(cut, hard + 10 * self.sign)))
        name = f"{strip.item}, {strip.width_mm} into the room"
        return [
            (self.at(cut - 15, soft / 2), name),
            (self.at(cut - 25, (soft + hard) / 2), f"{board.name}, bonded"),
        ]

    def _draw_boards(self) -> _Marks:
        sheet, sign, front = self.sheet, self.sign, self.layers.frame_front_mm
        far, gap = sign * _UP_MM, sign * self.board_gap
        marks: _Marks = []
        for layer in self.layers.boards:
            sheet.rect(CUT_THIN, self.box(layer.start_mm, gap, layer.end_mm, far), Hatch.GYPSUM)
            marks.append((self.at((layer.start_mm + layer.end_mm) / 2, far * 0.86), layer.name))
        if gap and self.layers.boards:
            sheet.rect(SEALANT, self.box(front, 0, self.inner, gap), Hatch.TINT)
            marks.append((self.at(self.inner - 2, gap / 2), f"board gap {self.board_gap:.0f}, sealed"))
        if self.plan.membrane:
            turned = [(front, far), (front, 0.5 * sign), (self.inner + 15, 0.5 * sign)]
            sheet.polyline(MEMBRANE, [self.at(*p) for p in (turned if self.at_floor else turned[:2])])
            marks.append((self.at(front, far * 0.58), "membrane, turned over, sealed"))
        return marks
