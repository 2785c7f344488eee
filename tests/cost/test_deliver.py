"""Deliveries: what goes up in how many lifts, shares in whole units; what a job says of buying."""

from __future__ import annotations

from fractions import Fraction
from math import ceil
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.cost.small_takeoff import PRACTICE, STOREYS, supply, takeoff
from tests.job.two_rooms import TWO_ROOMS, lines, read

from innerleaf.cost.deliver import delivery_ids, lifts_of
from innerleaf.cost.model import OrderLine
from innerleaf.cost.order import order_for
from innerleaf.cost.order_need import largest_remainders, shared
from innerleaf.job.schema_buying import Buying
from innerleaf.practice.prices import load_prices


def a_line(article: str, packs: int, mass_kg: float, *, pieces: int = 1, length_mm: int = 0) -> OrderLine:
    """A line of so many packs that weigh so much together."""
    length = article.startswith(("board", "CW"))
    size = pieces * (length_mm * (1200 if article.startswith("board") else 1) if length else 1)
    return OrderLine(
        group="",
        article=article,
        description="",
        supplier="",
        code="",
        unit="mm2" if length else "piece",
        needed=0,
        allowance=0,
        allowance_reason="",
        in_hand=0,
        pack_size=size,
        pack_name="",
        packs=packs,
        price_of_pack=0,
        price_break="",
        total=0,
        left_over=0,
        mass_kg=mass_kg,
        lead_days=0,
        delivery="D1",
        basis="",
        length_mm=length_mm,
    )


def test_whole_packs_go_up_where_the_lift_takes_them() -> None:
    """Five packs of 40 kg and three boxes of 10 kg in lifts of 100 kg: 2 + 2 + 1 packs, boxes beside them."""
    packs, boxes = a_line("compound-25", 5, 200.0), a_line("screw-25", 3, 30.0)

    assert lifts_of([packs, boxes], PRACTICE, 100) == (3, [])
    assert lifts_of([boxes, packs], PRACTICE, 100) == (3, [])
    assert lifts_of([], PRACTICE, 100) == (0, [])


def test_a_heavy_stack_is_opened_and_a_heavy_piece_is_named() -> None:
    """A stack of ten boards of 30 kg: three to a lift of 100 kg, four lifts; none where it takes 20 kg."""
    stack = a_line("board-A-12.5", 1, 300.0, pieces=10, length_mm=2600)

    assert lifts_of([stack], PRACTICE, 100) == (4, ["board-A-12.5: packs opened for the lift"])
    lifts, remarks = lifts_of([stack], PRACTICE, 20)
    assert lifts == 10
    assert remarks == ["board-A-12.5: one piece of 30.0 kg is more than the lift takes"]


@settings(max_examples=40, deadline=None)
@given(
    st.lists(st.tuples(st.integers(1, 12), st.integers(1, 40)), min_size=1, max_size=6), st.integers(40, 90)
)
def test_lifts_are_between_the_least_there_could_be_and_one_for_each_pack(
    loads: list[tuple[int, int]], most: int
) -> None:
    """And no two of them could have gone together: first fit leaves at most one half empty."""
    lifts, remarks = lifts_of([a_line("screw-25", n, float(n * kg)) for n, kg in loads], PRACTICE, most)
    mass = sum(n * kg for n, kg in loads)

    assert remarks == []
    assert ceil(Fraction(mass, most)) <= lifts <= sum(n for n, _ in loads)
    assert lifts <= 1 + 2 * mass // most


@given(st.integers(0, 500), st.lists(st.floats(0, 1e6), min_size=1, max_size=8))
def test_shares_are_whole_never_late_and_make_the_total(whole: int, amounts: list[float]) -> None:
    parts = shared(whole, amounts)
    total = sum(amounts)

    assert sum(parts) == whole
    assert min(parts) >= 0
    if total > 0:
        assert all(amount > 0 or not part for amount, part in zip(amounts, parts, strict=True))
        for k in range(len(parts)):
            assert sum(parts[: k + 1]) >= whole * sum(amounts[: k + 1]) / total - 1e-6 * (whole + 1)


