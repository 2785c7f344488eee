"""The checker finds faults in runs, bar places, cut-outs, depths, filling, skews and untold misses."""

from __future__ import annotations

import copy

import pytest
from tests.independent.check_plan import check
from tests.independent.spoil import Json, Mutation, change, piece, wall_of, without


def move_run(kind: str, right: float, up: float) -> Mutation:
    def mutate(plan: Json) -> None:
        run = piece(plan["runs"], kind=kind)
        for end in "ab":
            run[f"{end}x_mm"] += right
            run[f"{end}y_mm"] += up

    return mutate


def in_window(plan: Json) -> None:
    """The sill member above its own window's edge."""
    piece(plan["bars"], role="sill member").update(ay_mm=920, by_mm=920)


def narrow_lap(plan: Json) -> None:
    """The second strip starts 40 mm before the first one ends; nothing is bare."""
    strip = piece(plan["membrane"], mark="W-01/V02")
    strip["ring"] = [[max(x, 1960), y] for x, y in strip["ring"]]


def move_joint(plan: Json, x: float, to: float) -> None:
    for b in plan["boards"]:
        b["ring"] = [[to if px == x else px, y] for px, y in b["ring"]]


def low_piece(plan: Json) -> None:
    """A piece of 150 mm at the foot of the last board, with a cross joint over it."""
    board = piece(plan["boards"], mark="W-01/104")
    foot = copy.deepcopy(board)
    board["ring"] = [[x, max(y, 160)] for x, y in board["ring"]]
    foot.update(mark="W-01/199", ring=[[x, min(y, 160)] for x, y in foot["ring"]])
    plan["boards"].append(foot)


def load(mass: float, x: float = 200) -> Mutation:
    hung = {"id": "H1", "x_mm": x, "y_mm": 1500, "width_mm": 600, "mass_kg": mass, "depth_mm": 200}
    return lambda plan: plan["wall"]["loads"].append(hung)


def box_moved(x: float, y: float) -> Mutation:
    """The box and its hole and mention; a finding nowhere."""

    def mutate(plan: Json) -> None:
        for found in (plan["wall"]["boxes"], plan["penetrations"]):
            found[0].update(x_mm=x, y_mm=y)
        for board in plan["boards"]:
            for cut in board["cutouts"]:
                cut.update(x_mm=x, y_mm=y)

    return mutate


SPOILT: dict[str, tuple[str, Mutation, str]] = {
    "joint run beside the joint": ("W-01", move_run("tapered joint", 5, 0), "tapered joint from (905, 10)"),
    "joint run of another layer": ("W-01", change("runs", "layer", 2, kind="tapered joint"), "none belongs"),
    "bead off the edge": ("W-01", move_run("edge bead", 0, -60), "edge bead from (1200, 840)"),
    "perimeter joint off the edge": (
        "W-01",
        move_run("perimeter joint", 0, 60),
        "perimeter joint from (5, 70)",
    ),
    "sealant across the wall": ("W-02", move_run("sealant", 0, 700), "sealant from"),
    "strip across the wall": ("W-02", move_run("sealing strip", 0, 700), "sealing strip from"),
    "tape beside the lap": ("W-01", move_run("membrane lap", 60, 0), "membrane lap from"),
    "membrane sealed off its edge": ("W-02", move_run("membrane seal", 30, 30), "membrane seal from"),
    "movement bead off the joint": ("W-04", move_run("movement bead", 25, 0), "movement bead from"),
    "run longer than drawn": ("W-01", change("runs", "length_mm", 9999, kind="edge bead"), "said 9999 mm"),
    "joint not filled": ("W-01", without("runs", kind="tapered joint"), "of board joints are not filled"),
    "edge not finished": ("W-01", without("runs", kind="perimeter joint"), "boards' edges are not finished"),
    "sill member in the window": ("W-01", in_window, "W-01/P01 lies out of the clear"),
    "track above the ceiling": ("W-01", change("bars", "ay_mm", 2500, mark="W-01/H01"), "W-01/H01 lies out"),
    "rake cut square": (
        "W-03",
        change("bars", "skew_b_deg", 0.0, mark="W-03/S01b"),
        "is skew by 0.0 degrees",
    ),
    "level end cut skew": ("W-01", change("bars", "skew_a_deg", 5.0, mark="W-01/S01"), "0.0 wanted"),
    "fixing into nothing": (
        "W-01",
        change("fixings", "places_mm", lambda p: [[1800, 1200], *p], bar="W-01/F01"),
        "1 fixings of W-01/F01 go into nothing",
    ),
    "bracket 2 mm too short": ("W-02", change("brackets", "projection_mm", lambda p: p - 2), "mm away"),
    "cut-out forgotten": ("W-01", change("boards", "cutouts", [], mark="W-01/202"), "has 0 cut-outs for B1"),
    "cut-out too small": (
        "W-01",
        change("boards", "cutouts", lambda c: [{**c[0], "diameter_mm": 50}], mark="W-01/101"),
        "W-01/101 has 0 cut-outs for B1",
    ),
    "cut-out of nothing": (
        "W-01",
        change(
            "boards",
            "cutouts",
            [{"of": "B9", "x_mm": 2900, "y_mm": 300, "diameter_mm": 68}],
            mark="W-01/104",
        ),
        "where there is none",
    ),
    "penetration forgotten": ("W-01", lambda plan: plan["penetrations"].clear(), "is not listed just once"),
    "penetration twice": (
        "W-01",
        lambda plan: plan["penetrations"].append(plan["penetrations"][0]),
        "is not listed just once",
    ),
    "membrane not pierced": (
        "W-01",
        change("penetrations", "pierces_membrane", False),
        "is not listed just once",
    ),
    "bay left empty": ("W-01", without("slabs", mark="W-01/W01"), "leaves 540000 mm2 empty"),
    "all wool forgotten": ("W-01", lambda plan: plan["slabs"].clear(), "insulation layer 1 leaves"),
    "frame not covered": (
        "W-01",
        change("membrane", "ring", [[4, 0], [2000, 0], [2000, 2500], [4, 2500]], mark="W-01/V01"),
        "of the frame bare",
    ),
    "lap too narrow": ("W-01", narrow_lap, "overlaps the next by 40 mm"),
    "narrow strip not told": ("W-01", lambda plan: move_joint(plan, 2700, 3400), "is a strip of 195 mm"),
    "low piece not told": ("W-01", low_piece, "W-01/199 is 150 mm high"),
    "box on a stud not told": ("W-01", box_moved(470, 300), "meets W-01/S02"),
    "box off the wall not told": ("W-01", box_moved(2380, 1500), "is not wholly on the lining"),
    "heavy load not told": ("W-01", load(60), "hangs 981 N on a metre"),
    "load in the window not told": ("W-01", load(10, 1000), "H1 is not wholly on the lining"),
    "question not told": (
        "W-01",
        lambda plan: plan["wall"]["questions"].append("is it damp?"),
        "is it damp?",
    ),
}


@pytest.mark.parametrize("name", SPOILT)
def test_a_fault_is_found(name: str, by_hand: Json, planned: Json) -> None:
    wall, mutate, word = SPOILT[name]
    document = copy.deepcopy(by_hand if wall == "W-01" else planned)
    assert not any(word in sentence for sentence in check(document))

    mutate(wall_of(document, wall))

    said = check(document)
    assert any(sentence.startswith(f"wall {wall}") and word in sentence for sentence in said), said
