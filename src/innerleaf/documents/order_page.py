"""The order as a printed set: what it costs, every delivery, and what goes to which floor."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from functools import partial

from innerleaf.cost.model import Order
from innerleaf.cost.price_money import money
from innerleaf.documents.order_tables import delivery_table, line_tables, total_table
from innerleaf.documents.pages import Note, Page, fitting
from innerleaf.documents.title import TitleBlock

ORDER_FILE = "order.pdf"


def order_files(order: Order, title: TitleBlock) -> list[tuple[str, Callable[[], bytes]]]:
    """The files about the order by name, and what makes each."""
    return [(ORDER_FILE, partial(order_pdf, order, title))]


def order_pdf(order: Order, title: TitleBlock) -> bytes:
    """The order as PDF; the same order gives the same bytes."""
    from innerleaf.documents.pdf import set_pdf

    return set_pdf(order_pages(order), (), title)


def order_pages(order: Order) -> list[Page]:
    """A page of totals and deliveries, then the lines delivery by delivery."""
    notes = _notes(order)
    first = Page(
        wall="",
        title="Order",
        subject="what is bought from whom, and when it comes",
        scale="",
        tables=(total_table(order), delivery_table(order)),
        notes=fitting(notes, "More: see the workbook."),
        wide=True,
    )
    lines = Page(
        wall="",
        title="Order, lines",
        subject="delivery by delivery",
        scale="",
        tables=tuple(line_tables(order)),
        notes=(_columns_note(order),),
        wide=True,
    )
    return [first, lines] if order.lines else [first]


def _notes(order: Order) -> list[Note]:
    notes = [
        Note(heading="Total", text=f"{money(order.total)} {order.currency}, net, goods and deliveries."),
        Note(
            lead="Least possible:",
            text=f"{money(order.lower_bound)} {order.currency} by the same offers, needs and terms"
            f" ({order.stopped_by or 'nothing to buy'}).",
        ),
        Note(heading="Prices", text=order.source),
    ]
    notes += _listed("Without a price: ask for one", order.unpriced)
    notes += _listed("To note", order.notes)
    allowed = [line for line in order.lines if line.allowance]
    told = dict.fromkeys(f"{line.article}: {line.allowance_reason}" for line in allowed)
    notes += _listed("Bought beyond what is needed", told)
    notes.append(
        Note(
            heading="How it is counted",
            text="Needed: as the cut plan cuts, or as the walls take. Left over: what the packs hold beyond"
            " needs and allowances. Masses by catalogue and offers; lifts with whole packs where the lift"
            " takes them. Days are working days.",
        )
    )
    return notes


def _listed(heading: str, words: Iterable[str]) -> list[Note]:
    return [Note(heading="" if number else heading, text=each) for number, each in enumerate(words)]


def _columns_note(order: Order) -> Note:
    return Note(
        heading="Columns",
        text=f"Prices in {order.currency}, net, for a pack. Needed: what packs of this delivery cover, now"
        " or later. In place of: bought for pieces planned in another length or article, as far as the supply"
        " list allows it.",
    )
