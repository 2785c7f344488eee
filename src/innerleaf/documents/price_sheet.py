"""The internal sheet of a price as PDF."""

from __future__ import annotations

import json
from dataclasses import asdict
from importlib.resources import files

from innerleaf.cost.price_report import PriceReport
from innerleaf.documents.pdf import typeset
from innerleaf.documents.price_tables import price_tables
from innerleaf.documents.tables import block_of
from innerleaf.documents.title import TitleBlock

PAPER = "price_paper.typ"
"""What the templates about money share."""
_WIDTH_MM = 272.0


def price_pdf(report: PriceReport, title: TitleBlock) -> bytes:
    """The sheet to PDF; the same price gives the same bytes."""
    price = report.price
    notes = [
        f"Rates: {price.source}. Money in {price.currency}; every line is rounded to the hundredth, half up,"
        " and sums are sums of rounded lines. Amounts and extras are rounded to three decimals, hours to two,"
        " before they are reckoned with.",
        f"Cash flow: {report.cash.working}. Risk: {report.risk.working}.",
    ]
    sheet = {
        "project": title.project,
        "place": title.place,
        "firm": title.firm,
        "date": price.date,
        "missing": [f"Not in the price: {article}." for article in price.unpriced],
        "notes": notes,
        "tables": [asdict(block_of(table, _WIDTH_MM)) for table in price_tables(report) if table.rows],
    }
    return typeset(
        "price_sheet.typ", {"sheet.json": json.dumps(sheet, ensure_ascii=False).encode(), PAPER: paper()}
    )


def paper() -> bytes:
    """The template that others import."""
    return files("innerleaf.documents").joinpath(PAPER).read_bytes()
