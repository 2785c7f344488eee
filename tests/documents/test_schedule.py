"""Schedules hold every piece, and every rule not kept."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from tests.documents.fixture import a_corridor, a_gable, a_plan, a_wall, bare, practice, with_findings

from innerleaf.documents import boarding
from innerleaf.documents.cautions import CAUTIONS, cautions_for
from innerleaf.documents.cuts import draw_sketch, sketches_of
from innerleaf.documents.pages import FIELD_HEIGHT_MM, FIELD_WIDTH_MM, board_pages, frame_page, schedule_page
from innerleaf.documents.recorder import Recorder
from innerleaf.documents.schedule import (
    Table,
    bar_table,
    board_note,
    board_table,
    bracket_table,
    end_cut,
    filling_table,
    finding_table,
    fixing_table,
    mark_ranges,
    projection_table,
    run_table,
)
from innerleaf.documents.view import View, fit_parts
from innerleaf.findings import Finding
from innerleaf.layout.pieces import WallPlan
from innerleaf.layout.plan import plan_wall
from innerleaf.survey.wall import Meets, Way

PLANS = [a_plan(), a_plan("W-04", Way.BRACKETED), a_gable(), a_corridor()]


def total(table: Table) -> int:
    """Sum of the last column."""
    return sum(int(row[-1]) for row in table.rows)


@pytest.mark.parametrize("plan", PLANS, ids=lambda plan: plan.wall.id)
def test_schedules_count_every_piece(plan: WallPlan) -> None:
    assert total(bar_table(plan)) == len(plan.bars)
    assert total(board_table(plan)) == len(plan.boards)
    assert total(bracket_table(plan)) == len(plan.brackets)
    assert total(filling_table(plan)) == len(plan.slabs) + len(plan.membrane)
    screws = [row for row in fixing_table(plan).rows if str(row[0]).startswith("board screws")]
    assert sum(int(row[-1]) for row in screws) == sum(len(line.places_mm) for line in plan.screws)


def test_projections_are_listed_channel_by_channel_where_they_differ() -> None:
    plan = a_plan("W-04", Way.BRACKETED)
    assert projection_table(plan).rows == ()

    bowed = replace(
        plan, brackets=tuple(replace(b, projection_mm=20 + k) for k, b in enumerate(plan.brackets))
    )
    said = " ".join(str(row[2]) for row in projection_table(bowed).rows)
    assert all(f"{b.y_mm}: {b.projection_mm}" in said for b in bowed.brackets)


def test_run_lengths_add_up() -> None:
    plan = a_plan()
    metres = sum(float(str(row[-1]).removesuffix(" m")) for row in run_table(plan).rows)

    assert metres == pytest.approx(sum(run.length_mm for run in plan.runs) / 1000, abs=0.1)


@pytest.mark.parametrize(
    ("marks", "said"),
    [
        ([], ""),
        (["S01"], "S01"),
        (["S01", "S02", "S03"], "S01–S03"),
        (["S09", "S10", "S12"], "S09–S10, S12"),
        (["B1-01", "B1-02", "B2-03"], "B1-01–B1-02, B2-03"),
        (["S01a", "S02a", "S02b"], "S01a–S02a, S02b"),
        (["post"], "post"),
    ],
)
def test_mark_ranges(marks: list[str], said: str) -> None:
    assert mark_ranges(marks) == said


def test_every_finding_is_listed_with_place_and_remedy() -> None:
    plan = with_findings(
        a_plan(),
        Finding(
            code="L203", wall="W-03", rule="strip", text="strip of 140 mm", remedy="shift", x_mm=2400, layer=2
        ),
        Finding(code="L601", wall="W-03", rule="survey", text="moisture not read", remedy="read it"),
    )

    rows = finding_table([plan]).rows
    assert [row[0] for row in rows] == ["L203", "L601"]
    assert rows[0][3:5] == ("2400", "0")
    assert rows[0][-2:] == ("strip of 140 mm", "shift")
    assert any(table.title == "Findings" for table in schedule_page(plan).tables)
    beside = " ".join(f"{note.lead} {note.text}" for note in frame_page(plan).notes)
    assert "L203, layer 2: at 2400 / 0:" in beside
    assert "moisture not read." in beside


def test_more_findings_than_the_side_takes_are_not_lost() -> None:
    """The side says that there are more; the schedules hold them all."""
    found = [
        Finding(code="L203", wall="W-03", rule="strip", text=f"strip {k}", remedy="shift the datum")
        for k in range(80)
    ]
    plan = with_findings(a_plan(), *found)

    assert frame_page(plan).notes[-1].text == "More: see the schedules."
    assert len(finding_table([plan]).rows) == 80


@pytest.mark.parametrize("plan", PLANS, ids=lambda plan: plan.wall.id)
def test_every_board_that_is_cut_to_a_shape_has_a_sketch(plan: WallPlan) -> None:
    shaped = [b for b in plan.boards if b.plane == "face" and board_note(b)]
    sketches = sketches_of(plan)

    assert bool(shaped) == bool(sketches)
    for sketch in sketches:
        sheet = Recorder()
        draw_sketch(sheet, sketch, View(50, 15, 15))
        said = {call.words for call in sheet.of("running")}
        assert {f"{x:.0f}" for x, _ in sketch.board.ring if x} <= said
        assert {f"{y:.0f}" for _, y in sketch.board.ring if y} <= said
        assert sheet.overlaps() == []


@pytest.mark.parametrize("plan", PLANS, ids=lambda plan: plan.wall.id)
def test_sketches_that_find_no_room_below_the_boards_stand_in_the_schedules(plan: WallPlan) -> None:
    boards, left_over = board_pages(plan)
    schedules = schedule_page(plan, left_over)

    assert len(schedules.sketches) == len(left_over)
    below = [s for s in sketches_of(plan) if s not in left_over]
    words = "".join(page.svg for page in boards)
    assert all(re.search(f'font-weight="700">{re.escape(sketch.marks)}[ <]', words) for sketch in below)


def test_cautions_follow_from_the_plan() -> None:
    plan = a_plan()
    lining = replace(plan.wall.lining, insulation=(), membrane="")
    plain = replace(plan, slabs=(), wall=replace(plan.wall, lining=lining))

    assert [c.topic for c in cautions_for([plan])] == [c.topic for c in CAUTIONS]
    assert {c.topic for c in CAUTIONS} - {c.topic for c in cautions_for([plain])} == {
        "Mineral fibres",
        "Closing the wall",
    }
    assert "Old coatings and fillers" in {c.topic for c in cautions_for([plain])}


def test_every_frame_page_of_an_insulated_wall_says_when_it_may_be_closed() -> None:
    """Also where so many rules are not kept that the side of the page is full."""
    found = [
        Finding(code="L203", wall="W-03", rule="strip", text=f"strip {k}", remedy="-") for k in range(80)
    ]
    plan = with_findings(a_plan(), *found)
    tight = replace(plan, wall=replace(plan.wall, lining=replace(plan.wall.lining, insulation=())))
    plain = replace(tight, wall=replace(tight.wall, lining=replace(tight.wall.lining, membrane="")))
    said = "only after cables and pipes are in and tested."

    assert [any(said in note.text for note in frame_page(p).notes) for p in (plan, tight, plain)] == [
        True,
        True,
        False,
    ]


@pytest.mark.parametrize(
    ("foot", "top", "said"),
    [(0, 0, ""), (0, -45.0, "top −45°"), (38.4, 0, "foot +38.4°"), (10.0, -7.5, "foot +10°, top −7.5°")],
)
def test_end_cuts_name_the_end_that_is_not_square(foot: float, top: float, said: str) -> None:
    assert end_cut(foot, top) == said


def test_the_sign_of_end_cuts_is_explained() -> None:
    assert any("positive rises to the right" in note.text for note in schedule_page(a_gable()).notes)
    cuts = {row[3] for row in bar_table(a_gable()).rows}
    assert {"", "top +38.4°", "top −38.4°"} == cuts


def test_layers_share_a_page_only_at_no_cost_of_scale() -> None:
    """Two layers of a long low wall stand on one page, those of a room's wall on two larger ones."""
    for plan, together in ((a_plan(), False), (a_low_wall(), True)):
        pages, _ = board_pages(plan)
        alone, _ = fit_parts(plan.wall, FIELD_WIDTH_MM, FIELD_HEIGHT_MM, boarding.SPACE)

        assert len(pages) == (1 if together else 2)
        assert {page.scale for page in pages} == {f"1:{alone}"}


def a_low_wall() -> WallPlan:
    """A dado of 4800 × 1400."""
    outline = ((0, 0), (4800, 0), (4800, 1400), (0, 1400))
    meets = (Meets.SCREED, Meets.PARTITION, Meets.OPEN, Meets.MASONRY)
    return plan_wall(bare(a_wall("W-06"), outline, meets), practice())
