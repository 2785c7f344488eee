"""Price lists: the one of the package, a firm's over it, and everything wrong with one said at once."""

from __future__ import annotations

from math import isnan
from pathlib import Path

import pytest

from innerleaf.errors import FileFaults
from innerleaf.practice.load import CATALOGUES, load_practice
from innerleaf.practice.prices import ARTICLES, Operation, load_prices

PRACTICE = load_practice()
DEMO = Path(__file__).parents[2] / "examples" / "demo" / "prices.yaml"


def test_the_list_of_the_package_prices_every_article() -> None:
    prices = load_prices(PRACTICE)
    missing = [
        (section, article)
        for section in ARTICLES
        for article in getattr(PRACTICE, section)
        if isnan(prices.price(section, article))
    ]

    assert missing == []
    assert set(ARTICLES) <= set(CATALOGUES)
    assert set(prices.work) == set(Operation)
    assert "invented" in prices.source


def test_a_firm_replaces_whole_sections() -> None:
    """The demo firm buys no CW-50; hours and carbon, of which its file says nothing, stay."""
    ours, theirs = load_prices(PRACTICE, DEMO), load_prices(PRACTICE)

    assert isnan(ours.price("profiles", "CW-50"))
    assert ours.price("profiles", "CW-75") == 2.10
    assert (ours.work, ours.carbon) == (theirs.work, theirs.carbon)
    assert ours.source != theirs.source


def test_everything_wrong_is_said_at_once(tmp_path: Path) -> None:
    own = tmp_path / "ours.yaml"
    own.write_text(
        "source: ''\n"
        "prices: {}\n"
        "boards: {board-A-12.5: -1, board-D-12.5: true}\n"
        "insulation: [wool-40]\n"
        "work: {track: {fitter: 2}, dance: {fitter: 1, helper: 1, source: s}}\n"
        "carbon: {source: s, screws: {screw-25: 0.1}, walls: {}}\n"
    )
    with pytest.raises(FileFaults) as error:
        load_prices(PRACTICE, own)
    said = "\n".join(error.value.faults)

    for line, words in (
        (1, "source: given '', accepted: a text that is not empty"),
        (2, "prices: given 'prices', accepted: source, currency, date"),
        (3, "boards.board-A-12.5: given -1, accepted: a number, 0 or more"),
        (3, "boards.board-D-12.5: given True"),
        (4, "insulation: given ['wool-40'], accepted: a group of names and values"),
        (5, "work.track.helper: given None"),
        (5, "work.track.source: given None"),
        (5, "work.dance: given 'dance'"),
        (5, "work.member: given None"),
        (6, "carbon.walls: given 'walls'"),
    ):
        assert any(f":{line}:" in each and words in each for each in said.splitlines()), words


def test_a_list_that_cannot_be_read_is_a_fault(tmp_path: Path) -> None:
    with pytest.raises(FileFaults, match="cannot be opened"):
        load_prices(PRACTICE, tmp_path / "none.yaml")
    (tmp_path / "list.yaml").write_text("- 1\n")
    with pytest.raises(FileFaults, match="the file: given"):
        load_prices(PRACTICE, tmp_path / "list.yaml")
