"""`innerleaf cut`: what may stand in a file, what is said of mistakes, what comes out."""

from __future__ import annotations

import json
import re
from collections import Counter
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from innerleaf.cli import commands
from innerleaf.cut_case import command
from innerleaf.cut_case_bars import CutAnswer, bar_patterns, run_bars
from innerleaf.cut_case_bars import answer_json as bars_json
from innerleaf.cut_case_bars import answer_text as bars_text
from innerleaf.cut_file import CutFile, read_cut
from innerleaf.cutting.bars import BarDemand, BarStock, Keeping, Splice
from innerleaf.errors import FileFaults

DOCS = Path(__file__).parents[1] / "docs" / "cut.md"


def written(path: Path, value: Any) -> Path:
    text = value if isinstance(value, str) else json.dumps(value, indent=1)
    path.write_text(text, encoding="utf-8")
    return path


def read_bars(path: Path) -> CutFile:
    asked = read_cut(path)
    assert isinstance(asked, CutFile)
    return asked


def example(kind: str) -> str:
    """The example of the manual."""
    text = DOCS.read_text("utf-8")
    if kind == "json":
        return text.partition("```json\n")[2].partition("```")[0]
    return "\n".join(
        line.strip()
        for line in re.findall(r"^    (kind,.*?)\n\n", text, re.MULTILINE | re.DOTALL)[0].split("\n")
    )


def test_the_example_of_the_manual_is_read_as_it_says(tmp_path: Path) -> None:
    """Money in the smallest unit that all prices are whole in."""
    asked = read_bars(written(tmp_path / "a.json", example("json")))

    assert (asked.priced, asked.decimals, asked.shown, asked.choose) == (True, 5, 2, None)
    assert asked.problem.kerf_mm == 3
    assert asked.problem.keeping == Keeping(least_mm=600, worth_per_m=50_000)
    assert asked.problem.stocks == (
        BarStock(length_mm=3000, price=420_000, phase=1),
        BarStock(length_mm=4000, price=540_000, trim_mm=10, phase=1),
        BarStock(length_mm=2600, price=365_000, limit=5, phase=2),
        BarStock(length_mm=1450, price=0, limit=1, phase=1, mark="K-7"),
    )
    assert asked.problem.demands[2] == BarDemand(
        mark="T1", length_mm=5200, count=2, phase=1, splice=Splice(overlap_mm=300, least_mm=500)
    )


def test_csv_says_the_same_as_json(tmp_path: Path) -> None:
    """A list from a spreadsheet, with either way to write a decimal."""
    plain = read_bars(written(tmp_path / "a.csv", example("csv")))
    comma = example("csv").replace(",", ";").replace("4.20", "4,20").replace("5.40", "5,40")

    assert plain == read_bars(written(tmp_path / "b.csv", comma))
    assert plain.problem.kerf_mm == 3
    assert [(d.mark, d.length_mm, d.count, d.phase) for d in plain.problem.demands] == [
        ("S1", 2490, 12, 1),
        ("N1", 450, 9, 2),
    ]


@pytest.mark.parametrize("kind", ["json", "csv"])
def test_the_command_answers(tmp_path: Path, kind: str) -> None:
    """Every piece of the manual's examples is on a bar."""
    path = written(tmp_path / f"a.{kind}", example(kind))

    answer = CliRunner().invoke(commands, ["cut", str(path), "--json"])
    told = CliRunner().invoke(commands, ["cut", str(path)])

    found = json.loads(answer.stdout)
    assert (answer.exit_code, told.exit_code) == (0, 0)
    assert "no plan can do with less than" in told.stdout
    assert found["bound"] <= found["cost"]
    cut = [piece["mark"] for bar in found["bars"] for piece in bar["pieces"] if piece["part"] <= 1]
    assert (cut.count("S1"), cut.count("N1")) == (12, 9)


def test_lengths_are_chosen(tmp_path: Path) -> None:
    """Of five lengths the one that fits: 2,490 mm with a cut from 5,000, nothing else is bought."""
    stock = [{"length": length} for length in (2600, 3000, 4000, 5000, 6000)]
    asked = {"kerf": 3, "stock": stock, "pieces": [{"length": 2490, "count": 20}], "choose": {"most": 1}}

    found = json.loads(command(written(tmp_path / "a.json", asked), as_json=True))

    assert found["bought"] == [{"length": 5000, "count": 10}]
    assert found["chosen_bound"] <= found["cost"] == 50000


STOCK, PIECES = [{"length": 3000}], [{"length": 900}]


