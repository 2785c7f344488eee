"""Practice sets are data: any set loads as given, and what is wrong is said at once, with its place."""

from __future__ import annotations

import json
import re
import subprocess
import sys
import time
from dataclasses import fields
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from innerleaf.errors import FileFaults, InputError
from innerleaf.practice.load import CATALOGUES, load_practice, practice_sets, read_practice
from innerleaf.practice.model import ConsumableUse, ProfileUse, Rules

INVENTED = "invented for a test"


def faults_of(folder: Path, override: Path | None = None) -> tuple[str, ...]:
    with pytest.raises(FileFaults) as caught:
        read_practice(folder, override)
    return caught.value.faults


def firm(tmp_path: Path, text: str) -> Path:
    path = tmp_path / "firm.yaml"
    path.write_text(text)
    return path


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


def test_the_packaged_set_is_read_once() -> None:
    assert "en_metric" in practice_sets()
    assert load_practice("en_metric") is load_practice()


def test_unknown_set() -> None:
    with pytest.raises(InputError, match="practice: given 'en_imperial', accepted: en_metric"):
        load_practice("en_imperial")


def test_loading_takes_no_time() -> None:
    """Under 60 ms for the packaged set, so that `check` can answer at once (best of three)."""
    folder = Path(sys.modules["innerleaf.practice.load"].__file__ or "").parent / "en_metric"

    def once() -> float:
        start = time.perf_counter()
        read_practice(folder)
        return time.perf_counter() - start

    assert min(once() for _ in range(3)) < 0.06


def test_loading_needs_no_heavy_library() -> None:
    script = (
        "import sys; from innerleaf.practice.load import load_practice; load_practice();"
        "print(*sorted({'pydantic', 'numpy', 'shapely', 'typst', 'ezdxf'} & set(sys.modules)))"
    )

    done = subprocess.run([sys.executable, "-c", script], check=True, capture_output=True, text=True)

    assert done.stdout.strip() == ""


# A firm's own file.


def test_a_firm_moves_rules_and_articles(tmp_path: Path) -> None:
    """Its values and its source are in the set; everything else stays."""
    standard = load_practice()
    path = firm(
        tmp_path,
        "source: our own list of March (invented)\n"
        "rules:\n"
        "  member_spacing_max_mm: 500\n"
        "  jamb_clear_mm: {value: 20 cm, source: our site handbook (invented)}\n"
        "profiles:\n"
        "  CW-75: {stock_lengths_mm: [2.8 m, 3600]}\n"
        "screws:\n"
        "  screw-30: {length_mm: 30, pack: 500}\n",
    )

    practice = load_practice("en_metric", path)

    assert practice.rules.member_spacing_max_mm == 500
    assert practice.rules.jamb_clear_mm == 200
    notes = {note.name: note for note in practice.rule_notes}
    assert notes["member_spacing_max_mm"].source.startswith("our own list of March (invented); within the")
    assert notes["jamb_clear_mm"].source.startswith("our site handbook (invented); within the range of: from")
    assert notes["jamb_clear_mm"].high == 200
    assert practice.profiles["CW-75"].stock_lengths_mm == (2800, 3600)
    assert practice.profiles["CW-75"].mass_kg_m == standard.profiles["CW-75"].mass_kg_m
    assert practice.profiles["CW-75"].source.startswith("our own list of March (invented); the rest: read:")
    assert practice.screws["screw-30"].source == "our own list of March (invented)"
    assert practice.title == "Europe, metric, as changed by: our own list of March (invented)"
    assert practice.boards == standard.boards
    assert load_practice() == standard, "the set itself has not changed"


def test_all_faults_of_a_firm_at_once(tmp_path: Path) -> None:
    path = firm(
        tmp_path,
        "source: ours\n"
        "rules:\n"
        "  member_spacing_max_mm: 700\n"
        "  member_spacing: 500\n"
        "  jamb_clear_mm: {value: 160, low: 0}\n"
        "  strip_min_mm: wide\n"
        "profiles:\n"
        "  CW-75: {fits: UW-50, colour: grey}\n"
        "  CW-60: {use: stud}\n"
        "paint: {}\n"
        "boards: 12\n",
    )

    faults = faults_of(Path(sys.modules["innerleaf.practice.load"].__file__ or "").parent / "en_metric", path)

    expected = [
        ":3:26: rules.member_spacing_max_mm.value: given 700, accepted: 300 to 625 mm (ours; within",
        ":4:3: rules.member_spacing: given 'member_spacing', accepted: a rule of the practice set",
        ":5:31: rules.jamb_clear_mm.low: given 'low', accepted: value or source.",
        ":6:17: rules.strip_min_mm.value: given 'wide', accepted: a length up to 10 km",
        ":8:24: profiles.CW-75.colour: given 'colour', accepted: use, depth_mm, ",
        ":9:3: profiles.CW-60.depth_mm: given None, accepted: a value; it is missing.",
        ":10:1: paint: given 'paint', accepted: rules, profiles, boards",
        ":11:1: boards: given 12, accepted: a group of keys and values.",
    ]
    for start in expected:
        assert any(fault.startswith(f"{path}{start}") for fault in faults), (start, faults)


def test_a_firm_must_say_its_source(tmp_path: Path) -> None:
    for text in ("rules: {strip_min_mm: 250}\n", "source: ''\n", "[1, 2]\n", "source: 7\n"):
        with pytest.raises(FileFaults, match=r"firm\.yaml:1:\d+: source: given .*, accepted: a text: where"):
            load_practice("en_metric", firm(tmp_path, text))


