"""The internal sheet of a price as plain tables: every line with what it rests on."""

from __future__ import annotations

from innerleaf.cost.price_model import PARTS, Price
from innerleaf.cost.price_money import money
from innerleaf.cost.price_report import PriceReport
from innerleaf.cost.what_if import Changed
from innerleaf.documents.schedule import Cell, Table
from innerleaf.practice.measures import figure_words

_HIGHEST = 300  # walls on the printed sheet; the workbook has them all


def steps_table(price: Price) -> Table:
    """From the parts of the cost to the price with tax."""
    rows: list[tuple[Cell, ...]] = [
        (part.part, money(part.total), "", "sum of its lines below", "") for part in price.parts
    ]
    rows.append(("direct cost", "", money(price.direct), f"sum of {', '.join(PARTS)}", ""))
    rows += [
        (step.text, money(step.amount), money(step.after), step.basis, step.source) for step in price.steps
    ]
    rows.append(("net price", "", money(price.net), "", ""))
    basis = f"{price.vat_percent:g} % of the net price"
    rows.append(("tax (VAT)", money(price.vat), money(price.gross), basis, price.vat_source))
    ruled = (len(price.parts), len(price.parts) + 1, len(rows) - 2)
    columns = ("step", "amount", "sum", "basis", "source")
    return Table(f"From cost to price, {price.currency}", columns, tuple(rows), ("amount", "sum"), ruled)


def summary_table(price: Price) -> Table:
    """Margin, hours and days."""
    crew = price.crew
    rows: tuple[tuple[Cell, ...], ...] = (
        ("cost with overhead and risk", money(price.cost, price.currency)),
        ("margin", f"{money(price.margin, price.currency)}, {price.margin_percent:.2f} % of the net price"),
        ("hours of fitters", f"{crew.fitter_hours:,.2f} h"),
        ("hours of helpers", f"{crew.helper_hours:,.2f} h"),
        ("hours of jointers", f"{crew.jointer_hours:,.2f} h"),
        ("days on site", f"{crew.days} ({crew.weeks:g} weeks): {crew.working}"),
    )
    return Table("Margin, hours and days", ("what", "figure"), rows)


def labour_table(price: Price) -> Table:
    """Labour line by line: hours = amount × minutes × (1 + extras) / 60."""
    rows: tuple[tuple[Cell, ...], ...] = tuple(
        (
            line.work,
            line.kind,
            line.trade,
            figure_words(line.unit, line.amount, ",.3f"),
            line.unit,
            f"{line.minutes:g}",
            f"{line.extras:.3f}",
            f"{line.hours:,.2f}",
            money(line.rate),
            money(line.total),
            f"{line.working}; {line.source}",
        )
        for line in price.labour
    )
    names = ("work", "kind", "trade", "amount", "unit", "minutes", "extras", "hours", "rate", "cost", "basis")
    total = ("sum", *[""] * 6, f"{price.crew.hours:,.2f}", "", money(price.part("labour")), "")
    return Table(
        "Labour: hours = amount × minutes × (1 + extras) / 60; cost = hours × rate",
        names,
        (*rows, total),
        ("amount", "minutes", "extras", "hours", "rate", "cost"),
        ruled=(len(rows),),
    )


def cost_table(price: Price) -> Table:
    """Everything that is not labour: amount × price of one."""
    rows: tuple[tuple[Cell, ...], ...] = tuple(
        (
            line.part,
            line.text,
            f"{line.amount:,.10g}",
            line.unit,
            money(line.each),
            money(line.total),
            line.basis,
            line.source,
        )
        for line in price.lines
    )
    columns = ("part", "what", "amount", "unit", "each", "cost", "basis", "source")
    total = ("sum", "", "", "", "", money(sum(line.total for line in price.lines)), "", "")
    title = "Material, deliveries, plant, waste, preliminaries, extras"
    return Table(title, columns, (*rows, total), ("amount", "each", "cost"), ruled=(len(rows),))


