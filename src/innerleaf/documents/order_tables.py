"""The order and its deliveries as rows, for the workbook and for the printed page."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence

from innerleaf.cost.model import Delivery, Order, OrderLine
from innerleaf.cost.order_choices import PRICE_LIST
from innerleaf.cost.price_money import money
from innerleaf.documents.schedule import Cell, Table
from innerleaf.documents.tabs import AMOUNT, COUNT, MASS, Column, SheetTable, shown


def order_sheet(order: Order) -> SheetTable:
    """Every line of the order, allowances and what is in hand in columns of their own."""
    rows: list[tuple[Cell, ...]] = []
    for line in order.lines:
        unit, needed = shown(line.unit, line.needed)
        allowance, in_hand, size, left = (
            shown(line.unit, value)[1]
            for value in (line.allowance, line.in_hand, line.pack_size, line.left_over)
        )
        rows.append(
            (
                line.group,
                line.article,
                line.description,
                line.supplier,
                line.code,
                line.delivery,
                unit,
                needed,
                allowance,
                line.allowance_reason,
                in_hand,
                line.packs,
                line.pack_name,
                size,
                left,
                line.price_of_pack / 100,
                line.price_break,
                line.total / 100,
                line.mass_kg,
                line.lead_days,
                line.instead_of,
                line.basis,
            )
        )
    columns = (
        Column(name="group", width=12),
        Column(name="article", width=20),
        Column(name="what", width=30),
        Column(name="supplier", width=28),
        Column(name="code", width=16),
        Column(name="delivery", width=9),
        Column(name="unit", width=7),
        Column(name="needed", form=AMOUNT),
        Column(name="allowance", form=AMOUNT),
        Column(name="reason of the allowance", width=26),
        Column(name="in hand", form=AMOUNT),
        Column(name="packs", form=COUNT),
        Column(name="pack", width=10),
        Column(name="in a pack", form=AMOUNT),
        Column(name="left over", form=AMOUNT),
        Column(name=f"price of a pack [{order.currency}]", width=14, form=AMOUNT),
        Column(name="price break", width=14),
        Column(name=f"total [{order.currency}]", width=14, form=AMOUNT, total=True),
        Column(name="mass [kg]", form=MASS, total=True),
        Column(name="lead time [working days]", width=12, form=COUNT),
        Column(name="in place of", width=22),
        Column(name="found how", width=40),
    )
    return SheetTable(name="Order", columns=columns, rows=tuple(rows))


def delivery_sheet(order: Order) -> SheetTable:
    """Every delivery with its mass, lifts and charge."""
    goods = _goods(order.lines)
    rows = tuple(
        (
            delivery.id,
            delivery.supplier,
            delivery.storey,
            delivery.phase,
            "; ".join(delivery.also_for),
            delivery.order_by_days,
            delivery.mass_kg,
            delivery.lorries,
            delivery.lifts or "",
            delivery.places or "",
            goods.get(delivery.id, 0) / 100,
            delivery.charge / 100,
            delivery.basis,
        )
        for delivery in order.deliveries
    )
    columns = (
        Column(name="delivery", width=9),
        Column(name="supplier", width=28),
        Column(name="storey", width=16),
        Column(name="phase"),
        Column(name="also for", width=22),
        Column(name="order so many working days before", width=16, form=COUNT),
        Column(name="mass [kg]", form=MASS, total=True),
        Column(name="lorries", form=COUNT, total=True),
        Column(name="lifts", form=COUNT, total=True),
        Column(name="places to set down", form=COUNT),
        Column(name=f"goods [{order.currency}]", form=AMOUNT, total=True),
        Column(name=f"charge [{order.currency}]", form=AMOUNT, total=True),
        Column(name="counted how", width=44),
    )
    return SheetTable(name="Deliveries", columns=columns, rows=rows)


def _goods(lines: Sequence[OrderLine]) -> dict[str, int]:
    goods: dict[str, int] = defaultdict(int)
    for line in lines:
        goods[line.delivery] += line.total
    return goods


def total_table(order: Order) -> Table:
    """Each supplier's goods and deliveries, the total, and how near it is to the least there could be."""
    rows: list[tuple[Cell, ...]] = []
    for supplier in dict.fromkeys(line.supplier for line in order.lines if line.packs):
        mine = [line for line in order.lines if line.supplier == supplier]
        trips = [delivery for delivery in order.deliveries if delivery.supplier == supplier]
        goods, charge = sum(line.total for line in mine), sum(delivery.charge for delivery in trips)
        mass = sum(line.mass_kg for line in mine)
        rows.append(
            (supplier, len(trips), f"{mass:,.0f}", money(goods), money(charge), money(goods + charge))
        )
    charges = sum(delivery.charge for delivery in order.deliveries)
    mass = sum(line.mass_kg for line in order.lines)
    last = (
        "all",
        len(order.deliveries),
        f"{mass:,.0f}",
        money(order.goods),
        money(charges),
        money(order.total),
    )
    columns = ("supplier", "deliveries", "mass [kg]", "goods", "charges", f"total [{order.currency}]")
    return Table("What it costs", columns, (*rows, last), columns[1:], (len(rows),))


