"""The whole price: sums, steps, shares, and what must never happen."""

from __future__ import annotations

import re
from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.cost.by_hand import basis_of, order_line, rates, two_walls

from innerleaf.cost.price import price_of
from innerleaf.cost.price_model import Price, PriceBasis
from innerleaf.cost.price_money import half_up, money, share_out
from innerleaf.cost.what_if import changed_by
from innerleaf.errors import InputError
from innerleaf.practice.rates import Disposal, MarkUp, Vat

FULL = {
    "carried": {"ground": 2},
    "discounts": [
        {"text": "second job", "percent": 2, "reason": "came back"},
        {"text": "rounded off", "amount": 12.34, "reason": "asked for"},
    ],
    "extras": [
        {
            "text": "new sill",
            "each": 85.5,
            "quantity": 2,
            "unit": "piece",
            "wall": "W-02",
            "reason": "rotten",
        },
        {"text": "parking", "each": 7.25, "quantity": 3, "unit": "day", "reason": "in town"},
    ],
    "risks": [{"text": "damp found", "amount": 150, "reason": "old cellar"}],
}


@pytest.fixture(scope="module")
def basis() -> PriceBasis:
    """Two walls with everything a job can say of its price."""
    return basis_of(two_walls(), FULL)


@pytest.fixture(scope="module")
def price(basis: PriceBasis) -> Price:
    """Their price."""
    return price_of(basis)


def test_lines_add_up_to_the_total(price: Price) -> None:
    labour = sum(line.total for line in price.labour)
    others = sum(line.total for line in price.lines)

    assert price.direct == labour + others == sum(part.total for part in price.parts)
    assert price.net == price.direct + sum(step.amount for step in price.steps)
    assert price.gross == price.net + price.vat
    assert price.cost == price.direct + price.of_kind("overhead") + price.of_kind("risk")
    assert price.margin == price.net - price.cost


def test_steps_follow_one_another(price: Price) -> None:
    """The kinds in their order, each sum on the one before; 12 % overhead, margin 8 % of the price."""
    before = price.direct
    for step in price.steps:
        assert step.after == before + step.amount
        before = step.after
    kinds = [step.kind for step in price.steps]

    assert kinds == ["overhead", "risk", "risk", "margin", "discount", "discount", "rounding"]
    assert price.steps[0].amount == int(half_up(Fraction(price.direct * 12, 10000), 2) * 100)
    assert price.steps[3].amount == pytest.approx(0.08 * price.steps[3].after, abs=1)
    assert price.steps[4].amount == -int(half_up(Fraction(price.steps[3].after * 2, 10000), 2) * 100)
    assert price.steps[5].amount == -1234
    assert price.net % 100 == 0
    assert abs(price.steps[-1].amount) <= 50


def test_walls_share_the_price_to_the_hundredth(price: Price) -> None:
    assert sum(wall.net for wall in price.walls) == price.net
    assert sum(wall.labour for wall in price.walls) == price.part("labour")
    assert sum(wall.material for wall in price.walls) == price.part("material")
    for wall in price.walls:
        assert wall.own == wall.labour + wall.material + wall.other
        assert wall.net == wall.own + wall.common
    sill = 2 * 8550
    assert price.walls[1].other - price.walls[0].other == pytest.approx(sill, abs=5)  # W-02 has the new sill


def test_no_line_is_negative(price: Price) -> None:
    labour = [(line.total, line.shares) for line in price.labour]
    others = [(line.total, line.shares) for line in price.lines]
    for total, shares in (*labour, *others):
        assert total >= 0
        assert all(share >= 0 for share in shares)
        assert sum(shares) == total


def test_the_order_of_walls_does_not_matter(price: Price) -> None:
    """The sums are the same; a hundredth may go to another of two equal walls."""
    turned = price_of(basis_of(two_walls()[::-1], FULL))

    assert (turned.net, turned.cost, turned.parts, turned.crew) == (
        price.net,
        price.cost,
        price.parts,
        price.crew,
    )
    there = {wall.wall: wall.net for wall in turned.walls}
    for wall in price.walls:
        assert there[wall.wall] == pytest.approx(wall.net, abs=len(price.labour) + len(price.lines))


