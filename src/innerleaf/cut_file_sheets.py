"""A problem of sheets, made of the rows of a file for `innerleaf cut`."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from innerleaf.cut_file_rows import Form, Maker, Row, Rows
from innerleaf.cutting.boards import BoardDemand, BoardProblem, BoardStock, Notch
from innerleaf.errors import FileFaults, InputError

SHEETS: Final = Form(
    lists={
        "sheets": ("width", "length", "price", "limit", "left", "right"),
        "offcuts": ("mark", "width", "length", "price", "count", "left", "right"),
        "pieces": ("mark", "width", "length", "count", "turn", "left", "right", "notches"),
    },
    groups={"keep": ("width", "length")},
    figures=("kerf", "least_strip"),
    kinds={
        "sheet": "sheets",
        "offcut": "offcuts",
        "piece": "pieces",
        "notch": "notches",
        "keep": "keep",
    },
    columns={},
)


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetFile:
    """What a file of sheets asks for. Prices of the problem count in 10 to the power of minus ``decimals``.

    ``priced`` is False where no price is given and a sheet costs its area; ``keep`` is the least (shorter,
    longer) side of an offcut that is kept and marked, or None.
    """

    problem: BoardProblem
    priced: bool
    decimals: int
    keep: tuple[int, int] | None


class SheetMaker(Maker):
    """Makes the problem of the rows; what does not fit together is said with its line."""

    def __init__(self, rows: Rows) -> None:
        super().__init__(rows, "sheets")

    def made(self) -> SheetFile:
        """The problem.

        Raises
        ------
        FileFaults
            All that does not fit together.
        """
        rows, found = self.rows, self.rows.found
        if rows.figures.get("kerf"):
            accepted = "0 for sheets: they are scored and snapped, which loses nothing"
            rows.fault(rows.name, "kerf", rows.figures["kerf"], accepted)
        self.some_of("sheets", "pieces")
        stocks = (*map(self._sheet, found["sheets"]), *map(self._offcut, found["offcuts"]))
        demands = [self._demand(row, number) for number, row in enumerate(found["pieces"], 1)]
        keep = None
        for row in found["keep"][:1]:
            sides = self.needed(row, "keep", "width"), self.needed(row, "keep", "length")
            keep = min(sides), max(sides)
        rows.stop_at_faults()
        for row, stock in zip((*found["sheets"], *found["offcuts"]), stocks, strict=True):
            self._try(row.where, (), (stock,))
        rows.stop_at_faults()
        for row, demand in zip(found["pieces"], demands, strict=True):
            self._try(row.where, (demand,), stocks)
        rows.stop_at_faults()
        try:
            problem = self._problem(tuple(demands), stocks)
        except InputError as error:
            raise FileFaults([f"{rows.name}: {error}"]) from error
        return SheetFile(problem=problem, priced=self.priced, decimals=self.decimals, keep=keep)

    def _problem(self, demands: tuple[BoardDemand, ...], stocks: tuple[BoardStock, ...]) -> BoardProblem:
        least = self.rows.figures.get("least_strip", 0)
        return BoardProblem(demands=demands, stocks=stocks, least_strip_mm=least)

    def _try(self, where: str, demands: tuple[BoardDemand, ...], stocks: tuple[BoardStock, ...]) -> None:
        try:
            self._problem(demands, stocks)
        except InputError as error:
            self.rows.faults.append(f"{where}: {error}")

    def _sheet(self, row: Row) -> BoardStock:
        width, length = self.needed(row, "sheets", "width"), self.needed(row, "sheets", "length")
        return BoardStock(
            width_mm=width,
            length_mm=length,
            price=self.money(self.needed(row, "sheets", "price")) if self.priced else width * length,
            limit=row.values.get("limit"),
            left=row.values.get("left", True),
            right=row.values.get("right", True),
        )

    def _offcut(self, row: Row) -> BoardStock:
        width, length = self.needed(row, "offcuts", "width"), self.needed(row, "offcuts", "length")
        return BoardStock(
            mark=row.values.get("mark", f"offcut {width} × {length}"),
            width_mm=width,
            length_mm=length,
            price=self.money(row.values.get("price", Decimal(0))),
            limit=row.values.get("count", 1),
            left=row.values.get("left", False),
            right=row.values.get("right", False),
        )

    def _demand(self, row: Row, number: int) -> BoardDemand:
        values = row.values
        notches = (
            Notch(x_mm=n["x"], y_mm=n["y"], width_mm=n["width"], length_mm=n["length"])
            for n in values.get("notches", ())
        )
        return BoardDemand(
            mark=values.get("mark", f"P{number}"),
            width_mm=self.needed(row, "pieces", "width"),
            length_mm=self.needed(row, "pieces", "length"),
            count=values.get("count", 1),
            left=values.get("left", False),
            right=values.get("right", False),
            turns=values.get("turn", False),
            notches=tuple(notches),
        )
