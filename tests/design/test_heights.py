"""The table of heights: beside the catalogue's limits, monotone, and the same on the command line."""

from __future__ import annotations

import json
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import pytest
from tests.test_cli import run

from innerleaf.design.frame.heights import HeightRow, height_rows, spacings_of
from innerleaf.design.frame.profile import bar_of
from innerleaf.physics.frame.beam import Force, Support, bend
from innerleaf.practice.load import load_practice
from innerleaf.practice.structure import load_structure

PRACTICE, STRUCTURE = load_practice(), load_structure()
ROWS = height_rows(PRACTICE, STRUCTURE)


def row(
    profile: str, spacing: float, case: str = "area-1", finish: str = "painted", count: int = 1
) -> HeightRow:
    (found,) = [
        r
        for r in ROWS
        if (r.profile, r.spacing_mm, r.case, r.finish, r.count) == (profile, spacing, case, finish, count)
    ]
    return found


def test_every_combination_has_its_row() -> None:
    studs, channels = 3 * 2, 1  # single and double
    columns = len(STRUCTURE.cases) * len(STRUCTURE.finishes) * len(spacings_of(PRACTICE))

    assert len(ROWS) == (studs + channels) * columns
    assert spacings_of(PRACTICE) == pytest.approx((600, 1250 / 3, 400, 312.5, 300))


def test_a_row_can_be_redone() -> None:
    """CW 50 at 600, area 1, painted: at its height the stud bends by the 240th part, 10 mm higher by more."""
    found = row("CW-50", 600)
    ei = bar_of(PRACTICE.profiles["CW-50"], STRUCTURE).stiffness

    def bends(height: float) -> float:
        return float(bend(height, ei, [Support(0), Support(height)], [Force(0.9, 300)]).greatest_sag().value)

    assert found.governs == "deflection"
    assert bends(found.length_mm / 1000) <= 1 / 240 < bends(found.length_mm / 1000 + 0.010)


def test_nothing_stands_higher_than_the_catalogue_lets_it() -> None:
    """The tables behind the catalogue know impact; calculation may only ask for less."""
    for r in ROWS:
        profile = PRACTICE.profiles[r.profile]
        limit = profile.greatest_height_mm if r.count == 1 else profile.greatest_height_doubled_mm
        most = PRACTICE.rules.bracket_spacing_max_mm if r.channel else limit
        assert r.length_mm == min(most, r.calculated_mm)
        assert (r.governs in ("catalogue", "rule")) == (most <= r.calculated_mm)


def test_better_never_lower() -> None:
    """Closer, deeper, doubled, lighter use, a finish that bears more: never lower."""
    spacings = spacings_of(PRACTICE)
    for case in STRUCTURE.cases:
        for finish in STRUCTURE.finishes:
            for profile in ("CW-50", "CW-75", "CW-100", "CD-60-27"):
                heights = [row(profile, s, case, finish).calculated_mm for s in spacings]
                assert heights == sorted(heights)
            for s in spacings:
                for one, deeper in pairwise(("CW-50", "CW-75", "CW-100")):
                    assert (
                        row(deeper, s, case, finish).calculated_mm >= row(one, s, case, finish).calculated_mm
                    )
                for p in ("CW-50", "CW-75", "CW-100"):
                    single, double = (row(p, s, case, finish, n).calculated_mm for n in (1, 2))
                    assert double >= single
    for r in ROWS:
        assert row(r.profile, r.spacing_mm, "area-2", r.finish, r.count).calculated_mm <= (
            row(r.profile, r.spacing_mm, "area-1", r.finish, r.count).calculated_mm
        )


def test_a_firm_that_sets_studs_closer_gets_no_wider_rows() -> None:
    rules = replace(PRACTICE.rules, member_spacing_max_mm=420)

    assert max(spacings_of(replace(PRACTICE, rules=rules))) == pytest.approx(1250 / 3)


def test_on_the_command_line(tmp_path: Path) -> None:
    """The table and its JSON, by the package's set and by a job's own; a wrong name is a plain mistake."""
    shown, answer = run("heights"), run("heights", "--json")

    assert shown.returncode == answer.returncode == 0
    assert "tested tables and local codes govern" in shown.stdout
    assert "2 × CW-100" in shown.stdout
    said = json.loads(answer.stdout)
    assert [r["length_mm"] for r in said["heights"]] == [r.length_mm for r in ROWS]
    wrong = run("heights", "--practice", "nothing")
    assert (wrong.returncode, "accepted: en_metric" in wrong.stderr) == (2, True)
    demo = Path(__file__).parents[2] / "examples" / "demo" / "job.yaml"
    assert "1250 r" in run("heights", demo).stdout