@given(st.integers(0, 500), st.lists(st.integers(0, 1000), min_size=1, max_size=8))
def test_remainders_make_the_total_within_one_of_the_share(whole: int, amounts: list[int]) -> None:
    parts = largest_remainders(whole, amounts)

    assert sum(parts) == whole
    if sum(amounts):
        assert all(abs(p - whole * a / sum(amounts)) < 1 for p, a in zip(parts, amounts, strict=True))


def test_deliveries_are_numbered_in_the_order_of_the_work() -> None:
    assert delivery_ids([("b", 1), ("a", 1), ("b", 0), ("b", 1)]) == {
        ("b", 0): "D1",
        ("a", 1): "D2",
        ("b", 1): "D3",
    }


def test_lifts_and_places_of_a_storey() -> None:
    """Five boards of 27.3 kg and a pack of studs of 8.9 kg go up by twos; 400 kg stand in two places."""
    how = Buying.model_validate(
        {"deliveries": "storeys", "lifts": {"first floor": {"most_kg": 60, "floor_kg": 100}}}
    )
    made = order_for(takeoff(), PRACTICE, supply(), load_prices(PRACTICE), how, STOREYS)
    alder = {d.storey: d for d in made.deliveries if d.supplier.startswith("Alder")}

    assert (alder["ground floor"].lifts, alder["ground floor"].places) == (0, 0)
    up = alder["first floor"]
    boards = sum(x.packs for x in made.lines if x.delivery == up.id and x.article == "board-A-12.5")
    assert up.lifts >= ceil(boards / 2)
    assert up.places == ceil(up.mass_kg / 100) > 1


GOOD = TWO_ROOMS + "buying: {in_hand: [{article: CW-75, length: 3000, count: 4}], deliveries: storeys}\n"


def test_a_job_says_how_it_is_bought() -> None:
    assert read(GOOD).buying.in_hand[0].count == 4
    assert read(TWO_ROOMS).buying == Buying.model_validate({})
    assert read(TWO_ROOMS).supply is None


@pytest.mark.parametrize(
    ("said", "words"),
    [
        ("in_hand: [{article: CW-7S, count: 4}]", "did you mean CW-75?"),
        ("in_hand: [{article: CW-75, count: 4}]", "in_hand[0].length: given nothing, accepted: the length"),
        ("in_hand: [{article: CW-75, length: 3000}]", "count: given nothing, accepted: how many bars"),
        ("in_hand: [{article: strip-70, count: 2}]", "`amount` instead, as strip-70 is counted in m"),
        ("in_hand: [{article: screw-25, length: 25, count: 2}]", "given 25, accepted: none for screw-25"),
        ("allowances: {board-A: {share: 0.1, reason: x}}", "articles of the practice set"),
        ("allowances: {CW-75: {reason: x}}", "accepted: either `share` or `amount`"),
        ("allowances: {CW-75: {share: 0.1, amount: 3, reason: x}}", "given share and amount"),
        ("allowances: {CW-75: {share: 0.1}}", "buying.allowances.CW-75.reason"),
        ("allowances: {CW-75: {share: 10, reason: x}}", "1 or less"),
        ("deliveries: daily", "building, storeys, storeys and phases"),
        ("lifts: {roof: {most_kg: 100}}", "storeys of the rooms"),
        ("order_date: soon", "accepted: a date such as 2026-02-02"),
        ("colour: red", "an unknown field"),
    ],
)  # fmt: skip
def test_what_a_job_says_wrongly_about_buying(said: str, words: str) -> None:
    told = [str(line) for line in lines(f"{TWO_ROOMS}buying: {{{said}}}\n")]

    assert len(told) == 1, told
    assert words in told[0]


def test_masses_are_those_of_the_lines() -> None:
    how: dict[str, Any] = {"deliveries": "storeys and phases"}
    made = order_for(
        takeoff(), PRACTICE, supply(), load_prices(PRACTICE), Buying.model_validate(how), STOREYS
    )

    for delivery in made.deliveries:
        mine = [x.mass_kg for x in made.lines if x.delivery == delivery.id]
        assert delivery.mass_kg == pytest.approx(sum(mine))
        assert delivery.order_by_days == max(
            (x.lead_days for x in made.lines if x.delivery == delivery.id), default=0
        )
