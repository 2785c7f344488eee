"""The sound figures that come with the package, and files that are wrong."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from innerleaf.errors import FileFaults, InputError
from innerleaf.practice.acoustics import FOLDER, load_acoustics, read_acoustics
from innerleaf.practice.load import load_practice

ACOUSTICS = load_acoustics()


def test_every_figure_has_a_source() -> None:
    for section in ("boards", "frames", "cavities", "fibres", "solids", "workmanship", "uncertainty"):
        for entry in getattr(ACOUSTICS, section).values():
            assert entry.source


def test_boards_of_the_practice_set_have_figures() -> None:
    for board in load_practice("en_metric").boards.values():
        assert board.type in ACOUSTICS.boards


def test_solids_bear_ids_of_the_practice_set_and_its_density() -> None:
    materials = load_practice("en_metric").materials
    own = {"lightweight-block", "hollow-block-normal", "hollow-block-light"}

    assert set(ACOUSTICS.solids) - set(materials) == own
    for key in set(ACOUSTICS.solids) - own - {"sandstone"}:  # masonry of sandstone, not the stone
        assert ACOUSTICS.solids[key].density_kg_m3 == materials[key].density_kg_m3


def test_wool_of_usual_density_has_the_least_resistivity_the_standard_asks_for() -> None:
    """ISO 12354-1:2017 annex D: 5 kPa·s/m²."""
    wool = ACOUSTICS.fibres["mineral-wool"]

    assert wool.flow_resistivity(wool.usual_density_kg_m3) == pytest.approx(5000, rel=0.02)
    assert wool.flow_resistivity(60) > wool.flow_resistivity(30)
    with pytest.raises(InputError, match="density"):
        wool.flow_resistivity(0)


def test_faults_are_told_all_at_once(tmp_path: Path) -> None:
    folder = tmp_path / "acoustics"
    shutil.copytree(FOLDER, folder)
    (folder / "boards.yaml").write_text("boards:\n  A: 3\n", encoding="utf-8")
    (folder / "fibres.yaml").write_text("wool: {}\n", encoding="utf-8")
    cavities = (folder / "cavities.yaml").read_text(encoding="utf-8").replace("fill_loss: 0", "fill_loss: -0")
    (folder / "cavities.yaml").write_text(cavities, encoding="utf-8")

    with pytest.raises(FileFaults) as told:
        read_acoustics(folder)
    said = str(told.value)
    assert "A: an entry with fields is needed" in said
    assert "the section fibres" in said
    assert "fill_loss" in said
