"""The papers about money; the quotation as PDF: only what the client is to read."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping, Sequence
from functools import partial

from innerleaf.cost.price_job import Priced
from innerleaf.cost.price_money import money
from innerleaf.cost.quote import Quotation, RoomOffer
from innerleaf.documents.cautions import cautions_for
from innerleaf.documents.pdf import typeset
from innerleaf.documents.price_sheet import PAPER, paper, price_pdf
from innerleaf.documents.title import TitleBlock
from innerleaf.layout.pieces import WallPlan

Made = list[tuple[str, Callable[[], bytes]]]


def money_files(priced: Priced, plans: Sequence[WallPlan], title: TitleBlock) -> Made:
    """Names of the papers about money, and what makes each."""
    return [
        ("quotation.pdf", partial(quotation_pdf, priced.quotation, plans)),
        ("price.pdf", partial(price_pdf, priced.report, title)),
    ]


def quotation_pdf(offer: Quotation, plans: Sequence[WallPlan]) -> bytes:
    """The quotation to PDF; the same quotation gives the same bytes."""
    return offer_pdf(offer_values(offer, plans))


def offer_pdf(given: Mapping[str, object]) -> bytes:
    """What the template takes to PDF."""
    text = json.dumps(given, ensure_ascii=False).encode()
    return typeset("quotation.typ", {"offer.json": text, PAPER: paper()})


def offer_values(offer: Quotation, plans: Sequence[WallPlan]) -> dict[str, object]:
    """A quotation as the template takes it."""
    head = [
        ("quotation", offer.number or "–"),
        ("date", offer.date),
        ("valid until", offer.valid_until),
        (
            "time on site",
            f"about {offer.days} working day{'' if offer.days == 1 else 's'}, drying not counted",
        ),
    ]
    return {
        "title": "Quotation",
        "lead": "Inner linings of existing walls: ",
        "scope": "What is built, and its price",
        "firm": offer.firm,
        "client": offer.client,
        "project": offer.project,
        "place": offer.place,
        "number": offer.number,
        "head": head,
        "rooms": [_room(room) for room in offer.rooms],
        "sums": _sums(offer),
        "note": (
            f"Amounts in {offer.currency}. Prices by room and wall are net, without tax"
            + (", discounts taken off." if offer.discounts else ".")
            + " What a lining is reckoned to meet rests on the survey and on declared figures of materials."
        ),
        "sections": [
            {"title": "Included", "lines": offer.included},
            {"title": "Not included", "lines": offer.not_included},
            {"title": "To be settled before the work", "lines": offer.open_points},
            {"title": "Payment", "lines": offer.payments},
            {"title": "Terms", "lines": offer.terms},
        ],
        "cautions": [(caution.topic, caution.text) for caution in cautions_for(plans)],
    }


def _room(room: RoomOffer) -> dict[str, object]:
    return {
        "title": ", ".join(filter(None, (room.room, room.storey))),
        "net": money(room.net),
        "walls": [
            {
                "wall": wall.wall,
                "name": wall.name,
                "scope": wall.scope,
                "targets": "; ".join(wall.targets),
                "net": money(wall.net),
                "face": f"{wall.face_m2:,.1f} m²",
            }
            for wall in room.walls
        ],
    }


def _sums(offer: Quotation) -> list[tuple[str, str, bool]]:
    sums = []
    if offer.discounts:
        sums.append(("Price before discounts", money(offer.before_discount), False))
        sums += [(text, money(amount), False) for text, amount in offer.discounts]
    return [
        *sums,
        ("Sum of all rooms, net", money(offer.net), True),
        (f"VAT {offer.vat_percent:g} %", money(offer.vat), False),
        ("Price with VAT", money(offer.gross, offer.currency), True),
    ]
