"""Work along lines: joints by kind, beads, sealant, and what pierces the lining."""

from __future__ import annotations

from collections.abc import Sequence
from math import hypot

from innerleaf.layout.boards import Boarding, holes_through
from innerleaf.layout.grid import PanelGrid
from innerleaf.layout.pieces import BoardPiece, Penetration, Run, RunKind
from innerleaf.layout.setting import Setting
from innerleaf.layout.zone import Zone, spans_over
from innerleaf.practice.model import ConsumableUse, Practice
from innerleaf.survey.wall import Meets


def run_edges(
    setting: Setting, practice: Practice, zone: Zone, grids: Sequence[PanelGrid], boarding: Boarding
) -> list[Run]:
    """Every joint, bead and bead of sealant of one wall."""
    return [
        *_upright_joints(setting, grids, boarding),
        *_cross_joints(boarding),
        *_outline_edges(setting, practice),
        *_opening_edges(setting, practice),
        *_movement_beads(setting, practice, zone, grids),
    ]


def _upright_joints(setting: Setting, grids: Sequence[PanelGrid], boarding: Boarding) -> list[Run]:
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


def _cross_joints(boarding: Boarding) -> list[Run]:
    return [
        Run(RunKind.JOINT_CROSS, c.layer, c.left, c.y, c.right, c.y, round(c.right - c.left), "")
        for c in boarding.cross_joints
    ]


_EDGE_KINDS = {
    Meets.OUTER_CORNER: (RunKind.CORNER_BEAD, ConsumableUse.CORNER_BEAD),
    Meets.OPEN: (RunKind.EDGE_BEAD, ConsumableUse.EDGE_BEAD),
    Meets.INNER_CORNER: (RunKind.INNER_CORNER, ConsumableUse.JOINT_TAPE),
}


def _outline_edges(setting: Setting, practice: Practice) -> list[Run]:
    """Beads at free edges and corners; sealant and a perimeter joint wherever boards meet structure."""
    wall, last = setting.wall, len(setting.boards)
    sealant = practice.consumable(ConsumableUse.SEALANT).id
    runs = []
    for (ax, ay), (bx, by), meets in zip(
        wall.outline, wall.outline[1:] + wall.outline[:1], wall.meets, strict=True
    ):
        stretches = _outside_doors(setting, ax, ay, bx, by)
        for a, b in stretches:
            length = round(hypot(b[0] - a[0], b[1] - a[1]))
            if meets in _EDGE_KINDS:
                kind, use = _EDGE_KINDS[meets]
                runs.append(Run(kind, last, *a, *b, length, practice.consumable(use).id, meets.value))
                continue
            runs.append(Run(RunKind.PERIMETER, last, *a, *b, length, "", meets.value))
            runs.append(Run(RunKind.SEALANT, 0, *a, *b, length, sealant, meets.value))
    return runs


def _outside_doors(
    setting: Setting, ax: float, ay: float, bx: float, by: float
) -> list[tuple[tuple[float, float], tuple[float, float]]]:
    """A level edge without the stretches where openings reach it; other edges as they are."""
    if ay != by:
        return [((ax, ay), (bx, by))]
    left, right = min(ax, bx), max(ax, bx)
    cuts = [(left, right)]
    for o in setting.wall.openings:
        if o.sill_mm <= ay <= o.head_mm:
            cuts = [
                piece
                for a, b in cuts
                for piece in ((a, min(b, o.x_mm)), (max(a, o.right_mm), b))
                if piece[1] > piece[0]
            ]
    return [((a, ay), (b, ay)) for a, b in cuts]


def _opening_edges(setting: Setting, practice: Practice) -> list[Run]:
    """Corner beads where a lined reveal turns the corner, edge beads and sealant where it does not."""
    last = len(setting.boards)
    corner = practice.consumable(ConsumableUse.CORNER_BEAD).id
    edge = practice.consumable(ConsumableUse.EDGE_BEAD).id
    sealant = practice.consumable(ConsumableUse.SEALANT).id
    floor = min(y for _, y in setting.wall.outline)
    runs = []
    for o in setting.wall.openings:
        sides = [
            ((o.x_mm, o.sill_mm), (o.x_mm, o.head_mm)),
            ((o.x_mm, o.head_mm), (o.right_mm, o.head_mm)),
            ((o.right_mm, o.head_mm), (o.right_mm, o.sill_mm)),
        ]
        if o.sill_mm > floor:
            sides.append(((o.right_mm, o.sill_mm), (o.x_mm, o.sill_mm)))
        for a, b in sides:
            length = abs(a[0] - b[0]) + abs(a[1] - b[1])
            if o.reveal_lined:
                runs.append(Run(RunKind.CORNER_BEAD, last, *a, *b, length, corner, o.id))
                runs.append(Run(RunKind.INNER_CORNER, 1, *a, *b, length, "", f"{o.id}, reveal to frame"))
            else:
                runs.append(Run(RunKind.EDGE_BEAD, last, *a, *b, length, edge, o.id))
                runs.append(Run(RunKind.SEALANT, 0, *a, *b, length, sealant, o.id))
    return runs


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
