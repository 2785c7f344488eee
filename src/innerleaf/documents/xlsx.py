"""Takeoff and cut list as a workbook: filterable tables whose totals are formulas with their values."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from io import BytesIO
from types import MappingProxyType
from typing import TYPE_CHECKING

from innerleaf.documents.schedule import Cell, board_note, end_cut
from innerleaf.documents.title import TitleBlock
from innerleaf.layout.pieces import WallPlan
from innerleaf.practice.measures import AS_READ
from innerleaf.takeoff.model import Takeoff

if TYPE_CHECKING:
    from innerleaf.cost.model import Order
    from innerleaf.cost.price_model import Price
    from innerleaf.design.performance import Performance
    from innerleaf.documents.cut_list import CutList
    from innerleaf.takeoff.together import TogetherReport

_CREATED = datetime(2000, 1, 1)  # fixed, so that the same plan gives the same bytes


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """One column: its heading, width in letters, number format, and whether a total stands under it."""

    name: str
    width: int = 12
    form: str = ""
    total: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetTable:
    """One sheet of the workbook."""

    name: str
    columns: tuple[Column, ...]
    rows: tuple[tuple[Cell, ...], ...]


COUNT, LENGTH, AMOUNT, MASS = "0", "0", "#,##0.00", "#,##0.0"


def shown(unit: str, quantity: float) -> tuple[str, float]:
    """A quantity in the unit that people read."""
    name, per = AS_READ.get(unit, (unit, 1.0))
    return name, round(quantity / per, 3)


def takeoff_sheet(takeoff: Takeoff) -> SheetTable:
    """Every quantity by wall, as built."""
    rows: list[tuple[Cell, ...]] = []
    for line in takeoff.lines:
        unit, _ = shown(line.unit, 0)
        for share in line.by_wall:
            part = share.quantity / line.quantity if line.quantity else 0.0
            quantity = shown(line.unit, share.quantity)[1]
            mass = round(line.mass_kg * part, 3)
            rows.append(
                (line.group, line.item, line.use, share.place, unit, quantity, share.count, mass, line.basis)
            )
    columns = (
        Column(name="group", width=14),
        Column(name="item", width=20),
        Column(name="use", width=22),
        Column(name="wall", width=12),
        Column(name="unit", width=7),
        Column(name="quantity", form=AMOUNT),
        Column(name="pieces", form=COUNT, total=True),
        Column(name="mass [kg]", form=MASS, total=True),
        Column(name="counted how", width=40),
    )
    return SheetTable(name="Takeoff", columns=columns, rows=tuple(rows))


def purchase_sheet(takeoff: Takeoff) -> SheetTable:
    """What must be bought, and how near that is to the least possible."""
    rows: list[tuple[Cell, ...]] = []
    for buy in takeoff.purchases:
        unit, net = shown(buy.unit, buy.net)
        packs = ", ".join(f"{pack.count} × {pack.size:g} {buy.pack_unit}" for pack in buy.packs)
        bought, least = shown(buy.unit, buy.bought)[1], shown(buy.unit, buy.lower_bound)[1]
        rows.append(
            (
                buy.group,
                buy.item,
                unit,
                net,
                bought,
                round(buy.waste, 4),
                least,
                round(buy.gap, 5),
                buy.special,
                packs,
                buy.basis,
            )
        )
    columns = (
        Column(name="group", width=14),
        Column(name="item", width=20),
        Column(name="unit", width=7),
        Column(name="net", form=AMOUNT),
        Column(name="to buy", form=AMOUNT),
        Column(name="waste", form="0.0%"),
        Column(name="least possible", width=14, form=AMOUNT),
        Column(name="gap", form="0.00%"),
        Column(name="special", form=COUNT),
        Column(name="packs", width=34),
        Column(name="counted how", width=40),
    )
    return SheetTable(name="To buy", columns=columns, rows=tuple(rows))


def cut_sheet(takeoff: Takeoff) -> SheetTable:
    """Bars to cut, in the order they are taken; the last column is what is left of each bar."""
    rows: list[tuple[Cell, ...]] = []
    for bar in takeoff.bars:
        end = -takeoff.rates.kerf_mm
        for k, piece in enumerate(bar.pieces):
            left: Cell = bar.remainder_mm if k == len(bar.pieces) - 1 else ""
            end += takeoff.rates.kerf_mm + round(piece.length_mm)
            rows.append(
                (
                    bar.item,
                    bar.number,
                    bar.stock_mm,
                    piece.mark,
                    piece.wall,
                    piece.use,
                    piece.length_mm,
                    end_cut(piece.skew_a_deg, piece.skew_b_deg),
                    left,
                    end,
                )
            )
    columns = (
        Column(name="item", width=20),
        Column(name="bar", form=COUNT),
        Column(name="stock [mm]", form=LENGTH),
        Column(name="mark", width=18),
        Column(name="wall", width=12),
        Column(name="use", width=22),
        Column(name="length [mm]", form=LENGTH, total=True),
        Column(name="end cut, + rises to the right", width=22),
        Column(name="left over [mm]", width=14, form=LENGTH, total=True),
        Column(name="ends at, from the left [mm]", width=14, form=LENGTH),
    )
    return SheetTable(name="Cut list", columns=columns, rows=tuple(rows))


def board_sheet(plans: Sequence[WallPlan], takeoff: Takeoff) -> SheetTable:
    """Boards to cut: which piece from which board, where on it, and what is cut out of it."""
    notes = {board.mark: (board.layer, board_note(board)) for plan in plans for board in plan.boards}
    rows: list[tuple[Cell, ...]] = []
    for board in takeoff.boards:
        for piece in board.pieces:
            layer, note = notes.get(piece.mark, ("", ""))
            area = round(piece.length_mm * piece.width_mm / 1e6, 4)
            rows.append(
                (
                    board.item,
                    board.number,
                    f"{board.width_mm} × {board.stock_mm}",
                    piece.mark,
                    piece.wall,
                    layer,
                    piece.width_mm,
                    piece.length_mm,
                    piece.x_mm,
                    piece.y_mm,
                    area,
                    note,
                )
            )
    columns = (
        Column(name="item", width=20),
        Column(name="board", form=COUNT),
        Column(name="stock [mm]", width=14),
        Column(name="mark", width=18),
        Column(name="wall", width=12),
        Column(name="layer", form=COUNT),
        Column(name="width [mm]", form=LENGTH),
        Column(name="length [mm]", form=LENGTH),
        Column(name="from left [mm]", width=14, form=LENGTH),
        Column(name="from foot [mm]", width=14, form=LENGTH),
        Column(name="area of blank [m²]", width=18, form="0.000", total=True),
        Column(name="cut", width=34),
    )
    return SheetTable(name="Boards", columns=columns, rows=tuple(rows))


def wall_sheet(plans: Sequence[WallPlan]) -> SheetTable:
    """One row a wall."""
    rows: list[tuple[Cell, ...]] = []
    for plan in plans:
        wall, up = plan.wall, plan.build_up
        rows.append(
            (
                wall.id,
                wall.name,
                wall.room,
                wall.storey,
                wall.lining.way.value,
                wall.lining.profile,
                " + ".join(wall.lining.boards),
                wall.length_mm,
                wall.height_mm,
                up.total_mm,
                len(plan.members),
                len(plan.brackets),
                len(plan.boards),
                sum(len(s.places_mm) for s in plan.screws),
                len(plan.findings),
            )
        )
    columns = (
        Column(name="wall"),
        Column(name="name", width=22),
        Column(name="room", width=20),
        Column(name="storey", width=14),
        Column(name="way", width=16),
        Column(name="profile"),
        Column(name="boards", width=24),
        Column(name="length [mm]", form=LENGTH, total=True),
        Column(name="height [mm]", form=LENGTH),
        Column(name="lining [mm]", form="0.0"),
        Column(name="members", form=COUNT, total=True),
        Column(name="brackets", form=COUNT, total=True),
        Column(name="board pieces", form=COUNT, total=True),
        Column(name="screws", form=COUNT, total=True),
        Column(name="not kept", form=COUNT, total=True),
    )
    return SheetTable(name="Walls", columns=columns, rows=tuple(rows))


def finding_sheet(plans: Sequence[WallPlan]) -> SheetTable:
    """Every rule not kept."""
    rows = tuple(
        (
            f.code,
            f.wall,
            f.layer or "",
            round(f.x_mm),
            round(f.y_mm),
            round(f.by_mm),
            f.rule,
            f.text,
            f.remedy,
        )
        for plan in plans
        for f in plan.findings
    )
    columns = (
        Column(name="code", width=8),
        Column(name="wall"),
        Column(name="layer", form=COUNT),
        Column(name="x [mm]", form=LENGTH),
        Column(name="y [mm]", form=LENGTH),
        Column(name="by [mm]", form=LENGTH),
        Column(name="rule", width=28),
        Column(name="what", width=50),
        Column(name="remedy", width=50),
    )
    return SheetTable(name="Findings", columns=columns, rows=rows)


def performance_sheet(plans: Sequence[WallPlan], performances: Mapping[str, Performance]) -> SheetTable:
    """One row for each wall whose heat or verdicts are known; empty cells are not judged."""
    from innerleaf.documents.performance import performance_row

    judged = ((plan.wall, performances[plan.wall.id]) for plan in plans if plan.wall.id in performances)
    columns = (
        Column(name="wall"),
        Column(name="name", width=22),
        Column(name="beyond the wall", width=16),
        Column(name="area [m²]", form=AMOUNT, total=True),
        Column(name="U old wall [W/(m²·K)]", width=14, form="0.000"),
        Column(name="U with members and brackets", width=16, form="0.000"),
        Column(name="U of plane layers (ISO 6946)", width=16, form="0.000"),
        Column(name="U by combined method (ISO 6946)", width=16, form="0.000"),
        Column(name="combined method holds", width=30),
        Column(name="U with all edges", width=14, form="0.000"),
        Column(name="loss of old wall [W/K]", width=14, form=AMOUNT, total=True),
        Column(name="loss lined [W/K]", width=14, form=AMOUNT, total=True),
        Column(name="coldest detail", width=22),
        Column(name="its factor fRsi", width=14, form="0.000"),
        Column(name="factor needed", width=14, form="0.000"),
        Column(name="water gathered [kg/m²]", width=14, form="0.000"),
        Column(name="case through the years", width=12),
        Column(name="water gained in the last year [%]", width=14, form="0.00"),
        Column(name="humidity behind the insulation [%]", width=14, form="0.0"),
        Column(name="mould index", width=10, form="0.00"),
        Column(name="Rw old wall [dB]", width=10, form=COUNT),
        Column(name="Rw lined [dB]", width=10, form=COUNT),
        Column(name="gain of Rw counted [dB]", width=12, form="0.0"),
        Column(name="its uncertainty [dB]", width=12, form="0.0"),
        Column(name="STC lined", width=10, form=COUNT),
        Column(name="R'w between rooms before [dB]", width=14, form="0.0"),
        Column(name="R'w lined [dB]", width=12, form="0.0"),
        Column(name="most of what goes round", width=22),
        Column(name="load cases", width=12),
        Column(name="member nearest its limit", width=18),
        Column(name="share of its limit", width=12, form="0 %"),
        Column(name="verdicts missed", width=14, form=COUNT, total=True),
        Column(name="missed", width=50),
    )
    rows = tuple(performance_row(wall, performance) for wall, performance in judged)
    return SheetTable(name="Performance", columns=columns, rows=rows)


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
        cut_sheet(takeoff),
        board_sheet(plans, takeoff),
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