@settings(max_examples=25, deadline=None)
@given(
    st.sampled_from(
        [
            "boards",
            "material",
            "labour",
            "fitter",
            "minutes",
            "minutes of joint",
            "plant",
            "waste",
            "deliveries",
        ]
    ),
    st.integers(0, 60),
    st.integers(0, 60),
)
def test_what_costs_more_makes_the_price_no_lower(what: str, less: int, more: int) -> None:
    less, more = sorted((less, more))
    low, high = (
        price_of(changed_by(SMALL, f"{what} +{percent} %"), with_walls=False) for percent in (less, more)
    )

    assert low.cost <= high.cost
    assert low.net <= high.net


SMALL = basis_of(two_walls(), FULL)


def test_without_walls_the_price_is_the_same(basis: PriceBasis, price: Price) -> None:
    quick = price_of(basis, with_walls=False)

    assert (quick.net, quick.gross, quick.cost, quick.walls) == (price.net, price.gross, price.cost, ())


def test_margin_on_cost_and_on_price(basis: PriceBasis) -> None:
    """A quarter of the cost is a fifth of the price."""
    on_cost, on_price = (
        price_of(basis_of(two_walls(), {"margin": {"percent": percent, "of": of}}))
        for percent, of in ((25, "cost"), (20, "price"))
    )

    assert on_cost.net == pytest.approx(1.25 * on_cost.cost, abs=51)
    assert on_cost.net == on_price.net
    assert on_price.margin_percent == pytest.approx(20, abs=0.05)


def test_the_tax_is_that_of_the_day() -> None:
    """The latest rate that holds on the day; the job's own goes before; the oldest before all."""
    vat = {
        name: Vat(id=name, percent=percent, since=since, source="test")
        for name, percent, since in (("old", 19, "2020-01-01"), ("new", 21, "2026-03-01"))
    }
    firm = replace(rates(), vat=vat)

    def tax(pricing: dict[str, object]) -> float:
        return price_of(basis_of(two_walls(), pricing, firm), with_walls=False).vat_percent

    assert tax({"date": "2026-02-28"}) == 19
    assert tax({"date": "2026-03-01"}) == 21
    assert tax({"date": "2019-03-01"}) == 19
    assert tax({"date": "2026-03-01", "vat": 7}) == 7


def test_a_rate_of_tax_that_held_later_is_named(basis: PriceBasis) -> None:
    """Nobody knows what held before the first rate: it is taken, and said."""
    early = price_of(basis_of(two_walls(), {"date": "2019-03-01"}), with_walls=False)

    assert early.vat_source.endswith(
        "; holds since 2020-01-01 only; no rate is known for 2019-03-01, the day of the quotation"
    )
    assert "no rate is known" not in price_of(basis, with_walls=False).vat_source


def test_discounts_above_the_price_are_refused() -> None:
    full = price_of(basis_of(two_walls(), {}), with_walls=False)
    before = full.net - full.of_kind("rounding")
    tenth = {"text": "t", "percent": 10, "reason": "r"}
    for amount, fits in ((before / 100, True), (before / 100 + 1, False)):
        pricing = {"discounts": [{"text": "gift", "amount": amount, "reason": "r"}]}
        if fits:
            assert price_of(basis_of(two_walls(), pricing), with_walls=False).net == 0
        else:
            with pytest.raises(
                InputError, match=r"pricing.discounts: given .*, accepted: at most .* together"
            ):
                price_of(basis_of(two_walls(), pricing), with_walls=False)
    both = [{"text": "gift", "amount": before / 100, "reason": "r"}, tenth]
    with pytest.raises(InputError, match="discounts"):
        price_of(basis_of(two_walls(), {"discounts": both}), with_walls=False)
    everything = [{**tenth, "text": str(number)} for number in range(10)]
    assert price_of(basis_of(two_walls(), {"discounts": everything}), with_walls=False).net == 0


