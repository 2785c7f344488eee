"""`innerleaf cut` for sheets: what may stand in a file, what is said of mistakes, what comes out."""

from __future__ import annotations

import json
import re
import subprocess
from pathlib import Path
from typing import Any
from xml.etree import ElementTree as ET

import pytest
from click.testing import CliRunner
from tests.conftest import need_tool
from tests.test_cut import DOCS, written

from innerleaf.cli import commands
from innerleaf.cut_case import command
from innerleaf.cut_case_sheets import SheetAnswer, answer_text, run_sheets, sheet_patterns
from innerleaf.cut_file import SheetFile, read_cut
from innerleaf.cutting.boards import BoardDemand, BoardStock, Notch
from innerleaf.cutting.check_boards import snappable
from innerleaf.errors import FileFaults, InputError
from innerleaf.folder import CannotWrite

SHEETS, PIECES = [{"width": 1200, "length": 2500}], [{"width": 600, "length": 900}]


def example(kind: str) -> str:
    """The example of the manual."""
    text = DOCS.read_text("utf-8").partition("## Sheets")[2]
    if kind == "json":
        return text.partition("```json\n")[2].partition("```")[0]
    lines = re.findall(r"^    (kind,.*?)\n\n", text, re.MULTILINE | re.DOTALL)[0].split("\n")
    return "\n".join(line.strip() for line in lines)


def read_sheets(path: Path) -> SheetFile:
    asked = read_cut(path)
    assert isinstance(asked, SheetFile)
    return asked


def answered(tmp_path: Path, value: Any) -> SheetAnswer:
    return run_sheets(read_sheets(written(tmp_path / "a.json", value)))


def test_the_example_of_the_manual_is_read_as_it_says(tmp_path: Path) -> None:
    asked = read_sheets(written(tmp_path / "a.json", example("json")))

    assert (asked.priced, asked.decimals, asked.keep) == (True, 2, (300, 600))
    assert asked.problem.least_strip_mm == 100
    assert asked.problem.stocks == (
        BoardStock(width_mm=1200, length_mm=2500, price=950),
        BoardStock(width_mm=1200, length_mm=3000, price=1125, limit=20),
        BoardStock(width_mm=600, length_mm=1400, price=0, limit=1, left=True, right=False, mark="K-3"),
    )
    assert asked.problem.demands == (
        BoardDemand(
            mark="A",
            width_mm=1200,
            length_mm=2440,
            count=6,
            left=True,
            right=True,
            notches=(Notch(x_mm=700, y_mm=900, width_mm=500, length_mm=1200),),
        ),
        BoardDemand(mark="B", width_mm=600, length_mm=1250, count=7, left=True),
        BoardDemand(mark="R", width_mm=220, length_mm=1180, count=9, turns=True),
    )


def test_csv_says_the_same_as_json(tmp_path: Path) -> None:
    plain = read_sheets(written(tmp_path / "a.csv", example("csv")))
    comma = example("csv").replace(",", ";").replace("9.50", "9,50").replace("11.25", "11,25")

    assert plain == read_sheets(written(tmp_path / "a.json", example("json")))
    assert plain == read_sheets(written(tmp_path / "b.csv", comma))


def test_the_command_answers_in_words_and_for_programs(tmp_path: Path) -> None:
    path = written(tmp_path / "a.json", example("json"))

    answer = CliRunner().invoke(commands, ["cut", str(path), "--json"])
    told = CliRunner().invoke(commands, ["cut", str(path)])

    found = json.loads(answer.stdout)
    assert (answer.exit_code, told.exit_code) == (0, 0)
    assert "no plan can do with less than" in told.stdout
    assert found["bound"] <= found["cost"] == sum(sheet["price"] for sheet in found["sheets"])
    cut = [piece["mark"] for sheet in found["sheets"] for piece in sheet["pieces"]]
    assert [cut.count(mark) for mark in "ABR"] == [6, 7, 9]
    assert found["net_mm2"] == 6 * (1200 * 2440 - 500 * 1200) + 7 * 600 * 1250 + 9 * 220 * 1180
    for mark in {offcut["mark"] for sheet in found["sheets"] for offcut in sheet["offcuts"]} - {""}:
        assert mark in told.stdout


