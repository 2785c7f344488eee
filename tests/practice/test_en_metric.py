"""The metric set held against what stands outside it: standards, handbooks, the trade.

None of the standards was read in full; what was read second-hand and what is remembered is said at
each value, here and in the data.
"""

from __future__ import annotations

import math
import re
from dataclasses import fields
from itertools import pairwise
from typing import Any

import pytest

from innerleaf.practice.load import CATALOGUES, load_practice
from innerleaf.practice.model import ConsumableUse, Practice, ProfileUse, Rules

STEEL_KG_M3 = 7850
HONEST = re.compile(r"(read|from memory|computed|common practice, no source|invented|declared)\b")


@pytest.fixture(scope="module")
def practice() -> Practice:
    return load_practice("en_metric")


def entries(practice: Practice) -> list[Any]:
    return [entry for section in CATALOGUES for entry in getattr(practice, section).values()]


# Facts of the trade: common practice, no source.


def test_brackets_1500_apart_up_the_channel_and_600_along_the_wall(practice: Practice) -> None:
    assert practice.rules.bracket_spacing_max_mm == 1500
    assert practice.rules.bracket_row_spacing_max_mm == 600


def test_studs_600_apart(practice: Practice) -> None:
    assert practice.rules.member_spacing_max_mm == 600


def test_screws_250_apart_in_the_layer_that_is_seen(practice: Practice) -> None:
    assert practice.rules.screw_spacing_final_max_mm == 250


def test_free_standing_linings_for_sound_stand_on_75_or_100(practice: Practice) -> None:
    least = practice.rules.free_standing_sound_depth_min_mm
    studs = [profile.depth_mm for profile in practice.profiles.values() if profile.use is ProfileUse.STUD]

    assert sorted(depth for depth in studs if depth >= least) == [75, 100]


def test_coats_grow_from_100_to_300_and_wait_two_hours(practice: Practice) -> None:
    rules = practice.rules

    assert (rules.coat_1_width_mm, rules.coat_2_width_mm, rules.coat_3_width_mm) == (100, 200, 300)
    assert rules.coat_wait_min == 2 * 60


@pytest.mark.parametrize("profile", ["UW-50", "UW-75", "UW-100", "UD-28-27", "CW-50", "CW-75", "CW-100"])
def test_each_perimeter_profile_has_its_sealing_strip(practice: Practice, profile: str) -> None:
    """A strip made for that depth, not merely the widest."""
    depth = practice.profiles[profile].depth_mm
    strip = practice.consumable(ConsumableUse.SEALING_STRIP, depth)

    assert depth <= strip.width_mm <= depth + 2


def test_a_practice_can_hold_good_work(practice: Practice) -> None:
    """Movement joints, stagger and clearances as the trade states them."""
    rules = practice.rules

    assert rules.movement_joint_spacing_max_mm == 15_000
    assert rules.cross_joint_stagger_min_mm == 400
    assert 150 <= rules.jamb_clear_mm <= 200
    assert 200 <= rules.strip_min_mm <= 300
    assert rules.board_gap_floor_mm == 10
    assert 10 <= rules.stud_short_of_height_mm <= 15
    assert (rules.screw_edge_bound_min_mm, rules.screw_edge_cut_min_mm) == (10, 15)
    assert rules.screw_beyond_steel_min_mm == 10


# DIN 18182-1, geometry as read in a handbook (webs of C studs 1.2 below nominal, flange 50, sheet 0.6;
# UA and CD likewise) and, for U profiles, from memory (leg 40). Depth across the lining is nominal.
GEOMETRY = [
    # id, depth, face, developed width at 0.6
    ("CW-50", 50, 50, 48.8 + 50 + 48.8 + 2 * 6 - 4 * 0.6),
    ("CW-75", 75, 50, 73.8 + 50 + 48.8 + 2 * 6 - 4 * 0.6),
    ("CW-100", 100, 50, 98.8 + 50 + 48.8 + 2 * 6 - 4 * 0.6),
    ("UW-50", 50, 40, 50 + 2 * 40 - 2 * 0.6),
    ("UW-75", 75, 40, 75 + 2 * 40 - 2 * 0.6),
    ("UW-100", 100, 40, 100 + 2 * 40 - 2 * 0.6),
    ("CD-60-27", 27, 60, 60 + 2 * 27 + 2 * 6 - 4 * 0.6),
    ("UD-28-27", 28, 27, 28 + 2 * 27 - 2 * 0.6),
]


