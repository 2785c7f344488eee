"""Checks of reveals and flanks: every surface is covered once, by insulation where it is asked for."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from math import ceil, floor

import shapely
from shapely import LineString, Point, Polygon
from tests.independent.sight import LENGTH, Faults, Json, Sight, edges_of

Size = tuple[float, float]
HOLDS = {"masonry", "partition", "concrete slab", "existing ceiling"}  # what a strip can be bonded to


def check_covers(wall: Sight) -> Faults:
    """Boards and insulation of every plane beside the face make up the surface there."""
    for what, wanted in (("boards", dict(boards_wanted(wall))), ("slabs", dict(slabs_wanted(wall)))):
        laid: dict[str, list[Json]] = defaultdict(list)
        for piece in wall.plan[what]:
            if piece["plane"] != "face":
                laid[piece["plane"]].append(piece)
        for plane in sorted(laid.keys() | wanted.keys()):
            if plane not in wanted:
                yield f"{what} on {plane}, where none belong"
                continue
            across, along = wanted[plane]
            rings = [Polygon(piece["ring"]) for piece in laid[plane]]
            area = sum(ring.area for ring in rings)
            bounds = [ring.bounds for ring in rings]
            reach = (max(b[2] for b in bounds), max(b[3] for b in bounds)) if bounds else (0.0, 0.0)
            off = max(abs(reach[0] - across), abs(reach[1] - along))
            if off > LENGTH or abs(area - across * along) > 1:
                yield f"{what} on {plane} cover {reach[0]:g} x {reach[1]:g} mm, {across:g} x {along:g} wanted"
    yield from check_thickness(wall)


def check_thickness(wall: Sight) -> Faults:
    """Thicknesses stated are those of what is bought, and that carries a board."""
    said = [(o["reveal_insulation"], o["reveal_insulation_mm"]) for o in wall.wall["openings"]]
    flank = wall.wall["flank"]
    said += [(flank["item"], flank["thickness_mm"])] if flank else []
    for item, thickness in said:
        sort = wall.practice["insulation"].get(item) if item else {"thickness_mm": 0, "carries_board": True}
        if sort is None or sort["thickness_mm"] != thickness:
            yield f"insulation {item} on a reveal or flank is said to be {thickness} mm thick"
        elif not sort["carries_board"]:
            yield f"insulation {item} on a reveal or flank carries no board"


def boards_wanted(wall: Sight) -> Iterator[tuple[str, Size]]:
    depths, thick = wall.plan["build_up"], board_mm(wall)
    for o in wall.wall["openings"]:
        if o["reveal_lined"]:
            niche = o["kind"] == "niche"
            behind = (o["reveal_insulation_mm"] + thick) if niche else 0
            depth = ceil(o["reveal_mm"] + depths["total_mm"] - behind - 1e-9)
            yield from round_hole(o, edges_of(o), depth, thick)
    yield from flanks_wanted(wall)


def slabs_wanted(wall: Sight) -> Iterator[tuple[str, Size]]:
    depths = wall.plan["build_up"]
    for o in wall.wall["openings"]:
        thick = o["reveal_insulation_mm"]
        if thick:
            behind = thick if o["kind"] == "niche" else 0
            depth = o["reveal_mm"] + depths["frame_back_mm"] + depths["frame_depth_mm"] - behind
            yield from round_hole(o, edges_of(o, 0), depth, thick)
    yield from flanks_wanted(wall)


def board_mm(wall: Sight) -> float:
    """The innermost board covers reveals and flanks."""
    return float(wall.practice["boards"][wall.lining["boards"][0]]["thickness_mm"])


def round_hole(
    opening: Json, edges: tuple[float, float, float, float], depth: float, thick: float
) -> Iterator[tuple[str, Size]]:
    """Sides run the full height; head and sill fit between them; the back of a niche is whole."""
    left, low, right, high = edges
    name, between = opening["id"], floor(right - left - 2 * thick)
    yield f"{name} left", (depth, high - low)
    yield f"{name} right", (depth, high - low)
    yield f"{name} head", (depth, between)
    if opening["kind"] != "door":
        yield f"{name} sill", (depth, between)
    if opening["kind"] == "niche":
        yield f"{name} back", (right - left, high - low)


def flanks_wanted(wall: Sight) -> Iterator[tuple[str, Size]]:
    """Strips on all that holds one, floors apart; those overhead fit between those at the sides."""
    flank, ring, meets = wall.wall["flank"], wall.wall["outline"], wall.wall["meets"]
    if not flank:
        return
    cover = flank["thickness_mm"] + board_mm(wall)
    count = len(ring)
    ends = [(ring[k], ring[(k + 1) % count]) for k in range(count)]
    with_strip = [k for k, (a, b) in enumerate(ends) if b[0] <= a[0] and meets[k] in HOLDS]
    plumb_ends = {tuple(p) for k in with_strip if ends[k][0][0] == ends[k][1][0] for p in ends[k]}
    for k in with_strip:
        a, b = ends[k]
        left = LineString([a, b]).difference(wall.blocked)
        parts = [part for part in shapely.get_parts(left) if part.length > 0]
        parts.sort(key=lambda part: Point(a).distance(Point(part.coords[0])))
        for number, part in enumerate(parts, 1):
            length = part.length
            if a[0] != b[0]:
                length -= cover * sum(tuple(map(float, p)) in plumb_ends for p in part.coords)
            name = f"edge {k + 1}" + (f" part {number}" if len(parts) > 1 else "")
            if length >= 1:
                yield f"{name} flank", (flank["width_mm"], floor(length + 1e-6))
