"""Takeoff and cut list as a workbook: filterable tables whose totals are formulas with their values."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime
from io import BytesIO
from types import MappingProxyType
from typing import TYPE_CHECKING

from innerleaf.documents.comes_as import comes_as
from innerleaf.documents.tabs import SheetTable
from innerleaf.documents.takeoff_tabs import board_sheet, cut_sheet, purchase_sheet, takeoff_sheet
from innerleaf.documents.title import TitleBlock
from innerleaf.documents.wall_tabs import finding_sheet, performance_sheet, wall_sheet
from innerleaf.layout.pieces import WallPlan
from innerleaf.takeoff.model import Takeoff

if TYPE_CHECKING:
    from innerleaf.cost.model import Order
    from innerleaf.cost.price_model import Price
    from innerleaf.design.performance import Performance
    from innerleaf.documents.cut_list import CutList
    from innerleaf.takeoff.together import TogetherReport

_CREATED = datetime(2000, 1, 1)  # fixed, so that the same plan gives the same bytes


def workbook(sheets: Sequence[SheetTable], title: TitleBlock) -> bytes:
    """Tables to XLSX bytes; the same tables give the same bytes."""
    import xlsxwriter

    out = BytesIO()
    as_written = dict.fromkeys(("strings_to_formulas", "strings_to_urls", "strings_to_numbers"), False)
    book = xlsxwriter.Workbook(out, {"in_memory": True, **as_written})  # a name is never a formula or a link
    book.set_properties(
        {"title": title.project, "author": title.firm, "comments": title.statement, "created": _CREATED}
    )
    bold = book.add_format({"bold": True, "bottom": 1, "text_wrap": True, "valign": "bottom"})
    forms = {
        c.form: book.add_format({"num_format": c.form} if c.form else {}) for s in sheets for c in s.columns
    }
    totals = {
        c.form: book.add_format({"bold": True, "top": 1, **({"num_format": c.form} if c.form else {})})
        for s in sheets
        for c in s.columns
    }
    for table in sheets:
        sheet = book.add_worksheet(table.name)
        sheet.freeze_panes(1, 0)
        sheet.set_landscape()
        sheet.set_paper(9)
        sheet.fit_to_pages(1, 0)
        sheet.repeat_rows(0)
        sheet.set_footer("&L&F · &A&Rpage &P of &N")
        last = len(table.rows)
        for x, column in enumerate(table.columns):
            sheet.set_column(x, x, column.width)
            sheet.write_string(0, x, column.name, bold)
            form = forms[column.form]
            for y, row in enumerate(table.rows, 1):
                if row[x] != "":
                    sheet.write(y, x, row[x], form)
            if column.total and last:
                letter = xlsxwriter.utility.xl_col_to_name(x)
                value = sum(row[x] for row in table.rows if isinstance(row[x], int | float))  # type: ignore[misc]
                formula = f"=SUBTOTAL(109,{letter}2:{letter}{last + 1})"
                sheet.write_formula(last + 1, x, formula, totals[column.form], round(value, 6))
        if last:
            sheet.autofilter(0, 0, last, len(table.columns) - 1)
    book.close()
    return out.getvalue()


def takeoff_xlsx(
    plans: Sequence[WallPlan],
    takeoff: Takeoff,
    title: TitleBlock,
    *,
    performances: Mapping[str, Performance] = MappingProxyType({}),
    cut: CutList | None = None,
    price: Price | None = None,
    order: Order | None = None,
    together: TogetherReport | None = None,
) -> bytes:
    """The whole workbook of a job; ``performances`` go by wall id; with ``cut`` its cuts and set-ups."""
    sheets = [
        takeoff_sheet(takeoff),
        purchase_sheet(takeoff),
        cut_sheet(takeoff, comes_as(order)),
        board_sheet(plans, takeoff, comes_as(order)),
        wall_sheet(plans),
        finding_sheet(plans),
    ]
    sheets += [performance_sheet(plans, performances)] if performances else []
    if cut:
        from innerleaf.documents.cut_tabs import cut_tabs

        sheets[4:4] = cut_tabs(cut)
    if order:
        from innerleaf.documents.order_tables import delivery_sheet, order_sheet

        sheets += [order_sheet(order), delivery_sheet(order)]
    if together:
        from innerleaf.documents.together_sheet import together_sheet

        sheets.append(together_sheet(together))
    if price:
        from innerleaf.documents.price_book import price_sheets

        sheets += price_sheets(price)
    return workbook(sheets, title)