@pytest.mark.parametrize(("profile_id", "depth", "face", "developed"), GEOMETRY)
def test_profiles_against_din_18182(
    practice: Practice, profile_id: str, depth: int, face: int, developed: float
) -> None:
    """Nominal sizes, and the mass that the section must have."""
    profile = practice.profiles[profile_id]

    assert (profile.depth_mm, profile.face_mm, profile.sheet_mm) == (depth, face, 0.6)
    assert profile.mass_kg_m == pytest.approx(developed * 0.6e-6 * STEEL_KG_M3, abs=0.001)


# Section areas computed with a general section program for the sharp-cornered profiles.
@pytest.mark.parametrize(
    ("profile_id", "area_mm2"), [("CW-75", 109.32), ("CW-50", 94.32), ("CD-60-27", 74.16), ("UW-75", 92.28)]
)
def test_masses_against_computed_sections(practice: Practice, profile_id: str, area_mm2: float) -> None:
    mass = practice.profiles[profile_id].mass_kg_m

    assert mass == pytest.approx(area_mm2 * 1e-6 * STEEL_KG_M3, abs=0.001)


def test_two_studs_go_higher_by_the_cube_root_of_two(practice: Practice) -> None:
    """Deflection over height goes with pressure times height cubed over stiffness."""
    studs = [profile for profile in practice.profiles.values() if profile.use is ProfileUse.STUD]

    assert len(studs) == 3
    for stud in studs:
        exact = stud.greatest_height_mm * math.cbrt(2)
        assert exact - 5 < stud.greatest_height_doubled_mm <= exact


def test_deeper_studs_go_higher(practice: Practice) -> None:
    """Free-standing linings, from memory of DIN 18183-1: 2.6, 3.0 to 3.5 and 4.0 to 4.25 m."""
    heights = [practice.profiles[stud].greatest_height_mm for stud in ("CW-50", "CW-75", "CW-100")]

    assert heights == [2600, 3500, 4250]


def test_studs_reach_their_greatest_height(practice: Practice) -> None:
    """Single or spliced: two stock lengths less the overlap are enough for each height."""
    for profile in practice.profiles.values():
        longest = profile.stock_lengths_mm[-1]
        if profile.use is ProfileUse.STUD:
            assert profile.greatest_height_doubled_mm <= 2 * longest - profile.splice_overlap_mm


def test_board_masses(practice: Practice) -> None:
    """8.5 to 10 kg/m2 for 12.5 mm: a board of 1.25 x 2.60 m weighs 28 to 33 kg (computed)."""
    boards = [board for board in practice.boards.values() if board.thickness_mm == 12.5]

    assert {board.type for board in boards} == {"A", "H", "D", "F"}
    assert {board.width_mm for board in boards} == {1200, 1250}
    for board in boards:
        assert 8.5 <= board.mass_kg_m2 <= 10
        assert 27 < board.mass_kg_m2 * 1.25 * 2.60 < 33


def test_boards_of_controlled_density(practice: Practice) -> None:
    """EN 520 type D: at least 0.8e3 kg/m3 (from memory)."""
    for board in practice.boards.values():
        if board.type == "D":
            assert board.mass_kg_m2 / board.thickness_mm * 1000 >= 800


def test_only_boards_that_take_up_little_water_go_into_wet_rooms(practice: Practice) -> None:
    assert {board.type for board in practice.boards.values() if board.for_wet_rooms} == {"H"}


