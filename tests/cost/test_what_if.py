"""Changes in words: each reckoned anew, nothing extrapolated, mistakes said."""

from __future__ import annotations

from dataclasses import replace

import pytest
from tests.cost.by_hand import SUPPLIERS, basis_of, rates, two_walls

from innerleaf.cost.model import Order
from innerleaf.cost.price import price_of
from innerleaf.cost.price_model import PriceBasis
from innerleaf.cost.what_if import changed_by, check_words, sensitivities, usual, what_if
from innerleaf.errors import InputError
from innerleaf.practice.rates import Extra


@pytest.fixture(scope="module")
def basis() -> PriceBasis:
    """Two walls at the rates of the practice set."""
    return basis_of(two_walls())


def test_dearer_boards_are_those_lines_alone(basis: PriceBasis) -> None:
    """A tenth of what boards cost, with overhead and margin on it."""
    base, (changed,) = what_if(basis, ["boards +10 %"])
    boards = sum(line.total for line in basis.order.lines if line.group == "boards")

    assert changed.change_of_cost == pytest.approx(0.1 * boards * 1.12, abs=2)
    assert changed.change_of_net == pytest.approx(0.1 * boards * 1.12 / 0.92, abs=100)
    assert changed.margin_kept == base.margin - changed.change_of_cost
    assert changed.margin_kept_percent < base.margin_percent


def test_it_is_the_price_of_other_rates_exactly(basis: PriceBasis) -> None:
    """The same as if the firm's file had said so, rounding of hours included."""
    dear = replace(rates(), labour={trade: rate * 1.05 for trade, rate in rates().labour.items()})
    slow = dict(rates().minutes)
    fitter, helper, source = slow[Extra.NOTCH]
    slow[Extra.NOTCH] = (fitter * 1.5, helper * 1.5, source)
    _, changes = what_if(basis, ["labour +5 %", "minutes of notch in a board +50 %"])

    for changed, own in zip(changes, (dear, replace(rates(), minutes=slow)), strict=True):
        price = price_of(replace(basis, rates=own), with_walls=False)
        assert (changed.cost, changed.net, changed.gross) == (price.cost, price.net, price.gross)


def test_two_more_days_pay_the_whole_crew(basis: PriceBasis) -> None:
    """Two fitters, a helper, a jointer, two days of eight hours; plant by day, the foreman by week."""
    _, (changed,) = what_if(basis, ["days +2"])
    labour = 2 * 8 * (2 * 4600 + 3400 + 4400)
    site = 2 * (1600 + 600) + 2 * 18000 // 5

    assert changed.change_of_cost == pytest.approx((labour + site) * 1.12 + labour * 0.02, abs=3)
    assert changed.days == price_of(basis).crew.days + 2


def test_tax_changes_only_what_the_client_pays(basis: PriceBasis) -> None:
    base, (changed,) = what_if(basis, ["VAT 19 %"])

    assert (changed.change_of_cost, changed.change_of_net) == (0, 0)
    assert changed.change_of_gross == pytest.approx(-base.net / 100, abs=1)


def test_a_margin_can_be_asked_for(basis: PriceBasis) -> None:
    price = price_of(changed_by(basis, "margin 12.5 %"))

    assert price.margin_percent == pytest.approx(12.5, abs=0.05)
    assert price_of(changed_by(basis, "overhead 0 %")).of_kind("overhead") == 0


def test_changes_joined_by_a_comma_come_together(basis: PriceBasis) -> None:
    both = changed_by(basis, "boards +10 %, days +2")

    assert both == changed_by(changed_by(basis, "days +2"), "boards +10 %")


def test_a_missing_supplier_is_bought_around(basis: PriceBasis) -> None:
    """The order is made anew without him; what nobody else sells is said, not dropped in silence."""
    asked: list[str] = []

    def rebuy(supplier: str) -> Order:
        asked.append(supplier)
        lines = tuple(line for line in basis.order.lines if line.supplier != supplier)
        return replace(basis.order, lines=lines, unpriced=("board-A-12.5",))

    _, (changed,) = what_if(basis, [f"without {SUPPLIERS[1]}"], rebuy)

    assert asked == [SUPPLIERS[1]]
    assert changed.unpriced == ("board-A-12.5",)
    assert changed_by(basis, "without mill lane", rebuy).order.unpriced == ("board-A-12.5",)


NEED_MORE = ("boards -110 %", "days -2", "VAT 120 %", "margin 100 %")  # the words are right, the figures not


@pytest.mark.parametrize(
    "words",
    [
        "",
        "boards",
        "boards 10 %",
        "boards +10",
        "doors +10 %",
        "boards -110 %",
        "days -2",
        "days two",
        "minutes of dancing +5 %",
        "without",
        "VAT 120 %",
        "margin 100 %",
        "rm -rf",
    ],
)
def test_words_that_say_no_change_are_refused(basis: PriceBasis, words: str) -> None:
    with pytest.raises(InputError, match="what if"):
        changed_by(basis, words)
    if words not in NEED_MORE:
        with pytest.raises(InputError, match="what if"):
            check_words([words])


def test_a_supplier_that_sells_nothing_here_is_refused(basis: PriceBasis) -> None:
    with pytest.raises(InputError, match=r"supplier: given 'Nobody', accepted: one of Mill Lane Boards"):
        changed_by(basis, "without Nobody")


def test_every_usual_change_can_be_reckoned(basis: PriceBasis) -> None:
    words = usual(basis)
    _, changes = what_if(basis, words, lambda _: basis.order)

    check_words(words)
    assert [changed.words for changed in changes] == list(words)
    assert {"boards +10 %", "labour +5 %", "days +2", "VAT 21 %"} < set(words)


def test_the_ten_greatest_are_the_ten_greatest(basis: PriceBasis) -> None:
    """By brute force over every input, each 10 % more; rounding of the net price left out."""
    told = sensitivities(basis)
    base = price_of(basis)
    names = {f"minutes of {line.work}" for line in base.labour}
    names |= {line.group for line in base.lines if line.part == "material"}
    names |= {"deliveries", "plant", "preliminaries", "waste", "overhead"}
    changes = []
    for name in names:
        after = price_of(changed_by(basis, f"{name} +10 %"))
        changes.append(after.net - after.of_kind("rounding") - base.net + base.of_kind("rounding"))

    assert len(told) == 10
    assert [each.change_of_net for each in told] == sorted(changes, reverse=True)[:10]