def test_mark_ups_of_the_whole_price_are_refused(basis: PriceBasis) -> None:
    """No cost is nothing of its price: the sum would have no end."""
    for name in ("margin", "overhead"):
        whole = {**rates().markups, name: MarkUp(id=name, percent=100, of="price", source="test")}
        with pytest.raises(InputError, match=rf"{name}: given '100 %', accepted: below 100 % of the price"):
            price_of(replace(basis, rates=replace(rates(), markups=whole)), with_walls=False)


def test_pieces_are_whole_in_words(price: Price) -> None:
    """2,000 pieces, not 2,000.00 piece; metres keep their decimals."""
    said = [line.working for line in price.labour] + [line.basis for line in price.lines]

    assert not any(
        re.search(r"\.0+ pieces?\b|[^0-9.,]1 pieces|(?<![.,\d])(?!1 )[\d,.]+ piece\b", one) for one in said
    )
    assert any(re.search(r"\b[\d,]+ pieces\b", one) for one in said)
    assert any(re.search(r"\d\.\d{3} m ×", one) for one in said)


def test_skips_are_whole(basis: PriceBasis) -> None:
    """0.133 t of board in skips of 0.05 t: three skips, and nothing for a tonne."""
    left = basis.left_kg["boards"] / 1000
    firm = replace(
        rates(),
        waste={"gypsum": Disposal(id="gypsum", groups=("boards",), skip=40.0, skip_t=0.05, source="test")},
    )
    line = next(line for line in price_of(replace(basis, rates=firm)).lines if line.part == "waste")

    assert 0.1 < left < 0.15
    assert line.total == 3 * 4000
    assert "3 skips" in line.basis


def test_the_heights_of_the_work_call_for_a_platform(basis: PriceBasis) -> None:
    """No board above 2.7 m, no platform; where all are above reach it stays all days."""
    high = replace(
        basis,
        work=replace(basis.work, amounts=tuple(replace(one, above=one.amount) for one in basis.work.amounts)),
    )
    names = [
        {line.text: line.amount for line in price_of(each).lines if line.part == "plant"}
        for each in (basis, high)
    ]

    assert "wheeled platform with guard rails" not in names[0]
    assert names[1]["wheeled platform with guard rails"] == price_of(high).crew.days


def test_currencies_must_agree(basis: PriceBasis) -> None:
    with pytest.raises(InputError, match="currency of the rates: given 'EUR', accepted: XTS"):
        price_of(replace(basis, order=replace(basis.order, currency="XTS")))


def test_what_has_no_price_is_said(basis: PriceBasis) -> None:
    assert price_of(replace(basis, order=replace(basis.order, unpriced=("board-Q",)))).unpriced == (
        "board-Q",
    )


def test_an_article_that_stands_in_is_shared_by_its_group(basis: PriceBasis) -> None:
    line = order_line("boards", "another-board", 1001, "somebody")
    order = replace(basis.order, lines=(*basis.order.lines, line))
    found = next(one for one in price_of(replace(basis, order=order)).lines if one.text == "another-board")

    assert sorted(found.shares) == [500, 501]


def test_overhead_of_the_price() -> None:
    """A fifth of the sum after it is a quarter of the cost before it."""
    markups = {**rates().markups, "overhead": MarkUp(id="overhead", percent=20, of="price", source="test")}
    price = price_of(basis_of(two_walls(), {}, replace(rates(), markups=markups)), with_walls=False)

    assert price.of_kind("overhead") == pytest.approx(price.direct / 4, abs=1)


@given(st.integers(-10_000, 10_000), st.lists(st.floats(0, 1e6), min_size=1, max_size=12))
def test_shares_are_whole_and_fair(total: int, weights: list[float]) -> None:
    shares = share_out(total, weights)

    assert sum(shares) == total
    whole = sum(weights)
    if whole > 1e-3:
        for share, weight in zip(shares, weights, strict=True):
            assert abs(share - total * weight / whole) < 1.001


def test_money_as_people_read_it() -> None:
    assert [money(0), money(-1), money(100_000), money(99, "EUR")] == [
        "0.00",
        "-0.01",
        "1,000.00",
        "0.99 EUR",
    ]
