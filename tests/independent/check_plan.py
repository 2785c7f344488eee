"""Recompute every promise of a plan from plan.json alone.

    python -m tests.independent.check_plan plan.json

Prints one sentence per broken promise and exits 1 if there is any. It needs shapely and the modules
beside it, knows the file format (docs/plan-json.md) and nothing of the program that wrote the file.

Tolerances: coordinates are rounded to 0.001 mm in the file, so lengths are compared to 0.5 mm (whole
millimetres are cut), and areas to 1 mm2 per layer plus 0.002 mm along every raked board edge.
"""

from __future__ import annotations

import json
import sys
from collections import Counter, defaultdict
from itertools import pairwise
from math import hypot, isclose, radians, tan
from pathlib import Path
from typing import Any

import shapely
from shapely import LineString, Point, Polygon, box
from tests.independent.check_covers import check_covers
from tests.independent.check_work import WORK
from tests.independent.sight import (
    FREE,
    LENGTH,
    Faults,
    Json,
    Place,
    Sight,
    edges_of,
    joints_of,
    loops,
    raked_length,
    sides,
    uncovered,
)

JOINT_KINDS = {"tapered joint", "cut-edge joint", "cross joint", "inner corner", "perimeter joint"}


def as_read(document: Json) -> Json:
    """A document in memory as a reader of its file would get it."""
    read: Json = json.loads(json.dumps(document))
    return read


def check(document: Json) -> list[str]:
    """Every broken promise of a plan, as sentences."""
    faults = []
    for plan in document["walls"]:
        faults += [f"wall {plan['wall']['id']}: {text}" for text in check_wall(plan, document["practice"])]
    return faults + check_marks(document) + check_takeoff(document)


def check_wall(plan: Json, practice: Json) -> list[str]:
    """Broken promises of one wall."""
    wall = Sight(plan, practice)
    parts = (
        check_tiling,
        check_sizes,
        check_edges,
        check_screws,
        check_spacing,
        check_members,
        check_bars,
        check_brackets,
        check_fixings,
        check_upright_joints,
        check_cross_joints,
        check_stock,
        check_filling,
        check_covers,
        *WORK,
    )
    return [text for part in parts for text in part(wall)]


# --- areas ------------------------------------------------------------------------------------------


def check_tiling(wall: Sight) -> Faults:
    """Boards of each layer cover the area once: nothing bare, nothing double."""
    stated = shapely.union_all([Polygon(ring, holes) for ring, holes in wall.plan["board_area"]])
    for layer in wall.layers:
        boards = wall.of_layer(layer)
        shapes = [wall.shape[b["mark"]] for b in boards]
        if not all(shape.is_valid for shape in shapes):
            yield f"layer {layer}: a board's outline crosses itself"
            continue
        union = shapely.union_all(shapes)
        tolerance = 1 + 0.002 * raked_length(boards)
        double = sum(shape.area for shape in shapes) - union.area
        bare, beyond = wall.area.difference(union).area, union.difference(wall.area).area
        if double > tolerance:
            yield f"layer {layer}: boards overlap by {double:.1f} mm2"
        if bare > tolerance:
            yield f"layer {layer}: {bare:.1f} mm2 of the wall are bare"
        if beyond > tolerance:
            yield f"layer {layer}: boards reach {beyond:.1f} mm2 beyond the wall area"
    difference = stated.symmetric_difference(wall.area).area
    if difference > 1 + 0.002 * wall.area.length:
        yield f"board_area differs by {difference:.1f} mm2 from outline, openings and gaps"
    if {b["layer"] for b in wall.boards} - set(wall.layers):
        yield "a board is of a layer that the lining does not have"


def check_sizes(wall: Sight) -> Faults:
    """Stated sizes are those of the ring."""
    for b in wall.plan["boards"]:
        xs, ys = [x for x, _ in b["ring"]], [y for _, y in b["ring"]]
        width, length = max(xs) - min(xs), max(ys) - min(ys)
        if abs(width - b["width_mm"]) > 0.01 or abs(length - b["length_mm"]) > 0.01:
            yield f"board {b['mark']} is {width} x {length} mm, said {b['width_mm']} x {b['length_mm']} mm"


# --- boards on steel --------------------------------------------------------------------------------


def check_edges(wall: Sight) -> Faults:
    """Every upright board edge lies on a member; a joint on the member's middle.

    Members end short of what is above and below them, where tracks hold the board: bare ends up to the
    height of a track's leg are lawful. Edges lower than the shortest stud that is cut need none.
    """
    for layer in wall.layers:
        boards = wall.of_layer(layer)
        joints = joints_of(boards, upright=True)
        for x, low, high in joints:
            middles = [m for m in wall.members if abs(m["x_mm"] - x) <= LENGTH]
            yield from bare_edges(wall, layer, "joint", x, low, high, middles)
        for board in boards:
            for ring in loops(board):
                for a, b in sides(ring):
                    if a[0] == b[0]:
                        low, high = min(a[1], b[1]), max(a[1], b[1])
                        behind = [
                            m
                            for m in wall.members
                            if abs(m["x_mm"] - a[0]) <= m["face_mm"] / 2 + overhang(wall, a, b) + LENGTH
                        ]
                        yield from bare_edges(
                            wall, layer, f"edge of {board['mark']}", a[0], low, high, behind
                        )


