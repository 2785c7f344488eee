"""Which operations there are, and what each waits for."""

from __future__ import annotations

from collections.abc import Iterable

import pytest
from tests.programme.house import PROGRAMME, built

from innerleaf.programme.build import Built
from innerleaf.programme.model import HOLD, OURS, TRADE
from innerleaf.programme.order import rank
from innerleaf.programme.steps import coat_kind


def before(one: str, of: Built) -> set[str]:
    """Everything that has to be done before an operation, near or far."""
    links: dict[str, list[str]] = {}
    for link in of.work.links:
        links.setdefault(link.after, []).append(link.before)
    found: set[str] = set()
    todo = [one]
    while todo:
        for name in links.get(todo.pop(), ()):
            if name not in found:
                found.add(name)
                todo.append(name)
    return found


def steps_of(of: Built, *, room: str) -> list[str]:
    return [one.step for one in of.work.operations if one.room == room]


def test_a_quiet_wall_is_built_in_the_order_of_the_trade() -> None:
    """Two layers, Q3: three coats. The den has one wall of that kind and nothing else."""
    assert steps_of(built(), room="den") == [
        "mark out",
        "bring in frame and insulation",
        "strip and tracks",
        "frame",
        "insulation",
        "bring in boards",
        "close-up inspection",
        "board layer 1",
        "fill joints of layer 1",
        "board layer 2",
        "tape",
        "coat 2",
        "coat 3",
        "sanding",
        "clear up",
        "prime",
    ]


def test_a_tiled_wall_is_neither_sanded_nor_primed() -> None:
    found = steps_of(built(), room="bath")

    assert {"sanding", "prime", "coat 2"} & set(found) == set()
    assert {"brackets", "vapour layer", "tape"} <= set(found)


def test_there_are_no_circles_and_every_room_begins_with_marking_out() -> None:
    of = built()
    for one in of.work.operations:
        assert one.id not in before(one.id, of)
        if one.kind == OURS and one.step != "mark out" and not one.step.startswith("bring in frame"):
            assert f"{one.room}/mark-out" in before(one.id, of)


def test_boards_wait_for_the_hold_point_and_it_for_all_that_they_hide() -> None:
    of = built()
    behind = {one.id for one in of.work.operations if one.room == "bed" and rank_of(one.step) < 8}

    assert "bed/close-up" in before("W-01/board-layer-1", of)
    assert behind <= before("bed/close-up", of)
    assert {one.who for one in of.work.operations if one.kind == HOLD} == {"foreman"}


def rank_of(step: str) -> int:
    try:
        return rank(step)
    except ValueError:
        return 99


def test_each_coat_dries_before_the_next_and_before_sanding() -> None:
    wet = {(link.before, link.after): link.coat for link in built().work.links if link.coat}

    assert wet["den/tape", "den/coat-2"] == "tape"
    assert wet["den/coat-2", "den/coat-3"] == "coat"
    assert wet["den/coat-3", "den/sanding"] == "coat"
    assert wet["W-05/fill-joints-of-layer-1", "W-05/board-layer-2"] == "fill"
    assert not any(
        coat_kind(one.step) for one in built().work.operations if one.step in ("frame", "clear up")
    )


@pytest.mark.parametrize(
    ("said", "waits", "on"),
    [
        ("after: frame, before: insulation, hours: 2", "W-04/insulation", ["W-04/frame"]),
        ("after: frame, before: first board layer, hours: 2", "W-04/board-layer-1", ["W-04/frame"]),
        ("after: sanding, before: prime, hours: 1", "loft/prime", ["loft/sanding"]),
        ("before: mark out, hours: 4", "loft/mark-out", []),
        ("after: last board layer, before: tape, hours: 1", "loft/tape", ["W-04/board-layer-1"]),
        ("after: tape, before: last coat, hours: 1", "loft/coat-2", ["loft/tape"]),
    ],
)
def test_other_trades_come_where_the_job_says(said: str, waits: str, on: Iterable[str]) -> None:
    of = built(PROGRAMME + f"  others: [{{id: cables, name: cables, {said}, rooms: [loft]}}]\n")
    cables = [one for one in of.work.operations if one.step == "cables"]

    assert [(one.id, one.kind, one.room) for one in cables] == [("loft/cables", TRADE, "loft")]
    assert "loft/cables" in before(waits, of)
    assert set(on) <= before("loft/cables", of)


def test_a_hold_point_of_the_job_takes_the_place_of_ours() -> None:
    hold = "{id: eye, name: look, by: engineer, after: insulation, before: first board layer, storeys: ['2']}"
    of = built(PROGRAMME + f"  hold_points: [{hold}]\n")
    names = {one.id: one.who for one in of.work.operations if one.kind == HOLD}

    assert names == {
        "loft/eye": "engineer",
        "den/eye": "engineer",
        "bed/close-up": "foreman",
        "bath/close-up": "foreman",
    }


def test_plant_is_asked_for_by_step_and_by_height() -> None:
    of = built(PROGRAMME + "  plant: [{id: sander, steps: [sanding]}, {id: tower, above_reach: true}]\n")

    assert {one.step for one in of.work.operations if "sander" in one.plant} == {"sanding"}
    assert not any("tower" in one.plant for one in of.work.operations)  # all within reach at 2.6 m


def test_primer_is_by_area_and_no_hours_of_the_price() -> None:
    prime = {one.room: one for one in built().work.operations if one.step == "prime"}

    assert set(prime) == {"bed", "loft", "den"}
    assert prime["den"].minutes == round(prime["den"].area_m2 * 4)
    assert prime["den"].hours.total == 0
