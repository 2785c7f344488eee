"""The performance sheet says what was calculated, and its drawings show what was solved."""

from __future__ import annotations

import io
import re
from collections.abc import Callable
from dataclasses import replace
from functools import cache
from itertools import pairwise
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest
from tests.documents.fixture import a_lining, a_plan, a_wall, practice

from innerleaf.design.climate import SiteClimate
from innerleaf.design.heat.verdicts import FRSI, U_VALUE
from innerleaf.design.heat.wall import Heat
from innerleaf.design.performance import Performance, performance_of
from innerleaf.documents.pages import FIELD_WIDTH_MM, wall_pages
from innerleaf.documents.pdf import sheets_pdf
from innerleaf.documents.performance import (
    details_svg,
    loss_table,
    moisture_table,
    performance_page,
    transmittance_table,
)
from innerleaf.documents.recorder import Recorder
from innerleaf.documents.schedule import Cell, Table
from innerleaf.documents.tables import block_of
from innerleaf.documents.thermal_details import (
    SHOWN,
    Part,
    draw_row,
    parts_of,
    row_height_mm,
    shown_details,
)
from innerleaf.documents.title import TitleBlock
from innerleaf.documents.verdict_table import verdict_table
from innerleaf.documents.write import silent
from innerleaf.documents.xlsx import takeoff_xlsx
from innerleaf.layout.pieces import WallPlan
from innerleaf.layout.plan import plan_wall
from innerleaf.papers import write_papers
from innerleaf.survey.wall import ExistingLayer, InsulationLayer, InsulationPlace, Meets, Targets, Wall, Way
from innerleaf.takeoff import take_off
from innerleaf.verdicts import Verdict

TITLE = TitleBlock(project="Mill Lane 3", statement="Building, people and prices are invented.")
# An invented site, January first.
CLIMATE = SiteClimate(
    (0.5, 1.2, 4.5, 8.7, 13.2, 16.4, 18.3, 17.9, 14.0, 9.4, 4.6, 1.5),
    (0.86, 0.82, 0.77, 0.71, 0.70, 0.71, 0.71, 0.73, 0.79, 0.84, 0.87, 0.88),
)
TARGETS = Targets(u_value_w_m2k=0.35, frsi=0.7, thickness_max_mm=130)


def _framed() -> Wall:
    return replace(a_wall("framed"), targets=TARGETS)


def _bracketed() -> Wall:
    wall = a_wall("bracketed", Way.BRACKETED)
    wool = (InsulationLayer(item="wool-40", place=InsulationPlace.BETWEEN),)
    return replace(wall, lining=replace(wall.lining, insulation=wool))


def _stair() -> Wall:
    return replace(_framed(), id="stair", other_side="stair")


def _corners() -> Wall:
    """Corners and free ends, and no membrane, so that water gathers."""
    meets = (Meets.OPEN, Meets.INNER_CORNER, Meets.OPEN, Meets.OUTER_CORNER)
    return replace(a_wall("corners"), openings=(), meets=meets, lining=replace(a_lining(), membrane=""))


def _convex() -> Wall:
    """Between two corners that point into the room and are warmer than the plain wall."""
    meets = (Meets.ROOF, Meets.OUTER_CORNER, Meets.ROOF, Meets.OUTER_CORNER)
    return replace(a_wall("convex"), openings=(), meets=meets)


def _thick() -> Wall:
    return replace(a_wall("thick"), construction=(ExistingLayer(material="brick-1800", thickness_mm=1100),))


def _warm() -> Wall:
    return replace(a_wall("warm"), other_side="room", targets=Targets())


WALLS = (_framed, _bracketed, _stair, _corners, _convex, _thick)
any_wall = pytest.mark.parametrize("make", WALLS, ids=lambda make: make.__name__)


@cache
def judged(make: Callable[[], Wall]) -> tuple[WallPlan, Performance]:
    plan = plan_wall(make(), practice())
    return plan, performance_of(plan, practice(), CLIMATE)


def heat_in(make: Callable[[], Wall]) -> tuple[Heat, float]:
    performance = judged(make)[1]
    assert performance.heat
    return performance.heat, performance.share


def drawn(make: Callable[[], Wall]) -> tuple[Recorder, list[Part]]:
    heat, share = heat_in(make)
    parts = parts_of(shown_details(heat), share, FIELD_WIDTH_MM)
    sheet = Recorder()
    draw_row(sheet, parts, FIELD_WIDTH_MM)
    return sheet, parts