def overhang(wall: Sight, a: Place, b: Place) -> float:
    """How far an upright edge stands off its member: over the edge of an insulated reveal."""
    middle = (a[1] + b[1]) / 2
    at = [edges_of(o) for o in wall.wall["openings"]]
    beside = any(a[0] in (left, right) and low <= middle <= high for left, low, right, high in at)
    return wall.cover if beside else 0


def bare_edges(
    wall: Sight, layer: int, what: str, x: float, low: float, high: float, members: list[Json]
) -> Faults:
    if high - low <= wall.rules["cripple_min_mm"] + 2 * wall.short:
        return
    if wall.found({"L103"}, x, slack=2 * max((m["face_mm"] for m in wall.members), default=0)):
        return  # a pier too narrow for a stud
    spans = [(m["bottom_mm"], m["top_mm"]) for m in members]
    level = [
        (b["ay_mm"] - b["face_mm"] / 2, b["ay_mm"] + b["face_mm"] / 2)
        for b in wall.plan["bars"]
        if not b["member"]
        and b["ay_mm"] == b["by_mm"]
        and min(b["ax_mm"], b["bx_mm"]) - 1 <= x <= max(b["ax_mm"], b["bx_mm"]) + 1
    ]
    leg = wall.short + wall.rules["deflection_head_gap_mm"] + LENGTH
    for a, b in uncovered(low, high, spans + level):
        at_end = a == low or b == high
        lawful = leg + rake_at(wall, x, members) + max(head_cover(wall, x, y) for y in (a, b))
        if not (at_end and b - a <= lawful):
            yield f"layer {layer}: {what} at x = {x} mm is off the members from y = {a:.0f} to {b:.0f} mm"


def head_cover(wall: Sight, x: float, y: float) -> float:
    """How far boards reach past steel at the head or sill of an insulated reveal at (x, y)."""
    for o in wall.wall["openings"]:
        left, sill, right, head = edges_of(o)
        if left - o["reveal_insulation_mm"] <= x <= right + o["reveal_insulation_mm"] and y in (sill, head):
            return float(o["reveal_insulation_mm"])
    return 0.0


def rake_at(wall: Sight, x: float, members: list[Json]) -> float:
    """How much a stud's centre line may end below a point of the slope over its face."""
    slopes = [
        abs((b[1] - a[1]) / (b[0] - a[0]))
        for a, b in sides(wall.wall["outline"])
        if a[0] != b[0] and min(a[0], b[0]) - 100 <= x <= max(a[0], b[0]) + 100
    ]
    return max(slopes, default=0) * max([m["face_mm"] for m in members], default=0)


def check_screws(wall: Sight) -> Faults:
    """Every screw is in steel and in its board, clear of edges; no stretch of board unscrewed."""
    rules = wall.rules
    flange = rules["screw_flange_edge_min_mm"]
    lines = defaultdict(list)
    board_of = {b["mark"]: b for b in wall.boards}
    for line in wall.plan["screws"]:
        board, places = board_of.get(line["board"]), line["places_mm"]
        if board is None or board["layer"] != line["layer"]:
            yield f"screws into {line['board']}, which is no board of layer {line['layer']}"
            continue
        lines[line["board"]].append(line)
        member, bar = wall.member.get(line["support"]), wall.bar.get(line["support"])
        if line["upright"] and member:
            aside, low, high = abs(line["at_mm"] - member["x_mm"]), member["bottom_mm"], member["top_mm"]
            half = member["face_mm"] / 2
        elif not line["upright"] and bar and bar["ay_mm"] == bar["by_mm"]:
            aside, low, high = abs(line["at_mm"] - bar["ay_mm"]), bar["ax_mm"], bar["bx_mm"]
            half = bar["face_mm"] / 2
        else:
            yield f"screws of {line['board']} into {line['support']}, which is no member there"
            continue
        if aside > half - flange + LENGTH:
            yield f"screws of {line['board']} at {line['at_mm']} mm miss {line['support']}"
        if places and (min(places) < low - LENGTH or max(places) > high + LENGTH):
            yield f"screws of {line['board']} reach beyond the ends of {line['support']}"
        limit = rules[
            "screw_spacing_final_max_mm" if line["layer"] == wall.layers[-1] else "screw_spacing_first_max_mm"
        ]
        if any(b <= a for a, b in pairwise(places)):
            yield f"screws of {line['board']} on {line['support']} are not in order"
        yield from gaps_between(wall, board, line, limit)
    for mark, found in lines.items():
        yield from edge_distances(wall, board_of[mark], found)
    yield from unscrewed(wall, lines)


def point(line: Json, place: float) -> tuple[float, float]:
    return (line["at_mm"], place) if line["upright"] else (place, line["at_mm"])


def gaps_between(wall: Sight, board: Json, line: Json, limit: float) -> Faults:
    """Consecutive screws are close enough wherever the board runs through between them."""
    for a, b in pairwise(line["places_mm"]):
        if b - a > limit and wall.shape[board["mark"]].covers(LineString([point(line, a), point(line, b)])):
            yield f"screws of {board['mark']} on {line['support']} are {b - a} mm apart, {limit} mm allowed"


