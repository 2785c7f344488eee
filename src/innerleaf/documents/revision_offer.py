"""The variation quotation: what a change costs a client, wall by wall; nothing of how it is reckoned."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from innerleaf.cost.price_money import money
from innerleaf.cost.quote import Quotation, WallOffer
from innerleaf.documents.quotation import offer_pdf, offer_values
from innerleaf.documents.verdict_table import signed
from innerleaf.layout.pieces import WallPlan
from innerleaf.revise.figures import Money
from innerleaf.revise.revision import Revision
from innerleaf.revise.walls import GONE_WALL, NEW_WALL, WallRevision

_OTHERS: Final = "What is common to all walls, shared out anew"


def variation_pdf(revision: Revision, held: Money, offer: Quotation, plans: Sequence[WallPlan]) -> bytes:
    """The variation to PDF; ``offer`` is the quotation of the later plan. Repeats to the byte."""
    return offer_pdf(variation_values(revision, held, offer, plans))


def variation_values(
    revision: Revision, held: Money, offer: Quotation, plans: Sequence[WallPlan]
) -> dict[str, object]:
    """The variation as the template takes it: the later quotation with differences in place of prices."""
    changes = {figure.what: round(figure.change) for figure in held.walls}
    offers = {wall.wall: wall for room in offer.rooms for wall in room.walls}
    rooms: dict[str, list[dict[str, str]]] = {}
    for wall in revision.touched:
        title = ", ".join(filter(None, (wall.room, wall.storey)))
        rooms.setdefault(title, []).append(_wall(wall, offers.get(wall.wall), changes.get(wall.wall, 0)))
    sums = {title: sum(changes.get(wall["wall"], 0) for wall in walls) for title, walls in rooms.items()}
    net, tax, gross = (held.sum_of(name) for name in ("net", "tax", "gross"))
    rest = round(net.change) - sum(sums.values())
    values = offer_values(offer, plans)
    return values | {
        "title": "Variation quotation",
        "lead": "Change of the work: ",
        "scope": "What changes, and what it changes in price",
        "head": _head(offer, held),
        "rooms": [
            {"title": title, "net": _signed(sums[title]), "walls": walls} for title, walls in rooms.items()
        ],
        "sums": [
            *([(_OTHERS, _signed(rest), False)] if rest else []),
            ("Price before this change, net", money(round(net.before)), False),
            ("Price with this change, net", money(round(net.after)), False),
            ("Change, net", _signed(round(net.change)), True),
            (f"VAT {offer.vat_percent:g} %", _signed(round(tax.change)), False),
            ("Change with VAT", f"{_signed(round(gross.change))} {held.currency}", True),
            ("New price with VAT", money(round(gross.after), held.currency), False),
        ],
        "note": (
            f"Amounts in {held.currency}. Sums by room and wall are changes of the net price against that"
            " before this change. What is not named here stays as it was offered."
        ),
    }


def _head(offer: Quotation, held: Money) -> list[tuple[str, str]]:
    days = held.days
    time = f"{signed(days.change, 0, plus=True)} working days" if days.change else "as before"
    return [
        ("to quotation", offer.number or "–"),
        ("date", offer.date),
        ("valid until", offer.valid_until),
        ("time on site", f"{time}, about {days.after:g} in all"),
    ]


def _wall(wall: WallRevision, offer: WallOffer | None, change: int) -> dict[str, str]:
    words = "; ".join(wall.words)
    said = f"{words[0].upper()}{words[1:]}." if words else "Laid out otherwise."
    if wall.how == NEW_WALL and offer:
        said = f"New: {offer.scope}"
    elif wall.how == GONE_WALL:
        said = "No longer lined."
    return {
        "wall": wall.wall,
        "name": "" if wall.name == wall.wall else wall.name,
        "scope": said,
        "targets": "; ".join(offer.targets) if offer else "",
        "net": _signed(change),
        "face": f"{offer.face_m2:,.1f} m²" if offer else "",
    }


def _signed(amount: int) -> str:
    return f"+{money(amount)}" if amount > 0 else money(amount).replace("-", "−")
