"""An order worked by hand, and what must hold of any order."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.cost.small_takeoff import PRACTICE, STOREYS, line, purchase, supply, takeoff

from innerleaf.cost.model import Order, OrderLine, StandIn
from innerleaf.cost.order import order_for
from innerleaf.cost.order_check import check_order
from innerleaf.cost.order_choices import IN_HAND, PRICE_LIST
from innerleaf.cost.order_need import Drop, needs_of
from innerleaf.cost.supply import Supply
from innerleaf.errors import InputError
from innerleaf.job.schema_buying import Buying
from innerleaf.practice.prices import PriceList, load_prices
from innerleaf.takeoff.model import Takeoff

PRICES = load_prices(PRACTICE)


def buying(**fields: Any) -> Buying:
    """The section of a job."""
    return Buying.model_validate(fields)


def order(
    how: Buying | None = None,
    *,
    what: Takeoff | None = None,
    offers: Supply | None = None,
    prices: PriceList = PRICES,
) -> Order:
    """The order, checked by itself."""
    what, offers, how = what or takeoff(), offers or supply(), how or buying()
    made = order_for(what, PRACTICE, offers, prices, how, STOREYS)
    assert check_order(made, what, PRACTICE, offers, prices, how) == []
    return made


def lines_of(made: Order, article: str) -> list[OrderLine]:
    return [each for each in made.lines if each.article == article]


def test_an_order_worked_by_hand() -> None:
    """Alder: a pack of CW 2600 (4 x 5.20) and one of 3000 (4 x 6.00), of which one serves as a 2600; a pack
    of two UW; ten boards at 3.00 (93.60) rather than nine at 3.40 (95.49); one lorry. Birch: 2 boxes and 2
    packets of screws, 3 rolls, 3 bags; one lorry.
    """
    made = order()
    alder = 2080 + 2400 + 1400 + 10 * 936 + 4000
    birch = 2 * 970 + 2 * 255 + 3 * 790 + 3 * 1820 + 1500

    assert made.total == alder + birch == made.lower_bound
    assert [(d.supplier[:5], d.charge, d.order_by_days) for d in made.deliveries] == [
        ("Alder", 4000, 5),
        ("Birch", 1500, 0),
    ]
    (board,) = lines_of(made, "board-A-12.5")
    assert (board.packs, board.price_of_pack, board.price_break) == (10, 936, "from 10 packs")
    assert (board.needed, board.left_over, board.unit) == (9 * 3_120_000, 3_120_000, "mm2")
    assert board.mass_kg == pytest.approx(10 * 1.2 * 2.6 * 8.75)
    assert [(x.code, x.packs, x.left_over) for x in lines_of(made, "screw-25")] == [
        ("B-25", 2, 0),
        ("B-25s", 2, 100),
    ]


def test_storeys_and_phases_share_the_order_out() -> None:
    """A bar with pieces for both storeys comes with the first; screws in the share of the walls."""
    made = order(buying(deliveries="storeys and phases"))
    where = {d.id: (d.storey, d.phase) for d in made.deliveries}

    assert list(dict.fromkeys(where.values())) == [
        ("ground floor", "frame"),
        ("ground floor", "boards"),
        ("first floor", "frame"),
        ("first floor", "boards"),
    ]
    come = [(where[x.delivery], x.packs) for x in lines_of(made, "board-A-12.5")]
    assert come == [(("ground floor", "boards"), 4), (("first floor", "boards"), 6)]
    strips = [(where[x.delivery], x.packs) for x in lines_of(made, "strip-70")]
    assert strips == [(("ground floor", "frame"), 1), (("first floor", "frame"), 2)]
    needs = needs_of(
        takeoff(), PRACTICE, [Drop("ground floor", ""), Drop("first floor", "")], STOREYS, {}, {}
    )
    assert {n.key: n.by_drop for n in needs}["CW-75", 2600] == (3, 2)
    assert {n.key: n.by_drop for n in needs}["compound-25", 0] == (30_000, 30_000)


def test_the_job_orders_the_storeys() -> None:
    made = order(buying(deliveries="storeys", storeys=["first floor"]))

    assert next(d.storey for d in made.deliveries) == "first floor"
    assert sum(x.packs for x in lines_of(made, "CW-75")) == 2


def test_what_is_in_hand_is_used_and_told() -> None:
    """Five long bars in hand leave two short ones to buy; packets of screws and a roll fall away."""
    things = [
        {"article": "CW-75", "length": 3000, "count": 5},
        {"article": "screw-25", "count": 300},
        {"article": "strip-70", "amount": 10.5},
    ]
    made = order(buying(in_hand=things))
    held = {x.article: x for x in made.lines if x.supplier == IN_HAND}

    assert (held["CW-75"].packs, held["CW-75"].total, held["CW-75"].delivery) == (0, 0, "")
    assert held["screw-25"].in_hand == 300
    assert held["strip-70"].in_hand == 10_500
    assert [(x.length_mm, x.packs) for x in lines_of(made, "CW-75") if x.packs] == [(2600, 1)]
    assert [x.packs for x in lines_of(made, "screw-25") if x.packs] == [2]
    assert order().total - made.total == 2400 + 2 * 255 + 790


def test_allowances_stand_apart_with_their_reason() -> None:
    extra = {
        "board-A-12.5": {"share": 0.12, "reason": "narrow stair"},
        "strip-70": {"amount": 5, "reason": "rough floor"},
    }
    made = order(buying(allowances=extra))
    (board,) = lines_of(made, "board-A-12.5")
    (strip,) = lines_of(made, "strip-70")

    assert (board.needed, board.allowance) == (9 * 3_120_000, 2 * 3_120_000)  # 1.08 boards, rounded up
    assert (board.allowance_reason, board.packs) == ("narrow stair", 11)
    assert (strip.needed, strip.allowance, strip.packs) == (70_000, 5_000, 3)
    assert all(not x.allowance for x in order().lines)


def test_a_unit_price_serves_where_there_is_no_offer_and_nothing_is_guessed() -> None:
    """Corner beads and a board of 3000 have no offer; a membrane has no price either."""
    more = replace(
        takeoff(),
        purchases=(
            purchase("board-A-12.5", "boards", "mm2", 27e6, (2600, 8), (3000, 1)),
            purchase("corner-bead-2500", "beads", "mm", 4000, (2500, 2)),
            purchase("membrane-variable", "membrane", "mm2", 3e6, (40_000, 1), special=2),
        ),
        boards=(),
    )
    without = replace(
        PRICES,
        prices={key: price for key, price in PRICES.prices.items() if key[1] != "membrane-variable"},
    )
    made = order(what=more, prices=without)
    listed = {x.article: x for x in made.lines if x.supplier == PRICE_LIST}

    assert listed["corner-bead-2500"].price_of_pack == 160
    assert "no offer" in listed["corner-bead-2500"].basis
    assert listed["board-A-12.5"].price_of_pack == round(3.40 * 3.6 * 100)
    assert made.unpriced == (
        "membrane-variable: 1 roll",
        "membrane-variable: 2 pieces that no stock holds",
    )


def test_a_stand_in_is_bought_only_where_it_is_named() -> None:
    offers = supply()
    cheap = replace(
        next(x for x in offers.offers if x.code == "A-B"),
        article="board-H-12.5",
        code="A-H",
        prices=(offers.offers[0].prices[0],),
    )
    with_it = replace(offers, offers=(*offers.offers, replace(cheap, prices=cheap.prices)))
    cheaper = replace(
        with_it, offers=(*offers.offers, replace(cheap, prices=(type(cheap.prices[0])(1, 500),)))
    )
    made = order(offers=cheaper)

    (board,) = lines_of(made, "board-H-12.5")
    assert board.instead_of == "9 × board-A-12.5 2600"
    assert "invented for tests" in board.basis
    assert lines_of(order(offers=replace(cheaper, stand_ins={})), "board-H-12.5") == []


def test_terms_of_the_job_are_kept() -> None:
    offers = supply()
    ended = replace(
        offers,
        offers=tuple(replace(x, valid_until="2026-01-31") if x.code == "B-25s" else x for x in offers.offers),
    )
    made = order(buying(order_date="2026-02-01"), offers=ended)
    assert [x.code for x in lines_of(made, "screw-25")] == ["B-25"]
    assert "ended on 2026-01-31" in made.notes[0]
    assert order(buying(order_date="2026-01-31"), offers=ended).notes == ()

    alone = order(buying(leave_out=["Birch (invented)"]))
    assert {x.supplier for x in alone.lines} == {"Alder (invented)", PRICE_LIST}


def test_what_cannot_be_understood_is_said() -> None:
    with pytest.raises(
        InputError, match=r"buying\.prefer: given 'Elm', accepted: a supplier of the supply list: Alder"
    ):
        order_for(takeoff(), PRACTICE, supply(), PRICES, buying(prefer={"Elm": 0.1}), STOREYS)
    dollars = replace(PRICES, currency="USD")
    more = replace(
        takeoff(), purchases=(*takeoff().purchases, purchase("corner-bead-2500", "beads", "mm", 1, (2500, 1)))
    )
    with pytest.raises(InputError, match="USD"):
        order_for(more, PRACTICE, supply(), dollars, buying(), STOREYS)


def test_nothing_to_buy_is_an_order_too() -> None:
    nothing = replace(takeoff(), purchases=(), lines=(), bars=(), boards=())
    made = order(what=nothing)

    assert (made.total, made.lower_bound, made.lines, made.deliveries) == (0, 0, (), ())


@settings(max_examples=5, deadline=None)
@given(
    st.permutations(range(8)),
    st.sampled_from(("building", "storeys", "storeys and phases")),
    st.integers(0, 4),
)
def test_any_order_of_offers_gives_the_same_order(turn: list[int], mode: str, held: int) -> None:
    """And every line of it is right, by the check."""
    offers = supply()
    how = buying(
        deliveries=mode, in_hand=[{"article": "CW-75", "length": 2600, "count": held}] if held else []
    )
    turned = replace(offers, offers=tuple(offers.offers[k] for k in turn if k < len(offers.offers)))

    assert order(how, offers=turned) == order(
        how, offers=replace(offers, offers=tuple(sorted(turned.offers, key=str)))
    )


def spoilt(made: Order) -> list[tuple[str, Order]]:
    """Orders with one thing wrong, and what the check says of it."""
    first = next(x for x in made.lines if x.article == "board-A-12.5")
    rest = tuple(x for x in made.lines if x is not first)

    def with_line(**changes: Any) -> Order:
        return replace(made, lines=(*rest, replace(first, **changes)))

    return [
        ("not covered", replace(made, lines=rest)),
        ("are not needs", with_line(left_over=0.0)),
        ("for a pack", with_line(price_of_pack=900, total=9000)),
        ("packs at", with_line(total=first.total - 1)),
        ("lines and deliveries make", replace(made, total=made.total - 1)),
        ("is above the total", replace(made, lower_bound=made.total + 1)),
        ("without a reason", with_line(allowance=first.left_over, left_over=0.0)),
        ("due is", replace(made, deliveries=tuple(replace(d, charge=0) for d in made.deliveries))),
        ("which there is not", with_line(delivery="D9")),
        ("in hand", with_line(in_hand=5.0, left_over=first.left_over + 5)),
    ]


def test_the_check_sees_what_is_wrong() -> None:
    made = order()
    for words, wrong in spoilt(made):
        faults = check_order(wrong, takeoff(), PRACTICE, supply(), PRICES, buying())
        assert any(words in fault for fault in faults), (words, faults)


def test_lines_of_the_same_item_in_several_uses_are_one_need() -> None:
    twice = replace(
        takeoff(),
        lines=(*takeoff().lines, line("screw-25", "fixings", "piece", ("W-2", 0))),
    )
    assert order(what=twice) == order()


def test_allowances_come_with_the_deliveries_that_they_are_for() -> None:
    """Of boards for two storeys, each storey has its part of the allowance, not the last one all of it."""
    extra = {"board-A-12.5": {"share": 0.5, "reason": "narrow stair"}}
    boards = lines_of(order(buying(allowances=extra, deliveries="storeys")), "board-A-12.5")

    assert len(boards) == 2
    assert sum(x.needed for x in boards) == 9 * 3_120_000
    assert sum(x.allowance for x in boards) == 5 * 3_120_000  # 4.5, rounded up
    assert all(x.allowance and x.allowance < x.needed for x in boards)
    assert all(x.allowance_reason == "narrow stair" for x in boards)


def test_what_a_longer_piece_stands_in_for_is_told_to_programs_too() -> None:
    longer = [x for x in lines_of(order(), "CW-75") if x.stands_in]

    assert [(x.length_mm, x.stands_in) for x in longer] == [(3000, (StandIn("CW-75", 2600, 1),))]
    assert [x.instead_of for x in longer] == ["1 × 2600"]
