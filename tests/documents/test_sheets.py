"""The files: SVG, DXF, PDF, XLSX opened again and counted."""

from __future__ import annotations

import io
import re
from dataclasses import replace
from functools import cache
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest
from tests.documents.fixture import a_corridor, a_gable, a_plan, a_wall, practice

from innerleaf.documents import boarding, framing
from innerleaf.documents.dxf import PLOT_SCALE, wall_dxf
from innerleaf.documents.pages import board_svg, frame_page, frame_svg, wall_pages
from innerleaf.documents.pdf import sheets_pdf, wall_pdf
from innerleaf.documents.recorder import Recorder
from innerleaf.documents.title import TitleBlock
from innerleaf.documents.view import View, short
from innerleaf.documents.write import file_stems, write_elevations_and_workbook
from innerleaf.documents.xlsx import takeoff_xlsx
from innerleaf.layout.pieces import WallPlan
from innerleaf.layout.plan import plan_wall
from innerleaf.survey.wall import Way
from innerleaf.takeoff import Takeoff, take_off

TITLE = TitleBlock(
    project="Mill Lane 3",
    firm="Test Linings",
    place="Nowhere",
    revision="B",
    date="2026-11-25",
    statement="Building, people and prices are invented.",
)
PLANS = (a_plan(), a_plan("W-04", Way.BRACKETED), a_gable())


@cache
def taken_off() -> Takeoff:
    return take_off(PLANS, practice())


@pytest.mark.parametrize("plan", [*PLANS, a_corridor()], ids=lambda plan: plan.wall.id)
def test_svg_is_well_formed_and_its_words_are_words(plan: WallPlan) -> None:
    for svg in (frame_svg(plan), *(board_svg(plan, layer) for layer in boarding.layers_of(plan))):
        root = ET.fromstring(svg)
        names = {element.text for element in root.iter("{http://www.w3.org/2000/svg}text")}
        assert f"{plan.wall.height_mm}" in names
        used = set(re.findall(r"url\(#([\w-]+)\)", svg))
        assert used <= {element.get("id") for element in root.iter()}


def test_svg_is_the_same_at_every_run() -> None:
    assert frame_svg(a_plan()) == frame_svg(a_plan())
    assert frame_page(a_plan()).svg == frame_page(a_plan()).svg


def test_signs_in_names_do_not_break_the_drawing() -> None:
    plan = a_plan()
    odd = replace(plan, wall=replace(plan.wall, boxes=(replace(plan.wall.boxes[0], id="<E&1>"),)))

    assert "<E&1>" in {e.text for e in ET.fromstring(frame_svg(odd)).iter()}


@pytest.mark.parametrize("plan", PLANS, ids=lambda plan: plan.wall.id)
def test_dxf_reads_back_clean_with_real_dimensions(plan: WallPlan) -> None:
    import ezdxf

    text = wall_dxf(plan)
    document = ezdxf.read(io.StringIO(text))
    auditor = document.audit()
    assert not auditor.errors
    assert not auditor.fixes
    assert document.header["$MEASUREMENT"] == 1

    said = Recorder()
    framing.draw_framing(said, plan, View(PLOT_SCALE, 0, 0))
    for layer in boarding.layers_of(plan):
        boarding.draw_boarding(said, plan, layer, View(PLOT_SCALE, 0, 0))
    dimensions = document.modelspace().query("DIMENSION")
    assert len(dimensions) == len(said.of("running")) + len(said.of("dimension")) > 10
    assert {"OUTLINE", "FRAME", "BOARD-1", "BOARD-2", "SCREW", "DIM", "TEXT"} <= {
        entity.dxf.layer for entity in document.modelspace()
    }


def test_dxf_is_one_to_one_in_millimetres() -> None:
    """Studs measure true from the datum, as entities and not only as text."""
    import ezdxf
    from ezdxf.entities import Dimension, LWPolyline

    plan = a_plan()
    space = ezdxf.read(io.StringIO(wall_dxf(plan))).modelspace()

    outlines = [e.get_points("xy") for e in space if isinstance(e, LWPolyline) and e.dxf.layer == "OUTLINE"]
    assert set(plan.wall.outline) in [{(round(x), round(y)) for x, y in points} for points in outlines]
    measured = set()
    for dimension in (e for e in space if isinstance(e, Dimension)):
        value = dimension.get_measurement()
        measured.add(round(value if isinstance(value, float) else abs(value.x)))
    assert {round(member.x_mm) for member in plan.members} <= measured


def test_every_board_layer_has_a_dxf_layer() -> None:
    import ezdxf

    wall = a_wall("W-08")
    four = replace(wall, lining=replace(wall.lining, boards=("board-A-12.5",) * 4))
    document = ezdxf.read(io.StringIO(wall_dxf(plan_wall(four, practice()))))

    used = {entity.dxf.layer for entity in document.modelspace()}
    assert "BOARD-4" in used
    assert all(document.layers.has_entry(layer) for layer in used)


def test_dxf_is_the_same_at_every_run() -> None:
    assert wall_dxf(a_gable()) == wall_dxf(a_gable())