def edge_distances(wall: Sight, board: Json, lines: list[Json]) -> Faults:
    """Screws keep their distance from factory edges and from cut edges."""
    left, right = min(x for x, _ in board["ring"]), max(x for x, _ in board["ring"])
    bound: list[Any] = []
    cut: list[Any] = []
    for ring in loops(board):
        for a, b in sides(ring):
            factory = a[0] == b[0] and (
                (a[0] == left and board["left_bound"]) or (a[0] == right and board["right_bound"])
            )
            (bound if factory else cut).append(LineString([a, b]))
    points = shapely.points([point(line, place) for line in lines for place in line["places_mm"]])
    shape = wall.shape[board["mark"]]
    shapely.prepare(shape)
    if not shapely.covers(shape, points).all():
        yield f"a screw of {board['mark']} is outside the board"
    for edges, least in (
        (bound, wall.rules["screw_edge_bound_min_mm"]),
        (cut, wall.rules["screw_edge_cut_min_mm"]),
    ):
        if edges:
            near = shapely.distance(shapely.MultiLineString(edges), points).min()
            if near < least - 0.01:
                yield f"a screw of {board['mark']} is {near:.1f} mm from an edge, {least} mm wanted"


def unscrewed(wall: Sight, lines: dict[str, list[Json]]) -> Faults:
    """A board is screwed to every member it crosses, from end to end."""
    edge = wall.rules["screw_edge_cut_min_mm"]
    for board in wall.boards:
        shape = wall.shape[board["mark"]]
        left, low, right, high = shape.bounds
        inset = shape.buffer(-edge, join_style="mitre")
        on = {line["support"]: line for line in lines[board["mark"]] if line["upright"]}
        limit = wall.rules[
            "screw_spacing_final_max_mm"
            if board["layer"] == wall.layers[-1]
            else "screw_spacing_first_max_mm"
        ]
        for m in wall.members:
            x = m["x_mm"]
            if not left + edge <= x <= right - edge or m["top_mm"] <= low or m["bottom_mm"] >= high:
                continue
            track = LineString([(x, max(low, m["bottom_mm"])), (x, min(high, m["top_mm"]))])
            for stretch in shapely.get_parts(inset.intersection(track)):
                if stretch.geom_type != "LineString" or stretch.length < 100:
                    continue
                _, a, _, b = stretch.bounds
                places = (
                    [y for y in on[m["mark"]]["places_mm"] if a - 1 <= y <= b + 1] if m["mark"] in on else []
                )
                if not places:
                    yield f"{board['mark']} is not screwed to {m['mark']} from y = {a:.0f} to {b:.0f} mm"
                elif places[0] - a > 100 or b - places[-1] > 100:
                    yield f"{board['mark']} is not screwed to the ends of {m['mark']}"
                elif any(q - p > limit for p, q in pairwise(places)):
                    yield f"{board['mark']}: screws on {m['mark']} more than {limit} mm apart"


def check_spacing(wall: Sight) -> Faults:
    """At every level of the wall, what carries the boards is close enough side by side.

    Where a stretch ends under a rake, the last stud may already end below the level: its face is allowed
    on top, since it and the raked track carry the board there. Where boards stand out over the edge of an
    insulated reveal they need no steel.
    """
    area = wall.area.intersection(wall.free)
    face = max((m["face_mm"] for m in wall.members), default=0)
    limit = wall.rules["member_spacing_max_mm"]
    if wall.lining["way"] == "bracketed":
        limit = min(limit, wall.rules["bracket_row_spacing_max_mm"])
    if wall.lining["tiled"] and len(wall.lining["boards"]) == 1:
        limit = min(limit, wall.rules["member_spacing_tiled_mm"])
    least = wall.rules["cripple_min_mm"] + 60
    left, low, right, high = area.bounds
    levels = {low, high} | {y for m in wall.members for y in (m["bottom_mm"], m["top_mm"])}
    levels |= {y for part in shapely.get_parts(area) for _, y in shapely.get_coordinates(part).tolist()}
    said = set()
    for under, over in pairwise(sorted(levels)):
        if over - under <= wall.short + wall.rules["deflection_head_gap_mm"] + 5:
            continue  # beside the ends of studs, where the tracks carry
        y = (under + over) / 2
        here = [m for m in wall.members if m["bottom_mm"] <= y <= m["top_mm"]]
        for stretch in shapely.get_parts(area.intersection(LineString([(left - 1, y), (right + 1, y)]))):
            a, _, b, _ = stretch.bounds
            inside = [m["x_mm"] for m in here if a - m["face_mm"] <= m["x_mm"] <= b + m["face_mm"]]
            for p, q in pairwise([a, *inside, b]):
                at_end = face if p == a or q == b else 0
                if q - p <= limit + at_end + LENGTH or (p, q) in said or tall(wall, (p + q) / 2, y) <= least:
                    continue
                if not wall.found({"L101", "L103"}, (p + q) / 2, slack=(q - p) / 2 + 1):
                    said.add((p, q))
                    place = f"from x = {p:.0f} mm at y = {y:.0f} mm"
                    yield f"boards span {q - p:.0f} mm {place}, {limit} mm allowed"


def tall(wall: Sight, x: float, y: float) -> float:
    """Height of the lined area at a point."""
    _, low, _, high = wall.area.bounds
    for part in shapely.get_parts(wall.area.intersection(LineString([(x, low - 1), (x, high + 1)]))):
        if part.bounds[1] <= y <= part.bounds[3]:
            return float(part.bounds[3] - part.bounds[1])
    return 0.0


# --- steel ------------------------------------------------------------------------------------------


