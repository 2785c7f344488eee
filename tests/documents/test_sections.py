"""Sections show each layer with its name and thickness."""

from __future__ import annotations

from dataclasses import replace
from random import Random

import pytest
from tests.documents.fixture import a_plan, a_wall, practice
from tests.layout.walls import random_wall

from innerleaf.documents.boarding import spans_at
from innerleaf.documents.buildup import build_layers, material_hatch
from innerleaf.documents.pages import section_page
from innerleaf.documents.recorder import Recorder
from innerleaf.documents.section_place import section_bay
from innerleaf.documents.sections import SHEET_HEIGHT_MM, SHEET_WIDTH_MM, depths_vary, draw_sections
from innerleaf.documents.sheet import Hatch
from innerleaf.layout.plan import plan_wall
from innerleaf.survey.wall import MemberBuild, ObstacleKind, OffsetGrid, Way


def test_depths_run_from_the_old_wall_to_the_face_of_the_lining() -> None:
    sheet = Recorder()
    draw_sections(sheet, a_plan(), practice())

    said = [call.words for call in sheet.of("running")]
    assert said == ["120", "107.5", "95", "20", "0"]  # gap 20, studs 75, two boards of 12.5


def test_every_layer_is_named() -> None:
    sheet = Recorder()
    draw_sections(sheet, a_plan(), practice())
    words = " / ".join(sheet.words())

    for name in (
        "lime-render 20",
        "brick-1800 365",
        "wool-50",
        "CW-75",
        "membrane-PE-0.25",
        "layer 2: board-A-12.5",
    ):
        assert name in words
    for name in ("screed", "concrete slab", "on sealing strip", "board gap 10, sealed", "clear gap 20"):
        assert name in words


def test_old_layers_are_hatched_by_material() -> None:
    hatches = [layer.hatch for layer in build_layers(a_plan(), practice()).old]

    assert hatches == [Hatch.PLASTER, Hatch.BRICK, Hatch.PLASTER]


@pytest.mark.parametrize(
    ("material", "hatch"),
    [
        ("reinforced-concrete-1", Hatch.CONCRETE),
        ("sandstone", Hatch.STONE),
        ("mineral-wool", Hatch.INSULATION),
        ("timber-450", Hatch.TIMBER),
        ("aac-500", Hatch.BLOCK),
    ],
)
def test_hatch_of_a_material(material: str, hatch: Hatch) -> None:
    assert material_hatch(material) is hatch


def test_the_boards_end_where_the_build_up_says() -> None:
    for way in Way:
        plan = a_plan("W-06", way)
        assert build_layers(plan, practice()).boards[-1].end_mm == plan.build_up.total_mm


@pytest.mark.parametrize(
    ("build", "name", "studs"),
    [
        (MemberBuild.SINGLE, "stud CW-75 at 600", 1),
        (MemberBuild.DOUBLED, "studs back to back CW-75 at 600", 2),
        (MemberBuild.BOXED, "boxed studs CW-75 at 600", 2),
    ],
)
def test_studs_are_drawn_as_they_are_built(build: MemberBuild, name: str, studs: int) -> None:
    wall = a_wall()
    plan = plan_wall(replace(wall, lining=replace(wall.lining, build=build)), practice())
    bay = section_bay(plan)
    sheet = Recorder()
    draw_sections(sheet, plan, practice())

    shown = [
        m
        for m in plan.members
        if m.bottom_mm <= bay.level_mm <= m.top_mm and bay.left_mm <= m.x_mm <= bay.right_mm
    ]
    shapes = [call for call in sheet.of("line", "CUT") if len(call.points) == 6]
    assert len(shapes) == studs * len(shown) == studs * 2
    assert name in sheet.words()


def test_a_wall_whose_make_is_unknown_says_so() -> None:
    plan = a_plan()
    plan = replace(plan, wall=replace(plan.wall, construction=()))
    sheet = Recorder()
    draw_sections(sheet, plan, practice())

    assert "existing wall, make not surveyed" in sheet.words()


def test_the_bay_is_clear_of_openings() -> None:
    plan = a_plan()
    bay = section_bay(plan)

    assert bay.to_mm - bay.from_mm == pytest.approx(600, abs=30)
    assert not any(o.x_mm < bay.to_mm and o.right_mm > bay.from_mm for o in plan.wall.openings)


@pytest.mark.parametrize("seed", range(150))
def test_the_whole_stretch_that_is_cut_is_wall(seed: int) -> None:
    """Also what is shown beyond the bay: no opening, column or beam, nothing outside the outline."""
    plan = plan_wall(random_wall(Random(seed)), practice())
    wall, bay = plan.wall, section_bay(plan)
    solid = [o for o in wall.obstacles if o.kind in (ObstacleKind.COLUMN, ObstacleKind.BEAM)]
    taken = [(o.x_mm, o.right_mm, o.sill_mm, o.head_mm) for o in wall.openings]
    taken += [(o.x_mm, o.x_mm + o.width_mm, o.y_mm, o.y_mm + o.height_mm) for o in solid]

    assert bay.left_mm <= bay.from_mm < bay.to_mm <= bay.right_mm
    assert not any(
        left < bay.right_mm and right > bay.left_mm and low < bay.level_mm < high
        for left, right, low, high in taken
    )
    stretches = spans_at([wall.outline], bay.level_mm)
    assert any(left <= bay.left_mm and bay.right_mm <= right for left, right in stretches)


def test_a_wall_without_a_bay_is_cut_where_it_is_widest() -> None:
    plan = a_plan()
    bay = section_bay(replace(plan, members=()))

    assert (bay.left_mm, bay.right_mm) == (0, 600)
    assert not any(o.sill_mm < bay.level_mm < o.head_mm for o in plan.wall.openings)


def test_sections_say_where_they_are_cut() -> None:
    plan = a_plan()
    bay = section_bay(plan)
    sheet = Recorder()
    draw_sections(sheet, plan, practice())
    words = " / ".join(sheet.words())

    assert f"A–A · level at height {bay.level_mm:.0f}, x {bay.left_mm:.0f} to {bay.right_mm:.0f}" in words
    assert f"B–B · floor, x {bay.middle_mm:.0f}" in words
    assert f"B–B · head, x {bay.middle_mm:.0f}" in words


def test_on_a_surveyed_wall_depths_are_said_from_least_to_greatest() -> None:
    assert depths_vary(a_plan()) == ""

    wall = a_wall("W-07", Way.BRACKETED)
    bow = OffsetGrid(xs_mm=(0, 2400, 4800), ys_mm=(0, 2650), offsets_mm=((0, 18, -4), (3, 22, 0)))
    plan = plan_wall(replace(wall, offsets=bow), practice())
    reach = [bracket.projection_mm for bracket in plan.brackets]
    sheet = Recorder()
    draw_sections(sheet, plan, practice())
    beside = " ".join(note.text for note in section_page(plan, practice()).notes)

    assert "−4 to +22 off that plane" in beside
    assert f"brackets project {min(reach)} to {max(reach)}" in beside
    assert any("clear gap" in words and "as surveyed" in words for words in sheet.words())


@pytest.mark.parametrize("seed", range(40))
def test_sections_of_any_wall_keep_their_words_apart_and_on_the_paper(seed: int) -> None:
    sheet = Recorder()
    draw_sections(sheet, plan_wall(random_wall(Random(seed)), practice()), practice())

    assert sheet.overlaps() == []
    boxes = [call.box for call in sheet.of("text") if call.box]
    assert all(b[0] >= 0 and b[2] <= SHEET_WIDTH_MM and b[1] >= 0 and b[3] <= SHEET_HEIGHT_MM for b in boxes)
