"""The checker lets a good plan pass and finds every kind of fault put into one.

A checker that cannot fail proves nothing: each row of the table spoils one thing and names a word of
the sentence that must come.
"""

from __future__ import annotations

import ast
import copy
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from tests.independent.check_plan import check, main
from tests.independent.spoil import Json, Mutation, change, wall_of, without
from tests.small_plan import Head, small_plan

from innerleaf.plan_file import write_plan
from innerleaf.practice.model import Practice
from innerleaf.takeoff import take_off

CHECKER = [*Path(__file__).parent.glob("check_*.py"), Path(__file__).with_name("sight.py")]


def test_a_good_plan_passes(by_hand: Json, planned: Json) -> None:
    """By hand and by the engine."""
    assert check(by_hand) == []
    assert check(planned) == []


def move_board(plan: Json) -> None:
    board = plan["boards"][0]
    board["ring"] = [[x + 1, y] for x, y in board["ring"]]


def grow_hole(plan: Json) -> None:
    plan["boards"][0]["holes"] = [[[200, 300], [210, 300], [210, 310], [200, 310]]]


def cut_short(plan: Json) -> None:
    board = plan["boards"][0]
    board["ring"] = [[x, min(y, 1000)] for x, y in board["ring"]]


def no_stud_at(x: float) -> Callable[[Json], None]:
    def mutate(plan: Json) -> None:
        gone = {m["mark"] for m in plan["members"] if m["x_mm"] == x}
        plan["members"] = [m for m in plan["members"] if m["mark"] not in gone]
        plan["bars"] = [b for b in plan["bars"] if b["member"] not in gone]
        plan["screws"] = [s for s in plan["screws"] if s["support"] not in gone]

    return mutate


def shift_stud(x: float, by: float) -> Callable[[Json], None]:
    def mutate(plan: Json) -> None:
        for m in plan["members"]:
            if m["x_mm"] == x:
                m["x_mm"] = x + by
        for b in plan["bars"]:
            if b["member"] and b["ax_mm"] == x:
                b["ax_mm"] = b["bx_mm"] = x + by

    return mutate


def joint_moved(layer: int, x: float, to: float) -> Callable[[Json], None]:
    """Move a joint with its stud, its listing and its screws, so that only the rule of joints is broken."""

    def mutate(plan: Json) -> None:
        for b in plan["boards"]:
            if b["layer"] == layer:
                b["ring"] = [[to if px == x else px, y] for px, y in b["ring"]]
        joints = plan["vertical_joints_mm"][layer - 1]
        joints[joints.index(x)] = to
        shift_stud(x, to - x)(plan)

    return mutate


