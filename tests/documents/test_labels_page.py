"""Labels: one for each piece, in the order of cutting; codes that a phone can read."""

from __future__ import annotations

import io
import re
import subprocess
from collections import Counter
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest
from tests.conftest import need_tool
from tests.documents.fixture import practice
from tests.documents.test_cut_list import PLANS, TITLE, a_cut

from innerleaf.documents.cut_model import Pattern
from innerleaf.documents.labels_page import (
    Label,
    LabelSheet,
    label_files,
    label_pages,
    labels_of,
    labels_pdf,
    set_label,
)
from innerleaf.documents.qr import QUIET, code_of, code_path
from innerleaf.documents.sheet import text_width
from innerleaf.layout.pieces import WallPlan

PAGES = "https://plans.example.invalid/mill-lane"
RULES = practice().rules
SHEET = LabelSheet.of(RULES)


@cache
def labels(pages: str = "") -> list[Label]:
    return labels_of(PLANS, a_cut(), pages)


def marks_of_pieces(plan: WallPlan) -> list[str]:
    return [bar.mark for bar in plan.bars] + [board.mark for board in plan.boards]


def printed(tmp_path: Path, data: bytes) -> Path:
    path = tmp_path / "labels.pdf"
    path.write_bytes(data)
    return path


def test_every_bar_and_board_has_one_label() -> None:
    marks = Counter(mark for plan in PLANS for mark in marks_of_pieces(plan))

    assert Counter(label.mark for label in labels()) == marks


def test_labels_come_in_the_order_of_cutting() -> None:
    """Who cuts takes the next label off the sheet."""
    patterns: list[Pattern] = [*a_cut().bars, *a_cut().boards]
    order = [
        part.pieces[k].mark
        for pattern in patterns
        for k in range(len(pattern.numbers))
        for part in pattern.parts
    ]

    assert [label.mark for label in labels()][: len(order)] == order


def test_a_label_says_what_a_piece_is_and_where_it_goes() -> None:
    plan = PLANS[0]
    stud = next(bar for bar in plan.bars if bar.role == "jamb stud")
    board = next(b for b in plan.boards if b.plane == "face" and b.layer == 2)
    reveal = next(b for b in plan.boards if b.plane != "face")
    by_mark = {label.mark: label.lines for label in labels()}

    assert by_mark[stud.mark][:6] == (
        f"CW-75 · {stud.length_mm}",
        "W-03 · north wall",
        "Bedroom 2, first floor",
        "jamb stud",
        f"x {stud.ax_mm:.0f} from the left end",
        f"y {stud.ay_mm:.0f} to {stud.by_mm:.0f} from the floor",
    )
    assert by_mark[stud.mark][6].startswith("from bar ")
    xs = [x for x, _ in board.ring]
    assert f"x {min(xs):.0f} to {max(xs):.0f} from the left end" in by_mark[board.mark]
    assert "layer 2" in by_mark[board.mark]
    assert by_mark[board.mark][0] == f"board-A-12.5 · {board.width_mm:.0f} × {board.length_mm:.0f}"
    assert by_mark[reveal.mark][3] == f"reveal {reveal.plane}"
    assert "along the edge" in by_mark[reveal.mark][4]


def test_codes_lead_to_the_piece_on_its_wall_or_say_the_place() -> None:
    led = {label.mark: label.code for label in labels(f"{PAGES}/")}
    said = {label.mark: label.code for label in labels()}
    stud = next(bar for bar in PLANS[0].bars if bar.member)

    assert led["W-04/S03"] == f"{PAGES}/walls/W-04.html#S03"
    assert said[stud.mark] == (
        f"{stud.mark}: x {stud.ax_mm:.0f} from left, y {stud.ay_mm:.0f}-{stud.by_mm:.0f} from floor"
    )
    assert max(map(len, said.values())) < 90


@pytest.mark.parametrize(
    "words", ["a", "G-02/S03: x 450 from left", f"{PAGES}/walls/W-01.html#S03", "Wände · 12 µm"]
)
def test_a_code_is_drawn_as_it_is(words: str) -> None:
    """Dark rectangles cover the dark modules and no other, each once."""
    modules = code_of(words)
    covered = Counter[tuple[int, int]]()
    for x, y, width, height in re.findall(r"M(\d+) (\d+)h(\d+)v(\d+)h-\d+z", code_path(modules)):
        covered.update((int(x) + i, int(y) + j) for i in range(int(width)) for j in range(int(height)))

    assert covered == Counter((x, y) for y, row in enumerate(modules) for x, dark in enumerate(row) if dark)
    assert len(modules) == len(modules[0])
    assert (len(modules) - 17) % 4 == 0


