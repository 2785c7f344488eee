"""Suppliers' price lists out of CSV and XLSX: what is taken, what is left out and told, what is refused."""

from __future__ import annotations

import io
import json
import zipfile
from pathlib import Path

import pytest
import xlsxwriter
from click.testing import CliRunner
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.cost.small_takeoff import PRACTICE, SUPPLY

from innerleaf.cli_supply import supply as command
from innerleaf.cost import sheet_reader
from innerleaf.cost.price_list import Imported, import_price_list, number_of
from innerleaf.cost.price_list_map import load_map
from innerleaf.cost.sheet_reader import sheet_rows
from innerleaf.cost.supply import Break
from innerleaf.cost.supply_file import load_supply
from innerleaf.errors import FileFaults, InputError

MAP = """
format: 1
supplier: Rowan (invented)
terms: {charge: 30}
source: invented for tests
date: 2026-01-15
currency: EUR
decimal: comma
columns: {code: Item, price: Net, unit: Unit, pack: Pack, length: Length, lead_days: Days}
units: {each: piece, metre: m, thousand: "1000", carton: pack}
articles:
  R-1: {article: CW-75, pack_name: bundle}
  R-2: screw-25
  R-3: board-A-12.5
  R-4: compound-25
  R-5: strip-70
"""
ROWS = [
    ("Item", "Net", "Unit", "Pack", "Length", "Days"),
    ("R-1", "2,15", "metre", "8", "2600", "3"),
    ("R-2", "1.012,50", "Thousand", "200", "", ""),
    ("R-3", "10,61", "each", "1", "2600", "2"),
    ("R-4", "0,73", "kg", "25", "", ""),
    ("R-5", "7,90", "carton", "30", "", "1"),
    ("X-9", "5,00", "each", "1", "", ""),
]
Row = tuple[object, ...]


def as_csv(path: Path, rows: list[Row], mark: str = ";") -> Path:
    path.write_text("\n".join(mark.join(map(str, row)) for row in rows) + "\n", encoding="utf-8-sig")
    return path


def as_xlsx(path: Path, rows: list[Row]) -> Path:
    book = xlsxwriter.Workbook(str(path))
    sheet = book.add_worksheet("Prices")
    for y, row in enumerate(rows):
        for x, cell in enumerate(row):
            sheet.write(y, x, cell)
    book.close()
    return path


def read(tmp_path: Path, rows: list[Row], mapping: str = MAP, *, xlsx: bool = False) -> Imported:
    own = tmp_path / "map.yaml"
    own.write_text(mapping, encoding="utf-8")
    path = as_xlsx(tmp_path / "list.xlsx", rows) if xlsx else as_csv(tmp_path / "list.csv", rows)
    return import_price_list(path, load_map(own, PRACTICE), PRACTICE)


def told(found: Imported) -> str:
    return "\n".join(map(str, found.faults))


def test_rows_become_offers(tmp_path: Path) -> None:
    found = read(tmp_path, list(ROWS))
    by_code = {offer.code: offer for offer in found.supply.offers}

    assert (found.faults, found.unknown) == ((), 1)
    assert by_code["R-1"].prices == (Break(1, 4472),)  # 8 x 2.6 m at 2.15
    assert (by_code["R-1"].length_mm, by_code["R-1"].lead_days, by_code["R-1"].pack_name) == (
        2600,
        3,
        "bundle",
    )
    assert by_code["R-2"].prices == (Break(1, 20250),)  # 200 at 1012.50 a thousand
    assert by_code["R-4"].prices == (Break(1, 1825),)
    assert by_code["R-5"].pack == 30_000
    assert found.supply.suppliers["Rowan (invented)"].charge == 3000


