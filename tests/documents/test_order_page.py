"""The order on paper and in the workbook: every line once, figures that add up, nothing hidden."""

from __future__ import annotations

import io
from dataclasses import replace

from openpyxl import load_workbook
from pypdf import PdfReader
from tests.cost.small_takeoff import PRACTICE, STOREYS, supply, takeoff

from innerleaf.cost.model import Order
from innerleaf.cost.order import order_for
from innerleaf.cost.order_choices import PRICE_LIST
from innerleaf.cost.price_money import money
from innerleaf.documents.order_page import order_files, order_pages, order_pdf
from innerleaf.documents.order_tables import delivery_table, line_tables, total_table
from innerleaf.documents.title import TitleBlock
from innerleaf.documents.xlsx import takeoff_xlsx
from innerleaf.job.schema_buying import Buying
from innerleaf.practice.prices import load_prices

TITLE = TitleBlock(project="Mill house (invented)")


def an_order() -> Order:
    said = {
        "in_hand": [{"article": "CW-75", "length": 3000, "count": 1}],
        "allowances": {"strip-70": {"amount": 5, "reason": "rough floor"}},
        "deliveries": "storeys",
    }
    return order_for(
        takeoff(), PRACTICE, supply(), load_prices(PRACTICE), Buying.model_validate(said), STOREYS
    )


def test_every_line_is_printed_once_under_its_delivery() -> None:
    order = an_order()
    tables = line_tables(order)

    assert sum(len(table.rows) for table in tables) == len(order.lines)
    assert tables[0].title == "From the van and the store"
    assert [table.title.split(":")[0] for table in tables[1:]] == [d.id for d in order.deliveries]


def test_what_has_no_supplier_yet_comes_by_no_lorry() -> None:
    order = an_order()
    first = replace(order.deliveries[0], supplier=PRICE_LIST, mass_kg=0)
    one, other, *_ = delivery_table(replace(order, deliveries=(first, order.deliveries[0]))).rows

    assert one[1] == "no supplier yet"
    assert (one[5], one[6], one[7], one[10]) == ("", "not given", "", "")
    assert other[1] == order.deliveries[0].supplier
    assert other[7] == 1


def test_totals_on_paper_are_those_of_the_order() -> None:
    order = an_order()
    last = total_table(order).rows[-1]

    assert last[-1] == money(order.total)
    assert last[3] == money(order.goods)
    notes = " ".join(f"{note.heading} {note.lead} {note.text}" for note in order_pages(order)[0].notes)
    assert "strip-70: rough floor" in notes
    assert "invented for tests" in notes
    assert money(order.lower_bound) in notes


def test_the_printed_order_can_be_read_and_repeats_to_the_byte() -> None:
    order = an_order()
    (name, make), *_ = order_files(order, TITLE)
    pdf = make()
    text = "\n".join(page.extract_text() for page in PdfReader(io.BytesIO(pdf)).pages)

    assert name == "order.pdf"
    assert pdf == order_pdf(order, TITLE)
    for line in order.lines:
        assert line.article in text
    assert money(order.total) in text


def test_the_workbook_has_the_order_and_its_sum() -> None:
    """Allowance and what is in hand have columns of their own; the total is a formula with its value."""
    order = an_order()
    book = load_workbook(io.BytesIO(takeoff_xlsx((), takeoff(), TITLE, order=order)), data_only=True)
    rows = list(book["Order"].iter_rows(values_only=True))
    heading = list(rows[0])

    assert len(rows) == 1 + len(order.lines) + 1
    assert {"allowance", "reason of the allowance", "in hand", "left over"} <= set(heading)
    at = heading.index("total [EUR]")
    assert round(float(str(rows[-1][at])) * 100) == order.goods
    charge = [row[11] for row in book["Deliveries"].iter_rows(values_only=True)]
    assert round(float(str(charge[-1])) * 100) == order.total - order.goods
