"""The figures for frames: whole, with sources, about materials that there are; faults have their line."""

from __future__ import annotations

from dataclasses import fields
from pathlib import Path

import pytest

from innerleaf.errors import FileFaults
from innerleaf.practice import structure
from innerleaf.practice.load import load_practice, practice_sets
from innerleaf.practice.model import ProfileUse
from innerleaf.practice.structure import load_structure, read_structure, structure_of

FILE = Path(structure.__file__).with_name("structure.yaml")


def test_every_entry_has_a_source_in_the_words_of_the_practice_page() -> None:
    figures = load_structure()
    words = ("read", "from memory", "common practice, no source", "invented", "elasticity", "inner radius")
    for section in fields(figures):
        for entry in getattr(figures, section.name).values():
            assert entry.source.strip().startswith(words), (section.name, entry.id)


def test_the_entries_the_program_asks_for_are_there() -> None:
    figures = load_structure()

    assert {"strip"} <= set(figures.steel)
    assert {ProfileUse.STUD, ProfileUse.CHANNEL} == set(figures.folds)
    assert {"area-1", "area-2"} <= set(figures.cases)
    assert {"painted", "tiled"} == set(figures.finishes)
    assert ({"lever"}, {"bracket"}, {"track-fixing"}) == tuple(
        set(section) for section in (figures.hung, figures.springs, figures.perimeter)
    )


@pytest.mark.parametrize("name", practice_sets())
def test_anchors_hold_in_materials_that_there_are(name: str) -> None:
    """Each material is named once, or the choice of the anchor would hang on the order of the file."""
    held = [material for anchor in load_structure().anchors.values() for material in anchor.holds]

    assert len(held) == len(set(held))
    assert set(held) <= set(load_practice(name).materials)


def test_everything_wrong_is_said_at_once(tmp_path: Path) -> None:
    path = tmp_path / "structure.yaml"
    text = FILE.read_text("utf-8").replace("ratio: 240", "ratio: -240").replace("safety: 1.8", "safty: 1.8")
    path.write_text(text.replace("springs:", "strings:"), encoding="utf-8")

    with pytest.raises(FileFaults) as caught:
        read_structure(path)

    said = str(caught.value)
    lines = path.read_text("utf-8").splitlines()
    assert f"{path}:{lines.index('    ratio: -240') + 1}:" in said
    for part in (
        "finishes.painted",
        "anchors.concrete",
        "'safty'",
        "strings: given 'strings'",
        "section springs",
    ):
        assert part in said


@pytest.mark.parametrize("text", ["[]", "steel: 3", "steel: {}"])
def test_no_such_file(tmp_path: Path, text: str) -> None:
    path = tmp_path / "structure.yaml"
    path.write_text(text, encoding="utf-8")

    with pytest.raises(FileFaults, match="the section steel"):
        read_structure(path)


OURS = """\
source: our book of anchors (invented)
structure:
  finishes:
    painted: {ratio: 300}
  anchors:
    ours: {holds: [brick-1800], pull_n: 1500, shear_n: 1800, safety: 2.0}
    concrete: {pull_n: 1400}
"""


def firm(tmp_path: Path, text: str = OURS) -> Path:
    path = tmp_path / "firm.yaml"
    path.write_text(text, encoding="utf-8")
    return path


def test_a_firm_changes_fields_and_adds_anchors_of_its_own(tmp_path: Path) -> None:
    """Its own come first, so that they are asked before those of the package; sources name both."""
    packaged, ours = load_structure(), structure_of(load_practice("en_metric", firm(tmp_path)))

    assert next(iter(ours.anchors)) == "ours"
    assert set(ours.anchors) == {"ours", *packaged.anchors}
    assert (ours.finishes["painted"].ratio, ours.finishes["tiled"]) == (300, packaged.finishes["tiled"])
    assert (ours.anchors["concrete"].pull_n, ours.anchors["concrete"].holds) == (
        1400,
        packaged.anchors["concrete"].holds,
    )
    assert ours.anchors["ours"].source == "our book of anchors (invented)"
    assert ours.anchors["concrete"].source.startswith("our book of anchors (invented); the rest: invented")


def test_without_changes_the_figures_are_those_of_the_package(tmp_path: Path) -> None:
    plain = load_practice(
        "en_metric", firm(tmp_path, "source: ours (invented)\nrules: {jamb_clear_mm: 200}\n")
    )

    assert structure_of(plain) is load_structure()
    assert structure_of(load_practice()) is load_structure()


def test_what_is_wrong_in_a_firms_figures_has_its_line(tmp_path: Path) -> None:
    path = firm(tmp_path, OURS.replace("ratio: 300", "ratio: -300").replace("safety: 2.0", "safty: 2.0"))
    path.write_text(path.read_text("utf-8") + "  beams: {}\nrules: {jamb_clear_mm: 5}\n", encoding="utf-8")

    with pytest.raises(FileFaults) as caught:
        load_practice("en_metric", path)

    said = str(caught.value)
    for part in (
        f"{path}:4:22: finishes.painted.ratio",
        "anchors.ours.safty",
        "anchors.ours.safety: given None",
        "structure.beams: given 'beams'",
        "rules.jamb_clear_mm",
    ):
        assert part in said, said