def cells(table: Table, row: str) -> tuple[Cell, ...]:
    return next(cells for cells in table.rows if str(cells[0]).split("\n")[0] == row)


def number(cell: Cell) -> float:
    return float(str(cell).replace("−", "-").split()[0])


@any_wall
def test_words_keep_apart_and_on_the_paper(make: Callable[[], Wall]) -> None:
    sheet, parts = drawn(make)

    assert sheet.overlaps() == []
    for call in sheet.of("text"):
        assert call.box
        assert call.box[0] >= 0
        assert call.box[2] <= FIELD_WIDTH_MM
        assert 0 <= call.box[1] < call.box[3] <= row_height_mm(parts)


@any_wall
def test_the_member_and_the_coldest_are_drawn(make: Callable[[], Wall]) -> None:
    heat, _ = heat_in(make)
    shown = shown_details(heat)

    assert len(shown) == min(SHOWN, len(heat.details))
    assert shown[0].detail.title == "member"
    points = [each for each in shown[1:] if each.detail.point]
    lines = [each for each in shown[1:] if not each.detail.point]
    assert len(points) == any(each.detail.point for each in heat.details)
    assert shown[1:] == (*points, *lines)
    assert heat.coldest in shown
    assert all(a.frsi <= b.frsi for a, b in pairwise(lines))


@any_wall
def test_each_detail_is_true_to_its_scale_and_shows_its_coldest_spot(make: Callable[[], Wall]) -> None:
    """The circle lies on the least surface temperature, and its factor stands beside it."""
    sheet, parts = drawn(make)
    marks = [call.points[0] for call in sheet.of("circle")]

    assert sum("the plain wall's" in words for words in sheet.words()) == sum(part.plain for part in parts)
    for part, mark in zip([part for part in parts if not part.plain], marks, strict=True):
        corner = _corner(part, mark)
        assert part.at(part.of.coldest, corner) == pytest.approx(mark)
        x, y = (line[-1] - line[0] for line in part.solution.grid.lines)
        assert part.paper_mm == pytest.approx((1000 * x / part.scale, 1000 * y / part.scale))
        assert part.solution.temperature_at(part.of.coldest) == pytest.approx(part.coldest, abs=1e-6)
        assert f"{part.coldest:.3f}" in sheet.words()
        assert f"1:{part.scale}" in sheet.words()


def _corner(part: Part, mark: tuple[float, float]) -> tuple[float, float]:
    """Where the lower left corner of a detail is on paper, from its mark."""
    aside = part.at(part.of.coldest, (0.0, 0.0))
    return mark[0] - aside[0], mark[1] - aside[1]


@any_wall
def test_the_heavy_line_is_the_limit_against_mould(make: Callable[[], Wall]) -> None:
    sheet, parts = drawn(make)
    marked = [part for part in parts if not part.plain]
    corners = [_corner(part, call.points[0]) for part, call in zip(marked, sheet.of("circle"), strict=True)]
    heavy = [point for call in sheet.of("line", "ISOTHERM-MOULD") for point in call.points]
    seen = 0
    for part, (left, bottom) in zip(marked, corners, strict=True):
        x, y = part.solution.grid.lines
        for point in heavy:
            at = (
                float(x[0]) + (point[0] - left) * part.scale / 1000,
                float(y[0]) + (point[1] - bottom) * part.scale / 1000,
            )
            if x[0] - 1e-6 <= at[0] <= x[-1] + 1e-6:
                assert part.solution.temperature_at(at) == pytest.approx(0.7, abs=1e-4)
                seen += 1
    assert seen > 10
    assert seen == len(heavy) or len(marked) < len(parts)


@any_wall
def test_the_drawing_is_small(make: Callable[[], Wall]) -> None:
    svg = details_svg(*heat_in(make))

    ET.fromstring(svg)
    assert len(svg) < SHOWN * 20_000
    assert svg == details_svg(*heat_in(make))


def test_drawing_solves_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    heat, share = heat_in(_framed)

    def again(*_given: object, **_more: object) -> None:
        raise AssertionError("solved again")

    monkeypatch.setattr("innerleaf.physics.conduction.solve", again)
    monkeypatch.setattr("innerleaf.design.heat.assess.solve", again)
    assert "fRsi" in details_svg(heat, share)


