"""The framing elevation: every track, stud, bracket and backing, set out from one datum."""

from __future__ import annotations

from collections import defaultdict
from math import hypot, radians, tan

from innerleaf.documents.dimensions import Stop, draw_heading, draw_levels, draw_running_row, part_of
from innerleaf.documents.existing import draw_breaks, draw_existing
from innerleaf.documents.labels import Labels
from innerleaf.documents.marks import bar_boxes, name_level_bars
from innerleaf.documents.section_place import draw_section_marks
from innerleaf.documents.sheet import (
    BACKING,
    BOX,
    BOX_THIN,
    BRACKET,
    FIXING,
    FRAME,
    FRAME_THIN,
    Anchor,
    Hatch,
    Place,
    Sheet,
)
from innerleaf.documents.view import LEFT_MM, ROW, SMALL, Space, View, short
from innerleaf.layout.pieces import Bar, Role, WallPlan
from innerleaf.survey.wall import Wall

SPACE = Space(below=46, above=26)
_PLATE_ON_PAPER_MM = 2.0  # a plate whose height the catalogue does not give is drawn so broad
LEVEL = (Role.HEAD, Role.SILL, Role.NOGGING, Role.BACKING)


def draw_framing(sheet: Sheet, plan: WallPlan, view: View) -> None:
    """The frame of one wall as an elevation seen from the room."""
    wall, seen = plan.wall, view.seen(plan.wall)
    labels = Labels((seen[0] - 8, seen[1] - 5, seen[2] + 8, seen[3] + 5))
    sheet.clip((seen[0] - 0.5, seen[1] - 1, seen[2] + 0.5, seen[3] + 8))
    _draw_bars(sheet, view, plan, labels)
    draw_existing(sheet, view, wall, labels, plan.movement_joints_mm)
    _draw_brackets(sheet, view, plan, labels)
    draw_section_marks(sheet, view, plan, labels)
    _draw_boxes(sheet, view, plan, labels)
    sheet.clip(None)
    name_level_bars(sheet, view, plan, labels)
    draw_breaks(sheet, view, wall)
    _dimension(sheet, view, plan)
    draw_levels(sheet, view, wall, seen[2] + 19)
    draw_heading(
        sheet, (seen[0] - LEFT_MM + 4, seen[1] - SPACE.below + 3), f"Frame{part_of(view)}", view.scale
    )


def bar_corners(bar: Bar, least_mm: float = 0.0) -> list[tuple[float, float]]:
    """The four corners of a bar in elevation, at least ``least_mm`` broad.

    Upright bars end as they are cut; right corners first. Tracks touch the floor or the head with their
    whole outer edge and end plumb, so nothing of a sloping one lies outside the wall; lower corners first.
    """
    half = max(bar.face_mm, least_mm) / 2
    (ax, ay), (bx, by) = (bar.ax_mm, bar.ay_mm), (bar.bx_mm, bar.by_mm)
    if ax == bx:
        foot, top = (half * tan(radians(angle)) for angle in (bar.skew_a_deg, bar.skew_b_deg))
        return [(ax + half, ay + foot), (bx + half, by + top), (bx - half, by - top), (ax - half, ay - foot)]
    inner = 2 * half * hypot(bx - ax, by - ay) / abs(bx - ax) - half  # the same face, measured plumb
    under, over = (inner, half) if bar.role is Role.HEAD_TRACK else (half, inner)
    return [(ax, ay - under), (bx, by - under), (bx, by + over), (ax, ay + over)]


