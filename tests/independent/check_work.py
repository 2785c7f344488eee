"""Checks of what goes with frame and boards: runs, bar places, cut-outs, depths, filling, skews, findings."""

from __future__ import annotations

from collections import Counter, defaultdict
from math import atan, degrees, hypot, radians, tan
from typing import Any

import shapely
from shapely import LineString, Point, Polygon, box
from tests.independent.sight import FREE, LENGTH, Faults, Json, Place, Sight, joints_of, sides, uncovered

NEAR = 30  # mm that a drawn run may lie beside the edge it stands for
EDGE_KINDS = {"perimeter joint", "corner bead", "edge bead", "inner corner"}  # each finishes an edge
BOARD_JOINTS = {"tapered joint", "cut-edge joint", "cross joint"}


def line_of(run: Json) -> LineString:
    return LineString([(run["ax_mm"], run["ay_mm"]), (run["bx_mm"], run["by_mm"])])


def joint_lines(wall: Sight, layer: int) -> Any:
    """The joints of a layer's boards as lines."""
    boards = wall.of_layer(layer)
    upright = [LineString([(x, a), (x, b)]) for x, a, b in joints_of(boards, upright=True)]
    level = [LineString([(a, y), (b, y)]) for y, a, b in joints_of(boards, upright=False)]
    return shapely.union_all(upright + level)


