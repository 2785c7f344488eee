"""Files of rates: the one of the package, a firm's over it, and everything wrong with one said at once."""

from __future__ import annotations

from pathlib import Path

import pytest
from tests.conftest import ROOT

from innerleaf.errors import FileFaults
from innerleaf.layout.pieces import RunKind
from innerleaf.practice.load import load_practice
from innerleaf.practice.prices import load_prices
from innerleaf.practice.rates import GROUPS, Extra
from innerleaf.practice.rates_read import load_rates
from innerleaf.takeoff.count import COATS
from innerleaf.takeoff.take import _GROUPS

PRACTICE = load_practice()
PRICES = load_prices(PRACTICE)
DEMO = ROOT / "examples" / "demo" / "rates.yaml"


def test_the_rates_of_the_package_say_that_they_are_invented() -> None:
    rates = load_rates(PRACTICE, PRICES)

    assert "invented" in rates.source
    assert set(rates.kinds) <= {*map(str, RunKind), *COATS}  # a kind that is nowhere counted would be in vain
    assert GROUPS == _GROUPS


def test_minutes_and_hours_of_the_price_list_are_not_said_twice() -> None:
    """What linings are chosen by is what they are priced by."""
    rates = load_rates(PRACTICE, PRICES)

    for operation, minutes in PRICES.work.items():
        assert rates.minutes[operation][:2] == (minutes.fitter, minutes.helper)
    assert rates.labour["fitter"] == PRICES.rates["fitter"]


def test_a_firm_changes_entries_and_replaces_lists() -> None:
    ours, theirs = load_rates(PRACTICE, PRICES, DEMO), load_rates(PRACTICE, PRICES)

    assert ours.minutes[Extra.NOTCH][0] == 5.0
    assert ours.minutes[Extra.BAR_CUT] == theirs.minutes[Extra.BAR_CUT]
    assert ours.figure("hours of a day") == 7.5
    assert ours.figure("reach") == theirs.figure("reach")
    assert "setting up and clearing the site" not in ours.preliminaries
    assert ours.spread == theirs.spread


def test_everything_wrong_is_said_at_once(tmp_path: Path) -> None:
    own = tmp_path / "ours.yaml"
    own.write_text(
        "source: ''\n"
        "date: tomorrow\n"
        "labour: {fitter: 40}\n"
        "people: {jointer: {value: -1, source: s}}\n"
        "crew: {fitter: {people: two, source: s}, boss: {people: 1, source: s}}\n"
        "work: {notch in a board: {fitter: 4}}\n"
        "kinds: [cross joint]\n"
        "drilling: {cheese: {times: 0.1, source: s}}\n"
        "plant: {crane: {price: 10, per: hour, source: s}}\n"
        "vat: {low: {percent: 7, since: 1.1.2026, source: s}}\n"
        "texts: {terms: {lines: [''], source: s}}\n"
    )
    with pytest.raises(FileFaults) as error:
        load_rates(PRACTICE, PRICES, own)
    said = error.value.faults

    for line, words in (
        (1, "source: given '', accepted: a text that is not empty"),
        (2, "date: given 'tomorrow', accepted: a day such as 2026-01-15"),
        (3, "labour: given 'labour', accepted: source, currency, date, people, crew"),
        (4, "people.jointer.value: given -1, accepted: a number from 0"),
        (5, "crew.fitter.people: given 'two', accepted: a number from 0 to 100"),
        (5, "crew.boss: given 'boss', accepted: fitter, helper, jointer"),
        (6, "work.notch in a board.source: given None, accepted: a value; it is missing"),
        (7, "kinds: given ['cross joint'], accepted: a group of names and values"),
        (8, "drilling.cheese: given 'cheese', accepted: aac-500"),
        (9, "plant.crane.per: given 'hour', accepted: job, week, day, day above reach"),
        (10, "vat.low.since: given '1.1.2026', accepted: a day such as"),
        (11, "texts.terms.lines: given [''], accepted: a list of texts, none empty"),
    ):
        assert any(f"ours.yaml:{line}:" in each and words in each for each in said), (words, said)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (
            "payments: {all: {percent: 90, done_percent: 100, source: s}}",
            "payments: given '90 %', accepted: ",
        ),
        ("spread: {days: {low: 5, high: 9, source: s}}", "spread.days: given '5 to 9', accepted: low from"),
        ("figures: {reach: {value: 2, source: s}}", "figures.reach.value: given 2.0, accepted: 1000 to"),
        ("crew: {helper: {people: 0, source: s}}", "crew.helper.people: given 0.0, accepted: above 0"),
        ("currency: USD", "currency: given 'USD', accepted: EUR, the currency of the price list"),
        (
            "waste:\n  a: {groups: [boards], source: s}\n  b: {groups: [boards, soup], source: s}",
            "waste.b.groups: given 'boards', accepted: a group once; it is in a already",
        ),
        ("markups: {margin: {percent: 100, of: price, source: s}}", "below 100 % of the price"),
        ("vat: {}", "vat: given 'no rate', accepted: one rate at least"),
    ],
)
def test_what_does_not_go_together_is_said(text: str, words: str, tmp_path: Path) -> None:
    own = tmp_path / "ours.yaml"
    own.write_text(text)
    with pytest.raises(FileFaults) as error:
        load_rates(PRACTICE, PRICES, own)

    assert any("ours.yaml:" in line and words in line for line in error.value.faults), error.value.faults


def test_a_file_that_is_not_there_is_a_fault(tmp_path: Path) -> None:
    with pytest.raises(FileFaults, match="cannot be opened"):
        load_rates(PRACTICE, PRICES, tmp_path / "none.yaml")
