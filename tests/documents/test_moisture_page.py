"""The page on moisture through the years shows what was calculated: to scale, readable, once per case."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest
from tests.design.test_performance import CLIMATE
from tests.design.wet import PRACTICE, a_case, a_plan, followed

from innerleaf.design.moisture.transient_years import WEEKS, MoistureYears
from innerleaf.design.performance import Performance, performance_of
from innerleaf.documents.moisture_page import moisture_page, water_table
from innerleaf.documents.moisture_plots import HEIGHT_MM, calendar, draw_moisture
from innerleaf.documents.pages import FIELD_WIDTH_MM, wall_pages
from innerleaf.documents.panel import Panel
from innerleaf.documents.recorder import Recorder
from innerleaf.documents.schedule import Table
from innerleaf.documents.sheet import BOX_THIN
from innerleaf.documents.tables import block_of
from innerleaf.layout.pieces import WallPlan

MEMBRANES = ("membrane-variable", "membrane-PE-0.15", "")
any_wall = pytest.mark.parametrize("membrane", MEMBRANES)


@cache
def judged(membrane: str = MEMBRANES[0]) -> tuple[WallPlan, Performance, MoistureYears]:
    plan, years = a_plan(membrane), followed(a_case(membrane))
    performance = performance_of(plan, PRACTICE, CLIMATE, years)
    named = replace(performance, case_id="M1", case_walls=(plan.wall.id, "W-09"))
    return plan, named, years


def drawn(membrane: str) -> tuple[Recorder, MoistureYears]:
    years = judged(membrane)[2]
    sheet = Recorder()
    draw_moisture(sheet, years, 2.0, FIELD_WIDTH_MM)
    return sheet, years


@any_wall
def test_words_keep_apart_and_on_the_paper(membrane: str) -> None:
    sheet, _ = drawn(membrane)

    assert sheet.overlaps() == []
    for call in sheet.of("text"):
        assert call.box
        assert 0 <= call.box[0] < call.box[2] <= FIELD_WIDTH_MM
        assert 0 <= call.box[1] < call.box[3] <= HEIGHT_MM + 1


@any_wall
def test_every_layer_is_named_with_its_thickness(membrane: str) -> None:
    sheet, years = drawn(membrane)
    words = {call.words for call in sheet.of("text")}

    for layer, of_case in zip(years.layers, years.case.layers, strict=True):
        film = of_case.sd and layer.name != "air"
        assert (layer.name if film else f"{layer.name}, {1000 * layer.thickness:.4g} mm") in words


def test_layers_are_drawn_to_the_scale_that_is_said() -> None:
    """The band of layers is as wide as the wall is thick, at 1:2."""
    sheet, years = drawn(MEMBRANES[0])
    said = next(call.words for call in sheet.of("text") if "depth 1:" in call.words)
    scale = float(said.split("1:")[1].split(",")[0])
    brick = 1000 * years.layers[1].thickness / scale

    widths = [max(x for x, _ in call.points) - min(x for x, _ in call.points) for call in sheet.of("polygon")]
    assert any(abs(width - brick) < 0.01 for width in widths)


def test_a_course_lands_where_its_panel_says() -> None:
    panel = Panel((10.0, 20.0, 110.0, 70.0), (0.0, 100.0), (0.0, 5.0))
    sheet = Recorder()

    panel.line(sheet, BOX_THIN, [0.0, 50.0, 100.0], [0.0, 2.5, 9.0])

    (line,) = sheet.of("line")
    assert line.points == ((10.0, 20.0), (60.0, 45.0), (110.0, 70.0))  # the last is cut at the frame


def test_the_table_has_each_layer_and_year() -> None:
    years = judged()[2]
    table = water_table(years)
    rows = {str(row[0]): row for row in table.rows}

    assert f"{years.layers[1].mean[0]:.2f}" in rows["brick-1800"]
    assert f"{sum(layer.at_end[-1] for layer in years.layers):.2f}" in rows["all, at the end of the year"]
    assert len(table.columns) == years.years + 3


def test_the_page_stands_with_the_first_wall_of_its_case_only() -> None:
    plan, performance, _ = judged()
    other = replace(performance, case_walls=("W-00", plan.wall.id))

    titles = [page.title for page in wall_pages(plan, PRACTICE, performance)]
    assert titles.count("Moisture, case M1") == 1
    assert titles.index("Moisture, case M1") == titles.index("Performance") + 1
    pages = wall_pages(plan, PRACTICE, other)
    assert not [page for page in pages if page.title.startswith("Moisture")]
    notes = " ".join(note.text for page in pages for note in page.notes)
    assert "drawn with wall W-00" in notes


def test_the_notes_say_what_the_figures_rest_on() -> None:
    plan, performance, years = judged()
    notes = " ".join(
        f"{note.heading} {note.lead} {note.text}" for note in moisture_page(plan, performance, PRACTICE).notes
    )

    for word in (
        "estimate",
        "225°",
        "class 3",
        "80 % humidity",
        "Not in it",
        "W-09",
        *[v.what for v in years.variants],
    ):
        assert word in notes
    assert "More: see" not in notes


def test_wooden_ends_are_told_where_there_are_any() -> None:
    plan, performance, _ = judged()
    ends = replace(plan, wall=replace(plan.wall, wood_ends=True))

    def said(of: WallPlan) -> str:
        return " ".join(f"{n.heading} {n.text}" for n in moisture_page(of, performance, PRACTICE).notes)

    assert "Wooden ends" in said(ends)
    assert "wood" not in said(plan).lower()


def test_small_tables_stay_whole_and_long_ones_may_break() -> None:
    row = ("one", "1")

    assert block_of(Table("few", ("a", "b"), (row,) * 3), 288).whole
    assert not block_of(Table("many", ("a", "b"), (row,) * 40), 288).whole


def test_a_damp_wall_says_so_before_all_else() -> None:
    plan = a_plan(damp=True)
    frame = wall_pages(plan, PRACTICE)[0]
    headings = [note.heading for note in frame.notes]

    assert "DAMP: DO NOT LINE THIS WALL YET" in headings
    assert headings.index("DAMP: DO NOT LINE THIS WALL YET") < headings.index("Rules not kept")


def test_the_course_has_a_value_for_each_week_and_days_have_dates() -> None:
    years = judged()[2]

    assert len(years.course.mould) == WEEKS * years.years
    assert calendar(93, 10) == "1 January"
    assert calendar(93, 4) == "2 July"
