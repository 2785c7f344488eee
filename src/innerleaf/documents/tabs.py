"""Tables of a workbook before they are written: columns with their form, rows, and totals asked for."""

from __future__ import annotations

from dataclasses import dataclass

from innerleaf.documents.schedule import Cell
from innerleaf.practice.measures import AS_READ


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