# ISO 10456:2007 Table 3 and DIN 4108-4 Table 1, from memory: density, conductivity, mu dry, mu wet.
MATERIALS = [
    ("concrete-2200", 2200, 1.65, 120, 70),
    ("concrete-2400", 2400, 2.0, 130, 80),
    ("reinforced-concrete-1", 2300, 2.3, 130, 80),
    ("cement-render", 1800, 1.0, 10, 6),
    ("lime-render", 1600, 0.8, 10, 6),
    ("gypsum-plaster-1000", 1000, 0.4, 10, 6),
    ("timber-500", 500, 0.13, 50, 20),
    ("brick-1800", 1800, 0.81, 10, 5),
    ("calcium-silicate-1800", 1800, 0.99, 25, 15),
]


@pytest.mark.parametrize(("material_id", "density", "conductivity", "dry", "wet"), MATERIALS)
def test_materials(
    practice: Practice, material_id: str, density: float, conductivity: float, dry: float, wet: float
) -> None:
    material = practice.materials[material_id]

    assert (material.density_kg_m3, material.conductivity_w_mk) == (density, conductivity)
    assert (material.mu_dry, material.mu_wet) == (dry, wet)


def test_materials_are_physical(practice: Practice) -> None:
    """A wet cup never finds more resistance than a dry one; nothing insulates better than still air."""
    for material in practice.materials.values():
        assert material.mu_dry >= material.mu_wet >= 1, material.id
        assert 0.02 < material.conductivity_w_mk < (60 if material.id == "steel" else 3), material.id
        assert 400 <= material.heat_j_kgk <= 2000, material.id


def test_membranes_hold_back_vapour(practice: Practice) -> None:
    """Polyethylene, ISO 10456:2007 Table 5 (from memory): 0.15 mm 50 m, 0.25 mm 100 m."""
    assert practice.membranes["membrane-PE-0.15"].sd_m == 50
    assert practice.membranes["membrane-PE-0.25"].sd_m == 100


def test_brackets_reach_from_30_to_200_without_a_gap(practice: Practice) -> None:
    reaches = sorted((bracket.reach_min_mm, bracket.reach_max_mm) for bracket in practice.brackets.values())

    assert reaches[0][0] <= 30
    assert reaches[-1][1] >= 200
    assert all(following[0] <= before[1] for before, following in pairwise(reaches))


@pytest.mark.parametrize("layers", [1, 2, 3])
def test_a_screw_for_each_packet(practice: Practice, layers: int) -> None:
    """Up to three layers of any one board, with the steel and 10 mm beyond it."""
    longest = max(screw.length_mm for screw in practice.screws.values())

    for board in practice.boards.values():
        assert layers * board.thickness_mm + 0.6 + practice.rules.screw_beyond_steel_min_mm <= longest


def test_slabs_for_each_bay_and_each_stud(practice: Practice) -> None:
    wool = [slab for slab in practice.insulation.values() if not slab.carries_board]
    slabs = {(slab.thickness_mm, slab.width_mm) for slab in wool}

    assert slabs == {(thickness, width) for thickness in (40, 50, 60, 75, 80, 100) for width in (600, 625)}


def test_thin_slabs_for_reveals_carry_a_board(practice: Practice) -> None:
    """Thin, so that a window's frame is left; stiff, so that a board can be bonded to them."""
    stiff = sorted(slab.thickness_mm for slab in practice.insulation.values() if slab.carries_board)

    assert stiff == [20, 30, 40]


def test_bays_of_every_board_are_lawful_under_tiles(practice: Practice) -> None:
    """Three bays to a board (400 at 1200 wide, 416.7 at 1250)."""
    for board in practice.boards.values():
        assert board.width_mm / 3 <= practice.rules.member_spacing_tiled_mm


# Sources.


def test_every_value_says_where_it_comes_from(practice: Practice) -> None:
    """And whether it was read, remembered, computed, is common practice, or is invented."""
    assert len(practice.rule_notes) == len(fields(Rules))
    for said in (*practice.rule_notes, *entries(practice)):
        assert HONEST.match(said.source), said


def test_rules_stand_in_the_middle_of_their_range(practice: Practice) -> None:
    """A range leaves a firm room: it is never a single value."""
    for note in practice.rule_notes:
        assert note.low <= note.value <= note.high
        assert note.low < note.high, note.name
        assert getattr(practice.rules, note.name) == note.value
