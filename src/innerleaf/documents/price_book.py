"""The price in the workbook: every line with what it rests on, and the price by wall."""

from __future__ import annotations

from innerleaf.cost.price_model import LABOUR, Price
from innerleaf.documents.schedule import Cell
from innerleaf.documents.tabs import Column, SheetTable

_MONEY, _FIGURE = "#,##0.00", "#,##0.000"


def price_sheets(price: Price) -> list[SheetTable]:
    """The tabs "Price" and "Price by wall"."""
    return [_lines(price), _walls(price)]


def _lines(price: Price) -> SheetTable:
    """Every line from labour to tax; the total under the costs is the price with tax."""
    rows: list[tuple[Cell, ...]] = [
        (
            LABOUR,
            f"{line.work}, {line.kind}" if line.kind else line.work,
            line.trade,
            line.amount,
            line.unit,
            line.minutes,
            line.extras,
            line.hours,
            line.rate / 100,
            line.total / 100,
            line.working,
            line.source,
        )
        for line in price.labour
    ]
    for other in price.lines:
        figures = (other.amount, other.unit, "", "", "", other.each / 100, other.total / 100)
        rows.append((other.part, other.text, "", *figures, other.basis, other.source))
    rows += [
        (step.kind, step.text, *[""] * 7, step.amount / 100, step.basis, step.source) for step in price.steps
    ]
    basis = f"{price.vat_percent:g} % of the net price"
    rows.append(("tax", "VAT", *[""] * 7, price.vat / 100, basis, price.vat_source))
    columns = (
        Column(name="part", width=14),
        Column(name="what", width=34),
        Column(name="trade", width=10),
        Column(name="amount", form=_FIGURE),
        Column(name="unit", width=12),
        Column(name="minutes", form="0.000"),
        Column(name="extras", form="0.000"),
        Column(name="hours", form="#,##0.00", total=True),
        Column(name="rate or price of one", width=14, form=_MONEY),
        Column(name=f"cost [{price.currency}]", width=14, form=_MONEY, total=True),
        Column(name="basis", width=60),
        Column(name="source", width=40),
    )
    return SheetTable(name="Price", columns=columns, rows=tuple(rows))


def _walls(price: Price) -> SheetTable:
    rows: tuple[tuple[Cell, ...], ...] = tuple(
        (
            wall.wall,
            wall.room,
            wall.storey,
            wall.face_m2,
            wall.hours,
            *(
                part / 100
                for part in (wall.labour, wall.material, wall.other, wall.own, wall.common, wall.net)
            ),
            wall.per_m2 / 100,
        )
        for wall in price.walls
    )
    sums = ("labour", "material", "other own costs", "own costs", "common costs", "net price")
    columns = (
        Column(name="wall"),
        Column(name="room", width=20),
        Column(name="storey", width=14),
        Column(name="face [m²]", form="#,##0.00", total=True),
        Column(name="hours", form="#,##0.00", total=True),
        *(Column(name=f"{name} [{price.currency}]", width=14, form=_MONEY, total=True) for name in sums),
        Column(name=f"a square metre [{price.currency}]", width=14, form=_MONEY),
    )
    return SheetTable(name="Price by wall", columns=columns, rows=rows)
