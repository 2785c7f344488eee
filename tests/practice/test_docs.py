"""The page on practice says what the data says."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from innerleaf.practice.load import CATALOGUES, load_practice, read_practice

PAGE = (Path(__file__).parents[2] / "docs" / "practice.md").read_text("utf-8")


def test_the_page_lists_every_rule_as_it_is() -> None:
    rows = [
        f"| `{note.name}` | {note.value} | {note.low} to {note.high} | {note.unit} | {note.text} |"
        for note in load_practice().rule_notes
    ]

    assert re.findall(r"^\| `\w+` \| \d.*$", PAGE, re.MULTILINE) == rows


@pytest.mark.parametrize("section", CATALOGUES)
def test_the_page_lists_every_article(section: str) -> None:
    articles = ", ".join(f"`{article}`" for article in getattr(load_practice(), section))

    assert f"| {section} | {articles} |" in PAGE.splitlines()


def test_the_firm_file_on_the_page_can_be_used(tmp_path: Path) -> None:
    """The example is read as it stands, and does what the page says."""
    (example,) = re.findall(r"```yaml\n(.*?)```", PAGE, re.DOTALL)
    path = tmp_path / "firm.yaml"
    path.write_text(example)

    practice = load_practice("en_metric", path)

    assert (practice.rules.member_spacing_max_mm, practice.rules.jamb_clear_mm) == (500, 200)
    assert practice.profiles["CW-75"].stock_lengths_mm == (2800, 3600)
    assert practice.profiles["CW-75"].depth_mm == 75
    assert practice.screws["screw-30"].pack == 500


def test_the_folder_named_on_the_page_is_the_set() -> None:
    folder = Path(__file__).parents[2] / "src/innerleaf/practice/en_metric"

    assert "src/innerleaf/practice/en_metric/" in PAGE
    assert read_practice(folder) == load_practice()
