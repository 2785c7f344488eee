"""The sheet of the workbook that says what it was worth to choose layouts for the whole building."""

from __future__ import annotations

from innerleaf.documents.schedule import Cell
from innerleaf.documents.xlsx import AMOUNT, Column, SheetTable
from innerleaf.takeoff.together import TogetherReport


def together_sheet(report: TogetherReport) -> SheetTable:
    """Boards, bars and their cost with the layouts as first drawn and as chosen, and how it was searched."""
    money = report.currency
    compared = (
        ("boards", "m²", report.board_first_mm2 / 1e6, report.board_chosen_mm2 / 1e6),
        ("bars", "m", report.bar_first_mm / 1e3, report.bar_chosen_mm / 1e3),
        ("cost of both", money, report.cost_first, report.cost_chosen),
    )
    rows: list[tuple[Cell, ...]] = [(what, unit, a, b, b - a) for what, unit, a, b in compared]
    rows.append(("walls drawn otherwise", "piece", "", report.walls, ""))
    rows.append(("layouts compared", "piece", "", report.layouts, ""))
    for number, step in enumerate(report.rounds, 1):
        rows.append((f"round {number}, {'kept' if step.kept else 'no gain'}", money, "", step.cost, ""))
    if report.left_out:
        rows.append((f"not searched: {report.left_out}", "", "", "", ""))
    return SheetTable(
        name="Layout and cutting",
        columns=(
            Column(name="what", width=34),
            Column(name="unit", width=8),
            Column(name="as first drawn", width=16, form=AMOUNT),
            Column(name="as chosen", width=14, form=AMOUNT),
            Column(name="difference", width=12, form=AMOUNT),
        ),
        rows=tuple(rows),
    )