def test_the_cuts_part_a_sheet_into_its_pieces_and_offcuts(tmp_path: Path) -> None:
    """Redone here, cut by cut: what comes off is what is said, nothing is left untold but slivers."""
    asked = {"least_strip": 1, "sheets": SHEETS, "pieces": [
        {"mark": "a", "width": 700, "length": 1600, "count": 3},
        {"mark": "b", "width": 400, "length": 800, "count": 5},
        {"mark": "c", "width": 300, "length": 450, "count": 4, "turn": True},
    ]}  # fmt: skip
    for sheet in json.loads(command(written(tmp_path / "a.json", asked), as_json=True))["sheets"]:
        rooms = [(0, 0, sheet["width"], sheet["length"])]
        for cut in sheet["cuts"]:
            (x1, y1), (x2, y2) = cut["from"], cut["to"]
            room = next(r for r in rooms if (r[0] <= x1 and x2 <= r[2]) and (r[1] <= y1 and y2 <= r[3])
                        and ((x1 == x2 and (y1, y2) == (r[1], r[3]) and r[0] < x1 < r[2])
                             or (y1 == y2 and (x1, x2) == (r[0], r[2]) and r[1] < y1 < r[3])))  # fmt: skip
            rooms.remove(room)
            if x1 == x2:
                rooms += [(room[0], room[1], x1, room[3]), (x1, room[1], room[2], room[3])]
            else:
                rooms += [(room[0], room[1], room[2], y1), (room[0], y1, room[2], room[3])]
        told = [
            (p["x"], p["y"], p["x"] + p["width"], p["y"] + p["length"])
            for p in sheet["pieces"] + sheet["offcuts"]
        ]
        assert sorted(rooms) == sorted(told)
        assert snappable(told)


def test_whole_sheets_are_proved_cheapest_and_area_counts_without_prices(tmp_path: Path) -> None:
    asked = {
        "sheets": [{"width": 1000, "length": 2000}],
        "pieces": [{"width": 500, "length": 1000, "count": 12}],
    }

    found = json.loads(command(written(tmp_path / "a.json", asked), as_json=True))

    assert (found["cost"], found["bound"], found["priced"]) == (6_000_000, 6_000_000, False)
    assert found["bought"] == [{"width": 1000, "length": 2000, "count": 3}]
    assert found["stopped_by"] == "proved cheapest"
    assert "area bought 6.000 m²" in command(tmp_path / "a.json", as_json=False)


def test_sheets_cut_alike_stand_once_with_all_numbers(tmp_path: Path) -> None:
    asked = {
        "sheets": SHEETS,
        "keep": {"width": 300, "length": 600},
        "pieces": [{"mark": "A", "width": 1200, "length": 1700, "count": 4}],
    }
    answer = answered(tmp_path, asked)

    [pattern] = sheet_patterns(answer)

    assert pattern.numbers == (1, 2, 3, 4)
    assert pattern.lefts[0].kept == ("K-1", "K-2", "K-3", "K-4")
    assert len(pattern.parts[0].pieces) == 4


def a_piece(**more: object) -> dict[str, Any]:
    return {"sheets": SHEETS, "pieces": [{"width": 9, "length": 9} | more]}


@pytest.mark.parametrize(
    ("value", "said"),
    [
        (a_piece(width=-5), "pieces.width: given -5, accepted: a whole number from 1"),
        ({"sheets": SHEETS, "pieces": [{"length": 9}]}, "pieces.width: given 'nothing', accepted: a value"),
        (
            a_piece(width=1300, mark="A"),
            "size of piece A: given '1300 x 9 mm', accepted: what one of the boards holds",
        ),
        (a_piece(turn="maybe"), "pieces.turn: given 'maybe', accepted: yes or no"),
        (
            a_piece(turn="yes", left="yes"),
            "turning of piece P1: given 'yes', accepted: no, as it has a factory edge",
        ),
        (
            a_piece(notches=4),
            "pieces.notches: given 4, accepted: a list of groups with x, y, width, length",
        ),
        (a_piece(notches=[{"x": 1, "width": 2}]), "pieces.notches.length: given 'nothing'"),
        (
            a_piece(notches=[{"x": 5, "width": 9, "length": 2}]),
            "notch of piece P1: given '9 x 2 mm at 5, 0', accepted: a part of the piece",
        ),
        (a_piece() | {"kerf": 3}, "kerf: given 3, accepted: 0 for sheets"),
        (a_piece() | {"stock": [{"length": 9}]}, "this file has bars (stock) and sheets"),
        (
            a_piece() | {"choose": {"most": 2}},
            "name: given 'choose', accepted: one of kerf, least_strip, sheets",
        ),
        (a_piece() | {"keep": {"width": 3}}, "keep.length: given 'nothing'"),
        ({"sheets": SHEETS}, "pieces: given 'none', accepted: at least one"),
        ({"sheets": [], "pieces": PIECES}, "sheets: given 'none', accepted: at least one"),
        ({"pieces": PIECES}, "sheets: given 'none', accepted: at least one"),
        (
            {"sheets": [{"width": 30000, "length": 9}], "pieces": PIECES},
            "width of board 30000 x 9: given 30000, accepted: 1 to 20000 mm",
        ),
        (
            {"sheets": SHEETS, "pieces": [*PIECES, {"mark": "P1", "width": 5, "length": 5}]},
            "mark of a piece: given 'P1', accepted: each mark once",
        ),
    ],
)
def test_mistakes_name_line_field_given_accepted(tmp_path: Path, value: Any, said: str) -> None:
    """Somebody has to mend the file."""
    with pytest.raises(FileFaults) as error:
        read_cut(written(tmp_path / "a.json", value))

    assert any("a.json" in fault and said in fault for fault in error.value.faults), error.value.faults


