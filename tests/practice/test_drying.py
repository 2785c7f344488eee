"""The figures of drying: whole, with sources; faults have their line."""

from __future__ import annotations

from dataclasses import fields
from pathlib import Path

import pytest

from innerleaf.errors import FileFaults
from innerleaf.practice import drying
from innerleaf.practice.drying import load_drying, read_drying
from innerleaf.programme.steps import PRIME, SKIM, TAPE

FILE = Path(drying.__file__).with_name("drying.yaml")


def test_every_entry_has_a_source() -> None:
    words = ("read", "from memory", "common practice, no source", "hours about")
    for section in fields(load_drying()):
        for entry in getattr(load_drying(), section.name).values():
            assert entry.source.startswith(words), (section.name, entry.id)


def test_what_the_programme_asks_for_is_there() -> None:
    assert {TAPE, "coat", SKIM, "fill", PRIME} == set(load_drying().coats)
    assert load_drying().compound.hours == 9
    assert load_drying().air.least_c == 10


@pytest.mark.parametrize(
    ("good", "bad", "fault"),
    [
        ("hours: 9 ", "hours: nine ", "a number from 0 to 2000"),
        ("least_c: 10", "least_c: 400", "a number from -60 to 150"),
        ("at_mm: 1.6", "thick_mm: 1.6", "a value; it is missing"),
    ],
)
def test_faults_have_their_line(good: str, bad: str, fault: str, tmp_path: Path) -> None:
    text = FILE.read_text("utf-8")
    assert good in text
    path = tmp_path / "drying.yaml"
    path.write_text(text.replace(good, bad), encoding="utf-8")
    with pytest.raises(FileFaults) as told:
        read_drying(path)

    assert fault in str(told.value.faults)
    assert "drying.yaml:" in str(told.value.faults)