def test_pdf_has_every_page_and_every_mark() -> None:
    import pypdf

    data = sheets_pdf(PLANS, practice(), TITLE)
    reader = pypdf.PdfReader(io.BytesIO(data))
    texts = [page.extract_text() for page in reader.pages]

    expected = 2 + sum(len(wall_pages(plan, practice())) for plan in PLANS)
    assert expected <= len(texts) <= expected + 2 * len(PLANS)  # schedules may run on
    for number, text in enumerate(texts, 1):
        assert re.search(rf"{number}\s*of {len(texts)}\b", text), f"page {number} does not say its number"
        assert "Mill Lane 3" in text
    everything = "\n".join(texts)
    for plan in PLANS:
        for board in plan.boards:
            assert short(board.mark, plan.wall.id) in everything
        for finding in plan.findings:
            assert finding.code in everything
    assert "invented" in texts[0]
    assert "asbestos" in texts[0]
    assert [round(float(side) / 72 * 25.4) for side in reader.pages[0].mediabox[2:]] == [420, 297]


def test_the_list_of_sheets_names_the_page_each_wall_begins_on() -> None:
    import pypdf

    reader = pypdf.PdfReader(io.BytesIO(sheets_pdf(PLANS, practice(), TITLE)))
    texts = [page.extract_text() for page in reader.pages]
    listed = re.search(r"W-04\s+north wall.*?CD-60-27\s+(\d+)", texts[1], re.DOTALL)

    assert listed
    page = texts[int(listed[1]) - 1]
    assert "Wall W-04" in page
    assert "Frame · 1:20" in page


def test_pdf_is_the_same_at_every_run() -> None:
    assert wall_pdf(a_plan(), practice(), TITLE) == wall_pdf(a_plan(), practice(), TITLE)


def test_workbook_totals_equal_their_rows() -> None:
    import openpyxl

    data = takeoff_xlsx(PLANS, taken_off(), TITLE)
    values = openpyxl.load_workbook(io.BytesIO(data), data_only=True)
    formulas = openpyxl.load_workbook(io.BytesIO(data))

    assert values.sheetnames == ["Takeoff", "To buy", "Cut list", "Boards", "Walls", "Findings"]
    found = 0
    for sheet in formulas:
        last = sheet.max_row
        for x in range(1, sheet.max_column + 1):
            formula = sheet.cell(last, x).value
            if isinstance(formula, str) and formula.startswith("=SUBTOTAL"):
                found += 1
                column = [values[sheet.title].cell(y, x).value for y in range(2, last)]
                said = values[sheet.title].cell(last, x).value
                assert said == pytest.approx(sum(v for v in column if isinstance(v, int | float)), abs=1e-5)
    assert found >= 10


def test_workbook_holds_every_piece() -> None:
    import openpyxl

    book = openpyxl.load_workbook(io.BytesIO(takeoff_xlsx(PLANS, taken_off(), TITLE)), data_only=True)

    marks = {row[3].value for row in book["Boards"].iter_rows(min_row=2)}
    assert {board.mark for plan in PLANS for board in plan.boards} <= marks
    cut = {row[3].value for row in book["Cut list"].iter_rows(min_row=2)}
    assert {bar.mark for plan in PLANS for bar in plan.bars if bar.item in practice().profiles} <= cut
    codes = [row[0].value for row in book["Findings"].iter_rows(min_row=2)]
    assert [c for c in codes if c] == [f.code for plan in PLANS for f in plan.findings]
    walls = [row[0].value for row in book["Walls"].iter_rows(min_row=2)]
    assert walls[: len(PLANS)] == [plan.wall.id for plan in PLANS]


def test_names_in_the_workbook_are_words_whatever_they_look_like() -> None:
    """A room called like a formula, an array formula or a link stays text; totals stay formulas."""
    import openpyxl

    odd = ("=1+1", "{=1+1}", "https://example.org", "007")
    plans = [
        replace(plan, wall=replace(plan.wall, room=room)) for plan, room in zip(PLANS * 2, odd, strict=False)
    ]
    book = openpyxl.load_workbook(io.BytesIO(takeoff_xlsx(plans, taken_off(), TITLE)))
    rooms = [row[2] for row in book["Walls"].iter_rows(min_row=2, max_row=1 + len(plans))]

    assert [cell.value for cell in rooms] == list(odd)
    assert {cell.data_type for cell in rooms} == {"s"}
    assert not any(cell.hyperlink for cell in rooms)
    assert "f" in {cell.data_type for cell in book["Walls"][2 + len(plans)]}


def test_workbook_is_the_same_at_every_run() -> None:
    assert takeoff_xlsx(PLANS, taken_off(), TITLE) == takeoff_xlsx(PLANS, taken_off(), TITLE)


def test_a_folder_holds_elevations_and_workbook(tmp_path: Path) -> None:
    """A frame and each board layer of each wall, and one workbook; printed and CAD files come beside them."""
    done: list[tuple[str, int, int]] = []
    written = write_elevations_and_workbook(
        tmp_path, PLANS, taken_off(), TITLE, progress=lambda *step: done.append(step)
    )

    names = {str(path.relative_to(tmp_path)) for path in written}
    assert {"takeoff.xlsx", "svg/W-03-frame.svg", "svg/W-03-boards-2.svg", "walls/W-03.html"} <= names
    assert all(path.stat().st_size > 0 for path in written)
    assert len(written) == 1 + len(PLANS) * (1 + 2 + 1)  # frame, two layers, the page of the wall
    assert ("elevations", 3, 3) in done


def test_file_names_are_safe_and_never_shared() -> None:
    assert file_stems(["W-01", "w-01", "Flat 3/W", "..", "Flat 3:W"]) == [
        "W-01",
        "w-01-2",
        "Flat-3-W",
        "wall",
        "Flat-3-W-2",
    ]
