"""How linings were chosen, on paper: every wall once, its figures, and what was given up."""

from __future__ import annotations

import io
from dataclasses import replace

from pypdf import PdfReader

from innerleaf.design.choice.record import ChoiceRecord, FigureRecord, TargetRecord, WallChoiceRecord
from innerleaf.documents.choice_page import choice_files, choice_page, choice_pdf
from innerleaf.documents.title import TitleBlock

TITLE = TitleBlock(project="Mill house (invented)")
WALL = WallChoiceRecord(
    wall="W-01",
    lining="CW-75 at 600, wool-60, board-A-12.5",
    options=1494,
    passed=450,
    unbeaten=61,
    targets=(
        TargetRecord("thickness of the lining at most 160.0 mm", "the job", 810, 558),
        TargetRecord("greatest height of the frame at least 2700 mm", "the tallest member", 0, 0),
    ),
    figures=(
        FigureRecord("cost", "cost, material and labour", "EUR", 593.1, 595.2),
        FigureRecord("carbon", "embodied carbon", "kg CO2e", None, None),
    ),
    gave_up=("2.9 dB more sound improvement, and 174.64 EUR dearer",),
    fell=(),
    misses=(),
    notes=("sound: from the layers",),
)
RECORD = ChoiceRecord(
    "cost", "EUR", 1250.4, 1190.4, 60.0, 1250.4, True, 1, (WALL, replace(WALL, wall="W-02"))
)


def test_walls_alike_share_a_row() -> None:
    chosen, targets, given_up = choice_page(RECORD).tables

    assert [row[0] for row in chosen.rows] == ["W-01, W-02"]
    assert chosen.rows[0][1:4] == (WALL.lining, "595.20", "–")
    assert [row[1] for row in targets.rows] == ["thickness of the lining at most 160.0 mm"]
    assert [row[1] for row in given_up.rows] == ["another would give", "note"]


def test_the_page_says_what_was_made_least_and_how_sure_that_is() -> None:
    text = " ".join(page.extract_text() for page in PdfReader(io.BytesIO(choice_pdf(RECORD, TITLE))).pages)

    for words in ("How the linings were chosen", "cost, over all these walls", "no choice is less", "174.64"):
        assert words in text.replace("\n", " ")


def test_the_same_choice_gives_the_same_bytes() -> None:
    ((name, make),) = choice_files(RECORD, TITLE)

    assert name == "choice.pdf"
    assert make() == make()