SPOILT: dict[str, tuple[Mutation, str]] = {
    "board moved by 1 mm": (move_board, "overlap by"),
    "hole in a board": (grow_hole, "are bare"),
    "board cut off": (cut_short, "are bare"),
    "board left out": (without("boards", layer=2, mark="W-01/203"), "are bare"),
    "board crosses itself": (
        change("boards", "ring", [[5, 10], [900, 2495], [900, 10], [5, 2495]], mark="W-01/101"),
        "crosses itself",
    ),
    "board beyond the wall": (
        change("boards", "ring", [[0, 10], [900, 10], [900, 2495], [0, 2495]], mark="W-01/101"),
        "beyond the wall area",
    ),
    "board of a third layer": (change("boards", "layer", 3, mark="W-01/101"), "is of a layer"),
    "board wider than sold": (change("boards", "width_mm", 1300, mark="W-01/101"), "sold 1200 mm wide"),
    "board longer than sold": (change("boards", "length_mm", 3100, mark="W-01/101"), "longer than any stock"),
    "board twice": (lambda plan: plan["boards"].append(plan["boards"][0]), "stands for 2 pieces"),
    "board size misstated": (change("boards", "width_mm", 894, mark="W-01/101"), "said 894"),
    "area misstated": (lambda plan: plan["board_area"][0][1].clear(), "board_area differs"),
    "window forgotten": (lambda plan: plan["wall"]["openings"].clear(), "are bare"),
    "gap forgotten": (lambda plan: plan["gaps"].update(floor_mm=9), "are bare"),
    "joint off its stud": (shift_stud(900, 2), "is off the members"),
    "stud under a joint left out": (no_stud_at(900), "is off the members"),
    "end stud left out": (no_stud_at(25), "edge of W-01/101 at x = 5"),
    "jamb stud left out": (no_stud_at(1175), "at x = 1200"),
    "screw beside the stud": (change("screws", "at_mm", lambda x: x + 40), "miss W-01/S"),
    "screw near the edge": (change("screws", "at_mm", lambda x: x - 12, at_mm=25), "from an edge"),
    "screw out of the board": (change("screws", "places_mm", lambda p: [0, *p]), "outside the board"),
    "screws too far apart": (
        change("screws", "places_mm", lambda p: [p[0], p[-1]], layer=2, support="W-01/S01"),
        "mm apart, 250 mm allowed",
    ),
    "screws out of order": (change("screws", "places_mm", lambda p: p[::-1]), "are not in order"),
    "screws left out": (without("screws", layer=2, at_mm=2700), "is not screwed to"),
    "screws stop half way": (
        change("screws", "places_mm", lambda p: p[: len(p) // 2], layer=2, support="W-01/S01"),
        "is not screwed to the ends",
    ),
    "screws into nothing": (change("screws", "support", "W-01/S99"), "which is no member"),
    "screws of no board": (change("screws", "board", "W-01/999"), "no board of layer"),
    "spacing rule closer": (
        lambda plan: plan["wall"]["lining"].update(tiled=True, boards=["board-A-12.5"]),
        "span",
    ),
    "stud too long": (change("members", "top_mm", 2495, mark="W-01/S01"), "short of its height"),
    "stud too short": (change("members", "top_mm", 2400, mark="W-01/S01"), "below what is above it"),
    "stud off the floor": (change("members", "bottom_mm", 30, mark="W-01/S01"), "starts at 30"),
    "stud in the window": (shift_stud(1175, 100), "does not stand in the clear"),
    "studs in one another": (shift_stud(1175, 140), "stand in one another"),
    "bar cut short": (change("bars", "length_mm", 2400, mark="W-01/S01"), "is cut to 2400"),
    "bar left out": (without("bars", mark="W-01/S01"), "is not made up of its bars"),
    "bar beside its stud": (change("bars", "ax_mm", 90, mark="W-01/S01"), "stands beside it"),
    "bar of no stud": (change("bars", "member", "W-01/S99", mark="W-01/S01"), "which is no member"),
    "bar longer than stock": (change("bars", "length_mm", 7000, mark="W-01/F01"), "longer than any stock"),
    "fixings too far apart": (change("fixings", "places_mm", lambda p: [p[0], p[-1]]), "are 3400 mm apart"),
    "fixings of no bar": (change("fixings", "bar", "W-01/F99"), "which is no bar"),
    "track not fixed": (without("fixings", bar="W-01/F01"), "W-01/F01 is not fixed"),
    "joint at the jamb": (joint_moved(1, 900, 1100), "100 mm off N1"),
    "joints of layers in line": (joint_moved(2, 450, 890), "10 mm off the layer below's"),
    "joint not listed": (lambda plan: plan["vertical_joints_mm"][0].clear(), "is not listed"),
    "slab too small": (change("slabs", "length_mm", 1100), "smaller than its place"),
    "slab larger than sold": (change("slabs", "length_mm", 1300), "larger than a slab"),
    "slab beyond the wall": (
        change("slabs", "ring", [[-50, 0], [325, 0], [325, 1200], [-50, 1200]]),
        "reaches beyond the wall",
    ),
    "slab over another": (
        change("slabs", "ring", [[50, 600], [425, 600], [425, 1800], [50, 1800]]),
        "slabs overlap",
    ),
    "strip wider than the roll": (change("membrane", "width_mm", 2100), "wider than the roll"),
    "vapour control left open": (without("membrane", mark="W-01/V02"), "leaves"),
    "bracket on a free lining": (
        lambda plan: plan["brackets"].append(
            {"mark": "W-01/K01", "item": "bracket-20-75", "x_mm": 450, "y_mm": 300, "projection_mm": 10}
        ),
        "brackets on a lining that stands free",
    ),
    "one screw more than taken off": (
        change("screws", "places_mm", lambda p: [*p, p[-1] + 1]),
        "takeoff: fixings / screw-25",
    ),
    "joint longer than taken off": (
        change("runs", "length_mm", 9999, kind="tapered joint"),
        "takeoff: joints",
    ),
}


@pytest.mark.parametrize("name", SPOILT)
def test_a_fault_in_a_wall_is_found(name: str, by_hand: Json) -> None:
    mutate, word = SPOILT[name]
    document = copy.deepcopy(by_hand)

    mutate(wall_of(document))

    assert any(word in sentence for sentence in check(document)), check(document)


def spoil_cut_board(takeoff: Json) -> None:
    board = next(board for board in takeoff["boards"] if len(board["pieces"]) > 1)
    board["pieces"][1].update(x_mm=board["pieces"][0]["x_mm"], y_mm=board["pieces"][0]["y_mm"])


SPOILT_TAKEOFF: dict[str, tuple[Mutation, str]] = {
    "line changed": (lambda t: t["lines"][0]["by_wall"][0].update(quantity=1), "said 1"),
    "share of a room changed": (lambda t: t["lines"][0]["by_room"][0].update(quantity=1), "do not add up"),
    "too little bought": (lambda t: t["purchases"][0].update(bought=1), "1 bought"),
    "packs changed": (lambda t: t["purchases"][0]["packs"][0].update(count=0), "the packs do not make"),
    "purchase left out": (lambda t: t["purchases"].pop(), "is used but not bought"),
    "piece left off the list": (lambda t: t["bars"][0]["pieces"].pop(), "not on a cut list"),
    "piece cut twice": (lambda t: t["bars"].append(t["bars"][0]), "is cut 2 times"),
    "bar too short": (lambda t: t["bars"][0].update(stock_mm=100), "is too short"),
    "bar that is not sold": (lambda t: t["bars"][0].update(stock_mm=9999), "cannot be bought"),
    "board that is not sold": (lambda t: t["boards"][0].update(stock_mm=9999), "cannot be bought"),
    "pieces over one another": (spoil_cut_board, "pieces overlap"),
    "piece off its board": (lambda t: t["boards"][0]["pieces"][0].update(x_mm=1000), "reaches beyond it"),
    "piece of another size": (lambda t: t["boards"][0]["pieces"][0].update(width_mm=9), "another size"),
    "bar piece of another length": (lambda t: t["bars"][0]["pieces"][0].update(length_mm=9), "placed as"),
}


@pytest.mark.parametrize("name", SPOILT_TAKEOFF)
def test_a_fault_in_the_takeoff_is_found(name: str, by_hand: Json) -> None:
    mutate, word = SPOILT_TAKEOFF[name]
    document = copy.deepcopy(by_hand)

    mutate(document["takeoff"])

    assert any(word in sentence for sentence in check(document)), check(document)


def inner_rows(plan: Json) -> list[float]:
    return [m["x_mm"] for m in plan["members"] if m["role"] in ("stud", "cripple stud", "joint stud")]


def move_bracket(number: int, up: float) -> Mutation:
    return lambda plan: plan["brackets"][number].update(y_mm=plan["brackets"][number]["y_mm"] - up)


def spread_brackets(plan: Json) -> None:
    """Only the lowest and the highest bracket of each channel stay."""
    kept = []
    for m in plan["members"]:
        held = sorted((b for b in plan["brackets"] if b["member"] == m["mark"]), key=lambda b: b["y_mm"])
        kept += held[:1] + held[1:][-1:]
    plan["brackets"] = kept


SPOILT_BRACKETS: dict[str, tuple[Mutation, str]] = {
    "bracket left out": (lambda plan: plan["brackets"].pop(len(plan["brackets"]) // 2), "mm"),
    "bracket far from the end": (move_bracket(0, -400), "to the first bracket"),
    "brackets apart": (spread_brackets, "brackets more than 1500 mm apart"),
    "bracket beside its channel": (lambda plan: plan["brackets"][0].update(x_mm=1), "not on its channel"),
    "bracket beyond its reach": (lambda plan: plan["brackets"][0].update(projection_mm=900), "and cannot"),
    "channel not held": (lambda plan: plan["brackets"].clear(), "is held by no bracket"),
    "rows too far apart": (lambda plan: [no_stud_at(x)(plan) for x in inner_rows(plan)], "boards span"),
}


@pytest.mark.parametrize("name", SPOILT_BRACKETS)
def test_a_fault_in_the_brackets_is_found(name: str, planned: Json) -> None:
    mutate, word = SPOILT_BRACKETS[name]
    document = copy.deepcopy(planned)

    mutate(wall_of(document, "W-02"))

    assert any(sentence.startswith("wall W-02") and word in sentence for sentence in check(document))


SPOILT_COVERS: dict[str, tuple[Mutation, str]] = {
    "no insulation on a jamb": (without("slabs", plane="N1 left"), "slabs on N1 left"),
    "a flank bare": (without("boards", plane="edge 2 flank"), "boards on edge 2 flank"),
    "a strip underfoot": (change("slabs", "plane", "edge 1 flank", plane="edge 3 flank"), "none belong"),
    "another thickness": (lambda plan: plan["wall"]["flank"].update(thickness_mm=20), "20 mm thick"),
    "wool under a board": (
        lambda plan: plan["wall"]["flank"].update(item="wool-75", thickness_mm=75),
        "no board",
    ),
    "boards as if bare": (
        lambda plan: plan["wall"]["openings"][0].update(reveal_insulation="", reveal_insulation_mm=0),
        "boards on N1 left",
    ),
}


@pytest.mark.parametrize("name", SPOILT_COVERS)
def test_a_fault_in_reveals_and_flanks_is_found(name: str, planned: Json) -> None:
    mutate, word = SPOILT_COVERS[name]
    document = copy.deepcopy(planned)

    mutate(wall_of(document, "W-05"))

    said = check(document)
    assert any(sentence.startswith("wall W-05") and word in sentence for sentence in said), said


def level_joints(plan: Json, layer: int, to: float) -> None:
    """Bring every cross joint of a layer to one height."""
    boards = [b for b in plan["boards"] if b["layer"] == layer and b["plane"] == "face"]
    tops = {max(y for _, y in b["ring"]) for b in boards}
    joints = tops & {min(y for _, y in b["ring"]) for b in boards}
    for b in boards:
        b["ring"] = [[x, to if y in joints else y] for x, y in b["ring"]]


def splice_apart(plan: Json) -> None:
    next(b for b in plan["bars"] if "part 2" in b["purpose"])["ay_mm"] += 300


def head_filled(plan: Json) -> None:
    """Studs under a head that moves, cut as if it did not."""
    for m in plan["members"]:
        m["top_mm"] += 5


def both_layers(plan: Json) -> None:
    level_joints(plan, 1, 2900)
    level_joints(plan, 2, 2900)


SPOILT_HIGH: dict[str, tuple[str, Mutation, str]] = {
    "splice pulled apart": ("W-03", splice_apart, "a splice overlaps"),
    "cross joints in line": ("W-03", lambda plan: level_joints(plan, 1, 2000), "side by side"),
    "cross joints over one another": ("W-04", both_layers, "in the layer below"),
    "cross joint at the sill": ("W-04", lambda plan: level_joints(plan, 2, 3450), "is in line with N1"),
    "no room for a moving head": ("W-04", head_filled, "leaves a moving head too little room"),
    "movement joint forgotten": ("W-04", lambda plan: plan["movement_joints_mm"].clear(), "are bare"),
}


@pytest.mark.parametrize("name", SPOILT_HIGH)
def test_a_fault_in_a_high_wall_is_found(name: str, planned: Json) -> None:
    wall, mutate, word = SPOILT_HIGH[name]
    document = copy.deepcopy(planned)

    mutate(wall_of(document, wall))

    said = check(document)
    assert any(sentence.startswith(f"wall {wall}") and word in sentence for sentence in said), said


def test_the_checker_shares_no_code_with_the_program() -> None:
    """What is checked by itself is not checked."""
    imported = {
        name if name.startswith("tests.independent.") else name.partition(".")[0]
        for path in CHECKER
        for node in ast.walk(ast.parse(path.read_text("utf-8")))
        for name in (
            [alias.name for alias in node.names]
            if isinstance(node, ast.Import)
            else [node.module or ""]
            if isinstance(node, ast.ImportFrom)
            else []
        )
    }

    beside = {f"tests.independent.{path.stem}" for path in CHECKER}
    assert imported - sys.stdlib_module_names - beside == {"shapely"}


def test_the_command(tmp_path: Path, practice: Practice, capsys: pytest.CaptureFixture[str]) -> None:
    """0 and a sentence for a good plan, 1 and the faults for a bad one, 2 for another file."""
    plans = [small_plan(practice)]
    good, bad, other = tmp_path / "good.json", tmp_path / "bad.json", tmp_path / "other.json"
    write_plan(good, Head(), practice, plans, take_off(plans, practice))
    bad.write_text(
        good.read_text("utf-8").replace('"projection', '"x').replace('"top_mm":2490', '"top_mm":2499')
    )
    other.write_text("{}")

    assert [main([str(path)]) for path in (good, bad, other)] == [0, 1, 2]
    assert main([]) == 2
    said = capsys.readouterr().out
    assert "1 walls: every promise kept" in said
    assert "short of its height" in said
