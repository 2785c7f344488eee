"""Practice sets are data: any set loads as given, and what is wrong with it is said at once."""

from __future__ import annotations

import json
from dataclasses import fields
from pathlib import Path

import pytest

from innerleaf.errors import FileFaults
from innerleaf.practice.load import CATALOGUES, read_practice
from innerleaf.practice.model import ConsumableUse, ProfileUse, Rules

INVENTED = "invented for a test"


def faults_of(folder: Path) -> tuple[str, ...]:
    with pytest.raises(FileFaults) as caught:
        read_practice(folder)
    return caught.value.faults


@pytest.fixture
def third_set(tmp_path: Path) -> Path:
    """A tiny set in inches, unlike any other, all in two files."""
    folder = tmp_path / "third"
    folder.mkdir()
    rules = {
        field.name: {
            "text": field.name,
            "unit": "mm" if field.name.endswith("_mm") else "count",
            "value": 3,
            "low": 1,
            "high": "40 in" if field.name.endswith("_mm") else 9,
            "source": INVENTED,
        }
        for field in fields(Rules)
    }
    rules["member_spacing_max_mm"]["value"] = "24 in"
    rules["screw_edge_bound_min_mm"]["value"] = "3/8 in"
    rules["label_sheet_width_mm"]["value"], rules["label_sheet_height_mm"]["value"] = "8.5 in", "11 in"
    (folder / "a.yaml").write_text(
        json.dumps({"practice": {"title": "Third", "display_unit": "in"}, "rules": rules})
    )
    steel = {"sheet_mm": 0.5, "lip_mm": 0, "mass_kg_m": 0.5, "splice_overlap_mm": 0, "greatest_height_mm": 0}
    size = {"depth_mm": "3 5/8 in", "face_mm": "1 1/4 in", "stock_lengths_mm": ["8 ft", "10 ft"]}
    use = {"unit": "mm", "pack": "50 ft", "source": INVENTED}
    catalogue = {
        "profiles": {
            "T1": {**steel, **size, "use": "track", "fits": "", "source": INVENTED},
            "S1": {**steel, **size, "use": "stud", "fits": "T1", "source": INVENTED},
            "P1": {**steel, **size, "use": "perimeter", "fits": "", "source": INVENTED},
            "C1": {**steel, **size, "use": "channel", "fits": "P1", "source": INVENTED},
        },
        "boards": {
            "B1": {
                "type": "plain",
                "thickness_mm": "1/2 in",
                "width_mm": "4 ft",
                "lengths_mm": ["8 ft", "10 ft"],
                "mass_kg_m2": 8,
                "conductivity_w_mk": 0.2,
                "for_wet_rooms": False,
                "source": INVENTED,
            }
        },
        "insulation": {
            "W1": {
                "thickness_mm": "3 1/2 in",
                "width_mm": "24 in",
                "length_mm": "4 ft",
                "density_kg_m3": 20,
                "conductivity_w_mk": 0.04,
                "source": INVENTED,
            }
        },
        "brackets": {"K1": {"reach_min_mm": 10, "reach_max_mm": 90, "mass_kg": 0.1, "source": INVENTED}},
        "membranes": {
            "M1": {"width_mm": 900, "length_mm": 9000, "sd_m": 9, "lap_mm": 90, "source": INVENTED}
        },
        "screws": {"N1": {"length_mm": "1 1/4 in", "pack": 9, "source": INVENTED}},
        "consumables": {f"U{order}": {**use, "use": str(kind)} for order, kind in enumerate(ConsumableUse)},
        "materials": {
            "X1": {
                "density_kg_m3": 1500,
                "conductivity_w_mk": 0.7,
                "mu_dry": 9,
                "mu_wet": 5,
                "heat_j_kgk": 900,
                "source": INVENTED,
            }
        },
        "junctions": {
            "slab": {"material": "X1", "thickness_mm": "6 in", "bearing_mm": 0, "source": INVENTED},
        },
    }
    (folder / "b.yaml").write_text(json.dumps(catalogue))
    return folder