def test_a_workbook_says_the_same_as_a_text(tmp_path: Path) -> None:
    """Numbers of a workbook are numbers, whatever the decimal sign."""
    cells: list[Row] = [ROWS[0], ("R-1", 2.15, "metre", 8, 2600, 3), ("R-2", 1012.5, "thousand", 200)]

    book = read(tmp_path, cells, xlsx=True)
    assert book.supply.offers == read(tmp_path, list(ROWS[:3])).supply.offers
    assert len(book.faults) == 3  # codes that this list lacks


@pytest.mark.parametrize(
    ("row", "words"),
    [
        (("R-1", "", "metre", "8", "2600"), "row 3, Net: given nothing, accepted: a number above 0"),
        (("R-1", "0", "metre", "8", "2600"), "row 3, Net: given '0', accepted: a number above 0"),
        (("R-1", "-2,15", "metre", "8", "2600"), "row 3, Net: given '-2,15'"),
        (
            ("R-1", "2.15", "metre", "8", "2600"),
            "row 3, Net: given '2.15', accepted: a number above 0, with a decimal comma",
        ),
        (
            ("R-1", "2,15", "mile", "8", "2600"),
            "row 3, Unit: given 'mile', accepted: a unit of the mapping: each, metre",
        ),
        (("R-1", "2,15", "", "8", "2600"), "row 3, Unit: given nothing"),
        (
            ("R-1", "2,15", "kg", "8", "2600"),
            "row 3, Unit: given 'kg', accepted: a unit that CW-75 is sold by: pack",
        ),
        (("R-1", "2,15", "metre", "", "2600"), "row 3, Pack: given nothing, accepted: how much is in a pack"),
        (
            ("R-1", "2,15", "metre", "1,5", "2600"),
            "row 3, Pack: given '1,5', accepted: a whole number of bars",
        ),
        (("R-1", "2,15", "metre", "8", ""), "row 3, Length: given nothing, accepted: the length of CW-75"),
        (("R-1", "2,15", "metre", "8", "3"), "row 3, Length: given '3', accepted: 10 to 100000 mm"),
        (
            ("R-1", "2,15", "metre", "8", "2600", "soon"),
            "row 3, Days: given 'soon', accepted: a whole number",
        ),
        (("", "2,15", "metre", "8", "2600"), "row 3, Item: given nothing, accepted: the code of an article"),
    ],
)
def test_a_row_that_lacks_something_is_left_out_and_told(tmp_path: Path, row: Row, words: str) -> None:
    found = read(tmp_path, [ROWS[0], ROWS[3], row])

    assert [offer.code for offer in found.supply.offers] == ["R-3"]
    assert words in told(found)


def test_codes_that_come_twice(tmp_path: Path) -> None:
    """The same twice is one offer; two prices are none."""
    dearer = ("R-3", "11,00", "each", "1", "2600", "2")
    same = read(tmp_path, [ROWS[0], ROWS[1], ROWS[3], ROWS[3]])
    other = read(tmp_path, [ROWS[0], ROWS[1], ROWS[3], dearer])

    assert [offer.code for offer in same.supply.offers] == ["R-1", "R-3"]
    assert "row 4, Item: given 'R-3', accepted: each code once (as in row 3, which is used)." in told(same)
    assert [offer.code for offer in other.supply.offers] == ["R-1"]
    assert told(other).count("rows 3, 4 differ") == 2


def test_another_currency_needs_a_rate_with_its_date(tmp_path: Path) -> None:
    foreign = MAP.replace(
        "currency: EUR", "currency: GBP\ninto: {currency: EUR, rate: 1.17, date: 2026-01-12}"
    )
    found = read(tmp_path, list(ROWS), foreign)

    assert found.supply.currency == "EUR"
    assert found.supply.offers[0].prices == (Break(1, 5232),)  # 20.8 m x 2.15 x 1.17 = 52.3224
    assert "GBP at 1.17 EUR on 2026-01-12" in found.supply.source
    assert found.supply.suppliers["Rowan (invented)"].charge == 3510  # his terms too: 30 x 1.17
    with pytest.raises(FileFaults, match="date of the rate"):
        read(tmp_path, list(ROWS), foreign.replace(", date: 2026-01-12}", "}"))
    column = MAP.replace("lead_days: Days", "currency: Days")
    rows: list[Row] = [ROWS[0], (*ROWS[3][:5], "EUR"), (*ROWS[1][:5], "USD")]
    assert "row 3, Days: given 'USD', accepted: EUR" in told(read(tmp_path, rows, column))