def check_members(wall: Sight) -> Faults:
    """Every member stands in the clear and is short of what is above it, by the rule and not by much more."""
    rules = wall.rules
    for m in wall.members:
        half, middle = m["face_mm"] / 2 - 0.01, (m["bottom_mm"] + m["top_mm"]) / 2
        clear = clear_at(wall, m["x_mm"], middle)
        left, right = clear_at(wall, m["x_mm"] - half, middle), clear_at(wall, m["x_mm"] + half, middle)
        if clear is None or left is None or right is None:
            yield f"{m['mark']} does not stand in the clear"
            continue
        most_bottom, least_top = max(left[0], right[0]), min(left[1], right[1])
        short = wall.short + (rules["deflection_head_gap_mm"] if wall.wall["head_moves"] else 0)
        if m["top_mm"] > clear[1] - wall.short + LENGTH:
            yield f"{m['mark']} is {clear[1] - m['top_mm']:.1f} mm short of its height, {wall.short} wanted"
        if m["top_mm"] < min(clear[1], least_top) - short - 1.5:
            yield f"{m['mark']} ends {clear[1] - m['top_mm']:.1f} mm below what is above it"
        if m["bottom_mm"] < clear[0] - LENGTH or m["bottom_mm"] > max(clear[0], most_bottom) + 1.5:
            yield f"{m['mark']} starts at {m['bottom_mm']:.1f} mm, the clear height at {clear[0]:.1f} mm"
        if m["top_mm"] > head_at(wall, m["x_mm"]) - short + LENGTH:
            yield f"{m['mark']} leaves a moving head too little room"


def clear_at(wall: Sight, x: float, y: float) -> tuple[float, float] | None:
    """The free stretch of the plumb line at x that holds y."""
    _, low, _, high = wall.free.bounds
    for part in shapely.get_parts(wall.free.intersection(LineString([(x, low - 1), (x, high + 1)]))):
        if part.geom_type == "LineString" and part.bounds[1] <= y <= part.bounds[3]:
            return part.bounds[1], part.bounds[3]
    return None


def head_at(wall: Sight, x: float) -> float:
    """The outline's height at x."""
    _, low, _, high = wall.outline.bounds
    return float(wall.outline.intersection(LineString([(x, low - 1), (x, high + 1)])).bounds[3])


def check_bars(wall: Sight) -> Faults:
    """Bars make up their members at the lengths stated, splices overlap, no member stands in another."""
    of_member = defaultdict(list)
    for b in wall.plan["bars"]:
        distance = hypot(b["bx_mm"] - b["ax_mm"], b["by_mm"] - b["ay_mm"])
        skew = sum(tan(radians(abs(b[f"skew_{end}_deg"]))) * b["face_mm"] for end in "ab")
        if b["length_mm"] < distance - 1.5 or (b["member"] and b["length_mm"] > distance + skew + 1.5):
            yield f"bar {b['mark']} is cut to {b['length_mm']} mm, its place is {distance:.1f} mm long"
        if b["member"]:
            of_member[b["member"]].append(b)
    for m in wall.members:
        bars = of_member.pop(m["mark"], [])
        spans = [tuple(sorted((b["ay_mm"], b["by_mm"]))) for b in bars]
        if uncovered(m["bottom_mm"], m["top_mm"], spans):
            yield f"{m['mark']} is not made up of its bars over its whole height"
        if any(
            abs(b["ax_mm"] - b["bx_mm"]) > LENGTH or abs(b["ax_mm"] - m["x_mm"]) > m["face_mm"] / 2
            for b in bars
        ):
            yield f"a bar of {m['mark']} stands beside it"
        yield from check_splices(wall, m, bars)
    for mark in of_member:
        yield f"bars belong to {mark}, which is no member"
    yield from overlapping(wall)


def check_splices(wall: Sight, member: Json, bars: list[Json]) -> Faults:
    lines = defaultdict(list)
    for b in bars:
        lines[
            b["ax_mm"], b["mark"][len(member["mark"]) :][:1] in "LR" and b["mark"][len(member["mark"]) :][:1]
        ].append(b)
    for line in lines.values():
        profile = wall.practice["profiles"].get(line[0]["item"])
        for one, two in pairwise(sorted(line, key=lambda b: b["ay_mm"])):
            overlap = one["by_mm"] - two["ay_mm"]
            if profile and overlap < profile["splice_overlap_mm"] - 1.5:
                wanted = profile["splice_overlap_mm"]
                yield f"{member['mark']}: a splice overlaps {overlap:.0f} mm, {wanted} mm wanted"


def overlapping(wall: Sight) -> Faults:
    """No two members stand in one another."""
    for k, m in enumerate(wall.members):
        for n in wall.members[k + 1 :]:
            if n["x_mm"] - n["face_mm"] / 2 >= m["x_mm"] + m["face_mm"] / 2 - LENGTH:
                if n["x_mm"] - m["x_mm"] > 1000:
                    break
                continue
            if min(m["top_mm"], n["top_mm"]) - max(m["bottom_mm"], n["bottom_mm"]) > LENGTH:
                yield f"{m['mark']} and {n['mark']} stand in one another"