def _draw_bars(sheet: Sheet, view: View, plan: WallPlan, labels: Labels) -> None:
    """Outlines first (one pen, one path), then the thin lines that tell web, splice and joint."""
    thin: list[tuple[Place, Place]] = []
    by_member: dict[str, list[Bar]] = defaultdict(list)
    for bar in plan.bars:
        if bar.role is Role.BACKING or not view.near(min(bar.ax_mm, bar.bx_mm), max(bar.ax_mm, bar.bx_mm)):
            continue
        a, b, c, d = (view.at(*p) for p in bar_corners(bar))
        sheet.polygon(FRAME, [(a, b, c, d)])
        for box in bar_boxes((a, b, c, d)):
            labels.take(box, lightly=bool(bar.member))
        if bar.member:
            by_member[bar.member].append(bar)
            # the web seen on edge, near one flange tip
            t = 0.18
            thin.append(
                (
                    (d[0] + (a[0] - d[0]) * t, d[1] + (a[1] - d[1]) * t),
                    (c[0] + (b[0] - c[0]) * t, c[1] + (b[1] - c[1]) * t),
                )
            )
    for bars in by_member.values():
        thin += _joints(view, bars)
    for a, b in thin:
        sheet.line(FRAME_THIN, a, b)
    for bar in plan.bars:
        if bar.role is Role.BACKING:
            corners = bar_corners(bar, _PLATE_ON_PAPER_MM * view.scale)
            sheet.polygon(BACKING, [[view.at(*p) for p in corners]])
    sheet.dots(FIXING, [view.at(x, y) for line in plan.fixings for x, y in line.places_mm if view.near(x, x)])


def overlapped(low: Bar, high: Bar) -> bool:
    """Whether two bars of one member overlap at a splice (and do not stand side by side)."""
    return low.ay_mm < high.ay_mm < low.by_mm


def _joints(view: View, bars: list[Bar]) -> list[tuple[Place, Place]]:
    """Crosses over overlapped splices, a middle line where two bars stand side by side or in one another."""
    lines: list[tuple[Place, Place]] = []
    bars = sorted(bars, key=lambda bar: bar.ay_mm + bar.by_mm)
    for low, high in zip(bars, bars[1:], strict=False):
        half = low.face_mm / 2
        if overlapped(low, high):
            left, bottom, right, top = view.box(low.ax_mm - half, high.ay_mm, low.ax_mm + half, low.by_mm)
            lines += [((left, bottom), (right, top)), ((left, top), (right, bottom))]
        elif high.ay_mm == low.ay_mm:
            lines.append((view.at(low.ax_mm, low.ay_mm), view.at(low.ax_mm, low.by_mm)))
    return lines


def _draw_brackets(sheet: Sheet, view: View, plan: WallPlan, labels: Labels) -> None:
    """A small square with a dot; its projection beside it where they differ."""
    places = [
        (bracket, view.at(bracket.x_mm, bracket.y_mm))
        for bracket in plan.brackets
        if view.near(bracket.x_mm, bracket.x_mm)
    ]
    for _, (x, y) in places:
        box = (x - 1.1, y - 0.9, x + 1.1, y + 0.9)
        sheet.rect(BRACKET, box, Hatch.WHITE)
        labels.take(box)
    sheet.dots(FIXING, [at for _, at in places])
    if len({bracket.projection_mm for bracket in plan.brackets}) > 1:
        faces = {member.mark: member.face_mm for member in plan.members}
        for bracket, at in places:
            if view.has(bracket.x_mm):
                aside = max(1.1, faces[bracket.member] / 2 / view.scale) + 0.7
                _name_projection(sheet, str(bracket.projection_mm), at, aside, labels)


def _name_projection(sheet: Sheet, words: str, bracket: Place, aside: float, labels: Labels) -> None:
    """Right or left of the bracket, a little higher or lower or smaller if need be.

    Where brackets crowd, the schedule of projections alone says it.
    """
    x, y = bracket
    sides: tuple[tuple[Anchor, float], ...] = (("start", aside), ("end", -aside))
    for size in (SMALL, 0.8 * SMALL, 0.65 * SMALL):
        for anchor, away in sides:
            tries = [(x + away, y + up) for up in (0, 1.8, -1.8, 3.2, -3.2)]
            at = labels.place(words, size, tries, anchor)
            if at:
                sheet.text(at, words, size, anchor)
                return


