"""What it was worth to choose layouts for the whole building: a sheet of the workbook, a table on paper."""

from __future__ import annotations

from typing import TYPE_CHECKING

from innerleaf.documents.schedule import Cell, Table
from innerleaf.documents.tabs import AMOUNT, Column, SheetTable

if TYPE_CHECKING:
    from innerleaf.takeoff.together import TogetherReport

_Compared = tuple[tuple[str, str, float, float, float], ...]  # what, unit, first drawn, chosen, least


def together_sheet(report: TogetherReport) -> SheetTable:
    """Boards, bars and their cost with the layouts as first drawn and as chosen, and how it was searched."""
    money = report.currency
    rows: list[tuple[Cell, ...]] = [(what, unit, a, b, b - a, c) for what, unit, a, b, c in _compared(report)]
    rows.append(("walls drawn otherwise", "piece", "", report.walls, "", ""))
    rows.append(("layouts compared", "piece", "", report.layouts, "", ""))
    for number, step in enumerate(report.rounds, 1):
        rows.append((f"round {number}, {'kept' if step.kept else 'no gain'}", money, "", step.cost, "", ""))
    if report.tracks:
        saved = -report.tracks_saved_mm / 1e3
        rows.append((f"bars, joints of {report.tracks} tracks moved", "m", "", "", saved, ""))
    if report.left_out:
        rows.append((f"not searched: {report.left_out}", "", "", "", "", ""))
    return SheetTable(
        name="Layout and cutting",
        columns=(
            Column(name="what", width=34),
            Column(name="unit", width=8),
            Column(name="as first drawn", width=16, form=AMOUNT),
            Column(name="as chosen", width=14, form=AMOUNT),
            Column(name="difference", width=12, form=AMOUNT),
            Column(name="least possible as chosen", width=16, form=AMOUNT),
        ),
        rows=tuple(rows),
    )


def together_table(report: TogetherReport) -> Table:
    """The same in three lines for paper."""
    rows = tuple(
        (
            f"{what} [{unit}]",
            f"{first:,.2f}",
            f"{chosen:,.2f}",
            f"{chosen - first:+,.2f}",
            f"{chosen / first - 1:+.1%}" if first else "",
            f"{least:,.2f}",
        )
        for what, unit, first, chosen, least in _compared(report)
    )
    columns = ("to buy", "as first drawn", "as chosen", "difference", "in %", "least possible")
    return Table("Layout and cutting chosen together", columns, rows, columns[1:])


def together_words(report: TogetherReport) -> str:
    """How the figures of the table were found."""
    if report.left_out:
        return f"Not chosen together: {report.left_out}. Layouts are as first drawn."
    taken = "; ".join(
        f"Round {n}: {step.walls} walls drawn anew, {step.cost:,.2f} {report.currency}"
        f" {'kept' if step.kept else 'not kept'}"
        for n, step in enumerate(report.rounds, 1)
    )
    return (
        f"{report.layouts} layouts of {report.kinds} kinds of wall, each as good by every rule as the first,"
        f" were compared; {report.walls} walls are drawn otherwise than at first. Both ways were cut in full"
        " and priced by the list: area of boards and length of bars bought, by article, times their price."
        f" {taken or 'No layout gained'}.{_joints(report)} Least possible: no way to cut these layouts takes"
        " less."
    )


def _joints(report: TogetherReport) -> str:
    if not report.tracks:
        return ""
    saved = f"{report.tracks_saved_mm / 1e3:,.2f} m of bars less"
    return f" On {report.tracks} tracks longer than a bar joints lie where the building cuts best: {saved}."


def _compared(report: TogetherReport) -> _Compared:
    m2, m = 1e6, 1e3
    return (
        (
            "boards",
            "m²",
            report.board_first_mm2 / m2,
            report.board_chosen_mm2 / m2,
            report.board_least_mm2 / m2,
        ),
        ("bars", "m", report.bar_first_mm / m, report.bar_chosen_mm / m, report.bar_least_mm / m),
        ("cost of both", report.currency, report.cost_first, report.cost_chosen, report.cost_least),
    )