def movement_gaps(wall: Sight) -> Any:
    """The gaps of movement joints, from below the wall to above it."""
    _, low, _, high = wall.outline.bounds
    width = wall.plan["gaps"]["movement_mm"]
    lefts = [x - width // 2 for x in wall.plan["movement_joints_mm"]]
    return shapely.union_all([box(x, low - 1, x + width, high + 1) for x in lefts])


# --- runs -------------------------------------------------------------------------------------------


def check_runs(wall: Sight) -> Faults:
    """Every run lies where its kind belongs and is as long as it is drawn."""
    gaps = movement_gaps(wall)
    edges, frame_edges = wall.area.boundary.buffer(NEAR), wall.free.boundary.buffer(1)
    face = max([NEAR, *(m["face_mm"] for m in wall.members)])
    strips = [Polygon(s["ring"], s["holes"]) for s in wall.plan["membrane"]]
    laps = shapely.union_all([a & b for k, a in enumerate(strips) for b in strips[k + 1 :]])
    home = dict.fromkeys((*EDGE_KINDS, "sealant"), edges)
    home["movement bead"] = gaps
    home["sealing strip"] = wall.free.boundary.buffer(face)
    home["membrane seal"] = frame_edges
    home["membrane lap"] = laps.buffer(1)
    joints = {layer: joint_lines(wall, layer).buffer(1) for layer in wall.layers}
    for run in wall.plan["runs"]:
        line, kind = line_of(run), run["kind"]
        place = f"from ({run['ax_mm']:.0f}, {run['ay_mm']:.0f}) to ({run['bx_mm']:.0f}, {run['by_mm']:.0f})"
        if abs(line.length - run["length_mm"]) > 1.5:
            yield f"{kind} {place} is {line.length:.0f} mm long, said {run['length_mm']} mm"
        lawful = joints.get(run["layer"], Polygon()) if kind in BOARD_JOINTS else home[kind]
        off = line.difference(lawful).length
        if off > 1:
            yield f"{kind} {place} lies {off:.0f} mm of its length where none belongs"


def check_finished(wall: Sight) -> Faults:
    """Every joint of boards and every edge of the board area is worked on.

    Two walls share a corner: the one that has it at its right end finishes it.
    """
    for layer in wall.layers:
        done = [line_of(r) for r in wall.plan["runs"] if r["kind"] in BOARD_JOINTS and r["layer"] == layer]
        bare = joint_lines(wall, layer).difference(shapely.union_all(done).buffer(1)).length
        if bare > 5:  # ends on rakes are drawn to the millimetre
            yield f"layer {layer}: {bare:.0f} mm of board joints are not filled"
    done = [line_of(r).buffer(NEAR) for r in wall.plan["runs"] if r["kind"] in EDGE_KINDS]
    done += [movement_gaps(wall).buffer(1)]
    for (a, b), meets in zip(sides(wall.wall["outline"]), wall.wall["meets"], strict=True):
        if meets in ("external corner", "internal corner") and b[1] < a[1]:
            done.append(LineString([a, b]).buffer(NEAR))  # the left end: the next wall's
    bare = wall.area.boundary.difference(shapely.union_all(done)).length
    if bare > 1:
        yield f"{bare:.0f} mm of the boards' edges are not finished"


# --- steel, brackets --------------------------------------------------------------------------------


def shape_of(bar: Json) -> Polygon:
    """A bar in elevation: ends of uprights raked by their skews, level pieces cut plumb."""
    ax, ay, bx, by = (bar[f"{end}_mm"] for end in ("ax", "ay", "bx", "by"))
    half = bar["face_mm"] / 2
    if bar["member"]:
        low, high = (tan(radians(bar[f"skew_{end}_deg"])) * half for end in "ab")
        return Polygon(
            [(ax - half, ay - low), (ax + half, ay + low), (bx + half, by + high), (bx - half, by - high)]
        )
    up = half * hypot(bx - ax, by - ay) / abs(bx - ax)
    return Polygon([(ax, ay - up), (bx, by - up), (bx, by + up), (ax, ay + up)])


def check_bar_places(wall: Sight) -> Faults:
    """Bars lie inside the outline, outside openings, columns, beams and movement joints.

    Head and sill members touch the edge of their opening; their ends turned up or down are not drawn.
    """
    clear = wall.free.difference(movement_gaps(wall)).buffer(1, join_style="mitre")
    shapely.prepare(clear)
    for bar in wall.plan["bars"]:
        shape = shape_of(bar).buffer(-0.5, join_style="mitre")
        if clear.covers(shape):
            continue
        out = shape.difference(clear)
        if out.area > 1:
            x, y = out.centroid.coords[0]
            yield f"bar {bar['mark']} lies out of the clear by {out.area:.0f} mm2 at ({x:.0f}, {y:.0f})"


def check_skews(wall: Sight) -> Faults:
    """Ends of uprights are cut to the slope they stand at, square under everything level."""
    lines: dict[tuple[str, float], list[Json]] = defaultdict(list)
    for bar in wall.plan["bars"]:
        if bar["member"]:
            lines[bar["member"], bar["ax_mm"]].append(bar)  # a doubled stud is two lines
    for (mark, _), bars in lines.items():
        bottom, top = min(b["ay_mm"] for b in bars), max(b["by_mm"] for b in bars)
        for bar in bars:
            for end, y, outer, way in (("a", "ay_mm", bottom, -1), ("b", "by_mm", top, 1)):
                at_end = mark in wall.member and abs(bar[y] - outer) <= LENGTH
                slopes = slopes_at(wall, wall.member[mark], outer, way) if at_end else {0.0}
                said = bar[f"skew_{end}_deg"]
                if not any(abs(said - degrees(atan(slope))) <= 0.1 for slope in slopes):
                    wanted = " or ".join(f"{degrees(atan(slope)):.1f}" for slope in sorted(slopes))
                    yield f"bar {bar['mark']}: end {end} is skew by {said} degrees, {wanted} wanted"


def slopes_at(wall: Sight, member: Json, y: float, way: int) -> set[float]:
    """Slopes that an end may be cut to: that of the outline right across it, else square."""
    x, half = member["x_mm"], member["face_mm"] / 2
    over = box(x - half, min(y, y + way * 2000), x + half, max(y, y + way * 2000))
    near = [
        (a, b)
        for a, b in sides(wall.wall["outline"])
        if a[0] != b[0] and min(a[0], b[0]) < x + half and max(a[0], b[0]) > x - half
        if LineString([a, b]).intersects(over)
    ]
    rise = max((abs((b[1] - a[1]) / (b[0] - a[0])) for a, b in near), default=0.0)
    reach = wall.short + wall.rules["deflection_head_gap_mm"] + half * rise + 2
    at = [(a, b) for a, b in near if abs(height_at(a, b, x) - y) <= reach]
    blocked = wall.blocked.intersects(
        box(x - half + 1, min(y, y + way * reach), x + half - 1, max(y, y + way * reach))
    )
    across = [
        (b[1] - a[1]) / (b[0] - a[0])
        for a, b in at
        if min(a[0], b[0]) <= x - half and max(a[0], b[0]) >= x + half
    ]
    return ({0.0} if blocked or not across else set()) | set(across)


def height_at(a: Place, b: Place, x: float) -> float:
    """y of the line ab at x."""
    return a[1] + (b[1] - a[1]) * (x - a[0]) / (b[0] - a[0])


def check_fixing_places(wall: Sight) -> Faults:
    """Fixings go into what the lining meets: floor, ceiling, walls, columns, beams."""
    near = max((m["face_mm"] for m in wall.members), default=0)
    free = [
        LineString([a, b]).buffer(1)
        for (a, b), meets in zip(sides(wall.wall["outline"]), wall.wall["meets"], strict=True)
        if meets in FREE
    ]
    structure = wall.free.boundary.difference(shapely.union_all(free))
    for line in wall.plan["fixings"]:
        off = [place for place in line["places_mm"] if structure.distance(Point(place)) > near]
        if off:
            x, y = off[0]
            yield f"{len(off)} fixings of {line['bar']} go into nothing, at ({x:.0f}, {y:.0f}) first"


def check_projections(wall: Sight) -> Faults:
    """A bracket projects from the surveyed face to the back of the frame."""
    back = wall.plan["build_up"]["frame_back_mm"]
    for b in wall.plan["brackets"]:
        wanted = back - offset_at(wall.wall["offsets"], b["x_mm"], b["y_mm"])
        if abs(b["projection_mm"] - wanted) > 1:
            yield f"{b['mark']} projects {b['projection_mm']} mm, the wall is {wanted:.1f} mm away"


def offset_at(grid: Json | None, x: float, y: float) -> float:
    """Surveyed offset, in proportion between the four places round a point; the nearest beyond the grid."""
    if grid is None:
        return 0.0
    rows, columns = shares(grid["ys_mm"], y), shares(grid["xs_mm"], x)
    offsets: list[list[float]] = grid["offsets_mm"]
    return sum(offsets[j][i] * up * along for j, up in rows.items() for i, along in columns.items())


def shares(places: list[float], at: float) -> dict[int, float]:
    """Index and weight of the places on both sides of one."""
    at = min(max(at, places[0]), places[-1])
    k = next((k for k in range(len(places) - 1) if places[k] <= at <= places[k + 1]), None)
    if k is None:
        return {0: 1.0}
    t = (at - places[k]) / (places[k + 1] - places[k])
    return {k: 1 - t, k + 1: t}


# --- what pierces the lining ------------------------------------------------------------------------


def holes_wanted(wall: Sight) -> list[tuple[str, float, float, float]]:
    """(of, x, y, diameter) of every box and pipe."""
    holes = [
        (b["id"], b["x_mm"] + k * b["pitch_mm"], b["y_mm"], b["diameter_mm"])
        for b in wall.wall["boxes"]
        for k in range(b["count"])
    ]
    return holes + [
        (
            o["id"],
            o["x_mm"] + o["width_mm"] / 2,
            o["y_mm"] + o["height_mm"] / 2,
            max(o["width_mm"], o["height_mm"]) + 2 * wall.rules["pipe_clear_mm"],
        )
        for o in wall.wall["obstacles"]
        if o["kind"] == "pipe"
    ]


def check_cutouts(wall: Sight) -> Faults:
    """Boxes and pipes are cut out of every board they touch, and nothing else is."""
    holes = holes_wanted(wall)
    for board in wall.boards:
        cut = Counter((c["of"], c["x_mm"], c["y_mm"], c["diameter_mm"]) for c in board["cutouts"])
        for hole in holes:
            of, x, y, diameter = hole
            inside = diameter / 2 - wall.shape[board["mark"]].distance(Point(x, y))
            number = cut.pop(hole, 0)
            if number != (1 if inside > 0 else 0) and abs(inside) > LENGTH:
                yield f"board {board['mark']} has {number} cut-outs for {of} at ({x:.0f}, {y:.0f})"
        for of, x, y, _ in cut:
            yield f"board {board['mark']} has a cut-out for {of} at ({x:.0f}, {y:.0f}), where there is none"


def check_penetrations(wall: Sight) -> Faults:
    """Every box and pipe is listed once, with the vapour control layer if there is one."""
    membrane = bool(wall.lining["membrane"])
    wanted = Counter((of, x, y, membrane) for of, x, y, _ in holes_wanted(wall))
    said = Counter((p["of"], p["x_mm"], p["y_mm"], p["pierces_membrane"]) for p in wall.plan["penetrations"])
    for of, x, y, _ in (wanted - said) + (said - wanted):
        yield f"penetration of {of} at ({x:.0f}, {y:.0f}) is not listed just once as it is"


# --- filling ----------------------------------------------------------------------------------------


def check_cavity(wall: Sight) -> Faults:
    """Each insulation layer and the vapour control layer fill the frame's area, movement joints too."""
    for layer, _ in enumerate(wall.lining["insulation"], 1):
        slabs = [Polygon(s["ring"]) for s in wall.plan["slabs"] if s["layer"] == layer]
        bare = wall.free.difference(shapely.union_all(slabs)).area
        if bare > 1 + 0.002 * wall.free.length:
            yield f"insulation layer {layer} leaves {bare:.0f} mm2 empty"
    if wall.lining["membrane"]:
        strips = {s["mark"]: Polygon(s["ring"], s["holes"]) for s in wall.plan["membrane"]}
        bare = wall.free.difference(shapely.union_all(list(strips.values()))).area
        if bare > 1 + 0.002 * wall.free.length:
            yield f"the vapour control layer leaves {bare:.0f} mm2 of the frame bare"
        yield from check_laps(wall, strips)


def check_laps(wall: Sight, strips: dict[str, Any]) -> Faults:
    """Where a strip ends inside the wall, the next one lies under it by the lap at least."""
    lap = wall.practice["membranes"][wall.lining["membrane"]]["lap_mm"]
    rim = wall.free.boundary.buffer(1)
    for mark, strip in strips.items():
        others = shapely.union_all([other for name, other in strips.items() if name != mark])
        ends, alone = strip.boundary.difference(rim), strip.difference(others).buffer(-1)  # no slivers
        if ends.is_empty or alone.is_empty:
            continue
        over = ends.distance(alone) - 1
        if over < lap - 1:
            yield f"strip {mark} overlaps the next by {over:.0f} mm, {lap} mm wanted"


# --- rules missed without a word --------------------------------------------------------------------


def check_told(wall: Sight) -> Faults:
    """Where a rule is missed, a finding says so."""
    yield from slight_boards(wall)
    yield from boxes_on_steel(wall)
    yield from heavy_loads(wall)
    said = [f["text"] for f in wall.plan["findings"] if f["code"] == "L601"]
    yield from (f"open question not told: {q}" for q in wall.wall["questions"] if q not in said)


def slight_boards(wall: Sight) -> Faults:
    """Strips too narrow, and pieces at a cross joint too low."""
    rules = wall.rules
    for layer in wall.layers:
        joints = joints_of(wall.of_layer(layer), upright=False)
        for board in wall.of_layer(layer):
            left, low, right, high = wall.shape[board["mark"]].bounds
            told = {
                f["code"]
                for f in wall.plan["findings"]
                if f["layer"] == layer and left - 1 <= f["x_mm"] <= right + 1
            }
            if right - left < rules["strip_min_mm"] - LENGTH and "L203" not in told:
                yield f"layer {layer}: {board['mark']} is a strip of {right - left:.0f} mm, and no finding"
            divided = any(y in (low, high) and min(b, right) > max(a, left) for y, a, b in joints)
            if divided and high - low < rules["piece_height_min_mm"] - LENGTH and "L206" not in told:
                yield f"layer {layer}: {board['mark']} is {high - low:.0f} mm high, and no finding"


def boxes_on_steel(wall: Sight) -> Faults:
    """Boxes and pipes too near a member, or off the lining."""
    clear = wall.rules["box_clear_of_member_mm"]
    for of, x, y, diameter in holes_wanted(wall):
        told = {f["code"] for f in wall.plan["findings"] if (f["x_mm"], f["y_mm"]) == (x, y)}
        half = diameter / 2
        meets = [
            m["mark"]
            for m in wall.members
            if abs(m["x_mm"] - x) < half + clear + m["face_mm"] / 2
            and m["bottom_mm"] < y + half
            and m["top_mm"] > y - half
        ]
        if meets and "L401" not in told:
            yield f"{of} at ({x:.0f}, {y:.0f}) meets {', '.join(meets)}, and no finding"
        if not wall.free.covers(Point(x, y).buffer(half - LENGTH)) and "L403" not in told:
            yield f"{of} at ({x:.0f}, {y:.0f}) is not wholly on the lining, and no finding"


def heavy_loads(wall: Sight) -> Faults:
    """Hung loads above what the lining may carry, or beside it."""
    limit = wall.rules["hung_load_max_n_m"]
    for load in wall.wall["loads"]:
        x, y, width = load["x_mm"], load["y_mm"], load["width_mm"]
        told = any(f["code"] == "L402" and (f["x_mm"], f["y_mm"]) == (x, y) for f in wall.plan["findings"])
        heavy = load["mass_kg"] * 9.81 / (width / 1000)
        if heavy > limit and not told:
            yield f"{load['id']} hangs {heavy:.0f} N on a metre, {limit} allowed, and no finding"
        if uncovered(x, x + width, level_spans(wall, y)) and not told:
            yield f"{load['id']} is not wholly on the lining, and no finding"


def level_spans(wall: Sight, y: float) -> list[tuple[float, float]]:
    """Stretches of a level line on the lining."""
    left, _, right, _ = wall.outline.bounds
    parts = shapely.get_parts(wall.free.intersection(LineString([(left - 1, y), (right + 1, y)])))
    return [(part.bounds[0], part.bounds[2]) for part in parts]


WORK = (
    check_runs,
    check_finished,
    check_bar_places,
    check_skews,
    check_fixing_places,
    check_projections,
    check_cutouts,
    check_penetrations,
    check_cavity,
    check_told,
)
