"""Work along lines: joints by kind, beads, sealant, and what pierces the lining."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from math import hypot

from innerleaf.layout.boards import Boarding, holes_through
from innerleaf.layout.grid import PanelGrid
from innerleaf.layout.pieces import BoardPiece, Penetration, Run, RunKind
from innerleaf.layout.setting import Setting
from innerleaf.layout.zone import Blocker, Zone, spans_over, y_at
from innerleaf.practice.model import ConsumableUse, Practice
from innerleaf.survey.wall import Meets


def run_edges(
    setting: Setting, practice: Practice, zone: Zone, grids: Sequence[PanelGrid], boarding: Boarding
) -> list[Run]:
    """Every joint, bead and bead of sealant of one wall."""
    return [
        *upright_joints(setting, grids, boarding),
        *cross_joints(boarding),
        *_board_edges(setting, practice, zone, grids, boarding),
        *_movement_beads(setting, practice, zone, grids),
    ]


def upright_joints(setting: Setting, grids: Sequence[PanelGrid], boarding: Boarding) -> list[Run]:
    """Joints between columns of board; tapered where two factory edges meet, else cut."""
    by_edge: dict[tuple[int, float], list[BoardPiece]] = {}
    for piece in boarding.pieces:
        xs = [x for x, _ in piece.ring]
        by_edge.setdefault((piece.layer, min(xs)), []).append(piece)
        by_edge.setdefault((-piece.layer, max(xs)), []).append(piece)
    rings = [ring for part in boarding.area for ring in (part[0], *part[1])]
    runs = []
    for layer in range(1, len(setting.boards) + 1):
        for grid in grids:
            for x in grid.joints[layer - 1]:
                tapered = all(p.left_bound for p in by_edge.get((layer, x), ())) and all(
                    p.right_bound for p in by_edge.get((-layer, x), ())
                )
                kind = RunKind.JOINT_TAPERED if tapered else RunKind.JOINT_CUT
                for low, high in spans_over(rings, x, x):
                    runs.append(Run(kind, layer, x, low, x, high, round(high - low), ""))
    return runs


def cross_joints(boarding: Boarding) -> list[Run]:
    """Joints where boards end on one another."""
    return [
        Run(RunKind.JOINT_CROSS, c.layer, c.left, c.y, c.right, c.y, round(c.right - c.left), "")
        for c in boarding.cross_joints
    ]


Edge = tuple[tuple[float, float], tuple[float, float]]

_EDGE_KINDS = {
    Meets.OUTER_CORNER: (RunKind.CORNER_BEAD, ConsumableUse.CORNER_BEAD),
    Meets.OPEN: (RunKind.EDGE_BEAD, ConsumableUse.EDGE_BEAD),
    Meets.INNER_CORNER: (RunKind.INNER_CORNER, ConsumableUse.JOINT_TAPE),
}
_CLOSE = 0.6  # mm, for telling what an edge lies on


def _board_edges(
    setting: Setting, practice: Practice, zone: Zone, grids: Sequence[PanelGrid], boarding: Boarding
) -> list[Run]:
    """Beads, sealant and joints along every edge of the board area, by what the edge lies at."""
    seams = {x for grid in grids for x in (grid.panel.x0, grid.panel.x1)} - {zone.x0, zone.x1}
    runs: list[Run] = []
    for outer, holes in boarding.area:
        for ring in (outer, *holes):
            for a, b in zip(ring, ring[1:] + ring[:1], strict=True):
                for edge in _stretches(zone, a, b):
                    blocker = _blocker_at(setting, zone, edge)
                    if blocker and blocker.opening:
                        runs += _opening_edge(setting, practice, blocker, edge)
                    elif blocker:
                        runs += _sealed(setting, practice, edge, blocker.id)
                    elif not (edge[0][0] == edge[1][0] and edge[0][0] in seams):
                        runs += _outline_edge(setting, practice, zone, edge)
    return runs


def _stretches(zone: Zone, a: tuple[float, float], b: tuple[float, float]) -> list[Edge]:
    """An edge in stretches, each at one thing: cut where openings, columns and beams begin and end."""
    axis = 1 if a[0] == b[0] else 0
    low, high = sorted((a[axis], b[axis]))
    marks = {
        mark for k in zone.faces for mark in ((k.y0, k.y1) if axis else (k.x0, k.x1)) if low < mark < high
    }
    cuts = [low, *sorted(marks), high]

    def at(mark: float) -> tuple[float, float]:
        return (a[0], mark) if axis else (mark, y_at(a, b, mark))

    return [(at(u), at(v)) for u, v in pairwise(cuts)]


def _blocker_at(setting: Setting, zone: Zone, edge: Edge) -> Blocker | None:
    """The opening, column or beam whose side an edge lies at."""
    x, y = ((p + q) / 2 for p, q in zip(*edge, strict=True))
    gaps = setting.gaps
    for k in zone.faces:
        side, under, above = (0, 0, 0) if k.opening else (gaps.side_mm, gaps.head_mm, gaps.floor_mm)
        x0, x1, y0, y1 = k.x0 - side, k.x1 + side, k.y0 - under, k.y1 + above
        plumb = edge[0][0] == edge[1][0]
        if plumb and y0 <= y <= y1 and min(abs(x - x0), abs(x - x1)) < _CLOSE:
            return k
        if not plumb and x0 <= x <= x1 and min(abs(y - y0), abs(y - y1)) < _CLOSE:
            return k
    return None


def _opening_edge(setting: Setting, practice: Practice, opening: Blocker, edge: Edge) -> list[Run]:
    """A corner bead where a lined reveal turns the corner, an edge bead and sealant where it does not."""
    last, length = len(setting.boards), _length(edge)

    def run(kind: RunKind, layer: int, use: ConsumableUse | None, note: str) -> Run:
        return Run(kind, layer, *edge[0], *edge[1], length, practice.consumable(use).id if use else "", note)

    if opening.lined:
        return [
            run(RunKind.CORNER_BEAD, last, ConsumableUse.CORNER_BEAD, opening.id),
            run(RunKind.INNER_CORNER, last, None, f"{opening.id}, reveal to frame"),
        ]
    return [
        run(RunKind.EDGE_BEAD, last, ConsumableUse.EDGE_BEAD, opening.id),
        run(RunKind.SEALANT, 0, ConsumableUse.SEALANT, opening.id),
    ]


def _outline_edge(setting: Setting, practice: Practice, zone: Zone, edge: Edge) -> list[Run]:
    """What an edge along the outline gets, by what the wall meets there.

    A corner is shared by two walls: its bead or tape is counted with the wall whose right end it is.
    """
    meets, right_end = _met(zone, edge)
    if meets not in _EDGE_KINDS:
        return _sealed(setting, practice, edge, meets.value)
    if meets in (Meets.OUTER_CORNER, Meets.INNER_CORNER) and edge[0][0] == edge[1][0] and not right_end:
        return []
    kind, use = _EDGE_KINDS[meets]
    item = practice.consumable(use).id
    return [Run(kind, len(setting.boards), *edge[0], *edge[1], _length(edge), item, meets.value)]


def _met(zone: Zone, edge: Edge) -> tuple[Meets, bool]:
    """What the outline meets beside an edge, and whether that is a right end of the wall."""
    x, y = ((p + q) / 2 for p, q in zip(*edge, strict=True))
    plumb = edge[0][0] == edge[1][0]
    ring = zone.outline
    found: list[tuple[float, Meets, bool]] = []
    for a, b, meets in zip(ring, ring[1:] + ring[:1], zone.wall.meets, strict=True):
        if (a[0] == b[0]) != plumb:
            continue
        if plumb:
            low, high = sorted((a[1], b[1]))
            away = abs(x - a[0]) + max(0, low - y, y - high)
        else:
            low, high = sorted((a[0], b[0]))
            away = max(0, low - x, x - high) + abs(y - y_at(a, b, min(max(x, low), high)))
        found.append((away, meets, b[1] > a[1]))
    _, meets, right_end = min(found, key=lambda each: each[0])
    return meets, right_end


def _sealed(setting: Setting, practice: Practice, edge: Edge, note: str) -> list[Run]:
    """A perimeter joint with its sealant."""
    last, length, sealant = len(setting.boards), _length(edge), practice.consumable(ConsumableUse.SEALANT).id
    return [
        Run(RunKind.PERIMETER, last, *edge[0], *edge[1], length, "", note),
        Run(RunKind.SEALANT, 0, *edge[0], *edge[1], length, sealant, note),
    ]


def _length(edge: Edge) -> int:
    (ax, ay), (bx, by) = edge
    return round(hypot(bx - ax, by - ay))


def _movement_beads(
    setting: Setting, practice: Practice, zone: Zone, grids: Sequence[PanelGrid]
) -> list[Run]:
    bead = practice.consumable(ConsumableUse.MOVEMENT_BEAD).id
    runs = []
    for before, after in zip(grids, grids[1:], strict=False):
        if after.panel.x0 - before.panel.x1 == setting.rules.movement_joint_gap_mm:
            x = (before.panel.x1 + after.panel.x0) / 2
            for low, high in zone.clear(before.panel.x1, after.panel.x0):
                runs.append(
                    Run(RunKind.MOVEMENT_BEAD, len(setting.boards), x, low, x, high, round(high - low), bead)
                )
    return runs


def penetrations(setting: Setting) -> list[Penetration]:
    """Boxes and pipes that pierce the lining; where there is a membrane they pierce it too."""
    membrane = bool(setting.wall.lining.membrane)
    return [Penetration(of, x, y, membrane) for of, x, y, _ in holes_through(setting)]
