"""A problem of bars, made of the rows of a file for `innerleaf cut`."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from innerleaf.cut_file_rows import Form, Maker, Row, Rows
from innerleaf.cutting.bars import BarDemand, BarProblem, BarStock, Keeping, Splice
from innerleaf.errors import FileFaults, InputError

BARS: Final = Form(
    lists={
        "stock": ("length", "price", "limit", "trim", "phase"),
        "offcuts": ("mark", "length", "price", "count", "trim", "phase"),
        "pieces": ("mark", "length", "count", "phase", "overlap", "least_part"),
    },
    groups={"keep": ("least", "worth"), "choose": ("most", "charge")},
    figures=("kerf",),
    kinds={"stock": "stock", "offcut": "offcuts", "piece": "pieces", "keep": "keep", "choose": "choose"},
    columns={
        "keep": {"length": "least", "price": "worth"},
        "choose": {"count": "most", "price": "charge"},
    },
)


@dataclass(frozen=True, slots=True, kw_only=True)
class CutFile:
    """What a file of bars asks for. Prices of the problem count in 10 to the power of minus ``decimals``.

    ``shown`` of the decimals are printed. ``priced`` is False where no price is given and a bar costs its
    length; ``choose`` is (how many lengths
    at most, charge for each), or None.
    """

    problem: BarProblem
    priced: bool
    decimals: int
    shown: int
    choose: tuple[int, int] | None


class BarMaker(Maker):
    """Makes the problem of the rows; what does not fit together is said with its line."""

    def __init__(self, rows: Rows) -> None:
        super().__init__(rows, "stock")

    def made(self) -> CutFile:
        """The problem.

        Raises
        ------
        FileFaults
            All that does not fit together.
        """
        found = self.rows.found
        self.some_of("stock", "pieces")
        stocks = (*map(self._stock, found["stock"]), *map(self._offcut, found["offcuts"]))
        demands = [self._demand(row, number) for number, row in enumerate(found["pieces"], 1)]
        self.rows.stop_at_faults()
        keeping = None
        for row in found["keep"][:1]:
            least = self.needed(row, "keep", "least")
            keeping = Keeping(least_mm=least, worth_per_m=self.money(row.values.get("worth", Decimal(0))))
        self._try(found["keep"][0].where if keeping else self.rows.name, (), stocks, keeping)
        tried = set[tuple[object, ...]]()
        for row, demand in zip(found["pieces"], demands, strict=True):
            key = (demand.length_mm, demand.phase, demand.splice)
            if key not in tried:
                self._try(row.where, (demand,), stocks, keeping)
            tried.add(key)
        self.rows.stop_at_faults()
        choose = None
        for row in found["choose"][:1]:
            choose = self.needed(row, "choose", "most"), self.money(row.values.get("charge", Decimal(0)))
        self.rows.stop_at_faults()
        try:
            problem = BarProblem(demands=tuple(demands), stocks=stocks, kerf_mm=self._kerf, keeping=keeping)
        except InputError as error:
            raise FileFaults([f"{self.rows.name}: {error}"]) from error
        return CutFile(
            problem=problem,
            priced=self.priced,
            decimals=self.decimals,
            shown=self.shown,
            choose=choose,
        )

    @property
    def _kerf(self) -> int:
        return self.rows.figures.get("kerf", 0)

    def _try(
        self,
        where: str,
        demands: tuple[BarDemand, ...],
        stocks: tuple[BarStock, ...],
        keeping: Keeping | None,
    ) -> None:
        try:
            BarProblem(demands=demands, stocks=stocks, kerf_mm=self._kerf, keeping=keeping)
        except InputError as error:
            self.rows.faults.append(f"{where}: {error}")

    def _stock(self, row: Row) -> BarStock:
        length = self.needed(row, "stock", "length")
        price = self.money(self.needed(row, "stock", "price")) if self.priced else length
        return BarStock(
            length_mm=length,
            price=price,
            limit=row.values.get("limit"),
            trim_mm=row.values.get("trim", 0),
            phase=row.values.get("phase", 1),
        )

    def _offcut(self, row: Row) -> BarStock:
        length = self.needed(row, "offcuts", "length")
        return BarStock(
            mark=row.values.get("mark", f"offcut {length}"),
            length_mm=length,
            price=self.money(row.values.get("price", Decimal(0))),
            limit=row.values.get("count", 1),
            trim_mm=row.values.get("trim", 0),
            phase=row.values.get("phase", 1),
        )

    def _demand(self, row: Row, number: int) -> BarDemand:
        values = row.values
        splice = None
        if "overlap" in values:
            splice = Splice(
                overlap_mm=values["overlap"],
                least_mm=values.get("least_part", max(Splice().least_mm, values["overlap"] + 1)),
            )
        elif "least_part" in values:
            self.rows.fault(row.where, "pieces.overlap", "nothing", "an overlap where least_part is given")
        return BarDemand(
            mark=values.get("mark", f"P{number}"),
            length_mm=self.needed(row, "pieces", "length"),
            count=values.get("count", 1),
            phase=values.get("phase", 1),
            splice=splice,
        )
