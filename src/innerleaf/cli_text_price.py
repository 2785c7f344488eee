"""What `price` shows on a terminal, and says to other programs."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import asdict

from rich.markup import escape

from innerleaf.cli_text import console, say, table_of
from innerleaf.cost.price_job import Priced
from innerleaf.cost.price_money import money
from innerleaf.cost.price_report import PriceReport
from innerleaf.findings import FINDING_CODES, Finding


def show_price(priced: Priced, findings: Sequence[Finding]) -> None:
    """From cost to price, by room, what could become of it; ``findings`` of its walls about prices."""
    report, price = priced.report, priced.report.price
    table = table_of("cost and price", ">amount", ">sum", "basis")
    for part in price.parts:
        table.add_row(part.part, money(part.total), "", "")
    table.add_row("direct cost", "", money(price.direct), "", end_section=True)
    for step in price.steps:
        table.add_row(escape(step.text), money(step.amount), money(step.after), escape(step.basis))
    table.add_row(f"VAT {price.vat_percent:g} %", money(price.vat), money(price.gross), price.currency)
    console().print(table)
    crew = price.crew
    kept = f"{money(price.margin)}, {price.margin_percent:.2f} % of the net price"
    say(f"Margin {kept}. {crew.hours:,.0f} hours, {crew.days} days on site.")
    rooms = table_of("room", ">net")
    for room in priced.quotation.rooms:
        rooms.add_row(escape(", ".join(filter(None, (room.room, room.storey)))), money(room.net))
    console().print(rooms)
    changes = table_of("what if", ">cost", ">change", ">net anew", ">change", ">margin kept", ">of it")
    for each in report.changes:
        figures = (each.cost, each.change_of_cost, each.net, each.change_of_net, each.margin_kept)
        kept = f"{each.margin_kept_percent:.2f} %"
        changes.add_row(escape(each.words), *map(money, figures), kept)
    console().print(changes)
    greatest = table_of("the price hangs most on", ">its cost", ">change of the net price")
    for one in report.sensitivities:
        greatest.add_row(escape(one.words), money(one.cost), money(one.change_of_net))
    console().print(greatest)
    for sentence in _about_price(report):
        say(sentence)
    for code in sorted({finding.code for finding in findings}):
        walls = dict.fromkeys(finding.wall for finding in findings if finding.code == code)
        remedy = next(finding.remedy for finding in findings if finding.code == code)
        say(f"{code} {FINDING_CODES[code]} (wall {', '.join(walls)}): {remedy}.")


def _about_price(report: PriceReport) -> Iterator[str]:
    """Cash flow and risk, both estimates, and what the price does not hold."""
    cash, risk = report.cash, report.risk
    lowest = f"{money(cash.lowest)}, {cash.lowest_day} days after the first day of work"
    yield f"Cash flow (estimate): lowest {lowest}."
    yield (
        f"Cost (estimate): {money(round(risk.mean))} on average, 80 % between {money(round(risk.low))} and"
        f" {money(round(risk.high))}; the net price covers it with {risk.covered:.0%}."
    )
    for article in report.price.unpriced:
        yield f"Not in the price: {article}"
    for each in report.changes:
        if missing := set(each.unpriced) - set(report.price.unpriced):
            yield f"{each.words}: nobody sells {', '.join(sorted(missing))}; its price does not hold it."
        if each.at_list_price:
            articles = ", ".join(each.at_list_price)
            yield f"{each.words}: no supplier is left for {articles}; counted at list price."


def price_record(priced: Priced, findings: Sequence[Finding]) -> dict[str, object]:
    """The same for other programs; money in hundredths."""
    told = [{"code": one.code, "wall": one.wall, "text": str(one)} for one in findings]
    quotation = asdict(priced.quotation)
    return {"ok": True, **asdict(priced.report), "quotation": quotation, "findings": told}
