"""Supply lists: what they say, what is refused, and that they are written as they are read."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from tests.cost.small_takeoff import PRACTICE, SUPPLY, supply

from innerleaf.cost.price_money import cents
from innerleaf.cost.supply import Break, mass_of_pack
from innerleaf.cost.supply_file import GROUPS, load_supply, supply_of
from innerleaf.cost.supply_text import supply_text
from innerleaf.cost.supply_values import content_of
from innerleaf.errors import FileFaults
from innerleaf.practice.measures import articles, measure_of
from innerleaf.reading import read_text
from innerleaf.takeoff.take import _GROUPS

DEMO = Path(__file__).parents[2] / "examples" / "demo" / "supply.yaml"


def faults(text: str) -> str:
    """All that is wrong with a supply list."""
    with pytest.raises(FileFaults) as error:
        supply_of(read_text(text, "supply.yaml"), PRACTICE)
    return "\n".join(error.value.faults)


def test_lists_that_come_with_the_program_say_that_they_are_invented() -> None:
    for path in (None, DEMO):
        read = load_supply(PRACTICE, path)
        assert "invented" in read.source
        assert all("invented" in name for name in read.suppliers)
        assert all(stand_in.source for stand_in in read.stand_ins.values())
        assert read.phases_source


def test_phases_hold_every_group_of_a_takeoff() -> None:
    assert sorted(GROUPS) == sorted(set(_GROUPS) - {"joints"})  # those measure work
    assert sorted(g for groups in load_supply(PRACTICE).phases.values() for g in groups) == sorted(GROUPS)


def test_every_article_is_counted_somehow() -> None:
    for article in articles(PRACTICE):
        measure = measure_of(PRACTICE, article)
        assert measure is not None
        assert measure.by_length == (measure.unit in ("mm", "mm2") and measure.piece != "piece")
    assert measure_of(PRACTICE, "board") is None


def test_prices_are_those_of_a_pack_whatever_they_are_said_for() -> None:
    """8 bars of 2.6 m at 2.15 a metre are 44.72; a break from 100 m is one from 5 packs (20.8 m each)."""
    text = SUPPLY.replace(
        "code: A-CW, pack: 4, price: 2, per: m}",
        "code: A-CW, pack: 8, price: 2.15, per: m, breaks: [{quantity: 100, price: 2}]}",
    )
    short = supply(text).offers[0]

    assert short.prices == (Break(1, 4472), Break(5, 4160))
    assert [short.price_for(packs).price for packs in (0, 1, 4, 5)] == [4472, 4472, 4472, 4160]
    assert mass_of_pack(PRACTICE, short) == pytest.approx(8 * 2.6 * 0.858)


@pytest.mark.parametrize(
    ("article", "pack", "length", "per", "content"),
    [
        ("CW-75", 8, 3000, "m", 24),
        ("CW-75", 8, 3000, "piece", 8),
        ("board-A-12.5", 10, 2500, "m2", 30),
        ("board-A-12.5", 10, 2500, "kg", None),
        ("screw-25", 200, 0, "1000", 0.2),
        ("screw-25", 200, 0, "m", None),
        ("strip-70", 30_000, 0, "m", 30),
        ("compound-25", 25, 0, "kg", 25),
        ("compound-25", 25, 0, "piece", None),
        ("membrane-variable", 1, 40_000, "m2", 60),
    ],
)
def test_how_many_a_price_is_for(
    article: str, pack: float, length: int, per: str, content: float | None
) -> None:
    measure = measure_of(PRACTICE, article)
    assert measure is not None
    found = content_of(measure, pack, length, per)
    assert found == (None if content is None else pytest.approx(content))


def test_halves_of_a_hundredth_go_up() -> None:
    assert [cents(x) for x in (0.005, 0.0049, 2.675, 1.1)] == [1, 0, 268, 110]


@pytest.mark.parametrize(
    ("good", "bad", "words"),
    [
        ("format: 1", "format: 2", "supply.yaml:2:9: format: given 2, accepted: 1."),
        ("EUR", "euro", "currency: given 'euro', accepted: three capital letters"),
        ("date: 2026-01-15", "date: 15.1.2026", "accepted: a date such as 2026-01-15"),
        ("charge: 40", "charge: -40", "supplier Alder (invented): charge: given -40"),
        ("article: UW-75", "article: UW-7S", "did you mean UW-75?"),
        (
            "length: 4000, supplier: Alder (invented)",
            "length: 4000, supplier: Elder",
            "one of `suppliers`: Alder",
        ),
        ("length: 4000", "length: 4 m", "length: given '4 m', accepted: a whole number from 10 to 100000"),
        ("pack: 2, price: 7", "pack: 1.5, price: 7", "pack: given 1.5, accepted: a whole number"),
        ("price: 7, per: piece", "price: 0, per: piece", "price: given 0, accepted: a number above 0"),
        (
            "price: 7, per: piece",
            "price: 7, per: m2",
            "per: given 'm2', accepted: pack, piece, 100, 1000, m.",
        ),
        ("price: 3.00}]", "price: 3.50}]", "each cheaper than the one before"),
        ("{packs: 10, price: 3.00}", "{price: 3.00}", "either `packs` or `quantity`"),
        ("code: B-25s", "code: B-25", "each code of a supplier once"),
        ("lead_days: 3}", "lead_days: 3, colour: red}", "'colour' is not known"),
        ("by: [board-H-12.5]", "by: [board-H-12.5x1250]", "counted as board-A-12.5 is, and as wide"),
        ("boards: [boards, beads, jointing]", "boards: [boards]", "each once of frame, brackets"),
        (
            "screw-25, supplier: Birch (invented), code: B-25s",
            "screw-25, length: 25, supplier: Birch (invented), code: B-25s",
            "no length: screw-25 is bought by the pack",
        ),
    ],
)
def test_what_cannot_be_used_is_said(good: str, bad: str, words: str) -> None:
    assert good in SUPPLY
    assert words in faults(SUPPLY.replace(good, bad, 1))


def test_everything_is_said_at_once() -> None:
    text = SUPPLY.replace("EUR", "euro").replace("pack: 2, price: 7", "pack: 0, price: x")

    assert len(faults(text).splitlines()) == 2  # of one offer the first thing
    assert len(faults(text.replace("charge: 40", "charge: x")).splitlines()) == 3  # its offers are not blamed
    assert "a group of" in faults("[]")


def test_a_list_is_written_as_it_is_read(tmp_path: Path) -> None:
    """Strange names of suppliers too."""
    strange = SUPPLY.replace("Birch (invented)", "'Birch: \"& sons\" # (invented)'")
    for read in (supply(), supply(strange), load_supply(PRACTICE, DEMO)):
        path = tmp_path / "new.yaml"
        path.write_text(supply_text(read, PRACTICE, "two\nlines"), encoding="utf-8")
        of_set = load_supply(PRACTICE).joining
        assert load_supply(PRACTICE, path) == replace(read, joining=read.joining or of_set)


def test_whose_offers_hold(tmp_path: Path) -> None:
    """A firm with a price list alone does not buy from invented suppliers; sections that it lacks stay."""
    own = tmp_path / "supply.yaml"
    own.write_text(SUPPLY.split("stand_ins:")[0])

    assert load_supply(PRACTICE).offers
    assert load_supply(PRACTICE, offers_of_set=False).offers == ()
    ours = load_supply(PRACTICE, own, offers_of_set=False)
    assert len(ours.offers) == 8
    assert ours.stand_ins == load_supply(PRACTICE).stand_ins
    assert ours.phases == load_supply(PRACTICE).phases
