"""One wall of a plan file as the checks look at it: its polygons, its joints, what boards must cover.

Knows the file format (docs/plan-json.md) and shapely, nothing of the program that wrote the file.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from math import hypot
from typing import Any

import shapely
from shapely import Polygon, box

Json = dict[str, Any]
Place = Sequence[float]
Faults = Iterator[str]

LENGTH = 0.5  # mm
FREE = {"open end", "external corner", "internal corner"}  # edges without a gap


class Sight:
    """One wall with the polygons that several checks need."""

    def __init__(self, plan: Json, practice: Json) -> None:
        self.plan, self.practice, self.rules = plan, practice, practice["rules"]
        self.wall, self.lining = plan["wall"], plan["wall"]["lining"]
        self.members = sorted(plan["members"], key=lambda m: (m["x_mm"], m["bottom_mm"]))
        self.member = {m["mark"]: m for m in self.members}
        self.bar = {b["mark"]: b for b in plan["bars"]}
        self.layers = range(1, len(self.lining["boards"]) + 1)
        self.boards = [b for b in plan["boards"] if b["plane"] == "face"]
        self.shape = {b["mark"]: Polygon(b["ring"], b["holes"]) for b in self.boards}
        self.blocked = shapely.union_all(list(blocked(self.wall, NO_GAPS)))
        self.outline = Polygon(self.wall["outline"])
        self.free = self.outline.difference(self.blocked)  # where steel may stand
        self.area = lined_area(self.wall, plan["gaps"], plan["movement_joints_mm"])
        self.cover = max((o["reveal_insulation_mm"] for o in self.wall["openings"]), default=0)
        self.short = self.rules[
            "channel_short_of_height_mm" if self.lining["way"] == "bracketed" else "stud_short_of_height_mm"
        ]

    def found(self, codes: set[str], x: float, layer: int = 0, slack: float = 1.0) -> bool:
        """Whether a finding of one of these codes stands at (or within ``slack`` of) x."""
        return any(
            f["code"] in codes and abs(f["x_mm"] - x) <= slack and (not layer or f["layer"] == layer)
            for f in self.plan["findings"]
        )

    def of_layer(self, layer: int) -> list[Json]:
        return [b for b in self.boards if b["layer"] == layer]


NO_GAPS = {"side_mm": 0, "head_mm": 0, "floor_mm": 0, "cover": 0}  # as steel sees the wall


def edges_of(opening: Json, cover: int = 1) -> tuple[float, float, float, float]:
    """An opening: left, sill, right, head; with ``cover`` as its boards leave it, over insulated reveals."""
    thick = cover * opening["reveal_insulation_mm"]
    sill = 0 if opening["kind"] == "door" else thick
    left, low = opening["x_mm"], opening["sill_mm"]
    right, high = left + opening["width_mm"], low + opening["height_mm"]
    return left + thick, low + sill, right - thick, high - thick


def blocked(wall: Json, gaps: Json) -> Iterator[Any]:
    """Rectangles of openings, and of columns and beams with the gaps that boards keep from them."""
    for o in wall["openings"]:
        yield box(*edges_of(o, gaps["cover"]))
    for o in wall["obstacles"]:
        if o["kind"] in ("column", "beam"):
            left, right = o["x_mm"] - gaps["side_mm"], o["x_mm"] + o["width_mm"] + gaps["side_mm"]
            yield box(left, o["y_mm"] - gaps["head_mm"], right, o["y_mm"] + o["height_mm"] + gaps["floor_mm"])


def lined_area(wall: Json, gaps: Json, movement_joints: list[int]) -> Any:
    """What the boards of each layer must tile.

    The outline without a band along every edge that meets something: as wide as the side gap along
    plumb edges, as high as the floor or head gap along the others; at a corner of two such edges the bands
    reach to where their inner lines cross. Openings, columns and beams (with the
    same gaps around) and the gaps of movement joints come off too.
    """
    ring = wall["outline"]
    edges = list(zip(ring, ring[1:] + ring[:1], wall["meets"], strict=True))
    shifts = [inwards(a, b, meets, gaps) for a, b, meets in edges]
    off = []
    for (a, b, _), (dx, dy) in zip(edges, shifts, strict=True):
        if dx or dy:
            off.append(Polygon([a, b, (b[0] + dx, b[1] + dy), (a[0] + dx, a[1] + dy)]).buffer(0))
    for k, (b, c, _) in enumerate(edges):
        a, (ux, uy), (vx, vy) = edges[k - 1][0], shifts[k - 1], shifts[k]
        if (ux or uy) and (vx or vy):
            end, start = (b[0] + ux, b[1] + uy), (b[0] + vx, b[1] + vy)
            corner = crossing((a[0] + ux, a[1] + uy), end, start, (c[0] + vx, c[1] + vy))
            if corner:
                off.append(shapely.MultiPoint([b, end, corner, start]).convex_hull)
    off += blocked(wall, gaps | {"cover": 1})
    heights = [y for _, y in ring]
    for x in movement_joints:
        left = x - gaps["movement_mm"] // 2
        off.append(box(left, min(heights) - 1, left + gaps["movement_mm"], max(heights) + 1))
    return Polygon(ring).difference(shapely.union_all(off))


def inwards(a: Place, b: Place, meets: str, gaps: Json) -> tuple[float, float]:
    """How far and which way boards keep from an edge of a counter-clockwise outline."""
    if meets in FREE:
        return 0, 0
    if a[0] == b[0]:
        return (gaps["side_mm"] if b[1] < a[1] else -gaps["side_mm"]), 0
    return 0, (gaps["floor_mm"] if b[0] > a[0] else -gaps["head_mm"])


def crossing(a: Place, b: Place, c: Place, d: Place) -> Place | None:
    """Where the lines ab and cd cross; None if they are parallel."""
    cross = (b[0] - a[0]) * (d[1] - c[1]) - (b[1] - a[1]) * (d[0] - c[0])
    if cross == 0:
        return None
    t = ((c[0] - a[0]) * (d[1] - c[1]) - (c[1] - a[1]) * (d[0] - c[0])) / cross
    return a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1])


def sides(ring: list[Place]) -> list[tuple[Place, Place]]:
    return list(zip(ring, ring[1:] + ring[:1], strict=True))


def loops(board: Json) -> list[list[Place]]:
    return [board["ring"], *board["holes"]]


def raked_length(boards: list[Json]) -> float:
    return sum(
        hypot(b[0] - a[0], b[1] - a[1])
        for board in boards
        for ring in loops(board)
        for a, b in sides(ring)
        if a[0] != b[0] and a[1] != b[1]
    )


def joints_of(boards: list[Json], *, upright: bool) -> list[tuple[float, float, float]]:
    """Edges that two boards of a layer share: (place, from, to), merged."""
    spans: dict[float, tuple[list[Any], list[Any]]] = defaultdict(lambda: ([], []))
    at, along = (0, 1) if upright else (1, 0)
    for board in boards:
        for ring in loops(board):
            for a, b in sides(ring):
                if a[at] == b[at] and a[along] != b[along]:
                    way = 0 if b[along] > a[along] else 1
                    spans[a[at]][way].append((min(a[along], b[along]), max(a[along], b[along])))
    joints = []
    for place, (ups, downs) in sorted(spans.items()):
        both = [(max(a, c), min(b, d)) for a, b in ups for c, d in downs if min(b, d) > max(a, c)]
        joints += [(place, a, b) for a, b in sorted(both)]
    return joints


def uncovered(low: float, high: float, spans: Iterable[tuple[float, float]]) -> list[tuple[float, float]]:
    """Stretches of low..high that no span covers."""
    at, bare = low, []
    for a, b in sorted(spans):
        if a > at:
            bare.append((at, min(a, high)))
        at = max(at, b)
        if at >= high:
            break
    if at < high:
        bare.append((at, high))
    return [(a, b) for a, b in bare if b - a > LENGTH]
