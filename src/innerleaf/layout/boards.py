"""Boards: each layer cut into pieces that tile the wall, notched round openings, whole where they can be."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from innerleaf.findings import Finding
from innerleaf.layout.cross import Column, Division, divide_columns
from innerleaf.layout.grid import PanelGrid
from innerleaf.layout.pieces import BoardPiece, Cutout, Ring
from innerleaf.layout.setting import Setting
from innerleaf.layout.shapes import Area, Box, Part, less, touches_disc
from innerleaf.layout.zone import Zone, board_ring, spans_over
from innerleaf.practice.model import Board
from innerleaf.survey.wall import ObstacleKind


@dataclass(frozen=True, slots=True)
class CrossJoint:
    """A cross joint of one layer: where boards end on one another."""

    layer: int
    left: float
    right: float
    y: int


@dataclass(frozen=True, slots=True)
class Boarding:
    """All boards of the face, with what bounds them."""

    area: tuple[Part, ...]
    pieces: tuple[BoardPiece, ...]
    cross_joints: tuple[CrossJoint, ...]
    findings: tuple[Finding, ...]


def board_area(setting: Setting, zone: Zone, grids: Sequence[PanelGrid]) -> Area:
    """What each layer tiles: the outline less gaps, openings, columns, beams and movement joints."""
    gaps = setting.gaps
    boxes: list[Box] = []
    for b in zone.faces:
        if b.opening:
            boxes.append((b.x0, b.y0, b.x1, b.y1))
        else:
            boxes.append(
                (b.x0 - gaps.side_mm, b.y0 - gaps.head_mm, b.x1 + gaps.side_mm, b.y1 + gaps.floor_mm)
            )
    for before, after in zip(grids, grids[1:], strict=False):
        if before.panel.x1 < after.panel.x0:
            boxes.append((before.panel.x1, zone.y0 - 1, after.panel.x0, zone.y1 + 1))
    return Area(board_ring(setting), boxes)


def lay_boards(
    setting: Setting,
    zone: Zone,
    grids: Sequence[PanelGrid],
    *,
    area: Area | None = None,
    hidden_cut: bool = False,
    hanging: Sequence[BoardPiece] = (),
) -> Boarding:
    """Cut every layer into pieces.

    Columns run from joint to joint; where a column is higher than the longest board it is divided by
    cross joints. A piece round an opening is one notched board, never patches. ``area``: what the layers
    tile, where that is known. ``hidden_cut``: pieces of hidden layers that are narrower than a board may have
    cut edges at their joints. ``hanging``: boards that hang already; the others fill what they leave.
    """
    area = area or board_area(setting, zone, grids)
    pieces: list[BoardPiece] = []
    crossings: list[CrossJoint] = []
    findings: list[Finding] = []
    below: list[tuple[Column, Division]] = []
    for layer, board in enumerate(setting.boards, 1):
        free = hidden_cut and layer < len(setting.boards)
        there = [piece for piece in hanging if piece.layer == layer]
        cells = _without(_cells(zone, area, grids, layer, board.width_mm, free), there)
        columns = [Column(left, right, *_extent(parts)) for left, right, parts, _, _ in cells]
        openings = [b for b in zone.faces if b.opening]
        divisions = divide_columns(setting, columns, below, openings, layer) if columns else []
        findings += _missed(setting, columns, divisions, layer)
        number = max((int(piece.mark.rpartition("-")[2]) for piece in there), default=0)
        first_new = len(pieces)
        for (_, _, parts, bound_left, bound_right), column, division in zip(
            cells, columns, divisions, strict=True
        ):
            for part in parts:
                for piece in _divide(part, division.joints):
                    number += 1
                    pieces.append(
                        _piece(setting, layer, board, number, column, piece, bound_left, bound_right)
                    )
                turned = [tuple((y, x) for x, y in reversed(ring)) for ring in (part[0], *part[1])]
                crossings += [
                    CrossJoint(layer, left, right, y)
                    for y in division.joints
                    for left, right in spans_over(turned, y, y)
                ]
        below = list(zip(columns, divisions, strict=True))
        if there:
            hung = _over_one_another(there, pieces[first_new:], layer)
            crossings += hung
            below += _columns_of(there, hung, grids, layer)
            pieces[first_new:] = sorted((*pieces[first_new:], *there), key=lambda piece: box_of(piece.ring))
    return Boarding(tuple(area.parts()), tuple(pieces), tuple(crossings), tuple(findings))


def _without(cells: list[_Cell], there: Sequence[BoardPiece]) -> list[_Cell]:
    """What boards that hang leave of each column; columns they do not touch stay to the last digit."""
    if not there:
        return cells
    found = []
    for left, right, parts, bound_left, bound_right in cells:
        near = [
            (piece.ring, piece.holes)
            for piece in there
            if box_of(piece.ring)[0] < right and left < box_of(piece.ring)[2]
        ]
        rest = [part for part in parts if part not in near]
        others = [part for part in near if part not in parts]
        if others:
            rest = [piece for part in rest for piece in less(part, others)]
        if rest:
            found.append((left, right, rest, bound_left, bound_right))
    return found


def _over_one_another(there: Sequence[BoardPiece], new: Sequence[BoardPiece], layer: int) -> list[CrossJoint]:
    """Cross joints at boards that hang: between two of them, or between one and a new one."""
    found = []
    for low, high in ((low, high) for low in (*there, *new) for high in (*there, *new)):
        if low in new and high in new:
            continue
        left, _, right, top = box_of(low.ring)
        other_left, bottom, other_right, _ = box_of(high.ring)
        left, right = max(left, other_left), min(right, other_right)
        if bottom == top and left < right:
            found.append(CrossJoint(layer, left, right, round(top)))
    return found


def _columns_of(
    there: Sequence[BoardPiece], crossings: Sequence[CrossJoint], grids: Sequence[PanelGrid], layer: int
) -> list[tuple[Column, Division]]:
    """Columns of boards that hang with their cross joints, for the next layer to keep clear of."""
    found = []
    for grid in grids:
        for a, b in pairwise((grid.panel.board_x0, *grid.joints[layer - 1], grid.panel.board_x1)):
            own = [box for box in (box_of(piece.ring) for piece in there) if a <= box[0] and box[2] <= b]
            if own:
                joints = {one.y for one in crossings if one.left < b and a < one.right}
                column = Column(a, b, min(box[1] for box in own), max(box[3] for box in own))
                found.append((column, Division(tuple(sorted(joints)), 0, 0, 0, 0)))
    return found


_Cell = tuple[float, float, list[Part], bool, bool]  # left, right, parts, left edge bound, right edge bound


def _cells(
    zone: Zone, area: Area, grids: Sequence[PanelGrid], layer: int, board_mm: int, cut: bool
) -> list[_Cell]:
    """Columns of one layer with the parts of wall in each and which long edges are factory edges.

    ``cut``: any edge of a width less than a board may be cut.
    """
    columns: list[tuple[float, float, bool, bool]] = []
    for grid in grids:
        panel = grid.panel
        bounds = (panel.board_x0, *grid.joints[layer - 1], panel.board_x1)
        for k, (a, b) in enumerate(zip(bounds, bounds[1:], strict=False)):
            first, last = k == 0, k == len(bounds) - 2
            whole = b - a == board_mm
            # A cut edge goes to the end of the panel; between joints it goes to the right.
            left, right = last or not first, first and not last
            columns.append((a, b, whole or (left and not cut), whole or (right and not cut)))
    boxes = [(a, zone.y0 - 1, b, zone.y1 + 1) for a, b, _, _ in columns]
    return [
        (a, b, parts, left, right)
        for (a, b, left, right), parts in zip(columns, area.cells(boxes), strict=True)
        if parts
    ]


def _extent(parts: Sequence[Part]) -> tuple[float, float]:
    ys = [y for ring, _ in parts for _, y in ring]
    return min(ys), max(ys)


def _divide(part: Part, joints: Sequence[int]) -> list[Part]:
    """A part cut at the cross joints that run through it."""
    low, high = _extent([part])
    cuts = [y for y in joints if low < y < high]
    if not cuts:
        return [part]
    xs = [x for x, _ in part[0]]
    bounds = [low - 1, *cuts, high + 1]
    boxes = [(min(xs) - 1, a, max(xs) + 1, b) for a, b in zip(bounds, bounds[1:], strict=False)]
    return [piece for cell in Area(part[0], holes=part[1]).cells(boxes) for piece in cell]


def box_of(ring: Ring) -> Box:
    """Least and greatest x and y of a ring: (left, low, right, high)."""
    xs, ys = [x for x, _ in ring], [y for _, y in ring]
    return min(xs), min(ys), max(xs), max(ys)


def _piece(
    setting: Setting,
    layer: int,
    board: Board,
    number: int,
    column: Column,
    part: Part,
    bound_left: bool,
    bound_right: bool,
) -> BoardPiece:
    left, low, right, high = box_of(part[0])
    length = high - low
    stock = min((s for s in board.lengths_mm if s >= length), default=max(board.lengths_mm))
    plain = len(part[0]) == 4 and not part[1]
    whole = right - left == setting.board_width_mm
    shape = "whole width" if whole else "cut to width"
    if not plain:
        shape += ", cut to shape"
    return BoardPiece(
        mark=f"{setting.wall.id}/B{layer}-{number:02d}",
        layer=layer,
        plane="face",
        item=board.id,
        ring=part[0],
        holes=part[1],
        cutouts=_cutouts(setting, part),
        width_mm=right - left,
        length_mm=length,
        stock_length_mm=stock,
        left_bound=bound_left and left == column.left,
        right_bound=bound_right and right == column.right,
        purpose=shape,
    )


def _cutouts(setting: Setting, part: Part) -> tuple[Cutout, ...]:
    """Holes for boxes and pipes that fall on a piece."""
    left, low, right, high = box_of(part[0])
    found = []
    for of, x, y, diameter in holes_through(setting):
        r = diameter / 2
        if left - r < x < right + r and low - r < y < high + r and touches_disc(part, x, y, r):
            found.append(Cutout(of, x, y, diameter))
    return tuple(found)


def holes_through(setting: Setting) -> list[tuple[str, float, float, int]]:
    """Round holes through every layer: (of, x, y, diameter)."""
    wall = setting.wall
    found: list[tuple[str, float, float, int]] = [
        (box.id, box.x_mm + k * box.pitch_mm, box.y_mm, box.diameter_mm)
        for box in wall.boxes
        for k in range(box.count)
    ]
    clear = 2 * setting.rules.pipe_clear_mm
    found += [
        (o.id, o.x_mm + o.width_mm / 2, o.y_mm + o.height_mm / 2, max(o.width_mm, o.height_mm) + clear)
        for o in wall.obstacles
        if o.kind == ObstacleKind.PIPE
    ]
    return found


def _missed(
    setting: Setting, columns: Sequence[Column], divisions: Sequence[Division], layer: int
) -> list[Finding]:
    """Findings of cross joints that could not keep their distances."""
    rules = setting.rules
    found = []
    for column, division in zip(columns, divisions, strict=True):
        for code, missed, rule, text in (
            ("L202", division.head_mm, "head_clear_mm", "cross joint near the line of a head or sill"),
            (
                "L205",
                division.stagger_mm,
                "cross_joint_stagger_min_mm",
                "cross joint nearly in line with the next board's",
            ),
            (
                "L204",
                division.layer_mm,
                "cross_joint_stagger_min_mm",
                "cross joint nearly over that of the layer below",
            ),
            (
                "L206",
                division.short_mm,
                "piece_height_min_mm",
                f"piece shorter than {rules.piece_height_min_mm} mm",
            ),
        ):
            if missed:
                found.append(
                    Finding(
                        code=code,
                        wall=setting.wall.id,
                        rule=rule,
                        text=f"{text}: {missed} mm missed",
                        remedy="buy longer boards, or back and reinforce the joint",
                        x_mm=column.left,
                        y_mm=division.joints[0] if division.joints else column.low,
                        layer=layer,
                        by_mm=missed,
                    )
                )
    return found
