"""The section ``pricing``: discounts said one way, storeys and walls that are there."""

from __future__ import annotations

from collections.abc import Iterable

from innerleaf.job.faults import NOTHING, Report, Said, StandIn, one_of
from innerleaf.job.model import JobRoom, JobWall
from innerleaf.job.schema import JobFile
from innerleaf.job.schema_pricing import MarginFields, Pricing


def check_pricing(report: Report, file: JobFile, rooms: Iterable[JobRoom], walls: Iterable[JobWall]) -> None:
    """Can a price be made of what the job says?"""
    pricing = file.pricing
    if pricing is None or report.is_spoilt(("pricing",), within=True):
        return
    _discounts(report, pricing)
    _margin(report, pricing.margin)
    if any(map(report.is_unsure, (("rooms",), ("walls",), ("flats",)))):
        return
    storeys = sorted({room.storey for room in rooms if room.storey})
    for name in pricing.carried:
        if name not in storeys:
            accepted = one_of(storeys, name, what="storeys of the rooms")
            report.add(("pricing", "carried", name), given=name, accepted=accepted, key=True)
    known = [wall.id for wall in walls]
    for number, extra in enumerate(pricing.extras):
        if extra.wall is not None and extra.wall not in known and not isinstance(extra.wall, StandIn):
            accepted = one_of(known, extra.wall, what="ids of walls")
            report.add(("pricing", "extras", number, "wall"), given=extra.wall, accepted=accepted)


def _discounts(report: Report, pricing: Pricing) -> None:
    for number, discount in enumerate(pricing.discounts):
        given = [name for name in ("percent", "amount") if getattr(discount, name) is not None]
        if len(given) != 1:
            said = Said(" and ".join(given)) if given else NOTHING
            accepted = "either percent or amount"
            report.add(("pricing", "discounts", number), given=said, accepted=accepted)
    percents = sum(discount.percent or 0 for discount in pricing.discounts)
    if percents > 100:
        accepted = "discounts of at most 100 % together"
        report.add(("pricing", "discounts"), given=Said(f"{percents:g} %"), accepted=accepted)


def _margin(report: Report, margin: MarginFields | None) -> None:
    if margin is not None and margin.of == "price" and margin.percent >= 100:
        accepted = "below 100 % of the price (or `of: cost`)"
        report.add(("pricing", "margin", "percent"), given=margin.percent, accepted=accepted)