@pytest.mark.parametrize(
    ("value", "said"),
    [
        (
            {"stock": STOCK, "pieces": [{"length": -5}]},
            "pieces.length: given -5, accepted: a whole number from 1",
        ),
        ({"stock": STOCK, "pieces": [{"length": 9.5}]}, "pieces.length: given 9.5"),
        ({"stock": STOCK, "pieces": [{"count": 5}]}, "pieces.length: given 'nothing'"),
        (
            {"stock": STOCK, "pieces": [{"length": 3001, "mark": "A"}]},
            "length of piece A: given 3001, accepted: 1",
        ),
        (
            {"stock": STOCK, "pieces": [{"length": 9, "colour": 1}]},
            "pieces.colour: given 1, accepted: one of mark",
        ),
        ({"stock": STOCK, "pieces": 7}, "pieces: given 7, accepted: a list"),
        ({"stock": STOCK, "pieces": [7]}, "pieces: given 7, accepted: groups with mark"),
        ({"stock": STOCK}, "pieces: given 'none', accepted: at least one"),
        ({"pieces": PIECES, "stock": [*STOCK, {"length": 1, "price": 2}]}, "stock.price: given 'nothing'"),
        ({"pieces": PIECES, "stock": [{"length": 3000, "price": 0.00001}]}, "stock.price: given 1e-05"),
        ({"pieces": PIECES, "stock": STOCK, "saw": 3}, "name: given 'saw', accepted: one of kerf"),
        ({"pieces": PIECES, "stock": STOCK, "kerf": True}, "kerf: given True"),
        ([1], "the file holds no group with pieces and stock"),
        ("{", "cannot be read"),
        (
            {"pieces": [{"length": 900, "least_part": 9}], "stock": STOCK},
            "pieces.overlap: given 'nothing', accepted: an overlap",
        ),
    ],
)
def test_mistakes_name_line_field_given_accepted(tmp_path: Path, value: Any, said: str) -> None:
    """Somebody has to mend the file."""
    with pytest.raises(FileFaults) as error:
        read_cut(written(tmp_path / "a.json", value))

    assert any("a.json:" in fault and said in fault for fault in error.value.faults), error.value.faults


@pytest.mark.parametrize(
    ("lines", "said"),
    [
        ("kind,length\nbeam,3000", ":2: kind: given 'beam', accepted: one of kerf, stock, offcut"),
        ("length\n3000", ":1: first line: given 'length', accepted: names of columns"),
        ("kind,length\nstock,3000,7", ":2: line: given '3 values', accepted: at most 2"),
        ("kind,length\nstock,3 m", ":2: stock.length: given '3 m', accepted: a whole number"),
        ("kind,length\nstock,3000\npiece,900\npiece,3001", ":4: length of piece P2: given 3001"),
    ],
)
def test_mistakes_in_csv_name_their_line(tmp_path: Path, lines: str, said: str) -> None:
    with pytest.raises(FileFaults) as error:
        read_cut(written(tmp_path / "a.csv", lines))

    assert said in str(error.value)


def test_a_file_that_is_not_there_is_said(tmp_path: Path) -> None:
    answer = CliRunner().invoke(commands, ["cut", str(tmp_path / "none.csv")])

    assert isinstance(answer.exception, FileFaults)
    assert str(answer.exception).endswith("this file cannot be opened: No such file or directory.")


def test_bars_are_drawn_as_they_are_cut(tmp_path: Path) -> None:
    """Trim, pieces, blade and rest make up each bar; every piece is drawn; what is kept has its mark."""
    answer = run_bars(read_bars(written(tmp_path / "a.json", example("json"))))
    trims = {bar.number: bar.trim_mm for bar in answer.plan.bars}

    patterns = bar_patterns(answer)

    assert sorted(n for p in patterns for n in p.numbers) == sorted(trims)
    for pattern in patterns:
        trim = trims[pattern.numbers[0]]
        last = pattern.spans[-1][1]
        behind = pattern.stock_mm - (trim - trim // 2) - last
        assert pattern.trim_mm == trim // 2
        assert pattern.rest_mm == max(0, behind - pattern.kerf_mm)
        assert all(len(part.pieces) == len(pattern.numbers) for part in pattern.parts)
    drawn = Counter(p.mark for pattern in patterns for part in pattern.parts for p in part.pieces)
    assert (drawn["S1"], drawn["N1"]) == (12, 9)
    kept = [mark for pattern in patterns for mark in pattern.kept]
    assert len(set(kept)) == len(kept) == sum(bar.kept for bar in answer.plan.bars)


def kept_at(tmp_path: Path, price: str) -> CutAnswer:
    """A piece of 2100 out of a bar of 3000; its rest of 900 is kept at 1 a metre."""
    value = (
        f'{{"keep": {{"least": 500, "worth": 1}}, "stock": [{{"length": 3000, "price": {price}}},'
        f' {{"length": 2500, "price": 4}}], "pieces": [{{"length": 2100, "count": 2}}]}}'
    )
    return run_bars(read_bars(written(tmp_path / "a.json", value)))


@pytest.mark.parametrize("price", ["4", "4.0", "4.0001"])
def test_a_remainder_is_worth_its_millimetres_whatever_prices_are_rounded_to(
    tmp_path: Path, price: str
) -> None:
    """Two bars at 4 less twice 0.90, not less twice nothing: the long bar beats the short one."""
    answer = kept_at(tmp_path, price)

    assert answer.plan.bought == ((3000, 2),)
    assert json.loads(bars_json(answer))["cost"] == pytest.approx(2 * float(price) - 1.8, abs=1e-9)
    assert "cost 6.20" in bars_text(answer)


def test_a_dear_bar_can_still_be_kept_of(tmp_path: Path) -> None:
    """Decimals are added only as far as the largest price stays within what is reckoned with."""
    assert kept_at(tmp_path, "99999.9999").asked.decimals == 4
