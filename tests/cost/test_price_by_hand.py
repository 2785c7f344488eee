"""A small price followed by hand from the printed sheet and from the workbook, with nothing of our own code.

Quantities are typed from the drawing of `small_plan` (3600 × 2500, a window 1200 × 1200, twice), minutes,
rates and percentages from the data files; everything else is read off the sheet and reckoned in decimals.
"""

from __future__ import annotations

import subprocess
from decimal import ROUND_HALF_UP, Decimal
from io import BytesIO
from pathlib import Path

import openpyxl
import pytest
from tests.conftest import need_tool
from tests.cost.by_hand import basis_of, two_walls

from innerleaf.cost.price_report import PriceReport, report_of
from innerleaf.documents.price_book import price_sheets
from innerleaf.documents.price_sheet import price_pdf
from innerleaf.documents.title import TitleBlock
from innerleaf.documents.xlsx import workbook

# What people typed, not what the program says: work, kind, trade -> (amount, minutes of one, rate).
TYPED = {
    ("setting out", "fitter"): ("7.2", "3", "46"),
    ("setting out", "helper"): ("7.2", "1.5", "34"),
    ("track, floor track", "fitter"): ("7.2", "4", "46"),
    ("member, stud", "fitter"): ("19.92", "2.5", "46"),  # 8 studs of 2.49 m
    ("board, board-A-12.5, layer 1", "fitter"): ("14.962", "6.5", "46"),  # 2 × (3.59 × 2.485 - 1.44) m²
    ("board, board-A-12.5, layer 2", "helper"): ("14.962", "5.5", "34"),
    ("joint, edge bead", "jointer"): ("19.2", "3", "44"),  # 9.6 m, two coats
    ("joint, perimeter joint", "jointer"): ("48.6", "1.5", "44"),  # 24.3 m, two coats, half the minutes
    ("notch in a board", "fitter"): ("8", "4", "46"),
    ("box", "fitter"): ("2", "6", "46"),
    ("sanding, Q2", "jointer"): ("14.962", "2", "44"),
}
SMALL_ROOM = Decimal("0.12")  # 7.48 m² of lining in each room, below 12


def to_cents(value: Decimal) -> Decimal:
    """Half up."""
    return value.quantize(Decimal("0.01"), ROUND_HALF_UP)


@pytest.fixture(scope="module")
def report() -> PriceReport:
    """The price of the two walls, with a discount of 2 %."""
    return report_of(
        basis_of(two_walls(), {"discounts": [{"text": "second job", "percent": 2, "reason": "came back"}]})
    )


@pytest.fixture(scope="module")
def rows(report: PriceReport) -> list[list[object]]:
    """The tab "Price", opened by another library."""
    book = openpyxl.load_workbook(
        BytesIO(workbook(price_sheets(report.price), TitleBlock(project="P"))), data_only=False
    )
    return [[cell.value for cell in row] for row in book["Price"].iter_rows(min_row=2)]


def total(rows: list[list[object]], *parts: str) -> Decimal:
    """What the rows of some parts come to."""
    return sum((d(row[9]) for row in rows if row[0] in parts), Decimal(0))


def d(value: object) -> Decimal:
    """A cell as the decimal it shows."""
    return Decimal(str(value))


def test_labour_of_the_workbook_by_hand(rows: list[list[object]]) -> None:
    labour = {(row[1], row[2]): row for row in rows if row[0] == "labour"}
    for key, (amount, minutes, rate) in TYPED.items():
        row = labour[key]
        hours = to_cents(d(amount) * d(minutes) * (1 + SMALL_ROOM) / 60)

        assert d(row[3]) == d(amount), key
        assert d(row[7]) == hours, key
        assert d(row[9]) == to_cents(hours * d(rate)), key
    for row in labour.values():
        hours = to_cents(d(row[3]) * d(row[5]) * (1 + d(row[6])) / 60)
        assert d(row[7]) == hours, row
        assert d(row[9]) == to_cents(hours * d(row[8])), row


def test_the_ladder_of_the_workbook_by_hand(rows: list[list[object]]) -> None:
    """12 % overhead, 2 % of labour for risk, 8 % of the price, 2 % off, whole euros, 20 % tax."""
    rows = [row for row in rows if row[0]]
    amount = {row[1]: d(row[9]) for row in rows if row[0] not in ("labour", "material")}
    labour = total(rows, "labour")
    material = total(rows, "material")
    parts = ("delivery", "plant", "waste", "preliminaries", "extra")
    direct = labour + material + total(rows, *parts)
    overhead = to_cents(direct * 12 / 100)
    risk = to_cents(labour * 2 / 100)
    margin = to_cents((direct + overhead + risk) * 8 / 92)
    full = direct + overhead + risk + margin
    discount = to_cents(full * 2 / 100)
    net = (full - discount).quantize(Decimal(1), ROUND_HALF_UP)

    assert amount["saw and dust extraction"] == 2 * 16
    assert amount["foreman, post and travel"] == Decimal("0.4") * 180
    assert amount["overhead"] == overhead
    assert amount["old walls found worse than surveyed"] == risk
    assert amount["margin"] == margin
    assert amount["second job"] == -discount
    assert amount["rounding"] == net - (full - discount)
    assert amount["VAT"] == to_cents(net * 20 / 100)


def test_the_total_under_the_workbook_is_the_price_with_tax(
    report: PriceReport, rows: list[list[object]]
) -> None:
    costs = [d(row[9]) for row in rows if row[0]]

    assert sum(costs) * 100 == report.price.gross
    assert str(rows[-1][9]).startswith("=SUBTOTAL(109,")


def test_the_printed_sheet_says_the_same(report: PriceReport, tmp_path: Path) -> None:
    """Every sum of the ladder and every labour line stands in the text of the PDF."""
    path = tmp_path / "price.pdf"
    path.write_bytes(price_pdf(report, TitleBlock(project="House at the mill race (invented)")))
    text = subprocess.run(
        [need_tool("pdftotext"), "-layout", str(path), "-"], capture_output=True, text=True, check=True
    ).stdout
    lines = [" ".join(line.split()) for line in text.splitlines()]

    assert any(line.startswith("setting out fitter 7.200 m 3 0.120 0.40 46.00 18.40") for line in lines)
    assert any(line.startswith("box fitter 2 piece 6 0.120 0.22 46.00 10.12") for line in lines)
    price = report.price
    for label, amount in (("net price", price.net), ("tax (VAT)", price.vat), ("direct cost", price.direct)):
        words = f"{label} {amount / 100:,.2f}"
        assert any(line.startswith(words) for line in lines), words
    assert "Internal: not for the client" in text
    assert "Not in the price" not in text
    assert price_pdf(report, TitleBlock(project="x")) == price_pdf(report, TitleBlock(project="x"))