@any_wall
def test_the_heat_balance_adds_up(make: Callable[[], Wall]) -> None:
    """Printed terms give the printed sums, within their last digit each."""
    heat, _ = heat_in(make)
    table = loss_table(heat)
    terms = table.rows[: len(heat.losses)]
    for column, whole in ((5, heat.before), (6, heat.after)):
        said = [number(row[column]) for row in terms if row[column] != "–"]
        total = number(cells(table, "all")[column])
        assert total == pytest.approx(whole, abs=0.0051)
        assert sum(said) == pytest.approx(total, abs=0.0051 * (len(terms) + 1))
    for row in terms:
        assert number(row[1]) * number(row[3]) == pytest.approx(number(row[6]), abs=0.02)


def test_the_saving_is_that_of_the_balance() -> None:
    heat, _ = heat_in(_framed)
    table = transmittance_table(heat)
    _, clear, with_members, with_edges, loss = cells(table, "lined")

    assert number(clear) < number(with_members) < number(with_edges)
    assert number(with_edges) * heat.area_m2 == pytest.approx(number(loss), abs=0.01)
    saved = number(cells(table, "old wall alone")[4]) - number(loss)
    assert number(cells(table, "saved")[4]) == pytest.approx(saved, abs=0.011)


def test_verdicts_are_legible_without_colour() -> None:
    """Symbol, word, margin with its sign, working under the requirement, source."""
    performance = judged(_framed)[1]
    table = verdict_table(performance.climate)

    for verdict, row in zip(performance.climate, table.rows, strict=True):
        assert row[6] == ("✓ met" if verdict.met else "× NOT MET")
        assert str(row[0]).split("\n")[1:] == ["\u2003" + line for line in verdict.working]
        assert row[8] == verdict.source
        assert number(row[4]) == pytest.approx(verdict.margin, abs=0.00051)
        assert (row[7] == "") == (verdict.risk is None)
    assert {row[6] for row in table.rows} == {"✓ met", "× NOT MET"}
    assert len(block_of(table, 288).groups) == len(table.rows)


@pytest.mark.parametrize(
    ("risk", "said"),
    [(0.0, "< 1 %"), (0.004, "< 1 %"), (0.126, "13 %"), (0.996, "> 99 %"), (1.0, "> 99 %")],
)
def test_a_likelihood_is_said_no_finer_than_it_is_known(risk: float, said: str) -> None:
    verdict = replace(judged(_framed)[1].verdicts[0], risk=risk, uncertainty=0.4)

    assert verdict_table([verdict]).rows[0][7] == said


def test_factors_against_a_stair_are_those_of_the_verdict() -> None:
    _, performance = judged(_stair)
    wanted = next(verdict for verdict in performance.verdicts if verdict.requirement == FRSI)
    sheet, parts = drawn(_stair)

    assert min(part.coldest for part in parts) == pytest.approx(wanted.value)
    assert f"{wanted.value:.3f}" in sheet.words()


def test_water_that_gathers_is_said_by_month() -> None:
    moisture = judged(_corners)[1].moisture
    assert moisture
    table = moisture_table(moisture)
    row = cells(table, "lined")

    assert "estimate" in table.title
    assert f"{moisture.frsi_needed:.3f} ({moisture.critical_month})" in table.title
    assert moisture.after.peak > 0.1
    assert number(row[1]) == pytest.approx(1000 * moisture.after.peak, abs=0.51)
    assert row[2:5] == (moisture.after.first, moisture.after.where, moisture.after.dry_again)


def test_the_page_says_what_it_is_what_is_missed_and_what_is_assumed() -> None:
    plan, performance = judged(_framed)
    notes = performance_page(plan, performance).notes
    text = " ".join(f"{note.heading} {note.lead} {note.text}" for note in notes)

    assert "not a substitute" in text
    assert "estimates" in text
    for finding in performance.climate_findings:
        assert finding.code in text
        assert finding.remedy[1:] in text
    for note in performance.climate_notes:
        assert note[1:] in text
    assert "More:" not in text
    assert performance.heat
    assert f"= {performance.heat.u_clear:.3f}" in text


def test_a_wall_with_nothing_to_say_has_no_such_page() -> None:
    plan, performance = judged(_warm)

    assert (performance.heat, performance.climate) == (None, ())
    titles = [page.title for page in wall_pages(plan, practice(), performance)]
    assert [title for title in titles if title != "Sound and frame"] == [
        page.title for page in wall_pages(plan, practice())
    ]
    assert "Performance" not in titles