def test_all_mistakes_are_said_at_once_each_with_its_line(tmp_path: Path) -> None:
    lines = "kind,width,length,x\nsheet,1200,2500\npiece,9\npiece,9,x\nnotch,5,5,-1\nboard,1,1"
    with pytest.raises(FileFaults) as error:
        read_cut(written(tmp_path / "a.csv", lines))

    faults = [fault.partition("a.csv:")[2] for fault in error.value.faults]
    assert [fault.partition(":")[0] for fault in faults] == ["4", "5", "6"]
    assert faults[1].startswith("5: pieces.notches.x: given -1, accepted: a whole number from 0")
    assert faults[2].startswith(
        "6: kind: given 'board', accepted: one of kerf, least_strip, sheet, offcut, piece"
    )
    with pytest.raises(
        FileFaults, match=r"a.csv:2: kind: given 'notch', accepted: a piece in a line before it"
    ):
        read_cut(written(tmp_path / "a.csv", "kind,width,length\nnotch,5,5\nsheet,10,10\npiece,5,5"))
    with pytest.raises(FileFaults, match="write a file for each"):
        read_cut(written(tmp_path / "a.csv", "kind,width,length\nsheet,10,10\nstock,,10\npiece,5,5"))


def test_too_few_sheets_are_said(tmp_path: Path) -> None:
    asked = {"sheets": [SHEETS[0] | {"limit": 1}], "pieces": [{"width": 1200, "length": 2000, "count": 2}]}
    with pytest.raises(InputError, match="boards for 1 of 2 pieces"):
        answered(tmp_path, asked)


# --- drawings -------------------------------------------------------------------------------------


def test_the_drawing_of_sheets_shows_every_mark_and_what_is_kept(tmp_path: Path) -> None:
    path, svg = written(tmp_path / "a.json", example("json")), tmp_path / "a.svg"

    answer = CliRunner().invoke(commands, ["cut", str(path), "--drawing", str(svg)])

    assert answer.exit_code == 0
    words = [element.text or "" for element in ET.fromstring(svg.read_text("utf-8")).iter() if element.text]
    for mark in re.findall(r"K-\d+", answer.stdout):
        assert any(mark in w for w in words)
    assert any("1200 × 2500" in w for w in words)
    assert sum(w.startswith("sheet") for w in words) >= 2


def test_the_drawing_of_bars_as_a_pdf(tmp_path: Path) -> None:
    bars = DOCS.read_text("utf-8").partition("```json\n")[2].partition("```")[0]
    path, pdf = written(tmp_path / "bars.json", bars), tmp_path / "bars.pdf"

    command(path, as_json=False, drawing=pdf)

    text = subprocess.run(
        [need_tool("pdftotext"), pdf, "-"], capture_output=True, check=True, text=True
    ).stdout
    for words in ("bars.json", "Phase 1", "Phase 2", "12 × S1", "T1 part 1", "K-7", "Reading the bars"):
        assert words in text


def test_a_drawing_that_cannot_be_made_is_said(tmp_path: Path) -> None:
    path = written(tmp_path / "a.json", {"sheets": SHEETS, "pieces": PIECES})

    with pytest.raises(
        InputError, match=r"drawing: given '.*a.png', accepted: a file ending in .svg or .pdf"
    ):
        command(path, as_json=False, drawing=tmp_path / "a.png")
    with pytest.raises(CannotWrite, match="drawing"):
        command(path, as_json=False, drawing=tmp_path / "none" / "a.svg")


def test_an_offcut_in_hand_is_called_by_its_mark(tmp_path: Path) -> None:
    hand = [{"mark": "K-3", "width": 600, "length": 900}]
    said = answer_text(answered(tmp_path, {"sheets": SHEETS, "offcuts": hand, "pieces": PIECES}))

    assert "K-3" in said
    assert "sheet" not in said.partition("Cuts")[2]
