"""The packaged set loads at once; a firm lays its own file over it, and hears all that is wrong with it."""

from __future__ import annotations

import json
import re
import subprocess
import sys
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from innerleaf.errors import FileFaults, InputError
from innerleaf.practice import load
from innerleaf.practice.load import load_practice, practice_sets

FOLDER = Path(load.__file__).parent / "en_metric"


def firm(tmp_path: Path, text: str) -> Path:
    path = tmp_path / "firm.yaml"
    path.write_text(text)
    return path


def test_the_packaged_set_is_read_once() -> None:
    assert "en_metric" in practice_sets()
    assert load_practice("en_metric") is load_practice()


def test_unknown_set() -> None:
    with pytest.raises(InputError, match="practice: given 'en_imperial', accepted: en_metric"):
        load_practice("en_imperial")


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

    with pytest.raises(FileFaults) as caught:
        load_practice("en_metric", path)
    faults = caught.value.faults

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
    (
        "rules: {label_columns: 4}",
        "rules.label_width_mm.value: given 70, accepted: at most 52, as label_columns (4) of them lie on",
    ),
    ("screws: {screw-25: {source: [ours]}}", "screws.screw-25.source: given ['ours'], accepted: a text"),
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