def test_the_set_has_the_sheet_and_lists_it() -> None:
    import pypdf

    pairs = [judged(make) for make in (_framed, _warm, _corners)]
    performances = {plan.wall.id: performance for plan, performance in pairs}
    data = sheets_pdf([plan for plan, _ in pairs], practice(), TITLE, performances=performances)
    texts = [page.extract_text() for page in pypdf.PdfReader(io.BytesIO(data)).pages]

    sheets = [
        k for k, text in enumerate(texts, 1) if "calculated from the wall as set out and as surv" in text
    ]
    assert len(sheets) == 2
    assert "Wall framed" in texts[sheets[0] - 1]
    assert "× NOT MET" in texts[sheets[0] - 1]
    for name, page in (("framed", str(sheets[0])), ("corners", str(sheets[1])), ("warm", "–")):
        line = rf"^{name}\s.*?CW-75\s+(\d+)\s+(\d+)\s+(\d+)\s+(\S+)\s+(\d+)\s+(\d+)$"
        row = re.search(line, texts[1], re.MULTILINE | re.DOTALL)
        assert row
        assert row[4] == page
        assert "Ratings in dB" in texts[int(row[5]) - 1]
    assert data == sheets_pdf([plan for plan, _ in pairs], practice(), TITLE, performances=performances)


def test_the_workbook_has_a_row_for_each_judged_wall() -> None:
    import openpyxl

    pairs = [judged(make) for make in (_framed, _stair, _warm)]
    plans = [plan for plan, _ in pairs]
    performances = {plan.wall.id: performance for plan, performance in pairs}
    taken = take_off(plans, practice())
    book = openpyxl.load_workbook(
        io.BytesIO(takeoff_xlsx(plans, taken, TITLE, performances=performances)), data_only=True
    )

    assert book.sheetnames[-1] == "Performance"
    rows = list(book["Performance"].iter_rows(values_only=True))
    by_name = {row[0]: dict(zip(rows[0], row, strict=True)) for row in rows[1:-1]}
    assert list(by_name) == ["framed", "stair", "warm"]
    heat, _ = heat_in(_framed)
    framed = by_name["framed"]
    assert framed["U with members and brackets"] == pytest.approx(heat.u_set_out, abs=5e-4)
    assert framed["loss lined [W/K]"] == pytest.approx(heat.after, abs=5e-3)
    assert framed["factor needed"] == 0.7
    verdicts = judged(_framed)[1].verdicts
    assert framed["verdicts missed"] == sum(not verdict.met for verdict in verdicts) == 3
    stair = by_name["stair"]
    assert stair["beyond the wall"] == "stair"
    assert stair["its factor fRsi"] == pytest.approx(1 - 0.5 * (1 - heat.coldest.frsi), abs=5e-4)
    assert stair["water gathered [kg/m²]"] is None
    assert by_name["warm"]["coldest detail"] is None
    losses = [row["loss lined [W/K]"] for row in by_name.values() if row["loss lined [W/K]"]]
    column = rows[0].index("loss lined [W/K]")
    assert rows[-1][column] == pytest.approx(sum(losses))


def test_the_folder_carries_them_also_through_other_processes(tmp_path: Path) -> None:
    import openpyxl
    import pypdf

    pairs = [judged(make) for make in (_framed, _stair)]
    plans = [plan for plan, _ in pairs]
    write_papers(
        tmp_path,
        plans,
        take_off(plans, practice()),
        TITLE,
        practice(),
        pdf=True,
        dxf=True,
        workers=2,
        progress=silent,
        performances={plan.wall.id: performance for plan, performance in pairs},
    )

    titles = [page.extract_text() for page in pypdf.PdfReader(tmp_path / "sheets.pdf").pages]
    assert sum("calculated from the wall as set out and as surveyed" in text for text in titles) == 2
    assert openpyxl.load_workbook(tmp_path / "takeoff.xlsx")["Performance"].max_row == 4


def test_without_performances_nothing_changes() -> None:
    taken = take_off([a_plan()], practice())

    assert takeoff_xlsx([a_plan()], taken, TITLE) == takeoff_xlsx([a_plan()], taken, TITLE, performances={})


def test_a_target_missed_is_said_with_its_unit_and_a_plain_number_without_a_dash() -> None:
    verdict = Verdict(
        requirement=FRSI, value=0.498, limit=0.719, unit="-", at_most=False, working=(), source=""
    )
    warm = replace(verdict, requirement=U_VALUE, value=0.61, limit=0.5, unit="W/(m²·K)", at_most=True)
    said = [f.text for f in Performance("W-01", 1.0, None, None, (verdict, warm), ()).findings]

    assert said == [f"{FRSI}: 0.498, 0.719 wanted", f"{U_VALUE}: 0.61 W/(m²·K), 0.5 wanted"]
