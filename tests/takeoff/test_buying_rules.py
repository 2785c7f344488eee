"""Deliveries, lengths to order and offcuts in hand: what a job asks for is what the takeoff does."""

from __future__ import annotations

from dataclasses import replace

import pytest
from tests.small_plan import small_plan

from innerleaf.layout.pieces import WallPlan
from innerleaf.practice.load import load_practice
from innerleaf.practice.model import Practice
from innerleaf.takeoff import BuyingRules, CutBar, CutBoard, InHand, Purchase, Takeoff, batches_by, take_off
from innerleaf.takeoff.ways import lengths_advice, price_of_batches

PRACTICE = load_practice()


def walls(practice: Practice = PRACTICE) -> list[WallPlan]:
    """Six small walls: two on each of three storeys, each in a room of its own."""
    plans = []
    for number in range(6):
        plan = small_plan(practice, f"W-{number:02}")
        wall = replace(plan.wall, storey=f"storey {number // 2}", room=f"R-{number}")
        plans.append(replace(plan, wall=wall))
    return plans


def cuts_of(takeoff: Takeoff) -> list[CutBar | CutBoard]:
    return [*takeoff.bars, *takeoff.boards]


def bought(takeoff: Takeoff, item: str) -> Purchase:
    return next(purchase for purchase in takeoff.purchases if purchase.item == item)


def test_the_order_of_storeys_is_that_of_the_work() -> None:
    """Storeys as named first, then as they come; rooms follow their storeys."""
    plans = walls()

    assert batches_by("building", plans) == {}
    assert list(batches_by("storey", plans).values()) == [0, 0, 1, 1, 2, 2]
    assert list(batches_by("storey", plans, ["storey 2", "storey 0"]).values()) == [1, 1, 2, 2, 0, 0]
    assert list(batches_by("room", plans, ["storey 1"]).values()) == [2, 3, 0, 1, 4, 5]


def test_what_is_cut_for_a_storey_comes_with_it_or_was_left_before() -> None:
    """Bars and boards carry their delivery; rests are named and never longer than what they are rests of."""
    plans = walls()
    batch_of = batches_by("storey", plans)
    takeoff = take_off(plans, PRACTICE, rules=BuyingRules(batch_of=batch_of))

    for cut in cuts_of(takeoff):
        assert {batch_of[piece.wall] for piece in cut.pieces} == {cut.batch}
    carried = [bar for bar in takeoff.bars if bar.source]
    for bar in carried:
        host = next(b for b in takeoff.bars if b.item == bar.item and bar.source == f"rest of bar {b.number}")
        assert host.kept
        assert bar.stock_mm == host.remainder_mm
        assert host.batch < bar.batch
    for purchase in takeoff.purchases:
        new = [b for b in cuts_of(takeoff) if b.item == purchase.item and not b.source]
        if new:
            assert sum(pack.count for pack in purchase.packs) == len(new)
            assert "in 3 deliveries" in purchase.basis
            assert purchase.lower_bound <= purchase.bought


def test_the_price_of_batches_is_told() -> None:
    """One line for each way and article; the building at once is where the others are counted from."""
    told = price_of_batches(walls(), PRACTICE)

    assert {(line.way, line.batches) for line in told} == {("building", 1), ("storey", 3), ("room", 6)}
    assert all(line.more == 0 for line in told if line.way == "building")
    assert all(line.more > -0.001 for line in told)


def test_no_more_lengths_are_ordered_than_may_be() -> None:
    """One length of stud, of board and of track, and the sheet says which."""
    rules = BuyingRules(most_lengths={"profile": 1, "board": 1, "UW-75": 0})
    takeoff = take_off(walls(), PRACTICE, rules=rules)
    studs, sheets = bought(takeoff, "CW-75"), bought(takeoff, "board-A-12.5")

    assert len(studs.packs) == len(sheets.packs) == 1
    assert f"at most 1 lengths: {studs.packs[0].size} mm" in studs.basis
    assert f"at most 1 lengths: {sheets.packs[0].size} mm" in sheets.basis
    assert "at most" not in bought(takeoff, "UW-75").basis


def test_advice_on_lengths_is_never_worse_with_more_of_them() -> None:
    """Each further length saves something or nothing; all that are offered are the least."""
    by_item: dict[str, list[float]] = {}
    for line in lengths_advice(walls(), PRACTICE):
        by_item.setdefault(line.item, []).append(line.needed)

    assert "CW-75" in by_item
    assert "board-A-12.5" in by_item
    for needed in by_item.values():
        assert needed == sorted(needed, reverse=True)


@pytest.mark.parametrize(
    "offcut",
    [
        InHand(item="CW-75", mark="K-1", length_mm=2600, count=3),
        InHand(
            item="board-A-12.5",
            mark="K-2",
            length_mm=2500,
            width_mm=1200,
            left_bound=True,
            right_bound=True,
            count=2,
        ),
    ],
)
def test_offcuts_in_hand_are_used_and_not_bought(offcut: InHand) -> None:
    """What lies there costs nothing, so less is bought; it is named where it is cut."""
    plain = take_off(walls(), PRACTICE)
    takeoff = take_off(walls(), PRACTICE, rules=BuyingRules(in_hand=(offcut,)))
    used = [cut for cut in cuts_of(takeoff) if cut.source == offcut.mark]

    assert 0 < len(used) <= offcut.count
    assert bought(takeoff, offcut.item).bought < bought(plain, offcut.item).bought
