"""Two plans held against each other: walls, pieces, quantities, money, hours, what is bought and built."""

from __future__ import annotations

from dataclasses import dataclass

from innerleaf.cost.model import Order
from innerleaf.cost.price_model import Price
from innerleaf.layout.pieces import WallPlan
from innerleaf.practice.model import Practice
from innerleaf.revise.figures import (
    Figure,
    Money,
    money_held_together,
    purchases_held_together,
    quantities_held_together,
)
from innerleaf.revise.stock import Held, StockReport, bought_of, paid_for, stock_report
from innerleaf.revise.walls import SAME, WallRevision, walls_held_together
from innerleaf.takeoff.model import Takeoff


@dataclass(frozen=True, slots=True, kw_only=True)
class Side:
    """One of the plans; ``name`` is what people call it. Without a price, money and hours are not held."""

    name: str
    project: str
    place: str
    firm: str
    practice: Practice
    plans: tuple[WallPlan, ...]
    takeoff: Takeoff
    price: Price | None = None
    order: Order | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Revision:
    """What became of a plan. Quantities and purchases hold equal figures as well."""

    before: str
    after: str
    walls: tuple[WallRevision, ...]
    quantities: tuple[Figure, ...]
    purchases: tuple[Figure, ...]
    money: Money | None
    stock: StockReport | None

    @property
    def touched(self) -> tuple[WallRevision, ...]:
        """The walls that are not the same."""
        return tuple(wall for wall in self.walls if wall.how != SAME)

    @property
    def empty(self) -> bool:
        """Whether nothing at all differs."""
        figures = [*self.quantities, *self.purchases]
        if self.money:
            figures += [*self.money.sums, *self.money.walls, *self.money.hours, self.money.days]
        return not self.touched and not any(figure.change for figure in figures)


def revise(before: Side, after: Side, held: Held | None = None) -> Revision:
    """Hold two plans against each other; ``held`` says what of the earlier is bought and built.

    Raises
    ------
    InputError
        The prices are in different currencies.
    """
    walls = walls_held_together(before.plans, after.plans)
    money = money_held_together(before.price, after.price) if before.price and after.price else None
    stock = None
    if held is not None:
        bought = bought_of(held, before.order, before.practice)
        later = after.plans, after.takeoff
        paid = paid_for(before.order, before.practice)
        stock = stock_report(held, bought, paid, before.takeoff, later, walls, after.practice)
    return Revision(
        before=before.name,
        after=after.name,
        walls=walls,
        quantities=quantities_held_together(before.takeoff, after.takeoff),
        purchases=purchases_held_together(before.takeoff, after.takeoff),
        money=money,
        stock=stock,
    )