def test_breaks_and_minimum_from_columns(tmp_path: Path) -> None:
    mapping = MAP.replace("lead_days: Days}", "least_packs: Least}\nbreaks: [{quantity: From, price: Then}]")
    rows: list[Row] = [
        ("Item", "Net", "Unit", "Pack", "Length", "Least", "From", "Then"),
        ("R-1", "2,15", "metre", "8", "2600", "2", "100", "2,00"),
        ("R-3", "10,61", "each", "1", "2600", "", "", ""),
        ("R-2", "9", "thousand", "200", "", "", "5000", "9,50"),
    ]
    found = read(tmp_path, rows, mapping)
    bars, boards = found.supply.offers

    assert (bars.prices, bars.least_packs) == ((Break(1, 4472), Break(5, 4160)), 2)
    assert boards.prices == (Break(1, 1061),)
    assert "row 4, From" in told(found)


@pytest.mark.parametrize(
    ("good", "bad", "words"),
    [
        ("decimal: comma", "decimal: dot", "decimal: given 'dot', accepted: comma, point"),
        ("price: Net, ", "", "columns.price: given nothing"),
        ("metre: m", "metre: mile", "units.metre: given 'mile'"),
        ("R-2: screw-25", "R-2: screw-26", "did you mean screw-25?"),
        (
            "R-2: screw-25",
            "R-2: {article: screw-25, length: 25}",
            "length of screw-25: given 25, accepted: no length",
        ),
        ("currency: EUR", "currency: Euro", "three capital letters"),
        ("source: invented for tests", "", "source: given nothing"),
        ("unit: Unit, ", "", "per: given nothing"),
    ],
)
def test_a_mapping_that_cannot_be_used(tmp_path: Path, good: str, bad: str, words: str) -> None:
    own = tmp_path / "map.yaml"
    own.write_text(MAP.replace(good, bad, 1), encoding="utf-8")
    with pytest.raises(FileFaults) as error:
        load_map(own, PRACTICE)
    assert words in "\n".join(error.value.faults)


def test_headings_that_are_not_there_or_twice(tmp_path: Path) -> None:
    with pytest.raises(InputError, match=r"columns: given 'Unit', accepted: a heading that row 1 has once"):
        read(tmp_path, [("Item", "Net", "Pack", "Length", "Days"), ROWS[1]])
    with pytest.raises(InputError, match="once"):
        read(tmp_path, [(*ROWS[0], "Net"), ROWS[1]])
    with pytest.raises(InputError, match="row that can be used"):
        read(tmp_path, [ROWS[0], ROWS[6]])


