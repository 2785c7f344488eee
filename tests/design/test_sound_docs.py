"""The page on prediction says what the functions say: its examples run."""

from __future__ import annotations

import doctest
from pathlib import Path

ROOT = Path(__file__).parents[2]


def test_the_examples_of_the_page_run() -> None:
    results = doctest.testfile(str(ROOT / "docs" / "sound.md"), module_relative=False, encoding="utf-8")

    assert results.attempted > 10
    assert results.failed == 0