def check_brackets(wall: Sight) -> Faults:
    """Every channel of a bracketed lining is held at lawful spacing, within reach of the wall."""
    if wall.lining["way"] != "bracketed":
        if wall.plan["brackets"]:
            yield "brackets on a lining that stands free"
        return
    rules, held = wall.rules, defaultdict(list)
    for b in wall.plan["brackets"]:
        m, sort = wall.member.get(b["member"]), wall.practice["brackets"][b["item"]]
        if m is None or abs(m["x_mm"] - b["x_mm"]) > 1 or not m["bottom_mm"] <= b["y_mm"] <= m["top_mm"]:
            yield f"{b['mark']} is not on its channel"
            continue
        held[m["mark"]].append(b["y_mm"])
        reaches = sort["reach_min_mm"] <= b["projection_mm"] <= sort["reach_max_mm"]
        if not reaches and not any(
            f["code"] == "L301" and abs(f["x_mm"] - b["x_mm"]) <= 1 and abs(f["y_mm"] - b["y_mm"]) <= 1
            for f in wall.plan["findings"]
        ):
            yield f"{b['mark']} must project {b['projection_mm']} mm and cannot"
    for m in wall.members:
        if m["role"] == "side track" or wall.found({"L302"}, m["x_mm"]):
            continue
        ys = sorted(held[m["mark"]])
        if not ys:
            yield f"{m['mark']} is held by no bracket"
            continue
        if max((b - a for a, b in pairwise(ys)), default=0) > rules["bracket_spacing_max_mm"]:
            yield f"{m['mark']}: brackets more than {rules['bracket_spacing_max_mm']} mm apart"
        ends = max(ys[0] - m["bottom_mm"], m["top_mm"] - ys[-1])
        if ends > rules["bracket_end_distance_max_mm"] + LENGTH:
            yield f"{m['mark']}: {ends:.0f} mm from an end to the first bracket"


def check_fixings(wall: Sight) -> Faults:
    """Perimeter profiles are fixed at lawful spacing, near both ends."""
    rules = wall.rules
    for line in wall.plan["fixings"]:
        bar = wall.bar.get(line["bar"])
        if bar is None:
            yield f"fixings of {line['bar']}, which is no bar"
            continue
        upright = bool(bar["member"])
        limit = rules["end_fixing_spacing_max_mm" if upright else "track_fixing_spacing_max_mm"]
        apart = max((hypot(b[0] - a[0], b[1] - a[1]) for a, b in pairwise(line["places_mm"])), default=0)
        if apart > limit + 1.5:
            yield f"fixings of {line['bar']} are {apart:.0f} mm apart, {limit} mm allowed"
    fixed = {line["bar"] for line in wall.plan["fixings"]}
    for b in wall.plan["bars"]:
        if (
            b["role"] in ("floor track", "head track")
            and b["mark"] not in fixed
            and not beside_free_edge(wall, b)
        ):
            yield f"{b['mark']} is not fixed"


def beside_free_edge(wall: Sight, bar: Json) -> bool:
    """Whether a track runs along a free edge of the outline, where there is nothing to fix to."""
    middle = Point((bar["ax_mm"] + bar["bx_mm"]) / 2, (bar["ay_mm"] + bar["by_mm"]) / 2)
    return any(
        meets in FREE and LineString([a, b]).distance(middle) <= bar["face_mm"]
        for (a, b), meets in zip(sides(wall.wall["outline"]), wall.wall["meets"], strict=True)
    )


# --- joints -----------------------------------------------------------------------------------------


def panel_of(wall: Sight, x: float) -> int:
    return next((k for k, g in enumerate(wall.plan["grids"]) if g["from_mm"] <= x <= g["to_mm"]), -1)


def check_upright_joints(wall: Sight) -> Faults:
    """Joints keep clear of jambs and of the joints of the next layer."""
    rules, clear = wall.rules, wall.rules["jamb_clear_mm"]
    width = min(wall.practice["boards"][item]["width_mm"] for item in wall.lining["boards"])
    offset = min(int(width / wall.lining["bays_per_board"]), rules["layer_joint_offset_min_mm"])
    before: list[float] = []
    for layer in wall.layers:
        places = sorted({x for x, _, _ in joints_of(wall.of_layer(layer), upright=True)})
        for x in places:
            if not any(abs(x - said) <= LENGTH for said in wall.plan["vertical_joints_mm"][layer - 1]):
                yield f"layer {layer}: a joint at x = {x} mm is not listed"
            for o in wall.wall["openings"]:
                for jamb in edges_of(o)[::2]:
                    inside = panel_of(wall, jamb) == panel_of(wall, x)
                    if abs(x - jamb) < clear and inside and not wall.found({"L201"}, x, layer):
                        yield f"layer {layer}: joint at x = {x} mm, {abs(x - jamb)} mm off {o['id']}"
            for other in before:
                near = abs(x - other) < offset and panel_of(wall, x) == panel_of(wall, other)
                if near and not wall.found({"L204"}, x, layer) and not wall.found({"L204"}, other, layer - 1):
                    yield f"layer {layer}: joint at x = {x} mm, {abs(x - other)} mm off the layer below's"
        before = places