def wall_table(price: Price) -> Table:
    """The price by wall: own costs, share of the rest, sum."""
    rows: tuple[tuple[Cell, ...], ...] = tuple(
        (
            wall.wall,
            ", ".join(filter(None, (wall.room, wall.storey))),
            f"{wall.face_m2:,.2f}",
            f"{wall.hours:,.2f}",
            *map(money, (wall.labour, wall.material, wall.other, wall.own, wall.common, wall.net)),
            money(wall.per_m2),
        )
        for wall in price.walls[:_HIGHEST]
    )
    face = sum(wall.face_m2 for wall in price.walls)
    sums = [
        sum(getattr(wall, name) for wall in price.walls)
        for name in ("labour", "material", "other", "own", "common", "net")
    ]
    hours = f"{price.crew.hours:,.2f}"  # as labour has them: those of walls are rounded once more
    mean = money(round(price.net / face)) if face else ""
    many = f"{len(price.walls)} walls"
    many += f"; {_HIGHEST} shown, all in the workbook" if len(price.walls) > _HIGHEST else ""
    total = ("sum", many, f"{face:,.2f}", hours, *map(money, sums), mean)
    columns = (
        *("wall", "room", "face m²", "hours", "labour", "material", "other own", "own", "common", "net"),
        "a m²",
    )
    title = "Net price by wall; common: overhead, margin and all else, in proportion to own costs"
    return Table(title, columns, (*rows, total), columns[2:], ruled=(len(rows),))


def change_table(report: PriceReport) -> Table:
    """What if: each change alone, reckoned anew."""
    price = report.price
    base: tuple[Cell, ...] = (
        *("as it is", money(price.cost), "", money(price.net), "", money(price.gross)),
        *(money(price.margin), f"{price.margin_percent:.2f} %", str(price.crew.days)),
    )
    rows: tuple[tuple[Cell, ...], ...] = tuple(
        (
            each.words + _lacking(each, price),
            money(each.cost),
            money(each.change_of_cost),
            money(each.net),
            money(each.change_of_net),
            money(each.gross),
            money(each.margin_kept),
            f"{each.margin_kept_percent:.2f} %",
            str(each.days),
        )
        for each in report.changes
    )
    columns = (
        *("what if", "cost", "change", "net price anew", "change of it", "with tax"),
        *("margin left at the price offered", "of it", "days"),
    )
    return Table("What if, each alone", columns, (base, *rows), columns[1:], ruled=(1,))


def _lacking(change: Changed, price: Price) -> str:
    """What the figures of a change rest on or leave out, beyond those of the price as it is."""
    told = []
    if change.at_list_price:
        told.append(f"no supplier left, counted at list price: {', '.join(change.at_list_price)}")
    missing = [article for article in change.unpriced if article not in price.unpriced]
    if missing:
        told.append(f"nobody sells, so not in these figures: {', '.join(missing)}")
    return f" ({'; '.join(told)})" if told else ""


def sensitivity_table(report: PriceReport) -> Table:
    """The ten inputs the price hangs on most."""
    rows: tuple[tuple[Cell, ...], ...] = tuple(
        (each.words, money(each.cost), money(each.change_of_net)) for each in report.sensitivities
    )
    columns = ("input", "its cost", "change of the net price, before rounding")
    return Table("What the price hangs on most", columns, rows, columns[1:])


def cash_table(report: PriceReport) -> Table:
    """Money in and out, day by day."""
    rows: tuple[tuple[Cell, ...], ...] = tuple(
        (str(event.day), event.text, money(event.amount), money(event.after)) for event in report.cash.events
    )
    lowest = f"lowest {money(report.cash.lowest)} on day {report.cash.lowest_day}"
    columns = ("day", "what", "in or out", "sum")
    return Table(f"Cash flow, net of tax: {lowest}", columns, rows, ("day", "in or out", "sum"))


def risk_table(report: PriceReport) -> Table:
    """How sure the cost is."""
    risk = report.risk
    rows: list[tuple[Cell, ...]] = [
        (share.text, money(share.reckoned), money(round(share.mean)), money(round(share.deviation)))
        for share in risk.shares
    ]
    sums = (money(risk.reckoned), money(round(risk.mean)), money(round(risk.deviation)))
    rows.append(("direct cost and overhead", *sums))
    title = (
        f"How sure the cost is: 80 % between {money(round(risk.low))} and {money(round(risk.high))};"
        f" the net price covers it with {risk.covered:.0%}"
    )
    columns = ("part", "reckoned", "mean", "standard deviation")
    return Table(title, columns, tuple(rows), columns[1:], ruled=(len(rows) - 1,))


def price_tables(report: PriceReport) -> list[Table]:
    """All tables of the sheet, in order."""
    price = report.price
    return [
        steps_table(price),
        summary_table(price),
        labour_table(price),
        cost_table(price),
        wall_table(price),
        change_table(report),
        sensitivity_table(report),
        cash_table(report),
        risk_table(report),
    ]