def test_a_firm_file_that_is_not_there(tmp_path: Path) -> None:
    with pytest.raises(FileFaults, match=r"none\.yaml:1:1: this file cannot be opened"):
        load_practice("en_metric", tmp_path / "none.yaml")


# What entries have to do with each other. Each case: a firm's file that breaks one thing.
DISAGREEMENTS = [
    (
        "profiles: {CW-75: {fits: UW-50}}",
        "profiles.CW-75.depth_mm: given 75, accepted: at most that of UW-50 (50)",
    ),
    (
        "profiles: {CW-75: {fits: UD-28-27}}",
        "profiles.CW-75.fits: given 'UD-28-27', accepted: UW-50 or UW-75 or",
    ),
    ("profiles: {CW-75: {fits: ''}}", "profiles.CW-75.fits: given '', accepted: UW-50 or UW-75 or UW-100"),
    ("profiles: {UW-75: {fits: UW-75}}", "profiles.UW-75.fits: given 'UW-75', accepted: nothing for a track"),
    (
        "profiles: {CW-75: {greatest_height_doubled_mm: 3000}}",
        "profiles.CW-75.greatest_height_doubled_mm: given 3000, accepted: 0, or at least greatest_height_mm",
    ),
    (
        "profiles: {CW-75: {splice_overlap_mm: 6000}}",
        "profiles.CW-75.splice_overlap_mm: given 6000, accepted: less than the longest stock length (6000)",
    ),
    (
        "brackets: {bracket-20-75: {reach_max_mm: 20}}",
        "brackets.bracket-20-75.reach_max_mm: given 20, accepted: above reach_min_mm (20)",
    ),
    (
        "membranes: {membrane-PE-0.15: {lap_mm: 2000}}",
        "membranes.membrane-PE-0.15.lap_mm: given 2000, accepted: less than width_mm (2000)",
    ),
    (
        "consumables: {tape-75: {unit: yard}}",
        "consumables.tape-75.unit: given 'yard', accepted: mm, piece, kg",
    ),
    (
        "rules: {screw_spacing_first_max_mm: 200}",
        "rules.screw_spacing_final_max_mm.value: given 250, accepted: at most screw_spacing_first_max_mm",
    ),
    ("screws: {screw-25: {length_mm: 0}}", "screws.screw-25.length_mm: given 0, accepted: above 0"),
    ("screws: {screw-25: {pack: true}}", "screws.screw-25.pack: given True, accepted: a whole number"),
    ("screws: {screw-25: {pack: 2.5}}", "screws.screw-25.pack: given 2.5, accepted: a whole number"),
    (
        "boards: {board-A-15: {type: ''}}",
        "boards.board-A-15.type: given '', accepted: a text that is not empty",
    ),
    ("boards: {board-A-15: {type: 5}}", "boards.board-A-15.type: given 5, accepted: a text"),
    (
        "boards: {board-A-15: {lengths_mm: [3000, 2000]}}",
        "boards.board-A-15.lengths_mm: given [3000, 2000], accepted: a list, smallest first, nothing twice",
    ),
    (
        "boards: {board-A-15: {lengths_mm: []}}",
        "boards.board-A-15.lengths_mm: given [], accepted: a list, smallest first, nothing twice",
    ),
    (
        "profiles: {CW-75: {use: beam}}",
        "profiles.CW-75.use: given 'beam', accepted: stud, track, channel, perimeter",
    ),
    (
        "profiles: {CW-75: {use: [stud]}}",
        "profiles.CW-75.use: given ['stud'], accepted: stud, track, channel",
    ),
    ("profiles: {CW-75: {lip_mm: -1}}", "profiles.CW-75.lip_mm: given -1, accepted: 0 or more"),
    ("materials: {aac-500: {mu_dry: much}}", "materials.aac-500.mu_dry: given 'much', accepted: a number"),
    ("materials: {aac-500: 3}", "materials.aac-500: given 3, accepted: a group of fields"),
]


@pytest.mark.parametrize(("said", "expected"), DISAGREEMENTS, ids=[said for said, _ in DISAGREEMENTS])
def test_what_does_not_go_together_is_refused(tmp_path: Path, said: str, expected: str) -> None:
    with pytest.raises(FileFaults) as caught:
        load_practice("en_metric", firm(tmp_path, f"source: ours\n{said}\n"))

    (fault,) = caught.value.faults
    assert expected in fault


# A set of one's own.


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


NAMES = st.sampled_from(["rules", "profiles", "CW-75", "strip_min_mm", "value", "source", "use", "fits", "x"])
LEAVES = st.one_of(
    st.none(), st.booleans(), st.integers(-5, 5000), st.sampled_from(["stud", "6 m", "", "x", "1 in"])
)
TREES = st.recursive(
    LEAVES,
    lambda inner: st.one_of(st.lists(inner, max_size=3), st.dictionaries(NAMES, inner, max_size=4)),
    max_leaves=10,
)


@settings(max_examples=150, deadline=None)
@given(st.dictionaries(NAMES, TREES, max_size=4))
def test_no_firm_file_breaks_the_loader(
    tmp_path_factory: pytest.TempPathFactory, said: dict[str, object]
) -> None:
    """A practice set or lines about faults, whatever a firm writes."""
    path = tmp_path_factory.getbasetemp() / "firm.yaml"
    path.write_text(json.dumps({"source": "ours", **said}))

    faults: tuple[str, ...] = ()
    try:
        load_practice("en_metric", path)
    except FileFaults as error:
        faults = error.faults

    assert all(re.match(rf"{path}:\d+:\d+: ", fault) or "en_metric" in fault for fault in faults)