def check_cross_joints(wall: Sight) -> Faults:
    """Cross joints are staggered against neighbours and the layer below, and clear of heads and sills."""
    stagger, clear = wall.rules["cross_joint_stagger_min_mm"], wall.rules["head_clear_mm"]
    before: list[tuple[float, float, float]] = []
    for layer in wall.layers:
        joints = joints_of(wall.of_layer(layer), upright=False)

        def listed(code: str, a: float, b: float, layer: int = layer) -> bool:
            return any(
                f["code"] == code and f["layer"] in (layer, layer - 1) and a - 1 <= f["x_mm"] <= b + 1
                for f in wall.plan["findings"]
            )

        for k, (y, a, b) in enumerate(joints):
            for z, c, d in joints[k + 1 :]:
                touching = abs(b - c) <= LENGTH or abs(d - a) <= LENGTH
                if touching and abs(y - z) < stagger and not listed("L205", min(a, c), max(b, d)):
                    yield f"layer {layer}: cross joints at y = {y} and {z} mm side by side, {stagger} wanted"
            for z, c, d in before:
                if (
                    min(b, d) > max(a, c)
                    and abs(y - z) < stagger
                    and not listed("L204", min(a, c), max(b, d))
                ):
                    yield f"layer {layer}: cross joint at y = {y} mm over one at {z} mm in the layer below"
            for o in wall.wall["openings"]:
                left, sill, right, head = edges_of(o)
                for level in (sill, head):
                    over = a < right and b > left
                    if over and abs(y - level) < clear and not listed("L202", a, b):
                        yield f"layer {layer}: cross joint at y = {y} mm is in line with {o['id']}"
        before = joints


# --- stock, filling ---------------------------------------------------------------------------------


def check_stock(wall: Sight) -> Faults:
    """Every piece can be cut from something that is sold."""
    goods = wall.practice
    for b in wall.plan["bars"]:
        stocks = goods["profiles"].get(b["item"], {}).get("stock_lengths_mm", [b["length_mm"]])
        if b["length_mm"] > max(stocks):
            yield f"bar {b['mark']} of {b['length_mm']} mm is longer than any stock"
    for b in wall.plan["boards"]:
        sort = goods["boards"][b["item"]]
        if b["width_mm"] > sort["width_mm"] + 0.01:
            yield f"board {b['mark']} is {b['width_mm']} mm wide, sold {sort['width_mm']} mm wide"
        if b["length_mm"] > max(sort["lengths_mm"]) + 0.01:
            yield f"board {b['mark']} of {b['length_mm']} mm is longer than any stock"
    for s in wall.plan["slabs"]:
        sort = goods["insulation"][s["item"]]
        left, low, right, high = Polygon(s["ring"]).bounds
        place = sorted((right - left, high - low))
        cut = sorted((s["width_mm"], s["length_mm"]))
        whole = sorted((sort["width_mm"], sort["length_mm"]))
        if cut[0] > whole[0] or cut[1] > whole[1]:
            yield f"slab {s['mark']} is larger than a slab"
        if place[0] > cut[0] + LENGTH or place[1] > cut[1] + LENGTH:
            yield f"slab {s['mark']} is smaller than its place"
    for s in wall.plan["membrane"]:
        if s["width_mm"] > goods["membranes"][s["item"]]["width_mm"]:
            yield f"strip {s['mark']} is wider than the roll"


def check_filling(wall: Sight) -> Faults:
    """Insulation lies once and inside the wall; the vapour control layer covers what boards cover."""
    outline = wall.outline.buffer(0.01)
    in_lining = [s for s in wall.plan["slabs"] if s["plane"] == "face"]
    for layer in {s["layer"] for s in in_lining}:
        shapes = [Polygon(s["ring"]) for s in in_lining if s["layer"] == layer]
        union = shapely.union_all(shapes)
        if sum(shape.area for shape in shapes) - union.area > 1 + 0.002 * union.length:
            yield f"insulation layer {layer}: slabs overlap"
        if union.difference(outline).area > 1:
            yield f"insulation layer {layer} reaches beyond the wall"
    if wall.lining["membrane"]:
        sheet = shapely.union_all([Polygon(s["ring"], s["holes"]) for s in wall.plan["membrane"]])
        # Boards over the edge of an insulated reveal lie on the sheet as it turns into the opening.
        bare = wall.area.intersection(wall.free).difference(sheet).area
        if bare > 1 + 0.002 * wall.area.length:
            yield f"the vapour control layer leaves {bare:.0f} mm2 bare"


# --- the building -----------------------------------------------------------------------------------


def check_marks(document: Json) -> list[str]:
    """No mark stands for two pieces."""
    marks = Counter(
        piece["mark"]
        for plan in document["walls"]
        for kind in ("bars", "boards", "brackets", "slabs", "membrane")
        for piece in plan[kind]
    )
    return [f"mark {mark} stands for {number} pieces" for mark, number in marks.items() if number > 1]


def ring_area(ring: list[Place]) -> float:
    return abs(sum(a[0] * b[1] - b[0] * a[1] for a, b in sides(ring))) / 2


def sheet_area(piece: Json) -> float:
    return ring_area(piece["ring"]) - sum(ring_area(hole) for hole in piece["holes"])


def place_of(run: Json) -> tuple[str, str, str]:
    """Group, item and use of a run in the takeoff."""
    if run["kind"] in JOINT_KINDS:
        return "joints", run["kind"], f"layer {run['layer']}" if run["layer"] else "all layers"
    return "beads" if "bead" in run["kind"] else "sealing", run["item"], run["kind"]


def kind_of(plane: str, layer: str) -> str:
    """What the takeoff says of a piece in a plane."""
    if plane == "face":
        return layer
    return f"{'flank' if plane.endswith(' flank') else 'reveal'}, {layer}"