def delivery_table(order: Order) -> Table:
    """Where each delivery goes and by when it is ordered; what has no supplier yet has no lorry either."""
    rows = tuple(
        (
            delivery.id,
            "no supplier yet" if delivery.supplier == PRICE_LIST else delivery.supplier,
            delivery.storey or "building",
            delivery.phase,
            "; ".join(delivery.also_for),
            "" if delivery.supplier == PRICE_LIST else delivery.order_by_days,
            f"{delivery.mass_kg:,.0f}" if delivery.mass_kg else "not given",
            "" if delivery.supplier == PRICE_LIST else delivery.lorries,
            delivery.lifts or "",
            delivery.places or "",
            "" if delivery.supplier == PRICE_LIST else money(delivery.charge),
        )
        for delivery in order.deliveries
    )
    columns = (
        "delivery",
        "supplier",
        "storey",
        "phase",
        "also for",
        "order days before",
        "mass [kg]",
        "lorries",
        "lifts",
        "places",
        "charge",
    )
    return Table("Deliveries, in the order of the work", columns, rows, columns[5:])


def line_tables(order: Order) -> list[Table]:
    """What is in hand, then each delivery: what goes to which floor."""
    used = [line for line in order.lines if not line.delivery]
    tables = [_lines_table("From the van and the store", used)] if used else []
    for delivery in order.deliveries:
        mine = [line for line in order.lines if line.delivery == delivery.id]
        if mine:
            tables.append(_lines_table(_heading(delivery), mine))
    return tables


def _heading(delivery: Delivery) -> str:
    where = ", ".join(part for part in (delivery.storey, delivery.phase) if part) or "building"
    if delivery.supplier == PRICE_LIST:
        return f"{delivery.id}: no supplier yet, priced by the {PRICE_LIST}, to {where}"
    before = delivery.order_by_days
    days = f"order {before} working day{'' if before == 1 else 's'} before"
    mass = f"{delivery.mass_kg:,.0f} kg" if delivery.mass_kg else "mass not given"
    lifts = f", {delivery.lifts} lift{'s' * (delivery.lifts > 1)}" if delivery.lifts else ""
    also = f", also for {'; '.join(delivery.also_for)}" if delivery.also_for else ""
    return f"{delivery.id}: {delivery.supplier} to {where}{also}; {days}; {mass}{lifts}"


def _lines_table(title: str, lines: Sequence[OrderLine]) -> Table:
    rows: list[tuple[Cell, ...]] = []
    for line in lines:
        packs = f"{line.packs} × {line.pack_name}" if line.packs else ""
        notes = [line.price_break, f"in place of {line.instead_of}" if line.instead_of else ""]
        notes += [line.allowance_reason] if line.allowance else []
        notes += ["no offer: price list"] if not line.code and line.packs else []
        rows.append(
            (
                line.article,
                line.description,
                line.code,
                packs,
                _amount(line, line.needed),
                _amount(line, line.allowance),
                _amount(line, line.in_hand),
                _amount(line, line.left_over),
                money(line.price_of_pack) if line.packs else "",
                money(line.total) if line.packs else "",
                f"{line.mass_kg:,.0f}" if line.mass_kg else "",
                line.lead_days or "",
                "; ".join(filter(None, notes)),
            )
        )
    columns = (
        "article",
        "what",
        "code",
        "packs",
        "needed",
        "allowance",
        "in hand",
        "left over",
        "price",
        "total",
        "kg",
        "lead days",
        "notes",
    )
    return Table(title, columns, tuple(rows), columns[4:12])


def _amount(line: OrderLine, value: float) -> str:
    if not value:
        return ""
    unit, amount = shown(line.unit, value)
    return f"{amount:,.0f}" if unit == "piece" else f"{amount:,.1f} {unit}"