def _draw_boxes(sheet: Sheet, view: View, plan: WallPlan, labels: Labels) -> None:
    boxes = [box for box in plan.wall.boxes if view.near(box.x_mm, box.x_mm)]
    for box in boxes:
        for k in range(box.count):
            x, y = view.at(box.x_mm + k * box.pitch_mm, box.y_mm)
            radius = box.diameter_mm / 2 / view.scale
            sheet.circle(BOX, (x, y), radius)
            sheet.line(BOX_THIN, (x - radius - 0.6, y), (x + radius + 0.6, y))
            sheet.line(BOX_THIN, (x, y - radius - 0.6), (x, y + radius + 0.6))
            labels.take((x - radius, y - radius, x + radius, y + radius))
    for box in boxes:
        x, y = view.at(box.x_mm + (box.count - 1) * box.pitch_mm / 2, box.y_mm)
        radius = box.diameter_mm / 2 / view.scale
        wide = radius + (box.count - 1) * box.pitch_mm / 2 / view.scale
        at = labels.place_near(box.id, SMALL, (x - wide, y - radius, x + wide, y + radius))
        if at:
            sheet.text(at, box.id, SMALL, masked=True)


def _old_heights(wall: Wall) -> set[int]:
    """Heights of the old wall: its corners, sills, heads, and what stands on it."""
    top = max(y for _, y in wall.outline)
    heights = {y for _, y in wall.outline}
    for opening in wall.openings:
        heights |= {opening.sill_mm, opening.head_mm}
    for obstacle in wall.obstacles:
        heights |= {obstacle.y_mm, min(top, obstacle.y_mm + obstacle.height_mm)}
    return {y for y in heights if y}


def _level_of(bar: Bar) -> float:
    """The height that a level bar is set to: its edge at the opening, else its middle."""
    towards = {Role.HEAD: -1, Role.SILL: 1}.get(bar.role, 0)
    return bar.ay_mm + towards * bar.face_mm / 2


def _dimension(sheet: Sheet, view: View, plan: WallPlan) -> None:
    """Below: studs with their marks. Above: corners, openings, joints, boxes.

    Left: the old wall. Right: the frame.
    """
    wall = plan.wall
    left, bottom, right, top = view.seen(wall)
    xs = [x for x, _ in wall.outline]
    studs = [Stop(m.x_mm, short(m.mark, wall.id)) for m in plan.members]
    draw_running_row(sheet, view, [*studs, Stop(max(xs), "end")], axis="x", foot=bottom - 1, base=bottom - 7)
    across = [Stop(x) for o in wall.openings for x in (o.x_mm, o.right_mm)]
    across += [Stop(x) for x in xs if min(xs) < x < max(xs)]
    across += [Stop(x) for o in wall.obstacles for x in (o.x_mm, o.x_mm + o.width_mm)]
    across += [Stop(x, "joint") for x in plan.movement_joints_mm]
    across += [Stop(b.x_mm, b.id) for b in wall.boxes]
    if across:
        draw_running_row(sheet, view, across, axis="x", foot=top + 1, base=top + 6)
    up = [Stop(y) for y in _old_heights(wall)]
    draw_running_row(sheet, view, up, axis="y", foot=left - 1, base=left - 6, within=(bottom, top + 6))
    frame = {round(_level_of(b)) for b in plan.bars if b.role in LEVEL}
    rows = {b.y_mm for b in plan.brackets}
    boxes = {b.y_mm for b in wall.boxes}
    heights = (
        frame | boxes | (rows if len(rows) * ROW <= top - bottom - (len(frame) + len(boxes)) * ROW else set())
    )
    if heights:
        draw_running_row(
            sheet,
            view,
            [Stop(y) for y in heights],
            axis="y",
            foot=right + 1,
            base=right + 6,
            within=(bottom, top + 6),
        )