def measured(document: Json) -> dict[tuple[str, str, str, str], list[float]]:
    """Quantity and number of pieces by (group, item, use, wall), straight from the places."""
    sums: dict[tuple[str, str, str, str], list[float]] = defaultdict(lambda: [0.0, 0])

    def add(group: str, item: str, use: str, wall: str, quantity: float, number: int = 1) -> None:
        entry = sums[group, item, use, wall]
        entry[0] += quantity
        entry[1] += number

    consumables, rates = document["practice"]["consumables"], document["takeoff"]["rates"]
    for plan in document["walls"]:
        wall = plan["wall"]["id"]
        for b in plan["bars"]:
            single = b["item"] in consumables and consumables[b["item"]]["unit"] == "piece"
            add("frame", b["item"], b["role"], wall, 1 if single else b["length_mm"])
        for b in plan["boards"]:
            use = kind_of(b["plane"], f"layer {b['layer']}")
            add("boards", b["item"], use, wall, sheet_area(b))
        beside = [p for p in (*plan["boards"], *plan["slabs"]) if p["plane"] != "face"]
        bedded = sum(ring_area(p["ring"]) for p in beside)
        if bedded:
            add("jointing", "", "bedding of reveals", wall, bedded * rates["bedding_kg_m2"] / 1e6)
        for s in plan["slabs"]:
            where = kind_of(s["plane"], f"layer {s['layer']}").partition(",")[0]
            add("insulation", s["item"], where, wall, ring_area(s["ring"]))
        for s in plan["membrane"]:
            add("membrane", s["item"], "vapour control", wall, s["width_mm"] * s["length_mm"])
        for b in plan["brackets"]:
            add("brackets", b["item"], "bracket", wall, 1)
            add("sealing", "", "under brackets", wall, rates["strip_per_bracket_mm"])
        for line in plan["screws"]:
            number = len(line["places_mm"])
            add("fixings", line["item"], f"boards, layer {line['layer']}", wall, number, number)
        for line in plan["fixings"]:
            add("fixings", line["item"], "perimeter", wall, len(line["places_mm"]), len(line["places_mm"]))
        for run in plan["runs"]:
            add(*place_of(run), wall, run["length_mm"])
    return sums


def check_takeoff(document: Json) -> list[str]:
    """What is taken off is what is placed; what is bought holds what is cut."""
    takeoff, faults = document["takeoff"], []
    lines = {
        (line["group"], line["item"], line["use"], share["place"]): (share["quantity"], share["count"])
        for line in takeoff["lines"]
        for share in line["by_wall"]
    }
    for key, (quantity, number) in measured(document).items():
        key = (
            key if key[1] else next((k for k in lines if (k[0], k[2], k[3]) == (key[0], key[2], key[3])), key)
        )
        said = lines.get(key, (0, 0))
        close = 0.01 if key[0] == "jointing" else 5  # kg, or mm and mm2
        if not isclose(said[0], quantity, rel_tol=1e-6, abs_tol=close) or said[1] != number:
            faults.append(
                f"takeoff: {' / '.join(key)} is {quantity:.0f} ({number}), said {said[0]} ({said[1]})"
            )
    faults += [
        f"takeoff: shares of {line['item']} ({line['use']}) do not add up"
        for line in takeoff["lines"]
        for shares in (line["by_wall"], line["by_room"])
        if not isclose(sum(s["quantity"] for s in shares), line["quantity"], rel_tol=1e-6, abs_tol=0.01)
    ]
    return faults + check_purchases(document) + check_cut_lists(document)


def check_purchases(document: Json) -> list[str]:
    """Packs make what is bought; that is no less than what is built and than the bound."""
    faults = []
    used = {line["item"] for line in document["takeoff"]["lines"] if line["group"] != "joints"} - {
        "penetration"
    }
    for p in document["takeoff"]["purchases"]:
        used.discard(p["item"])
        if not p["special"] and p["bought"] < max(p["net"], p["lower_bound"]) - 1:
            faults.append(f"purchase of {p['item']}: {p['bought']} bought, {p['net']} needed")
        packs = sum(pack["size"] * pack["count"] for pack in p["packs"])
        if p["unit"] == p["pack_unit"] and not isclose(packs, p["bought"], abs_tol=0.01):
            faults.append(f"purchase of {p['item']}: the packs do not make what is bought")
    return faults + [f"{item} is used but not bought" for item in sorted(used)]


def check_cut_lists(document: Json) -> list[str]:
    """Every piece is cut once, from a bar or board that holds it and can be bought."""
    goods, faults = document["practice"], []
    takeoff, kerf = document["takeoff"], document["takeoff"]["rates"]["kerf_mm"]
    bars = {b["mark"]: b for plan in document["walls"] for b in plan["bars"]}
    boards = {b["mark"]: b for plan in document["walls"] for b in plan["boards"]}
    cut = Counter(p["mark"] for stock in takeoff["bars"] + takeoff["boards"] for p in stock["pieces"])
    special = sum(p["special"] for p in takeoff["purchases"])
    by_length = {
        m for m, b in bars.items() if goods["consumables"].get(b["item"], {}).get("unit", "mm") == "mm"
    }
    missing = (by_length | boards.keys()) - cut.keys()
    if len(missing) > special:
        faults.append(f"not on a cut list: {', '.join(sorted(missing)[:5])}")
    faults += [f"cut list: {mark} is cut {number} times" for mark, number in cut.items() if number > 1]
    faults += [f"cut list: {mark} is placed nowhere" for mark in cut.keys() - bars.keys() - boards.keys()]
    for bar in takeoff["bars"]:
        needed = sum(p["length_mm"] for p in bar["pieces"]) + kerf * (len(bar["pieces"]) - 1)
        if needed > bar["stock_mm"]:
            faults.append(f"cut list: bar {bar['number']} of {bar['item']} is too short")
        if (
            bar["item"] in goods["profiles"]
            and bar["stock_mm"] not in goods["profiles"][bar["item"]]["stock_lengths_mm"]
        ):
            faults.append(f"cut list: {bar['item']} of {bar['stock_mm']} mm cannot be bought")
        faults += [
            f"cut list: {p['mark']} is {p['length_mm']} mm, placed as {bars[p['mark']]['length_mm']} mm"
            for p in bar["pieces"]
            if p["mark"] in bars and p["length_mm"] != bars[p["mark"]]["length_mm"]
        ]
    for board in takeoff["boards"]:
        faults += check_cut_board(board, goods["boards"][board["item"]], boards)
    return faults


