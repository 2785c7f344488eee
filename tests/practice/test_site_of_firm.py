"""A firm's own tolerances for checks on site: laid over those of the package, wrong ones refused in words."""

from __future__ import annotations

from pathlib import Path

import pytest
from tests.documents.fixture import a_plan

from innerleaf.errors import FileFaults
from innerleaf.practice.load import load_practice
from innerleaf.practice.site import load_on_site
from innerleaf.site.checks import checks_of, judge

OWN = """\
source: our list (invented)
site:
  tolerances:
    flatness-6: {over_mm: [1000, 2000, 4000], most_mm: [3, 3, 6]}
  limits:
    climate.humidity_percent: {limit: 70, source: agreed with the client (invented)}
"""


def firm(folder: Path, text: str) -> Path:
    (folder / "firm.yaml").write_text(text, encoding="utf-8")
    return folder / "firm.yaml"


def test_checks_are_judged_by_the_firms_own_tolerances(tmp_path: Path) -> None:
    own, common = load_practice(override=firm(tmp_path, OWN)), load_practice()
    for practice, met in ((own, False), (common, True)):
        due = {one.check: one for one in checks_of(a_plan("W-03"), practice)}
        (gap,) = judge(due["flatness"], {"gap_mm": 4.0, "over_mm": 2000.0})
        assert gap.met is met
        humid = {
            one.name: one for one in judge(due["climate"], {"temperature_c": 15, "humidity_percent": 75})
        }
        assert humid["humidity_percent"].met is met
    assert own.on_site is not None
    assert own.on_site.tolerances["flatness-6"].source.startswith("our list (invented)")
    assert own.on_site.tolerances["plumb"] == load_on_site().tolerances["plumb"]
    assert own.on_site.holds == load_on_site().holds


@pytest.mark.parametrize(
    ("said", "words"),
    [
        ("tolerances: {flatness-6: {most_mm: [3, 4]}}", "13 values"),
        ("tolerances: {flatness-6: {between: curve, over_mm: ten}}", "over_mm"),
        ("limits: {plumb.off_mm: {table: plumbness}}", "flatness-5"),
        ("limits: {screw-first.spacing_mm: {rule: screws}}", "docs/practice.md"),
        ("holds: {finish inspection: {text: no}}", "tolerances or limits"),
        ("tolerances: 5", "a group of keys and values"),
        ("limits: {shine.yes: {text: Shiny, unit: 'yes', at_most: false}}", "of a check there is"),
    ],
)
def test_what_cannot_be_used_is_said(tmp_path: Path, said: str, words: str) -> None:
    with pytest.raises(FileFaults, match=words) as refused:
        load_practice(override=firm(tmp_path, f"source: our list (invented)\nsite:\n  {said}\n"))
    assert "firm.yaml" in str(refused.value)