def test_hostile_files_are_refused_in_a_sentence(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "list.xlsx"
    broken = {
        "a workbook that can be read": b"PK\x03\x04 no archive",
        "UTF-8 text or an XLSX workbook": b"\xff\xfe\x00price",
        "a workbook with": zipped({"[Content_Types].xml": b"<Types/>"}),
        "declarations of its own": zipped({"xl/workbook.xml": b'<!DOCTYPE x [<!ENTITY a "b">]><x>&a;</x>'}),
    }
    for words, raw in broken.items():
        path.write_bytes(raw)
        with pytest.raises(InputError) as error:
            sheet_rows(path)
        assert words.split(" with")[0] in str(error.value)
    monkeypatch.setattr(sheet_reader, "MOST_UNPACKED", 1000)
    path.write_bytes(zipped({"xl/sheet.xml": b"<x>" + b" " * 2000}))
    with pytest.raises(InputError, match="unpacked"):
        sheet_rows(path)
    monkeypatch.setattr(sheet_reader, "MOST_BYTES", 10)
    with pytest.raises(InputError, match="MiB or less"):
        sheet_rows(path)
    monkeypatch.setattr(sheet_reader, "MOST_BYTES", 10_000)
    monkeypatch.setattr(sheet_reader, "MOST_ROWS", 3)
    with pytest.raises(InputError, match="3 rows or fewer"):
        sheet_rows(as_csv(path, [("a",)] * 5))
    with pytest.raises(InputError, match="columns or fewer"):
        sheet_rows(as_csv(path, [("a",) * 300]))
    with pytest.raises(InputError, match="can be opened"):
        sheet_rows(tmp_path / "none.csv")


def zipped(parts: dict[str, bytes]) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in parts.items():
            archive.writestr(name, content)
    return out.getvalue()


@settings(max_examples=50, deadline=None)
@given(st.decimals(min_value=0, max_value=10**6, places=2), st.booleans(), st.booleans())
def test_numbers_are_read_as_people_write_them(number: object, comma: bool, parted: bool) -> None:
    words = f"{number:,.2f}" if parted else f"{number:.2f}"
    words = words.translate(str.maketrans(",.", ".,")) if comma else words

    assert number_of(words, decimal_comma=comma) == number


@pytest.mark.parametrize(
    "words", ["1,2,3", "1.2.3", "1e5", "12 EUR", "½", "٣", "", "1.23,4", "--1", "9" * 40]
)
def test_what_is_no_number(words: str) -> None:
    assert number_of(words, decimal_comma=True) is None
    assert number_of(float("nan"), decimal_comma=True) is None


def test_the_command(tmp_path: Path) -> None:
    """It writes a supply list, tells what it left out, and never writes over one unasked."""
    own, other, out = tmp_path / "map.yaml", tmp_path / "other.yaml", tmp_path / "new.yaml"
    own.write_text(MAP, encoding="utf-8")
    other.write_text(SUPPLY, encoding="utf-8")
    path = as_csv(tmp_path / "list.csv", [*ROWS[:3], ("R-3", "", "each", "1", "2600")])
    arguments = [str(path), "--map", str(own), "--out", str(out), "--with", str(other)]
    answer = CliRunner().invoke(command, arguments, catch_exceptions=False)

    assert "row 4, Net: given nothing" in answer.output
    assert "2 offers in EUR" in answer.output
    made = load_supply(PRACTICE, out)
    assert len(made.offers) == 2 + 8
    assert set(made.suppliers) == {"Rowan (invented)", "Alder (invented)", "Birch (invented)"}
    with pytest.raises(InputError, match="a new file"):
        CliRunner().invoke(command, arguments, catch_exceptions=False)
    record = json.loads(CliRunner().invoke(command, [*arguments, "--replace", "--json"]).output)
    assert (record["ok"], record["offers"], record["left_out"][0]["column"]) == (True, 2, "articles")


def test_all_mistakes_of_a_mapping_are_said_at_once(tmp_path: Path) -> None:
    wrong = MAP
    for good, bad in (
        ("supplier: Rowan (invented)", "supplier: 5"),
        ("currency: EUR", "currency: Euro"),
        ("decimal: comma", "decimal: dot"),
        ("price: Net, ", ""),
        ("metre: m", "metre: mile"),
        ("date: 2026-01-15", "date: soon"),
        ("R-2: screw-25", "R-2: screw-26"),
    ):
        wrong = wrong.replace(good, bad, 1)
    own = tmp_path / "map.yaml"
    own.write_text(wrong, encoding="utf-8")
    with pytest.raises(FileFaults) as error:
        load_map(own, PRACTICE)

    fields = ("supplier", "date", "currency", "decimal", "columns.price", "units.metre", "article")
    said = "\n".join(error.value.faults)
    assert [said.count(f" {field}: given") for field in fields] == [1] * len(fields), said
    assert "supplier: given 5, accepted: a name" in said