def check_cut_board(board: Json, sort: Json, placed: Json) -> list[str]:
    """Pieces lie inside their board and clear of one another, at their true shape, and no cut spoils one."""
    name, faults = f"cut list: board {board['number']} of {board['item']}", []
    if board["stock_mm"] not in sort["lengths_mm"]:
        faults.append(f"{name}: {board['stock_mm']} mm cannot be bought")
    shapes = []
    for p in board["pieces"]:
        true = placed.get(p["mark"])
        shapes.append(lying(p, true))
        if true is None:
            continue
        if abs(p["width_mm"] - true["width_mm"]) > 0.01 or abs(p["length_mm"] - true["length_mm"]) > 0.01:
            faults.append(f"{name}: {p['mark']} has another size where it is placed")
        if not at_factory_edge(p, true, sort["width_mm"]):
            faults.append(f"{name}: {p['mark']} is not at its factory edge")
    whole = box(0, 0, sort["width_mm"], board["stock_mm"]).buffer(0.01)
    shapes = [shape if shape.is_valid else shape.buffer(0) for shape in shapes]  # told with its wall
    union = shapely.union_all(shapes)
    if not whole.covers(union):
        faults.append(f"{name}: a piece reaches beyond it")
    if sum(shape.area for shape in shapes) - union.area > 10:
        faults.append(f"{name}: pieces overlap")
    return faults + [f"{name}: {fault}" for fault in check_cuts(board, shapes, whole)]


def check_cuts(board: Json, shapes: list[Polygon], whole: Polygon) -> Faults:
    """No cut goes through a piece, and what is said to be left over is."""
    inner = [shape.buffer(-1.5) for shape in shapes]
    for cut in board["cuts"]:
        line = LineString([(cut["ax_mm"], cut["ay_mm"]), (cut["bx_mm"], cut["by_mm"])])
        if not whole.covers(line) or any(line.intersects(shape) for shape in inner):
            yield "a cut goes through a piece"
    union = shapely.union_all(shapes)
    for o in board["offcuts"]:
        left = box(o["x_mm"], o["y_mm"], o["x_mm"] + o["width_mm"], o["y_mm"] + o["length_mm"])
        if not whole.covers(left) or left.intersection(union).area > 10:
            yield "an offcut lies over a piece"


def at_factory_edge(piece: Json, placed: Json, width: float) -> bool:
    """Each long edge that must be a factory edge lies at one; of a narrower piece one of two is enough."""
    ends = [abs(piece["x_mm"]) < 0.01, abs(piece["x_mm"] + piece["width_mm"] - width) < 0.01]
    if piece["within"]:
        ends = [False, False]
    if piece["turned_deg"]:
        ends.reverse()
    bound = [placed["left_bound"], placed["right_bound"]]
    if all(bound) and placed["width_mm"] < width - 0.01:
        return any(ends)
    return all(there or not wanted for wanted, there in zip(bound, ends, strict=True))


def lying(piece: Json, placed: Json | None) -> Polygon:
    """A piece as it lies on its board: the shape on the wall moved there and, if so, turned by half."""
    x, y, width, length = piece["x_mm"], piece["y_mm"], piece["width_mm"], piece["length_mm"]
    if placed is None:
        return box(x, y, x + width, y + length)
    left, low = min(p[0] for p in placed["ring"]), min(p[1] for p in placed["ring"])

    def moved(ring: list[Place]) -> list[tuple[float, float]]:
        if piece["turned_deg"]:
            return [(x + width - (a - left), y + length - (b - low)) for a, b in ring]
        return [(x + a - left, y + b - low) for a, b in ring]

    return Polygon(moved(placed["ring"]), [moved(hole) for hole in placed["holes"]])


def main(arguments: list[str]) -> int:
    """Check one file; 0: all promises kept, 1: some broken, 2: not called with one file."""
    if len(arguments) != 1:
        sys.stderr.write("usage: python -m tests.independent.check_plan plan.json\n")
        return 2
    document = json.loads(Path(arguments[0]).read_text(encoding="utf-8"))
    if (document.get("format"), document.get("version")) != ("innerleaf-plan", 1):
        sys.stderr.write("not a plan of version 1\n")
        return 2
    faults = check(document)
    sys.stdout.write("\n".join(faults or [f"{len(document['walls'])} walls: every promise kept"]) + "\n")
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