def test_another_set_loads_as_given(third_set: Path) -> None:
    """No rule, no unit and no article is wired into code."""
    practice = read_practice(third_set)

    assert (practice.id, practice.title, practice.display_unit) == ("third", "Third", "in")
    assert practice.rules.member_spacing_max_mm == 610
    assert practice.rules.screw_edge_bound_min_mm == 10
    assert practice.rules.bracket_spacing_max_mm == 3
    assert practice.profiles["S1"].stock_lengths_mm == (2438, 3048)
    assert practice.profiles["S1"].use is ProfileUse.STUD
    assert practice.boards["B1"].thickness_mm == 12.7
    assert practice.consumable(ConsumableUse.SEALANT).pack == 15_240
    assert [list(getattr(practice, section)) for section in ("boards", "screws")] == [["B1"], ["N1"]]


def test_a_set_must_be_whole(third_set: Path) -> None:
    """Missing rules, sections, head fields and uses are all said at once."""
    (third_set / "a.yaml").write_text("practice: {title: Third, display_unit: yard}\nrules: {}\n")

    faults = faults_of(third_set)

    assert f"{third_set / 'a.yaml'}:1:26: practice.display_unit: given 'yard', accepted: mm or in." in faults
    assert {f"{third_set}: the rule {field.name} is missing." for field in fields(Rules)} <= set(faults)
    assert f"{third_set}: the section rules is missing." in faults
    (third_set / "b.yaml").unlink()
    assert {f"{third_set}: the section {section} is missing." for section in CATALOGUES} <= set(
        faults_of(third_set)
    )


def test_a_set_must_serve_every_use(third_set: Path) -> None:
    said = json.loads((third_set / "b.yaml").read_text())
    del said["consumables"]["U0"]
    del said["profiles"]["C1"]
    (third_set / "b.yaml").write_text(json.dumps(said))

    assert faults_of(third_set) == (
        f"{third_set}: no consumable serves as sealing strip.",
        f"{third_set}: no profile serves as channel.",
    )


def test_rules_of_a_set_keep_their_unit_and_name(third_set: Path) -> None:
    said = json.loads((third_set / "a.yaml").read_text())
    said["rules"]["coat_wait_min"]["unit"] = "mm"
    said["rules"]["strip_min_mm"]["unit"] = "min"
    (third_set / "a.yaml").write_text(json.dumps(said))
    faults = faults_of(third_set)
    assert any(
        "rules.coat_wait_min.unit: given 'mm', accepted: the unit of the rule, which is no length" in fault
        for fault in faults
    )
    assert any("rules.strip_min_mm.unit: given 'min', accepted: mm." in fault for fault in faults)

    said["rules"]["mood_mm"] = said["rules"].pop("strip_min_mm")
    (third_set / "a.yaml").write_text(json.dumps(said))
    faults = faults_of(third_set)
    assert any("rules.mood_mm: given 'mood_mm', accepted: a rule listed in docs" in fault for fault in faults)
    assert f"{third_set}: the rule strip_min_mm is missing." in faults


def test_an_id_stands_once_in_a_set(third_set: Path) -> None:
    (third_set / "c.yaml").write_text("screws:\n  N1: {length_mm: 40, pack: 1, source: s}\n")

    assert faults_of(third_set) == (
        f"{third_set / 'c.yaml'}:2:3: screws.N1: given 'N1', accepted: an id used once in the set.",
    )


def test_files_that_cannot_be_read_are_all_named(third_set: Path) -> None:
    (third_set / "c.yaml").write_text("a: b: c\n")
    (third_set / "d.yaml").write_text("a: *b\n")

    assert [fault.split(": ")[0] for fault in faults_of(third_set)] == [
        f"{third_set / 'c.yaml'}:1:5",
        f"{third_set / 'd.yaml'}:1:4",
    ]


def test_a_folder_without_a_set(tmp_path: Path) -> None:
    assert faults_of(tmp_path) == (f"{tmp_path}: there is no practice set here (a folder of .yaml files).",)