def test_words_stay_on_their_label_and_off_the_code() -> None:
    for label in [*labels(PAGES), replace(labels()[0], mark="A-very-long-name-of-a-wall/S103")]:
        path, words = set_label(label, SHEET, 0, 0)
        begin = float(path.partition("translate(")[2].split()[0])
        quiet = QUIET * float(path.partition("scale(")[2].partition(")")[0])
        assert words[0][4] == label.mark
        for x, y, size, bold, text in words:
            assert x + text_width(text, size, bold=bold) <= begin - quiet + 0.3
            assert y >= 0
            assert y + 0.66 * size <= SHEET.height_mm


def test_small_labels_keep_the_mark_and_leave_the_rest_out() -> None:
    small = replace(SHEET, width_mm=40, height_mm=24, columns=5, rows=12)
    _, words = set_label(labels()[0], small, 0, 0)

    assert words[0][4] == labels()[0].mark
    assert 3 <= len(words) < 8


def test_labels_stand_on_the_grid_of_the_rules() -> None:
    sheet = replace(SHEET, columns=2, rows=3, left_mm=5, top_mm=10, gap_mm=4)
    pages = label_pages(labels()[:13], sheet)

    assert len(pages) == 3
    marks = {label.mark for label in labels()}
    words = pages[0]["words"]
    assert isinstance(words, list)
    places = [(w[0], w[1]) for w in words if w[4] in marks]
    assert [(x - 3, y - 3) for x, y in places] == [(5, 10), (79, 10), (5, 47), (79, 47), (5, 84), (79, 84)]


def test_every_code_on_a_printed_sheet_is_read_back(tmp_path: Path) -> None:
    """By a decoder that has nothing to do with the library that makes the codes."""
    import zxingcpp
    from PIL import Image

    some = labels(PAGES)[: SHEET.columns * SHEET.rows]
    path = printed(tmp_path, labels_pdf(some, SHEET, TITLE))
    subprocess.run(
        [need_tool("pdftoppm"), "-r", "130", "-gray", "-png", "-singlefile", path, tmp_path / "page"],
        check=True,
    )
    with Image.open(tmp_path / "page.png") as picture:
        found = zxingcpp.read_barcodes(picture)

    assert {code.text for code in found} == {label.code for label in some}
    assert len(found) == len(some)


def test_a_code_in_words_is_read_back(tmp_path: Path) -> None:
    import zxingcpp
    from PIL import Image

    for label in labels()[::20]:
        modules = code_of(label.code)
        size = len(modules) + 2 * QUIET
        picture = Image.new("L", (size, size), 255)
        for y, row in enumerate(modules):
            for x, dark in enumerate(row):
                if dark:
                    picture.putpixel((x + QUIET, y + QUIET), 0)
        [found] = zxingcpp.read_barcodes(picture.resize((6 * size, 6 * size), 0))
        assert found.text == label.code


def test_the_printed_words_are_words(tmp_path: Path) -> None:
    path = printed(tmp_path, labels_pdf(labels()[:30], SHEET, TITLE))
    text = subprocess.run(
        [need_tool("pdftotext"), path, "-"], capture_output=True, check=True, text=True
    ).stdout

    for label in labels()[:30]:
        assert label.mark in text
        assert label.lines[0] in text


def test_files_come_in_parts_of_whole_sheets(monkeypatch: pytest.MonkeyPatch) -> None:
    [(name, _)] = label_files(labels(), RULES, TITLE)
    assert name == "labels.pdf"

    import pypdf

    monkeypatch.setattr("innerleaf.documents.labels_page.PAGES_OF_A_PART", 2)
    files = label_files(labels(), RULES, TITLE)
    assert [name for name, _ in files] == [f"labels-{k}.pdf" for k in range(1, len(files) + 1)]
    pages = [len(pypdf.PdfReader(io.BytesIO(make())).pages) for _, make in files]
    assert max(pages) <= 2
    assert sum(pages) == -(-len(labels()) // (SHEET.columns * SHEET.rows))
    assert label_files([], RULES, TITLE) == []


def test_the_same_labels_give_the_same_bytes() -> None:
    assert labels_pdf(labels()[:3], SHEET, TITLE) == labels_pdf(labels()[:3], SHEET, TITLE)
