"""The internal sheet of a price: its tables say what their figures leave out, and agree with each other."""

from __future__ import annotations

from dataclasses import replace

from tests.cost.by_hand import basis_of, two_walls

from innerleaf.cost.price_report import report_of
from innerleaf.documents.price_tables import change_table, labour_table, wall_table

REPORT = report_of(basis_of(two_walls(), {}), ["boards +10 %"])


def test_a_change_names_what_its_figures_leave_out() -> None:
    change = replace(
        REPORT.changes[0], words="without Rowan", at_list_price=("strip-30",), unpriced=("a", "b")
    )
    report = replace(REPORT, price=replace(REPORT.price, unpriced=("a",)), changes=(change,))

    assert change_table(report).rows[1][0] == (
        "without Rowan (no supplier left, counted at list price: strip-30;"
        " nobody sells, so not in these figures: b)"
    )
    assert change_table(REPORT).rows[1][0] == "boards +10 %"


def test_hours_of_labour_and_of_walls_have_one_sum() -> None:
    """Hours of walls are rounded by themselves: their sum could be a hundredth off."""
    walls = tuple(replace(wall, hours=wall.hours + 0.004) for wall in REPORT.price.walls)

    assert (
        wall_table(replace(REPORT.price, walls=walls)).rows[-1][3] == labour_table(REPORT.price).rows[-1][7]
    )


def test_walls_that_are_not_printed_are_said_to_be_in_the_workbook() -> None:
    many = wall_table(replace(REPORT.price, walls=REPORT.price.walls * 151)).rows

    assert len(many) == 301
    assert many[-1][1] == "302 walls; 300 shown, all in the workbook"


def test_pieces_are_whole_and_metres_are_not() -> None:
    """57 pieces, not 57.000; what is measured keeps the three decimals it is reckoned with."""
    shown = {(row[4], str(row[3]).partition(".")[2]) for row in labour_table(REPORT.price).rows[:-1]}

    assert ("piece", "") in shown
    assert {len(decimals) for unit, decimals in shown if unit == "m"} == {3}
